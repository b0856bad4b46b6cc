//! In which order devices are moved from one mode to another, so that no two sources meet on the way.
//!
//! Whatever is opened makes a state no worse, so a shortest order opens first, then moves the transfer
//! switches, then closes. Only while transfer switches move can something else have to be opened
//! for the time being; the smallest such set is found by trying sets by size.

use std::collections::{HashMap, VecDeque};

use super::grid::{CLOSED, Grid, Move, OPEN, PlaceId, SwitchId};

/// Most switches opened for the time being that are searched for exactly.
const MOST_FOR_THE_TIME: usize = 4;
/// Most sets of them that are tried; past that, an order that opens a few more than it must is good enough.
const MOST_SETS: usize = 5_000;
/// Most positions of all transfer switches together that are searched through.
const MOST_STATES: usize = 20_000;

/// What must not happen on the way.
pub struct Rules<'g> {
    /// The grid.
    pub grid: &'g Grid,
    /// Pairs of places that must not be joined.
    pub apart: &'g [(PlaceId, PlaceId)],
}

impl Rules<'_> {
    /// Whether no lock is broken and no pair is joined.
    #[must_use]
    pub fn is_safe(&self, state: &[u8]) -> bool {
        self.grid.allows(state) && !self.apart.iter().any(|&(a, b)| self.grid.joined(state, a, b))
    }

    /// A shortest sequence of single moves from one state to another through safe states only; none
    /// where there is none.
    #[must_use]
    pub fn order(&self, from: &[u8], to: &[u8]) -> Option<Vec<Move>> {
        if !self.is_safe(from) || !self.is_safe(to) {
            return None;
        }
        let aside = self.may_be_opened_aside(from, to);
        if let Some(moves) = self.moves_with(from, to, &[]) {
            // With nothing to be opened aside, a detour of the transfer switches may be longer than one
            // that opens something: both are compared below.
            if moves.len() == different(from, to) {
                return Some(moves);
            }
        }
        self.moves_with(from, to, &aside)?;
        self.shortest(from, to, &aside)
    }

    fn shortest(&self, from: &[u8], to: &[u8], aside: &[SwitchId]) -> Option<Vec<Move>> {
        let least = different(from, to);
        let mut best: Option<Vec<Move>> = None;
        let mut tried = 0;
        for size in 0..=aside.len().min(MOST_FOR_THE_TIME) {
            tried += choices(aside.len(), size);
            if tried > MOST_SETS {
                break;
            }
            if best.as_ref().is_some_and(|best| best.len() <= least + 2 * size) {
                break;
            }
            for set in sets(aside, size) {
                let Some(moves) = self.moves_with(from, to, &set) else { continue };
                if best.as_ref().is_none_or(|best| moves.len() < best.len()) {
                    best = Some(moves);
                }
            }
        }
        best.or_else(|| self.moves_with(from, to, &self.fewer(from, to, aside)))
    }

    /// A set opened aside from which nothing can be left out, where trying all by size is too long.
    fn fewer(&self, from: &[u8], to: &[u8], aside: &[SwitchId]) -> Vec<SwitchId> {
        let mut set = aside.to_vec();
        for switch in aside {
            let without: Vec<SwitchId> = set.iter().copied().filter(|other| other != switch).collect();
            if self.moves_with(from, to, &without).is_some() {
                set = without;
            }
        }
        set
    }

    /// Switches closed before and after, whose opening can matter: those on a wire of the grid.
    fn may_be_opened_aside(&self, from: &[u8], to: &[u8]) -> Vec<SwitchId> {
        let ranges = self.grid.ranges();
        let contacts = self.grid.wires().iter().filter_map(|wire| wire.contact);
        let mut all: Vec<SwitchId> = contacts
            .map(|contact| contact.switch)
            .filter(|switch| {
                let at = *switch as usize;
                ranges[at].opens() && from[at] == CLOSED && to[at] == CLOSED
            })
            .collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// The moves with these switches opened for the time being.
    fn moves_with(&self, from: &[u8], to: &[u8], aside: &[SwitchId]) -> Option<Vec<Move>> {
        let switches = || (0..from.len() as SwitchId).filter(|at| self.grid.ranges()[*at as usize].opens());
        let opened =
            |at: &SwitchId| from[*at as usize] == CLOSED && (to[*at as usize] == OPEN || aside.contains(at));
        let closed =
            |at: &SwitchId| to[*at as usize] == CLOSED && (from[*at as usize] == OPEN || aside.contains(at));
        let opening: Vec<Move> = switches().filter(opened).map(|switch| Move { switch, to: OPEN }).collect();
        let closing: Vec<Move> =
            switches().filter(closed).map(|switch| Move { switch, to: CLOSED }).collect();
        let mut between = from.to_vec();
        for one in &opening {
            between[one.switch as usize] = OPEN;
        }
        let turning = self.turn(&between, to)?;
        Some([opening, turning, closing].concat())
    }

    /// The moves of the switches that have no open position, or more than one closed one.
    fn turn(&self, start: &[u8], to: &[u8]) -> Option<Vec<Move>> {
        let turning: Vec<SwitchId> =
            (0..start.len() as SwitchId).filter(|at| !self.grid.ranges()[*at as usize].opens()).collect();
        let arrived = |state: &[u8]| turning.iter().all(|at| state[*at as usize] == to[*at as usize]);
        let mut before: HashMap<Vec<u8>, Option<(Vec<u8>, Move)>> = HashMap::from([(start.to_vec(), None)]);
        let mut next = VecDeque::from([start.to_vec()]);
        while let Some(state) = next.pop_front() {
            if arrived(&state) {
                return Some(back(&before, state));
            }
            for &switch in &turning {
                let range = self.grid.ranges()[switch as usize];
                for position in range.lowest..=range.highest {
                    let mut moved = state.clone();
                    moved[switch as usize] = position;
                    if before.contains_key(&moved) || before.len() > MOST_STATES || !self.is_safe(&moved) {
                        continue;
                    }
                    before.insert(moved.clone(), Some((state.clone(), Move { switch, to: position })));
                    next.push_back(moved);
                }
            }
        }
        None
    }
}

fn back(before: &HashMap<Vec<u8>, Option<(Vec<u8>, Move)>>, end: Vec<u8>) -> Vec<Move> {
    let mut moves = Vec::new();
    let mut here = &end;
    while let Some(Some((earlier, one))) = before.get(here) {
        moves.push(*one);
        here = earlier;
    }
    moves.reverse();
    moves
}

fn different(from: &[u8], to: &[u8]) -> usize {
    from.iter().zip(to).filter(|(a, b)| a != b).count()
}

/// How many sets of `size` there are of `all`, for small sizes.
fn choices(all: usize, size: usize) -> usize {
    (0..size).fold(1, |count, at| count * (all - at) / (at + 1))
}

/// Every set of `size` of `all`.
fn sets(all: &[SwitchId], size: usize) -> Vec<Vec<SwitchId>> {
    if size == 0 {
        return vec![Vec::new()];
    }
    let mut found = Vec::new();
    for (at, first) in all.iter().enumerate() {
        for mut rest in sets(&all[at + 1..], size - 1) {
            rest.insert(0, *first);
            found.push(rest);
        }
    }
    found
}
