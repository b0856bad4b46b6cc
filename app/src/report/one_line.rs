//! The one-line diagram: the house on one sheet, its symbols, and each panel with what hangs on it.

use std::collections::BTreeMap;

use deadfront_rules::drawing::{
    self, Cut, Emphasis, Marks, one_line_in_parts, one_line_overview, one_line_with_ids,
};
use deadfront_rules::house::House;
use deadfront_rules::say;
use deadfront_rules::survey::{Id, Survey};
use deadfront_rules::words::word;

use super::{Report, scene, schedules};
use crate::paper::{self, Block, BlockKind, Drawing, Pt, Sheet, Span};

/// Small type in the drawings of panels is at least this share of the small type of the text: 7 pt.
const SMALLEST: f64 = 0.875;
/// What is to be known before it is read.
const ABOUT: &str = "Beside each feeder: its id, its conductor and the devices at its ends.";
/// How the parts are to be read.
const PARTS: &str = "Each panel with what feeds it and what hangs on it: its bus stands upright, and each way is a line beside it. A dotted box names another panel, which has a \
                     drawing of its own. Each item has its id before its name; with it the item is found in the \
                     schedules, the runs and the findings.";
/// How the sheets of a drawing that was cut hang together.
const JOINTS: &str = "The drawing is cut into sheets. Where a wire goes on over a cut, a circle with the same number \
                      stands on both sheets; below each sheet stands where its wires go on.";

pub(super) fn section(report: &Report<'_>) -> Vec<Block> {
    let survey = report.survey;
    if survey.supplies.is_empty() && survey.panels.is_empty() {
        return schedules::supplies(survey);
    }
    let house = House::new(survey);
    let marks = drawing::marks(report.assessment);
    let whole =
        scene::with_letters(|letters| one_line_overview(&house, &marks, letters, room(report.sheet).0));
    let mut blocks = vec![
        Block::page_break(),
        Block::together(vec![
            Block::heading(1, "One-line diagram"),
            Block::paragraph(ABOUT).kept_with_next(),
            diagram(scene::drawing(&whole.scene).trimmed()),
        ]),
    ];
    blocks.extend(schedules::supplies(survey));
    blocks.extend(parts(report.sheet, &house, &marks));
    blocks
}

/// The symbols, and the panels one by one.
fn parts(sheet: Sheet, house: &House<'_>, marks: &Marks) -> Vec<Block> {
    let legend =
        scene::with_letters(|letters| one_line_with_ids(house, marks, &Emphasis::new(), letters).legend);
    let parts = scene::with_letters(|letters| one_line_in_parts(house, marks, letters, room(sheet)));
    let mut first = vec![Block::heading(2, "One-line, panel by panel"), Block::paragraph(PARTS)];
    if parts.iter().any(|part| part.sheets.len() > 1) {
        first.push(Block::paragraph(JOINTS));
    }
    first.push(Block::heading(3, "Symbols of the one-line"));
    first.push(diagram(scene::drawing(&legend).trimmed()));
    let mut blocks = vec![Block::together(first)];
    for part in &parts {
        blocks.extend(part_drawn(sheet, &title(house.survey, part.panel.as_ref()), &part.sheets));
    }
    blocks
}

fn diagram(drawing: Drawing) -> Block {
    Block::new(BlockKind::Diagram(drawing))
}

fn title(survey: &Survey, panel: Option<&Id>) -> String {
    let known = panel.and_then(|id| survey.panels.iter().find(|panel| panel.id == *id));
    match known {
        Some(panel) => format!("{} {}", panel.id, panel.name),
        None => word("What no panel is joined to").to_owned(),
    }
}

/// Width and height of a page's largest drawing [units of a drawing].
fn room(sheet: Sheet) -> (f32, f32) {
    /// What is left around a drawing that was trimmed [pt].
    const AROUND: f64 = 7.0;
    let (width, height) = paper::largest_drawing(sheet);
    let units = |length: Pt| ((length.0 / SMALLEST - AROUND) / scene::UNIT) as f32;
    (units(width), units(height))
}

/// The name by which links lead to a sheet.
fn anchor(title: &str, at: usize) -> String {
    format!("one-line-{title}-{}", at + 1)
}

/// The sheets of a part, all in one size of type.
fn part_drawn(sheet: Sheet, title: &str, sheets: &[Cut]) -> Vec<Block> {
    let (width, _) = paper::largest_drawing(sheet);
    let of = |at: usize, cut: &Cut| {
        let named = say!("Sheet {} of {}", at + 1, sheets.len()).to_string();
        let heading = if sheets.len() > 1 { format!("{title}. {named}") } else { title.to_owned() };
        let mut blocks = vec![Block::heading(3, heading).anchored(anchor(title, at))];
        let joints = joints(title, at, sheets);
        let mut drawing = scene::drawing(&cut.scene).trimmed();
        drawing.width = drawing.width.max(Pt(width.0 / SMALLEST));
        let picture = diagram(drawing);
        blocks.push(if joints.is_empty() { picture } else { picture.kept_with_next() });
        if !joints.is_empty() {
            blocks.push(Block::paragraph(joints));
        }
        Block::together(blocks)
    };
    sheets.iter().enumerate().map(|(at, cut)| of(at, cut)).collect()
}

/// Where the wires of a sheet go on: `1, 2 on sheet 2; 7 on sheet 4`.
fn joints(title: &str, at: usize, sheets: &[Cut]) -> Vec<Span> {
    let mut on: BTreeMap<usize, Vec<String>> = BTreeMap::new();
    for number in &sheets[at].joints {
        let other =
            sheets.iter().enumerate().position(|(other, cut)| other != at && cut.joints.contains(number));
        if let Some(other) = other {
            on.entry(other).or_default().push(number.to_string());
        }
    }
    let mut spans = Vec::new();
    for (other, numbers) in on {
        spans.push(if spans.is_empty() { Span::soft("Wires go on:") } else { Span::new("") });
        spans.push(Span::new("   "));
        let words = say!("{} on sheet {}", numbers.join(", "), other + 1).to_string();
        spans.push(Span::link(words, anchor(title, other)));
    }
    spans
}
