//! A part of a grid: some of its places, the wires between them, and the locks that bear on their switches.
//! Switches keep their numbers. A house of many buildings on one service falls into parts that hang
//! together at the service only, and each is searched by itself.

use std::collections::HashMap;

use super::grid::{Grid, PlaceId, Wire, WireId};

/// Some places of a grid.
#[derive(Debug, Clone)]
pub struct Part {
    /// The small grid.
    pub grid: Grid,
    places: HashMap<PlaceId, PlaceId>,
    /// The wire of the large grid, by wire of the small one.
    wires: Vec<WireId>,
}

impl Part {
    /// These places of a grid, each named once.
    #[must_use]
    pub fn of(grid: &Grid, places: &[PlaceId]) -> Self {
        let mut wires: Vec<WireId> = places.iter().flat_map(|place| grid.wires_at(*place)).copied().collect();
        wires.sort_unstable();
        wires.dedup();
        Self::drawn(grid, places, &wires)
    }

    /// These wires of a grid, each named once, their ends and some more places.
    #[must_use]
    pub fn of_wires(grid: &Grid, wires: &[WireId], more: &[PlaceId]) -> Self {
        let ends = wires.iter().map(|wire| grid.wire(*wire)).flat_map(|wire| [wire.a, wire.b]);
        let mut places: Vec<PlaceId> = ends.chain(more.iter().copied()).collect();
        places.sort_unstable();
        places.dedup();
        Self::drawn(grid, &places, wires)
    }

    /// The wires both ends of which are among the places.
    fn drawn(grid: &Grid, places: &[PlaceId], wires: &[WireId]) -> Self {
        let numbers: HashMap<PlaceId, PlaceId> =
            places.iter().enumerate().map(|(at, place)| (*place, at as PlaceId)).collect();
        let drawn = |number: &WireId| {
            let wire = grid.wire(*number);
            Some((Wire { a: *numbers.get(&wire.a)?, b: *numbers.get(&wire.b)?, ..wire }, *number))
        };
        let (wires, of): (Vec<Wire>, Vec<WireId>) = wires.iter().filter_map(drawn).unzip();
        let switches = wires.iter().filter_map(|wire| wire.contact).map(|contact| contact.switch);
        let mut locks: Vec<u32> = switches.flat_map(|switch| grid.locks_of(switch)).copied().collect();
        locks.sort_unstable();
        locks.dedup();
        let locks = locks.into_iter().map(|lock| grid.locks()[lock as usize].clone()).collect();
        Self { grid: grid.cut_out(places.len(), wires, locks), places: numbers, wires: of }
    }

    /// The place in the part of a place of the large grid.
    #[must_use]
    pub fn place(&self, place: PlaceId) -> Option<PlaceId> {
        self.places.get(&place).copied()
    }

    /// The wire of the large grid.
    #[must_use]
    pub fn wire(&self, wire: WireId) -> WireId {
        self.wires[wire as usize]
    }
}
