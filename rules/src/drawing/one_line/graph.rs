//! What the one-line shows: boxes, and the runs between them.

use std::collections::{BTreeMap, BTreeSet};

use crate::house::{House, Item};
use crate::si::ampere;
use crate::survey::{Id, LoadKind};

/// Rating from which on a two-pole circuit is drawn by itself [A]. Our choice, no source: below
/// it the drawing would fill with small circuits.
const HEAVY: f64 = 30.0;

/// What a box stands for; numbers are places in the survey's lists.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Kind {
    Supply(usize),
    Panel(usize),
    Transfer(usize),
    Inlet(usize),
    /// The only load of a run.
    Load(usize),
    /// The loads of a run.
    Group(usize),
    /// Where a run goes on as another.
    Joint(usize),
    /// Where a run begins or ends at nothing that the survey knows.
    Loose(usize),
    /// A panel that has a drawing of its own.
    Elsewhere(usize),
    /// Where a wire passes a layer.
    Bend,
}

/// Where at a box a wire ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Key {
    /// Its only kind of terminal.
    Plain,
    /// The incoming lugs of a panel.
    Line,
    /// The feed-through lugs of a panel.
    Through,
    /// A unit of a panel: one way, or two that feed one run.
    Unit(usize),
    /// Output of a transfer switch.
    Output,
    /// Input of a transfer switch.
    Position(usize),
    /// DC terminals of an inverter.
    Direct,
}

/// One end of a wire.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct End {
    pub(super) node: usize,
    pub(super) key: Key,
}

/// A run as drawn.
#[derive(Debug, Clone, Copy)]
pub(super) struct Edge {
    pub(super) run: usize,
    pub(super) from: End,
    pub(super) to: End,
}

/// A way, or two ways that feed one run together.
#[derive(Debug, Clone, Default)]
pub(super) struct Unit {
    pub(super) ways: Vec<usize>,
    /// Number of its bus section.
    pub(super) section: usize,
    /// The bus section that it feeds.
    pub(super) feeds: Option<usize>,
    /// Whether it is a row of the panel's list; what hangs on it is told there.
    pub(super) listed: bool,
    /// Runs and loads behind it, where it is listed.
    pub(super) runs: Vec<usize>,
    pub(super) loads: Vec<usize>,
}

/// The units of a panel.
#[derive(Debug, Clone, Default)]
pub(super) struct Units {
    pub(super) units: Vec<Unit>,
    of_way: Vec<usize>,
}

/// Boxes and runs.
#[derive(Debug, Clone, Default)]
pub(super) struct Graph {
    pub(super) nodes: Vec<Kind>,
    pub(super) edges: Vec<Edge>,
    /// By panel.
    pub(super) panels: Vec<Units>,
}

impl Graph {
    pub(super) fn of(house: &House<'_>) -> Self {
        let mut maker = Maker::new(house);
        maker.units();
        maker.nodes();
        maker.edges();
        maker.graph
    }
}

impl Graph {
    /// Sources, transfer switches and panels with the runs between them: no loads.
    pub(super) fn trunk(&self) -> Self {
        let is_trunk = |kind: &Kind| !matches!(kind, Kind::Load(_) | Kind::Group(_) | Kind::Loose(_));
        let mut kept: Vec<bool> = self.nodes.iter().map(is_trunk).collect();
        // A joint is kept where it leads on to something that is kept; one that goes may leave another behind it.
        loop {
            let leads_on =
                |node: usize| self.edges.iter().any(|edge| edge.from.node == node && kept[edge.to.node]);
            let is_end =
                |node: &usize| kept[*node] && matches!(self.nodes[*node], Kind::Joint(_)) && !leads_on(*node);
            let ends: Vec<usize> = (0..self.nodes.len()).filter(is_end).collect();
            if ends.is_empty() {
                break;
            }
            ends.into_iter().for_each(|node| kept[node] = false);
        }
        self.part(&kept, None)
    }

    /// A panel with everything that reaches it or hangs on it up to the next panels, which stay as names.
    /// `None` in place of a panel: what no panel's part holds.
    pub(super) fn around(&self, panel: Option<usize>) -> Self {
        let Some(panel) = panel else {
            let mut kept = vec![true; self.nodes.len()];
            for kind in &self.nodes {
                let Kind::Panel(at) = kind else { continue };
                kept.iter_mut().zip(self.reached(*at)).for_each(|(kept, held)| *kept &= !held);
            }
            return self.part(&kept, None);
        };
        self.part(&self.reached(panel), Some(panel))
    }

    /// The boxes of a panel's part.
    fn reached(&self, panel: usize) -> Vec<bool> {
        let mut reached: Vec<bool> = self.nodes.iter().map(|kind| *kind == Kind::Panel(panel)).collect();
        let mut next: Vec<usize> = (0..self.nodes.len()).filter(|node| reached[*node]).collect();
        while let Some(node) = next.pop() {
            if matches!(self.nodes[node], Kind::Panel(at) if at != panel) {
                continue;
            }
            for edge in &self.edges {
                for (here, there) in [(edge.from.node, edge.to.node), (edge.to.node, edge.from.node)] {
                    if here == node && !reached[there] {
                        reached[there] = true;
                        next.push(there);
                    }
                }
            }
        }
        reached
    }

    /// The boxes that are kept and the runs between them; of the panels only one is drawn whole, where one
    /// is named.
    fn part(&self, kept: &[bool], whole: Option<usize>) -> Self {
        let mut place = vec![None; self.nodes.len()];
        let mut nodes = Vec::new();
        for (node, kind) in self.nodes.iter().enumerate().filter(|(node, _)| kept[*node]) {
            place[node] = Some(nodes.len());
            nodes.push(match kind {
                Kind::Panel(at) if whole.is_some_and(|whole| whole != *at) => Kind::Elsewhere(*at),
                other => *other,
            });
        }
        let other = |node: usize| matches!(nodes[node], Kind::Elsewhere(_));
        let end = |end: End| place[end.node].map(|node| End { node, ..end });
        let edges = self.edges.iter().filter_map(|edge| {
            let (from, to) = (end(edge.from)?, end(edge.to)?);
            // What runs between two other panels is theirs to tell.
            (!(other(from.node) && other(to.node))).then_some(Edge { run: edge.run, from, to })
        });
        Self { edges: edges.collect(), nodes: nodes.clone(), panels: self.panels.clone() }
    }
}

struct Maker<'a> {
    house: &'a House<'a>,
    graph: Graph,
    /// Runs that begin at the end of a run.
    children: Vec<Vec<usize>>,
    /// Whether a run is told in a panel's list.
    collapsed: Vec<bool>,
    node_of: BTreeMap<Kind, usize>,
    /// Where each run ends.
    ends: Vec<Option<End>>,
}

impl<'a> Maker<'a> {
    fn new(house: &'a House<'a>) -> Self {
        let runs = &house.survey.runs;
        let mut children = vec![Vec::new(); runs.len()];
        for (at, run) in runs.iter().enumerate() {
            if let Some(Item::Run(parent)) = house.index.get(&run.from) {
                children[parent].push(at);
            }
        }
        Self {
            house,
            graph: Graph::default(),
            children,
            collapsed: vec![false; runs.len()],
            node_of: BTreeMap::new(),
            ends: vec![None; runs.len()],
        }
    }

    fn way(&self, id: &Id) -> Option<(usize, usize)> {
        match self.house.index.get(id) {
            Some(Item::Way(panel, way)) => Some((panel, way)),
            _ => None,
        }
    }

    /// Joins ways that feed one run, and finds which units are rows of a list.
    fn units(&mut self) {
        let survey = self.house.survey;
        self.graph.panels = survey.panels.iter().map(Units::of).collect();
        for run in &survey.runs {
            let ways = (self.way(&run.from), run.also_from.as_ref().and_then(|id| self.way(id)));
            if let (Some((panel, one)), Some((other_panel, two))) = ways
                && panel == other_panel
            {
                self.graph.panels[panel].join(one, two);
            }
        }
        let standing = self.ways_that_stand();
        for panel in 0..survey.panels.len() {
            for unit in 0..self.graph.panels[panel].units.len() {
                self.list(panel, unit, &standing);
            }
        }
    }

    /// Ways that are drawn by themselves whatever hangs on them: those at which a run ends, and those of an
    /// interlock.
    fn ways_that_stand(&self) -> BTreeSet<(usize, usize)> {
        let survey = self.house.survey;
        let ended = survey.runs.iter().filter_map(|run| run.to.as_ref());
        let locked = survey.interlocks.iter().flat_map(|interlock| &interlock.ways);
        ended.chain(locked).filter_map(|id| self.way(id)).collect()
    }

    /// Makes a unit a row of the list, with what hangs on it, where it may be one.
    fn list(&mut self, panel: usize, at: usize, standing: &BTreeSet<(usize, usize)>) {
        let unit = &self.graph.panels[panel].units[at];
        let stands = unit.ways.iter().any(|way| standing.contains(&(panel, *way)));
        if unit.ways.is_empty() || unit.feeds.is_some() || stands {
            return;
        }
        let own: BTreeSet<usize> =
            unit.ways.iter().flat_map(|way| self.house.runs_from_way(panel, *way)).collect();
        let heavy = self.is_heavy(panel, unit);
        let mut runs = Vec::new();
        if heavy && !own.is_empty() || !own.iter().all(|run| self.gather(*run, panel, at, &mut runs)) {
            return;
        }
        for run in &runs {
            self.collapsed[*run] = true;
        }
        let loads = self.loads_of(&runs);
        let unit = &mut self.graph.panels[panel].units[at];
        (unit.listed, unit.runs, unit.loads) = (true, runs, loads);
    }

    /// Whether a unit's rating and poles make it worth drawing.
    fn is_heavy(&self, panel: usize, unit: &Unit) -> bool {
        let ways = unit.ways.iter().map(|way| &self.house.survey.panels[panel].ways[*way].device);
        let rated = |rating: f64| rating >= HEAVY;
        ways.clone().any(|device| {
            let two = device.poles.get().is_some_and(|poles| poles > 1) || unit.ways.len() > 1;
            two && device.rating.known().is_some_and(|rating| rated(rating.quantity().get::<ampere>()))
        })
    }

    /// The loads on these runs, in the order of the survey.
    fn loads_of(&self, runs: &[usize]) -> Vec<usize> {
        let mut loads: Vec<usize> =
            runs.iter().flat_map(|run| self.house.load_numbers_on(*run)).copied().collect();
        loads.sort_unstable();
        loads.dedup();
        loads
    }

    /// Collects a run and those behind it; false where one leads to something that is drawn.
    fn gather(&self, run: usize, panel: usize, unit: usize, into: &mut Vec<usize>) -> bool {
        let item = &self.house.survey.runs[run];
        let strange = |id: &Id| {
            self.way(id).is_some_and(|(at, way)| at != panel || self.graph.panels[panel].of_way[way] != unit)
        };
        let elsewhere = strange(&item.from) || item.also_from.as_ref().is_some_and(strange);
        let drawn = self.house.loads_on(run).any(|load| stands_out(load.kind));
        if item.to.is_some() || elsewhere || drawn || into.contains(&run) {
            return false;
        }
        into.push(run);
        self.children[run].iter().all(|child| self.gather(*child, panel, unit, into))
    }

    fn nodes(&mut self) {
        let survey = self.house.survey;
        let kinds = (0..survey.supplies.len())
            .map(Kind::Supply)
            .chain((0..survey.inlets.len()).map(Kind::Inlet))
            .chain((0..survey.transfers.len()).map(Kind::Transfer))
            .chain((0..survey.panels.len()).map(Kind::Panel));
        for kind in kinds {
            self.node(kind);
        }
    }

    fn node(&mut self, kind: Kind) -> usize {
        let next = self.graph.nodes.len();
        let node = *self.node_of.entry(kind).or_insert(next);
        if node == next {
            self.graph.nodes.push(kind);
        }
        node
    }

    fn edges(&mut self) {
        let runs = &self.house.survey.runs;
        for run in 0..runs.len() {
            if !self.collapsed[run] {
                self.ends[run] = Some(self.end(run));
            }
        }
        for (at, run) in runs.iter().enumerate() {
            let Some(to) = self.ends[at] else { continue };
            let from = self.start(at, &run.from).filter(|from| *from != to);
            let from = from.unwrap_or_else(|| self.loose(at, to));
            self.graph.edges.push(Edge { run: at, from, to });
            let second = run.also_from.as_ref().and_then(|id| self.start(at, id));
            if let Some(second) = second.filter(|second| *second != from && *second != to) {
                self.graph.edges.push(Edge { run: at, from: second, to });
            }
        }
    }

    /// A loose beginning; where the end of the run is loose too, a second loose box.
    fn loose(&mut self, run: usize, to: End) -> End {
        let node = self.node(Kind::Loose(run));
        if node != to.node {
            return End { node, key: Key::Plain };
        }
        self.graph.nodes.push(Kind::Loose(run));
        End { node: self.graph.nodes.len() - 1, key: Key::Plain }
    }

    /// Where a run ends.
    fn end(&mut self, run: usize) -> End {
        let item = &self.house.survey.runs[run];
        let plain = |node| End { node, key: Key::Plain };
        if let Some(to) = &item.to {
            return self.landing(to).unwrap_or_else(|| {
                let node = self.node(Kind::Loose(run));
                plain(node)
            });
        }
        let loads = self.loads_of(&[run]);
        let goes_on = self.children[run].iter().any(|child| !self.collapsed[*child]);
        let kind = match &loads[..] {
            [] if goes_on => Kind::Joint(run),
            [load] if !goes_on => Kind::Load(*load),
            _ => Kind::Group(run),
        };
        let node = self.node(kind);
        plain(node)
    }

    fn landing(&mut self, to: &Id) -> Option<End> {
        let (kind, key) = match self.house.index.get(to)? {
            Item::Panel(panel) => (Kind::Panel(panel), Key::Line),
            Item::Way(panel, way) => (Kind::Panel(panel), Key::Unit(self.graph.panels[panel].of_way[way])),
            Item::Supply(supply) => (Kind::Supply(supply), Key::Direct),
            Item::Position(transfer, position) => (Kind::Transfer(transfer), Key::Position(position)),
            Item::Inlet(inlet) => (Kind::Inlet(inlet), Key::Plain),
            _ => return None,
        };
        Some(End { node: self.node(kind), key })
    }

    fn start(&mut self, run: usize, from: &Id) -> Option<End> {
        let (kind, key) = match self.house.index.get(from)? {
            Item::Panel(panel) => (Kind::Panel(panel), Key::Through),
            Item::Way(panel, way) => (Kind::Panel(panel), Key::Unit(self.graph.panels[panel].of_way[way])),
            Item::Supply(supply) => (Kind::Supply(supply), Key::Plain),
            Item::Transfer(transfer) => (Kind::Transfer(transfer), Key::Output),
            Item::Inlet(inlet) => (Kind::Inlet(inlet), Key::Plain),
            Item::Run(parent) if parent != run => return self.ends[parent],
            _ => return None,
        };
        Some(End { node: self.node(kind), key })
    }
}

/// Loads that are drawn by themselves: large, or with a hard start.
fn stands_out(kind: LoadKind) -> bool {
    matches!(
        kind,
        LoadKind::Range
            | LoadKind::Oven
            | LoadKind::Cooktop
            | LoadKind::Dryer
            | LoadKind::WaterHeater
            | LoadKind::HeatPump
            | LoadKind::AirConditioner
            | LoadKind::WellPump
            | LoadKind::VehicleCharger
    )
}

impl Units {
    fn of(panel: &crate::survey::Panel) -> Self {
        let section = |id: &Id| panel.buses.iter().position(|bus| bus.id == *id).unwrap_or(0);
        let units = panel
            .ways
            .iter()
            .enumerate()
            .map(|(at, way)| Unit {
                ways: vec![at],
                section: section(panel.bus_of(way)),
                feeds: panel.buses.iter().position(|bus| bus.fed_by.as_ref() == Some(&way.id)),
                ..Unit::default()
            })
            .collect();
        Self { units, of_way: (0..panel.ways.len()).collect() }
    }

    /// Joins two ways of the same section; a unit without ways stays behind.
    fn join(&mut self, one: usize, two: usize) {
        let (keep, gone) = (self.of_way[one], self.of_way[two]);
        let alike = self.units[keep].section == self.units[gone].section;
        let feeds = self.units[keep].feeds.is_some() || self.units[gone].feeds.is_some();
        if keep == gone || !alike || feeds {
            return;
        }
        let ways = std::mem::take(&mut self.units[gone].ways);
        for way in &ways {
            self.of_way[*way] = keep;
        }
        self.units[keep].ways.extend(ways);
    }
}
impl Units {
    /// The unit of a way.
    pub(super) fn unit_of(&self, way: usize) -> usize {
        self.of_way[way]
    }
}
