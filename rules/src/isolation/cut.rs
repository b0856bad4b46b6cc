//! Which switches have to be open to cut places off from every source.
//!
//! Locks and transfer switches are counted as if every position were closed at once: neither is a
//! means of isolation (29 CFR 1910.333(b)(2)(ii)). What is left is a smallest cut, found by paths
//! that share no switch, and all of its equals by parting what is left.

use super::grid::{Grid, PlaceId, SwitchId, WireId};

/// What may be opened in one search.
struct Rules<'r> {
    /// Whether a switch can be opened at all.
    usable: &'r dyn Fn(SwitchId) -> bool,
    /// Switches that are open already.
    open: &'r [SwitchId],
    /// Switches that are not to be opened.
    barred: &'r [SwitchId],
}

impl Rules<'_> {
    /// How many paths a wire can carry: none where it is open, one where it can be opened.
    fn capacity(&self, grid: &Grid, wire: WireId) -> u32 {
        let Some(contact) = grid.wire(wire).contact else { return u32::MAX };
        if self.open.contains(&contact.switch) {
            return 0;
        }
        let opens = grid.ranges()[contact.switch as usize].opens();
        let can = opens && (self.usable)(contact.switch) && !self.barred.contains(&contact.switch);
        if can { 1 } else { u32::MAX }
    }
}

/// Every smallest set of switches that, open, cuts all of `targets` off from all of `sources`, up to
/// `most` of them, each in order of number, the one nearest to the targets first; `None` where no set does. One empty set: nothing reaches
/// them. Each switch of two positions must have one wire.
#[must_use]
pub fn smallest_cuts(
    grid: &Grid,
    targets: &[PlaceId],
    sources: &[PlaceId],
    usable: &dyn Fn(SwitchId) -> bool,
    most: usize,
) -> Option<Vec<Vec<SwitchId>>> {
    let first = cut(grid, targets, sources, &Rules { usable, open: &[], barred: &[] })?;
    let size = first.len();
    let mut open: Vec<(Vec<SwitchId>, Vec<SwitchId>, Vec<SwitchId>)> = vec![(Vec::new(), Vec::new(), first)];
    let mut found = Vec::new();
    while let Some((fixed, mut barred, own)) = open.pop() {
        let mut whole = [fixed.clone(), own.clone()].concat();
        whole.sort_unstable();
        found.push(whole);
        if found.len() >= most {
            break;
        }
        let mut fixed = fixed;
        for switch in own {
            barred.push(switch);
            let rules = Rules { usable, open: &fixed, barred: &barred };
            if let Some(rest) =
                cut(grid, targets, sources, &rules).filter(|rest| rest.len() + fixed.len() == size)
            {
                open.push((fixed.clone(), barred.clone(), rest));
            }
            barred.pop();
            fixed.push(switch);
        }
    }
    found[1..].sort_unstable();
    Some(found)
}

/// One smallest set, nearest to the targets; `None` where no set does.
fn cut(grid: &Grid, targets: &[PlaceId], sources: &[PlaceId], rules: &Rules<'_>) -> Option<Vec<SwitchId>> {
    let capacity: Vec<u32> =
        (0..grid.wires().len() as WireId).map(|wire| rules.capacity(grid, wire)).collect();
    let mut is_source = vec![false; grid.places()];
    for &source in sources {
        is_source[source as usize] = true;
    }
    // Paths through each wire, counted from its end `a` to its end `b`.
    let mut flow = vec![0_i64; grid.wires().len()];
    loop {
        let Residual { back, seen, goal } = residual(grid, targets, &is_source, &capacity, &flow);
        let Some(goal) = goal else {
            let is_cut = |wire: &WireId| {
                let wire = grid.wire(*wire);
                seen[wire.a as usize] != seen[wire.b as usize]
            };
            let cut =
                (0..grid.wires().len() as WireId).filter(is_cut).filter(|wire| capacity[*wire as usize] == 1);
            let mut cut: Vec<SwitchId> =
                cut.filter_map(|wire| grid.wire(wire).contact).map(|contact| contact.switch).collect();
            cut.sort_unstable();
            return Some(cut);
        };
        let mut limited = false;
        let mut here = goal;
        while let Some(wire) = back[here as usize] {
            limited |= capacity[wire as usize] == 1;
            let ends = grid.wire(wire);
            flow[wire as usize] += if ends.b == here { 1 } else { -1 };
            here = ends.other(here);
        }
        // A path with nothing on it that opens: nothing cuts it.
        if !limited {
            return None;
        }
    }
}

struct Residual {
    back: Vec<Option<WireId>>,
    seen: Vec<bool>,
    goal: Option<PlaceId>,
}

/// Where one more path can go from the targets.
fn residual(
    grid: &Grid,
    targets: &[PlaceId],
    is_source: &[bool],
    capacity: &[u32],
    flow: &[i64],
) -> Residual {
    let mut back = vec![None; grid.places()];
    let mut seen = vec![false; grid.places()];
    let mut next = std::collections::VecDeque::new();
    for &target in targets {
        if !std::mem::replace(&mut seen[target as usize], true) {
            next.push_back(target);
        }
    }
    while let Some(place) = next.pop_front() {
        if is_source[place as usize] {
            return Residual { back, seen, goal: Some(place) };
        }
        for &wire in grid.wires_at(place) {
            let ends = grid.wire(wire);
            let other = ends.other(place);
            let along = if ends.a == place { flow[wire as usize] } else { -flow[wire as usize] };
            let room = along < i64::from(capacity[wire as usize]);
            if room && !std::mem::replace(&mut seen[other as usize], true) {
                back[other as usize] = Some(wire);
                next.push_back(other);
            }
        }
    }
    Residual { back, seen, goal: None }
}
