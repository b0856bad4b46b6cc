//! For each mode and pair of sources: how many devices have to stand wrong for them to be joined.

use super::core::Core;
use super::grid::{Grid, Move, PlaceId, SwitchId, WireId};
use super::model::{Force, Model};
use super::modes::Mode;
use super::rule::{Rule, is_ac, rule};
use super::search::{Given, Search, Slip};
use crate::finding::Missing;
use crate::house::{House, site_id};
use crate::survey::Id;

/// Most witnesses that are told of one pair in one mode.
pub const MOST_WITNESSES: usize = 8;

/// How near two places are to being joined.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Nearness {
    /// So many devices have to stand wrong.
    Moves(usize),
    /// Too many locks stand between them to search through: it is not known.
    TooMany,
    /// Nothing that anybody moves joins them.
    Never,
}

/// How two places can be joined.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Joint {
    /// How near they are.
    pub nearness: Nearness,
    /// Every smallest set of moves, up to [`MOST_WITNESSES`].
    pub witnesses: Vec<Vec<Move>>,
    /// The wires of the first witness, from the one place to the other.
    pub path: Vec<WireId>,
}

impl Joint {
    const NEVER: Self = Self { nearness: Nearness::Never, witnesses: Vec::new(), path: Vec::new() };
}

/// Two sources in one mode.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Meeting {
    /// The mode, by its place in the list.
    pub mode: usize,
    /// One supply, by its place in the survey's list; the utility where it is one of the two.
    pub a: usize,
    /// The other supply.
    pub b: usize,
    /// Whether they must stay apart.
    pub rule: Rule,
    /// How they can be joined, with whatever is unknown taken for the worse.
    pub worst: Joint,
    /// How near they are with whatever is unknown taken for the better.
    pub best: Nearness,
    /// The facts on which it hangs; none where worst and best agree.
    pub missing: Vec<Missing>,
}

/// Searches of one grid, its core between some places.
pub struct Field<'m> {
    grid: &'m Grid,
    core: Core,
}

impl<'m> Field<'m> {
    /// The field of a grid between the places of `keep`.
    #[must_use]
    pub fn of(grid: &'m Grid, keep: &[PlaceId]) -> Self {
        Self { grid, core: Core::of(grid, keep.iter().copied()) }
    }

    /// The switches that can matter between the kept places.
    #[must_use]
    pub fn switches(&self) -> Vec<u32> {
        let contacts = self.core.grid.wires().iter().filter_map(|wire| wire.contact);
        let mut all: Vec<u32> = contacts.map(|contact| contact.switch).collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// How two kept places can be joined from a state.
    #[must_use]
    pub fn joint(&self, state: &[u8], a: PlaceId, b: PlaceId, most: usize) -> Joint {
        self.joint_given(state, a, b, most, Given::default())
    }

    /// The same with moves that cannot be made.
    #[must_use]
    pub fn joint_given(&self, state: &[u8], a: PlaceId, b: PlaceId, most: usize, given: Given) -> Joint {
        let (Some(from), Some(to)) = (self.core.place(a), self.core.place(b)) else { return Joint::NEVER };
        let too_many = Joint { nearness: Nearness::TooMany, ..Joint::NEVER };
        let Ok(search) = Search::new(&self.core.grid, state) else { return too_many };
        match search.slips_given(from, to, most, given) {
            Err(_) => too_many,
            Ok(slips) => slips.first().map_or(Joint::NEVER, |first| Joint {
                nearness: Nearness::Moves(first.moves.len()),
                path: self.path(first, a, b),
                witnesses: slips.iter().map(|slip| slip.moves.clone()).collect(),
            }),
        }
    }

    /// Whether one place hangs together with another over everything that is not `open`, locks and
    /// positions of transfer switches left aside: where it does not, nothing joins them.
    #[must_use]
    pub fn could_join(&self, from: PlaceId, open: SwitchId, to: &[PlaceId]) -> bool {
        let Some(start) = self.core.place(from) else { return false };
        let conducts = |wire: super::grid::Wire| wire.contact.is_none_or(|contact| contact.switch != open);
        let reach = self.core.grid.reach(&[start], conducts);
        to.iter().filter_map(|place| self.core.place(*place)).any(|place| reach.has(place))
    }

    /// The whole path of a slip, runs too.
    fn path(&self, slip: &Slip, a: PlaceId, b: PlaceId) -> Vec<WireId> {
        let used: Vec<WireId> = slip.wires.iter().map(|wire| self.core.wire(*wire)).collect();
        let contacts: Vec<Move> = used.iter().filter_map(|wire| self.grid.wire(*wire).contact).collect();
        let conducts =
            |wire: super::grid::Wire| wire.contact.is_none_or(|contact| contacts.contains(&contact));
        self.grid.reach(&[a], conducts).path(self.grid, b)
    }
}

/// Every pair of every mode: those that must stay apart, and every source with the utility.
#[must_use]
pub fn meetings(
    house: &House<'_>,
    model: &Model,
    worst: &Field<'_>,
    best: Option<&Field<'_>>,
    modes: &[Mode],
) -> Vec<Meeting> {
    let mut all = Vec::new();
    let pairs = pairs(house);
    for (at, mode) in modes.iter().enumerate() {
        for &(a, b) in &pairs {
            let rule = rule(house.survey, a, b, &mode.feeds);
            let with_utility = house.survey.supplies[a].kind == crate::survey::SupplyKind::Utility;
            let (Some(from), Some(to)) = (model.supply(a), model.supply(b)) else { continue };
            if rule == Rule::MayMeet && !with_utility {
                continue;
            }
            let joint = worst.joint(&mode.worst, from, to, MOST_WITNESSES);
            let agrees = best.is_none() && mode.best == mode.worst;
            let nearest = if agrees || joint.nearness == Nearness::Never {
                joint.nearness
            } else {
                best.unwrap_or(worst).joint(&mode.best, from, to, 1).nearness
            };
            let mut missing = Vec::new();
            if nearest != joint.nearness || !mode.left_out.is_empty() {
                missing = behind(model, mode, &joint);
            }
            if let Rule::Unknown(fact) = &rule {
                missing.push(fact.clone());
            }
            all.push(Meeting { mode: at, a, b, rule, worst: joint, best: nearest, missing });
        }
    }
    all
}

/// Pairs of AC supplies that are tied in, by kind: the utility first.
fn pairs(house: &House<'_>) -> Vec<(usize, usize)> {
    let supplies = house.survey.supplies.iter().enumerate();
    let mut tied: Vec<(crate::survey::SupplyKind, usize)> = supplies
        .filter(|(at, supply)| {
            is_ac(supply.kind) && !house.network.edges_at(house.network.supply(*at)).is_empty()
        })
        .map(|(at, supply)| (supply.kind, at))
        .collect();
    tied.sort_unstable();
    let with_rest = tied.iter().enumerate().flat_map(|(at, a)| tied[at + 1..].iter().map(|b| (a.1, b.1)));
    with_rest.collect()
}

/// The facts on which a joint hangs: devices and interlocks on its path, and what the mode leaves out.
#[must_use]
pub fn behind(model: &Model, mode: &Mode, joint: &Joint) -> Vec<Missing> {
    let mut switches: Vec<u32> = joint.path.iter().filter_map(|wire| model.switch_of(*wire)).collect();
    switches.extend(joint.witnesses.iter().flatten().map(|one| one.switch));
    let mut missing: Vec<Missing> =
        switches.iter().filter_map(|switch| model.doubt(*switch)).cloned().collect();
    for plate in model.plates.iter().filter(|plate| plate.switches.iter().any(|at| switches.contains(at))) {
        if let Force::Doubt(facts) = &plate.force {
            missing.extend(facts.iter().cloned());
        }
    }
    if mode.surveyed && mode.left_out.iter().any(|switch| switches.contains(switch)) {
        missing.push(of_mode(&mode.id));
    }
    if missing.is_empty() {
        missing = everything(model);
    }
    missing.sort();
    missing.dedup();
    missing
}

fn of_mode(id: &str) -> Missing {
    let item = Id::new(id).unwrap_or_else(site_id);
    Missing { item, fact: "devices", cannot_be_seen: false }
}

/// Every fact of the model that is missing.
#[must_use]
pub fn everything(model: &Model) -> Vec<Missing> {
    let devices = model.switches().filter_map(|(switch, _)| model.doubt(switch)).cloned();
    let plates = model.plates.iter().flat_map(|plate| match &plate.force {
        Force::Doubt(facts) => facts.clone(),
        _ => Vec::new(),
    });
    devices.chain(plates).collect()
}
