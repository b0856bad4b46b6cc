//! The one-line diagram: the house on one sheet, its symbols, and each panel with what hangs on it.

use std::collections::BTreeMap;

use deadfront_rules::drawing::{
    self, Cut, Emphasis, Marks, PartDrawn, one_line_in_parts, one_line_overview, one_line_with_ids,
};
use deadfront_rules::house::House;
use deadfront_rules::say;
use deadfront_rules::survey::{Id, Survey};
use deadfront_rules::words::word;

use super::{Report, scene, schedules};
use crate::paper::{self, Block, BlockKind, Drawing, Pt, Sheet, Span};

/// Small type in the drawings of panels is this share of the small type of the text, about 6.4 pt; a drawing
/// that would need less is cut into sheets. At 7 pt the largest panel of the demo falls into eight sheets, of
/// which some show little more than wires.
const SMALLEST: f64 = 0.8;
/// What is to be known before it is read.
const ABOUT: &str = "Beside each feeder stand its id, its conductor, the device ahead of it and the one at its end. \
                     Signs and words tell the worst that the checks say. A broken line is planned. Circuits and loads \
                     are on the sheets that follow.";
/// How the parts are to be read.
const PARTS: &str = "Each panel with what feeds it and what hangs on it. A dotted box names another panel, which has a \
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
    let whole = scene::with_letters(|letters| one_line_overview(&house, &marks, letters));
    let mut blocks = vec![
        Block::page_break(),
        Block::together(vec![
            Block::heading(1, "One-line diagram"),
            Block::paragraph(ABOUT).kept_with_next(),
            diagram(scene::drawing(&whole.scene).trimmed()),
        ]),
    ];
    blocks.extend(schedules::supplies(survey));
    blocks.extend(parts(report.sheet, survey, &house, &marks));
    blocks
}

/// The symbols, and the panels one by one.
fn parts(sheet: Sheet, survey: &Survey, house: &House<'_>, marks: &Marks) -> Vec<Block> {
    let legend =
        scene::with_letters(|letters| one_line_with_ids(house, marks, &Emphasis::new(), letters).legend);
    let parts = scene::with_letters(|letters| one_line_in_parts(house, marks, letters));
    let mut blocks = vec![Block::together(vec![
        Block::heading(2, "One-line, panel by panel"),
        Block::paragraph(PARTS),
        Block::heading(3, "Symbols of the one-line"),
        diagram(scene::drawing(&legend).trimmed()),
    ])];
    for part in &parts {
        blocks.extend(part_drawn(sheet, survey, part));
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

/// A panel's drawing, whole where its type stays large enough.
fn part_drawn(sheet: Sheet, survey: &Survey, part: &PartDrawn) -> Vec<Block> {
    let (width, height) = paper::largest_drawing(sheet);
    let title = title(survey, part.panel.as_ref());
    let mut whole = scene::drawing(&part.drawn.scene).trimmed();
    let share = (width.0 / whole.width.0).min(height.0 / whole.height.0);
    if share >= SMALLEST {
        // Narrow drawings get no larger type than wide ones.
        whole.width = whole.width.max(Pt(width.0 / SMALLEST));
        return vec![Block::together(vec![Block::heading(3, title), diagram(whole)])];
    }
    let units = |length: Pt| (length.0 / (scene::UNIT * SMALLEST)) as f32;
    let sheets = drawing::cut(&part.drawn.scene, units(width), units(height));
    drawn_sheets(width, &title, &sheets)
}

/// The name by which links lead to a sheet.
fn anchor(title: &str, at: usize) -> String {
    format!("one-line-{title}-{}", at + 1)
}

fn drawn_sheets(width: Pt, title: &str, sheets: &[Cut]) -> Vec<Block> {
    let of = |at: usize, cut: &Cut| {
        let named = say!("Sheet {} of {}", at + 1, sheets.len()).to_string();
        let heading = format!("{title}. {named}");
        let mut blocks = vec![Block::heading(3, heading).anchored(anchor(title, at))];
        if at == 0 {
            blocks.push(Block::paragraph(JOINTS).kept_with_next());
        }
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
