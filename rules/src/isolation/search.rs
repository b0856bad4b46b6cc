//! How many switches have to stand wrong for two places to be joined, and which.
//!
//! Exact: the shortest path over place and the set of locked contacts used so far. A switch that
//! the path needs in another position than the mode's costs one; so does a closed switch that a
//! lock then forces open. For a fixed number of locks the work grows with the grid.

use std::collections::HashMap;

use super::grid::{CLOSED, Grid, Move, OPEN, PlaceId, WireId, obeys};

/// Most labels that one search may set: far above what a house needs, so that a file made to
/// exhaust the search gets an answer too.
const MOST_LABELS: usize = 400_000;

/// The search was given up: too many locks stand between the two places.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TooMany;

/// One way in which two places can be joined.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Slip {
    /// The switches that stand wrong, each with the position in which it then stands, by number.
    pub moves: Vec<Move>,
    /// The wires with contacts along the path, from the first place to the second.
    pub wires: Vec<WireId>,
}

/// What one search allows for: moves that cannot be made, and moves that are made already.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Given {
    /// Moves that cannot be made.
    pub barred: Vec<Move>,
    /// Moves that cost nothing.
    pub free: Vec<Move>,
}

/// Searches of one grid from one mode.
pub struct Search<'g> {
    grid: &'g Grid,
    mode: &'g [u8],
    /// The number of each contact on which a lock or another position of its switch bears.
    bits: HashMap<Move, u32>,
    /// By that number: the contacts that cannot be used together with it.
    conflicts: Vec<u128>,
    /// By that number: closed switches that a lock forces open.
    forced: Vec<Vec<u32>>,
}

/// Place, and the set of numbered contacts used on the way.
type State = (PlaceId, u128);

struct Label {
    state: State,
    cost: u32,
    back: Option<(usize, WireId)>,
}

impl<'g> Search<'g> {
    /// Prepares the searches from a mode. A lock that the mode itself breaks cannot be what the
    /// survey says it is: it forbids nothing here.
    ///
    /// # Errors
    /// Where more than 128 contacts are locked.
    pub fn new(grid: &'g Grid, mode: &'g [u8]) -> Result<Self, TooMany> {
        let locks: Vec<&Vec<u32>> =
            grid.locks().iter().filter(|lock| lock.len() > 1 && obeys(lock, mode)).collect();
        let mut search = Self { grid, mode, bits: HashMap::new(), conflicts: Vec::new(), forced: Vec::new() };
        for contact in grid.wires().iter().filter_map(|wire| wire.contact) {
            let locked = locks.iter().any(|lock| contact.to == CLOSED && lock.contains(&contact.switch));
            let chooses = grid.ranges()[contact.switch as usize].highest > CLOSED;
            if locked || chooses {
                let next = search.bits.len() as u32;
                search.bits.entry(contact).or_insert(next);
            }
        }
        if search.bits.len() > 128 {
            return Err(TooMany);
        }
        let mut numbered: Vec<(Move, u32)> =
            search.bits.iter().map(|(contact, bit)| (*contact, *bit)).collect();
        numbered.sort_unstable_by_key(|(_, bit)| *bit);
        for &(contact, _) in &numbered {
            let partners = |switch: u32| {
                locks.iter().any(|lock| lock.contains(&switch) && lock.contains(&contact.switch))
            };
            let conflict = |other: Move| {
                if other.switch == contact.switch { other.to != contact.to } else { partners(other.switch) }
            };
            let set = numbered.iter().filter(|(other, _)| conflict(*other)).map(|(_, bit)| 1_u128 << bit);
            search.conflicts.push(set.fold(0, |all, bit| all | bit));
            let all = locks.iter().filter(|lock| lock.contains(&contact.switch)).flat_map(|lock| lock.iter());
            let mut forced: Vec<u32> = all
                .copied()
                .filter(|switch| *switch != contact.switch && mode[*switch as usize] == CLOSED)
                .collect();
            forced.sort_unstable();
            forced.dedup();
            search.forced.push(forced);
        }
        Ok(search)
    }

    /// One shortest way to join two places; none where nothing joins them.
    ///
    /// # Errors
    /// Where too many combinations of locks had to be tried.
    pub fn nearest(&self, from: PlaceId, to: PlaceId, given: &Given) -> Result<Option<Slip>, TooMany> {
        let mut labels = vec![Label { state: (from, 0), cost: 0, back: None }];
        let mut best: HashMap<State, u32> = HashMap::from([((from, 0), 0)]);
        // Labels by cost; each is looked at once, at its final cost.
        let mut queue: Vec<Vec<usize>> = vec![vec![0]];
        let mut cost = 0;
        while cost < queue.len() {
            let Some(number) = queue[cost].pop() else {
                cost += 1;
                continue;
            };
            let (state, here) = (labels[number].state, labels[number].cost);
            if best.get(&state) != Some(&here) {
                continue;
            }
            if state.0 == to {
                return Ok(Some(self.slip(&labels, number, given)));
            }
            for &wire in self.grid.wires_at(state.0) {
                let Some((next, step)) = self.step(state, wire, given) else { continue };
                let reached = here + step;
                if best.get(&next).is_some_and(|known| *known <= reached) {
                    continue;
                }
                best.insert(next, reached);
                if labels.len() >= MOST_LABELS {
                    return Err(TooMany);
                }
                if queue.len() <= reached as usize {
                    queue.resize(reached as usize + 1, Vec::new());
                }
                queue[reached as usize].push(labels.len());
                labels.push(Label { state: next, cost: reached, back: Some((number, wire)) });
            }
        }
        Ok(None)
    }

    /// The state behind a wire and what it costs to get there; none where it cannot be passed.
    fn step(&self, (place, used): State, wire: WireId, given: &Given) -> Option<(State, u32)> {
        let wire = self.grid.wire(wire);
        let other = wire.other(place);
        let Some(contact) = wire.contact else { return Some(((other, used), 0)) };
        let Some(&bit) = self.bits.get(&contact) else {
            return Some(((other, used), self.cost(contact, given)?));
        };
        let mark = 1_u128 << bit;
        if used & mark != 0 {
            return Some(((other, used), 0));
        }
        if used & self.conflicts[bit as usize] != 0 {
            return None;
        }
        let mut cost = self.cost(contact, given)?;
        for &switch in &self.forced[bit as usize] {
            if !self.is_forced(used, switch) {
                cost += self.cost(Move { switch, to: OPEN }, given)?;
            }
        }
        Some(((other, used | mark), cost))
    }

    fn is_forced(&self, used: u128, switch: u32) -> bool {
        bits_of(used).any(|bit| self.forced[bit as usize].contains(&switch))
    }

    /// What it costs to have a switch in a position: 1 where the mode has it elsewhere.
    fn cost(&self, contact: Move, given: &Given) -> Option<u32> {
        if self.mode[contact.switch as usize] == contact.to {
            return Some(0);
        }
        if given.barred.contains(&contact) {
            return None;
        }
        Some(u32::from(!given.free.contains(&contact)))
    }

    fn slip(&self, labels: &[Label], last: usize, given: &Given) -> Slip {
        let mut wires = Vec::new();
        let mut number = last;
        while let Some((before, wire)) = labels[number].back {
            wires.push(wire);
            number = before;
        }
        wires.reverse();
        let contacts = wires.iter().filter_map(|wire| self.grid.wire(*wire).contact);
        let forced = bits_of(labels[last].state.1)
            .flat_map(|bit| &self.forced[bit as usize])
            .map(|switch| Move { switch: *switch, to: OPEN });
        let mut moves: Vec<Move> = contacts
            .chain(forced)
            .filter(|contact| self.mode[contact.switch as usize] != contact.to)
            .chain(given.free.iter().copied())
            .collect();
        moves.sort_unstable();
        moves.dedup();
        Slip { moves, wires }
    }

    /// Every smallest way to join two places, up to `most` of them; empty where nothing joins them.
    ///
    /// # Errors
    /// Where too many combinations of locks had to be tried.
    pub fn slips(&self, from: PlaceId, to: PlaceId, most: usize) -> Result<Vec<Slip>, TooMany> {
        self.slips_given(from, to, most, Given::default())
    }

    /// The same with moves that cannot be made.
    ///
    /// # Errors
    /// Where too many combinations of locks had to be tried.
    pub fn slips_given(
        &self,
        from: PlaceId,
        to: PlaceId,
        most: usize,
        given: Given,
    ) -> Result<Vec<Slip>, TooMany> {
        let Some(first) = self.nearest(from, to, &given)? else { return Ok(Vec::new()) };
        let size = first.moves.len();
        let mut open = vec![(given, first)];
        let mut found: Vec<Slip> = Vec::new();
        // What is left after each find is parted by the first of its moves that is not made again:
        // no set is met twice, and none is passed over.
        while let Some((given, slip)) = open.pop() {
            let fixed = given.free.clone();
            let own: Vec<Move> = slip.moves.iter().copied().filter(|one| !fixed.contains(one)).collect();
            found.push(slip);
            if found.len() >= most {
                break;
            }
            let mut part = given;
            for one in own {
                part.barred.push(one);
                if let Some(next) = self.nearest(from, to, &part)?.filter(|next| next.moves.len() == size) {
                    open.push((part.clone(), next));
                }
                part.barred.pop();
                part.free.push(one);
            }
        }
        found.sort_by(|a, b| a.moves.cmp(&b.moves));
        Ok(found)
    }
}

fn bits_of(mut set: u128) -> impl Iterator<Item = u32> {
    std::iter::from_fn(move || {
        let bit = (set != 0).then(|| set.trailing_zeros())?;
        set &= set - 1;
        Some(bit)
    })
}
