//! The house on one sheet: sources, mains, panels and the feeders between them, each with its id, name and
//! rating. No circuits and no loads.

use super::columns;
use super::graph::{Graph, Key, Kind};
use super::layers::Layers;
use super::links;
use super::order::Order;
use super::slots::{Room, Slots};
use super::symbols::{self, DEVICE, Symbol};
use super::wires::{self, Spacing};
use super::{Drawing, Emphasis, OneLine, Plan, Sheet, mark_width, narrow_mark, rating_words};
use crate::drawing::about::about;
use crate::drawing::canvas::{CORNER, Style};
use crate::drawing::letters::Letters;
use crate::drawing::mark::{Mark, Marks};
use crate::drawing::scene::{Anchor, Paint, Point, Rect, Stroke, TextSize, Weight};
use crate::drawing::words::wire;
use crate::house::House;
use crate::say;
use crate::survey::{Device, DeviceKind, Id};

/// Space around the words of a box [units].
const PAD: f32 = 8.0;
/// Edge around the drawing [units].
const EDGE_CLOSE: f32 = 4.0;
/// From a wire to its words: a device's arm stands between [units].
const BESIDE: f32 = 23.0;
/// Height of a line of words [units]: closer than elsewhere, so that a house fits a page.
const LINE: f32 = 17.0;
/// The same beside a wire [units].
const CLOSE: f32 = 16.0;
/// Height of a line with a verdict beyond that of its words [units].
const WITH_MARK: f32 = 5.0;

/// Draws sources, panels and feeders for a page of this width [units]; none where nothing of them was entered. What a
/// layer needs it gets, even where that is wider.
#[must_use]
pub fn one_line_overview(house: &House<'_>, marks: &Marks, letters: Letters<'_>, width: f32) -> OneLine {
    let (about, emphasis) = (about(house.survey), Emphasis::new());
    let sheet =
        Sheet { house, marks, about: &about, emphasis: &emphasis, letters, ids: true, list_columns: 1 };
    draw(sheet, Room { page: width, ..Room::CLOSE })
}

/// The same for a screen: what is to be brought out, names without ids, and every box can be tapped.
#[must_use]
pub fn one_line_of_house(
    house: &House<'_>,
    marks: &Marks,
    emphasis: &Emphasis,
    letters: Letters<'_>,
) -> OneLine {
    let about = about(house.survey);
    let sheet = Sheet { house, marks, about: &about, emphasis, letters, ids: false, list_columns: 1 };
    draw(sheet, Room::CLOSE)
}

fn draw(sheet: Sheet<'_>, room: Room) -> OneLine {
    let letters = sheet.letters;
    let mut drawing = Drawing::of(sheet, plan(&sheet, room));
    drawing.wires();
    drawing.feeders();
    drawing.blocks();
    let bottom = drawing.plan.wiring.bottom;
    drawing.finish(bottom + EDGE_CLOSE, letters)
}

fn plan(sheet: &Sheet<'_>, room: Room) -> Plan {
    let graph = Graph::of(sheet.house).trunk();
    let layers = Layers::of(sheet.house, &graph);
    let order = Order::of(&layers, columns::plain(&layers));
    let none = vec![Vec::new(); layers.kinds.len()];
    let slots = Slots::of(&layers, &order, &none, EDGE_CLOSE, room);
    let heights: Vec<f32> = (0..layers.kinds.len())
        .map(|node| {
            let (left, right) = slots.extent(node);
            match layers.kinds[node] {
                Kind::Bend => 0.0,
                Kind::Joint(_) => 12.0,
                kind => Words::of(sheet, kind, right - left).height(),
            }
        })
        .collect();
    let spacing = (EDGE_CLOSE, Spacing::CLOSE);
    let wiring = wires::lay(&layers, &slots, &heights, graph.edges.len(), spacing);
    Plan { graph, layers, order, heads: Vec::new(), slots, heights, wiring }
}

/// What stands in a block.
struct Words {
    item: Option<Id>,
    symbol: Option<Symbol>,
    title: Vec<String>,
    lines: Vec<String>,
    mark: Option<Mark>,
    /// The verdict has room behind the last line; from where, there [units].
    behind: Option<f32>,
}

/// Room for the symbol of a source [units].
const SYMBOL: f32 = 56.0;

impl Words {
    fn of(sheet: &Sheet<'_>, kind: Kind, width: f32) -> Self {
        let letters = &sheet.letters;
        let survey = sheet.house.survey;
        let symbol = match kind {
            Kind::Supply(at) => Some(Symbol::of_supply(survey.supplies[at].kind)),
            Kind::Inlet(_) => Some(Symbol::Inlet),
            _ => None,
        };
        let (item, name, lines, mark) = match kind {
            Kind::Supply(at) => {
                let supply = &survey.supplies[at];
                let power = supply.continuous_power.known().map(ToString::to_string);
                let power = power.or_else(|| supply.transformer_rating.known().map(ToString::to_string));
                let rated = [supply.voltage.known().map(ToString::to_string), power];
                let mark = sheet.marks.get(&supply.id).copied();
                (&supply.id, &supply.name, vec![joined(rated)], mark)
            }
            Kind::Inlet(at) => {
                let inlet = &survey.inlets[at];
                let rated = [
                    inlet.rating.known().map(ToString::to_string),
                    inlet.voltage.known().map(ToString::to_string),
                ];
                (&inlet.id, &inlet.name, vec![joined(rated)], sheet.marks.get(&inlet.id).copied())
            }
            Kind::Transfer(at) => {
                let transfer = &survey.transfers[at];
                let neutral = transfer
                    .switches_neutral
                    .get()
                    .map(|yes| letters.word(if yes { "switches N" } else { "N not switched" }));
                let rated = [transfer.rating.known().map(ToString::to_string), neutral];
                (&transfer.id, &transfer.name, vec![joined(rated)], sheet.marks.get(&transfer.id).copied())
            }
            Kind::Panel(at) | Kind::Elsewhere(at) => {
                let panel = &survey.panels[at];
                (&panel.id, &panel.name, panel_lines(sheet, at), sheet.panel_mark(at))
            }
            _ => return Self { item: None, symbol, title: vec![], lines: vec![], mark: None, behind: None },
        };
        let room = width - 2.0 * PAD - if symbol.is_some() { SYMBOL } else { 0.0 };
        let title = letters.wrapped(&sheet.tagged(item, name), TextSize::Small, true, room, 3);
        let lines = lines.iter().filter(|line| !line.is_empty());
        let lines: Vec<String> =
            lines.flat_map(|line| letters.wrapped(line, TextSize::Small, false, room, 2)).collect();
        let behind = lines.last().map(|line| letters.width(line, TextSize::Small, false) + 8.0);
        let needed = mark.map_or(0.0, |mark| mark_width(letters, mark) + 2.0);
        let behind = behind.filter(|behind| behind + needed <= room);
        Self { item: Some(item.clone()), symbol, title, lines, mark, behind }
    }

    fn height(&self) -> f32 {
        let lines = self.title.len() + self.lines.len();
        let mark = match (self.mark, self.behind) {
            (None, _) => 0.0,
            (Some(_), Some(_)) => WITH_MARK,
            (Some(_), None) => LINE + WITH_MARK,
        };
        let told = lines as f32 * LINE + mark + 8.0;
        // A symbol stands inside its box.
        if self.symbol.is_some() { told.max(SYMBOL) } else { told }
    }
}

fn joined(parts: [Option<String>; 2]) -> String {
    parts.into_iter().flatten().collect::<Vec<_>>().join(" · ")
}

/// The bus of a panel and the interlocks that hold its ways.
fn panel_lines(sheet: &Sheet<'_>, at: usize) -> Vec<String> {
    let panel = &sheet.house.survey.panels[at];
    let letters = &sheet.letters;
    let mut lines: Vec<String> = Vec::new();
    for bus in panel.buses.iter().take(1) {
        lines.push(rating_words(letters, &bus.rating));
    }
    for interlock in &sheet.house.survey.interlocks {
        let own: Vec<String> = interlock
            .ways
            .iter()
            .filter(|id| **id == panel.id || panel.ways.iter().any(|way| way.id == **id))
            .map(ToString::to_string)
            .collect();
        if own.is_empty() {
            continue;
        }
        let id = interlock.id.to_string();
        let words = letters.say(&say!("{} interlock of {}", id, own.join(", ")));
        lines.push(links::with_state(letters, interlock, words));
    }
    lines
}

impl Drawing<'_> {
    /// The words and the devices of the wires, at their ends.
    fn feeders(&mut self) {
        for edge in 0..self.plan.graph.edges.len() {
            let item = self.plan.graph.edges[edge];
            let points = self.plan.wiring.wires[edge].points.clone();
            let (Some(first), Some(last)) = (points.first(), points.last()) else { continue };
            let from_is_upper =
                self.plan.layers.layer[item.from.node] <= self.plan.layers.layer[item.to.node];
            let (start, end) = if from_is_upper { (*first, *last) } else { (*last, *first) };
            let ends = [item.from, item.to].map(|end| self.device_at(end.node, end.key));
            self.device_on_wire(start, from_is_upper, ends[0].as_ref());
            self.device_on_wire(end, !from_is_upper, ends[1].as_ref());
            let words = [(item.from, &ends[0]), (item.to, &ends[1])].map(|(end, device)| match device {
                Some((_, device, name)) => self.device_told(device, name),
                None => self.position_at(end.node, end.key),
            });
            self.feeder_words(item.run, *last, &words);
        }
    }

    /// The device at a terminal of a panel, and what it is called.
    fn device_at(&self, node: usize, key: Key) -> Option<(Id, Device, String)> {
        let Kind::Panel(at) = self.plan.graph.nodes[node] else { return None };
        let panel = &self.sheet.house.survey.panels[at];
        match key {
            Key::Line => Some((panel.id.clone(), panel.main.clone(), self.sheet.letters.word("main"))),
            Key::Unit(unit) => {
                let ways = &self.plan.graph.panels[at].units[unit].ways;
                let first = panel.ways.get(*ways.first()?)?;
                let names = ways.iter().filter_map(|way| panel.ways.get(*way)).map(|way| way.id.to_string());
                Some((first.id.clone(), first.device.clone(), names.collect::<Vec<_>>().join("+")))
            }
            _ => None,
        }
    }

    /// A device with what it is called: `P2.06 60 A`, `main 100 A`, `lugs`.
    fn device_told(&self, device: &Device, name: &str) -> String {
        match device.kind.get() {
            Some(DeviceKind::Lugs) => self.sheet.letters.word("lugs"),
            _ => format!("{name} {}", self.sheet.short_rating(device)),
        }
    }

    /// The position of a transfer switch at which a wire ends.
    fn position_at(&self, node: usize, key: Key) -> String {
        match (self.plan.graph.nodes[node], key) {
            (Kind::Transfer(at), Key::Position(position)) => {
                let positions = &self.sheet.house.survey.transfers[at].positions;
                positions.get(position).map_or_else(String::new, |position| position.name.clone())
            }
            _ => String::new(),
        }
    }

    /// A device at the end of a wire, beside its box.
    fn device_on_wire(&mut self, at: Point, below: bool, device: Option<&(Id, Device, String)>) {
        let Some((item, device, _)) = device else { return };
        if device.kind.get() == Some(DeviceKind::Lugs) {
            return;
        }
        let away = DEVICE + 2.0;
        let centre = Point::new(at.x, if below { at.y + away } else { at.y - away });
        let gap = Rect::new(at.x - 3.0, centre.y - DEVICE, 6.0, 2.0 * DEVICE);
        self.canvas.rect(gap, 0.0, None, Some(Paint::Paper));
        self.device(device, centre, false, self.sheet.symbol_stroke(item));
    }

    /// What a feeder is: its id, its conductor, the devices at its ends.
    fn feeder_words(&mut self, run: usize, end: Point, ends: &[String; 2]) {
        let letters = self.sheet.letters;
        let run = &self.sheet.house.survey.runs[run];
        let room = Room::CLOSE.words - BESIDE;
        let mut y = end.y - 4.0 * CLOSE - 2.0;
        let mut line = |canvas: &mut crate::drawing::canvas::Canvas<'_>, text: &str, strong: bool| {
            let style = if strong { Style::SMALL.bold() } else { Style::SMALL };
            let frame = Rect::new(end.x + BESIDE, y, room, CLOSE);
            y += CLOSE;
            canvas.text(frame, style.in_paint(Paint::Ink).at(Anchor::Start), text)
        };
        let width = line(&mut self.canvas, run.id.as_str(), true);
        let mark = self.sheet.marks.get(&run.id).copied().filter(|mark| *mark != Mark::Meets);
        if let Some(mark) = mark {
            let middle = end.y - 3.5 * CLOSE - 2.0;
            self.canvas.mark_shape(mark, end.x + BESIDE + width + 6.0, middle - 8.0, 16.0, false);
        }
        line(&mut self.canvas, &wire(run, &letters), false);
        for words in ends {
            line(&mut self.canvas, words, false);
        }
        self.canvas.place(&run.id, Rect::new(end.x - 8.0, end.y - 4.0 * CLOSE, 100.0, 4.0 * CLOSE));
    }

    fn blocks(&mut self) {
        for node in 0..self.plan.layers.kinds.len() {
            let frame = self.plan.frame(node);
            match self.plan.layers.kinds[node] {
                Kind::Bend => {}
                Kind::Joint(run) => self.joint(node, run, frame),
                kind => self.block(kind, frame),
            }
        }
    }

    fn block(&mut self, kind: Kind, frame: Rect) {
        let words = Words::of(&self.sheet, kind, frame.width);
        let weight = if matches!(kind, Kind::Panel(_)) { Weight::Line } else { Weight::Hair };
        let role = words.item.as_ref().filter(|item| self.sheet.emphasis.contains_key(*item));
        let plain = Stroke::new(Paint::Ink, weight);
        let stroke = role.map_or(plain, |item| self.sheet.symbol_stroke(item));
        self.canvas.rect(frame, CORNER, Some(stroke), Some(Paint::Paper));
        let mut x = frame.x + PAD;
        if let Some(symbol) = words.symbol {
            self.symbols.insert(symbol);
            let ink = role.map_or(Stroke::INK, |item| self.sheet.symbol_stroke(item));
            symbols::source(&mut self.canvas, symbol, x + SYMBOL / 2.0 - 5.0, frame.centre().y, ink);
            x += SYMBOL;
        }
        let mut row = Rect::new(x, frame.y + 4.0, frame.right() - PAD - x, LINE);
        let title = words.title.iter().map(|line| (line, Style::SMALL.bold()));
        for (line, style) in title.chain(words.lines.iter().map(|line| (line, Style::SMALL))) {
            self.canvas.text(row, style.in_paint(Paint::Ink), line);
            row.y += LINE;
        }
        if let Some(mark) = words.mark {
            let (x, middle) = match words.behind {
                Some(behind) => (row.x + behind, row.y - LINE / 2.0 + WITH_MARK - 2.0),
                None => (row.x, row.y + (LINE + WITH_MARK) / 2.0 + 1.0),
            };
            narrow_mark(&mut self.canvas, mark, x, middle);
        }
        if let Some(item) = words.item {
            self.canvas.control(&item, frame);
        }
    }
}
