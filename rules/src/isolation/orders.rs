//! The switching orders of a house, and what is missing where there is none.

use super::core::Core;
use super::grid::{CLOSED, Move, OPEN, obeys};
use super::model::{Force, Handle, Model};
use super::order::Rules;
use super::remedy::{Remedy, remedies};
use super::rule::Rule;
use super::{Isolation, Nearness};
use crate::house::House;
use crate::survey::{Circuit, DeviceKind};

/// One step of a switching card.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// Every load behind a device is switched off first: the device is not made to break them.
    LoadsOff(u32),
    /// What hangs on a device is shut down by the electrician first: the device is not made to break or
    /// make direct current.
    ShutDown(u32),
    /// A device is moved.
    Move(Move),
}

/// A way from one mode to another.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Order {
    /// The mode before.
    pub from: usize,
    /// The mode after.
    pub to: usize,
    /// The steps; none where no order passes through safe states only.
    pub steps: Option<Vec<Step>>,
    /// Pairs of supplies that are joined in one of the two modes itself.
    pub joined: Vec<(usize, usize)>,
    /// Interlocks, by their places in the survey's list, that would not let one of the two modes be.
    pub forbidden_by: Vec<usize>,
    /// What single addition would make an order.
    pub remedies: Vec<Remedy>,
}

/// Most modes up to which the orders between all of them are told; of more, those from and to the first.
const MOST_MODES: usize = 20;

/// The orders between all modes of a house.
#[must_use]
pub fn orders(house: &House<'_>, isolation: &Isolation) -> Vec<Order> {
    let count = isolation.modes.len();
    let pairs = (0..count).flat_map(|from| (0..count).map(move |to| (from, to)));
    let pairs = pairs.filter(|(from, to)| count <= MOST_MODES || *from == 0 || *to == 0);
    let core = Core::of(&isolation.model.worst, isolation.model.sources.iter().map(|source| source.place));
    pairs.filter(|(from, to)| from != to).map(|(from, to)| order(house, isolation, &core, from, to)).collect()
}

fn order(house: &House<'_>, isolation: &Isolation, core: &Core, from: usize, to: usize) -> Order {
    let Isolation { model, modes, .. } = isolation;
    let apart = apart(isolation, from, to);
    let place = |supply| core.place(model.supply(supply)?);
    let places: Vec<(u32, u32)> = apart.iter().filter_map(|(a, b)| Some((place(*a)?, place(*b)?))).collect();
    let rules = Rules { grid: &core.grid, apart: &places };
    let (before, after) = (&modes[from], &modes[to]);
    let joined = [from, to].into_iter().flat_map(|mode| joined(isolation, mode)).collect::<Vec<_>>();
    let moves = if joined.is_empty() { rules.order(&before.worst, &after.worst) } else { None };
    let steps = moves.map(|moves| carded(house, model, &before.worst, moves));
    let mut remedies = Vec::new();
    if steps.is_none() {
        let wanted = if joined.is_empty() { &apart } else { &joined };
        remedies = wanted.iter().flat_map(|(a, b)| self::remedies(house, isolation, *a, *b)).collect();
        remedies.dedup();
    }
    let forbidden_by = forbidding(model, &[&before.worst, &after.worst]);
    Order { from, to, steps, joined, forbidden_by, remedies }
}

/// Interlocks that hold and are broken by one of these states.
fn forbidding(model: &Model, states: &[&[u8]]) -> Vec<usize> {
    let holds = model.plates.iter().filter(|plate| plate.force == Force::Holds);
    let broken = holds.filter(|plate| states.iter().any(|state| !obeys(&plate.switches, state)));
    broken.map(|plate| plate.interlock).collect()
}

/// Pairs that must stay apart in both modes: what may meet in one of them may still be joined while
/// leaving or reaching it.
fn apart(isolation: &Isolation, from: usize, to: usize) -> Vec<(usize, usize)> {
    let must = |mode| {
        let meetings = isolation.meetings.iter();
        meetings.filter(move |one| one.mode == mode && one.rule != Rule::MayMeet).map(|one| (one.a, one.b))
    };
    must(from).filter(|pair| must(to).any(|other| other == *pair)).collect()
}

/// Pairs that are joined in the mode itself, or perhaps are.
fn joined(isolation: &Isolation, mode: usize) -> impl Iterator<Item = (usize, usize)> {
    let meetings = isolation.meetings.iter().filter(move |one| one.mode == mode && one.rule != Rule::MayMeet);
    meetings.filter(|one| one.worst.nearness == Nearness::Moves(0)).map(|one| (one.a, one.b))
}

/// The moves in the order in which hands make them: what breaks loads before what does not, plugs out
/// last and in first.
fn carded(house: &House<'_>, model: &Model, from: &[u8], moves: Vec<Move>) -> Vec<Step> {
    let is_open = |one: &Move| one.to == OPEN && model.worst.ranges()[one.switch as usize].opens();
    let is_closing = |one: &Move| one.to == CLOSED && model.worst.ranges()[one.switch as usize].opens();
    let mut opening: Vec<Move> = moves.iter().copied().filter(is_open).collect();
    let mut closing: Vec<Move> = moves.iter().copied().filter(is_closing).collect();
    let turning = moves.iter().copied().filter(|one| !is_open(one) && !is_closing(one));
    opening.sort_by_key(|one| hardness(house, model, one.switch));
    closing.sort_by_key(|one| std::cmp::Reverse(hardness(house, model, one.switch)));
    let mut state = from.to_vec();
    let mut steps = Vec::new();
    for one in opening.into_iter().chain(turning).chain(closing) {
        let is_hard = hardness(house, model, one.switch) > 0;
        if is_hard && on_direct_current(house, model, one.switch) {
            steps.push(Step::ShutDown(one.switch));
        } else if is_hard && carries(house, model, &state, one.switch) {
            steps.push(Step::LoadsOff(one.switch));
        }
        state[one.switch as usize] = one.to;
        steps.push(Step::Move(one));
    }
    steps
}

/// Whether loads hang on one side of a switch and a source on the other, so that it makes or breaks
/// their current when it is moved.
fn carries(house: &House<'_>, model: &Model, state: &[u8], switch: u32) -> bool {
    let mut open = state.to_vec();
    open[switch as usize] = OPEN;
    let sources: Vec<u32> = model.sources.iter().map(|source| source.place).collect();
    let fed = model.worst.live(&sources, &open);
    let has_loads = |place: u32| {
        let live = model.worst.live(&[place], &open);
        house.runs().any(|(at, run)| run.to.is_none() && live.has(house.network.run_end(at)))
    };
    let mut wires =
        model.worst.wires().iter().filter(|wire| wire.contact.is_some_and(|at| at.switch == switch));
    wires.any(|wire| (fed.has(wire.a) && has_loads(wire.b)) || (fed.has(wire.b) && has_loads(wire.a)))
}

/// 0: made to break its load. 1: a fuse without a handle, or a device that is not known to break this
/// load. 2: a plug.
fn hardness(house: &House<'_>, model: &Model, switch: u32) -> u8 {
    match model.handle(switch) {
        Handle::Plug(_) => return 2,
        Handle::Transfer(_) => return 0,
        _ => {}
    }
    let Some((device, ..)) = model.device(house, switch) else { return 1 };
    let breaks = match device.kind.get() {
        Some(
            DeviceKind::Breaker | DeviceKind::TandemBreaker | DeviceKind::FusedSwitch | DeviceKind::Switch,
        ) => !on_direct_current(house, model, switch) || device.dc_rated.get() == Some(true),
        _ => false,
    };
    u8::from(!breaks)
}

fn on_direct_current(house: &House<'_>, model: &Model, switch: u32) -> bool {
    let Handle::Way(panel, way) = model.handle(switch) else { return false };
    let mut runs = house.runs_from_way(panel, way);
    runs.any(|run| house.survey.runs[run].circuit.get() == Some(Circuit::DcPair))
}
