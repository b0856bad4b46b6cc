//! The one-line of a house: sources at the top, panels with their buses and devices below, small circuits in
//! lists, everything else with its symbol.

mod balance;
mod boxes;
mod channel;
mod columns;
mod graph;
mod head;
mod labels;
mod layers;
mod legend;
mod links;
mod order;
mod overview;
mod panel_box;
mod part;
mod slots;
mod symbols;
#[cfg(test)]
mod tests;
mod upright;
mod wires;

use std::collections::{BTreeMap, BTreeSet};

pub use overview::{one_line_of_house, one_line_overview};
pub use part::{PartDrawn, one_line_in_parts, one_line_of_panel};
pub use symbols::Symbol;

use self::graph::Graph;
use self::head::Head;
use self::layers::Layers;
use self::order::Order;
use self::slots::{Room, Slots};
use self::wires::{Spacing, Wiring};
use super::about::{About, about, mark_of};
use super::canvas::{Canvas, Style};
use super::letters::Letters;
use super::mark::{Mark, Marks};
use super::scene::{Anchor, Dash, Paint, Rect, Scene, Shape, Stroke, TextSize, Weight};
use super::words::{device as device_word, unknown};
use crate::finding::Arg;
use crate::house::House;
use crate::say;
use crate::survey::quantity::EnteredCurrent;
use crate::survey::{Device, DeviceKind, Fact, Id, Way};

/// Edge around the drawing [units].
const EDGE: f32 = 28.0;

/// What an item is in the mode that is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Role {
    /// Live from the source of this number; each number has its own dash.
    Live(u8),
    /// Dead.
    Dead,
    /// Part of a path to danger; drawn as a double line.
    Peril,
}

/// The items to bring out. What is not named is drawn as it is.
pub type Emphasis = BTreeMap<Id, Role>;

/// A one-line and what belongs to it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct OneLine {
    /// The drawing.
    pub scene: Scene,
    /// The symbols in it, with their trade names.
    pub legend: Scene,
    /// The symbols in it.
    pub symbols: BTreeSet<Symbol>,
    /// How often wires cross.
    pub crossings: usize,
}

/// Draws the one-line of a house. `marks` gives the worst verdict of each item, `emphasis` what is to be
/// brought out.
#[must_use]
pub fn one_line(house: &House<'_>, marks: &Marks, emphasis: &Emphasis, letters: Letters<'_>) -> OneLine {
    draw(Sheet { house, marks, about: &about(house.survey), emphasis, letters, ids: false, list_columns: 2 })
}

/// As [`one_line`], with the id of each item before its name: on paper nothing can be tapped.
#[must_use]
pub fn one_line_with_ids(
    house: &House<'_>,
    marks: &Marks,
    emphasis: &Emphasis,
    letters: Letters<'_>,
) -> OneLine {
    draw(Sheet { house, marks, about: &about(house.survey), emphasis, letters, ids: true, list_columns: 2 })
}

fn draw(sheet: Sheet<'_>) -> OneLine {
    let letters = sheet.letters;
    let mut drawing = Drawing::of(sheet, Plan::of(&sheet));
    drawing.wires();
    labels::draw(&mut drawing);
    drawing.boxes();
    let bottom = drawing.left_over(&BTreeSet::new());
    drawing.finish(bottom + EDGE, letters)
}

/// The house and how it is to be shown.
#[derive(Clone, Copy)]
struct Sheet<'a> {
    house: &'a House<'a>,
    marks: &'a Marks,
    about: &'a About,
    emphasis: &'a Emphasis,
    letters: Letters<'a>,
    /// Whether ids stand before names.
    ids: bool,
    /// Most columns of a list of circuits.
    list_columns: usize,
}

/// Where everything stands.
struct Plan {
    graph: Graph,
    layers: Layers,
    order: Order,
    heads: Vec<Vec<Head>>,
    slots: Slots,
    heights: Vec<f32>,
    wiring: Wiring,
}

impl Plan {
    fn of(sheet: &Sheet<'_>) -> Self {
        Self::full(sheet, Graph::of(sheet.house))
    }

    /// With everything that a box tells.
    fn full(sheet: &Sheet<'_>, graph: Graph) -> Self {
        let layers = Layers::of(sheet.house, &graph);
        let parts = columns::parts(&sheet.house.survey.panels, &graph, &layers);
        let order = Order::of(&layers, parts);
        let heads = head::heads(sheet, &graph, &layers, &order.parts);
        let slots = Slots::of(&layers, &order, &head::widths(&heads), EDGE, Room::FULL);
        let heights: Vec<f32> = (0..layers.kinds.len())
            .map(|node| boxes::height(sheet, &graph, layers.kinds[node], &order.parts[node], &heads[node]))
            .collect();
        let wiring = wires::lay(&layers, &slots, &heights, graph.edges.len(), (EDGE, Spacing::FULL));
        Self { graph, layers, order, heads, slots, heights, wiring }
    }

    /// The rectangle of a box.
    fn frame(&self, node: usize) -> Rect {
        let (left, right) = self.slots.extent(node);
        let top = self.wiring.tops.get(self.layers.layer[node]).copied().unwrap_or(EDGE);
        Rect::new(left, top, right - left, self.heights[node])
    }
}

/// A one-line in the making.
struct Drawing<'a> {
    sheet: Sheet<'a>,
    plan: Plan,
    canvas: Canvas<'a>,
    symbols: BTreeSet<Symbol>,
}

impl<'a> Drawing<'a> {
    fn of(sheet: Sheet<'a>, plan: Plan) -> Self {
        Self { canvas: Canvas::new(sheet.letters), sheet, plan, symbols: BTreeSet::new() }
    }

    /// The drawing with its legend, down to this height.
    fn finish(mut self, height: f32, letters: Letters<'_>) -> OneLine {
        let (width, crossings) = (self.width(), self.plan.wiring.crossings);
        if crossings > 0 {
            self.symbols.insert(Symbol::Hop);
        }
        let legend = legend::draw(&self.symbols, letters);
        OneLine { scene: self.canvas.finish(width, height), legend, symbols: self.symbols, crossings }
    }
}

impl Drawing<'_> {
    fn width(&self) -> f32 {
        self.plan.slots.width.max(480.0)
    }

    fn wires(&mut self) {
        for (edge, item) in self.plan.graph.edges.iter().enumerate() {
            let run = &self.sheet.house.survey.runs[item.run];
            let stroke = self.sheet.wire(item.run);
            if run.planned {
                self.symbols.insert(Symbol::Planned);
            }
            let path = self.plan.wiring.wires[edge].path();
            draw_wire(&mut self.canvas, path, stroke);
        }
    }

    /// Items that nothing in the survey joins to the rest, in a line below, but for those of other drawings;
    /// returns the lower edge.
    fn left_over(&mut self, elsewhere: &BTreeSet<Id>) -> f32 {
        let placed: BTreeSet<Id> = self.canvas.scene.places.iter().map(|place| place.item.clone()).collect();
        let left =
            items(self.sheet.house).into_iter().filter(|id| !placed.contains(id) && !elsewhere.contains(id));
        let mut seen = BTreeSet::new();
        let left: Vec<Id> = left.filter(|id| seen.insert(id.clone())).collect();
        let mut y = self.plan.wiring.bottom;
        if left.is_empty() {
            return y;
        }
        y += 24.0;
        let width = self.width() - 2.0 * EDGE;
        let title = self.sheet.letters.word("Joined to nothing that was entered");
        self.canvas.text(Rect::new(EDGE, y, width, TextSize::Small.line()), Style::SMALL.bold(), &title);
        y += TextSize::Small.line();
        for id in left {
            let name = super::names::name(self.sheet.house, &id, &self.sheet.letters);
            let name = self.sheet.tagged(&id, &name);
            let frame = Rect::new(EDGE, y, width, TextSize::Body.line());
            self.canvas.text(frame, Style::BODY, &name);
            self.canvas.place(&id, frame);
            y += frame.height;
        }
        y
    }
}

/// Draws a wire; a path to danger as a double line.
fn draw_wire(canvas: &mut Canvas<'_>, path: super::path::PathShape, stroke: Stroke) {
    let double = stroke.paint == Paint::Peril;
    canvas.push(Shape::Path { path: path.clone(), stroke: Some(stroke), fill: None });
    if double {
        let core = Stroke { weight: Weight::Line, paint: Paint::Paper, ..stroke };
        canvas.push(Shape::Path { path, stroke: Some(core), fill: None });
    }
}

/// Every item that a one-line shows.
fn items(house: &House<'_>) -> Vec<Id> {
    let survey = house.survey;
    let mut items: Vec<Id> = Vec::new();
    items.extend(survey.supplies.iter().map(|item| item.id.clone()));
    for panel in &survey.panels {
        items.push(panel.id.clone());
        items.extend(panel.buses.iter().map(|bus| bus.id.clone()));
        items.extend(panel.ways.iter().map(|way| way.id.clone()));
    }
    items.extend(survey.runs.iter().map(|item| item.id.clone()));
    items.extend(survey.loads.iter().map(|item| item.id.clone()));
    for transfer in &survey.transfers {
        items.push(transfer.id.clone());
        items.extend(transfer.positions.iter().map(|position| position.id.clone()));
    }
    items.extend(survey.interlocks.iter().map(|item| item.id.clone()));
    items.extend(survey.inlets.iter().map(|item| item.id.clone()));
    items.extend(survey.electrodes.iter().map(|item| item.id.clone()));
    items
}

impl Sheet<'_> {
    /// The name of an item, behind its id where ids are shown.
    fn tagged(&self, id: &Id, name: &str) -> String {
        let name = name.trim();
        if !self.ids || name == id.as_str() {
            name.to_owned()
        } else if name.is_empty() {
            id.to_string()
        } else {
            format!("{id} {name}")
        }
    }

    /// The words of a circuit in a list, behind the ids of its runs, or of its way where it has none.
    fn row_label(&self, label: &str, runs: &[&Id], ways: &[&Way]) -> String {
        if !self.ids {
            return label.to_owned();
        }
        let runs: Vec<&str> = runs.iter().map(|run| run.as_str()).collect();
        let own = ways.first().map_or("", |way| way.id.as_str());
        let ids = if runs.is_empty() { own.to_owned() } else { runs.join("+") };
        format!("{ids} {label}")
    }

    /// The line of a wire: by the role of its run, dashed where it is planned.
    fn wire(&self, run: usize) -> Stroke {
        let run = &self.house.survey.runs[run];
        let stroke = self.stroke(&run.id);
        if run.planned { stroke.dashed(Dash::Dashed) } else { stroke }
    }

    /// The line of an item by its role.
    fn stroke(&self, item: &Id) -> Stroke {
        match self.emphasis.get(item) {
            None => Stroke::INK,
            Some(Role::Live(source)) => {
                let dash = [Dash::Solid, Dash::Long, Dash::DashDot, Dash::Dotted];
                Stroke::new(Paint::Live(*source), Weight::Strong)
                    .dashed(dash[usize::from(*source) % dash.len()])
            }
            Some(Role::Dead) => Stroke::new(Paint::Dead, Weight::Hair),
            Some(Role::Peril) => Stroke::new(Paint::Peril, Weight::Bus),
        }
    }

    /// The line of a symbol: never heavier than reads well.
    fn symbol_stroke(&self, item: &Id) -> Stroke {
        let stroke = self.stroke(item);
        let weight = stroke.weight.min(Weight::Strong);
        Stroke { weight, dash: Dash::Solid, ..stroke }
    }

    /// The worst of a way and all that it stands for.
    fn way_mark(&self, way: &Way) -> Option<Mark> {
        mark_of(self.marks, self.about, &way.id)
    }

    /// A panel is no better than its worst way.
    fn panel_mark(&self, at: usize) -> Option<Mark> {
        mark_of(self.marks, self.about, &self.house.survey.panels[at].id)
    }

    /// The rating of a device in few letters.
    fn short_rating(&self, device: &Device) -> String {
        match (device.rating.known(), device.kind.get()) {
            (Some(rating), _) => rating.text().to_owned(),
            (None, Some(kind @ (DeviceKind::Lugs | DeviceKind::Spare | DeviceKind::Switch))) => {
                self.letters.word(device_word(kind))
            }
            (None, _) => "? A".to_owned(),
        }
    }

    /// The number of a way, or its id where it has none.
    fn way_number(&self, way: &Way) -> String {
        if self.ids { way.id.to_string() } else { way.number() }
    }

    /// What is said of a circuit without label and wire.
    fn nothing(&self, device: Option<&Device>) -> String {
        match device.map(|device| device.kind.get()) {
            Some(Some(DeviceKind::Spare)) => self.letters.word("spare"),
            _ => self.letters.word("nothing entered"),
        }
    }
}

/// `bus 200 A`.
fn rating_words(letters: &Letters<'_>, rating: &Fact<EnteredCurrent>) -> String {
    match rating.known() {
        Some(rating) => letters.say(&say!("bus {}", rating.text().to_owned())),
        None => letters.say(&say!("bus rating {}", Arg::Word(unknown(rating)))),
    }
}

/// How wide a verdict is where there is little room [units].
fn mark_width(letters: &Letters<'_>, mark: Mark) -> f32 {
    if !mark.falls_short() {
        return 16.0;
    }
    letters.width(&letters.word(mark.word()), TextSize::Small, true) + 10.0
}

/// Room for the widest verdict and the air before it, in the language of the reader [units].
fn verdict_room(letters: &Letters<'_>) -> f32 {
    let all = [Mark::Danger, Mark::Warning, Mark::Caution, Mark::Notice];
    all.into_iter().map(|mark| mark_width(letters, mark) + 12.0).fold(head::VERDICT, f32::max)
}

/// A verdict where there is little room: the word on its fill, "?" in a dashed frame, a tick in a
/// circle. Returns its width.
fn narrow_mark(canvas: &mut Canvas<'_>, mark: Mark, x: f32, middle: f32) -> f32 {
    if !mark.falls_short() {
        canvas.mark_shape(mark, x, middle - 8.0, 16.0, false);
        return 16.0;
    }
    let word = canvas.letters.word(mark.word());
    let width = mark_width(&canvas.letters, mark);
    let frame = Rect::new(x, middle - 10.0, width, 20.0);
    canvas.rect(frame, 3.0, None, Some(Paint::Signal(mark)));
    let style = Style::SMALL.bold().at(Anchor::Middle).in_paint(Paint::OnSignal(mark));
    canvas.text(frame, style, &word);
    width
}
