//! What of a grid can matter between some places: wires that always conduct are drawn together, and
//! what is on no simple path between two of the places is left out: branches that lead nowhere, and
//! rings that hang on one place. So distances, witnesses and cuts are the same; a house of a thousand
//! panels shrinks to the few devices between its sources.

use super::blocks::walk;
use super::grid::{Grid, PlaceId, Wire, WireId};

/// A grid made small, with the way back to the one it came from.
#[derive(Debug, Clone)]
pub struct Core {
    /// The small grid. Switches keep their numbers.
    pub grid: Grid,
    /// The place in the small grid, by place; none where it was left out.
    places: Vec<Option<PlaceId>>,
    /// The wire of the large grid, by wire of the small one.
    wires: Vec<WireId>,
}

impl Core {
    /// The core of a grid between the places of `keep`.
    #[must_use]
    pub fn of(grid: &Grid, keep: impl IntoIterator<Item = PlaceId>) -> Self {
        let groups = groups(grid);
        let mut kept = vec![false; grid.places()];
        for place in keep {
            kept[groups[place as usize] as usize] = true;
        }
        let mut alive: Vec<WireId> = (0..grid.wires().len() as WireId)
            .filter(|wire| {
                let wire = grid.wire(*wire);
                wire.contact.is_some() && groups[wire.a as usize] != groups[wire.b as usize]
            })
            .collect();
        keep_simple_paths(grid, &groups, &kept, &mut alive);
        Self::renumbered(grid, &groups, &kept, alive)
    }

    /// The whole grid with wires that always conduct drawn together, and nothing left out.
    #[must_use]
    pub fn drawn_together(grid: &Grid) -> Self {
        let groups = groups(grid);
        let differs = |wire: &WireId| {
            let wire = grid.wire(*wire);
            groups[wire.a as usize] != groups[wire.b as usize]
        };
        let alive: Vec<WireId> = (0..grid.wires().len() as WireId).filter(differs).collect();
        Self::renumbered(grid, &groups, &vec![true; grid.places()], alive)
    }

    fn renumbered(grid: &Grid, groups: &[PlaceId], kept: &[bool], alive: Vec<WireId>) -> Self {
        let (places, count) = renumbered(grid, groups, kept, &alive);
        let place = |of: PlaceId| places[of as usize].unwrap_or(0);
        let wires = alive.iter().map(|wire| grid.wire(*wire));
        let wires = wires.map(|wire| Wire { a: place(wire.a), b: place(wire.b), ..wire }).collect();
        let small = grid.redrawn(count, wires);
        Self { grid: small, places, wires: alive }
    }

    /// The place in the core of a place that was kept.
    #[must_use]
    pub fn place(&self, place: PlaceId) -> Option<PlaceId> {
        self.places[place as usize]
    }

    /// The wire of the large grid.
    #[must_use]
    pub fn wire(&self, wire: WireId) -> WireId {
        self.wires[wire as usize]
    }
}

/// The group of each place: places joined by wires that always conduct have the same number.
fn groups(grid: &Grid) -> Vec<PlaceId> {
    let mut group: Vec<PlaceId> = (0..grid.places() as PlaceId).collect();
    for wire in grid.wires().iter().filter(|wire| wire.contact.is_none()) {
        let (a, b) = (root(&mut group, wire.a), root(&mut group, wire.b));
        group[a.max(b) as usize] = a.min(b);
    }
    for place in 0..group.len() as PlaceId {
        group[place as usize] = root(&mut group, place);
    }
    group
}

fn root(group: &mut [PlaceId], mut place: PlaceId) -> PlaceId {
    while group[place as usize] != place {
        group[place as usize] = group[group[place as usize] as usize];
        place = group[place as usize];
    }
    place
}

/// Leaves the wires that lie on a simple path between two kept places: those that, with all kept
/// places joined at one more place, are in a ring through that place (a biconnected component of it).
fn keep_simple_paths(grid: &Grid, groups: &[PlaceId], kept: &[bool], alive: &mut Vec<WireId>) {
    let root = grid.places();
    let mut edges: Vec<(usize, usize)> = alive
        .iter()
        .map(|wire| grid.wire(*wire))
        .map(|wire| (groups[wire.a as usize] as usize, groups[wire.b as usize] as usize))
        .collect();
    edges.extend((0..root).filter(|place| kept[*place]).map(|place| (root, place)));
    let walked = walk(root, &edges);
    let mut number = 0;
    alive.retain(|_| {
        number += 1;
        walked.is_at_root(number - 1, root)
    });
}

/// New numbers for the groups that are kept or still have wires.
fn renumbered(
    grid: &Grid,
    groups: &[PlaceId],
    kept: &[bool],
    alive: &[WireId],
) -> (Vec<Option<PlaceId>>, usize) {
    let mut used = kept.to_vec();
    for &wire in alive {
        let wire = grid.wire(wire);
        used[groups[wire.a as usize] as usize] = true;
        used[groups[wire.b as usize] as usize] = true;
    }
    let mut number = vec![None; used.len()];
    let mut count = 0;
    for (group, used) in used.iter().enumerate() {
        if *used {
            number[group] = Some(count);
            count += 1;
        }
    }
    (groups.iter().map(|group| number[*group as usize]).collect(), count as usize)
}
