//! What has to be open to work at a place: the smallest sets of devices that cut it off from every
//! source, which of them can be locked, where to prove dead, what stays live beside it.
//!
//! Every source counts: the utility, inverters, generators, solar by day, the battery and the DC
//! terminals of an inverter. All other devices count as closed, every position of a transfer
//! switch as made, every interlock as absent: none of them is a means of isolation
//! (29 CFR 1910.333(b)(2)(ii)(A)). A fuse that is pulled is not locked and can be put back: fuses
//! without a handle never count as lockable. A plug that stays in the hands of the one who works does
//! (29 CFR 1910.147(a)(2)(iii)(A)).

use super::blocks::Blocks;
use super::core::Core;
use super::cut::smallest_cuts;
use super::grid::{Grid, PlaceId, SwitchId, Wire};
use super::model::{Handle, Model, Origin};
use super::part::Part;
use super::words::is_pulled;
use crate::finding::{Arg, Missing, Said};
use crate::house::{House, Item, describe};
use crate::network::{Node, NodeId};
use crate::say;
use crate::survey::{DeviceKind, Fact, Id, PanelKind, SupplyKind};

/// Most sets that are told of one place.
pub const MOST_SETS: usize = 8;

/// Whether a device can be locked open.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Lockable {
    /// A lock holds it, or the plug stays in the worker's hands.
    Yes,
    /// It cannot.
    No,
    /// Nobody has seen it.
    Unknown(Missing),
}

/// What has to be open to work at a place.
#[derive(Debug, Clone, PartialEq)]
pub struct Work {
    /// The place.
    pub at: Id,
    /// Whether everything in its box is dead then; else only what was asked for.
    pub whole_box: bool,
    /// The smallest sets of devices that cut it off, up to [`MOST_SETS`]; none: no device does.
    pub sets: Option<Vec<Vec<SwitchId>>>,
    /// A smallest set of devices that can all be locked; none where there is no such set.
    pub lockable: Option<Vec<SwitchId>>,
    /// Facts on which it hangs whether a (smaller) lockable set exists.
    pub missing: Vec<Missing>,
    /// Where to prove dead: item and words.
    pub prove_dead: Vec<Said>,
    /// What stays live beside it.
    pub stays_live: Vec<Said>,
}

/// The cuts of a house: its grid in blocks, as seen from its sources, walked once.
pub struct Cuts<'h, 'm> {
    house: &'h House<'h>,
    model: &'m Model,
    worst: Seen,
    best: Seen,
    /// Runs that share a neutral.
    shared: Vec<(usize, usize)>,
}

/// One of the model's grids as seen from its sources.
struct Seen {
    core: Core,
    blocks: Blocks,
    /// By place of the core: whether a source comes in there.
    is_source: Vec<bool>,
}

impl Seen {
    fn of(grid: &Grid, sources: &[PlaceId]) -> Self {
        let core = Core::drawn_together(grid);
        let sources: Vec<PlaceId> = sources.iter().filter_map(|source| core.place(*source)).collect();
        let mut is_source = vec![false; core.grid.places()];
        for &source in &sources {
            is_source[source as usize] = true;
        }
        let blocks = Blocks::of(&core.grid, &sources);
        Self { core, blocks, is_source }
    }

    /// What can matter between some nodes and the sources.
    fn near(&self, nodes: &[NodeId]) -> Near {
        let places: Vec<PlaceId> = nodes.iter().filter_map(|node| self.core.place(*node)).collect();
        let wires = self.blocks.towards(&places);
        let ends = wires.iter().map(|wire| self.core.grid.wire(*wire)).flat_map(|wire| [wire.a, wire.b]);
        let mut at: Vec<PlaceId> =
            ends.chain(places.iter().copied()).filter(|place| self.is_source[*place as usize]).collect();
        at.sort_unstable();
        at.dedup();
        let part = Part::of_wires(&self.core.grid, &wires, &places);
        let place = |of: &PlaceId| part.place(*of);
        let targets = places.iter().filter_map(place).collect();
        let sources = at.iter().filter_map(place).collect();
        Near { part, targets, sources }
    }
}

/// The part of a grid between some places and the sources.
struct Near {
    part: Part,
    targets: Vec<PlaceId>,
    sources: Vec<PlaceId>,
}

impl Near {
    /// The smallest sets that cut the places off.
    fn cuts(&self, usable: &dyn Fn(SwitchId) -> bool, most: usize) -> Option<Vec<Vec<SwitchId>>> {
        smallest_cuts(&self.part.grid, &self.targets, &self.sources, usable, most)
    }

    /// The nearest of them.
    fn cut(&self, usable: &dyn Fn(SwitchId) -> bool) -> Option<Vec<SwitchId>> {
        self.cuts(usable, 1).and_then(|sets| sets.into_iter().next())
    }

    /// By place: whether a source reaches it while `open` is open and all else closed.
    fn live(&self, open: &[SwitchId]) -> Vec<bool> {
        let conducts = |wire: Wire| wire.contact.is_none_or(|contact| !open.contains(&contact.switch));
        let reach = self.part.grid.reach(&self.sources, conducts);
        self.targets.iter().map(|target| reach.has(*target)).collect()
    }
}

impl<'h, 'm> Cuts<'h, 'm> {
    /// Prepares the cuts of a house.
    #[must_use]
    pub fn of(house: &'h House<'h>, model: &'m Model) -> Self {
        let sources: Vec<PlaceId> = model.sources.iter().map(|source| source.place).collect();
        let seen = |grid: &Grid| Seen::of(grid, &sources);
        let shared = house.runs().filter_map(|(number, run)| {
            let other = run.neutral_of.as_ref().and_then(|id| house.run_number(id))?;
            Some((number, other))
        });
        let shared = shared.collect();
        Self { house, model, worst: seen(&model.worst), best: seen(&model.best), shared }
    }

    /// What has to be open to work in a panel: in its whole box where lockable devices outside it allow
    /// that, else at its bus sections.
    #[must_use]
    pub fn panel(&self, panel: usize) -> Work {
        let network = &self.house.network;
        let item = &self.house.survey.panels[panel];
        let buses: Vec<NodeId> = (0..item.buses.len().max(1)).map(|bus| network.bus(panel, bus)).collect();
        let ways = (0..item.ways.len()).map(|way| network.way(panel, way));
        let all: Vec<NodeId> =
            std::iter::once(network.line(panel)).chain(buses.iter().copied()).chain(ways).collect();
        let whole = self.work(&item.id, &all, true, &[panel]);
        if whole.lockable.is_some() {
            return whole;
        }
        let inside = self.work(&item.id, &buses, false, &[panel]);
        let is_better = inside.lockable.is_some() || whole.sets.is_none();
        if is_better { inside } else { whole }
    }

    fn work(&self, at: &Id, nodes: &[NodeId], whole_box: bool, boxes: &[usize]) -> Work {
        let near = self.worst.near(nodes);
        let sets = near.cuts(&|_| true, MOST_SETS);
        let locks = |switch| lockable(self.house, self.model, switch);
        let sure = near.cut(&|switch| locks(switch) == Lockable::Yes);
        let mut missing = Vec::new();
        if sure.is_none()
            && let Some(perhaps) = self.best.near(nodes).cut(&|switch| locks(switch) != Lockable::No)
        {
            for switch in perhaps {
                missing.extend(self.model.doubt(switch).cloned());
                if let Lockable::Unknown(fact) = locks(switch) {
                    missing.push(fact);
                }
            }
            if missing.is_empty() {
                missing = self.unknown_devices();
            }
            missing.sort();
            missing.dedup();
        }
        let open = sure.clone().or_else(|| sets.as_ref().and_then(|sets| sets.first().cloned()));
        let open = open.unwrap_or_default();
        // What is always live is no place to prove dead.
        let prove_dead = if sets.is_some() { self.prove_dead(at, &open) } else { Vec::new() };
        let stays_live = self.stays_live(nodes, boxes, &open);
        Work { at: at.clone(), whole_box, sets, lockable: sure, missing, prove_dead, stays_live }
    }

    fn unknown_devices(&self) -> Vec<Missing> {
        self.model.switches().filter_map(|(switch, _)| self.model.doubt(switch)).cloned().collect()
    }

    fn prove_dead(&self, at: &Id, open: &[SwitchId]) -> Vec<Said> {
        let (_, name) = describe(self.house.survey, &self.house.index, at);
        let mut points = vec![say!("{}: every conductor against every other and against ground", name)];
        points.extend(open.iter().map(|switch| match self.model.handle(*switch) {
            Handle::Plug(_) => {
                say!("{}: the end that stays in the house", self.model.name(self.house, *switch))
            }
            _ => say!("the side of {} that is to be dead", self.model.name(self.house, *switch)),
        }));
        points
    }

    /// What is live beside dead nodes while `open` is open and all else closed.
    fn stays_live(&self, dead: &[NodeId], boxes: &[usize], open: &[SwitchId]) -> Vec<Said> {
        let mut told = Vec::new();
        for &panel in boxes {
            self.in_box(panel, open, &mut told);
        }
        let is_live = |node| self.worst.near(&[node]).live(open).contains(&true);
        self.neutrals(dead, &is_live, &mut told);
        self.standing_sources(dead, boxes, &mut told);
        told
    }

    fn in_box(&self, panel: usize, open: &[SwitchId], told: &mut Vec<Said>) {
        let network = &self.house.network;
        let item = &self.house.survey.panels[panel];
        let sections = item.buses.len().max(1);
        let buses = (0..sections).map(|bus| network.bus(panel, bus));
        let ways = (0..item.ways.len()).map(|way| network.way(panel, way));
        let nodes: Vec<NodeId> = std::iter::once(network.line(panel)).chain(buses).chain(ways).collect();
        let live = self.worst.near(&nodes).live(open);
        let (line, rest) = live.split_first().unwrap_or((&false, &[]));
        let (buses, ways) = rest.split_at_checked(sections).unwrap_or((rest, &[]));
        if *line {
            let has_main = !matches!(item.main.kind.get(), Some(DeviceKind::Lugs | DeviceKind::Spare));
            told.push(match has_main {
                true => say!("incoming lugs of {} (the line side of its main)", &item.name),
                false => say!("incoming lugs of {}", &item.name),
            });
        }
        for (bus, _) in buses.iter().enumerate().filter(|(_, live)| **live) {
            let name = item.buses.get(bus).map_or(Arg::Word("bus"), |bus| Arg::from(&bus.name));
            told.push(say!("{} of {} and every way on it", name, &item.name));
        }
        for (at, way) in item.ways.iter().enumerate() {
            let bus = item.buses.iter().position(|bus| bus.id == *item.bus_of(way)).unwrap_or(0);
            if ways.get(at) == Some(&true) && buses.get(bus) != Some(&true) {
                let name = self.house.subject(&way.id).name;
                told.push(say!("terminal of {}: fed from outside the panel", name));
            }
        }
    }

    /// Neutrals that the dead part shares with circuits that stay live.
    fn neutrals(&self, dead: &[NodeId], is_live: &dyn Fn(NodeId) -> bool, told: &mut Vec<Said>) {
        let network = &self.house.network;
        let is_dead = |run: usize| {
            dead.contains(&network.edge(network.run_edge(run)).a) || dead.contains(&network.run_end(run))
        };
        for &(number, other) in &self.shared {
            for (ours, theirs) in [(number, other), (other, number)] {
                if is_dead(ours) && is_live(network.run_end(theirs)) {
                    let name = |run: usize| self.house.run_name(&self.house.survey.runs[run]);
                    told.push(say!(
                        "neutral of {}: it also serves {}, which stays live",
                        name(ours),
                        name(theirs)
                    ));
                }
            }
        }
    }

    /// Sources near the place that nothing switches off: reached without passing through another panel of
    /// AC circuits.
    fn standing_sources(&self, dead: &[NodeId], boxes: &[usize], told: &mut Vec<Said>) {
        let network = &self.house.network;
        let nodes = network.nodes().len();
        let panel_at = |place: PlaceId| match network.node(place) {
            Node::Bus(panel, _) | Node::Line(panel) => Some(panel),
            _ => None,
        };
        let is_dc = |panel: usize| self.house.survey.panels[panel].kind.get() == Some(PanelKind::DcCombiner);
        let is_elsewhere = |place: PlaceId| {
            let panel = Some(place).filter(|place| (*place as usize) < nodes).and_then(panel_at);
            panel.is_some_and(|panel| !is_dc(panel) && !boxes.contains(&panel))
        };
        let near = self.model.worst.near(dead, |_| true, is_elsewhere);
        for source in near.iter().flat_map(|place| self.model.sources_at(*place)) {
            let (Origin::Supply(at) | Origin::DcInput(at) | Origin::BatteryOf(at)) = source.origin;
            let supply = &self.house.survey.supplies[at];
            match (source.origin, supply.kind) {
                (Origin::BatteryOf(_), _) | (Origin::Supply(_), SupplyKind::Battery) => {
                    told.push(say!(
                        "the battery's own terminals ({}): a battery cannot be switched off inside",
                        &supply.name
                    ));
                }
                (Origin::DcInput(_), _) => {
                    told.push(say!(
                        "the DC terminals of {}: they hold a charge after it is shut down; wait as its label says, then prove them dead",
                        &supply.name
                    ));
                }
                (Origin::Supply(_), SupplyKind::Solar) => {
                    told.push(say!("by day the array's own wires up to {}", &supply.name));
                }
                _ => {}
            }
        }
    }

    /// What has to be open to work at any item of the survey; `None` for an item at which nothing is
    /// live (a note, an electrode, an interlock).
    #[must_use]
    pub fn item(house: &'h House<'h>, model: &'m Model, id: &Id) -> Option<Work> {
        let network = &house.network;
        let (nodes, boxes) = match house.index.get(id)? {
            Item::Panel(panel) => return Some(Self::of(house, model).panel(panel)),
            // A panel with one bus may give it its own id.
            Item::Bus(panel, _) if house.survey.panels[panel].id == *id => {
                return Some(Self::of(house, model).panel(panel));
            }
            Item::Bus(panel, bus) => (vec![network.bus(panel, bus)], vec![panel]),
            Item::Way(panel, way) => {
                let bus = network.edges_at(network.way(panel, way)).first().map(|edge| network.edge(*edge).a);
                (bus.into_iter().chain([network.way(panel, way)]).collect(), vec![panel])
            }
            Item::Run(run) => of_run(house, run),
            Item::Load(load) => {
                let run = house.run_number(&house.survey.loads[load].on)?;
                (vec![network.run_end(run)], of_run(house, run).1)
            }
            Item::Supply(supply) => (vec![network.supply(supply)], Vec::new()),
            Item::Transfer(transfer) => {
                let positions = 0..house.survey.transfers[transfer].positions.len();
                let inputs = positions.map(|position| network.transfer_input(transfer, position));
                (inputs.chain([network.transfer_output(transfer)]).collect(), Vec::new())
            }
            Item::Position(transfer, position) => {
                (vec![network.transfer_input(transfer, position)], Vec::new())
            }
            Item::Inlet(inlet) => (vec![network.inlet(inlet)], Vec::new()),
            Item::Interlock(_) | Item::Mode(_) | Item::Electrode(_) => return None,
        };
        Some(Self::of(house, model).work(id, &nodes, false, &boxes))
    }
}

/// Both ends of a run, and the panels whose boxes it enters.
fn of_run(house: &House<'_>, run: usize) -> (Vec<NodeId>, Vec<usize>) {
    let network = &house.network;
    let ends = vec![network.edge(network.run_edge(run)).a, network.run_end(run)];
    let panel = |node: &NodeId| match network.node(*node) {
        Node::Line(panel) | Node::Bus(panel, _) | Node::Way(panel, _) => Some(panel),
        _ => None,
    };
    let mut boxes: Vec<usize> = ends.iter().filter_map(panel).collect();
    boxes.dedup();
    (ends, boxes)
}

/// Whether a lock holds a switch open.
#[must_use]
pub fn lockable(house: &House<'_>, model: &Model, switch: SwitchId) -> Lockable {
    let Some((device, item, fact)) = model.device(house, switch) else {
        return if matches!(model.handle(switch), Handle::Plug(_)) { Lockable::Yes } else { Lockable::No };
    };
    if is_pulled(device) {
        return Lockable::No;
    }
    match device.lockable {
        Fact::Known(true) => Lockable::Yes,
        Fact::Known(false) => Lockable::No,
        Fact::NotSeen => Lockable::Unknown(Missing { item: item.clone(), fact, cannot_be_seen: false }),
        Fact::CannotBeSeen => Lockable::Unknown(Missing { item: item.clone(), fact, cannot_be_seen: true }),
    }
}

/// Whether a set holds a fuse that has to be pulled: such a set is not to be relied on.
#[must_use]
pub fn rests_on_fuses(house: &House<'_>, model: &Model, set: &[SwitchId]) -> bool {
    let is_fuse =
        |switch: &SwitchId| model.device(house, *switch).is_some_and(|(device, ..)| is_pulled(device));
    set.iter().any(is_fuse)
}
