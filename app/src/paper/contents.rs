//! The list of headings with their pages.

use super::document::{Align, Block, BlockKind, Document};
use super::flow::{Column, Flow};
use super::flow_rows::{Cell, RowLook, row_strips};
use super::laid::{Item, ItemKind, LaidHeading, PagePlace, Role};
use super::lines::{Line, natural_width, wrap};
use super::span::{Span, Text};
use super::tokens::{BLOCK_GAP, COLUMN_GAP, Colour, INDENT, TextSize};
use super::units::{Pt, Rect};

/// By this name and its number a heading is found from the list.
pub(super) fn heading_anchor(index: usize) -> String {
    format!("\u{1}heading-{index}")
}

impl Flow<'_> {
    pub(super) fn contents(&mut self, deepest: u8, from: usize, column: Column) {
        let known = self.known;
        let widest = Text::from("0000");
        let number = natural_width(&widest, TextSize::Body, &known.anchors);
        self.gap(BLOCK_GAP);
        for (index, heading) in known.headings.iter().enumerate().skip(from) {
            if heading.level <= deepest {
                self.entry(index, heading, column, number);
            }
        }
        self.gap(BLOCK_GAP);
    }

    fn entry(&mut self, index: usize, heading: &LaidHeading, column: Column, number: Pt) {
        let title = if heading.level == 1 {
            Span::bold(heading.text.clone())
        } else {
            Span::soft(heading.text.clone())
        };
        let indent = INDENT * f64::from(heading.level.saturating_sub(1));
        let words = Column { x: column.x + indent, width: column.width - indent - number - COLUMN_GAP };
        let page = Column { x: column.x + column.width - number, width: number };
        let page_text = Span::new(heading.place.page.to_string()).coloured(Colour::Ink);
        let cells = [
            self.contents_cell(&Text::from(title), words, Align::Left),
            self.contents_cell(&Text::from(page_text), page, Align::Right),
        ];
        let look = RowLook { pad: Pt(1.0), rule: None, highest: self.body_height / 4.0 };
        for mut strip in row_strips(&cells, look) {
            strip.items.push(Item {
                rect: Rect::new(column.x, Pt::ZERO, column.width, strip.height),
                kind: ItemKind::Link { anchor: heading_anchor(index) },
                role: Role::Flow,
            });
            self.push(strip);
        }
    }

    fn contents_cell(&self, text: &Text, column: Column, align: Align) -> Cell {
        let lines = wrap(text, TextSize::Body, column.width, &self.known.anchors);
        let lines: Vec<(Line, TextSize)> = lines.into_iter().map(|line| (line, TextSize::Body)).collect();
        Cell { column, align, lines }
    }
}

/// The headings of a document in reading order, before they have a place.
pub(super) fn headings_of(document: &Document) -> Vec<LaidHeading> {
    let mut headings = Vec::new();
    for block in all_blocks(document) {
        if let BlockKind::Heading { level, text } = &block.kind {
            headings.push(LaidHeading {
                level: (*level).clamp(1, 3),
                text: text.plain(),
                place: PagePlace { page: 0, y: Pt::ZERO },
            });
        }
    }
    headings
}

/// How many headings there are among blocks.
#[must_use]
pub fn headings(blocks: &[Block]) -> usize {
    let mut found = Vec::new();
    collect(blocks, &mut found);
    found.into_iter().filter(|block| matches!(block.kind, BlockKind::Heading { .. })).count()
}

/// Every block, those inside others as well, in reading order.
pub(crate) fn all_blocks(document: &Document) -> Vec<&Block> {
    let mut found = Vec::new();
    if let Some(cover) = &document.cover {
        collect(&cover.blocks, &mut found);
        collect(&cover.foot, &mut found);
    }
    collect(&document.blocks, &mut found);
    found
}

fn collect<'a>(blocks: &'a [Block], found: &mut Vec<&'a Block>) {
    for block in blocks {
        found.push(block);
        match &block.kind {
            BlockKind::Signal { blocks, .. } | BlockKind::Note(blocks) | BlockKind::Together(blocks) => {
                collect(blocks, found)
            }
            _ => {}
        }
    }
}
