//! The switching cards, each a page of its own, and why there is none where no order is safe.

use deadfront_rules::isolation::overview::{
    APPROVAL, CAUTION, MeetingOverview, OrderOverview, Overview, StepOverview,
};
use deadfront_rules::say;
use deadfront_rules::words::word;

use super::{Isolation, Way, mode_name};
use crate::paper::{
    Align, Block, BlockKind, Column, ColumnWidth, Drawing, Pt, Rect, Row, Shape, SignalWord, Signature, Span,
    Stroke, Text, TextSize, line_count,
};

/// Width of a step [pt]; no wider than the text of either sheet.
const WIDTH: f64 = 480.0;
/// Side of a check box, and where number and words begin [pt].
const CHECK_BOX: f64 = 13.0;
const NUMBER: f64 = 26.0;
const WORDS: f64 = 50.0;
/// Room between two steps [pt].
const AIR: f64 = 3.0;
/// Greatest height of steps in one drawing [pt].
const HIGHEST: f64 = 400.0;

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
            "Each order passes only through states in which no two sources meet that must not. An order without a card \
             is not to be switched, and neither is one whose card says that sources come too near.",
        ),
        Block::table(columns, rows.collect()),
    ]
}

/// The cards, each on a page with nothing else.
pub(super) fn pages(isolation: &Isolation<'_>, ways: &[Way<'_>]) -> Vec<Block> {
    let overview = &isolation.overview;
    let mut blocks = Vec::new();
    for (at, order) in overview.orders.iter().enumerate() {
        let Some(steps) = order.steps.as_ref().filter(|steps| !steps.is_empty()) else { continue };
        blocks.push(Block::page_break());
        blocks.extend(card(isolation, ways, order, steps, &anchor(at)));
    }
    if !blocks.is_empty() {
        blocks.push(Block::page_break());
    }
    blocks
}

fn anchor(at: usize) -> String {
    format!("card{at}")
}

pub(super) fn card(
    isolation: &Isolation<'_>,
    ways: &[Way<'_>],
    order: &OrderOverview,
    steps: &[StepOverview],
    anchor: &str,
) -> Vec<Block> {
    let overview = &isolation.overview;
    let (from, to) = (mode_name(overview, &order.from), mode_name(overview, &order.to));
    let title = say!("Switching card: from \"{}\" to \"{}\"", from, to).to_string();
    let mut blocks = vec![Block::heading(2, title).anchored(anchor)];
    let caution = vec![Block::paragraph(CAUTION), Block::paragraph(STOP)];
    blocks.push(Block::signal(
        SignalWord::Warning,
        "Not valid before a licensed electrician has approved it",
        caution,
    ));
    blocks.extend(too_near(isolation, ways, order));
    blocks.extend(all_steps(steps));
    blocks.push(Block::paragraph(order.still_live.to_string()));
    let place = |role: &'static str| Signature {
        role: word(role).to_owned(),
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

/// Sources that must not meet and that one wrong move joins, or none, in a mode that the card leaves or
/// reaches. A card is no leave to come so near.
fn too_near(isolation: &Isolation<'_>, ways: &[Way<'_>], order: &OrderOverview) -> Option<Block> {
    let mut near: Vec<Near<'_, '_>> = Vec::new();
    for way in ways.iter().filter(|way| way.meeting.wrong_moves.is_some_and(|moves| moves < 2)) {
        let modes = way.modes.iter().filter(|mode| mode.id == order.from || mode.id == order.to);
        let modes: Vec<String> = modes.map(|mode| format!("\"{}\"", mode.name)).collect();
        if modes.is_empty() {
            continue;
        }
        let one = Near { modes: modes.join(", "), devices: devices(way.meeting), ways: vec![way] };
        match near.iter_mut().find(|known| (&known.modes, &known.devices) == (&one.modes, &one.devices)) {
            Some(known) => known.ways.push(way),
            None => near.push(one),
        }
    }
    let lines: Vec<Block> = near.iter().map(|near| near.line(isolation)).collect();
    let title = "Sources that must not meet come too near in the modes of this card";
    (!lines.is_empty()).then(|| Block::signal(SignalWord::Danger, title, lines))
}

/// Pairs of sources that the same wrong move joins in the same modes.
struct Near<'w, 'a> {
    modes: String,
    /// Each of them alone is enough; empty where nothing has to stand wrong.
    devices: Vec<String>,
    ways: Vec<&'w Way<'a>>,
}

fn devices(meeting: &MeetingOverview) -> Vec<String> {
    meeting.witnesses.iter().flatten().map(|wrong| wrong.stand.words.to_string()).collect()
}

impl Near<'_, '_> {
    fn line(&self, isolation: &Isolation<'_>) -> Block {
        let pairs: Vec<String> = self.ways.iter().map(|way| isolation.pair(way.meeting)).collect();
        let (modes, pairs) = (self.modes.clone(), pairs.join("; "));
        let told = if self.devices.is_empty() {
            say!(
                "In the mode {} nothing keeps apart: {}. Fit what parts them before this card is used.",
                modes,
                pairs
            )
        } else {
            say!(
                "One wrong move in the mode {} joins {}: {}. Fit what parts them before this card is used.",
                modes,
                pairs,
                self.devices.join("; ")
            )
        };
        let mut spans = vec![Span::bold(told.to_string())];
        for way in &self.ways {
            let number = say!(" Way W{}, page ", way.number).to_string();
            spans.extend([Span::link(number, way.anchor()), Span::page_of(way.anchor()), Span::new(".")]);
        }
        Block::paragraph(spans)
    }
}

/// The steps, close below each other; a card of very many goes on in a drawing of its own.
pub(super) fn all_steps(steps: &[StepOverview]) -> Vec<Block> {
    let mut drawings: Vec<Drawing> = Vec::new();
    for (at, one) in steps.iter().enumerate() {
        let (shapes, height) = step(at + 1, one.words.to_string());
        match drawings.last_mut().filter(|last| last.height.0 + height <= HIGHEST) {
            Some(last) => {
                let top = last.height;
                last.shapes.extend(shapes.into_iter().map(|shape| shape.lowered(top)));
                last.height += Pt(height);
            }
            None => drawings.push(Drawing { width: Pt(WIDTH), height: Pt(height), shapes }),
        }
    }
    drawings.into_iter().map(|drawing| Block::new(BlockKind::Drawing(drawing))).collect()
}

/// A step: a box to check, its number, what is done; and its height.
fn step(number: usize, words: String) -> (Vec<Shape>, f64) {
    let words = Text::from(words);
    let lines = line_count(&words, TextSize::Body, Pt(WIDTH - WORDS));
    let height = (TextSize::Body.leading().0 * lines as f64).max(CHECK_BOX) + AIR;
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
        text(WORDS, WIDTH, words),
    ];
    (shapes, height)
}
