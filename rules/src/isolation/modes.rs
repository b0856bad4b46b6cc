//! The modes of a house: as the surveyor wrote them, or, where none is written, the obvious ones,
//! said to be derived and not surveyed.
//!
//! A derived mode: on the utility every device is closed but the way or plug by which each standby
//! supply comes in; on a standby supply its own way in is closed, and whatever stands first between
//! it and a source that it must not meet is open, the partner of its interlock before anything else;
//! under repair every device between the sources is open. A cord is plugged in only while its supply feeds.

use std::collections::HashMap;
use std::sync::Arc;

use super::field::Field;
use super::grid::{CLOSED, OPEN, SwitchId};
use super::model::{Force, Handle, Model};
use super::rule::{Rule, is_ac, rule};
use crate::house::{House, Item};
use crate::network::{self, Feed, Link, Node};
use crate::say;
use crate::survey::{self, DeviceState, Id, SupplyKind};
use crate::words::word;

/// A position of every device.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mode {
    /// Its id: the surveyor's, or `on-` and the supply's, or `repair`.
    pub id: String,
    /// Its name in words.
    pub name: String,
    /// The supplies that feed in it.
    pub feeds: Vec<usize>,
    /// Whether the surveyor wrote it.
    pub surveyed: bool,
    /// The positions, with what the surveyor left out taken for the worse.
    pub worst: Arc<[u8]>,
    /// The positions, with what the surveyor left out taken for the better.
    pub best: Arc<[u8]>,
    /// Devices between the sources that the surveyor left out.
    pub left_out: Vec<SwitchId>,
}

/// The modes of a house. `field`: its best grid between its sources; `between`: the switches that can
/// matter there.
#[must_use]
pub fn modes(house: &House<'_>, model: &Model, field: &Field, between: &[SwitchId]) -> Vec<Mode> {
    if house.survey.modes.is_empty() {
        return derived(house, model, field, between);
    }
    house.survey.modes.iter().map(|mode| surveyed(house, model, mode, between)).collect()
}

fn surveyed(house: &House<'_>, model: &Model, mode: &survey::Mode, between: &[SwitchId]) -> Mode {
    let feeds: Vec<usize> = mode.feeds.iter().filter_map(|id| supply(house, id)).collect();
    let main = feeds.first().copied().or_else(|| utility(house));
    let usual = usual(house, model, main);
    let (mut worst, mut best) = (usual.clone(), usual);
    let mut said = vec![false; worst.len()];
    for stand in &mode.devices {
        let Some((switch, position)) = stand_of(house, model, &stand.device, stand.state) else { continue };
        if let Some(position) = position {
            (worst[switch as usize], best[switch as usize]) = (position, position);
            said[switch as usize] = true;
        }
    }
    let left_out: Vec<SwitchId> = between.iter().copied().filter(|at| !said[*at as usize]).collect();
    for &switch in &left_out {
        if model.best.ranges()[switch as usize].opens() {
            best[switch as usize] = OPEN;
        }
    }
    Mode {
        id: mode.id.to_string(),
        name: mode.name.clone(),
        feeds,
        surveyed: true,
        worst: worst.into(),
        best: best.into(),
        left_out,
    }
}

/// The switch that a stand of a mode names, and its position; no position where the stand only says
/// where a transfer switch does not stand.
fn stand_of(house: &House<'_>, model: &Model, id: &Id, state: DeviceState) -> Option<(SwitchId, Option<u8>)> {
    let handle = match house.index.get(id)? {
        Item::Way(panel, way) => Handle::Way(panel, way),
        Item::Panel(panel) => Handle::Main(panel),
        Item::Supply(supply) => Handle::Output(supply),
        Item::Run(run) => Handle::Plug(run),
        Item::Position(transfer, position) => {
            let switch = model.switch(Handle::Transfer(transfer))?;
            let to = u8::try_from(position + 1).ok().filter(|_| state == DeviceState::Closed);
            return Some((switch, to));
        }
        _ => return None,
    };
    let position = if state == DeviceState::Closed { CLOSED } else { OPEN };
    Some((model.switch(handle)?, Some(position)))
}

fn supply(house: &House<'_>, id: &Id) -> Option<usize> {
    match house.index.get(id)? {
        Item::Supply(supply) => Some(supply),
        _ => None,
    }
}

fn utility(house: &House<'_>) -> Option<usize> {
    house.survey.supplies.iter().position(|supply| supply.kind == SupplyKind::Utility)
}

/// Everything closed, transfer switches towards `supply`; of the devices that an interlock names, only
/// the one nearest to the root.
fn usual(house: &House<'_>, model: &Model, supply: Option<usize>) -> Vec<u8> {
    let positions = supply.map(|supply| network::Mode::on(house, supply).positions).unwrap_or_default();
    let position = |(_, handle): (SwitchId, Handle)| match handle {
        Handle::Transfer(transfer) => {
            let stands = positions.get(transfer).copied().flatten().unwrap_or(0);
            u8::try_from(stands + 1).unwrap_or(1)
        }
        _ => CLOSED,
    };
    let mut state: Vec<u8> = model.switches().map(position).collect();
    for plate in model.plates.iter().filter(|plate| plate.force != Force::Void) {
        let nearest = plate.switches.iter().min_by_key(|switch| depth(house, model, **switch));
        for &switch in plate.switches.iter().filter(|switch| Some(*switch) != nearest) {
            state[switch as usize] = OPEN;
        }
    }
    state
}

/// How many edges lie between a switch and the root of its tree.
fn depth(house: &House<'_>, model: &Model, switch: SwitchId) -> usize {
    let node = match model.handle(switch) {
        Handle::Main(panel) => house.network.bus(panel, 0),
        Handle::Way(panel, way) => house.network.way(panel, way),
        Handle::Output(supply) => house.network.supply(supply),
        Handle::Plug(run) => house.network.run_end(run),
        Handle::Transfer(transfer) => house.network.transfer_output(transfer),
    };
    let up = |node: &u32| house.feeds.parent(&house.network, *node);
    std::iter::successors(Some(node), up).count()
}

fn derived(house: &House<'_>, model: &Model, field: &Field, between: &[SwitchId]) -> Vec<Mode> {
    let feeding = network::Mode::all(house);
    if feeding.is_empty() {
        return Vec::new();
    }
    let base = usual(house, model, utility(house));
    let still = still(house, model, &base);
    let near = Near::of(house, model, field);
    let mut modes: Vec<Mode> =
        feeding.iter().map(|mode| on(house, model, (field, &near), (&base, &still), mode)).collect();
    modes.push(under_repair(house, model, between));
    modes
}

/// On the utility, with every standby supply left out.
fn still(house: &House<'_>, model: &Model, base: &[u8]) -> Vec<u8> {
    let mut state = base.to_vec();
    for feed in house.feeds.standby() {
        leave_out(house, model, feed, &mut state);
    }
    state
}

/// The standby supplies on each side of the service.
struct Near<'h>(HashMap<Option<u32>, Vec<&'h Feed>>);

impl<'h> Near<'h> {
    fn of(house: &'h House<'_>, model: &Model, field: &Field) -> Self {
        let mut near: HashMap<Option<u32>, Vec<&Feed>> = HashMap::new();
        for feed in house.feeds.standby() {
            near.entry(part(model, field, feed.supply)).or_default().push(feed);
        }
        Self(near)
    }

    fn to(&self, model: &Model, field: &Field, supply: usize) -> &[&'h Feed] {
        self.0.get(&part(model, field, supply)).map_or(&[], Vec::as_slice)
    }
}

fn part(model: &Model, field: &Field, supply: usize) -> Option<u32> {
    field.part_of(model.supply(supply)?)
}

fn under_repair(house: &House<'_>, model: &Model, between: &[SwitchId]) -> Mode {
    let mut state = usual(house, model, utility(house));
    for &switch in between.iter().filter(|switch| model.best.ranges()[**switch as usize].opens()) {
        state[switch as usize] = OPEN;
    }
    let name = word("Under repair: every device between the sources is open").to_owned();
    whole("repair".to_owned(), name, Vec::new(), state)
}

fn whole(id: String, name: String, feeds: Vec<usize>, state: Vec<u8>) -> Mode {
    let state: Arc<[u8]> = state.into();
    Mode { id, name, feeds, surveyed: false, best: Arc::clone(&state), worst: state, left_out: Vec::new() }
}

fn on(
    house: &House<'_>,
    model: &Model,
    (field, near): (&Field, &Near<'_>),
    (base, still): (&[u8], &[u8]),
    mode: &network::Mode,
) -> Mode {
    let supply = mode.supply;
    let item = &house.survey.supplies[supply];
    let mut state = still.to_vec();
    let is_root = house.feeds.standby().iter().all(|feed| feed.supply != supply);
    let all: Vec<&Feed> = house.feeds.standby().iter().collect();
    // What comes in elsewhere stays left out; what is near is looked at anew.
    let near = if is_root { &all[..] } else { near.to(model, field, supply) };
    for feed in near {
        for switch in way_in(house, model, feed, &state).into_iter().flatten() {
            state[switch as usize] = base[switch as usize];
        }
    }
    for (transfer, position) in mode.positions.iter().enumerate() {
        if let Some(switch) = model.switch(Handle::Transfer(transfer)) {
            state[switch as usize] = u8::try_from(position.unwrap_or(0) + 1).unwrap_or(1);
        }
    }
    for feed in near.iter().filter(|feed| feed.supply != supply) {
        // What is not known to be kept apart is left closed: so the question stays open.
        if rule(house.survey, supply, feed.supply, &[supply]) == Rule::Apart {
            leave_out(house, model, feed, &mut state);
        }
    }
    if let Some(feed) = near.iter().find(|feed| feed.supply == supply) {
        bring_in(house, model, field, feed, &mut state);
    }
    whole(format!("on-{}", item.id), say!("On {}", &item.name).to_string(), vec![supply], state)
}

/// The switches by which a standby supply comes in, from its terminals to where other loads join;
/// `None` in the place of a transfer switch that stands elsewhere.
fn way_in(house: &House<'_>, model: &Model, feed: &Feed, state: &[u8]) -> Vec<Option<SwitchId>> {
    let network = &house.network;
    let edges = house.feeds.edges_up(network, network.supply(feed.supply), feed.top);
    let own = model.switch(Handle::Output(feed.supply)).map(Some);
    let along = edges.into_iter().filter_map(|edge| match network.edge(edge).link {
        Link::Main(panel) => model.switch(Handle::Main(panel)).map(Some),
        Link::Way(panel, way) => model.switch(Handle::Way(panel, way)).map(Some),
        Link::Run(run) => model.switch(Handle::Plug(run)).map(Some),
        Link::Position(transfer, position) => {
            let switch = model.switch(Handle::Transfer(transfer))?;
            let stands = usize::from(state[switch as usize]) == position + 1;
            if stands { None } else { Some(None) }
        }
        Link::BusFeed(..) => None,
    });
    // What lands on a circuit of its own accord comes in by that circuit's way.
    let landing = match network.node(feed.top) {
        Node::Way(panel, way) => model.switch(Handle::Way(panel, way)).map(Some),
        _ => None,
    };
    own.into_iter().chain(along).chain(landing).collect()
}

/// The switches by which a standby supply comes in, transfer switches left aside.
#[must_use]
pub fn own_switches(house: &House<'_>, model: &Model, feed: &Feed) -> Vec<SwitchId> {
    let still: Vec<u8> = model.best.ranges().iter().map(|range| range.lowest).collect();
    way_in(house, model, feed, &still).into_iter().flatten().collect()
}

fn leave_out(house: &House<'_>, model: &Model, feed: &Feed, state: &mut [u8]) {
    let way_in = way_in(house, model, feed, state);
    let by_transfer = way_in.contains(&None);
    let switches: Vec<SwitchId> = way_in.into_iter().flatten().collect();
    let is_plug = |switch: &&SwitchId| matches!(model.handle(**switch), Handle::Plug(_));
    for &plug in switches.iter().filter(is_plug) {
        state[plug as usize] = OPEN;
    }
    let unplugged = switches.iter().any(|switch| is_plug(&switch));
    // A circuit into whose outlet a cord was plugged stays on for its own loads.
    let on_circuit = unplugged && matches!(house.network.node(feed.top), Node::Way(..));
    let last = switches.iter().rfind(|switch| !is_plug(switch));
    if let Some(&last) = last.filter(|_| !by_transfer && !on_circuit) {
        state[last as usize] = OPEN;
    }
}

fn bring_in(house: &House<'_>, model: &Model, field: &Field, feed: &Feed, state: &mut [u8]) {
    let own: Vec<SwitchId> = way_in(house, model, feed, state).into_iter().flatten().collect();
    for &switch in &own {
        state[switch as usize] = CLOSED;
    }
    for plate in own.iter().flat_map(|switch| model.plates_of(*switch)) {
        for &partner in plate.switches.iter().filter(|at| !own.contains(at)) {
            state[partner as usize] = OPEN;
        }
    }
    let side = part(model, field, feed.supply);
    let is_near = |other: usize| {
        let there = part(model, field, other);
        there.is_none() || side.is_none() || there == side
    };
    let supplies = house.survey.supplies.iter().enumerate();
    let others = supplies.filter(|(at, other)| *at != feed.supply && is_ac(other.kind)).map(|(at, _)| at);
    for other in others.filter(|other| is_near(*other)) {
        if rule(house.survey, feed.supply, other, &[feed.supply]) == Rule::Apart {
            keep_apart(model, field, (feed.supply, other), &own, state);
        }
    }
}

/// Opens what stands first on each way from one supply to another, past the first one's own way in.
fn keep_apart(model: &Model, field: &Field, (from, to): (usize, usize), own: &[SwitchId], state: &mut [u8]) {
    let (Some(from), Some(to)) = (model.supply(from), model.supply(to)) else { return };
    let may = |switch: SwitchId| !own.contains(&switch) && model.best.ranges()[switch as usize].opens();
    // Each turn opens one more switch.
    for _ in 0..state.len() {
        let Some(first) = field.first_switch((from, to), state, may) else { return };
        state[first as usize] = OPEN;
    }
}
