//! A survey made ready for the checks: items by id, the network, what protects each run, what
//! hangs on it. Built once per assessment.

use crate::say;
use std::cell::OnceCell;
use std::collections::HashMap;
use std::sync::Arc;

use crate::calc::fault::{FaultAt, fault_currents};
use crate::calc::load_current::{Drawn, running_current};
use crate::calc::source::{Extreme, Source, source};
use crate::calc::{RunImpedance, Warmth};
use crate::capacity::{carry, demand};
use crate::codes::{Ampacity, DeviceLimit, RuleSet, rule_set};
use crate::finding::{Facts, Subject, Worked};
use crate::isolation::Isolation;
use crate::network::{Feeds, Island, Link, Mode, Network, Neutrals, Node, NodeId};
use crate::si::Current;
use crate::survey::{Device, DeviceKind, Id, ItemKind, Load, Panel, Run, Supply, Survey, Way};

/// Where an item stands in the survey's lists.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Item {
    /// A supply.
    Supply(usize),
    /// A panel.
    Panel(usize),
    /// A bus section: panel, bus.
    Bus(usize, usize),
    /// A way: panel, way.
    Way(usize, usize),
    /// A run.
    Run(usize),
    /// A load.
    Load(usize),
    /// A transfer switch.
    Transfer(usize),
    /// An input of a transfer switch: transfer, position.
    Position(usize, usize),
    /// An interlock.
    Interlock(usize),
    /// An inlet.
    Inlet(usize),
    /// A mode.
    Mode(usize),
    /// An electrode.
    Electrode(usize),
}

/// Items by id.
#[derive(Debug, Default)]
pub struct Index<'a>(HashMap<&'a str, Item>);

impl<'a> Index<'a> {
    /// Indexes a survey.
    #[must_use]
    pub fn of(survey: &'a Survey) -> Self {
        let mut items = HashMap::new();
        macro_rules! index {
            ($($list:ident: $kind:ident),+) => {$(
                for (at, item) in survey.$list.iter().enumerate() {
                    items.insert(item.id.as_str(), Item::$kind(at));
                }
            )+};
        }
        index!(supplies: Supply, runs: Run, loads: Load, interlocks: Interlock, inlets: Inlet, modes: Mode, electrodes: Electrode);
        for (at, panel) in survey.panels.iter().enumerate() {
            for (bus_at, bus) in panel.buses.iter().enumerate() {
                items.insert(bus.id.as_str(), Item::Bus(at, bus_at));
            }
            for (way_at, way) in panel.ways.iter().enumerate() {
                items.insert(way.id.as_str(), Item::Way(at, way_at));
            }
            items.insert(panel.id.as_str(), Item::Panel(at));
        }
        for (at, transfer) in survey.transfers.iter().enumerate() {
            items.insert(transfer.id.as_str(), Item::Transfer(at));
            for (position_at, position) in transfer.positions.iter().enumerate() {
                items.insert(position.id.as_str(), Item::Position(at, position_at));
            }
        }
        Self(items)
    }

    /// The item of this id.
    #[must_use]
    pub fn get(&self, id: &Id) -> Option<Item> {
        self.0.get(id.as_str()).copied()
    }
}

/// What a device stands in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Seat {
    /// A way of a panel.
    Way,
    /// The main of a panel.
    Main,
    /// The output of a supply.
    Output,
}

/// A device and the item (way, panel or supply) that holds it.
#[derive(Debug, Clone, Copy)]
pub struct Guard<'a> {
    /// The item.
    pub at: &'a Id,
    /// The device.
    pub device: &'a Device,
    /// What it stands in.
    pub seat: Seat,
}

/// Names of a device's facts in the file, by the seat it stands in.
macro_rules! device_facts {
    ($($method:ident: $fact:literal),+ $(,)?) => {
        impl Guard<'_> {$(
            #[doc = concat!("Name of the device's `", $fact, "` in the file.")]
            #[must_use]
            pub fn $method(&self) -> &'static str {
                match self.seat {
                    Seat::Way => concat!("device.", $fact),
                    Seat::Main => concat!("main.", $fact),
                    Seat::Output => concat!("output_device.", $fact),
                }
            }
        )+}
    };
}

impl Guard<'_> {
    /// Its rating, told as a step. Its kind is needed too: what is of unknown kind may protect
    /// nothing, and the device that does stands further ahead.
    pub fn rating(&self, facts: &mut Facts) -> Option<Current> {
        facts.need(&self.device.kind, self.at, self.kind_fact());
        let rating = facts.need(&self.device.rating, self.at, self.rating_fact())?.quantity();
        facts.seen("I_n", "device ahead", rating, self.at, self.rating_fact());
        Some(rating)
    }
}

device_facts!(
    kind_fact: "kind",
    rating_fact: "rating",
    poles_fact: "poles",
    voltage_fact: "voltage",
    interrupting_rating_fact: "interrupting_rating",
    dc_rated_fact: "dc_rated",
    base_fact: "base",
    adapter_limit_fact: "adapter_limit",
    class_fact: "class",
    common_trip_fact: "common_trip",
    gfci_fact: "gfci",
    afci_fact: "afci",
    rated_100_percent_fact: "rated_100_percent",
    instantaneous_trip_fact: "instantaneous_trip",
    clearing_time_fact: "clearing_time",
    lockable_fact: "lockable",
);

/// What protects a run against too much current.
#[derive(Debug, Clone)]
pub enum Protection<'a> {
    /// The nearest device ahead of it; of a run fed by two ways, the larger rating rules.
    Ahead(Guard<'a>),
    /// Service conductors: the device or devices (up to six) at their load end.
    AtEnd(Vec<Guard<'a>>),
    /// Nothing ahead and nothing at its end.
    None,
}

/// A survey made ready.
pub struct House<'a> {
    /// The survey.
    pub survey: &'a Survey,
    /// Items by id.
    pub index: Index<'a>,
    /// The graph.
    pub network: Network,
    /// Which supply feeds what.
    pub feeds: Feeds,
    /// The rules it is checked against.
    pub rules: &'static dyn RuleSet,
    ampacities: Vec<OnceCell<Worked<Ampacity>>>,
    device_limits: Vec<OnceCell<Worked<DeviceLimit>>>,
    neutrals: OnceCell<Neutrals>,
    neutral_islands: OnceCell<Vec<Island>>,
    isolation: OnceCell<Isolation>,
    impedances: Vec<OnceCell<RunImpedance>>,
    cold_impedances: Vec<OnceCell<RunImpedance>>,
    sources: Vec<[OnceCell<Worked<Source>>; 2]>,
    faults: Vec<OnceCell<Vec<FaultAt>>>,
    drawn: Vec<OnceCell<Worked<Option<Drawn>>>>,
    demands: OnceCell<Vec<demand::Assessed>>,
    islands: OnceCell<Vec<carry::Island>>,
    loads_on: Vec<Vec<usize>>,
    way_runs: HashMap<(usize, usize), Vec<usize>>,
}

impl<'a> House<'a> {
    /// Makes a survey ready.
    #[must_use]
    pub fn new(survey: &'a Survey) -> Self {
        let index = Index::of(survey);
        let network = Network::build(survey, &index);
        let feeds = Feeds::of(&network, survey);
        let mut loads_on = vec![Vec::new(); survey.runs.len()];
        for (at, load) in survey.loads.iter().enumerate() {
            if let Some(Item::Run(run)) = index.get(&load.on) {
                loads_on[run].push(at);
            }
        }
        let mut way_runs: HashMap<(usize, usize), Vec<usize>> = HashMap::new();
        for (at, run) in survey.runs.iter().enumerate() {
            for from in [Some(&run.from), run.also_from.as_ref()].into_iter().flatten() {
                if let Some(Item::Way(panel, way)) = index.get(from) {
                    way_runs.entry((panel, way)).or_default().push(at);
                }
            }
        }
        let rules = rule_set(survey.site.rules);
        let ampacities = vec![OnceCell::new(); survey.runs.len()];
        let device_limits = vec![OnceCell::new(); survey.runs.len()];
        let neutral_islands = OnceCell::new();
        let isolation = OnceCell::new();
        let impedances = vec![OnceCell::new(); survey.runs.len()];
        let cold_impedances = impedances.clone();
        let sources = vec![[OnceCell::new(), OnceCell::new()]; survey.supplies.len()];
        let faults = vec![OnceCell::new(); network.nodes().len()];
        let drawn = vec![OnceCell::new(); survey.loads.len()];
        Self {
            survey,
            index,
            network,
            feeds,
            rules,
            ampacities,
            device_limits,
            neutrals: OnceCell::new(),
            neutral_islands,
            isolation,
            impedances,
            cold_impedances,
            sources,
            faults,
            drawn,
            demands: OnceCell::new(),
            islands: OnceCell::new(),
            loads_on,
            way_runs,
        }
    }

    /// The impedances of a run at 75 °C, worked out once.
    #[must_use]
    pub fn impedance(&self, run: usize) -> &RunImpedance {
        self.impedances[run].get_or_init(|| RunImpedance::of(self, &self.survey.runs[run], Warmth::Warm))
    }

    /// The impedances of a run with cold conductors, as the largest fault current has them.
    #[must_use]
    pub fn impedance_cold(&self, run: usize) -> &RunImpedance {
        self.cold_impedances[run].get_or_init(|| RunImpedance::of(self, &self.survey.runs[run], Warmth::Cold))
    }

    /// Fault currents at a node from each supply that feeds it, worked out once.
    #[must_use]
    pub fn faults(&self, node: NodeId) -> &[FaultAt] {
        self.faults[node as usize].get_or_init(|| fault_currents(self, node))
    }

    /// The demand of every service, feeder and bus against what it may carry, worked out once.
    #[must_use]
    pub fn demands(&self) -> &[demand::Assessed] {
        let work_out = || demand::places(self).iter().map(|place| demand::assessed(self, place)).collect();
        self.demands.get_or_init(work_out)
    }

    /// The loads of every battery inverter and generator, worked out once.
    #[must_use]
    pub fn islands(&self) -> &[carry::Island] {
        self.islands.get_or_init(|| carry::islands(self))
    }

    /// What stands behind a supply's terminals, worked out once.
    pub(crate) fn source(&self, supply: usize, extreme: Extreme) -> &Worked<Source> {
        let cell = &self.sources[supply][usize::from(extreme == Extreme::Smallest)];
        cell.get_or_init(|| source(&self.survey.supplies[supply], extreme))
    }

    /// What a run can carry, worked out once.
    #[must_use]
    pub fn ampacity(&self, run: usize) -> &Worked<Ampacity> {
        self.ampacities[run].get_or_init(|| self.rules.ampacity(self, run))
    }

    /// The largest device that may protect a run, worked out once.
    #[must_use]
    pub fn device_limit(&self, run: usize) -> &Worked<DeviceLimit> {
        self.device_limits[run].get_or_init(|| self.rules.device_limit(self, run))
    }

    /// What hangs together by its neutral whatever the mode, worked out once.
    #[must_use]
    pub fn neutrals(&self) -> &Neutrals {
        self.neutrals.get_or_init(|| Neutrals::of(self))
    }

    /// What hangs together by its neutral in each mode of the house, worked out once.
    #[must_use]
    pub fn neutral_islands(&self) -> &[Island] {
        let islands = || Mode::all(self).into_iter().map(|mode| Island::of(self, mode)).collect();
        self.neutral_islands.get_or_init(islands)
    }

    /// How the sources can meet, worked out once.
    #[must_use]
    pub fn isolation(&self) -> &Isolation {
        self.isolation.get_or_init(|| Isolation::of(self))
    }

    /// The loads that hang directly on a run.
    pub fn loads_on(&self, run: usize) -> impl Iterator<Item = &'a Load> {
        self.loads_on[run].iter().map(|load| &self.survey.loads[*load])
    }

    /// The runs that begin at a way.
    pub fn runs_from_way(&self, panel: usize, way: usize) -> impl Iterator<Item = usize> {
        self.way_runs.get(&(panel, way)).into_iter().flatten().copied()
    }

    /// The run of this id.
    #[must_use]
    pub fn run_number(&self, id: &Id) -> Option<usize> {
        match self.index.get(id) {
            Some(Item::Run(run)) => Some(run),
            _ => None,
        }
    }

    /// Panels with their numbers.
    pub fn panels(&self) -> impl Iterator<Item = (usize, &'a Panel)> {
        self.survey.panels.iter().enumerate()
    }

    /// Every way with its panel.
    pub fn ways(&self) -> impl Iterator<Item = (usize, usize, &'a Panel, &'a Way)> {
        self.panels().flat_map(|(panel_at, panel)| {
            panel.ways.iter().enumerate().map(move |(way_at, way)| (panel_at, way_at, panel, way))
        })
    }

    /// Runs with their numbers.
    pub fn runs(&self) -> impl Iterator<Item = (usize, &'a Run)> {
        self.survey.runs.iter().enumerate()
    }

    /// What a way holds when it is no spare.
    #[must_use]
    pub fn guard_of_way(way: &'a Way) -> Guard<'a> {
        Guard { at: &way.id, device: &way.device, seat: Seat::Way }
    }

    /// A panel's main.
    #[must_use]
    pub fn guard_of_main(panel: &'a Panel) -> Guard<'a> {
        Guard { at: &panel.id, device: &panel.main, seat: Seat::Main }
    }

    /// What protects a run. A device whose kind is unknown counts as the device; the checks then
    /// ask for the kind.
    #[must_use]
    pub fn protection(&self, run: usize) -> Protection<'a> {
        let edge = self.network.edge(self.network.run_edge(run));
        match self.guard_towards_root(run, edge.a) {
            Some(guard) => Protection::Ahead(guard),
            None => match self.guards_at_end(run) {
                guards if guards.is_empty() => Protection::None,
                guards => Protection::AtEnd(guards),
            },
        }
    }

    fn guard_towards_root(&self, run: usize, start: NodeId) -> Option<Guard<'a>> {
        // The device at the very beginning counts even where the run lies towards a root.
        if let Some(guard) = self.guard_where_it_begins(run) {
            return Some(guard);
        }
        if self.feeds.up_edge(start) == Some(self.network.run_edge(run)) {
            return self.guard_of_standby(run);
        }
        self.guard_ahead(start)
    }

    /// A run that brings a standby supply in lies towards the root: the supply's own device
    /// protects it, or the device at its far end where that is larger.
    fn guard_of_standby(&self, run: usize) -> Option<Guard<'a>> {
        let mut begin = run;
        // Back over cords and inlets; as many steps as there are runs is surely enough.
        for _ in 0..self.survey.runs.len() {
            let node = self.network.edge(self.network.run_edge(begin)).a;
            let before = self.network.edges_at(node).iter().find_map(|edge| match self.network.edge(*edge) {
                edge if edge.b == node => match edge.link {
                    Link::Run(run) => Some(run),
                    _ => None,
                },
                _ => None,
            });
            match before {
                Some(run) if run != begin => begin = run,
                _ => break,
            }
        }
        let own = self.supply_of(&self.survey.runs[begin]).map(Self::guard_of_output);
        let far = self.survey.runs[run].to.as_ref().and_then(|to| match self.index.get(to)? {
            Item::Way(panel, way) => self.guard_of(Link::Way(panel, way)),
            _ => None,
        });
        let guards = [own.filter(|guard| !guard.device.is_blank()), far];
        guards.into_iter().flatten().max_by(|a, b| rank(a).total_cmp(&rank(b))).or(own)
    }

    /// The device at a supply's output.
    #[must_use]
    pub fn guard_of_output(supply: &'a Supply) -> Guard<'a> {
        Guard { at: &supply.id, device: &supply.output_device, seat: Seat::Output }
    }

    fn guard_where_it_begins(&self, run: usize) -> Option<Guard<'a>> {
        let run = &self.survey.runs[run];
        if let Some(supply) = self.supply_of(run).filter(|supply| !supply.output_device.is_blank()) {
            return Some(Self::guard_of_output(supply));
        }
        let ways = [Some(&run.from), run.also_from.as_ref()];
        let guards = ways.into_iter().flatten().filter_map(|from| match self.index.get(from)? {
            Item::Way(panel, way) => self.guard_of(Link::Way(panel, way)),
            _ => None,
        });
        // An unknown rating rules: it may be the larger one.
        guards.max_by(|a, b| rank(a).total_cmp(&rank(b)))
    }

    /// The device that an edge stands for, if it protects or may protect.
    #[must_use]
    pub fn guard_of(&self, link: Link) -> Option<Guard<'a>> {
        let guard = match link {
            Link::Main(panel) => Self::guard_of_main(&self.survey.panels[panel]),
            Link::Way(panel, way) => Self::guard_of_way(&self.survey.panels[panel].ways[way]),
            _ => return None,
        };
        let protects = guard.device.kind.get().is_none_or(DeviceKind::protects);
        protects.then_some(guard)
    }

    fn guards_at_end(&self, run: usize) -> Vec<Guard<'a>> {
        let Some(panel) = self.fed_panel(run) else { return Vec::new() };
        if panel.main.kind.get().is_none_or(DeviceKind::protects) {
            return vec![Self::guard_of_main(panel)];
        }
        let first = panel.first_bus();
        let mains = panel.ways.iter().filter(|way| panel.bus_of(way) == first);
        mains
            .filter(|way| way.device.kind.get().is_none_or(DeviceKind::protects))
            .map(Self::guard_of_way)
            .collect()
    }

    /// A run, then the run at whose end it begins, and so on back to the first, which begins at
    /// something fixed.
    pub fn runs_back_from(&self, run: usize) -> impl Iterator<Item = &'a Run> {
        let mut next = Some(&self.survey.runs[run]);
        // As many steps as there are runs: a circle of runs ends here too.
        (0..self.survey.runs.len()).map_while(move |_| {
            let here = next?;
            next = self.run_number(&here.from).map(|before| &self.survey.runs[before]);
            Some(here)
        })
    }

    /// The panel whose way or lugs the circuit of a run begins at, back over other runs.
    #[must_use]
    pub fn panel_behind(&self, run: usize) -> Option<&'a Panel> {
        let first = self.runs_back_from(run).last()?;
        match self.index.get(&first.from)? {
            Item::Way(panel, _) | Item::Panel(panel) => Some(&self.survey.panels[panel]),
            _ => None,
        }
    }

    /// The panel at whose incoming lugs a run ends, also by way of further runs: service
    /// conductors may be several pieces one after the other.
    #[must_use]
    pub fn fed_panel(&self, run: usize) -> Option<&'a Panel> {
        let mut last = run;
        for _ in 0..self.survey.runs.len() {
            match self.run_from_run(last) {
                Some(next) => last = next,
                None => break,
            }
        }
        match self.index.get(self.survey.runs[last].to.as_ref()?)? {
            Item::Panel(panel) => Some(&self.survey.panels[panel]),
            _ => None,
        }
    }

    /// Numbers of the loads that hang directly on a run.
    #[must_use]
    pub fn load_numbers_on(&self, run: usize) -> &[usize] {
        &self.loads_on[run]
    }

    /// The running current of a load, worked out once. The inner `None`: no fixed load.
    #[must_use]
    pub fn drawn(&self, load: usize) -> &Worked<Option<Drawn>> {
        self.drawn[load].get_or_init(|| running_current(self, &self.survey.loads[load]))
    }

    /// The runs that begin at the end of a run which goes nowhere else.
    pub fn runs_from_end(&self, run: usize) -> impl Iterator<Item = usize> {
        let end = self.network.run_end(run);
        let goes_on = self.survey.runs[run].to.is_none();
        let edges = if goes_on { self.network.edges_at(end) } else { &[] };
        edges.iter().filter_map(move |edge| match self.network.edge(*edge) {
            edge if edge.a == end => match edge.link {
                Link::Run(next) if next != run => Some(next),
                _ => None,
            },
            _ => None,
        })
    }

    /// The first run that begins at the end of another one.
    #[must_use]
    pub fn run_from_run(&self, run: usize) -> Option<usize> {
        if self.survey.runs[run].to.is_some() {
            return None;
        }
        let end = self.network.run_end(run);
        self.network.edges_at(end).iter().find_map(|edge| match self.network.edge(*edge) {
            edge if edge.a == end => match edge.link {
                Link::Run(next) if next != run => Some(next),
                _ => None,
            },
            _ => None,
        })
    }

    /// The first device from a node towards the supply; none where nothing protects it.
    #[must_use]
    pub fn guard_ahead(&self, node: NodeId) -> Option<Guard<'a>> {
        if self.is_on_own_side(node) {
            return self.guard_of_own_side(node);
        }
        let mut node = node;
        while let Some(edge) = self.feeds.up_edge(node) {
            let edge = self.network.edge(edge);
            if let Some(guard) = self.guard_of(edge.link) {
                return Some(guard);
            }
            node = edge.other(node);
        }
        None
    }

    /// Whether a node lies on a standby supply's own side of a transfer switch: the way to the root leads to
    /// the switch, and what feeds it comes from the other end.
    fn is_on_own_side(&self, node: NodeId) -> bool {
        let mut here = node;
        loop {
            if self.feeds.leaves_by_other(&self.network, here) {
                return true;
            }
            match self.feeds.parent(&self.network, here) {
                Some(parent) => here = parent,
                None => return false,
            }
        }
    }

    /// The first device from such a node towards its own supply, else the one at the supply's output.
    fn guard_of_own_side(&self, node: NodeId) -> Option<Guard<'a>> {
        let paths = self.feeds.paths_to(&self.network, node);
        let (supply, path) = paths.first()?;
        let links = path.iter().rev().map(|edge| self.network.edge(*edge).link);
        let own = || Self::guard_of_output(&self.survey.supplies[*supply]);
        links.into_iter().find_map(|link| self.guard_of(link)).or_else(|| Some(own()))
    }

    /// A run and the runs that begin at its end, and so on: one circuit up to the next device.
    #[must_use]
    pub fn circuit(&self, run: usize) -> Vec<usize> {
        let mut pieces = vec![run];
        let mut next = 0;
        while let Some(&piece) = pieces.get(next) {
            next += 1;
            if self.survey.runs[piece].to.is_some() {
                continue;
            }
            let end = self.network.run_end(piece);
            for edge in self.network.edges_at(end) {
                let edge = self.network.edge(*edge);
                if let Link::Run(beyond) = edge.link
                    && edge.a == end
                    && !pieces.contains(&beyond)
                {
                    pieces.push(beyond);
                }
            }
        }
        pieces
    }

    /// The panel that a run feeds, also over further runs, transfer switches and inlets; `None`
    /// where it ends at loads.
    #[must_use]
    pub fn panel_beyond(&self, run: usize) -> Option<&'a Panel> {
        let mut node = self.network.run_end(run);
        for _ in 0..self.network.nodes().len() {
            if let Node::Line(panel) | Node::Bus(panel, _) | Node::Way(panel, _) = self.network.node(node) {
                return self.survey.panels.get(panel);
            }
            node = self.network.edges_at(node).iter().find_map(|edge| {
                let edge = self.network.edge(*edge);
                let goes_on = matches!(edge.link, Link::Run(_) | Link::Position(..)) && edge.a == node;
                goes_on.then_some(edge.b)
            })?;
        }
        None
    }

    /// The only load that a run feeds, also past a disconnect with one way.
    #[must_use]
    pub fn sole_load(&self, run: usize) -> Option<&'a Load> {
        let mut run = run;
        for _ in 0..self.survey.runs.len() {
            if let Some(to) = &self.survey.runs[run].to {
                let Some(Item::Panel(panel)) = self.index.get(to) else { return None };
                let ways = 0..self.survey.panels[panel].ways.len();
                let mut runs = ways.flat_map(|way| self.runs_from_way(panel, way));
                let (Some(next), None) = (runs.next(), runs.next()) else { return None };
                run = next;
                continue;
            }
            let mut loads = self.loads_on(run);
            return match (loads.next(), loads.next()) {
                (Some(only), None) => Some(only),
                _ => None,
            };
        }
        None
    }

    /// Whether a run may be service or feeder: it begins at a supply or goes on to something else.
    /// A run that ends at its loads carries no whole dwelling, whatever was ticked.
    #[must_use]
    pub fn may_be_service(&self, run: &Run) -> bool {
        run.to.is_some() || self.supply_of(run).is_some()
    }

    /// The supply a run begins at, if it does.
    #[must_use]
    pub fn supply_of(&self, run: &Run) -> Option<&'a Supply> {
        match self.index.get(&run.from)? {
            Item::Supply(supply) => Some(&self.survey.supplies[supply]),
            _ => None,
        }
    }

    /// The only supply with a battery: what a battery circuit belongs to that the survey joins to
    /// no supply.
    #[must_use]
    pub fn only_battery(&self) -> Option<&'a Supply> {
        let mut with_battery = self.survey.supplies.iter().filter(|supply| supply.battery.is_some());
        with_battery.next().filter(|_| with_battery.next().is_none())
    }

    /// What a finding about this item is about.
    #[must_use]
    pub fn subject(&self, id: &Id) -> Subject {
        let (kind, name) = describe(self.survey, &self.index, id);
        Subject { id: id.clone(), kind, name: Arc::from(name) }
    }

    /// The subject of findings about the house as a whole; its id is `site`.
    #[must_use]
    pub fn site_subject(&self) -> Subject {
        Subject { id: site_id(), kind: ItemKind::Site, name: Arc::from(self.survey.site.name.as_str()) }
    }

    /// A run's name, or where it begins when it has none.
    #[must_use]
    pub fn run_name(&self, run: &Run) -> String {
        run_name(self.survey, &self.index, run)
    }
}

/// Kind and name in words of the item with this id; the house itself where there is none.
#[must_use]
pub fn describe(survey: &Survey, index: &Index<'_>, id: &Id) -> (ItemKind, String) {
    let Some(item) = index.get(id) else { return (ItemKind::Site, survey.site.name.clone()) };
    match item {
        Item::Supply(at) => (ItemKind::Supply, survey.supplies[at].name.clone()),
        Item::Panel(at) => (ItemKind::Panel, survey.panels[at].name.clone()),
        Item::Bus(panel, at) => {
            let panel = &survey.panels[panel];
            (ItemKind::Bus, say!("{} of {}", &panel.buses[at].name, &panel.name).to_string())
        }
        Item::Way(panel, at) => {
            let panel = &survey.panels[panel];
            (ItemKind::Way, way_name(panel, &panel.ways[at]))
        }
        Item::Run(at) => (ItemKind::Run, run_name(survey, index, &survey.runs[at])),
        Item::Load(at) => (ItemKind::Load, survey.loads[at].name.clone()),
        Item::Transfer(at) => (ItemKind::Transfer, survey.transfers[at].name.clone()),
        Item::Position(transfer, at) => {
            let transfer = &survey.transfers[transfer];
            (ItemKind::Position, say!("{} of {}", &transfer.positions[at].name, &transfer.name).to_string())
        }
        Item::Interlock(at) => (ItemKind::Interlock, survey.interlocks[at].name.clone()),
        Item::Inlet(at) => (ItemKind::Inlet, survey.inlets[at].name.clone()),
        Item::Mode(at) => (ItemKind::Mode, survey.modes[at].name.clone()),
        Item::Electrode(at) => {
            let kind = survey.electrodes[at]
                .kind
                .get()
                .map_or_else(|| crate::words::word("electrode"), |kind| kind.words());
            (ItemKind::Electrode, kind.to_owned())
        }
    }
}

/// A run's name, or where it begins when it has none.
fn run_name(survey: &Survey, index: &Index<'_>, run: &Run) -> String {
    if !run.name.is_empty() {
        return run.name.clone();
    }
    match index.get(&run.from) {
        Some(Item::Way(panel, way)) => {
            let panel = &survey.panels[panel];
            say!("run from {}", (way_name(panel, &panel.ways[way])).to_string()).to_string()
        }
        _ => say!("run {}", &run.id).to_string(),
    }
}

fn way_name(panel: &Panel, way: &Way) -> String {
    let label = if way.label.is_empty() { String::new() } else { format!(" ({})", way.label) };
    say!("way {} of {}{}", way.number(), &panel.name, label.to_string()).to_string()
}

/// Unknown ratings above every known one.
fn rank(guard: &Guard<'_>) -> f64 {
    guard.device.rating.known().map_or(f64::INFINITY, |rating| rating.quantity().value)
}

/// The id under which findings about the whole house stand.
#[must_use]
pub fn site_id() -> Id {
    Id::new("site").unwrap_or_else(|| unreachable!("`site` obeys the rule for ids"))
}
