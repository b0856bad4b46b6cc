//! A panel in the one-line: enclosure, bus sections, devices, its list of small circuits.

use std::collections::BTreeMap;

use super::columns::{Column, Coupler, Part};
use super::graph::{Graph, Key};
use super::head::{AIR, GROUND, Ground, Head, NUMBER, PAD, RATING, ROW};
use super::slots::{COUPLER, Slot, What};
use super::symbols::{self, DEVICE, Symbol};
use super::{Drawing, Sheet, links, narrow_mark, verdict_room};
use crate::drawing::canvas::{CORNER, Style};
use crate::drawing::scene::{Anchor, Dash, Paint, Point, Rect, Stroke, TextSize, Weight};
use crate::survey::{Device, DeviceKind};

/// Height for the devices above the bus [units].
const UPPER: f32 = 70.0;
/// Height for the devices below it [units].
const LOWER: f32 = 92.0;
/// From the bus to the middle of a device [units].
const AWAY: f32 = 36.0;

/// The heights of a panel's zones, from its upper edge.
#[derive(Debug, Clone, Copy)]
pub(super) struct Zones {
    /// Where the lanes of its interlocks begin.
    pub(super) lanes: f32,
    /// Its bus.
    pub(super) bus: f32,
    pub(super) height: f32,
}

impl Zones {
    pub(super) fn of(sheet: &Sheet<'_>, graph: &Graph, panel: usize, parts: &[Part], heads: &[Head]) -> Self {
        let lanes = links::of_panel(sheet, graph, panel).len() as f32 * links::LANE;
        let text = heads.iter().map(Head::text_height).fold(0.0, f32::max);
        let has_tops = parts.iter().any(|part| !part.tops.is_empty());
        let has_bottoms = parts.iter().any(|part| !part.bottoms.is_empty() || part.coupler.is_some());
        let upper = if has_tops { UPPER } else { 18.0 };
        // Without a lane the devices stand beside the words.
        let bus = if lanes > 0.0 { PAD + text + lanes + upper } else { PAD + (text + 10.0).max(upper) };
        let list = heads.iter().map(Head::list_height).fold(0.0, f32::max);
        let list = if list > 0.0 { list + 20.0 + PAD } else { 16.0 };
        let lower = if has_bottoms { LOWER } else { 0.0 };
        Self { lanes: PAD + text, bus, height: bus + lower.max(list) }
    }
}

/// Middle of each device that was drawn, by unit.
pub(super) type Devices = BTreeMap<usize, (Point, bool)>;

impl Drawing<'_> {
    pub(super) fn panel(&mut self, node: usize, at: usize, frame: Rect) {
        let panel = &self.sheet.house.survey.panels[at];
        let zones = Zones::of(
            &self.sheet,
            &self.plan.graph,
            at,
            &self.plan.order.parts[node],
            &self.plan.heads[node],
        );
        let edge = Stroke::new(Paint::Ink, Weight::Hair);
        self.canvas.rect(frame, CORNER, Some(edge), None);
        self.canvas.control(&panel.id, frame);
        let bus = frame.y + zones.bus;
        let slots = self.plan.slots.of[node].clone();
        self.bars(node, at, &slots, bus);
        let mut devices = Devices::new();
        for slot in &slots {
            match slot.what {
                What::Head => self.head(node, slot, frame.y, bus),
                What::Coupler(coupler) => self.coupler(at, slot, coupler, bus, &mut devices),
                What::Pair { top, bottom } => {
                    let part = self.plan.order.parts[node][slot.part].clone();
                    if let Some(column) = top.and_then(|number| part.tops.get(number)) {
                        self.column(at, &part, slot, column, (frame.y, bus), &mut devices);
                    }
                    if let Some(column) = bottom.and_then(|number| part.bottoms.get(number)) {
                        self.column(at, &part, slot, column, (frame.bottom(), bus), &mut devices);
                    }
                }
            }
        }
        links::draw(self, at, frame, frame.y + zones.lanes, &devices);
    }

    /// The bus bars of a panel.
    fn bars(&mut self, node: usize, at: usize, slots: &[Slot], bus: f32) {
        let panel = &self.sheet.house.survey.panels[at];
        self.symbols.insert(Symbol::Bus);
        for (number, part) in self.plan.order.parts[node].clone().iter().enumerate() {
            let own = slots.iter().filter(|slot| slot.part == number);
            let (mut left, mut right) = (f32::MAX, f32::MIN);
            for slot in own {
                let (from, to) = match slot.what {
                    What::Head => (slot.x + PAD, slot.x + 56.0),
                    What::Coupler(_) => (slot.x + COUPLER, slot.x + COUPLER),
                    What::Pair { .. } => (slot.x - 12.0, slot.x + 12.0),
                };
                (left, right) = (left.min(from), right.max(to));
            }
            // A device that leads on to the next section stands at the very end.
            let next = slots.iter().find_map(|slot| match slot.what {
                What::Coupler(coupler) if slot.part == number + 1 && !coupler.open => Some(slot.x),
                _ => None,
            });
            right = right.max(next.unwrap_or(f32::MIN));
            let section = panel.buses.get(part.section).map_or(&panel.id, |bus| &bus.id);
            let stroke = self.sheet.stroke(section);
            let stroke = Stroke { weight: Weight::Bus, ..stroke };
            self.canvas.line(&[(left, bus), (right, bus)], stroke);
            if *section != panel.id {
                self.canvas.place(section, Rect::new(left, bus - 8.0, right - left, 16.0));
            }
        }
    }

    /// Name, notes and verdict above the bus, list and grounds below it.
    fn head(&mut self, node: usize, slot: &Slot, top: f32, bus: f32) {
        let head = &self.plan.heads[node][slot.part];
        let room = head.width - 2.0 * PAD;
        let style = if head.first { Style::BODY.bold() } else { Style::SMALL.bold().in_paint(Paint::Ink) };
        let mut frame = Rect::new(slot.x + PAD, top + PAD - 2.0, room, style.size.line());
        frame.y += self.canvas.lines(frame, style, &head.title);
        frame.height = TextSize::Small.line();
        frame.y += self.canvas.lines(frame, Style::SMALL, &head.notes);
        if let Some(mark) = head.mark {
            let width = self.canvas.plate_width(mark);
            self.canvas.plate(mark, frame.x + width, frame.y + 15.0);
        }
        let y = self.rows(node, slot, bus);
        self.grounds(node, slot, y);
    }

    /// The list of small circuits; returns where it ends.
    fn rows(&mut self, node: usize, slot: &Slot, bus: f32) -> f32 {
        let head = &self.plan.heads[node][slot.part];
        let (room, y) = (head.width - 2.0 * PAD, bus + 20.0);
        if head.rows.is_empty() {
            return y;
        }
        self.symbols.insert(Symbol::List);
        let high = head.rows_high();
        let body = Rect::new(slot.x + PAD, y, room, high as f32 * ROW);
        self.canvas.line(&[(body.x + 18.0, bus), (body.x + 18.0, y)], Stroke::INK);
        let edge = Stroke::new(Paint::Ink, Weight::Hair);
        self.canvas.rect(body, 3.0, Some(edge), Some(Paint::Paper));
        let width = room / head.columns as f32;
        for (number, row) in head.rows.iter().enumerate() {
            let x = body.x + (number / high) as f32 * width;
            let frame = Rect::new(x, y + (number % high) as f32 * ROW, width, ROW);
            draw_row(&mut self.canvas, frame, row, number % high + 1 < high);
            for item in &row.items {
                self.canvas.place(item, frame);
            }
        }
        for column in 1..head.columns {
            let x = body.x + column as f32 * width;
            self.canvas.line(&[(x, body.y), (x, body.bottom())], edge);
        }
        body.bottom()
    }

    /// The joint of neutral and ground, and the electrodes.
    fn grounds(&mut self, node: usize, slot: &Slot, top: f32) {
        let head = std::mem::take(&mut self.plan.heads[node][slot.part]);
        let (room, mut y) = (head.width - 2.0 * PAD, top);
        for ground in &head.grounds {
            self.ground(ground, Rect::new(slot.x + PAD, y, room, GROUND));
            y += GROUND;
        }
        self.plan.heads[node][slot.part] = head;
    }

    /// One joint of neutral and ground, or one electrode, in a row.
    pub(super) fn ground(&mut self, ground: &Ground, row: Rect) {
        self.symbols.insert(ground.symbol);
        let middle = row.centre().y;
        let x = row.x + 24.0;
        match ground.symbol {
            Symbol::Earth => symbols::earth(&mut self.canvas, x, middle, Stroke::INK),
            symbol => symbols::bond(&mut self.canvas, x, middle, symbol == Symbol::Bond),
        }
        let mark_room = ground.mark.map_or(0.0, |mark| {
            if mark.falls_short() { verdict_room(&self.sheet.letters) + 2.0 } else { 22.0 }
        });
        let text = Rect::new(x + 26.0, row.y, row.width - 50.0 - mark_room, row.height);
        self.canvas.text(text, Style::SMALL, &ground.words);
        if let Some(mark) = ground.mark {
            narrow_mark(&mut self.canvas, mark, row.right() - mark_room + 4.0, middle);
        }
        if let Some(item) = &ground.item {
            self.canvas.place(item, row);
        }
    }

    /// A device that joins two sections, in line with their bars.
    fn coupler(&mut self, at: usize, slot: &Slot, coupler: Coupler, bus: f32, devices: &mut Devices) {
        let panel = &self.sheet.house.survey.panels[at];
        let unit = self.plan.graph.panels[at].units[coupler.unit].clone();
        let Some(way) = unit.ways.first().map(|way| &panel.ways[*way]) else { return };
        let centre = Point::new(slot.x + COUPLER / 2.0, bus);
        let stroke = self.sheet.symbol_stroke(&way.id);
        let from = if coupler.open { slot.x + 16.0 } else { slot.x };
        self.canvas.line(&[(from, bus), (centre.x - DEVICE, bus)], stroke);
        self.canvas.line(&[(centre.x + DEVICE, bus), (slot.x + COUPLER, bus)], stroke);
        if coupler.open {
            // The section that feeds it stands elsewhere in this box.
            let frame = Rect::new(slot.x - 8.0, bus - 12.0, 24.0, 24.0);
            self.canvas.rect(frame, 12.0, Some(Stroke::INK), Some(Paint::Paper));
        }
        if coupler.again {
            self.canvas.line(&[(centre.x - DEVICE, bus), (centre.x + DEVICE, bus)], stroke);
        } else {
            self.device(&way.device, centre, true, stroke);
            devices.insert(coupler.unit, (centre, true));
            let place = Rect::new(slot.x + 14.0, bus - 24.0, COUPLER - 28.0, 88.0);
            for way in &unit.ways {
                self.canvas.control(&panel.ways[*way].id, place);
            }
        }
        let words = Rect::new(slot.x + 14.0, bus + 14.0, COUPLER - 28.0, TextSize::Small.line());
        self.device_words(at, &unit.ways, words, Anchor::Middle);
    }

    pub(super) fn device(&mut self, device: &Device, centre: Point, level: bool, stroke: Stroke) {
        match Symbol::of_device(device) {
            Some(symbol) => {
                self.symbols.insert(symbol);
                symbols::device(&mut self.canvas, symbol, centre, level, stroke);
            }
            None => {
                let ends = if level {
                    [(centre.x - DEVICE, centre.y), (centre.x + DEVICE, centre.y)]
                } else {
                    [(centre.x, centre.y - DEVICE), (centre.x, centre.y + DEVICE)]
                };
                self.canvas.line(&ends, stroke);
                if device.kind.get() == Some(DeviceKind::Lugs) {
                    self.canvas.circle(centre.x, centre.y, 5.0, Some(stroke), Some(Paint::Paper));
                }
            }
        }
    }

    /// Rating, number and verdict of the ways of a unit.
    pub(super) fn device_words(&mut self, at: usize, ways: &[usize], frame: Rect, anchor: Anchor) {
        let panel = &self.sheet.house.survey.panels[at];
        let ways: Vec<_> = ways.iter().map(|way| &panel.ways[*way]).collect();
        let Some(first) = ways.first() else { return };
        let rating = self.sheet.short_rating(&first.device);
        let number = ways.iter().map(|way| self.sheet.way_number(way)).collect::<Vec<_>>().join("+");
        let style = Style::SMALL.bold().at(anchor).in_paint(Paint::Ink);
        self.canvas.text(frame, style, &rating);
        let second = frame.moved(0.0, TextSize::Small.line());
        self.canvas.text(second, Style::SMALL.at(anchor), &number);
        let mark = ways.iter().filter_map(|way| self.sheet.way_mark(way)).min();
        if let Some(mark) = mark {
            let middle = second.bottom() + 10.0;
            let half = if mark.falls_short() { 38.0 } else { 8.0 };
            let x = if anchor == Anchor::Middle { frame.centre().x - half } else { frame.x };
            narrow_mark(&mut self.canvas, mark, x, middle);
        }
    }

    /// A column from an edge of the box to the bus.
    fn column(
        &mut self,
        at: usize,
        part: &Part,
        slot: &Slot,
        column: &Column,
        (edge, bus): (f32, f32),
        devices: &mut Devices,
    ) {
        let up = edge < bus;
        let towards = if up { -1.0 } else { 1.0 };
        let middle = bus + towards * AWAY;
        let (near, far) = (middle - towards * DEVICE, middle + towards * DEVICE);
        let x = slot.x;
        let stroke = match column.ports.first() {
            Some(port) => self.sheet.wire(self.run_of(*port)),
            None => Stroke::INK,
        };
        let symbol_stroke = Stroke { dash: Dash::Solid, weight: stroke.weight.min(Weight::Strong), ..stroke };
        self.fan(column, x, far, edge);
        let words = Rect::new(x + 20.0, middle - 28.0, slot.right - 22.0, TextSize::Small.line());
        match column.key {
            Key::Unit(unit) => {
                self.unit(at, unit, column, part, (Point::new(x, middle), near, far, bus), symbol_stroke);
                if !column.second {
                    devices.insert(unit, (Point::new(x, middle), false));
                    let ways = self.plan.graph.panels[at].units[unit].ways.clone();
                    self.device_words(at, &ways, words, Anchor::Start);
                }
            }
            Key::Line if !column.second => {
                self.canvas.line(&[(x, near), (x, bus)], stroke);
                let main = &self.sheet.house.survey.panels[at].main;
                self.device(main, Point::new(x, middle), false, symbol_stroke);
                if column.ports.is_empty() {
                    self.canvas.circle(x, far, 3.0, Some(Stroke::INK), Some(Paint::Paper));
                }
                let lugs = main.kind.get() == Some(DeviceKind::Lugs);
                let rating =
                    if lugs { self.sheet.letters.word("lugs") } else { self.sheet.short_rating(main) };
                let style = Style::SMALL.bold().in_paint(Paint::Ink);
                self.canvas.text(words.moved(0.0, 10.0), style, &rating);
                if !lugs {
                    let main = self.sheet.letters.word("main");
                    self.canvas.text(words.moved(0.0, 29.0), Style::SMALL, &main);
                }
            }
            _ => {
                self.canvas.line(&[(x, far), (x, bus)], stroke);
                let word = match column.key {
                    Key::Through => self.sheet.letters.word("feed-through"),
                    _ => self.sheet.letters.word("incoming lugs"),
                };
                self.canvas.text(words.moved(0.0, 14.0), Style::SMALL, &word);
            }
        }
    }

    /// The wires of a column from its terminals to its device.
    fn fan(&mut self, column: &Column, x: f32, far: f32, edge: f32) {
        let bend = f32::midpoint(far, edge);
        for port in &column.ports {
            let from = self.plan.slots.port_x[*port];
            let stroke = self.sheet.wire(self.run_of(*port));
            if (from - x).abs() < 0.5 {
                self.canvas.line(&[(from, edge), (x, far)], stroke);
            } else {
                self.canvas.line(&[(from, edge), (from, bend), (x, bend), (x, far)], stroke);
            }
        }
    }

    /// A way's device between the bus and its terminal.
    fn unit(
        &mut self,
        at: usize,
        unit: usize,
        column: &Column,
        part: &Part,
        (centre, near, far, bus): (Point, f32, f32, f32),
        stroke: Stroke,
    ) {
        let panel = &self.sheet.house.survey.panels[at];
        let ways = self.plan.graph.panels[at].units[unit].ways.clone();
        let coupled = part.coupler.is_some_and(|coupler| coupler.unit == unit)
            || self.plan.graph.panels[at].units[unit].feeds == Some(part.section);
        if column.second && coupled {
            // Its terminal is the bus of the section that it feeds.
            self.canvas.line(&[(centre.x, far), (centre.x, bus)], stroke);
            return;
        }
        if column.second {
            // The device stands at the other side; this wire ends at its terminal.
            let number =
                ways.first().map_or_else(String::new, |way| self.sheet.way_number(&panel.ways[*way]));
            let frame = Rect::new(centre.x - 24.0, centre.y - 12.0, 48.0, 24.0);
            let near = if far < centre.y { frame.y } else { frame.bottom() };
            self.canvas.line(&[(centre.x, far), (centre.x, near)], stroke);
            self.canvas.rect(frame, 12.0, Some(Stroke::INK), Some(Paint::Paper));
            self.canvas.text(frame, Style::SMALL.bold().at(Anchor::Middle), &number);
            return;
        }
        self.canvas.line(&[(centre.x, near), (centre.x, bus)], stroke);
        let Some(way) = ways.first().map(|way| &panel.ways[*way]) else { return };
        self.device(&way.device, centre, false, stroke);
        if ways.len() > 1 {
            // Two handles of one circuit: a second stroke across.
            let x = centre.x - 9.0;
            self.canvas.line(&[(x, centre.y - 5.0), (x, centre.y + 5.0)], stroke);
        }
        if column.ports.is_empty() {
            self.canvas.circle(centre.x, far, 3.0, Some(Stroke::INK), Some(Paint::Paper));
        }
        let place = Rect::new(centre.x - 24.0, centre.y - 30.0, 92.0, 64.0);
        for way in &ways {
            self.canvas.control(&panel.ways[*way].id, place);
        }
    }
}

/// One circuit of a list: number, what it feeds, rating, verdict.
pub(super) fn draw_row(
    canvas: &mut crate::drawing::canvas::Canvas<'_>,
    frame: Rect,
    row: &super::head::Row,
    ruled: bool,
) {
    let mark = row.mark;
    let style = Style::SMALL.bold().in_paint(Paint::Ink);
    canvas.text(Rect::new(frame.x + 8.0, frame.y, NUMBER - 8.0, ROW), style, &row.number);
    // A word in place of a rating takes its room from the label.
    let more = canvas.letters.width(&row.rating, TextSize::Small, false) - (RATING - 4.0);
    let rating = RATING + more.max(0.0);
    let label_room = (frame.width - NUMBER - rating - verdict_room(&canvas.letters) - AIR).max(0.0);
    let label = Rect::new(frame.x + NUMBER + 4.0, frame.y, label_room, ROW);
    canvas.text(label, Style::SMALL.in_paint(Paint::Ink), &row.label);
    let rating_frame = Rect::new(label.right(), frame.y, rating - 4.0, ROW);
    canvas.text(rating_frame, Style::SMALL.at(Anchor::End), &row.rating);
    if let Some(mark) = mark {
        narrow_mark(canvas, mark, rating_frame.right() + 8.0, frame.centre().y);
    }
    if ruled {
        canvas.line(&[(frame.x, frame.bottom()), (frame.right(), frame.bottom())], Stroke::HAIR);
    }
}
