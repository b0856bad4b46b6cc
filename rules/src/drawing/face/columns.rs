//! The face of a panel with numbered spaces: odd left, even right, the bus between them.

use std::collections::BTreeSet;

use super::super::canvas::{Canvas, Style};
use super::super::scene::{Anchor, Paint, Rect, Stroke, TextSize, Weight};
use super::cell::{self, Words};
use super::device::{self, Towards};
use super::{Face, head, whole};
use crate::say;
use crate::survey::{Id, Way};

/// Width of a column [units].
const COLUMN: f32 = 452.0;
/// Width between the columns, for the bus [units].
const GUTTER: f32 = 72.0;
/// Width of a device [units].
const DEVICE: f32 = 104.0;
/// Width of a number [units].
const NUMBER: f32 = 56.0;
/// Height of a strip [units].
const STRIP: f32 = 30.0;
/// Blank rows from which on they are told in one strip.
const MANY_BLANK: u32 = 4;
/// Most rows that a single way fills.
const TALLEST: u32 = 6;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Side {
    Left,
    Right,
}

/// Ways that share rows of one side: one way, or the halves of a tandem.
struct Cluster {
    side: Side,
    first: u32,
    last: u32,
    ways: Vec<usize>,
}

/// One row of the wall, or many blank ones.
enum Slot {
    Row(u32),
    Blank { from: u32, to: u32 },
}

/// Where things stand from top to bottom.
struct Layout {
    clusters: Vec<Cluster>,
    /// Slots with their upper edge and height.
    slots: Vec<(Slot, f32, f32)>,
    /// Strips that name a section: side or both, upper edge, section.
    strips: Vec<(Option<Side>, f32, Id)>,
    /// Height that each cluster needs.
    needs: Vec<f32>,
    /// Ways without a space.
    loose: Vec<usize>,
    bottom: f32,
}

pub(super) fn draw(face: &Face<'_>, canvas: &mut Canvas<'_>) -> (f32, f32) {
    let edge = face.look.edge;
    let width = 2.0 * (edge + COLUMN) + GUTTER;
    let top = head::draw(face, canvas, width);
    let layout = Layout::of(face, canvas, top + 6.0);
    sections(face, canvas, &layout);
    strips(face, canvas, &layout);
    blanks(face, canvas, &layout);
    for cluster in &layout.clusters {
        draw_cluster(face, canvas, &layout, cluster);
    }
    let mut y = loose(face, canvas, &layout);
    y = unused_sections(face, canvas, y);
    y = head::foot(face, canvas, edge, y + 6.0, 2.0 * COLUMN + GUTTER);
    let frame_top = top - face.look.main;
    head::enclosure(canvas, Rect::new(edge, frame_top, 2.0 * COLUMN + GUTTER, y - frame_top));
    (width, y + edge)
}

fn row_of(space: u16) -> u32 {
    u32::from(space.saturating_sub(1)) / 2
}

fn side_of(space: u16) -> Side {
    if space % 2 == 1 { Side::Left } else { Side::Right }
}

impl Layout {
    fn of(face: &Face<'_>, canvas: &Canvas<'_>, top: f32) -> Self {
        let ways = &face.panel.ways;
        let clusters = clusters(ways);
        let needs = clusters.iter().map(|cluster| need(face, canvas, cluster)).collect();
        let loose = (0..ways.len()).filter(|at| ways[*at].spaces.is_empty()).collect();
        let mut layout = Self { clusters, slots: Vec::new(), strips: Vec::new(), needs, loose, bottom: top };
        layout.stack(face);
        layout
    }

    /// Gives every row its place.
    fn stack(&mut self, face: &Face<'_>) {
        let mut shown: BTreeSet<Id> = BTreeSet::new();
        for slot in slots(&self.clusters) {
            let mut y = self.bottom;
            let height = match slot {
                Slot::Blank { .. } => STRIP,
                Slot::Row(row) => {
                    y += self.announce(face, row, &mut shown);
                    face.look.space + self.extra(face.look.space, row)
                }
            };
            self.slots.push((slot, y, height));
            self.bottom = y + height;
        }
    }

    /// Strips before a row at which a section begins; returns their height.
    fn announce(&mut self, face: &Face<'_>, row: u32, shown: &mut BTreeSet<Id>) -> f32 {
        if face.panel.buses.len() < 2 {
            return 0.0;
        }
        let mut new: Vec<(Side, Id)> = Vec::new();
        for cluster in self.clusters.iter().filter(|cluster| cluster.first == row) {
            let section = section_of(face, cluster);
            if !shown.contains(section) {
                new.push((cluster.side, section.clone()));
            }
        }
        shown.extend(new.iter().map(|(_, section)| section.clone()));
        let free = |side| !self.clusters.iter().any(|c| c.side == side && c.first < row && c.last >= row);
        let y = self.bottom;
        match &new[..] {
            [] => return 0.0,
            [(side, section), rest @ ..] if rest.iter().all(|(_, other)| other == section) => {
                let other = if *side == Side::Left { Side::Right } else { Side::Left };
                let side = if free(other) { None } else { Some(*side) };
                self.strips.push((side, y, section.clone()));
            }
            several => {
                for (side, section) in several {
                    self.strips.push((Some(*side), y, section.clone()));
                }
            }
        }
        STRIP
    }

    /// Height that a row needs beyond that of a space, so that each half of a tandem can be tapped and no word on
    /// paper is cut.
    fn extra(&self, space: f32, row: u32) -> f32 {
        let missing = |(cluster, need): (&Cluster, &f32)| {
            let rows = (cluster.last - cluster.first + 1) as f32;
            (need - rows * space).max(0.0)
        };
        let own = self.clusters.iter().zip(&self.needs).filter(|(cluster, _)| cluster.last == row);
        own.map(missing).fold(0.0, f32::max)
    }

    /// Upper and lower edge of rows.
    fn span(&self, first: u32, last: u32) -> (f32, f32) {
        let mut span: Option<(f32, f32)> = None;
        for (slot, y, height) in &self.slots {
            if let Slot::Row(row) = slot
                && (first..=last).contains(row)
            {
                let top = span.map_or(*y, |(top, _)| top);
                span = Some((top, y + height));
            }
        }
        span.unwrap_or((self.bottom, self.bottom))
    }
}

/// The height that the ways of a cluster need: each takes an equal share.
fn need(face: &Face<'_>, canvas: &Canvas<'_>, cluster: &Cluster) -> f32 {
    let least = face.look.space;
    let tallest = cluster.ways.iter().map(|at| way_height(face, canvas, *at)).fold(least, f32::max);
    tallest * cluster.ways.len() as f32
}

/// The height that a way needs for its words.
fn way_height(face: &Face<'_>, canvas: &Canvas<'_>, at: usize) -> f32 {
    if !face.look.paper {
        return face.look.space;
    }
    let words = Words::of(face, at, &face.panel.ways[at], canvas);
    let arrow = if words.inward { 20.0 } else { 0.0 };
    whole::height(canvas, &words, COLUMN - NUMBER - DEVICE - 22.0 - 2.0 * arrow, false).max(face.look.space)
}

/// The ways of each side, joined where they share a row.
fn clusters(ways: &[Way]) -> Vec<Cluster> {
    let mut clusters: Vec<Cluster> = Vec::new();
    for side in [Side::Left, Side::Right] {
        let mut spans: Vec<(u32, u32, usize)> = ways
            .iter()
            .enumerate()
            .filter_map(|(at, way)| {
                let first = *way.spaces.iter().min()?;
                (side_of(first) == side).then(|| {
                    let rows: BTreeSet<u32> = way.spaces.iter().map(|space| row_of(*space)).collect();
                    let count = (rows.len() as u32).clamp(1, TALLEST);
                    (row_of(first), row_of(first) + count - 1, at)
                })
            })
            .collect();
        spans.sort_by_key(|(first, last, at)| (*first, ways[*at].half, *last, *at));
        for (first, last, at) in spans {
            match clusters.last_mut() {
                Some(cluster) if cluster.side == side && first <= cluster.last => {
                    cluster.last = cluster.last.max(last);
                    cluster.ways.push(at);
                }
                _ => clusters.push(Cluster { side, first, last, ways: vec![at] }),
            }
        }
    }
    clusters
}

/// The rows from the top to the last one with a way, long blank stretches in one.
fn slots(clusters: &[Cluster]) -> Vec<Slot> {
    let mut filled: Vec<(u32, u32)> = clusters.iter().map(|cluster| (cluster.first, cluster.last)).collect();
    filled.sort_unstable();
    let mut slots = Vec::new();
    let mut next = 0;
    for (first, last) in filled {
        if first >= next + MANY_BLANK {
            slots.push(Slot::Blank { from: next, to: first - 1 });
            next = first;
        }
        slots.extend((next..=last.max(next)).filter(|row| *row <= last).map(Slot::Row));
        next = next.max(last + 1);
    }
    slots
}

fn section_of<'a>(face: &'a Face<'_>, cluster: &Cluster) -> &'a Id {
    let way = cluster.ways.first().and_then(|way| face.panel.ways.get(*way));
    way.map_or_else(|| face.panel.first_bus(), |way| face.panel.bus_of(way))
}

fn column_x(face: &Face<'_>, side: Side) -> f32 {
    match side {
        Side::Left => face.look.edge,
        Side::Right => face.look.edge + COLUMN + GUTTER,
    }
}

/// Where a section's bar stands; sections beside each other have their own.
struct Bar {
    section: Id,
    x: f32,
    top: f32,
    bottom: f32,
}

fn bars(face: &Face<'_>, layout: &Layout) -> Vec<Bar> {
    let centre = face.look.edge + COLUMN + GUTTER / 2.0;
    let mut bars: Vec<Bar> = Vec::new();
    for cluster in &layout.clusters {
        let section = section_of(face, cluster);
        let (top, bottom) = layout.span(cluster.first, cluster.last);
        match bars.iter_mut().find(|bar| bar.section == *section) {
            Some(bar) => {
                bar.top = bar.top.min(top);
                bar.bottom = bar.bottom.max(bottom);
            }
            None => bars.push(Bar { section: section.clone(), x: centre, top, bottom }),
        }
    }
    let overlapping = bars
        .iter()
        .enumerate()
        .any(|(at, bar)| bars[..at].iter().any(|other| bar.top < other.bottom && other.top < bar.bottom));
    if overlapping {
        let count = bars.len() as f32;
        let step = (18.0_f32).min((GUTTER - 40.0) / count);
        for (at, bar) in bars.iter_mut().enumerate() {
            bar.x = centre + (at as f32 - (count - 1.0) / 2.0) * step;
        }
    }
    bars
}

fn sections(face: &Face<'_>, canvas: &mut Canvas<'_>, layout: &Layout) {
    let bars = bars(face, layout);
    let centre = face.look.edge + COLUMN + GUTTER / 2.0;
    for (at, bar) in bars.iter().enumerate() {
        // The first section hangs on the main.
        let top =
            if at == 0 && bar.section == *face.panel.first_bus() { layout_top(layout) } else { bar.top };
        if at == 0 {
            canvas.line(&[(centre, top - 6.0), (bar.x, top)], Stroke::new(Paint::Ink, Weight::Strong));
        }
        let stroke = Stroke::new(Paint::Ink, Weight::Bus);
        canvas.line(&[(bar.x, top), (bar.x, bar.bottom - 6.0)], stroke);
        if bar.section != face.panel.id {
            canvas.place(&bar.section, Rect::new(bar.x - 6.0, top, 12.0, bar.bottom - top));
        }
    }
    for cluster in &layout.clusters {
        let section = section_of(face, cluster);
        let Some(bar) = bars.iter().find(|bar| bar.section == *section) else { continue };
        let (top, bottom) = layout.span(cluster.first, cluster.last);
        let edge = match cluster.side {
            Side::Left => face.look.edge + COLUMN,
            Side::Right => face.look.edge + COLUMN + GUTTER,
        };
        let step = (bottom - top) / cluster.ways.len().max(1) as f32;
        for way in 0..cluster.ways.len() {
            let y = top + step * (way as f32 + 0.5);
            canvas.line(&[(edge, y), (bar.x, y)], Stroke::INK);
        }
    }
}

fn layout_top(layout: &Layout) -> f32 {
    layout
        .strips
        .first()
        .map_or(f32::MAX, |(_, y, _)| *y)
        .min(layout.slots.first().map_or(layout.bottom, |(_, y, _)| *y))
}

fn strips(face: &Face<'_>, canvas: &mut Canvas<'_>, layout: &Layout) {
    for (side, y, section) in &layout.strips {
        let Some(bus) = face.panel.buses.iter().find(|bus| bus.id == *section) else { continue };
        let text = head::section_title(face, bus, canvas);
        match side {
            Some(side) => head::strip(canvas, Rect::new(column_x(face, *side), *y, COLUMN, STRIP), &text),
            None => head::strip(canvas, Rect::new(face.look.edge, *y, 2.0 * COLUMN + GUTTER, STRIP), &text),
        }
    }
}

/// Spaces for which nothing was entered.
fn blanks(face: &Face<'_>, canvas: &mut Canvas<'_>, layout: &Layout) {
    let filled: BTreeSet<u32> =
        face.panel.ways.iter().flat_map(|way| way.spaces.iter().map(|space| u32::from(*space))).collect();
    for (slot, y, height) in &layout.slots {
        match slot {
            Slot::Blank { from, to } => {
                let text = canvas.letters.say(&say!(
                    "spaces {} to {}: nothing entered",
                    f64::from(from * 2 + 1),
                    f64::from(to * 2 + 2)
                ));
                head::blank(canvas, Rect::new(face.look.edge, *y, 2.0 * COLUMN + GUTTER, *height), &text);
            }
            Slot::Row(row) => {
                for side in [Side::Left, Side::Right] {
                    let covered =
                        layout.clusters.iter().any(|c| c.side == side && (c.first..=c.last).contains(row));
                    if covered {
                        continue;
                    }
                    let space = row * 2 + if side == Side::Left { 1 } else { 2 };
                    let text = if filled.contains(&space) {
                        say!("space {}: filled by the device beside it", f64::from(space))
                    } else {
                        say!("space {}: nothing entered", f64::from(space))
                    };
                    let text = canvas.letters.say(&text);
                    head::blank(canvas, Rect::new(column_x(face, side), *y, COLUMN, *height), &text);
                }
            }
        }
    }
}

fn draw_cluster(face: &Face<'_>, canvas: &mut Canvas<'_>, layout: &Layout, cluster: &Cluster) {
    let (top, bottom) = layout.span(cluster.first, cluster.last);
    let step = (bottom - top) / cluster.ways.len().max(1) as f32;
    for (at, way) in cluster.ways.iter().enumerate() {
        let y = top + step * at as f32;
        draw_way(face, canvas, Rect::new(column_x(face, cluster.side), y, COLUMN, step), *way, cluster.side);
    }
}

/// One way: number outside, words, device at the bus.
fn draw_way(face: &Face<'_>, canvas: &mut Canvas<'_>, frame: Rect, at: usize, side: Side) {
    let way = &face.panel.ways[at];
    let words = Words::of(face, at, way, canvas);
    canvas.rect(frame, 0.0, Some(Stroke::HAIR), Some(Paint::Paper));
    let device_rect = |x: f32| {
        let height = (frame.height - 8.0).min(face.look.space * 2.5);
        let height = if way.half.is_some() { height * 0.78 } else { height };
        Rect::new(x, frame.centre().y - height / 2.0, DEVICE, height)
    };
    let (number, device, towards) = match side {
        Side::Left => (
            Rect::new(frame.x, frame.y, NUMBER, frame.height),
            device_rect(frame.right() - DEVICE - 4.0),
            Towards::Right,
        ),
        Side::Right => (
            Rect::new(frame.right() - NUMBER, frame.y, NUMBER, frame.height),
            device_rect(frame.x + 4.0),
            Towards::Left,
        ),
    };
    canvas.text(number.inset(2.0), number_style(&words.number), &words.number);
    let poles = way.device.poles.get().map_or(way.spaces.len(), usize::from);
    device::draw(canvas, device, &way.device, poles, towards);
    let arrow_room = if words.inward { 20.0 } else { 0.0 };
    let text = match side {
        Side::Left => Rect::new(
            number.right() + 4.0,
            frame.y,
            device.x - number.right() - 14.0 - arrow_room,
            frame.height,
        ),
        Side::Right => Rect::new(
            device.right() + 10.0 + arrow_room,
            frame.y,
            number.x - device.right() - 14.0 - arrow_room,
            frame.height,
        ),
    };
    cell::write(canvas, text, &words, face.look);
    if words.inward {
        let (x, to_the_right) = match side {
            Side::Left => (device.x - 16.0, true),
            Side::Right => (device.right() + 16.0, false),
        };
        cell::arrow(canvas, x, frame.centre().y, to_the_right);
    }
    canvas.control(&way.id, frame);
}

/// Long numbers (`13-15-17`) are small.
fn number_style(number: &str) -> Style {
    if number.len() > 4 {
        Style { size: TextSize::Small, ..Style::BODY.bold().at(Anchor::Middle) }
    } else {
        Style::BODY.bold().at(Anchor::Middle)
    }
}

/// Ways of which no space number is known, below the others.
fn loose(face: &Face<'_>, canvas: &mut Canvas<'_>, layout: &Layout) -> f32 {
    let mut y = layout.bottom;
    if layout.loose.is_empty() {
        return y;
    }
    let text = canvas.letters.word("Ways without a space number");
    head::strip(canvas, Rect::new(face.look.edge, y + 6.0, 2.0 * COLUMN + GUTTER, STRIP), &text);
    y += 6.0 + STRIP;
    for pair in layout.loose.chunks(2) {
        let row = pair.iter().map(|way| way_height(face, canvas, *way)).fold(0.0, f32::max);
        for (way, side) in pair.iter().zip([Side::Left, Side::Right]) {
            draw_way(face, canvas, Rect::new(column_x(face, side), y, COLUMN, row), *way, side);
        }
        y += row;
    }
    y
}

/// Sections of which no way stands above.
fn unused_sections(face: &Face<'_>, canvas: &mut Canvas<'_>, y: f32) -> f32 {
    let mut y = y;
    for bus in &face.panel.buses {
        let drawn = canvas.scene.places.iter().any(|place| place.item == bus.id);
        if drawn || bus.id == face.panel.id {
            continue;
        }
        let frame = Rect::new(face.look.edge, y + 6.0, 2.0 * COLUMN + GUTTER, STRIP);
        let text = head::section_title(face, bus, canvas);
        head::strip(canvas, frame, &text);
        canvas.place(&bus.id, frame);
        y += 6.0 + STRIP;
    }
    y
}
