//! The switching model of a house: its network, with a switch for every device that opens.
//!
//! What is not known splits the model in two: in the *worst* grid a device of unknown kind never
//! opens and an interlock of unknown state forbids nothing; in the *best* grid the device opens and
//! the interlock holds. A question is answered only where both agree.
//!
//! - A breaker, fuse, pull-out or switch opens; lugs do not. A spare with nothing on it joins nothing.
//! - A cord is opened by its plug: from a generator or inverter, into an inlet, or with two plugs.
//! - A transfer switch stands at one of its positions, never between. A relay inside an inverter is one if
//!   the inverter is listed to stop when the utility is gone: that listing tests the relay. One that
//!   is not so listed can join all its inputs at once, as if one more device stood wrong.
//! - An interlock holds if it is a sliding plate or a key and is intact; it then allows at most one
//!   of the ways that it names to be closed. A label or a promise forbids nothing.
//! - An inverter does not pass power from its DC terminals to its output as a conductor would: both are
//!   sources of their own. Inverters made to work in parallel are entered as one supply.

use std::collections::HashMap;

use super::grid::{CLOSED, Grid, Move, OPEN, PlaceId, Range, SwitchId, Wire, WireId};
use super::relay::{Excludes, excluding};
use crate::finding::{Missing, Said};
use crate::house::{House, Item};
use crate::network::{EdgeId, Link, Node};
use crate::say;
use crate::survey::{Device, DeviceKind, Fact, Id, Interlock, InterlockKind, Method, PanelKind, SupplyKind};

/// How a relay stands that joins all its inputs, because nothing shows that it excludes it.
pub const ALL_AT_ONCE: &str = "all inputs at once";

/// Something that a hand moves. Numbers are places in the survey's lists.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Handle {
    /// The main of a panel.
    Main(usize),
    /// The device of a way: panel, way.
    Way(usize, usize),
    /// The device at the output of a supply.
    Output(usize),
    /// The plug of a cord, by its run.
    Plug(usize),
    /// A transfer switch.
    Transfer(usize),
}

/// What a wire of the grid is in the house.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// An edge of the network.
    Edge(EdgeId),
    /// The device at the output of a supply.
    Output(usize),
}

/// What can make a place live.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Origin {
    /// A supply.
    Supply(usize),
    /// The DC terminals of an inverter: it charges.
    DcInput(usize),
    /// The battery behind an inverter, where the survey names it with the inverter only.
    BatteryOf(usize),
}

/// A source and the place where it comes in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Source {
    /// What it is.
    pub origin: Origin,
    /// Its place in the grid.
    pub place: PlaceId,
}

/// Whether an interlock forbids anything.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Force {
    /// It holds.
    Holds,
    /// It forbids nothing.
    Void,
    /// It hangs on these facts.
    Doubt(Vec<Missing>),
}

/// An interlock with the switches that it names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plate {
    /// Its place in the survey's list.
    pub interlock: usize,
    /// The switches, each once.
    pub switches: Vec<SwitchId>,
    /// Whether it forbids anything.
    pub force: Force,
}

/// The switching model of a house.
#[derive(Debug, Clone)]
pub struct Model {
    handles: Vec<Handle>,
    doubts: Vec<Option<Missing>>,
    numbers: HashMap<Handle, SwitchId>,
    /// What each wire is.
    pub parts: Vec<Part>,
    /// With whatever is unknown taken for the worse.
    pub worst: Grid,
    /// With whatever is unknown taken for the better; the same grid where nothing is unknown.
    pub best: Grid,
    /// Everything that can make a place live.
    pub sources: Vec<Source>,
    /// The interlocks.
    pub plates: Vec<Plate>,
    /// By place: the sources that come in there.
    sources_at: HashMap<PlaceId, Vec<usize>>,
    /// By switch: the interlocks that name it.
    plates_of: HashMap<SwitchId, Vec<usize>>,
}

/// Whether a device opens.
enum Opens {
    Yes,
    Never,
    Perhaps(Missing),
    /// It joins nothing at all.
    Absent,
}

impl Model {
    /// The model of a house.
    #[must_use]
    pub fn of(house: &House<'_>) -> Self {
        let mut builder = Builder::default();
        let excluding = excluding(house);
        for (number, edge) in house.network.edges().iter().enumerate() {
            let (handle, opens) = what_opens(house, number as EdgeId, edge.link);
            let part = Part::Edge(number as EdgeId);
            if let Link::Position(transfer, position) = edge.link {
                let ends = (edge.a, edge.b);
                let excludes = &excluding[transfer];
                builder.position(house, number as EdgeId, (transfer, position), ends, excludes);
            } else {
                builder.join((edge.a, edge.b), part, handle, opens);
            }
        }
        let places = builder.add_sources(house);
        let plates = builder.plates(house);
        builder.finish(house, places, plates)
    }

    /// What a switch is.
    #[must_use]
    pub fn handle(&self, switch: SwitchId) -> Handle {
        self.handles[switch as usize]
    }

    /// Every switch.
    pub fn switches(&self) -> impl Iterator<Item = (SwitchId, Handle)> {
        self.handles.iter().enumerate().map(|(at, handle)| (at as SwitchId, *handle))
    }

    /// The switch that is moved by this handle.
    #[must_use]
    pub fn switch(&self, handle: Handle) -> Option<SwitchId> {
        self.numbers.get(&handle).copied()
    }

    /// The fact on which it hangs whether a switch is there at all.
    #[must_use]
    pub fn doubt(&self, switch: SwitchId) -> Option<&Missing> {
        self.doubts[switch as usize].as_ref()
    }

    /// The interlocks that name a switch.
    pub fn plates_of(&self, switch: SwitchId) -> impl Iterator<Item = &Plate> {
        let own = self.plates_of.get(&switch).map_or(&[][..], Vec::as_slice);
        own.iter().map(|plate| &self.plates[*plate])
    }

    /// The switch of a wire, whether it is certain or not.
    #[must_use]
    pub fn switch_of(&self, wire: WireId) -> Option<SwitchId> {
        self.best.wire(wire).contact.map(|contact| contact.switch)
    }

    /// The place at which a supply comes in, before the device at its output.
    #[must_use]
    pub fn supply(&self, supply: usize) -> Option<PlaceId> {
        // The supplies come first among the sources, in the survey's order.
        let source = self.sources.get(supply)?;
        (source.origin == Origin::Supply(supply)).then_some(source.place)
    }

    /// The sources that come in at a place.
    pub fn sources_at(&self, place: PlaceId) -> impl Iterator<Item = &Source> {
        let own = self.sources_at.get(&place).map_or(&[][..], Vec::as_slice);
        own.iter().map(|source| &self.sources[*source])
    }

    /// Whether anything at all is unknown.
    #[must_use]
    pub fn is_certain(&self) -> bool {
        self.doubts.iter().all(Option::is_none)
            && !self.plates.iter().any(|plate| matches!(plate.force, Force::Doubt(_)))
    }

    /// The item whose id a switch has in `--json` answers and in the modes of a survey: a panel for its
    /// main, a supply for the device at its output, a run for its plug.
    #[must_use]
    pub fn id<'h>(&self, house: &House<'h>, switch: SwitchId) -> &'h Id {
        let survey = house.survey;
        match self.handle(switch) {
            Handle::Main(panel) => &survey.panels[panel].id,
            Handle::Way(panel, way) => &survey.panels[panel].ways[way].id,
            Handle::Output(supply) => &survey.supplies[supply].id,
            Handle::Plug(run) => &survey.runs[run].id,
            Handle::Transfer(transfer) => &survey.transfers[transfer].id,
        }
    }

    /// A switch in the house's own names.
    #[must_use]
    pub fn name(&self, house: &House<'_>, switch: SwitchId) -> Said {
        let survey = house.survey;
        match self.handle(switch) {
            Handle::Main(panel) => say!("main of {}", &survey.panels[panel].name),
            Handle::Output(supply) => {
                say!("device at the output of {}", &survey.supplies[supply].name)
            }
            Handle::Plug(run) => say!("plug of {}", house.run_name(&survey.runs[run])),
            Handle::Way(..) | Handle::Transfer(_) => {
                say!("{}", house.subject(self.id(house, switch)).name)
            }
        }
    }

    /// The device that a switch is, with the item that holds it and the name of its `lockable` fact;
    /// none for a plug or a transfer switch.
    #[must_use]
    pub fn device<'h>(
        &self,
        house: &House<'h>,
        switch: SwitchId,
    ) -> Option<(&'h Device, &'h Id, &'static str)> {
        let survey = house.survey;
        let guard = match self.handle(switch) {
            Handle::Main(panel) => House::guard_of_main(&survey.panels[panel]),
            Handle::Way(panel, way) => House::guard_of_way(&survey.panels[panel].ways[way]),
            Handle::Output(supply) => House::guard_of_output(&survey.supplies[supply]),
            Handle::Plug(_) | Handle::Transfer(_) => return None,
        };
        Some((guard.device, guard.at, guard.lockable_fact()))
    }

    /// How a switch stands, in the words of the survey file: `open`, `closed`, or the name of the
    /// position of a transfer switch; [`ALL_AT_ONCE`] for a relay that does not exclude.
    #[must_use]
    pub fn standing<'h>(&self, house: &House<'h>, one: Move) -> &'h str {
        match self.handle(one.switch) {
            Handle::Transfer(transfer) => {
                let positions = &house.survey.transfers[transfer].positions;
                let at = usize::from(one.to).checked_sub(1);
                at.and_then(|at| positions.get(at)).map_or(ALL_AT_ONCE, |position| position.name.as_str())
            }
            _ if one.to == OPEN => "open",
            _ => "closed",
        }
    }
}

impl Model {
    /// How a switch stands, as the survey file has it: `open`, `closed`, or the id of the position of a
    /// transfer switch.
    #[must_use]
    pub fn stand_id<'h>(&self, house: &House<'h>, one: Move) -> &'h str {
        match self.handle(one.switch) {
            Handle::Transfer(transfer) => {
                let positions = &house.survey.transfers[transfer].positions;
                let at = usize::from(one.to).checked_sub(1);
                at.and_then(|at| positions.get(at)).map_or(ALL_AT_ONCE, |position| position.id.as_str())
            }
            _ => self.standing(house, one),
        }
    }
}

#[derive(Default)]
struct Builder {
    handles: Vec<Handle>,
    doubts: Vec<Option<Missing>>,
    ranges: Vec<Range>,
    numbers: HashMap<Handle, SwitchId>,
    parts: Vec<Part>,
    worst: Vec<Wire>,
    best: Vec<Wire>,
    sources: Vec<Source>,
}

impl Builder {
    fn number(&mut self, handle: Handle, range: Range, doubt: Option<Missing>) -> SwitchId {
        if let Some(&number) = self.numbers.get(&handle) {
            return number;
        }
        let number = self.handles.len() as SwitchId;
        self.handles.push(handle);
        self.doubts.push(doubt);
        self.ranges.push(range);
        self.numbers.insert(handle, number);
        number
    }

    fn wire(&mut self, (a, b): (PlaceId, PlaceId), part: Part, worst: Option<Move>, best: Option<Move>) {
        self.worst.push(Wire { a, b, contact: worst });
        self.best.push(Wire { a, b, contact: best });
        self.parts.push(part);
    }

    fn join(&mut self, ends: (PlaceId, PlaceId), part: Part, handle: Option<Handle>, opens: Opens) {
        let contact = |builder: &mut Self, doubt| {
            handle.map(|handle| Move { switch: builder.number(handle, Range::TWO, doubt), to: CLOSED })
        };
        match opens {
            Opens::Yes => {
                let contact = contact(self, None);
                self.wire(ends, part, contact, contact);
            }
            Opens::Never => self.wire(ends, part, None, None),
            Opens::Perhaps(missing) => {
                let contact = contact(self, Some(missing));
                self.wire(ends, part, None, contact);
            }
            Opens::Absent => {}
        }
    }

    fn position(
        &mut self,
        house: &House<'_>,
        edge: EdgeId,
        (transfer, position): (usize, usize),
        ends: (PlaceId, PlaceId),
        excludes: &Excludes,
    ) {
        let part = Part::Edge(edge);
        let count = house.survey.transfers[transfer].positions.len();
        // More inputs than a byte counts are no transfer switch: what is past them always conducts.
        let Some(to) = u8::try_from(position + 1).ok() else { return self.wire(ends, part, None, None) };
        let inputs = u8::try_from(count).unwrap_or(u8::MAX);
        let all = inputs.checked_add(1).filter(|_| *excludes != Excludes::Yes);
        let doubt = match excludes {
            Excludes::Perhaps(missing) => Some(missing.clone()),
            Excludes::Yes | Excludes::No => None,
        };
        let range = Range { lowest: 1, highest: all.unwrap_or(inputs) };
        let switch = self.number(Handle::Transfer(transfer), range, doubt);
        let contact = Some(Move { switch, to });
        self.wire(ends, part, contact, contact);
        if let Some(all) = all {
            let contact = Some(Move { switch, to: all });
            // In the best grid, a wire that joins its place with itself: so both have the same wires.
            let best = if *excludes == Excludes::No { ends } else { (ends.0, ends.0) };
            self.worst.push(Wire { a: ends.0, b: ends.1, contact });
            self.best.push(Wire { a: best.0, b: best.1, contact });
            self.parts.push(part);
        }
    }

    /// Adds the sources; gives the number of places.
    fn add_sources(&mut self, house: &House<'_>) -> usize {
        let mut places = house.network.nodes().len();
        for (at, supply) in house.survey.supplies.iter().enumerate() {
            let terminals = house.network.supply(at);
            let mut place = terminals;
            if !supply.output_device.is_blank() {
                place = places as PlaceId;
                places += 1;
                let opens = device_opens(&supply.output_device, &supply.id, "output_device.kind", true);
                self.join((place, terminals), Part::Output(at), Some(Handle::Output(at)), opens);
            }
            self.sources.push(Source { origin: Origin::Supply(at), place });
        }
        for (at, supply) in house.survey.supplies.iter().enumerate() {
            let input = house.network.dc_input(at);
            if supply.kind != SupplyKind::Inverter || house.network.edges_at(input).is_empty() {
                continue;
            }
            self.sources.push(Source { origin: Origin::DcInput(at), place: input });
            let batteries = batteries_of(house, at);
            self.sources
                .extend(batteries.into_iter().map(|place| Source { origin: Origin::BatteryOf(at), place }));
        }
        places
    }

    fn plates(&self, house: &House<'_>) -> Vec<Plate> {
        let plate = |(interlock, item): (usize, &Interlock)| {
            let handle = |id: &Id| match house.index.get(id)? {
                Item::Way(panel, way) => Some(Handle::Way(panel, way)),
                Item::Panel(panel) => Some(Handle::Main(panel)),
                // A panel with one bus may give it its own id.
                Item::Bus(panel, _) if house.survey.panels[panel].id == *id => Some(Handle::Main(panel)),
                _ => None,
            };
            let found = item.ways.iter().filter_map(|id| self.numbers.get(&handle(id)?).copied());
            let mut switches: Vec<SwitchId> = found.collect();
            switches.sort_unstable();
            switches.dedup();
            Plate { interlock, switches, force: force(item) }
        };
        house.survey.interlocks.iter().enumerate().map(plate).collect()
    }

    fn finish(self, house: &House<'_>, places: usize, plates: Vec<Plate>) -> Model {
        let locks = |doubtful: bool| {
            let hold = |plate: &&Plate| match &plate.force {
                Force::Holds => true,
                Force::Void => false,
                Force::Doubt(_) => doubtful,
            };
            plates.iter().filter(hold).map(|plate| plate.switches.clone()).collect()
        };
        let mut plates_of: HashMap<SwitchId, Vec<usize>> = HashMap::new();
        for (number, plate) in plates.iter().enumerate() {
            for switch in &plate.switches {
                plates_of.entry(*switch).or_default().push(number);
            }
        }
        let mut sources_at: HashMap<PlaceId, Vec<usize>> = HashMap::new();
        for (number, source) in self.sources.iter().enumerate() {
            sources_at.entry(source.place).or_default().push(number);
        }
        debug_assert!(places >= house.network.nodes().len());
        let worst = Grid::new(places, self.worst, self.ranges.clone(), locks(false));
        let best = Grid::new(places, self.best, self.ranges, locks(true));
        Model {
            handles: self.handles,
            doubts: self.doubts,
            numbers: self.numbers,
            parts: self.parts,
            worst,
            best,
            sources: self.sources,
            plates,
            sources_at,
            plates_of,
        }
    }
}

/// Whether an interlock forbids anything, from its facts.
fn force(item: &Interlock) -> Force {
    let mechanical =
        item.kind.get().map(|kind| matches!(kind, InterlockKind::SlidingPlate | InterlockKind::Key));
    match (mechanical, item.intact.get()) {
        (Some(true), Some(true)) => Force::Holds,
        (Some(false), _) | (_, Some(false)) => Force::Void,
        _ => {
            let mut missing = Vec::new();
            missing.extend(lacking(&item.kind, &item.id, "kind"));
            missing.extend(lacking(&item.intact, &item.id, "intact"));
            Force::Doubt(missing)
        }
    }
}

/// The fact as one that is missing; none where it is known.
pub(super) fn lacking<T>(fact: &Fact<T>, item: &Id, name: &'static str) -> Option<Missing> {
    let cannot_be_seen = match fact {
        Fact::Known(_) => return None,
        Fact::NotSeen => false,
        Fact::CannotBeSeen => true,
    };
    Some(Missing { item: item.clone(), fact: name, cannot_be_seen })
}

/// Whether a device opens; `is_used`: something hangs on it, so that it is no empty space.
fn device_opens(device: &Device, item: &Id, fact: &'static str, is_used: bool) -> Opens {
    match device.kind.get() {
        Some(DeviceKind::Spare) if !is_used => Opens::Absent,
        Some(DeviceKind::Lugs | DeviceKind::Spare) => Opens::Never,
        Some(_) => Opens::Yes,
        None => lacking(&device.kind, item, fact).map_or(Opens::Never, Opens::Perhaps),
    }
}

fn what_opens(house: &House<'_>, edge: EdgeId, link: Link) -> (Option<Handle>, Opens) {
    match link {
        Link::Main(at) => {
            let panel = &house.survey.panels[at];
            (Some(Handle::Main(at)), device_opens(&panel.main, &panel.id, "main.kind", true))
        }
        Link::Way(panel, at) => {
            let way = &house.survey.panels[panel].ways[at];
            let is_used = house.network.edges_at(house.network.way(panel, at)).len() > 1;
            (Some(Handle::Way(panel, at)), device_opens(&way.device, &way.id, "device.kind", is_used))
        }
        Link::Run(run) => (Some(Handle::Plug(run)), plug(house, edge, run)),
        Link::BusFeed(..) | Link::Position(..) => (None, Opens::Never),
    }
}

/// Whether a run is a cord that is plugged in and out.
fn plug(house: &House<'_>, edge: EdgeId, number: usize) -> Opens {
    let run = &house.survey.runs[number];
    if matches!(house.network.node(house.network.edge(edge).b), Node::Inlet(_)) {
        return Opens::Yes;
    }
    let from_supply = house
        .supply_of(run)
        .is_some_and(|supply| matches!(supply.kind, SupplyKind::Inverter | SupplyKind::Generator));
    let two_plugs = run.plug_on_both_ends.get() == Some(true);
    match run.method.get() {
        Some(Method::Cord | Method::PowerCable) if from_supply || two_plugs => Opens::Yes,
        Some(_) => Opens::Never,
        None if from_supply || two_plugs => {
            lacking(&run.method, &run.id, "method").map_or(Opens::Never, Opens::Perhaps)
        }
        None => Opens::Never,
    }
}

/// The places of the battery behind an inverter, where it is no supply of its own: the lugs of
/// battery boxes on its DC side that nothing else feeds.
fn batteries_of(house: &House<'_>, supply: usize) -> Vec<PlaceId> {
    if house.survey.supplies[supply].battery.is_none() {
        return Vec::new();
    }
    let network = &house.network;
    let mut seen = vec![false; network.nodes().len()];
    let mut open = vec![network.dc_input(supply)];
    seen[network.dc_input(supply) as usize] = true;
    let mut lugs = Vec::new();
    while let Some(node) = open.pop() {
        match network.node(node) {
            Node::Supply(_) => return Vec::new(),
            Node::Line(panel) if is_battery_box(house, panel, node) => lugs.push(node),
            _ => {}
        }
        for edge in network.edges_at(node).iter().map(|edge| network.edge(*edge)) {
            let other = edge.other(node);
            if !std::mem::replace(&mut seen[other as usize], true) {
                open.push(other);
            }
        }
    }
    lugs.sort_unstable();
    lugs
}

fn is_battery_box(house: &House<'_>, panel: usize, line: PlaceId) -> bool {
    let is_dc = house.survey.panels[panel].kind.get().is_none_or(|kind| kind == PanelKind::DcCombiner);
    is_dc && house.network.edges_at(line).len() == 1
}
