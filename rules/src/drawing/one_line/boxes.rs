//! The boxes of a one-line besides panels: sources, transfer switches, inlets, loads.

use super::columns::Part;
use super::graph::{Graph, Key, Kind};
use super::head::{Head, PAD};
use super::slots::What;
use super::symbols::{self, SOURCE, Symbol};
use super::{Drawing, Sheet, narrow_mark, panel_box};
use crate::drawing::canvas::{CORNER, Style};
use crate::drawing::letters::Letters;
use crate::drawing::scene::{Dash, Paint, Rect, Stroke, TextSize, Weight};
use crate::drawing::words::unknown;
use crate::finding::Arg;
use crate::say;
use crate::survey::{Id, Inlet, Load, Supply, SupplyKind, Transfer};

/// Height of a source [units].
const SUPPLY: f32 = 122.0;
/// Height of an inlet [units].
const INLET: f32 = 110.0;
/// Height of a load [units].
const LOAD: f32 = 84.0;
/// Height of a panel that is drawn elsewhere [units].
const ELSEWHERE: f32 = 78.0;
/// Height of a transfer switch [units].
const TRANSFER: f32 = 150.0;
/// Height of a row of loads [units].
const ROW: f32 = 24.0;
/// Space between a symbol and its words [units].
const BESIDE: f32 = 34.0;

/// Terminals and where they are.
type Ends = Vec<(usize, f32)>;
/// Contacts of a transfer switch, where they are, and their terminals.
type Contacts = Vec<(Key, f32, Vec<usize>)>;

/// Height of a box [units].
pub(super) fn height(sheet: &Sheet<'_>, graph: &Graph, kind: Kind, parts: &[Part], heads: &[Head]) -> f32 {
    match kind {
        Kind::Supply(_) => SUPPLY,
        Kind::Inlet(_) => INLET,
        Kind::Load(_) | Kind::Loose(_) => LOAD,
        Kind::Transfer(_) => TRANSFER,
        Kind::Panel(panel) => panel_box::Zones::of(sheet, graph, panel, parts, heads).height,
        Kind::Group(run) => 34.0 + ROW * sheet.house.loads_on(run).count().max(1) as f32,
        Kind::Joint(_) => 12.0,
        Kind::Elsewhere(_) => ELSEWHERE,
        Kind::Bend => 0.0,
    }
}

impl Drawing<'_> {
    pub(super) fn boxes(&mut self) {
        for node in 0..self.plan.layers.kinds.len() {
            let frame = self.plan.frame(node);
            match self.plan.layers.kinds[node] {
                Kind::Supply(at) => self.supply(node, at, frame),
                Kind::Panel(at) => self.panel(node, at, frame),
                Kind::Transfer(at) => self.transfer(node, at, frame),
                Kind::Inlet(at) => self.inlet(node, at, frame),
                Kind::Load(at) => self.load(node, at, frame),
                Kind::Group(run) => self.group(node, run, frame),
                Kind::Joint(run) => self.joint(node, run, frame),
                Kind::Loose(run) => self.loose(node, run, frame),
                Kind::Elsewhere(at) => self.elsewhere(node, at, frame),
                Kind::Bend => {}
            }
        }
    }

    /// The axis of a box: where its first wire is.
    pub(super) fn axis(&self, node: usize) -> f32 {
        let slots = &self.plan.slots.of[node];
        let with_wire = slots.iter().find(|slot| !slot.ports.is_empty());
        with_wire.or(slots.first()).map_or(0.0, |slot| slot.x)
    }

    /// Where the upper and the lower wires of a box are.
    pub(super) fn wires_of(&self, node: usize) -> (Ends, Ends) {
        let ports = self.plan.slots.of[node].iter().flat_map(|slot| &slot.ports);
        let placed = ports.map(|(port, _)| (*port, self.plan.slots.port_x[*port]));
        placed.partition(|(port, _)| port % 2 == 1 && !self.plan.layers.pieces[port / 2].is_loop())
    }

    /// Draws the wires inside a box from its edges to a symbol around a middle.
    fn leads(&mut self, node: usize, frame: Rect, x: f32, y: f32, reach: f32) {
        let (tops, bottoms) = self.wires_of(node);
        for (wires, edge, end) in [(tops, frame.y, y - reach), (bottoms, frame.bottom(), y + reach)] {
            for (port, wire_x) in wires {
                let stroke = self.sheet.wire(self.run_of(port));
                let bend = if edge < end { frame.y + 10.0 } else { frame.bottom() - 10.0 };
                if (wire_x - x).abs() < 0.5 {
                    self.canvas.line(&[(wire_x, edge), (x, end)], stroke);
                } else {
                    self.canvas.line(&[(wire_x, edge), (wire_x, bend), (x, bend), (x, end)], stroke);
                }
            }
        }
    }

    /// The run of a terminal.
    pub(super) fn run_of(&self, port: usize) -> usize {
        self.plan.graph.edges[self.plan.layers.pieces[port / 2].edge].run
    }

    /// Words beside a symbol: a name, lines, a verdict; in the middle of the height.
    fn words(&mut self, frame: Rect, name: &str, lines: &[String], item: &Id) {
        let letters = self.sheet.letters;
        let name = &self.sheet.tagged(item, name);
        let mark = self.sheet.marks.get(item).copied();
        let small = TextSize::Small.line();
        let mark_height = if mark.is_some() { 24.0 } else { 0.0 };
        let room = frame.height - mark_height - small * lines.len() as f32;
        let most = ((room / TextSize::Small.line()) as usize).clamp(1, 3);
        let title = letters.wrapped(name, TextSize::Small, true, frame.width, most);
        let height = small * (title.len() + lines.len()) as f32 + mark_height;
        let mut y = frame.y + ((frame.height - height) / 2.0).max(0.0);
        let style = Style::SMALL.bold().in_paint(Paint::Ink);
        y += self.canvas.lines(Rect::new(frame.x, y, frame.width, small), style, &title);
        y += self.canvas.lines(Rect::new(frame.x, y, frame.width, small), Style::SMALL, lines);
        if let Some(mark) = mark {
            narrow_mark(&mut self.canvas, mark, frame.x, y + 13.0);
        }
    }

    fn frame_of(&mut self, frame: Rect, item: &Id) {
        let role = self.sheet.emphasis.get(item);
        let stroke = if role.is_some() { self.sheet.symbol_stroke(item) } else { Stroke::HAIR };
        self.canvas.rect(frame, CORNER, Some(stroke), None);
        self.canvas.control(item, frame);
    }

    fn supply(&mut self, node: usize, at: usize, frame: Rect) {
        let supply = &self.sheet.house.survey.supplies[at];
        self.frame_of(frame, &supply.id);
        let (x, y) = (self.axis(node), frame.centre().y);
        let symbol = Symbol::of_supply(supply.kind);
        self.symbols.insert(symbol);
        self.leads(node, frame, x, y, SOURCE);
        symbols::source(&mut self.canvas, symbol, x, y, self.sheet.symbol_stroke(&supply.id));
        let left = x + BESIDE;
        let mut words = Rect::new(left, frame.y + 6.0, frame.right() - left - 8.0, frame.height - 12.0);
        if supply.battery.is_some() && supply.kind != SupplyKind::Battery {
            // The battery behind it stands beside the words.
            self.symbols.insert(Symbol::Battery);
            words.width -= 48.0;
            let (x, stroke) = (frame.right() - 28.0, self.sheet.symbol_stroke(&supply.id));
            symbols::source(&mut self.canvas, Symbol::Battery, x, y, stroke);
        }
        let lines = self.supply_lines(supply);
        self.words(words, &supply.name, &lines, &supply.id);
    }

    /// What is known of a source.
    pub(super) fn supply_lines(&self, supply: &Supply) -> Vec<String> {
        let letters = self.sheet.letters;
        let voltage = supply.voltage.known().map(ToString::to_string);
        let power = supply.continuous_power.known().map(ToString::to_string);
        let power = power.or_else(|| supply.transformer_rating.known().map(ToString::to_string));
        let rated: Vec<String> = [voltage, power].into_iter().flatten().collect();
        let mut lines = vec![if rated.is_empty() {
            letters.say(&say!("output {}", Arg::Word(unknown(&supply.output))))
        } else {
            rated.join(" · ")
        }];
        if let Some(battery) = &supply.battery {
            let parts = [
                battery.voltage.known().map(ToString::to_string),
                battery.energy.known().map(ToString::to_string),
            ];
            let words = parts.into_iter().flatten().collect::<Vec<_>>().join(" · ");
            lines.push(if words.is_empty() { letters.word("battery") } else { words });
        }
        match supply.neutral_bond.get() {
            Some(true) => lines.push(letters.word("N joined to ground")),
            Some(false) => {}
            None => lines.push(letters.word("N to ground: unknown")),
        }
        lines
    }

    fn inlet(&mut self, node: usize, at: usize, frame: Rect) {
        let inlet = &self.sheet.house.survey.inlets[at];
        self.frame_of(frame, &inlet.id);
        let (x, y) = (self.axis(node), frame.centre().y);
        self.symbols.insert(Symbol::Inlet);
        self.leads(node, frame, x, y, 20.0);
        symbols::source(&mut self.canvas, Symbol::Inlet, x, y, self.sheet.symbol_stroke(&inlet.id));
        let left = x + BESIDE - 6.0;
        let words = Rect::new(left, frame.y + 4.0, frame.right() - left - 6.0, frame.height - 8.0);
        self.words(words, &inlet.name, &inlet_lines(inlet), &inlet.id);
    }

    fn load(&mut self, node: usize, at: usize, frame: Rect) {
        let load = &self.sheet.house.survey.loads[at];
        self.canvas.control(&load.id, frame);
        let (x, y) = (self.axis(node), frame.y + 26.0);
        let symbol = Symbol::of_load(load.kind);
        self.symbols.insert(symbol);
        self.leads(node, frame, x, y, 20.0);
        symbols::source(&mut self.canvas, symbol, x, y, self.sheet.symbol_stroke(&load.id));
        let left = x + BESIDE - 8.0;
        let words = Rect::new(left, frame.y, frame.right() - left - 4.0, frame.height);
        self.words(words, &load.name, &load_lines(load), &load.id);
    }

    /// The loads of a run in a list.
    fn group(&mut self, node: usize, run: usize, frame: Rect) {
        let house = self.sheet.house;
        self.symbols.insert(Symbol::List);
        let body = Rect::new(frame.x, frame.y + 14.0, frame.width, frame.height - 14.0);
        let (tops, bottoms) = self.wires_of(node);
        for (port, x) in tops {
            self.canvas.line(&[(x, frame.y), (x, body.y)], self.sheet.wire(self.run_of(port)));
        }
        for (port, x) in bottoms {
            self.canvas.line(&[(x, body.bottom()), (x, frame.bottom())], self.sheet.wire(self.run_of(port)));
        }
        self.canvas.rect(body, CORNER, Some(Stroke::new(Paint::Ink, Weight::Hair)), Some(Paint::Paper));
        let mut y = body.y + 10.0;
        let mut any = false;
        for load in house.loads_on(run) {
            any = true;
            let row = Rect::new(body.x + PAD, y, body.width - 2.0 * PAD, ROW);
            let mark = self.sheet.marks.get(&load.id).copied();
            let room = mark.map_or(0.0, |mark| if mark.falls_short() { 92.0 } else { 22.0 });
            self.canvas.text(
                Rect::new(row.x, row.y, row.width - room, ROW),
                Style::SMALL.in_paint(Paint::Ink),
                &self.sheet.tagged(&load.id, &load.name),
            );
            if let Some(mark) = mark {
                narrow_mark(&mut self.canvas, mark, row.right() - room + 6.0, row.centre().y);
            }
            self.canvas.place(&load.id, row);
            y += ROW;
        }
        if !any {
            let words = self.sheet.letters.word("no load entered");
            self.canvas.text(Rect::new(body.x + PAD, y, body.width - 2.0 * PAD, ROW), Style::SMALL, &words);
        }
    }

    /// A dot; with several wires a short bar.
    pub(super) fn joint(&mut self, node: usize, run: usize, frame: Rect) {
        let stroke = self.sheet.wire(run);
        let (tops, bottoms) = self.wires_of(node);
        let y = frame.centre().y;
        let all: Vec<f32> = tops.iter().chain(&bottoms).map(|(_, x)| *x).collect();
        for (port, x) in &tops {
            self.canvas.line(&[(*x, frame.y), (*x, y)], self.sheet.wire(self.run_of(*port)));
        }
        for (port, x) in &bottoms {
            self.canvas.line(&[(*x, y), (*x, frame.bottom())], self.sheet.wire(self.run_of(*port)));
        }
        let (left, right) =
            (all.iter().copied().fold(f32::MAX, f32::min), all.iter().copied().fold(0.0, f32::max));
        if right - left > 0.5 {
            self.canvas.line(&[(left, y), (right, y)], stroke);
        }
        for x in all {
            self.canvas.circle(x, y, 4.0, None, Some(stroke.paint));
        }
    }

    /// A panel by its name only: its own drawing tells the rest.
    fn elsewhere(&mut self, node: usize, at: usize, frame: Rect) {
        let panel = &self.sheet.house.survey.panels[at];
        let letters = self.sheet.letters;
        let (tops, bottoms) = self.wires_of(node);
        let body = frame.inset(4.0);
        for (port, x) in tops {
            self.canvas.line(&[(x, frame.y), (x, body.y)], self.sheet.wire(self.run_of(port)));
        }
        for (port, x) in bottoms {
            self.canvas.line(&[(x, body.bottom()), (x, frame.bottom())], self.sheet.wire(self.run_of(port)));
        }
        let edge = Stroke::new(Paint::Ink, Weight::Hair).dashed(Dash::Dotted);
        self.canvas.rect(body, CORNER, Some(edge), None);
        let room = body.width - 16.0;
        let name = self.sheet.tagged(&panel.id, &panel.name);
        let title = letters.wrapped(&name, TextSize::Small, true, room, 3);
        let small = TextSize::Small.line();
        let y = body.y + (body.height - small * title.len() as f32) / 2.0;
        let style = Style::SMALL.bold().in_paint(Paint::Ink);
        self.canvas.lines(Rect::new(body.x + 8.0, y, room, small), style, &title);
        self.canvas.control(&panel.id, body);
    }

    fn loose(&mut self, node: usize, run: usize, frame: Rect) {
        self.symbols.insert(Symbol::Loose);
        let (x, y) = (self.axis(node), frame.centre().y);
        self.leads(node, frame, x, y, 18.0);
        symbols::source(&mut self.canvas, Symbol::Loose, x, y, Stroke::INK);
        let id = &self.sheet.house.survey.runs[run].id;
        let left = x + BESIDE - 10.0;
        let words = Rect::new(left, frame.y + 4.0, frame.right() - left - 4.0, frame.height - 8.0);
        let name = self.sheet.letters.word("nothing entered here");
        let lines = self.sheet.letters.wrapped(&name, TextSize::Small, false, words.width, 2);
        self.canvas.lines(Rect { y: y - 19.0, ..words }, Style::SMALL, &lines);
        self.canvas.scene.hits.push(crate::drawing::scene::Hit { item: id.clone(), rect: frame });
    }

    /// Contacts above, the common terminal below, a blade that can be at one contact only.
    fn transfer(&mut self, node: usize, at: usize, frame: Rect) {
        let transfer = &self.sheet.house.survey.transfers[at];
        self.frame_of(frame, &transfer.id);
        self.symbols.insert(Symbol::Transfer);
        let stroke = self.sheet.symbol_stroke(&transfer.id);
        let (tops, bottoms) = self.contacts(node);
        let (contact_y, common_y) = (frame.y + 34.0, frame.y + 78.0);
        for (terminals, edge, y) in [(&tops, frame.y, contact_y), (&bottoms, frame.bottom(), common_y)] {
            for (key, x, ports) in terminals {
                for port in ports {
                    let (from, line) = (self.plan.slots.port_x[*port], self.sheet.wire(self.run_of(*port)));
                    let bend = f32::midpoint(edge, y);
                    self.canvas.line(&[(from, edge), (from, bend), (*x, bend), (*x, y)], line);
                }
                self.contact_words(
                    at,
                    *key,
                    *x,
                    if edge < y { frame.y + 4.0 } else { frame.bottom() - 23.0 },
                );
            }
        }
        let all: Vec<(Key, f32, f32)> = tops
            .iter()
            .map(|(key, x, _)| (*key, *x, contact_y))
            .chain(bottoms.iter().map(|(key, x, _)| (*key, *x, common_y)))
            .collect();
        let common = all.iter().find(|(key, ..)| *key == Key::Output).copied();
        let common = common.unwrap_or((Key::Output, frame.centre().x, common_y));
        let contacts: Vec<(f32, f32)> = all
            .iter()
            .filter(|(key, ..)| matches!(key, Key::Position(_)))
            .map(|(_, x, y)| (*x, *y))
            .collect();
        if let (Some(left), Some(right)) = (
            contacts.iter().copied().min_by(|a, b| a.0.total_cmp(&b.0)),
            contacts.iter().copied().max_by(|a, b| a.0.total_cmp(&b.0)),
        ) {
            // The blade points between its contacts: nobody said how it stands.
            let (x, y) = (f32::midpoint(left.0, right.0), left.1 + 8.0);
            let away = ((x - common.1).abs() / (common.2 - y).abs().max(1.0)).max(1.0);
            let tip = (common.1 + (x - common.1) / away, y);
            self.canvas.line(&[(common.1, common.2), tip], stroke);
        }
        for (_, x, y) in all.iter().chain([&common]) {
            self.canvas.circle(*x, *y, 4.0, Some(stroke), Some(Paint::Paper));
        }
        self.positions(at, frame, &all);
        self.transfer_words(at, frame, common.1);
    }

    /// Terminals of a transfer switch with their axis and wires, above and below.
    fn contacts(&self, node: usize) -> (Contacts, Contacts) {
        let (mut tops, mut bottoms) = (Vec::new(), Vec::new());
        for slot in &self.plan.slots.of[node] {
            let What::Pair { top, bottom } = slot.what else { continue };
            let part = &self.plan.order.parts[node][slot.part];
            if let Some(column) = top.and_then(|at| part.tops.get(at)) {
                tops.push((column.key, slot.x, column.ports.clone()));
            }
            if let Some(column) = bottom.and_then(|at| part.bottoms.get(at)) {
                bottoms.push((column.key, slot.x, column.ports.clone()));
            }
        }
        (tops, bottoms)
    }

    fn contact_words(&mut self, at: usize, key: Key, x: f32, y: f32) {
        let transfer = &self.sheet.house.survey.transfers[at];
        if let Key::Position(position) = key {
            let frame = Rect::new(x + 8.0, y, 118.0, TextSize::Small.line());
            self.canvas.text(frame, Style::SMALL.in_paint(Paint::Ink), &transfer.positions[position].name);
        }
    }

    /// The places of the positions; those without a wire are told in words.
    fn positions(&mut self, at: usize, frame: Rect, drawn: &[(Key, f32, f32)]) {
        let transfer = &self.sheet.house.survey.transfers[at];
        for (number, position) in transfer.positions.iter().enumerate() {
            let place = drawn.iter().find(|(key, ..)| *key == Key::Position(number));
            let rect = match place {
                Some((_, x, y)) => Rect::new(x - 10.0, y - 32.0, 100.0, 42.0),
                None => Rect::new(frame.x, frame.y, frame.width, 20.0),
            };
            self.canvas.place(&position.id, rect);
        }
    }

    fn transfer_words(&mut self, at: usize, frame: Rect, common: f32) {
        let transfer = &self.sheet.house.survey.transfers[at];
        let letters = self.sheet.letters;
        let (left, right) = (common - frame.x, frame.right() - common);
        let (x, width) =
            if left > right { (frame.x + 10.0, left - 22.0) } else { (common + 12.0, right - 18.0) };
        let mut lines = transfer_lines(transfer, &letters);
        lines.push(letters.word("drawn between its positions"));
        let words = Rect::new(x, frame.y + 64.0, width, frame.height - 68.0);
        self.words(words, &transfer.name, &lines, &transfer.id);
    }
}

/// What an inlet is made for.
pub(super) fn inlet_lines(inlet: &Inlet) -> Vec<String> {
    let rated =
        [inlet.rating.known().map(ToString::to_string), inlet.voltage.known().map(ToString::to_string)];
    joined(rated.into_iter().flatten().collect())
}

/// The first figure that is known of a load.
pub(super) fn load_lines(load: &Load) -> Vec<String> {
    let figure = [
        load.power.known().map(ToString::to_string),
        load.horsepower.known().map(ToString::to_string),
        load.current.known().map(ToString::to_string),
        load.mca.known().map(|mca| format!("MCA {mca}")),
    ];
    figure.into_iter().flatten().take(1).collect()
}

/// Rating of a transfer switch, and whether it switches the neutral.
pub(super) fn transfer_lines(transfer: &Transfer, letters: &Letters<'_>) -> Vec<String> {
    let rating = transfer.rating.known().map(ToString::to_string);
    let neutral = transfer
        .switches_neutral
        .get()
        .map(|yes| letters.word(if yes { "switches N" } else { "N not switched" }));
    joined([rating, neutral].into_iter().flatten().collect())
}

/// Figures in one line; no line where none is known.
fn joined(parts: Vec<String>) -> Vec<String> {
    if parts.is_empty() { Vec::new() } else { vec![parts.join(" · ")] }
}
