//! The searches against brute force over every state of random small grids.

use std::collections::{BTreeSet, VecDeque};

use proptest::collection::vec;
use proptest::prelude::*;

use super::blocks::Blocks;
use super::core::Core;
use super::cut::smallest_cuts;
use super::grid::{CLOSED, Grid, Move, OPEN, PlaceId, Range, SwitchId, Wire, stands};
use super::order::Rules;
use super::part;
use super::search::Search;

/// A grid with up to 12 devices, 4 locks and 4 sources, and two modes of it.
#[derive(Debug, Clone)]
struct Case {
    grid: Grid,
    modes: [Vec<u8>; 2],
    sources: Vec<PlaceId>,
}

/// A device: none (a run), one that opens, or a transfer switch of two or three inputs.
#[derive(Debug, Clone)]
enum Part {
    Run(u32, u32),
    Breaker(u32, u32),
    Transfer(u32, Vec<u32>),
}

fn part(places: u32) -> impl Strategy<Value = Part> {
    let place = 0..places;
    prop_oneof![
        2 => (place.clone(), place.clone()).prop_map(|(a, b)| Part::Run(a, b)),
        6 => (place.clone(), place.clone()).prop_map(|(a, b)| Part::Breaker(a, b)),
        2 => (place.clone(), vec(place, 2..=3)).prop_map(|(output, inputs)| Part::Transfer(output, inputs)),
    ]
}

/// Most states of a grid: those of twelve devices that are open or closed.
const MOST_STATES: usize = 1 << 12;

fn case() -> impl Strategy<Value = Case> {
    (3..=9_u32).prop_flat_map(|places| {
        let sources = vec(0..places, 2..=4);
        let locks = vec(vec(any::<prop::sample::Index>(), 2..=3), 0..=4);
        (Just(places), vec(part(places), 1..=20), sources, locks, vec(any::<[u8; 2]>(), 20)).prop_map(
            |(places, parts, sources, locks, positions)| built(places, &parts, sources, &locks, &positions),
        )
    })
}

fn built(
    places: u32,
    parts: &[Part],
    sources: Vec<PlaceId>,
    locks: &[Vec<prop::sample::Index>],
    positions: &[[u8; 2]],
) -> Case {
    let (mut wires, mut ranges) = (Vec::new(), Vec::new());
    let mut states = 1;
    for part in parts {
        let count = match part {
            Part::Run(..) => 1,
            Part::Breaker(..) => 2,
            Part::Transfer(_, inputs) => inputs.len(),
        };
        if states * count > MOST_STATES {
            continue;
        }
        states *= count;
        match part {
            Part::Run(a, b) => wires.push(Wire { a: *a, b: *b, contact: None }),
            Part::Breaker(a, b) => {
                let contact = Some(Move { switch: ranges.len() as SwitchId, to: CLOSED });
                wires.push(Wire { a: *a, b: *b, contact });
                ranges.push(Range::TWO);
            }
            Part::Transfer(output, inputs) => {
                for (at, input) in inputs.iter().enumerate() {
                    let contact = Some(Move { switch: ranges.len() as SwitchId, to: at as u8 + 1 });
                    wires.push(Wire { a: *output, b: *input, contact });
                }
                ranges.push(Range { lowest: 1, highest: inputs.len() as u8 });
            }
        }
    }
    let breakers: Vec<SwitchId> =
        (0..ranges.len() as SwitchId).filter(|at| ranges[*at as usize].opens()).collect();
    let locks = locks
        .iter()
        .filter(|_| !breakers.is_empty())
        .map(|lock| {
            let mut lock: Vec<SwitchId> = lock.iter().map(|at| *at.get(&breakers)).collect();
            lock.sort_unstable();
            lock.dedup();
            lock
        })
        .collect();
    let grid = Grid::new(places as usize, wires, ranges, locks);
    let modes = [0, 1].map(|which| lawful(&grid, positions, which));
    Case { grid, modes, sources }
}

/// A state by chance, made lawful by opening what a lock forbids.
fn lawful(grid: &Grid, positions: &[[u8; 2]], which: usize) -> Vec<u8> {
    let pick = |(at, range): (usize, &Range)| {
        let count = range.highest - range.lowest + 1;
        range.lowest + positions[at % positions.len()][which] % count
    };
    let mut state: Vec<u8> = grid.ranges().iter().enumerate().map(pick).collect();
    for lock in grid.locks() {
        let closed = lock.iter().filter(|at| state[**at as usize] == CLOSED).copied().collect::<Vec<_>>();
        for switch in closed.into_iter().skip(1) {
            state[switch as usize] = OPEN;
        }
    }
    state
}

/// Every state, in the order of a number with one digit a switch; stops where `look` says so.
fn every_state(grid: &Grid, mut look: impl FnMut(&[u8])) {
    let ranges = grid.ranges();
    let mut state: Vec<u8> = ranges.iter().map(|range| range.lowest).collect();
    loop {
        look(&state);
        let Some(at) = (0..state.len()).find(|at| state[*at] < ranges[*at].highest) else { return };
        state[at] += 1;
        for below in 0..at {
            state[below] = ranges[below].lowest;
        }
    }
}

/// The places that hang together with a set of places, as bits.
fn spread(wires: &[Wire], conducts: impl Fn(&Wire) -> bool, start: u16) -> u16 {
    let mut reached = start;
    loop {
        let before = reached;
        for wire in wires {
            let ends = 1 << wire.a | 1 << wire.b;
            if reached & ends != 0 && reached & ends != ends && conducts(wire) {
                reached |= ends;
            }
        }
        if reached == before {
            return reached;
        }
    }
}

fn joined_by_force(grid: &Grid, state: &[u8], a: PlaceId, b: PlaceId) -> bool {
    spread(grid.wires(), |wire| stands(*wire, state), 1 << a) & 1 << b != 0
}

/// By trying every state: the smallest sets of moves that join two places.
fn smallest_by_force(grid: &Grid, mode: &[u8], a: PlaceId, b: PlaceId) -> BTreeSet<Vec<Move>> {
    let mut best: BTreeSet<Vec<Move>> = BTreeSet::new();
    let mut size = usize::MAX;
    every_state(grid, |state| {
        let moved = mode.iter().zip(state).filter(|(mode, state)| mode != state).count();
        if moved > size || !grid.allows(state) || !joined_by_force(grid, state, a, b) {
            return;
        }
        if moved < size {
            best.clear();
            size = moved;
        }
        let pairs = mode.iter().zip(state).enumerate().filter(|(_, (mode, state))| mode != state);
        best.insert(pairs.map(|(at, (_, to))| Move { switch: at as SwitchId, to: *to }).collect());
    });
    best
}

fn cuts_by_force(grid: &Grid, target: PlaceId, sources: &[PlaceId]) -> Option<BTreeSet<Vec<SwitchId>>> {
    let breakers: Vec<SwitchId> =
        (0..grid.ranges().len() as SwitchId).filter(|at| grid.ranges()[*at as usize].opens()).collect();
    let sources = sources.iter().fold(0_u16, |all, source| all | 1 << source);
    let mut best: Option<BTreeSet<Vec<SwitchId>>> = None;
    let mut size = usize::MAX;
    for bits in 0..1_u32 << breakers.len() {
        if bits.count_ones() as usize > size {
            continue;
        }
        let open = |switch: SwitchId| {
            breakers.iter().position(|other| *other == switch).is_some_and(|at| bits >> at & 1 == 1)
        };
        let conducts = |wire: &Wire| wire.contact.is_none_or(|contact| !open(contact.switch));
        if spread(grid.wires(), conducts, 1 << target) & sources != 0 {
            continue;
        }
        let set: Vec<SwitchId> = breakers.iter().copied().filter(|switch| open(*switch)).collect();
        if set.len() < size {
            size = set.len();
            best = Some(BTreeSet::new());
        }
        best.get_or_insert_default().insert(set);
    }
    best
}

/// By a search through every safe state: the length of the shortest order.
fn order_by_force(rules: &Rules<'_>, from: &[u8], to: &[u8]) -> Option<usize> {
    let grid = rules.grid;
    let mut safe: Vec<bool> = Vec::new();
    let mut states: Vec<Vec<u8>> = Vec::new();
    every_state(grid, |state| {
        let apart = |(a, b): &(PlaceId, PlaceId)| !joined_by_force(grid, state, *a, *b);
        safe.push(grid.allows(state) && rules.apart.iter().all(apart));
        states.push(state.to_vec());
    });
    let mut weight = 1;
    let mut weights = Vec::new();
    for range in grid.ranges() {
        weights.push(weight);
        weight *= usize::from(range.highest - range.lowest) + 1;
    }
    let number = |state: &[u8]| -> usize {
        let digits = state.iter().zip(grid.ranges()).zip(&weights);
        digits.map(|((at, range), weight)| usize::from(at - range.lowest) * weight).sum()
    };
    let (from, to) = (number(from), number(to));
    if !safe[from] || !safe[to] {
        return None;
    }
    let mut steps: Vec<Option<usize>> = vec![None; safe.len()];
    steps[from] = Some(0);
    let mut next = VecDeque::from([from]);
    while let Some(here) = next.pop_front() {
        if here == to {
            return steps[here];
        }
        for (at, range) in grid.ranges().iter().enumerate() {
            let base = here - usize::from(states[here][at] - range.lowest) * weights[at];
            for position in 0..=usize::from(range.highest - range.lowest) {
                let moved = base + position * weights[at];
                if safe[moved] && steps[moved].is_none() {
                    steps[moved] = steps[here].map(|steps| steps + 1);
                    next.push_back(moved);
                }
            }
        }
    }
    None
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(10_000))]

    #[test]
    fn wrong_moves_and_witnesses_agree_with_brute_force(case in case()) {
        agrees_on_wrong_moves(&case)?;
    }

    #[test]
    fn cuts_agree_with_brute_force(case in case(), target in any::<prop::sample::Index>()) {
        let Case { grid, sources, .. } = &case;
        let target = target.index(grid.places()) as PlaceId;
        let found = smallest_cuts(grid, &[target], sources, &|_| true, usize::MAX);
        let forced = cuts_by_force(grid, target, sources);
        prop_assert_eq!(found.clone().map(BTreeSet::from_iter), forced);
        let core = Core::of(grid, sources.iter().copied().chain([target]));
        let place = |at: PlaceId| core.place(at).expect("kept");
        let small: Vec<PlaceId> = sources.iter().map(|at| place(*at)).collect();
        let in_core = smallest_cuts(&core.grid, &[place(target)], &small, &|_| true, usize::MAX);
        prop_assert_eq!(&in_core, &found);
        // In the blocks on the way from the target to the sources.
        let wires = Blocks::of(grid, sources).towards(&[target]);
        let part = part::Part::of_wires(grid, &wires, &[target]);
        let near: Vec<PlaceId> = sources.iter().filter_map(|at| part.place(*at)).collect();
        let targets = [part.place(target).expect("kept")];
        prop_assert_eq!(smallest_cuts(&part.grid, &targets, &near, &|_| true, usize::MAX), found);
    }

    #[test]
    fn orders_agree_with_brute_force(case in case()) {
        let Case { grid, sources, modes } = &case;
        let apart: Vec<(PlaceId, PlaceId)> =
            sources.windows(2).map(|pair| (pair[0], pair[1])).filter(|(a, b)| a != b).collect();
        let rules = Rules { grid, apart: &apart };
        let [from, to] = modes;
        let order = rules.order(from, to);
        prop_assert_eq!(order.as_ref().map(Vec::len), order_by_force(&rules, from, to));
        let mut state = from.clone();
        for one in order.into_iter().flatten() {
            prop_assert_ne!(state[one.switch as usize], one.to);
            state[one.switch as usize] = one.to;
            prop_assert!(rules.is_safe(&state));
        }
    }
}

fn agrees_on_wrong_moves(case: &Case) -> Result<(), TestCaseError> {
    let Case { grid, sources, modes } = case;
    let mode = &modes[0];
    let (a, b) = (sources[0], sources[1]);
    let forced = smallest_by_force(grid, mode, a, b);
    let search = Search::new(grid, mode).expect("few locks");
    let found = search.slips(a, b, usize::MAX).expect("few locks");
    let sets: BTreeSet<Vec<super::grid::Move>> = found.iter().map(|slip| slip.moves.clone()).collect();
    prop_assert_eq!(&sets, &forced);
    prop_assert_eq!(found.len(), forced.len(), "no witness twice");
    for slip in &found {
        let mut state = mode.clone();
        for one in &slip.moves {
            state[one.switch as usize] = one.to;
        }
        prop_assert!(grid.allows(&state) && joined_by_force(grid, &state, a, b));
        prop_assert!(slip.wires.iter().all(|wire| stands(grid.wire(*wire), &state)));
    }
    let core = Core::of(grid, sources.iter().copied());
    let search = Search::new(&core.grid, mode).expect("few locks");
    let place = |at: PlaceId| core.place(at).expect("kept");
    let small = search.slips(place(a), place(b), usize::MAX).expect("few locks");
    let small: BTreeSet<Vec<super::grid::Move>> = small.into_iter().map(|slip| slip.moves).collect();
    prop_assert_eq!(small, forced);
    Ok(())
}
