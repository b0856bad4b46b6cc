//! The grid between the sources, made small, and parted at the utility: what hangs on one side of the
//! service is searched without the other sides. Two sources on different sides meet only over the
//! utility's own wires; whoever joins them has joined each of them with the utility before.

use std::collections::HashMap;

use super::core::Core;
use super::grid::{Grid, Move, PlaceId, SwitchId, Wire, WireId, stands};
use super::meeting::{Joint, Nearness};
use super::part::Part;
use super::search::{Given, Search, Slip};

/// No part: the place is the utility's.
const NONE: u32 = u32::MAX;

/// The grid between some places.
#[derive(Debug, Clone)]
pub struct Field {
    core: Core,
    parts: Vec<Part>,
    /// By place of the core: its part.
    part_of: Vec<u32>,
    /// By switch: the parts in which it stands.
    parts_of: HashMap<SwitchId, Vec<u32>>,
    /// The place in the core at which it is parted.
    service: Option<PlaceId>,
}

/// The small grid in which two places are searched, with the way back.
enum Seen<'f> {
    Core(&'f Core),
    Part(&'f Core, &'f Part),
}

impl Seen<'_> {
    fn grid(&self) -> &Grid {
        match self {
            Self::Core(core) => &core.grid,
            Self::Part(_, part) => &part.grid,
        }
    }

    fn place(&self, place: PlaceId) -> Option<PlaceId> {
        match self {
            Self::Core(core) => core.place(place),
            Self::Part(core, part) => part.place(core.place(place)?),
        }
    }

    fn wire(&self, wire: WireId) -> WireId {
        match self {
            Self::Core(core) => core.wire(wire),
            Self::Part(core, part) => core.wire(part.wire(wire)),
        }
    }
}

impl Field {
    /// The field of a grid between the places of `keep`; parted where the places of `services` are one.
    #[must_use]
    pub fn of(grid: &Grid, keep: &[PlaceId], services: &[PlaceId]) -> Self {
        let core = Core::of(grid, keep.iter().chain(services).copied());
        let mut at: Vec<PlaceId> = services.iter().filter_map(|place| core.place(*place)).collect();
        at.sort_unstable();
        at.dedup();
        let service = if let [one] = at[..] { Some(one) } else { None };
        let part_of = vec![NONE; core.grid.places()];
        let mut field = Self { core, parts: Vec::new(), part_of, parts_of: HashMap::new(), service };
        field.part();
        for (number, part) in field.parts.iter().enumerate() {
            for switch in switches(&part.grid) {
                field.parts_of.entry(switch).or_default().push(number as u32);
            }
        }
        field
    }

    fn part(&mut self) {
        let grid = &self.core.grid;
        for start in 0..grid.places() as PlaceId {
            if self.part_of[start as usize] != NONE || self.service == Some(start) {
                continue;
            }
            let places = grid.near(&[start], |_| true, |place| self.service == Some(place));
            for place in places.iter().filter(|place| self.service != Some(**place)) {
                self.part_of[*place as usize] = self.parts.len() as u32;
            }
            self.parts.push(Part::of(grid, &places));
        }
    }

    /// The part in which a kept place lies; none for the utility's own, and for a place that was not kept.
    #[must_use]
    pub fn part_of(&self, place: PlaceId) -> Option<u32> {
        let place = self.core.place(place)?;
        Some(self.part_of[place as usize]).filter(|part| *part != NONE)
    }

    /// The parts in which a switch stands; none of them where it is of no matter between the kept places.
    pub fn parts_of(&self, switch: SwitchId) -> impl Iterator<Item = Option<u32>> {
        self.parts_of.get(&switch).into_iter().flatten().map(|part| Some(*part))
    }

    /// The switches that can matter between the kept places.
    #[must_use]
    pub fn switches(&self) -> Vec<SwitchId> {
        switches(&self.core.grid)
    }

    /// The switches of the parts in which these places lie.
    #[must_use]
    pub fn switches_near(&self, places: &[PlaceId]) -> Vec<SwitchId> {
        let parts = places.iter().filter_map(|place| self.part_of(*place));
        parts.flat_map(|part| switches(&self.parts[part as usize].grid)).collect()
    }

    fn seen(&self, a: PlaceId, b: PlaceId) -> Option<Seen<'_>> {
        let (a, b) = (self.core.place(a)?, self.core.place(b)?);
        let part = |place: PlaceId| self.part_of[place as usize];
        let one = match (part(a), part(b)) {
            (one, other) if one == other => one,
            (NONE, one) | (one, NONE) => one,
            _ => NONE,
        };
        let part = self.parts.get(one as usize);
        Some(part.map_or(Seen::Core(&self.core), |part| Seen::Part(&self.core, part)))
    }

    /// How two kept places can be joined from a state; `grid` is that of the field.
    #[must_use]
    pub fn joint(&self, grid: &Grid, state: &[u8], (a, b): (PlaceId, PlaceId), most: usize) -> Joint {
        self.joint_given(grid, state, (a, b), most, Given::default())
    }

    /// The same with moves that cannot be made.
    #[must_use]
    pub fn joint_given(
        &self,
        grid: &Grid,
        state: &[u8],
        (a, b): (PlaceId, PlaceId),
        most: usize,
        given: Given,
    ) -> Joint {
        let Some(seen) = self.seen(a, b) else { return Joint::NEVER };
        let (Some(from), Some(to)) = (seen.place(a), seen.place(b)) else { return Joint::NEVER };
        let too_many = Joint { nearness: Nearness::TooMany, ..Joint::NEVER };
        let Ok(search) = Search::new(seen.grid(), state) else { return too_many };
        match search.slips_given(from, to, most, given) {
            Err(_) => too_many,
            Ok(slips) => slips.first().map_or(Joint::NEVER, |first| Joint {
                nearness: Nearness::Moves(first.moves.len()),
                path: path(&seen, grid, first, (a, b)),
                witnesses: slips.iter().map(|slip| slip.moves.clone()).collect(),
            }),
        }
    }

    /// The places and the small grid in which two kept places are searched; none where one was not kept.
    #[must_use]
    pub fn between(&self, a: PlaceId, b: PlaceId) -> Option<(&Grid, PlaceId, PlaceId)> {
        let seen = self.seen(a, b)?;
        let (from, to) = (seen.place(a)?, seen.place(b)?);
        match seen {
            Seen::Core(core) => Some((&core.grid, from, to)),
            Seen::Part(_, part) => Some((&part.grid, from, to)),
        }
    }

    /// The first switch in a state on the way from one kept place to another for which `may` is true;
    /// none where they are not joined, or nothing on the way may be opened.
    #[must_use]
    pub fn first_switch(
        &self,
        (a, b): (PlaceId, PlaceId),
        state: &[u8],
        may: impl Fn(SwitchId) -> bool,
    ) -> Option<SwitchId> {
        let (grid, from, to) = self.between(a, b)?;
        let wires = grid.way(from, to, |_, wire| stands(wire, state));
        wires.iter().filter_map(|wire| grid.wire(*wire).contact).map(|one| one.switch).find(|one| may(*one))
    }
}

fn switches(grid: &Grid) -> Vec<SwitchId> {
    let contacts = grid.wires().iter().filter_map(|wire| wire.contact);
    let mut all: Vec<SwitchId> = contacts.map(|contact| contact.switch).collect();
    all.sort_unstable();
    all.dedup();
    all
}

/// The whole path of a slip, runs too.
fn path(seen: &Seen<'_>, grid: &Grid, slip: &Slip, (a, b): (PlaceId, PlaceId)) -> Vec<WireId> {
    let used = slip.wires.iter().map(|wire| seen.wire(*wire));
    let contacts: Vec<Move> = used.filter_map(|wire| grid.wire(wire).contact).collect();
    let conducts = |_, wire: Wire| wire.contact.is_none_or(|contact| contacts.contains(&contact));
    grid.way(a, b, conducts)
}
