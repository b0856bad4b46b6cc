//! The switching model without the house: places, wires, switches with their positions, and locks
//! that keep switches from being closed together. Everything exact is worked out on it, and proved
//! on it against brute force.

use std::collections::{HashMap, HashSet, VecDeque};
use std::sync::Arc;

/// Number of a place.
pub type PlaceId = u32;
/// Number of a wire.
pub type WireId = u32;
/// Number of a switch.
pub type SwitchId = u32;

/// The position in which nothing is joined.
pub const OPEN: u8 = 0;
/// The position in which a switch of two positions joins its ends.
pub const CLOSED: u8 = 1;

/// A switch and a position of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Move {
    /// The switch.
    pub switch: SwitchId,
    /// The position.
    pub to: u8,
}

/// What joins two places, always or while a switch stands in one of its positions.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Wire {
    /// One end.
    pub a: PlaceId,
    /// The other end.
    pub b: PlaceId,
    /// The position in which it conducts; none: always.
    pub contact: Option<Move>,
}

impl Wire {
    /// The end that is not `place`.
    #[must_use]
    pub fn other(&self, place: PlaceId) -> PlaceId {
        if self.a == place { self.b } else { self.a }
    }
}

/// The positions that a switch can take: `lowest..=highest`. A breaker: open and closed. A transfer
/// switch with no position between: 1 to the number of its inputs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Range {
    /// The first position.
    pub lowest: u8,
    /// The last position.
    pub highest: u8,
}

impl Range {
    /// Open and closed.
    pub const TWO: Self = Self { lowest: OPEN, highest: CLOSED };

    /// Whether it is opened and closed, not moved from one input to another.
    #[must_use]
    pub fn opens(self) -> bool {
        self == Self::TWO
    }
}

/// The switching model.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Grid {
    wires: Vec<Wire>,
    ranges: Arc<[Range]>,
    locks: Arc<[Vec<SwitchId>]>,
    /// The locks of each switch that has any.
    locks_of: Arc<HashMap<SwitchId, Vec<u32>>>,
    /// Wires at each place: `at[starts[p]..starts[p + 1]]`.
    at: Vec<WireId>,
    starts: Vec<u32>,
}

impl Grid {
    /// A model of `places` places. Each lock lists switches of two positions of which at most one
    /// may be closed.
    #[must_use]
    pub fn new(places: usize, wires: Vec<Wire>, ranges: Vec<Range>, locks: Vec<Vec<SwitchId>>) -> Self {
        let empty = Self {
            wires: Vec::new(),
            ranges: ranges.into(),
            locks: Arc::from(Vec::new()),
            locks_of: Arc::new(HashMap::new()),
            at: Vec::new(),
            starts: vec![0],
        };
        empty.cut_out(places, wires, locks)
    }

    /// Other places, wires and locks with the same switches.
    #[must_use]
    pub fn cut_out(&self, places: usize, wires: Vec<Wire>, locks: Vec<Vec<SwitchId>>) -> Self {
        let mut locks_of: HashMap<SwitchId, Vec<u32>> = HashMap::new();
        for (number, lock) in locks.iter().enumerate() {
            for switch in lock {
                locks_of.entry(*switch).or_default().push(number as u32);
            }
        }
        let (ranges, locks_of) = (Arc::clone(&self.ranges), Arc::new(locks_of));
        let empty = Self {
            wires: Vec::new(),
            ranges,
            locks: locks.into(),
            locks_of,
            at: Vec::new(),
            starts: vec![0],
        };
        empty.redrawn(places, wires)
    }

    /// Other places and wires with the same switches and locks.
    #[must_use]
    pub fn redrawn(&self, places: usize, wires: Vec<Wire>) -> Self {
        let mut starts = vec![0_u32; places + 1];
        for wire in &wires {
            starts[wire.a as usize + 1] += 1;
            starts[wire.b as usize + 1] += u32::from(wire.a != wire.b);
        }
        for at in 1..starts.len() {
            starts[at] += starts[at - 1];
        }
        let mut next = starts.clone();
        let mut at = vec![0; starts.last().copied().unwrap_or(0) as usize];
        for (number, wire) in wires.iter().enumerate() {
            let ends = if wire.a == wire.b { 1 } else { 2 };
            for place in [wire.a, wire.b].into_iter().take(ends) {
                let slot = &mut next[place as usize];
                at[*slot as usize] = number as WireId;
                *slot += 1;
            }
        }
        let (ranges, locks) = (Arc::clone(&self.ranges), Arc::clone(&self.locks));
        Self { wires, ranges, locks, locks_of: Arc::clone(&self.locks_of), at, starts }
    }

    /// How many places there are.
    #[must_use]
    pub fn places(&self) -> usize {
        self.starts.len() - 1
    }

    /// All wires.
    #[must_use]
    pub fn wires(&self) -> &[Wire] {
        &self.wires
    }

    /// The wire of this number.
    #[must_use]
    pub fn wire(&self, wire: WireId) -> Wire {
        self.wires[wire as usize]
    }

    /// Wires that touch a place.
    #[must_use]
    pub fn wires_at(&self, place: PlaceId) -> &[WireId] {
        let place = place as usize;
        &self.at[self.starts[place] as usize..self.starts[place + 1] as usize]
    }

    /// The positions of each switch.
    #[must_use]
    pub fn ranges(&self) -> &[Range] {
        &self.ranges
    }

    /// The locks.
    #[must_use]
    pub fn locks(&self) -> &[Vec<SwitchId>] {
        &self.locks
    }

    /// The locks that bear on a switch, by number.
    #[must_use]
    pub fn locks_of(&self, switch: SwitchId) -> &[u32] {
        self.locks_of.get(&switch).map_or(&[], Vec::as_slice)
    }

    /// The same with other locks.
    #[must_use]
    pub fn with_locks(&self, locks: Vec<Vec<SwitchId>>) -> Self {
        self.cut_out(self.places(), self.wires.clone(), locks)
    }

    /// Whether no lock forbids this state.
    #[must_use]
    pub fn allows(&self, state: &[u8]) -> bool {
        self.locks.iter().all(|lock| obeys(lock, state))
    }

    /// Places that hang together with `start` over wires for which `conducts` is true, in the order
    /// in which they are reached, each with the wire towards the start.
    #[must_use]
    pub fn reach(&self, start: &[PlaceId], conducts: impl Fn(Wire) -> bool) -> Reach {
        let mut reach = Reach { back: vec![None; self.places()], seen: vec![false; self.places()] };
        let mut next: VecDeque<PlaceId> = VecDeque::new();
        for &place in start {
            if !std::mem::replace(&mut reach.seen[place as usize], true) {
                next.push_back(place);
            }
        }
        while let Some(place) = next.pop_front() {
            for &number in self.wires_at(place) {
                let wire = self.wire(number);
                let other = wire.other(place);
                if conducts(wire) && !std::mem::replace(&mut reach.seen[other as usize], true) {
                    reach.back[other as usize] = Some(number);
                    next.push_back(other);
                }
            }
        }
        reach
    }

    /// The places that hang together with `start` over wires for which `conducts` is true, without going
    /// past places at which `ends` is true: in the order in which they are reached. As quick as what is
    /// reached is small.
    #[must_use]
    pub fn near(
        &self,
        start: &[PlaceId],
        conducts: impl Fn(Wire) -> bool,
        ends: impl Fn(PlaceId) -> bool,
    ) -> Vec<PlaceId> {
        let mut seen: HashSet<PlaceId> = start.iter().copied().collect();
        let mut order: Vec<PlaceId> = start.to_vec();
        let mut next = 0;
        while let Some(&place) = order.get(next) {
            next += 1;
            if ends(place) && !start.contains(&place) {
                continue;
            }
            for &number in self.wires_at(place) {
                let wire = self.wire(number);
                let other = wire.other(place);
                if conducts(wire) && seen.insert(other) {
                    order.push(other);
                }
            }
        }
        order
    }

    /// The wires of a shortest way between two places over wires for which `conducts` is true; empty
    /// where there is none. As quick as what is passed is small.
    #[must_use]
    pub fn way(&self, from: PlaceId, to: PlaceId, conducts: impl Fn(WireId, Wire) -> bool) -> Vec<WireId> {
        let mut back: HashMap<PlaceId, WireId> = HashMap::new();
        let mut next = VecDeque::from([from]);
        while let Some(place) = next.pop_front() {
            if place == to {
                let mut wires = Vec::new();
                let mut here = to;
                while here != from {
                    let Some(&wire) = back.get(&here) else { break };
                    wires.push(wire);
                    here = self.wire(wire).other(here);
                }
                wires.reverse();
                return wires;
            }
            for &number in self.wires_at(place) {
                let wire = self.wire(number);
                let other = wire.other(place);
                if other != from && conducts(number, wire) && !back.contains_key(&other) {
                    back.insert(other, number);
                    next.push_back(other);
                }
            }
        }
        Vec::new()
    }

    /// What hangs together with `start` in a state.
    #[must_use]
    pub fn live(&self, start: &[PlaceId], state: &[u8]) -> Reach {
        self.reach(start, |wire| stands(wire, state))
    }

    /// Whether two places are joined in a state.
    #[must_use]
    pub fn joined(&self, state: &[u8], a: PlaceId, b: PlaceId) -> bool {
        self.live(&[a], state).has(b)
    }
}

/// Whether at most one switch of a lock is closed.
#[must_use]
pub fn obeys(lock: &[SwitchId], state: &[u8]) -> bool {
    lock.iter().filter(|switch| state[**switch as usize] == CLOSED).count() <= 1
}

/// Whether a wire conducts in a state.
#[must_use]
pub fn stands(wire: Wire, state: &[u8]) -> bool {
    wire.contact.is_none_or(|contact| state[contact.switch as usize] == contact.to)
}

/// What hangs together.
#[derive(Debug, Clone)]
pub struct Reach {
    back: Vec<Option<WireId>>,
    seen: Vec<bool>,
}

impl Reach {
    /// Whether a place is in it.
    #[must_use]
    pub fn has(&self, place: PlaceId) -> bool {
        self.seen[place as usize]
    }

    /// The wires from the start to a place; empty where it is not in it.
    #[must_use]
    pub fn path(&self, grid: &Grid, to: PlaceId) -> Vec<WireId> {
        let mut wires = Vec::new();
        let mut here = to;
        while let Some(wire) = self.back[here as usize] {
            wires.push(wire);
            here = grid.wire(wire).other(here);
        }
        wires.reverse();
        wires
    }
}
