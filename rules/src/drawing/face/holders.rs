//! The face of a fused panel, a disconnect or a DC box: holders in the order of their numbers, section by
//! section.

use super::super::canvas::{Canvas, Style};
use super::super::scene::{Anchor, Paint, Rect, Stroke, TextSize, Weight};
use super::cell::{self, Words};
use super::device::{self, Towards};
use super::{Face, head, whole};
use crate::survey::{Bus, DeviceKind};

/// Width of a holder with its words [units].
const CELL: f32 = 482.0;
/// Width of a holder [units].
const DEVICE: f32 = 116.0;
/// Height of a strip [units].
const STRIP: f32 = 30.0;
/// Space between columns and groups [units].
const GAP: f32 = 12.0;

/// One section and its ways.
struct Group<'a> {
    bus: Option<&'a Bus>,
    ways: Vec<usize>,
}

pub(super) fn draw(face: &Face<'_>, canvas: &mut Canvas<'_>) -> (f32, f32) {
    let groups = groups(face);
    let inner = 2.0 * CELL + GAP;
    let width = inner + 2.0 * face.look.edge;
    let top = head::draw(face, canvas, width);
    let mut y = top;
    let titled = groups.len() > 1;
    let (first, fed): (Vec<&Group<'_>>, Vec<&Group<'_>>) =
        groups.iter().partition(|group| group.bus.is_none_or(|bus| bus.fed_by.is_none()));
    for group in first {
        y = wide_group(face, canvas, group, titled, y);
    }
    match &fed[..] {
        [one] => y = wide_group(face, canvas, one, titled, y),
        several => {
            for pair in several.chunks(2) {
                y = pair_of_groups(face, canvas, pair, y);
            }
        }
    }
    y = head::foot(face, canvas, face.look.edge, y, inner);
    let frame_top = top - face.look.main;
    head::enclosure(canvas, Rect::new(face.look.edge, frame_top, inner, y + 8.0 - frame_top));
    (width, y + 8.0 + face.look.edge)
}

/// Ways by section, in the order of their numbers.
fn groups<'a>(face: &Face<'a>) -> Vec<Group<'a>> {
    let panel = face.panel;
    let mut groups: Vec<Group<'a>> =
        panel.buses.iter().map(|bus| Group { bus: Some(bus), ways: vec![] }).collect();
    if groups.is_empty() {
        groups.push(Group { bus: None, ways: vec![] });
    }
    for (at, way) in panel.ways.iter().enumerate() {
        let bus = panel.bus_of(way);
        let home = groups.iter().position(|group| group.bus.is_some_and(|own| own.id == *bus)).unwrap_or(0);
        groups[home].ways.push(at);
    }
    for group in &mut groups {
        group.ways.sort_by_key(|at| {
            let way = &panel.ways[*at];
            (way.spaces.iter().min().copied().unwrap_or(u16::MAX), way.half, *at)
        });
    }
    groups
}

fn title(face: &Face<'_>, canvas: &mut Canvas<'_>, group: &Group<'_>, frame: Rect) {
    if let Some(bus) = group.bus {
        let text = head::section_title(face, bus, canvas);
        head::strip(canvas, frame, &text);
        if bus.id != face.panel.id {
            canvas.place(&bus.id, frame);
        }
    }
}

/// A bar over the holders: the bus from which they take.
fn bar(canvas: &mut Canvas<'_>, x: f32, y: f32, width: f32) {
    canvas.line(&[(x + GAP, y), (x + width - GAP, y)], Stroke::new(Paint::Ink, Weight::Bus));
}

/// A section over the whole width, in two columns.
fn wide_group(face: &Face<'_>, canvas: &mut Canvas<'_>, group: &Group<'_>, titled: bool, y: f32) -> f32 {
    let inner = 2.0 * CELL + GAP;
    let mut y = y;
    if titled {
        title(face, canvas, group, Rect::new(face.look.edge, y, inner, STRIP));
        y += STRIP;
    } else if let Some(bus) = group.bus.filter(|bus| bus.id != face.panel.id) {
        canvas.place(&bus.id, Rect::new(face.look.edge + GAP, y, inner - 2.0 * GAP, 12.0));
    }
    y += 8.0;
    bar(canvas, face.look.edge, y, inner);
    y += 8.0;
    // A single holder stands in the middle, as in its box on the wall.
    if let [only] = &group.ways[..] {
        let row = row(face, canvas, group.ways.iter());
        holder(face, canvas, Rect::new(face.look.edge + (inner - CELL) / 2.0, y, CELL, row), *only);
        return y + row + GAP;
    }
    for pair in group.ways.chunks(2) {
        let row = row(face, canvas, pair.iter());
        for (at, way) in pair.iter().enumerate() {
            let x = face.look.edge + at as f32 * (CELL + GAP);
            holder(face, canvas, Rect::new(x, y, CELL, row), *way);
        }
        y += row;
    }
    if group.ways.is_empty() { y } else { y + GAP }
}

/// Two sections side by side, each in one column.
fn pair_of_groups(face: &Face<'_>, canvas: &mut Canvas<'_>, pair: &[&Group<'_>], y: f32) -> f32 {
    let mut bottom = y;
    let most = pair.iter().map(|group| group.ways.len()).max().unwrap_or(0);
    // Holders beside each other are equally high.
    let beside = |at: usize| pair.iter().filter_map(move |group| group.ways.get(at));
    let rows: Vec<f32> = (0..most).map(|at| row(face, canvas, beside(at))).collect();
    for (at, group) in pair.iter().enumerate() {
        let x = face.look.edge + at as f32 * (CELL + GAP);
        title(face, canvas, group, Rect::new(x, y, CELL, STRIP));
        bar(canvas, x, y + STRIP + 8.0, CELL);
        let mut top = y + STRIP + 16.0;
        for (way, row) in group.ways.iter().zip(&rows) {
            holder(face, canvas, Rect::new(x, top, CELL, *row), *way);
            top += row;
        }
        bottom = bottom.max(top + GAP);
    }
    bottom
}

/// Height of holders that stand beside each other.
fn row<'a>(face: &Face<'_>, canvas: &Canvas<'_>, ways: impl Iterator<Item = &'a usize>) -> f32 {
    let need = |at: &usize| {
        let words = Words::of(face, *at, &face.panel.ways[*at], canvas);
        let arrow = if words.inward { 22.0 } else { 0.0 };
        whole::height(canvas, &words, CELL - 10.0 - DEVICE - 2.0 - 44.0 - 6.0 - 10.0 - arrow, true)
    };
    let least = face.look.holder;
    if face.look.paper { ways.map(need).fold(least, f32::max) } else { least }
}

/// One holder: device, number, words.
fn holder(face: &Face<'_>, canvas: &mut Canvas<'_>, frame: Rect, at: usize) {
    let way = &face.panel.ways[at];
    let words = Words::of(face, at, way, canvas);
    canvas.rect(frame, 0.0, Some(Stroke::HAIR), Some(Paint::Paper));
    let round = way.device.kind.get() == Some(DeviceKind::PlugFuse);
    let inset = if round { 6.0 } else { 8.0 };
    let device = Rect::new(frame.x + 10.0, frame.y + inset, DEVICE, frame.height - 2.0 * inset);
    let poles = way.device.poles.get().map_or(1, usize::from);
    device::draw(canvas, device, &way.device, poles, Towards::Right);
    let arrow_room = if words.inward { 22.0 } else { 0.0 };
    if words.inward {
        cell::arrow(canvas, device.right() + 20.0, frame.centre().y, false);
    }
    let number = Rect::new(device.right() + arrow_room + 2.0, frame.y, 44.0, frame.height);
    let style = if words.number.len() > 3 { TextSize::Small } else { TextSize::Body };
    let style = Style { size: style, ..Style::BODY.bold().at(Anchor::Middle) };
    canvas.text(number, style, &words.number);
    let left = number.right() + 6.0;
    cell::write(
        canvas,
        Rect::new(left, frame.y, frame.right() - left - 10.0, frame.height),
        &words,
        face.look,
    );
    canvas.control(&way.id, frame);
}
