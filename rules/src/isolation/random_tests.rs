//! The searches against brute force over every state of random small grids.

use std::collections::{BTreeSet, HashMap, VecDeque};

use proptest::collection::vec;
use proptest::prelude::*;

use super::core::Core;
use super::cut::smallest_cuts;
use super::grid::{CLOSED, Grid, Move, OPEN, PlaceId, Range, SwitchId, Wire, stands};
use super::order::Rules;
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

fn case(most_devices: usize) -> impl Strategy<Value = Case> {
    (3..=9_u32).prop_flat_map(move |places| {
        let sources = vec(0..places, 2..=4);
        let locks = vec(vec(any::<prop::sample::Index>(), 2..=3), 0..=4);
        (Just(places), vec(part(places), 1..=16), sources, locks, vec(any::<[u8; 2]>(), 16)).prop_map(
            move |(places, parts, sources, locks, positions)| {
                built(places, &parts, sources, &locks, &positions, most_devices)
            },
        )
    })
}

fn built(
    places: u32,
    parts: &[Part],
    sources: Vec<PlaceId>,
    locks: &[Vec<prop::sample::Index>],
    positions: &[[u8; 2]],
    most_devices: usize,
) -> Case {
    let (mut wires, mut ranges) = (Vec::new(), Vec::new());
    for part in parts {
        match part {
            Part::Run(a, b) => wires.push(Wire { a: *a, b: *b, contact: None }),
            _ if ranges.len() >= most_devices => {}
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

/// Every state that no lock forbids.
fn states(grid: &Grid) -> Vec<Vec<u8>> {
    let mut all: Vec<Vec<u8>> = vec![Vec::new()];
    for range in grid.ranges() {
        let longer = |state: &Vec<u8>| {
            let state = state.clone();
            (range.lowest..=range.highest).map(move |position| [&state[..], &[position]].concat())
        };
        all = all.iter().flat_map(longer).collect();
    }
    all.retain(|state| grid.allows(state));
    all
}

fn wrong(mode: &[u8], state: &[u8]) -> Vec<Move> {
    let pairs = mode.iter().zip(state).enumerate();
    pairs
        .filter(|(_, (mode, state))| mode != state)
        .map(|(at, (_, to))| Move { switch: at as SwitchId, to: *to })
        .collect()
}

/// By trying every state: the smallest sets of moves that join two places.
fn smallest_by_force(grid: &Grid, mode: &[u8], a: PlaceId, b: PlaceId) -> BTreeSet<Vec<Move>> {
    let mut best: BTreeSet<Vec<Move>> = BTreeSet::new();
    for state in states(grid) {
        let moves = wrong(mode, &state);
        let size = best.first().map_or(usize::MAX, Vec::len);
        if moves.len() > size || !grid.joined(&state, a, b) {
            continue;
        }
        if moves.len() < size {
            best.clear();
        }
        best.insert(moves);
    }
    best
}

fn cuts_by_force(grid: &Grid, target: PlaceId, sources: &[PlaceId]) -> Option<BTreeSet<Vec<SwitchId>>> {
    let breakers: Vec<SwitchId> =
        (0..grid.ranges().len() as SwitchId).filter(|at| grid.ranges()[*at as usize].opens()).collect();
    let mut best: Option<BTreeSet<Vec<SwitchId>>> = None;
    for bits in 0..1_u32 << breakers.len() {
        let set: Vec<SwitchId> =
            breakers.iter().enumerate().filter(|(at, _)| bits >> at & 1 == 1).map(|(_, at)| *at).collect();
        let size = best.as_ref().and_then(|best| best.first().map(Vec::len)).unwrap_or(usize::MAX);
        if set.len() > size {
            continue;
        }
        let conducts = |wire: Wire| wire.contact.is_none_or(|contact| !set.contains(&contact.switch));
        let reach = grid.reach(&[target], conducts);
        if sources.iter().any(|source| reach.has(*source)) {
            continue;
        }
        if set.len() < size {
            best = Some(BTreeSet::new());
        }
        best.get_or_insert_default().insert(set);
    }
    best
}

/// By a search through every safe state: the length of the shortest order.
fn order_by_force(rules: &Rules<'_>, from: &[u8], to: &[u8]) -> Option<usize> {
    if !rules.is_safe(from) || !rules.is_safe(to) {
        return None;
    }
    let mut steps: HashMap<Vec<u8>, usize> = HashMap::from([(from.to_vec(), 0)]);
    let mut next = VecDeque::from([from.to_vec()]);
    while let Some(state) = next.pop_front() {
        let here = steps[&state];
        if state == to {
            return Some(here);
        }
        for (at, range) in rules.grid.ranges().iter().enumerate() {
            for position in range.lowest..=range.highest {
                let mut moved = state.clone();
                moved[at] = position;
                if !steps.contains_key(&moved) && rules.is_safe(&moved) {
                    steps.insert(moved.clone(), here + 1);
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
    fn wrong_moves_and_witnesses_agree_with_brute_force(case in case(8)) {
        agrees_on_wrong_moves(&case)?;
    }

    #[test]
    fn cuts_agree_with_brute_force(case in case(9)) {
        let Case { grid, sources, .. } = &case;
        let core = Core::of(grid, 0..grid.places() as PlaceId);
        for target in 0..grid.places() as PlaceId {
            let found = smallest_cuts(grid, &[target], sources, &|_| true, usize::MAX);
            let forced = cuts_by_force(grid, target, sources);
            prop_assert_eq!(found.clone().map(BTreeSet::from_iter), forced);
            let place = |at: PlaceId| core.place(at).expect("kept");
            let small: Vec<PlaceId> = sources.iter().map(|at| place(*at)).collect();
            prop_assert_eq!(smallest_cuts(&core.grid, &[place(target)], &small, &|_| true, usize::MAX), found);
        }
    }

    #[test]
    fn orders_agree_with_brute_force(case in case(7)) {
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

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn wrong_moves_of_twelve_devices_agree_with_brute_force(case in case(12)) {
        agrees_on_wrong_moves(&case)?;
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
        prop_assert!(grid.allows(&state) && grid.joined(&state, a, b));
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
