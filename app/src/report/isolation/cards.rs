//! The switching cards, each a page of its own, and why there is none where no order is safe.

use deadfront_rules::isolation::overview::{APPROVAL, CAUTION, OrderOverview, Overview, StepOverview};
use deadfront_rules::say;

use super::mode_name;
use crate::paper::{
    Align, Block, BlockKind, Column, ColumnWidth, Drawing, Pt, Rect, Row, Shape, SignalWord, Signature, Span,
    Stroke, Text, TextSize,
};

/// Width of a step [pt]; no wider than the text of either sheet.
const WIDTH: f64 = 480.0;
/// Side of a check box, and where number and words begin [pt].
const CHECK_BOX: f64 = 15.0;
const NUMBER: f64 = 26.0;
const WORDS: f64 = 50.0;
/// Height of a line of words, and letters that surely fit in one [pt].
const LINE: f64 = 13.5;
const LETTERS: usize = 72;

const STOP: &str = "Every person in the house knows of it. If a device does not move, a light shows that it should not, or \
                    anything else is not as written: stop, touch nothing more, and call the licensed electrician.";

/// All orders, with the page of each card.
pub(super) fn list(overview: &Overview) -> Vec<Block> {
    if overview.orders.is_empty() {
        return Vec::new();
    }
    let rows = overview.orders.iter().enumerate().map(|(at, order)| {
        let card = match &order.steps {
            Some(steps) if steps.is_empty() => "Nothing is moved.".into(),
            Some(_) => {
                Text::from([Span::link("card", anchor(at)), Span::new(" "), Span::page_of(anchor(at))])
            }
            None => Text::from([Span::bold("No safe order. "), Span::new(order.missing.to_string())]),
        };
        Row::new(vec![mode_name(overview, &order.from).into(), mode_name(overview, &order.to).into(), card])
    });
    let columns = vec![
        Column::text("From", ColumnWidth::Fraction(0.25)),
        Column::text("To", ColumnWidth::Fraction(0.25)),
        Column::text("Switching card, page", ColumnWidth::Fraction(0.5)),
    ];
    vec![
        Block::heading(2, "Switching orders"),
        Block::paragraph(
            "Each order passes only through states in which no two sources meet that must not. An order that is not \
             listed as safe is not to be switched.",
        ),
        Block::table(columns, rows.collect()),
    ]
}

/// The cards, each on a page with nothing else.
pub(super) fn pages(overview: &Overview) -> Vec<Block> {
    let mut blocks = Vec::new();
    for (at, order) in overview.orders.iter().enumerate() {
        let Some(steps) = order.steps.as_ref().filter(|steps| !steps.is_empty()) else { continue };
        blocks.push(Block::page_break());
        blocks.extend(card(overview, order, steps, &anchor(at)));
    }
    if !blocks.is_empty() {
        blocks.push(Block::page_break());
    }
    blocks
}

fn anchor(at: usize) -> String {
    format!("card{at}")
}

fn card(overview: &Overview, order: &OrderOverview, steps: &[StepOverview], anchor: &str) -> Vec<Block> {
    let (from, to) = (mode_name(overview, &order.from), mode_name(overview, &order.to));
    let title = say!("Switching card: from \"{}\" to \"{}\"", from, to).to_string();
    let mut blocks = vec![Block::heading(2, title).anchored(anchor)];
    let caution = vec![Block::paragraph(CAUTION), Block::paragraph(STOP)];
    blocks.push(Block::signal(
        SignalWord::Warning,
        "Not valid before a licensed electrician has approved it",
        caution,
    ));
    blocks.extend(steps.iter().enumerate().map(|(at, one)| step(at + 1, one.words.to_string())));
    let place = |role: &str| Signature {
        role: role.to_owned(),
        name: String::new(),
        signed: String::new(),
        ink: None,
    };
    blocks.push(Block::together(vec![
        Block::paragraph(APPROVAL).kept_with_next(),
        Block::new(BlockKind::Signatures(vec![
            place("Licensed electrician: name and licence number"),
            place("Signature and date"),
        ])),
    ]));
    blocks
}

/// A step: a box to check, its number, what is done.
fn step(number: usize, words: String) -> Block {
    let lines = words.chars().count().div_ceil(LETTERS).max(1);
    let height = (LINE * lines as f64).max(CHECK_BOX) + 3.0;
    let boxed = Rect::new(Pt(1.0), Pt((height - CHECK_BOX) / 2.0), Pt(CHECK_BOX), Pt(CHECK_BOX));
    let text = |from: f64, to: f64, text: Text| Shape::Text {
        rect: Rect::new(Pt(from), Pt(0.0), Pt(to - from), Pt(height)),
        text,
        size: TextSize::Body,
        align: Align::Left,
    };
    let shapes = vec![
        Shape::rect(boxed, Some(Stroke::ink(1.2)), None),
        text(NUMBER, WORDS - 2.0, Span::bold(format!("{number}.")).into()),
        text(WORDS, WIDTH, words.into()),
    ];
    Block::new(BlockKind::Drawing(Drawing { width: Pt(WIDTH), height: Pt(height), shapes }))
}
