//! A panel's part for a page: its bus stands upright, each way is a line of its own, and what hangs on it stands
//! beside it. However many ways a panel has, the drawing is no wider than its page; where it is higher than one, it
//! goes on on the next, from section to section where that can be. No wire crosses another.

mod branches;
mod sections;
mod told;
mod tree;

use self::branches::Pen;
use self::sections::{Inside, Line, What, split};
use self::tree::{Branch, Tree};
use super::graph::{Graph, Key, Kind};
use super::head::{self, AIR, GROUND, NUMBER, PAD, RATING, ROW};
use super::panel_box::draw_row;
use super::symbols::{DEVICE, Symbol};
use super::{Drawing, Plan, Sheet, links, narrow_mark, verdict_room};
use crate::drawing::canvas::{CORNER, Canvas, Style};
use crate::drawing::pages::{Cut, continuation};
use crate::drawing::scene::{Anchor, Dash, Paint, Point, Rect, Stroke, TextSize, Weight};
use crate::survey::DeviceKind;

/// From the upper edge of a line to its wire: the words of the wire stand there [units].
const ENTRY: f32 = 26.0;
/// Between lines [units].
const GAP: f32 = 8.0;
/// Edge around the drawing [units].
const EDGE: f32 = 4.0;
/// Middle of the bus [units].
const BUS: f32 = 34.0;
/// From the bus to the words and lists beside it [units].
const BESIDE: f32 = 20.0;
/// Least height of the line of a section, with the device that feeds it [units].
const HEAD: f32 = 76.0;
/// Room for the words of the device that feeds a section [units].
const FEED_WORDS: f32 = 92.0;
/// Least room inside the box beside the bus [units].
const INNER: f32 = 360.0;
/// Most width of the words of a run beside its wire [units].
const WIRE: f32 = 240.0;
/// Room at the end of a sheet for the mark of a bus that goes on [units].
const JOINT: f32 = 34.0;
/// Height of a line of words [units].
const LINE: f32 = TextSize::Small.line();

/// Draws the part of a panel, given by its number, in sheets of this width and height [units].
pub(super) fn draw(sheet: Sheet<'_>, graph: Graph, at: usize, (width, height): (f32, f32)) -> Vec<Cut> {
    let mut upright = Upright::of(sheet, graph, at, width);
    let lines = upright.lines();
    let (mut start, mut sheets) = (0, Vec::new());
    for count in split(&lines, height - 2.0 * EDGE - PAD, 2.0 * JOINT) {
        sheets.push(upright.sheet(&lines, start..start + count, sheets.len()));
        start += count;
    }
    sheets
}

struct Upright<'a> {
    drawing: Drawing<'a>,
    tree: Tree,
    inside: Inside,
    /// Number of the panel in the survey.
    at: usize,
    width: f32,
    /// Right edge of the box.
    right: f32,
    /// Room for the words of the wires beside the box.
    wire: f32,
}

impl<'a> Upright<'a> {
    fn of(sheet: Sheet<'a>, graph: Graph, at: usize, width: f32) -> Self {
        let root = graph.nodes.iter().position(|kind| *kind == Kind::Panel(at)).unwrap_or(0);
        let tree = Tree::of(&graph, root);
        let has_wires = |key: Key| tree.at.iter().any(|(own, _)| *own == key);
        let inside = Inside::of(&sheet, &graph, at, has_wires);
        let mut drawing = Drawing::of(sheet, Plan::full(&sheet, Graph::default()));
        drawing.plan.graph = graph;
        let mut upright = Self { drawing, tree, inside, at, width, right: 0.0, wire: 0.0 };
        upright.wire = upright.wire_room();
        upright.right = upright.box_right();
        // The words of the sections take the room that there is.
        let room = upright.right - PAD - BUS - BESIDE - FEED_WORDS;
        let panel = &sheet.house.survey.panels[at];
        let count = upright.inside.sections.len();
        for (place, section) in upright.inside.sections.iter_mut().enumerate() {
            (section.title, section.notes) =
                head::words(&sheet, panel, section.number, (place == 0, count), room);
        }
        upright
    }

    /// The widest words of a wire at the panel.
    fn wire_room(&mut self) -> f32 {
        let pen = Pen { drawing: &mut self.drawing, right: self.width, draws: false };
        self.tree.at.iter().map(|(_, branch)| pen.beside(branch, WIRE)).fold(120.0, f32::max)
    }

    /// The box is as wide as its lists and grounds, and leaves room for what hangs on it.
    fn box_right(&self) -> f32 {
        let letters = self.drawing.sheet.letters;
        let small = |text: &String| letters.width(text, TextSize::Small, false);
        let verdict = verdict_room(&letters);
        let rows = self.inside.sections.iter().flat_map(|section| &section.rows);
        let rows = rows.map(|row| small(&row.label) + NUMBER + RATING + verdict + AIR + 1.0);
        let grounds = self.inside.grounds.iter().map(|ground| small(&ground.words) + 50.0 + verdict + 4.0);
        let wanted = BUS + BESIDE + rows.chain(grounds).fold(INNER, f32::max) + PAD;
        let beside = if self.tree.at.is_empty() { EDGE } else { self.wire + 170.0 };
        wanted.min((self.width - beside).max(BUS + BESIDE + INNER))
    }

    fn incoming(&self) -> Vec<&Branch> {
        self.tree.on(Key::Line)
    }

    /// Everything that is told, line by line.
    fn lines(&mut self) -> Vec<Line> {
        let panel = &self.drawing.sheet.house.survey.panels[self.at];
        let mut whats: Vec<(What, usize)> =
            (0..self.incoming().len()).map(|at| (What::Incoming(at), 0)).collect();
        for (place, section) in self.inside.sections.iter().enumerate() {
            whats.push((What::Head, place));
            let units = &self.drawing.plan.graph.panels[self.at].units;
            whats.extend(
                self.inside.ways(panel, units, place).into_iter().map(|unit| (What::Way(unit), place)),
            );
            if place == 0 && !self.tree.on(Key::Through).is_empty() {
                whats.push((What::Through, place));
            }
            whats.extend((0..section.rows.len()).map(|row| (What::Circuit(row), place)));
            if place == 0 {
                whats.extend((0..self.inside.grounds.len()).map(|ground| (What::Ground(ground), place)));
            }
        }
        let last = self.inside.sections.len().saturating_sub(1);
        whats.extend((0..self.inside.links.len()).map(|link| (What::Link(link), last)));
        whats
            .into_iter()
            .map(|(what, section)| Line { what, section, height: self.height(what, section) })
            .collect()
    }

    fn height(&mut self, what: What, section: usize) -> f32 {
        let small = TextSize::Small.line();
        match what {
            What::Incoming(at) => self.stack(Key::Line, Some(at), ENTRY, false) + GAP,
            What::Way(unit) => self.stack(Key::Unit(unit), None, ENTRY, false).max(ENTRY + DEVICE) + GAP,
            What::Through => self.stack(Key::Through, None, ENTRY, false).max(ENTRY + DEVICE) + GAP,
            What::Head => {
                let section_at = &self.inside.sections[section];
                let title = if section == 0 { TextSize::Body.line() } else { small };
                let mark = if section_at.mark.is_some() { 30.0 } else { 0.0 };
                let words =
                    section_at.title.len() as f32 * title + section_at.notes.len() as f32 * small + mark;
                (words + PAD).max(HEAD)
            }
            What::Circuit(row) => {
                let last = self.inside.sections[section].rows.len() == row + 1;
                // Room above and below the list.
                ROW + if row == 0 { 6.0 } else { 0.0 } + if last { 12.0 } else { 0.0 }
            }
            What::Ground(_) => GROUND,
            What::Link(link) => 10.0 + self.link_words(link).len() as f32 * small,
        }
    }

    /// The wires at a terminal, all of them or one; `y` is where the first stands. Returns their lower edge.
    fn stack(&mut self, key: Key, only: Option<usize>, y: f32, draws: bool) -> f32 {
        let branches = self.tree.on(key);
        let branches: Vec<&Branch> = match only {
            Some(at) => branches.get(at).copied().into_iter().collect(),
            None => branches,
        };
        if branches.is_empty() {
            return y;
        }
        let mut pen = Pen { drawing: &mut self.drawing, right: self.width, draws };
        if key == Key::Line {
            let words = BUS + 14.0;
            return pen.stack(&branches, BUS, words, words + self.wire, y);
        }
        // The wires of one terminal part inside the box.
        let part = self.right - 14.0;
        pen.stack(&branches, part, self.right + 10.0, self.right + self.wire, y)
    }

    /// The words of an interlock and the ways that it ties.
    fn link_words(&self, link: usize) -> Vec<String> {
        let sheet = &self.drawing.sheet;
        let interlock = &sheet.house.survey.interlocks[self.inside.links[link].0];
        let letters = sheet.letters;
        let ways: Vec<String> = interlock.ways.iter().map(ToString::to_string).collect();
        let named = format!("{} ({})", sheet.tagged(&interlock.id, &interlock.name), ways.join(", "));
        let words = links::with_state(&letters, interlock, named);
        letters.wrapped(&words, TextSize::Small, false, self.inner().width - 40.0 - verdict_room(&letters), 4)
    }

    /// What lies beside the bus inside the box.
    fn inner(&self) -> Rect {
        let x = BUS + BESIDE;
        Rect::new(x, 0.0, self.right - PAD - x, 0.0)
    }

    fn sheet(&mut self, lines: &[Line], range: std::ops::Range<usize>, number: usize) -> Cut {
        let letters = self.drawing.sheet.letters;
        self.drawing.canvas = Canvas::new(letters);
        let own = &lines[range.clone()];
        let (before, after) = (lines.get(range.start.wrapping_sub(1)), lines.get(range.end));
        let comes = before.is_some() && own.first().is_some_and(|line| self.goes_on(line));
        let goes = after.is_some_and(|line| self.goes_on(line));
        let top = EDGE + if comes { JOINT } else { 0.0 };
        let mut y = top;
        let tops: Vec<f32> = own
            .iter()
            .map(|line| {
                let top = y;
                y += line.height;
                top
            })
            .collect();
        let inside = own.iter().zip(&tops).filter(|(line, _)| !matches!(line.what, What::Incoming(_)));
        let box_top = inside.map(|(_, top)| *top).reduce(f32::min);
        let bottom = y + PAD;
        let mut joints = Vec::new();
        if let Some(box_top) = box_top {
            self.enclosure(box_top, bottom);
        }
        let bar = comes && own.first().is_some_and(|line| line.what != What::Head);
        let mut bus = Bus { from: bar.then_some(top - 8.0), last: top - 8.0, in_list: false };
        if comes {
            joints.push(number);
            self.joint(number, EDGE + JOINT / 2.0 - 4.0, top - 8.0);
        }
        for (line, top) in own.iter().zip(tops) {
            self.line(*line, top, &mut bus);
        }
        if goes {
            joints.push(number + 1);
            if after.is_some_and(|line| line.what == What::Head) {
                self.drawing.canvas.line(&[(BUS, bus.last), (BUS, bottom + 6.0)], Stroke::INK);
            } else {
                bus.last = bottom + 6.0;
            }
            self.bar(&bus);
            self.joint(number + 1, bottom + JOINT / 2.0 + 4.0, bottom + 6.0);
        } else {
            self.bar(&bus);
        }
        let height = bottom + EDGE + if goes { JOINT } else { 0.0 };
        let canvas = std::mem::replace(&mut self.drawing.canvas, Canvas::new(letters));
        let window = Rect::new(0.0, 0.0, self.width, height);
        Cut { scene: canvas.finish(self.width, height), window, joints }
    }

    /// Whether the bus goes on into a line from the sheet before it.
    fn goes_on(&self, line: &Line) -> bool {
        match line.what {
            What::Head => self.inside.sections[line.section].inline,
            What::Way(_) | What::Through | What::Circuit(_) => true,
            What::Incoming(_) | What::Ground(_) | What::Link(_) => false,
        }
    }

    /// A circle with the number of the bus that goes on.
    fn joint(&mut self, number: usize, y: f32, to: f32) {
        self.drawing.canvas.line(&[(BUS, y), (BUS, to)], Stroke::INK);
        continuation(&mut self.drawing.canvas.scene, Point::new(BUS, y), number, Paint::Ink);
    }

    fn enclosure(&mut self, top: f32, bottom: f32) {
        let frame = Rect::new(EDGE, top, self.right - EDGE, bottom - top);
        let edge = Stroke::new(Paint::Ink, Weight::Hair);
        self.drawing.canvas.rect(frame, CORNER, Some(edge), None);
        let id = self.drawing.sheet.house.survey.panels[self.at].id.clone();
        self.drawing.canvas.place(&id, frame);
    }

    /// Draws a bus up to its last line.
    fn bar(&mut self, bus: &Bus) {
        let Some(from) = bus.from else { return };
        self.drawing.symbols.insert(Symbol::Bus);
        let to = bus.last.max(from + 8.0);
        self.drawing.canvas.line(&[(BUS, from), (BUS, to)], Stroke::new(Paint::Ink, Weight::Bus));
    }

    fn line(&mut self, line: Line, top: f32, bus: &mut Bus) {
        let axis = top + ENTRY;
        match line.what {
            What::Incoming(at) => self.incoming_wire(at, top),
            What::Head => self.head(line, top, bus),
            What::Way(unit) => {
                bus.tap(axis);
                self.way(unit, axis);
            }
            What::Through => {
                bus.tap(axis);
                self.drawing.canvas.line(&[(BUS, axis), (self.right - 14.0, axis)], Stroke::INK);
                let words = self.drawing.sheet.letters.word("feed-through");
                let row = Rect::new(BUS + BESIDE, axis - LINE - 2.0, INNER, LINE);
                self.drawing.canvas.text(row, Style::SMALL, &words);
                self.stack(Key::Through, None, axis, true);
            }
            What::Circuit(row) => self.circuit(line, row, top, bus),
            What::Ground(ground) => {
                let ground = &self.inside.grounds[ground];
                let row = Rect { y: top, height: GROUND, ..self.inner() };
                self.drawing.ground(ground, row);
            }
            What::Link(link) => self.link(link, top),
        }
    }

    /// A wire that comes in, and the way down to the lugs.
    fn incoming_wire(&mut self, at: usize, top: f32) {
        let axis = top + ENTRY;
        let bottom = self.stack(Key::Line, Some(at), axis, true) + GAP;
        self.drawing.canvas.line(&[(BUS, axis), (BUS, bottom)], Stroke::INK);
    }

    /// What feeds a section, and its name beside it.
    fn head(&mut self, line: Line, top: f32, bus: &mut Bus) {
        let section = &self.inside.sections[line.section];
        let (inline, feeder, number) = (section.inline, section.feeder, section.number);
        let centre = Point::new(BUS, top + 12.0 + DEVICE);
        let start = centre.y + DEVICE;
        if inline {
            // From the end of the bus above.
            let above = bus.last.min(top);
            self.bar(bus);
            self.drawing.canvas.line(&[(BUS, above), (BUS, centre.y - DEVICE)], Stroke::INK);
        } else {
            self.bar(bus);
        }
        *bus = Bus { from: Some(start + 2.0), last: start + 12.0, in_list: false };
        match feeder {
            Some(unit) if inline => self.feeder(unit, centre),
            Some(unit) => self.fed_by(unit, centre),
            None if line.section == 0 => self.main(centre, top),
            None => {}
        }
        let x = BUS + BESIDE + FEED_WORDS;
        let room = self.right - PAD - x;
        let first = line.section == 0;
        let style = if first { Style::BODY.bold() } else { Style::SMALL.bold().in_paint(Paint::Ink) };
        let section = &self.inside.sections[line.section];
        let mut row = Rect::new(x, top + PAD - 4.0, room, style.size.line());
        row.y += self.drawing.canvas.lines(row, style, &section.title);
        row.height = LINE;
        row.y += self.drawing.canvas.lines(row, Style::SMALL, &section.notes);
        if let Some(mark) = section.mark {
            let width = self.drawing.canvas.plate_width(mark);
            self.drawing.canvas.plate(mark, row.x + width, row.y + 15.0);
        }
        let panel = &self.drawing.sheet.house.survey.panels[self.at];
        if let Some(own) = panel.buses.get(number).filter(|own| own.id != panel.id) {
            self.drawing.canvas.place(&own.id, Rect::new(x, top, room, line.height));
        }
    }

    /// The main, or the lugs.
    fn main(&mut self, centre: Point, top: f32) {
        let panel = &self.drawing.sheet.house.survey.panels[self.at];
        let lugs = panel.main.kind.get() == Some(DeviceKind::Lugs);
        let end = centre.y - DEVICE;
        if self.incoming().is_empty() {
            self.drawing.canvas.circle(centre.x, end - 3.0, 3.0, Some(Stroke::INK), Some(Paint::Paper));
        } else {
            self.drawing.canvas.line(&[(centre.x, top), (centre.x, end)], Stroke::INK);
        }
        self.drawing.device(&panel.main, centre, false, Stroke::INK);
        let letters = self.drawing.sheet.letters;
        let rating = if lugs { letters.word("lugs") } else { self.drawing.sheet.short_rating(&panel.main) };
        let row = Rect::new(BUS + BESIDE + 4.0, centre.y - LINE, FEED_WORDS - 10.0, LINE);
        self.drawing.canvas.text(row, Style::SMALL.bold().in_paint(Paint::Ink), &rating);
        if !lugs {
            self.drawing.canvas.text(row.moved(0.0, LINE), Style::SMALL, &letters.word("main"));
        }
    }

    /// The device between two sections.
    fn feeder(&mut self, unit: usize, centre: Point) {
        let ways = self.ways_of(unit);
        let panel = &self.drawing.sheet.house.survey.panels[self.at];
        let Some(first) = ways.first().map(|way| &panel.ways[*way]) else { return };
        self.drawing.device(&first.device, centre, false, Stroke::INK);
        let words = Rect::new(BUS + BESIDE + 4.0, centre.y - 28.0, FEED_WORDS - 10.0, LINE);
        self.drawing.device_words(self.at, &ways, words, Anchor::Start);
        let place = Rect::new(BUS - 16.0, centre.y - 30.0, FEED_WORDS + 20.0, 60.0);
        for way in &ways {
            self.drawing.canvas.place(&panel.ways[*way].id, place);
        }
    }

    /// The number of the way that feeds a section from elsewhere in the box.
    fn fed_by(&mut self, unit: usize, centre: Point) {
        let words = self.ids(unit);
        self.tag(&words, BUS - 22.0, centre.y, Dash::Solid);
        self.drawing.canvas.line(&[(BUS, centre.y + 12.0), (BUS, centre.y + DEVICE + 2.0)], Stroke::INK);
    }

    fn ways_of(&self, unit: usize) -> Vec<usize> {
        self.drawing.plan.graph.panels[self.at].units[unit].ways.clone()
    }

    fn ids(&self, unit: usize) -> String {
        let panel = &self.drawing.sheet.house.survey.panels[self.at];
        let ids = self.ways_of(unit).into_iter().map(|way| panel.ways[way].id.to_string());
        ids.collect::<Vec<_>>().join("+")
    }

    /// Words in a small frame; returns the right edge.
    fn tag(&mut self, words: &str, x: f32, middle: f32, dash: Dash) -> f32 {
        let width = self.drawing.sheet.letters.width(words, TextSize::Small, true) + 13.0;
        let frame = Rect::new(x, middle - 12.0, width.max(24.0), 24.0);
        let stroke = Stroke::new(Paint::Ink, Weight::Hair).dashed(dash);
        self.drawing.canvas.rect(frame, 8.0, Some(stroke), Some(Paint::Paper));
        let style = Style::SMALL.bold().at(Anchor::Middle).in_paint(Paint::Ink);
        self.drawing.canvas.text(frame, style, words);
        frame.right()
    }

    /// A way from the bus to the edge of the box, with what hangs on it.
    fn way(&mut self, unit: usize, axis: f32) {
        let ways = self.ways_of(unit);
        let panel = &self.drawing.sheet.house.survey.panels[self.at];
        let Some(first) = ways.first().map(|way| &panel.ways[*way]) else { return };
        let centre = Point::new(BUS + 12.0 + DEVICE, axis);
        let end = centre.x + DEVICE;
        let wired = !self.tree.on(Key::Unit(unit)).is_empty();
        let fed = self.fed(unit);
        self.drawing.canvas.line(&[(BUS, axis), (centre.x - DEVICE, axis)], Stroke::INK);
        self.drawing.device(&first.device, centre, true, Stroke::INK);
        if ways.len() > 1 {
            // Two handles of one circuit: a second stroke along.
            self.drawing
                .canvas
                .line(&[(centre.x - 5.0, axis + 9.0), (centre.x + 5.0, axis + 9.0)], Stroke::INK);
        }
        let mut x = self.way_words(unit, &ways, end + 10.0, axis);
        for (at, units) in self.inside.links.clone() {
            if units.contains(&unit) {
                let id = self.drawing.sheet.house.survey.interlocks[at].id.to_string();
                x = self.tag(&id, x, axis - 15.0, Dash::Dashed) + 6.0;
            }
        }
        if wired {
            self.drawing.canvas.line(&[(end, axis), (self.right - 14.0, axis)], Stroke::INK);
        } else if let Some(fed) = fed {
            let x = x.max(end + 90.0);
            self.drawing.canvas.line(&[(end, axis), (x, axis)], Stroke::INK);
            self.tag(&fed, x, axis, Dash::Solid);
        } else {
            self.drawing.canvas.circle(end, axis, 3.0, Some(Stroke::INK), Some(Paint::Paper));
        }
        let place = Rect::new(BUS, axis - ENTRY, self.right - BUS, 2.0 * ENTRY);
        for way in &ways {
            self.drawing.canvas.place(&panel.ways[*way].id, place);
        }
        self.stack(Key::Unit(unit), None, axis, true);
    }

    /// The section that a way feeds, where that stands elsewhere.
    fn fed(&self, unit: usize) -> Option<String> {
        let panel = &self.drawing.sheet.house.survey.panels[self.at];
        let fed = self.drawing.plan.graph.panels[self.at].units[unit].feeds?;
        panel.buses.get(fed).map(|bus| self.drawing.sheet.tagged(&bus.id, &bus.name))
    }

    /// Rating, id and verdict of a way above its wire; returns where they end.
    fn way_words(&mut self, unit: usize, ways: &[usize], x: f32, axis: f32) -> f32 {
        let panel = &self.drawing.sheet.house.survey.panels[self.at];
        let Some(first) = ways.first().map(|way| &panel.ways[*way]) else { return x };
        let rating = self.drawing.sheet.short_rating(&first.device);
        let id = self.ids(unit);
        let row = |x: f32| Rect::new(x, axis - LINE - 5.0, 200.0, LINE);
        let mut x = x;
        x += self.drawing.canvas.text(row(x), Style::SMALL.bold().in_paint(Paint::Ink), &rating) + 8.0;
        x += self.drawing.canvas.text(row(x), Style::SMALL.in_paint(Paint::Ink), &id) + 8.0;
        let marks = ways.iter().filter_map(|way| self.drawing.sheet.way_mark(&panel.ways[*way]));
        if let Some(mark) = marks.min() {
            x += narrow_mark(&mut self.drawing.canvas, mark, x, axis - LINE / 2.0 - 5.0) + 8.0;
        }
        x
    }

    /// A circuit of the list.
    fn circuit(&mut self, line: Line, row: usize, top: f32, bus: &mut Bus) {
        let rows = &self.inside.sections[line.section].rows;
        let top = if row == 0 { top + 6.0 } else { top };
        let frame = Rect { y: top, height: ROW, ..self.inner() };
        let (first, last) = (row == 0 || !bus.in_list, row + 1 == rows.len());
        self.drawing.symbols.insert(Symbol::List);
        if first {
            let axis = frame.centre().y;
            bus.tap(axis);
            self.drawing.canvas.line(&[(BUS, axis), (frame.x, axis)], Stroke::INK);
        }
        bus.in_list = !last;
        let edge = Stroke::new(Paint::Ink, Weight::Hair);
        let (left, right, bottom) = (frame.x, frame.right(), frame.bottom());
        if first {
            self.drawing.canvas.line(&[(left, top), (right, top)], edge);
        }
        self.drawing.canvas.line(&[(left, top), (left, bottom)], edge);
        self.drawing.canvas.line(&[(right, top), (right, bottom)], edge);
        if last {
            self.drawing.canvas.line(&[(left, bottom), (right, bottom)], edge);
        }
        draw_row(&mut self.drawing.canvas, frame, &rows[row], !last);
        for item in &rows[row].items {
            self.drawing.canvas.place(item, frame);
        }
    }

    /// An interlock in words.
    fn link(&mut self, link: usize, top: f32) {
        let lines = self.link_words(link);
        let interlock = &self.drawing.sheet.house.survey.interlocks[self.inside.links[link].0];
        let frame = Rect { y: top + 5.0, height: LINE, ..self.inner() };
        let tag = interlock.id.to_string();
        let x = self.tag(&tag, frame.x, frame.centre().y, Dash::Dashed) + 8.0;
        let row = Rect { x, width: frame.right() - verdict_room(&self.drawing.sheet.letters) - x, ..frame };
        self.drawing.canvas.lines(row, Style::SMALL.in_paint(Paint::Ink), &lines);
        if let Some(mark) = self.drawing.sheet.marks.get(&interlock.id) {
            narrow_mark(&mut self.drawing.canvas, *mark, row.right() + 8.0, frame.centre().y);
        }
        let place = Rect { height: lines.len() as f32 * LINE, ..frame };
        self.drawing.canvas.place(&interlock.id, place);
    }
}

/// A bus that is being drawn.
struct Bus {
    /// Its upper end; none before the first section.
    from: Option<f32>,
    /// Its lower end so far.
    last: f32,
    /// The row before the next one is of the same list.
    in_list: bool,
}

impl Bus {
    /// Something hangs on it at this height.
    fn tap(&mut self, y: f32) {
        self.last = self.last.max(y + 8.0);
    }
}
