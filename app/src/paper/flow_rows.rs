//! Cells beside each other, as strips: one strip a row, or one a line if the row is high.

use super::document::Align;
use super::drawing::Stroke;
use super::flow::Column;
use super::laid::{Item, Role};
use super::lines::Line;
use super::strips::{Strip, Tie};
use super::tokens::TextSize;
use super::units::Pt;

/// A cell with its lines.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Cell {
    pub(super) column: Column,
    pub(super) align: Align,
    pub(super) lines: Vec<(Line, TextSize)>,
}

/// The look of a row.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct RowLook {
    pub(super) pad: Pt,
    /// The line below each cell, and how far it reaches to the right of it.
    pub(super) rule: Option<(Stroke, Pt)>,
    /// Rows higher than this may be parted.
    pub(super) highest: Pt,
}

impl Cell {
    fn height(&self) -> Pt {
        self.lines.iter().map(|(_, size)| size.leading()).sum()
    }

    fn items(&self, from: usize, to: usize, top: Pt) -> Vec<Item> {
        let mut y = top;
        let mut items = Vec::new();
        for (line, size) in self.lines.iter().take(to).skip(from) {
            let Column { x, width } = self.column;
            items.extend(line.items(x, y, width, self.align, Role::Flow));
            y += size.leading();
        }
        items
    }
}

/// The strips of one row.
pub(super) fn row_strips(cells: &[Cell], look: RowLook) -> Vec<Strip> {
    let content = cells.iter().map(Cell::height).fold(Pt::ZERO, Pt::max);
    let count = cells.iter().map(|cell| cell.lines.len()).max().unwrap_or(0);
    let content = content.max(if count == 0 { TextSize::Small.leading() } else { Pt::ZERO });
    let mut strips =
        if content > look.highest { parted(cells, count) } else { vec![whole(cells, content, count)] };
    if let Some(first) = strips.first_mut() {
        first.pad_top(look.pad);
    }
    if let Some(last) = strips.last_mut() {
        last.height += look.pad;
        let rules = rules(cells, look, last.height);
        last.items.extend(rules);
    }
    strips
}

fn whole(cells: &[Cell], height: Pt, count: usize) -> Strip {
    Strip {
        height,
        lines: count,
        items: cells.iter().flat_map(|cell| cell.items(0, count, Pt::ZERO)).collect(),
        ..Strip::default()
    }
}

/// One strip a line, two kept together at either end.
fn parted(cells: &[Cell], count: usize) -> Vec<Strip> {
    (0..count)
        .map(|index| {
            let tie = if index + 1 == count {
                Tie::Free
            } else if index == 0 || index + 2 == count {
                Tie::Hard
            } else {
                Tie::Group
            };
            band(cells, index, tie)
        })
        .collect()
}

fn band(cells: &[Cell], index: usize, tie: Tie) -> Strip {
    let sizes = cells.iter().filter_map(|cell| cell.lines.get(index).map(|(_, size)| size.leading()));
    Strip {
        height: sizes.fold(Pt::ZERO, Pt::max),
        lines: 1,
        tie,
        items: cells.iter().flat_map(|cell| cell.items(index, index + 1, Pt::ZERO)).collect(),
        ..Strip::default()
    }
}

fn rules(cells: &[Cell], look: RowLook, y: Pt) -> Vec<Item> {
    let Some((stroke, reach)) = look.rule else {
        return Vec::new();
    };
    let last = cells.len().saturating_sub(1);
    cells
        .iter()
        .enumerate()
        .map(|(index, cell)| {
            let reach = if index == last { Pt::ZERO } else { reach };
            Item::rule(cell.column.x, y, cell.column.width + reach, stroke)
        })
        .collect()
}
