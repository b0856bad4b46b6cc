//! The one-line diagram: the whole as a key, its symbols, and sheets in which all can be read.

use std::collections::BTreeMap;

use deadfront_rules::drawing::{
    self, Cut, Emphasis, Paint, Rect as Frame, Scene, Shape, Stroke, Weight as Heavy, one_line_with_ids,
};
use deadfront_rules::house::House;
use deadfront_rules::say;

use super::{Report, scene};
use crate::paper::{
    self, Align, Block, BlockKind, Column, ColumnWidth, Drawing, Pt, Rect, Row, Span, Text, Weight,
};

/// Small type on the sheets is about this share of the small type of the text; the drawing takes fewer
/// sheets for it.
const SHARE: f64 = 0.84;
/// What is to be known before it is read.
const ABOUT: &str = "Sources stand at the top, what they feed below. Each item has its id before its name; with it the \
                     item is found in the schedules, the runs and the findings. A broken line is planned. Signs and \
                     words tell the worst that the checks say of an item.";
/// How the sheets hang together.
const JOINTS: &str = "The drawing is cut into sheets. Where a wire goes on over a cut, a circle with the same number \
                      stands on both sheets; below each sheet stands where its wires go on.";

pub(super) fn section(report: &Report<'_>) -> Vec<Block> {
    let survey = report.survey;
    if survey.supplies.is_empty() && survey.panels.is_empty() {
        return Vec::new();
    }
    let house = House::new(survey);
    let marks = drawing::marks(report.assessment);
    let drawn = scene::with_letters(|letters| one_line_with_ids(&house, &marks, &Emphasis::new(), letters));
    let (width, height) = paper::largest_drawing(report.sheet);
    let units = |length: Pt| (length.0 / (scene::UNIT * SHARE)) as f32;
    let sheets = drawing::cut(&drawn.scene, units(width), units(height));
    let mut blocks =
        vec![Block::page_break(), Block::heading(1, "One-line diagram"), Block::paragraph(ABOUT)];
    if sheets.len() > 1 {
        blocks.push(Block::paragraph(JOINTS).kept_with_next());
        blocks.push(diagram(key(&drawn.scene, &sheets, width)));
    }
    blocks.push(Block::together(vec![
        Block::heading(3, "Symbols of the one-line"),
        diagram(scene::drawing(&drawn.legend)),
    ]));
    blocks.extend(drawn_sheets(&sheets, &panels_cut(report, &drawn.scene, &sheets)));
    blocks.extend(index(&sheets));
    blocks
}

fn diagram(drawing: Drawing) -> Block {
    Block::new(BlockKind::Diagram(drawing))
}

/// The name by which links lead to a sheet.
fn anchor(at: usize) -> String {
    format!("one-line-{}", at + 1)
}

/// The panels of which each sheet shows a part without their name: that stands on another sheet.
fn panels_cut(report: &Report<'_>, scene: &Scene, sheets: &[Cut]) -> Vec<Vec<String>> {
    let parts = |cut: &Cut| {
        let panels = report.survey.panels.iter().map(|panel| panel.id.as_str());
        let here = panels.filter(|id| {
            let named = cut.scene.place_of(id).is_some();
            !named && scene.place_of(id).is_some_and(|place| place.overlaps(&cut.window, 1.0))
        });
        here.map(str::to_owned).collect()
    };
    sheets.iter().map(parts).collect()
}

fn drawn_sheets(sheets: &[Cut], panels: &[Vec<String>]) -> Vec<Block> {
    let of = |at: usize, cut: &Cut| {
        let title = if sheets.len() > 1 {
            say!("One-line, sheet {} of {}", at + 1, sheets.len()).to_string()
        } else {
            say!("One-line, whole").to_string()
        };
        let mut blocks = vec![Block::heading(3, title).anchored(anchor(at))];
        let mut joints = joints(at, sheets);
        if let Some(parts) = panels.get(at).filter(|parts| !parts.is_empty()) {
            let words = say!("Parts of {} stand here.", parts.join(", ")).to_string();
            joints.push(Span::soft(format!("   {words}")));
        }
        let picture = diagram(scene::drawing(&cut.scene).trimmed());
        blocks.push(if joints.is_empty() { picture } else { picture.kept_with_next() });
        if !joints.is_empty() {
            blocks.push(Block::paragraph(joints));
        }
        Block::together(blocks)
    };
    sheets.iter().enumerate().map(|(at, cut)| of(at, cut)).collect()
}

/// Where the wires of a sheet go on: `1, 2 on sheet 2; 7 on sheet 4`.
fn joints(at: usize, sheets: &[Cut]) -> Vec<Span> {
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
        spans.push(Span::link(words, anchor(other)));
    }
    spans
}

/// The whole drawing without its words, and over it the sheets with their numbers.
fn key(scene: &Scene, sheets: &[Cut], width: Pt) -> Drawing {
    let shrink = (width.0 / (f64::from(scene.width) * scene::UNIT)).min(1.0) as f32;
    let mut small = Scene { width: scene.width * shrink, height: scene.height * shrink, ..Scene::default() };
    small.shapes = scene.shapes.iter().filter_map(|shape| shrunk(shape, shrink)).collect();
    let frames: Vec<Frame> = sheets.iter().map(|cut| scaled(&cut.window, shrink)).collect();
    let edge = Stroke::new(Paint::Ink, Heavy::Line).dashed(deadfront_rules::drawing::Dash::Long);
    small.shapes.extend(frames.iter().map(|rect| Shape::Rect {
        rect: *rect,
        radius: 0.0,
        stroke: Some(edge),
        fill: None,
    }));
    let mut drawing = scene::drawing(&small);
    for (at, frame) in frames.iter().enumerate() {
        number(&mut drawing, at + 1, frame);
    }
    drawing
}

/// A sheet's number in its upper left corner.
fn number(drawing: &mut Drawing, number: usize, frame: &Frame) {
    let at = |units: f32| Pt(f64::from(units) * scene::UNIT);
    let plate = Rect::new(at(frame.x) + Pt(3.0), at(frame.y) + Pt(3.0), Pt(20.0), Pt(13.0));
    let edge = paper::Stroke::ink(0.6);
    drawing.shapes.push(paper::Shape::rect(plate, Some(edge), Some(paper::Colour::Paper)));
    drawing.shapes.push(paper::Shape::label(plate, number.to_string(), Weight::Bold, Align::Middle));
}

/// Lines and boxes smaller and thin; words and what is smaller than a dot are left out.
fn shrunk(shape: &Shape, by: f32) -> Option<Shape> {
    let thin = |stroke: &Stroke| match stroke.weight {
        Heavy::Bus => Stroke { weight: Heavy::Line, ..*stroke },
        _ => Stroke { weight: Heavy::Hair, dash: deadfront_rules::drawing::Dash::Solid, ..*stroke },
    };
    let small = |point: &drawing::Point| drawing::Point::new(point.x * by, point.y * by);
    match shape {
        Shape::Line { points, stroke } => {
            Some(Shape::Line { points: points.iter().map(small).collect(), stroke: thin(stroke) })
        }
        Shape::Rect { rect, stroke, fill, .. } => Some(Shape::Rect {
            rect: scaled(rect, by),
            radius: 0.0,
            stroke: stroke.as_ref().map(thin),
            fill: *fill,
        }),
        Shape::Path { path, stroke: Some(stroke), fill: None } => {
            let points = path.flattened().first()?.iter().map(small).collect();
            Some(Shape::Line { points, stroke: thin(stroke) })
        }
        Shape::Path { .. } | Shape::Circle { .. } | Shape::Text(_) => None,
    }
}

fn scaled(rect: &Frame, by: f32) -> Frame {
    Frame::new(rect.x * by, rect.y * by, rect.width * by, rect.height * by)
}

/// On which sheet each item stands.
fn index(sheets: &[Cut]) -> Vec<Block> {
    let rows = sheets.iter().enumerate().filter_map(|(at, cut)| {
        let mut ids: Vec<&str> = cut.scene.places.iter().map(|place| place.item.as_str()).collect();
        ids.sort_unstable();
        ids.dedup();
        let sheet = Text::from([Span::link((at + 1).to_string(), anchor(at))]);
        (!ids.is_empty()).then(|| Row::new(vec![sheet, ids.join(", ").into()]))
    });
    let rows: Vec<Row> = rows.collect();
    if sheets.len() < 2 || rows.is_empty() {
        return Vec::new();
    }
    let columns = vec![
        Column::text("Sheet", ColumnWidth::Auto),
        Column::text("Items on it", ColumnWidth::Fraction(1.0)),
    ];
    let heading = Block::heading(3, "Where each item stands in the one-line");
    vec![Block::together(vec![heading, Block::table(columns, rows)])]
}
