//! Interlocks: a dashed link between the handles that it ties, in a lane of its own above the bus.

use super::Drawing;
use super::Sheet;
use super::graph::Graph;
use super::narrow_mark;
use super::panel_box::Devices;
use super::symbols::Symbol;
use crate::drawing::canvas::Style;
use crate::drawing::names::name;
use crate::drawing::scene::{Dash, Paint, Rect, Stroke, TextSize, Weight};
use crate::house::Item;
use crate::say;
use crate::survey::{Interlock, InterlockKind};

/// Height of a lane [units].
pub(super) const LANE: f32 = 38.0;

/// The interlocks that tie a way of this panel.
pub(super) fn of_panel(sheet: &Sheet<'_>, graph: &Graph, panel: usize) -> Vec<(usize, Vec<usize>)> {
    let units = |interlock: &Interlock| {
        let mut units: Vec<usize> = interlock
            .ways
            .iter()
            .filter_map(|way| match sheet.house.index.get(way) {
                Some(Item::Way(at, way)) if at == panel => Some(graph.panels[panel].unit_of(way)),
                _ => None,
            })
            .collect();
        units.sort_unstable();
        units.dedup();
        units
    };
    let numbered = sheet.house.survey.interlocks.iter().enumerate();
    numbered.map(|(at, interlock)| (at, units(interlock))).filter(|(_, units)| !units.is_empty()).collect()
}

/// Draws the lanes of a panel.
pub(super) fn draw(drawing: &mut Drawing<'_>, panel: usize, frame: Rect, top: f32, devices: &Devices) {
    let links = of_panel(&drawing.sheet, &drawing.plan.graph, panel);
    for (lane, (at, units)) in links.iter().enumerate() {
        let y = top + LANE * lane as f32 + LANE - 8.0;
        draw_link(drawing, *at, units, frame, y, devices);
    }
}

fn draw_link(drawing: &mut Drawing<'_>, at: usize, units: &[usize], frame: Rect, y: f32, devices: &Devices) {
    let interlock = &drawing.sheet.house.survey.interlocks[at];
    drawing.symbols.insert(Symbol::Interlock);
    let stroke = Stroke::new(drawing.sheet.stroke(&interlock.id).paint, Weight::Line).dashed(Dash::Dashed);
    let ends: Vec<(f32, f32, f32)> = units
        .iter()
        .filter_map(|unit| devices.get(unit))
        .map(|(centre, level)| {
            if *level {
                (centre.x, centre.y - 14.0, centre.x)
            } else {
                (centre.x - 16.0, centre.y, centre.x - 4.0)
            }
        })
        .collect();
    let Some(first) = ends.iter().map(|(x, ..)| *x).min_by(f32::total_cmp) else { return };
    let last = ends.iter().map(|(x, ..)| *x).fold(first, f32::max);
    if last > first {
        drawing.canvas.line(&[(first, y), (last, y)], stroke);
    }
    for (x, end, handle) in &ends {
        drawing.canvas.line(&[(*x, y), (*x, end.max(y)), (*handle, *end)], stroke);
    }
    words(drawing, interlock, frame, y, (first, last), units.len());
}

/// The name above its lane, where no wire comes down.
fn words(
    drawing: &mut Drawing<'_>,
    interlock: &Interlock,
    frame: Rect,
    y: f32,
    (first, last): (f32, f32),
    here: usize,
) {
    let letters = drawing.sheet.letters;
    let mut stops: Vec<f32> = drawing
        .plan
        .slots
        .port_x
        .iter()
        .enumerate()
        .filter_map(|(port, x)| {
            let piece = drawing.plan.layers.pieces[port / 2];
            let inside = port % 2 == 1
                && !piece.is_loop()
                && drawing.plan.frame(piece.lower.node).y <= y
                && drawing.plan.frame(piece.lower.node).bottom() >= y;
            (inside && (frame.x..=frame.right()).contains(x)).then_some(*x)
        })
        .collect();
    stops.extend([first, last.max(first), frame.right()]);
    stops.sort_by(f32::total_cmp);
    let gaps = stops.windows(2).filter(|pair| pair[0] >= first - 0.5 && pair[1] > pair[0] + 1.0);
    let gap = gaps.max_by(|a, b| (a[1] - a[0]).total_cmp(&(b[1] - b[0])));
    let (left, right) = gap.map_or((first, frame.right()), |pair| (pair[0], pair[1]));
    let mut text = if interlock.name.is_empty() { interlock.id.to_string() } else { interlock.name.clone() };
    if interlock.intact.get() == Some(false) {
        text = letters.say(&say!("not complete: {}", text));
    }
    if matches!(interlock.kind.get(), Some(InterlockKind::Label | InterlockKind::Promise)) {
        text = letters.say(&say!("ties nothing: {}", text));
    }
    if here < interlock.ways.len() {
        let others: Vec<String> = interlock
            .ways
            .iter()
            .filter(|way| !in_frame(drawing, way, frame))
            .map(|way| name(drawing.sheet.house, way, &letters))
            .collect();
        if !others.is_empty() {
            text = letters.say(&say!("{} (with {})", text, others.join(", ")));
        }
    }
    let rect = Rect::new(left + 8.0, y - 22.0, (right - left - 16.0).max(0.0), TextSize::Small.line());
    let mark = drawing.sheet.marks.get(&interlock.id).copied();
    let room = mark.map_or(0.0, |mark| if mark.falls_short() { 92.0 } else { 24.0 });
    let text_frame = Rect { width: (rect.width - room).max(0.0), ..rect };
    let width = drawing.canvas.text(text_frame, Style::SMALL.in_paint(Paint::Ink), &text);
    if let Some(mark) = mark.filter(|_| rect.width > room) {
        narrow_mark(&mut drawing.canvas, mark, rect.x + width + 6.0, rect.centre().y);
    }
    let placed = drawing.canvas.scene.places.iter().any(|place| place.item == interlock.id);
    if !placed {
        let place = Rect::new(first, y - 24.0, (last - first).max(60.0), 28.0);
        drawing.canvas.control(&interlock.id, place);
    }
}

/// Whether a way was drawn inside this box.
fn in_frame(drawing: &Drawing<'_>, way: &crate::survey::Id, frame: Rect) -> bool {
    let place = drawing.canvas.scene.places.iter().find(|place| place.item == *way);
    place.is_some_and(|place| frame.holds(&place.rect, 1.0))
}
