//! Tables and grids of labelled values, as strips.

use std::rc::Rc;

use super::document::{Align, Column as TableColumn, ColumnWidth, Row, Table};
use super::drawing::Stroke;
use super::flow::{Column, Flow};
use super::flow_rows::{Cell, RowLook, row_strips};
use super::lines::{Line, natural_width, widest_word, wrap};
use super::span::{Span, Text, Weight};
use super::strips::{Head, Strip, Tie};
use super::tokens::{
    COLUMN_GAP, Colour, DENSE_PAD, FIGURE_GAP, HAIRLINE, NARROWEST_COLUMN, ROW_PAD, RULE, TextSize,
};
use super::units::Pt;

impl Flow<'_> {
    pub(super) fn table(&mut self, table: &Table, column: Column) {
        let table = &with_a_column(table);
        let columns = self.place_columns(table, column);
        self.gap(FIGURE_GAP);
        let start = self.strips.len();
        let head = self.head(table, &columns);
        for (at, row) in table.rows.iter().enumerate() {
            let first = self.strips.len();
            self.row(row, table, &columns, head.as_ref());
            if at == 0 && table.rows.len() > 1 {
                self.keep_first_row(first);
            }
        }
        self.keep_last_row(start, table.rows.len());
        self.gap(FIGURE_GAP);
    }

    /// The head's strips; gives back what repeats on the next page.
    fn head(&mut self, table: &Table, columns: &[Column]) -> Option<Rc<Head>> {
        if table.columns.iter().all(|column| column.head.is_empty()) {
            return None;
        }
        let texts = table.columns.iter().map(|column| {
            let span = Span::bold(column.head.clone()).coloured(Colour::Soft);
            Text::from(span)
        });
        let texts: Vec<Text> = texts.collect();
        let cells = self.cells(&texts, table, columns);
        let look = self.look(Stroke::new(RULE.0, Colour::Ink));
        let strips = row_strips(&cells, look);
        let repeats = match strips.as_slice() {
            [whole] => {
                Some(Rc::new(Head { height: whole.height, items: whole.items.clone(), lines: whole.lines }))
            }
            // A head that has to be parted is too high to repeat.
            _ => None,
        };
        strips.into_iter().for_each(|strip| self.push(strip));
        self.tie_last(Tie::Hard);
        repeats
    }

    fn row(&mut self, row: &Row, table: &Table, columns: &[Column], head: Option<&Rc<Head>>) {
        let mut texts = row.cells.clone();
        join_surplus(&mut texts, columns.len());
        if row.strong {
            texts = texts.iter().map(|text| text.in_weight(Weight::Bold)).collect();
        }
        let cells = self.cells(&texts, table, columns);
        let mut look = self.look(if row.strong {
            Stroke::new(RULE.0, Colour::Soft)
        } else {
            Stroke::new(HAIRLINE.0, Colour::Rule)
        });
        if table.dense {
            look.pad = DENSE_PAD;
        }
        let mut strips = row_strips(&cells, look);
        if let Some(first) = strips.first_mut() {
            first.anchors.extend(row.anchor.clone());
        }
        for strip in strips {
            self.push(Strip { head: head.cloned(), ..strip });
        }
    }

    /// The first row does not stay behind alone with the head. A high one may: it fills its page.
    fn keep_first_row(&mut self, first: usize) {
        let highest = self.body_height / 8.0;
        if let Some([row]) = self.strips.get_mut(first..)
            && row.height < highest
        {
            row.tie_at_least(Tie::Group);
        }
    }

    /// The last row does not go to a new page alone.
    fn keep_last_row(&mut self, start: usize, rows: usize) {
        let count = self.strips.len();
        if rows < 2 || count < start + 2 {
            return;
        }
        if let Some(strip) = self.strips.get_mut(count - 2) {
            strip.tie_at_least(Tie::Group);
        }
    }

    fn look(&self, stroke: Stroke) -> RowLook {
        RowLook { pad: ROW_PAD, rule: Some((stroke, COLUMN_GAP)), highest: self.body_height / 4.0 }
    }

    fn cells(&self, texts: &[Text], table: &Table, columns: &[Column]) -> Vec<Cell> {
        let empty = Text::default();
        let texts = texts.iter().chain(std::iter::repeat(&empty));
        let looks = table.columns.iter().zip(columns);
        texts
            .zip(looks)
            .map(|(text, (look, column))| Cell {
                column: *column,
                align: look.align,
                lines: sized(wrap(text, TextSize::Small, column.width, &self.known.anchors), TextSize::Small),
            })
            .collect()
    }

    fn place_columns(&self, table: &Table, column: Column) -> Vec<Column> {
        let asked: Vec<Asked> = (0..table.columns.len()).map(|index| self.asked(table, index)).collect();
        let gap = column_gap(table.columns.len(), column.width);
        let gaps = gap * table.columns.len().saturating_sub(1) as f64;
        let widths = share_width(&table.columns, &asked, column.width - gaps);
        let mut x = column.x;
        let mut placed = Vec::new();
        for width in widths {
            placed.push(Column { x, width });
            x += width + gap;
        }
        placed
    }

    /// The widths that the content of a column asks for; the whole cells only where the column follows them.
    fn asked(&self, table: &Table, index: usize) -> Asked {
        let Some(column) = table.columns.get(index) else { return Asked::default() };
        let measure = |text: &Text| {
            let pages = &self.known.anchors;
            let words = widest_word(text, TextSize::Small, pages);
            let whole = match column.width {
                ColumnWidth::Auto => natural_width(text, TextSize::Small, pages),
                _ => words,
            };
            Asked { whole, words }
        };
        let head = measure(&Text::from(Span::bold(column.head.clone())));
        let cells = table.rows.iter().filter_map(|row| {
            let text = row.cells.get(index)?;
            Some(measure(&if row.strong { text.in_weight(Weight::Bold) } else { text.clone() }))
        });
        cells.fold(head, |widest, cell| Asked {
            whole: widest.whole.max(cell.whole),
            words: widest.words.max(cell.words),
        })
    }

    pub(super) fn key_values(&mut self, count: usize, pairs: &[(String, Text)], column: Column) {
        let count = count.clamp(1, 4);
        let share = count as f64;
        let width = (column.width - COLUMN_GAP * (share - 1.0)) / share;
        self.gap(FIGURE_GAP);
        for row in pairs.chunks(count) {
            let mut x = column.x;
            let mut cells = Vec::new();
            for (label, value) in row {
                cells.push(self.field(label, value, Column { x, width }));
                x += width + COLUMN_GAP;
            }
            let look = RowLook {
                rule: Some((Stroke::new(HAIRLINE.0, Colour::Rule), Pt::ZERO)),
                ..self.look(Stroke::ink(HAIRLINE.0))
            };
            row_strips(&cells, look).into_iter().for_each(|strip| self.push(strip));
        }
        self.gap(FIGURE_GAP);
    }

    fn field(&self, label: &str, value: &Text, column: Column) -> Cell {
        let label = Text::from(Span::soft(label.to_owned()));
        let mut lines =
            sized(wrap(&label, TextSize::Small, column.width, &self.known.anchors), TextSize::Small);
        let value = wrap(value, TextSize::Body, column.width, &self.known.anchors);
        lines.extend(sized(value, TextSize::Body));
        Cell { column, align: Align::Left, lines }
    }
}

fn sized(lines: Vec<Line>, size: TextSize) -> Vec<(Line, TextSize)> {
    lines.into_iter().map(|line| (line, size)).collect()
}

/// A table without columns gets one, so that no cell is lost.
fn with_a_column(table: &Table) -> Table {
    let mut table = table.clone();
    if table.columns.is_empty() {
        table.columns.push(TableColumn::text("", ColumnWidth::Fraction(1.0)));
    }
    table
}

fn join_surplus(texts: &mut Vec<Text>, columns: usize) {
    if texts.len() <= columns || columns == 0 {
        return;
    }
    let surplus = texts.split_off(columns);
    if let Some(last) = texts.last_mut() {
        for text in surplus {
            last.0.push(Span::new("\n"));
            last.0.extend(text.0);
        }
    }
}

/// Between two columns; less where there are very many.
fn column_gap(count: usize, width: Pt) -> Pt {
    const MOST_SHARE: f64 = 0.3;
    let gaps = count.saturating_sub(1).max(1) as f64;
    COLUMN_GAP.min(width * MOST_SHARE / gaps)
}

/// Widths of the columns that together fill `room`.
///
/// Fixed and automatic columns come first; fractions share what is left. When that is too little, the
/// automatic columns give way, then all others, none below its least width.
fn share_width(columns: &[TableColumn], asked: &[Asked], room: Pt) -> Vec<Pt> {
    let least = least_widths(columns, asked, room);
    let mut widths = first_widths(columns, asked, &least);
    give_way(&mut widths, &least, room, |index| {
        columns.get(index).is_some_and(|column| column.width == ColumnWidth::Auto)
    });
    give_way(&mut widths, &least, room, |_| true);
    let spare = (room - widths.iter().copied().sum()).max(Pt::ZERO);
    let fractions: f64 = columns.iter().map(fraction).sum();
    if fractions > 0.0 {
        share_fractions(&mut widths, &least, columns, fractions, room);
    } else {
        stretch(&mut widths, columns, spare);
    }
    widths
}

/// What the content of a column asks for.
#[derive(Debug, Clone, Copy, Default)]
struct Asked {
    /// No cell has a second line.
    whole: Pt,
    /// No word is broken.
    words: Pt,
}

/// Widths below which words would be broken. Where they have no room beside each other, the columns of
/// the longest words give way.
fn least_widths(columns: &[TableColumn], asked: &[Asked], room: Pt) -> Vec<Pt> {
    let even = room / columns.len().max(1) as f64;
    let plain = |column: &TableColumn| match column.width {
        ColumnWidth::Fraction(_) => (NARROWEST_COLUMN * 2.0).min(even),
        _ => NARROWEST_COLUMN.min(even),
    };
    let plain: Vec<Pt> = columns.iter().map(plain).collect();
    let mut least: Vec<Pt> = plain.iter().zip(asked).map(|(plain, asked)| plain.max(asked.words)).collect();
    let floor: Vec<Pt> =
        least.iter().zip(&plain).map(|(least, plain)| (*least).min((*plain).max(even))).collect();
    give_way(&mut least, &floor, room, |_| true);
    least
}

fn first_widths(columns: &[TableColumn], asked: &[Asked], least: &[Pt]) -> Vec<Pt> {
    let first = |((column, asked), least): ((&TableColumn, &Asked), &Pt)| match column.width {
        ColumnWidth::Fixed(width) => width.to_pt().within(*least, Pt(f64::MAX)),
        ColumnWidth::Auto => asked.whole.max(*least),
        ColumnWidth::Fraction(_) => *least,
    };
    columns.iter().zip(asked).zip(least).map(first).collect()
}

/// Takes what is too much from the chosen columns, in proportion to what each has above its least.
fn give_way(widths: &mut [Pt], least: &[Pt], room: Pt, chosen: impl Fn(usize) -> bool) {
    let too_much = widths.iter().copied().sum::<Pt>() - room;
    let above = |(index, (width, least)): (usize, (&Pt, &Pt))| chosen(index).then_some(*width - *least);
    let can_give: Pt = widths.iter().zip(least).enumerate().filter_map(above).sum();
    if too_much <= Pt::ZERO || can_give <= Pt::ZERO {
        return;
    }
    let keep = 1.0 - (too_much.0 / can_give.0).min(1.0);
    for (index, (width, least)) in widths.iter_mut().zip(least).enumerate() {
        if chosen(index) {
            *width = *least + (*width - *least) * keep;
        }
    }
}

fn fraction(column: &TableColumn) -> f64 {
    match column.width {
        ColumnWidth::Fraction(share) if share.is_finite() => share.clamp(0.01, 1000.0),
        ColumnWidth::Fraction(_) => 1.0,
        _ => 0.0,
    }
}

fn share_fractions(widths: &mut [Pt], least: &[Pt], columns: &[TableColumn], fractions: f64, room: Pt) {
    let others = widths.iter().zip(columns).filter(|(_, column)| fraction(column) <= 0.0);
    let rest = room - others.map(|(width, _)| *width).sum();
    for ((width, least), column) in widths.iter_mut().zip(least).zip(columns) {
        if fraction(column) > 0.0 {
            *width = (rest * (fraction(column) / fractions)).max(*least);
        }
    }
    give_way(widths, least, room, |index| columns.get(index).is_some_and(|column| fraction(column) > 0.0));
}

/// Gives spare width to the automatic columns in proportion.
fn stretch(widths: &mut [Pt], columns: &[TableColumn], spare: Pt) {
    let automatic = |column: &TableColumn| column.width == ColumnWidth::Auto;
    let all = widths.iter().zip(columns).filter(|(_, column)| automatic(column));
    let total: Pt = all.map(|(width, _)| *width).sum();
    if total <= Pt::ZERO {
        return;
    }
    for (width, column) in widths.iter_mut().zip(columns) {
        if automatic(column) {
            *width += spare * (width.0 / total.0);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::paper::units::Mm;

    fn widths(kinds: &[ColumnWidth], naturals: &[f64]) -> Vec<f64> {
        let asked: Vec<Asked> =
            naturals.iter().map(|whole| Asked { whole: Pt(*whole), words: Pt::ZERO }).collect();
        widths_of(kinds, &asked)
    }

    fn widths_of(kinds: &[ColumnWidth], asked: &[Asked]) -> Vec<f64> {
        let columns: Vec<TableColumn> = kinds.iter().map(|width| TableColumn::text("", *width)).collect();
        let widths = share_width(&columns, asked, Pt(390.0));
        widths.iter().map(|width| width.0).collect()
    }

    #[test]
    fn fractions_share_what_fixed_and_automatic_columns_leave() {
        use ColumnWidth::{Auto, Fixed, Fraction};
        let got = widths(&[Fixed(Mm(25.4)), Auto, Fraction(1.0), Fraction(2.0)], &[0.0, 48.0, 0.0, 0.0]);
        assert_eq!(got.first().map(|w| w.round()), Some(72.0));
        assert_eq!(got.get(1).map(|w| w.round()), Some(48.0));
        assert!((got[3] - 2.0 * got[2]).abs() < 1e-9);
        assert!((got.iter().sum::<f64>() - 390.0).abs() < 1e-9);
    }

    #[test]
    fn columns_too_wide_for_the_page_become_narrower() {
        use ColumnWidth::{Auto, Fixed};
        let got = widths(&[Auto, Auto, Fixed(Mm(500.0))], &[900.0, 300.0, 0.0]);
        assert!(got.iter().sum::<f64>() <= 390.0 + 1e-9);
        assert!(got.iter().all(|width| *width >= 24.0));
    }

    #[test]
    fn no_column_is_narrower_than_its_longest_word_while_there_is_room() {
        use ColumnWidth::{Auto, Fraction};
        let asked = |whole: f64, words: f64| Asked { whole: Pt(whole), words: Pt(words) };
        let got = widths_of(
            &[Auto, Fraction(0.1), Fraction(0.9), Auto],
            &[asked(300.0, 60.0), asked(80.0, 80.0), asked(90.0, 90.0), asked(200.0, 50.0)],
        );
        for (width, words) in got.iter().zip([60.0, 80.0, 90.0, 50.0]) {
            assert!(*width >= words - 1e-9, "{got:?}");
        }
        assert!((got.iter().sum::<f64>() - 390.0).abs() < 1e-6, "{got:?}");
        let long = widths_of(&[Auto, Fraction(1.0)], &[asked(40.0, 40.0), asked(900.0, 900.0)]);
        assert!(long[0] >= 40.0 - 1e-9 && long.iter().sum::<f64>() <= 390.0 + 1e-9, "{long:?}");
    }

    #[test]
    fn surplus_cells_join_the_last_column() {
        let mut texts = vec![Text::from("a"), Text::from("b"), Text::from("c")];
        join_surplus(&mut texts, 2);
        assert_eq!(texts.last().unwrap().plain(), "b\nc");
    }
}
