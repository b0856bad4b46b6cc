//! Signal words with their bars, notes in a box, and places to sign, as strips.

use std::rc::Rc;

use super::document::{Align, Block, SignalWord, Signature};
use super::drawing::{Drawing, Stroke};
use super::flow::{Column, Flow};
use super::flow_drawing::drawing_items;
use super::flow_rows::{Cell, RowLook, row_strips};
use super::flow_text::line_strip;
use super::laid::{Item, ItemKind, Role};
use super::lines::{natural_width, wrap};
use super::span::{Span, Text, Weight};
use super::strips::{FrameLook, Head, Strip, Tie};
use super::tokens::{
    BAR_WIDTH, BOX_PAD, COLUMN_GAP, Colour, FIGURE_GAP, HAIRLINE, RULE, SIGNATURE_HEIGHT, TextSize,
};
use super::units::{Point, Pt, Rect};

impl SignalWord {
    /// The word as it is printed.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Danger => "DANGER",
            Self::Warning => "WARNING",
            Self::Caution => "CAUTION",
            Self::Notice => "NOTICE",
        }
    }

    /// Fill of the word's field.
    pub const fn fill(self) -> Colour {
        match self {
            Self::Danger => Colour::Danger,
            Self::Warning => Colour::Warning,
            Self::Caution => Colour::Caution,
            Self::Notice => Colour::Notice,
        }
    }

    /// Colour of the word on its fill.
    pub const fn letters(self) -> Colour {
        match self {
            Self::Danger | Self::Notice => Colour::Paper,
            Self::Warning | Self::Caution => Colour::Black,
        }
    }

    /// The three words about people carry the alert triangle; NOTICE does not.
    const fn alerts(self) -> bool {
        !matches!(self, Self::Notice)
    }
}

/// Width of the alert triangle with its room.
const TRIANGLE: Pt = Pt(15.0);
/// Height of the field behind a signal word.
const FIELD_HEIGHT: Pt = Pt(15.5);
/// Between the title and what stands below it.
const TITLE_GAP: Pt = Pt(5.0);
/// Lines of a title that still stands again; a longer one would take the page from what is below it.
const MOST_AGAIN: usize = 3;
/// Behind the title where it stands again.
const CONTINUED: &str = ", continued";
/// Room left and right of the word in its field.
const FIELD_PAD: Pt = Pt(6.0);

impl Flow<'_> {
    pub(super) fn signal(&mut self, word: SignalWord, title: &Text, blocks: &[Block], column: Column) {
        let inner = column.indented(BAR_WIDTH + BOX_PAD);
        self.gap(FIGURE_GAP);
        let start = self.strips.len();
        self.title_strips(word, title, inner).into_iter().for_each(|strip| self.push(strip));
        let behind = self.strips.len();
        self.close_gap(TITLE_GAP);
        self.blocks(blocks, inner);
        self.continue_title(behind, word, title, inner);
        self.forget_gap();
        if blocks.is_empty() {
            self.tie_from(start, Tie::Hard);
        } else {
            self.tie_title(start);
        }
        let bar = Column { width: BAR_WIDTH, ..column };
        self.frame(start, bar, FrameLook::Bar(word.fill()), Pt::ZERO);
        self.gap(FIGURE_GAP);
    }

    /// The word and its title stay with what follows.
    fn tie_title(&mut self, start: usize) {
        let titles = self.strips.get_mut(start..).unwrap_or_default();
        let last = titles.len().saturating_sub(1);
        for strip in titles.iter_mut().take(last.min(1)) {
            strip.tie_at_least(Tie::Hard);
        }
    }

    /// Where the block goes on upon another page, its word and title stand again above it.
    fn continue_title(&mut self, from: usize, word: SignalWord, title: &Text, column: Column) {
        let mut title = title.clone();
        title.0.push(Span::new(CONTINUED));
        let strips = self.title_strips(word, &title, column);
        if strips.len() > MOST_AGAIN {
            return;
        }
        let mut items = Vec::new();
        let (mut height, mut lines) = (Pt::ZERO, 0);
        for strip in strips {
            items.extend(strip.items.into_iter().map(|item| item.moved(Pt::ZERO, height)));
            height += strip.height;
            lines += strip.lines;
        }
        let alone = Rc::new(Head { height: height + TITLE_GAP, items, lines });
        // Rows of one table share its head, so the two together are made once for all of them.
        let mut last: Option<(Rc<Head>, Rc<Head>)> = None;
        for strip in self.strips.iter_mut().skip(from) {
            let Some(own) = &strip.head else {
                strip.head = Some(Rc::clone(&alone));
                continue;
            };
            let both = match &last {
                Some((known, both)) if Rc::ptr_eq(known, own) => Rc::clone(both),
                _ => Rc::new(alone.above(own)),
            };
            last = Some((Rc::clone(own), Rc::clone(&both)));
            strip.head = Some(both);
        }
    }

    fn title_strips(&self, word: SignalWord, title: &Text, column: Column) -> Vec<Strip> {
        let letters = Text::from(Span::bold(word.word()).coloured(word.letters()));
        let width = natural_width(&letters, TextSize::Body, &self.known.anchors);
        let triangle = if word.alerts() { TRIANGLE } else { Pt::ZERO };
        let field = Column { x: column.x, width: width + triangle + FIELD_PAD * 2.0 };
        let beside = column.indented(field.width + BOX_PAD);
        let title = title.in_weight(Weight::Bold);
        let lines = wrap(&title, TextSize::Body, beside.width, &self.known.anchors);
        let mut strip = Strip { height: FIELD_HEIGHT, lines: 1, ..Strip::default() };
        strip.items = field_items(word, &letters, field, triangle);
        let (first, rest) = lines.split_first().map_or((None, [].as_slice()), |(a, b)| (Some(a), b));
        if let Some(line) = first {
            strip.items.extend(line.items(beside.x, Pt(1.0), beside.width, Align::Left, Role::Flow));
        }
        if !rest.is_empty() {
            strip.tie = Tie::Hard;
        }
        let mut strips = vec![strip];
        strips.extend(
            rest.iter()
                .map(|line| Strip { tie: Tie::Hard, ..line_strip(line, TextSize::Body, beside, Role::Flow) }),
        );
        strips
    }

    pub(super) fn note(&mut self, blocks: &[Block], column: Column) {
        let inner = Column { x: column.x + BOX_PAD, width: column.width - BOX_PAD * 2.0 };
        self.gap(FIGURE_GAP);
        let start = self.strips.len();
        self.blocks(blocks, inner);
        self.forget_gap();
        self.frame(start, column, FrameLook::Box, BOX_PAD * 0.75);
        self.gap(FIGURE_GAP);
    }

    pub(super) fn signatures(&mut self, places: &[Signature], column: Column) {
        let gap = COLUMN_GAP * 2.0;
        let width = (column.width - gap) / 2.0;
        self.gap(FIGURE_GAP);
        let all = self.strips.len();
        for pair in places.chunks(2) {
            let start = self.strips.len();
            let columns = [column.x, column.x + width + gap].map(|x| Column { x, width });
            self.push(ink_strip(pair, &columns));
            let cells: Vec<Cell> =
                pair.iter().zip(columns).map(|(place, column)| self.signature_words(place, column)).collect();
            let look = RowLook { pad: Pt(2.0), rule: None, highest: self.body_height / 4.0 };
            row_strips(&cells, look).into_iter().for_each(|strip| self.push(strip));
            if let Some(ink) = self.strips.get_mut(start) {
                ink.tie = Tie::Hard;
            }
            self.gap(FIGURE_GAP);
        }
        self.tie_from(all, Tie::Group);
    }

    fn signature_words(&self, place: &Signature, column: Column) -> Cell {
        let texts = [
            Text::from(Span::bold(place.role.clone())),
            Text::from(place.name.clone()),
            Text::from(Span::soft(place.signed.clone())),
        ];
        let lines =
            texts.iter().flat_map(|text| wrap(text, TextSize::Small, column.width, &self.known.anchors));
        Cell { column, align: Align::Left, lines: lines.map(|line| (line, TextSize::Small)).collect() }
    }
}

/// The lines to sign on, with the ink that is there.
fn ink_strip(pair: &[Signature], columns: &[Column]) -> Strip {
    let mut items = Vec::new();
    for (place, column) in pair.iter().zip(columns) {
        let stroke = Stroke::new(RULE.0, Colour::Ink);
        items.push(Item::rule(column.x, SIGNATURE_HEIGHT, column.width, stroke));
        if let Some(ink) = &place.ink {
            items.extend(ink_items(ink, *column));
        }
    }
    Strip { height: SIGNATURE_HEIGHT, items, ..Strip::default() }
}

fn ink_items(ink: &Drawing, column: Column) -> Vec<Item> {
    let room = SIGNATURE_HEIGHT - Pt(4.0);
    let scale = (column.width.0 / ink.width.0.max(1.0)).min(room.0 / ink.height.0.max(1.0));
    let (items, _) = drawing_items(ink, scale);
    let top = SIGNATURE_HEIGHT - Pt(2.0) - ink.height.max(Pt::ZERO) * scale;
    items.into_iter().map(|item| item.moved(column.x, top)).collect()
}

/// The field with the triangle and the word.
fn field_items(word: SignalWord, letters: &Text, field: Column, triangle: Pt) -> Vec<Item> {
    let rect = Rect::new(field.x, Pt::ZERO, field.width, FIELD_HEIGHT);
    let outline = Stroke::new(HAIRLINE.0, Colour::Ink);
    let mut items = vec![Item::filled(rect, Some(outline), Some(word.fill()))];
    if word.alerts() {
        items.extend(triangle_items(word, field.x + FIELD_PAD));
    }
    let pages = super::lines::PageNumbers::new();
    let column = field.indented(FIELD_PAD + triangle);
    let lines = wrap(letters, TextSize::Body, column.width, &pages);
    let words =
        lines.iter().flat_map(|line| line.items(column.x, Pt(1.0), column.width, Align::Left, Role::Flow));
    items.extend(words);
    items
}

/// The alert triangle with its exclamation mark, drawn in lines.
fn triangle_items(word: SignalWord, x: Pt) -> Vec<Item> {
    let (top, bottom, width) = (2.8, 12.6, 11.4);
    let at = |dx: f64, y: f64| Point { x: x + Pt(dx), y: Pt(y) };
    let polygon = |points: Vec<Point>, fill| Item {
        rect: Rect::new(x, Pt(top), Pt(width), Pt(bottom - top)),
        kind: ItemKind::Polygon { points, stroke: None, fill: Some(fill) },
        role: Role::Flow,
    };
    let middle = width / 2.0;
    let bar = |from: f64, to: f64, half: f64| {
        vec![
            at(middle - half, from),
            at(middle + half, from),
            at(middle + half * 0.7, to),
            at(middle - half * 0.7, to),
        ]
    };
    vec![
        polygon(vec![at(middle, top), at(width, bottom), at(0.0, bottom)], word.letters()),
        polygon(bar(6.0, 9.6, 0.75), word.fill()),
        polygon(bar(10.2, 11.6, 0.75), word.fill()),
    ]
}
