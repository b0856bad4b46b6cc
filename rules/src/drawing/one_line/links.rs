//! Interlocks: a dashed link between the handles that it ties, in a lane of its own above the bus.

use super::Drawing;
use super::Sheet;
use super::graph::Graph;
use super::narrow_mark;
use super::panel_box::Devices;
use super::symbols::Symbol;
use crate::drawing::canvas::Style;
use crate::drawing::letters::Letters;
use crate::drawing::names::name;
use crate::drawing::scene::{Dash, Paint, Point, Rect, Stroke, TextSize, Weight};
use crate::drawing::words::unknown;
use crate::finding::Arg;
use crate::house::Item;
use crate::say;
use crate::survey::{Fact, Id, Interlock, InterlockKind};

/// Height of a lane [units].
pub(super) const LANE: f32 = 56.0;

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
    // Where the links of the lanes above come down.
    let mut drops: Vec<f32> = Vec::new();
    for (lane, (at, units)) in links.iter().enumerate() {
        let y = top + LANE * lane as f32 + LANE - 8.0;
        let ends: Vec<Handle> = units.iter().filter_map(|unit| devices.get(unit)).map(Handle::of).collect();
        draw_link(drawing, *at, units.len(), frame, y, &ends, &drops);
        drops.extend(ends.iter().map(|end| end.x));
    }
}

/// Where a link comes down to a handle.
struct Handle {
    x: f32,
    /// The handle itself.
    to: (f32, f32),
}

impl Handle {
    fn of((centre, level): &(Point, bool)) -> Self {
        if *level {
            Self { x: centre.x, to: (centre.x, centre.y - 14.0) }
        } else {
            Self { x: centre.x - 16.0, to: (centre.x - 4.0, centre.y) }
        }
    }
}

fn draw_link(
    drawing: &mut Drawing<'_>,
    at: usize,
    here: usize,
    frame: Rect,
    y: f32,
    ends: &[Handle],
    drops: &[f32],
) {
    let interlock = &drawing.sheet.house.survey.interlocks[at];
    let ties = ties(interlock);
    drawing.symbols.insert(if ties { Symbol::Interlock } else { Symbol::Label });
    let dash = if ties { Dash::Dashed } else { Dash::Dotted };
    let stroke = Stroke::new(drawing.sheet.stroke(&interlock.id).paint, Weight::Line).dashed(dash);
    let Some(first) = ends.iter().map(|end| end.x).min_by(f32::total_cmp) else { return };
    let last = ends.iter().map(|end| end.x).fold(first, f32::max);
    if last > first {
        drawing.canvas.line(&[(first, y), (last, y)], stroke);
    }
    for Handle { x, to } in ends {
        drawing.canvas.line(&[(*x, y), (*x, to.1.max(y)), *to], stroke);
    }
    let (left, right) = widest_gap(drawing, frame, y, (first, last), drops);
    let rect = Rect::new(left + 8.0, y - 22.0, (right - left - 16.0).max(0.0), TextSize::Small.line());
    let text = told(drawing, interlock, frame, here);
    words(drawing, interlock, rect, &text);
    let placed = drawing.canvas.scene.places.iter().any(|place| place.item == interlock.id);
    if !placed {
        let place = Rect::new(first, y - 24.0, (last - first).max(60.0), 28.0);
        drawing.canvas.control(&interlock.id, place);
    }
}

/// A label or a promise ties nothing.
fn ties(interlock: &Interlock) -> bool {
    !matches!(interlock.kind.get(), Some(InterlockKind::Label | InterlockKind::Promise))
}

/// The widest room above a lane through which no wire and no other link comes down.
fn widest_gap(
    drawing: &Drawing<'_>,
    frame: Rect,
    y: f32,
    (first, last): (f32, f32),
    drops: &[f32],
) -> (f32, f32) {
    let wires = drawing.plan.slots.port_x.iter().enumerate().filter(|(port, _)| {
        let piece = drawing.plan.layers.pieces[port / 2];
        let lower = drawing.plan.frame(piece.lower.node);
        port % 2 == 1 && !piece.is_loop() && lower.y <= y && lower.bottom() >= y
    });
    let wires = wires.map(|(_, x)| *x).filter(|x| (frame.x..=frame.right()).contains(x));
    let mut stops: Vec<f32> = wires.chain(drops.iter().copied()).collect();
    stops.extend([first, last.max(first), frame.right()]);
    stops.sort_by(f32::total_cmp);
    let gaps = stops.windows(2).filter(|pair| pair[0] >= first - 0.5 && pair[1] > pair[0] + 1.0);
    let gap = gaps.max_by(|a, b| (a[1] - a[0]).total_cmp(&(b[1] - b[0])));
    gap.map_or((first, frame.right()), |pair| (pair[0], pair[1]))
}

/// Its name, and before it what is wrong with it or not known of it.
fn told(drawing: &Drawing<'_>, interlock: &Interlock, frame: Rect, here: usize) -> String {
    let letters = drawing.sheet.letters;
    let name_or_id = if interlock.name.is_empty() { interlock.id.as_str() } else { &interlock.name };
    let mut text = with_state(&letters, interlock, drawing.sheet.tagged(&interlock.id, name_or_id));
    if here < interlock.ways.len() {
        let others = interlock.ways.iter().filter(|way| !in_frame(drawing, way, frame));
        let others: Vec<String> = others.map(|way| name(drawing.sheet.house, way, &letters)).collect();
        if !others.is_empty() {
            text = letters.say(&say!("{} (with {})", text, others.join(", ")));
        }
    }
    text
}

/// The words of an interlock, and before them what is wrong with it or not known of it: nothing shows one as
/// right that nobody has seen to be.
pub(super) fn with_state(letters: &Letters<'_>, interlock: &Interlock, text: String) -> String {
    if !ties(interlock) {
        return letters.say(&say!("ties nothing: {}", text));
    }
    if interlock.kind.known().is_none() {
        return letters.say(&say!("kind {}: {}", Arg::Word(unknown(&interlock.kind)), text));
    }
    match interlock.intact {
        Fact::Known(true) => text,
        Fact::Known(false) => letters.say(&say!("not complete: {}", text)),
        ref fact => letters.say(&say!("whether complete {}: {}", Arg::Word(unknown(fact)), text)),
    }
}

/// The words above a lane, in two lines where they need them, and the verdict beside the last.
fn words(drawing: &mut Drawing<'_>, interlock: &Interlock, rect: Rect, text: &str) {
    let mark = drawing.sheet.marks.get(&interlock.id).copied();
    let room = mark.map_or(0.0, |mark| if mark.falls_short() { 92.0 } else { 24.0 });
    let frame = Rect { width: (rect.width - room).max(0.0), ..rect };
    let lines = drawing.sheet.letters.wrapped(text, TextSize::Small, false, frame.width, 2);
    let (first, last) = match &lines[..] {
        [first, last] => (Some(first), last.as_str()),
        [last] => (None, last.as_str()),
        _ => return,
    };
    let style = Style::SMALL.in_paint(Paint::Ink);
    if let Some(first) = first {
        drawing.canvas.text(frame.moved(0.0, -frame.height), style, first);
    }
    let width = drawing.canvas.text(frame, style, last);
    if let Some(mark) = mark.filter(|_| rect.width > room) {
        narrow_mark(&mut drawing.canvas, mark, rect.x + width + 6.0, rect.centre().y);
    }
}

/// Whether a way was drawn inside this box.
fn in_frame(drawing: &Drawing<'_>, way: &Id, frame: Rect) -> bool {
    let place = drawing.canvas.scene.places.iter().find(|place| place.item == *way);
    place.is_some_and(|place| frame.holds(&place.rect, 1.0))
}
