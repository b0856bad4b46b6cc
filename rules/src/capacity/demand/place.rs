//! The places whose demand is worked out: services, feeders, and bus sections fed by a way of
//! their own panel.

use crate::house::House;
use crate::network::{Link, NodeId};
use crate::survey::{DeviceKind, Id, PanelKind, SupplyKind};

/// What a place is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PlaceKind {
    /// The panel that the utility reaches first.
    Service,
    /// A panel behind another one.
    Feeder,
    /// A bus section fed by a way of its own panel.
    Bus,
}

impl PlaceKind {
    /// The kind in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        crate::words::word(match self {
            Self::Service => "service",
            Self::Feeder => "feeder",
            Self::Bus => "bus section",
        })
    }
}

/// A place whose demand is worked out.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// What it is.
    pub kind: PlaceKind,
    /// The panel or bus section.
    pub at: Id,
    /// The panel's place in the survey's list.
    pub panel: usize,
    /// The bus section's place in the panel's list.
    pub bus: Option<usize>,
    /// Its node: incoming lugs, or the bus.
    pub node: NodeId,
    /// Numbers of the loads that hang on it.
    pub loads: Vec<usize>,
    /// Runs that end at loads nobody has written down.
    pub open_runs: Vec<usize>,
    /// Ways (panel, way) with a device of which nobody has written what it feeds.
    pub open_ways: Vec<(usize, usize)>,
    /// Whether every load of its supply's tree hangs on it.
    pub whole: bool,
}

/// Every place that feeds loads, panels first, in the survey's order. DC boxes and disconnects of one
/// load beyond the service are none.
#[must_use]
pub fn places(house: &House<'_>) -> Vec<Place> {
    let below = Below::of(house);
    let mut places = Vec::new();
    for (at, panel) in house.panels() {
        let first = is_first(house, at);
        if panel.kind.get() == Some(PanelKind::DcCombiner) || (!first && serves_one_load(house, at)) {
            continue;
        }
        let kind = if first { PlaceKind::Service } else { PlaceKind::Feeder };
        places.push(below.place(house, kind, &panel.id, (at, None), house.network.line(at)));
        for (bus_at, bus) in panel.buses.iter().enumerate().filter(|(_, bus)| bus.fed_by.is_some()) {
            let node = house.network.bus(at, bus_at);
            places.push(below.place(house, PlaceKind::Bus, &bus.id, (at, Some(bus_at)), node));
        }
    }
    places.retain(|place| {
        !(place.loads.is_empty() && place.open_runs.is_empty() && place.open_ways.is_empty())
    });
    places
}

/// A box with one way to one load belongs to a branch circuit.
fn serves_one_load(house: &House<'_>, panel: usize) -> bool {
    let line = house.network.line(panel);
    let Some(edge) = house.feeds.up_edge(line) else { return false };
    match house.network.edge(edge).link {
        Link::Run(run) => house.survey.panels[panel].ways.len() == 1 && house.sole_load(run).is_some(),
        _ => false,
    }
}

/// Whether nothing but runs and transfer switches lies between the utility and the panel.
fn is_first(house: &House<'_>, panel: usize) -> bool {
    let mut node = house.network.line(panel);
    while let Some(edge) = house.feeds.up_edge(node) {
        let edge = house.network.edge(edge);
        if !matches!(edge.link, Link::Run(_) | Link::Position(..)) {
            return false;
        }
        node = edge.other(node);
    }
    let root = house.feeds.root(node).map(|supply| house.survey.supplies[supply].kind);
    root == Some(SupplyKind::Utility)
}

/// What hangs below each node.
struct Below {
    /// Loads with the nodes above them.
    loads: Vec<(usize, Vec<NodeId>)>,
    runs: Vec<(usize, Vec<NodeId>)>,
    ways: Vec<((usize, usize), Vec<NodeId>)>,
}

impl Below {
    fn of(house: &House<'_>) -> Self {
        let end = |run: usize| above(house, house.network.run_end(run));
        let loads = house.survey.loads.iter().enumerate();
        let loads = loads.filter_map(|(at, load)| Some((at, end(house.run_number(&load.on)?)))).collect();
        let open = house.runs().map(|(at, _)| at).filter(|at| is_open(house, *at));
        let runs = open.map(|run| (run, end(run))).collect();
        let ways = house.ways().filter(|(panel, way, ..)| is_untraced(house, *panel, *way));
        let ways = ways.map(|(panel, way, ..)| ((panel, way), above(house, house.network.way(panel, way))));
        Self { loads, runs, ways: ways.collect() }
    }

    fn place(
        &self,
        house: &House<'_>,
        kind: PlaceKind,
        at: &Id,
        (panel, bus): (usize, Option<usize>),
        node: NodeId,
    ) -> Place {
        let loads: Vec<usize> = below(&self.loads, node);
        let root = house.feeds.root(node);
        let of_root = |nodes: &[NodeId]| nodes.first().and_then(|first| house.feeds.root(*first)) == root;
        let all = self.loads.iter().filter(|(_, nodes)| of_root(nodes)).count();
        Place {
            kind,
            at: at.clone(),
            panel,
            bus,
            node,
            whole: loads.len() == all,
            loads,
            open_runs: below(&self.runs, node),
            open_ways: below(&self.ways, node),
        }
    }
}

fn below<T: Copy>(all: &[(T, Vec<NodeId>)], node: NodeId) -> Vec<T> {
    all.iter().filter(|(_, nodes)| nodes.contains(&node)).map(|(item, _)| *item).collect()
}

/// A node and those between it and the root; on a standby supply's own side of a transfer switch, those up
/// to the switch: nothing behind the switch feeds them.
fn above(house: &House<'_>, node: NodeId) -> Vec<NodeId> {
    let mut nodes = vec![node];
    let mut here = node;
    while let Some(parent) = house.feeds.parent(&house.network, here) {
        if house.feeds.leaves_by_other(&house.network, here) {
            break;
        }
        nodes.push(parent);
        here = parent;
    }
    nodes
}

/// A run that ends at its loads, of which none is written down.
fn is_open(house: &House<'_>, run: usize) -> bool {
    let goes_on = house.survey.runs[run].to.is_some() || house.runs_from_end(run).next().is_some();
    !goes_on && house.load_numbers_on(run).is_empty()
}

/// A way that holds a device, or may, with nothing behind it.
fn is_untraced(house: &House<'_>, panel: usize, way: usize) -> bool {
    let device = &house.survey.panels[panel].ways[way].device;
    let is_spare = device.kind.get() == Some(DeviceKind::Spare);
    !is_spare && house.network.edges_at(house.network.way(panel, way)).len() < 2
}
