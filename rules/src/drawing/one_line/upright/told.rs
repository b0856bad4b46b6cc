//! A box beside the wires: its symbol and its words, as wide as they are.

use super::super::boxes::{inlet_lines, load_lines, transfer_lines};
use super::super::graph::{Key, Kind};
use super::super::symbols::{self, Symbol};
use super::super::{Drawing, mark_width, narrow_mark, verdict_room};
use super::tree::Branch;
use crate::drawing::canvas::{CORNER, Style};
use crate::drawing::mark::Mark;
use crate::drawing::scene::{Dash, Paint, Rect, Stroke, TextSize, Weight};
use crate::survey::Id;

/// Space around the words [units].
const PAD: f32 = 8.0;
/// Room for a symbol [units].
const SYMBOL: f32 = 56.0;
/// Most width [units].
const WIDEST: f32 = 300.0;
/// Height of a line of words [units].
const LINE: f32 = TextSize::Small.line();
/// Side of the dot where a run goes on as another [units].
const DOT: f32 = 8.0;

/// How a box is framed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Edge {
    /// A dot on the wire.
    Dot,
    /// Told elsewhere.
    Dotted,
    Hair,
    /// Loads have no frame.
    Bare,
}

/// A load of several on one run.
struct Item {
    words: String,
    mark: Option<Mark>,
    id: Id,
}

/// The words of a box, broken into lines.
pub(super) struct Told {
    edge: Edge,
    symbol: Option<Symbol>,
    id: Option<Id>,
    title: Vec<String>,
    lines: Vec<String>,
    items: Vec<Item>,
    /// Positions of a transfer switch.
    positions: Vec<Id>,
    mark: Option<Mark>,
    /// The verdict has room behind the last line; from where, there [units].
    behind: Option<f32>,
    pub(super) width: f32,
    pub(super) height: f32,
}

impl Told {
    /// What the box at the far end of a branch tells in this room.
    pub(super) fn of(drawing: &Drawing<'_>, branch: &Branch, room: f32) -> Self {
        let mut told = Self::facts(drawing, branch);
        if told.edge == Edge::Dot {
            (told.width, told.height) = (DOT, DOT);
            return told;
        }
        let letters = drawing.sheet.letters;
        let around = 2.0 * PAD + if told.symbol.is_some() { SYMBOL } else { 0.0 };
        let inner = room.min(WIDEST) - around;
        let title = told.title.concat();
        told.title = letters.wrapped(&title, TextSize::Small, true, inner, 4);
        told.title.retain(|line| !line.is_empty());
        let lines = told.lines.iter();
        told.lines = lines.flat_map(|line| letters.wrapped(line, TextSize::Small, false, inner, 2)).collect();
        let wide = |line: &String, strong| letters.width(line, TextSize::Small, strong);
        let last = match (told.lines.last(), told.title.last()) {
            (Some(line), _) => wide(line, false),
            (None, Some(line)) => wide(line, true),
            (None, None) => 0.0,
        };
        let behind = last + PAD;
        let mark = told.mark.map_or(0.0, |mark| mark_width(&letters, mark) + 2.0);
        told.behind = told.mark.map(|_| behind).filter(|behind| behind + mark <= inner);
        let marked = told.behind.unwrap_or(0.0) + mark;
        let titles = told.title.iter().map(|line| wide(line, true));
        let lines = told.lines.iter().map(|line| wide(line, false));
        let items = told.items.iter().map(|item| wide(&item.words, false) + verdict_room(&letters) + PAD);
        // A unit more, so that rounding cuts nothing.
        let widest = titles.chain(lines).chain(items).fold(marked, f32::max).min(inner).max(20.0) + 1.0;
        told.width = widest + around;
        let count = (told.title.len() + told.lines.len()) as f32;
        let mark = if told.mark.is_some() && told.behind.is_none() { 23.0 } else { 0.0 };
        told.height = count * LINE + told.items.len() as f32 * (LINE + 3.0) + mark + 10.0;
        told.height = told.height.max(match told.symbol {
            Some(symbol) if hangs(symbol) => super::ENTRY + 46.0,
            Some(_) => SYMBOL + 4.0,
            None => 0.0,
        });
        told
    }

    fn facts(drawing: &Drawing<'_>, branch: &Branch) -> Self {
        let (sheet, survey) = (&drawing.sheet, drawing.sheet.house.survey);
        let letters = &sheet.letters;
        let kind = drawing.plan.graph.nodes[branch.far.node];
        let mut told = Self {
            edge: Edge::Hair,
            symbol: None,
            id: None,
            title: Vec::new(),
            lines: Vec::new(),
            items: Vec::new(),
            positions: Vec::new(),
            mark: None,
            behind: None,
            width: 0.0,
            height: 0.0,
        };
        let named = |told: &mut Self, id: &Id, name: &str| {
            told.title = vec![sheet.tagged(id, name)];
            told.id = Some(id.clone());
            told.mark = sheet.marks.get(id).copied();
        };
        match kind {
            Kind::Supply(at) => {
                let supply = &survey.supplies[at];
                named(&mut told, &supply.id, &supply.name);
                told.symbol = Some(Symbol::of_supply(supply.kind));
                told.lines = drawing.supply_lines(supply);
            }
            Kind::Inlet(at) => {
                let inlet = &survey.inlets[at];
                named(&mut told, &inlet.id, &inlet.name);
                told.symbol = Some(Symbol::Inlet);
                told.lines = inlet_lines(inlet);
            }
            Kind::Transfer(at) => {
                let transfer = &survey.transfers[at];
                named(&mut told, &transfer.id, &transfer.name);
                told.symbol = Some(Symbol::Transfer);
                told.lines = transfer_lines(transfer, letters);
                told.positions = transfer.positions.iter().map(|position| position.id.clone()).collect();
            }
            Kind::Panel(at) | Kind::Elsewhere(at) => {
                let panel = &survey.panels[at];
                named(&mut told, &panel.id, &panel.name);
                (told.mark, told.edge) = (None, Edge::Dotted);
            }
            Kind::Load(at) => {
                let load = &survey.loads[at];
                named(&mut told, &load.id, &load.name);
                (told.symbol, told.edge) = (Some(Symbol::of_load(load.kind)), Edge::Bare);
                told.lines = load_lines(load);
            }
            Kind::Group(run) => {
                told.items = sheet
                    .house
                    .loads_on(run)
                    .map(|load| Item {
                        words: sheet.tagged(&load.id, &load.name),
                        mark: sheet.marks.get(&load.id).copied(),
                        id: load.id.clone(),
                    })
                    .collect();
                if told.items.is_empty() {
                    told.lines = vec![letters.word("no load entered")];
                }
            }
            Kind::Loose(_) => {
                (told.symbol, told.edge) = (Some(Symbol::Loose), Edge::Bare);
                told.lines = vec![letters.word("nothing entered here")];
            }
            Kind::Joint(_) | Kind::Bend => told.edge = Edge::Dot,
        }
        if branch.named {
            told.only_named(drawing, branch, kind);
        }
        told
    }

    /// Where a box is drawn already: its name only, or the terminal of the panel.
    fn only_named(&mut self, drawing: &Drawing<'_>, branch: &Branch, kind: Kind) {
        let panels = &drawing.sheet.house.survey.panels;
        self.lines = Vec::new();
        self.items = Vec::new();
        self.positions = Vec::new();
        (self.symbol, self.mark, self.id, self.edge) = (None, None, None, Edge::Dotted);
        match (kind, branch.far.key) {
            (Kind::Panel(at), Key::Unit(unit)) => {
                let ways = drawing.plan.graph.panels[at].units[unit].ways.iter();
                let ids: Vec<String> = ways.map(|way| panels[at].ways[*way].id.to_string()).collect();
                self.title = vec![ids.join("+")];
            }
            (Kind::Group(run) | Kind::Joint(run) | Kind::Loose(run), _) => {
                self.title = vec![drawing.sheet.house.survey.runs[run].id.to_string()];
            }
            _ => {}
        }
    }

    /// From its upper edge to where a wire from the left comes in [units].
    pub(super) fn entry(&self) -> f32 {
        (self.height / 2.0).min(super::ENTRY)
    }

    pub(super) fn is_dot(&self) -> bool {
        self.edge == Edge::Dot
    }

    pub(super) fn draw(&self, drawing: &mut Drawing<'_>, frame: Rect, run: usize) {
        let edge = match self.edge {
            Edge::Dot => {
                let (centre, paint) = (frame.centre(), drawing.sheet.wire(run).paint);
                drawing.canvas.circle(centre.x, centre.y, DOT / 2.0, None, Some(paint));
                return;
            }
            Edge::Dotted => Some(Stroke::new(Paint::Ink, Weight::Hair).dashed(Dash::Dotted)),
            Edge::Hair => Some(Stroke::new(Paint::Ink, Weight::Hair)),
            Edge::Bare => None,
        };
        if edge.is_some() {
            drawing.canvas.rect(frame, CORNER, edge, Some(Paint::Paper));
        }
        let mut x = frame.x + PAD;
        if let Some(symbol) = self.symbol {
            drawing.symbols.insert(symbol);
            let (centre, axis) = (x + 22.0, frame.y + self.entry());
            let middle = if hangs(symbol) { axis + 20.0 } else { axis.max(frame.y + SYMBOL / 2.0 + 2.0) };
            if self.edge == Edge::Bare {
                // A load has no frame: its wire goes up to it.
                let end = centre - reach(symbol);
                drawing.canvas.line(&[(frame.x, axis), (end, axis)], drawing.sheet.wire(run));
            }
            match symbol {
                Symbol::Transfer => symbols::transfer(&mut drawing.canvas, centre, middle),
                _ => symbols::source(&mut drawing.canvas, symbol, centre, middle, Stroke::INK),
            }
            x += SYMBOL;
        }
        let room = frame.right() - PAD + 1.0 - x;
        let mut row = Rect::new(x, frame.y + 5.0, room, LINE);
        row.y += drawing.canvas.lines(row, Style::SMALL.bold().in_paint(Paint::Ink), &self.title);
        row.y += drawing.canvas.lines(row, Style::SMALL.in_paint(Paint::Ink), &self.lines);
        if let Some(mark) = self.mark {
            let (x, middle) = match self.behind {
                Some(behind) => (row.x + behind, row.y - LINE / 2.0),
                None => (row.x, row.y + 11.0),
            };
            narrow_mark(&mut drawing.canvas, mark, x, middle);
        }
        let verdict = verdict_room(&drawing.sheet.letters);
        for item in &self.items {
            let words = Rect { width: room - verdict, height: LINE + 3.0, ..row };
            drawing.canvas.text(words, Style::SMALL.in_paint(Paint::Ink), &item.words);
            if let Some(mark) = item.mark {
                narrow_mark(&mut drawing.canvas, mark, row.x + room - verdict + PAD, words.centre().y);
            }
            drawing.canvas.place(&item.id, words);
            row.y += LINE + 3.0;
        }
        for id in self.id.iter().chain(&self.positions) {
            drawing.canvas.place(id, frame);
        }
    }
}

/// Whether a symbol hangs on a wire from above.
fn hangs(symbol: Symbol) -> bool {
    matches!(symbol, Symbol::Outlet | Symbol::Load)
}

/// From the middle of a load's symbol to its wire from the left [units].
fn reach(symbol: Symbol) -> f32 {
    match symbol {
        Symbol::Outlet | Symbol::Load => 0.0,
        Symbol::Heater => 10.0,
        Symbol::Lamp => 16.0,
        Symbol::Charger => 19.0,
        _ => 20.0,
    }
}
