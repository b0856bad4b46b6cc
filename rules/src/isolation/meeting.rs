//! For each mode and pair of sources: how many devices have to stand wrong for them to be joined.

use std::collections::{BTreeMap, HashMap};

use super::field::Field;
use super::grid::{Move, PlaceId, SwitchId, WireId};
use super::model::{Force, Model};
use super::modes::Mode;
use super::rule::{Rule, is_ac, rule};
use crate::finding::Missing;
use crate::house::{House, site_id};
use crate::survey::{Id, SupplyKind};

/// Most witnesses that are told of one pair in one mode.
pub const MOST_WITNESSES: usize = 8;

/// Most combinations of a mode and two sources up to which all of them are searched.
const MOST_MEETINGS: usize = 4096;

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
    /// Nothing joins them.
    pub const NEVER: Self = Self { nearness: Nearness::Never, witnesses: Vec::new(), path: Vec::new() };
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

/// The model's grids between its sources.
#[derive(Debug, Clone)]
pub struct Fields {
    /// Of the worst grid.
    pub worst: Field,
    /// Of the best grid; none where nothing is unknown.
    pub best: Option<Field>,
}

impl Fields {
    /// The fields of a model between its sources.
    #[must_use]
    pub fn of(house: &House<'_>, model: &Model) -> Self {
        let sources: Vec<PlaceId> = model.sources.iter().map(|source| source.place).collect();
        let services = services(house, model);
        let worst = Field::of(&model.worst, &sources, &services);
        let best = (!model.is_certain()).then(|| Field::of(&model.best, &sources, &services));
        Self { worst, best }
    }

    /// The field of the best grid.
    #[must_use]
    pub fn best(&self) -> &Field {
        self.best.as_ref().unwrap_or(&self.worst)
    }

    /// How near two sources come at worst and at best.
    fn joints(&self, model: &Model, mode: &Mode, ends: (PlaceId, PlaceId)) -> (Joint, Nearness) {
        let joint = self.worst.joint(&model.worst, &mode.worst, ends, MOST_WITNESSES);
        let agrees = self.best.is_none() && mode.best == mode.worst;
        let nearest = if agrees || joint.nearness == Nearness::Never {
            joint.nearness
        } else {
            self.best().joint(&model.best, &mode.best, ends, 1).nearness
        };
        (joint, nearest)
    }
}

/// The places at which utilities come in.
#[must_use]
pub fn services(house: &House<'_>, model: &Model) -> Vec<PlaceId> {
    let utilities = house.survey.supplies.iter().enumerate();
    utilities
        .filter(|(_, supply)| supply.kind == SupplyKind::Utility)
        .filter_map(|(at, _)| model.supply(at))
        .collect()
}

/// Every pair of every mode: those that must stay apart, and every source with the utility. In a survey
/// of very many sources, pairs on different sides of the service are left out: whoever joins them has
/// joined each with the utility before, and that is told. So are modes in which something on a third
/// side feeds.
#[must_use]
pub fn meetings(
    house: &House<'_>,
    model: &Model,
    fields: &Fields,
    modes: &[Mode],
    concerned: &Concerned,
) -> Vec<Meeting> {
    let tied = tied(house);
    let mut all = Vec::new();
    for (a, b) in pairs(house, model, fields, &tied, concerned.is_small) {
        for mode in concerned.modes(model, fields, &[a, b]) {
            all.extend(meeting(house, model, fields, (mode, &modes[mode]), (a, b)));
        }
    }
    // By mode, then as the sources stand in the survey.
    all.sort_by_key(|meeting| meeting.mode);
    all
}

fn meeting(
    house: &House<'_>,
    model: &Model,
    fields: &Fields,
    (number, mode): (usize, &Mode),
    (a, b): (usize, usize),
) -> Option<Meeting> {
    let rule = rule(house.survey, a, b, &mode.feeds);
    let with_utility = house.survey.supplies[a].kind == SupplyKind::Utility;
    let ends = (model.supply(a)?, model.supply(b)?);
    if rule == Rule::MayMeet && !with_utility {
        return None;
    }
    let (worst, best) = fields.joints(model, mode, ends);
    let mut missing = Vec::new();
    if best != worst.nearness || !mode.left_out.is_empty() {
        missing = behind(model, mode, &worst, &fields.best().switches_near(&[ends.0, ends.1]));
    }
    if let Rule::Unknown(fact) = &rule {
        missing.push(fact.clone());
    }
    Some(Meeting { mode: number, a, b, rule, worst, best, missing })
}

/// Which modes concern which sources: in a survey of few sources every mode; else those in which
/// something on their side of the service feeds, or the utility, or nothing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Concerned {
    is_small: bool,
    count: usize,
    everywhere: Vec<usize>,
    of: HashMap<u32, Vec<usize>>,
}

impl Concerned {
    /// Sorts the modes.
    #[must_use]
    pub fn of(house: &House<'_>, model: &Model, fields: &Fields, modes: &[Mode]) -> Self {
        let tied = tied(house).len();
        let is_small = tied * tied * modes.len() <= MOST_MEETINGS;
        let mut sorted = Self { is_small, count: modes.len(), everywhere: Vec::new(), of: HashMap::new() };
        for (number, mode) in modes.iter().enumerate() {
            let is_utility = |supply: &usize| house.survey.supplies[*supply].kind == SupplyKind::Utility;
            let parts: Vec<Option<u32>> =
                mode.feeds.iter().map(|supply| fields.worst.part_of(model.supply(*supply)?)).collect();
            if mode.surveyed || mode.feeds.iter().all(is_utility) || parts.contains(&None) {
                sorted.everywhere.push(number);
                continue;
            }
            for part in parts.into_iter().flatten() {
                sorted.of.entry(part).or_default().push(number);
            }
        }
        sorted
    }

    /// The modes that concern any of these supplies, in order.
    #[must_use]
    pub fn modes(&self, model: &Model, fields: &Fields, supplies: &[usize]) -> Vec<usize> {
        if self.is_small {
            return (0..self.count).collect();
        }
        let parts = supplies.iter().filter_map(|supply| fields.worst.part_of(model.supply(*supply)?));
        let own = parts.filter_map(|part| self.of.get(&part)).flatten();
        let mut modes: Vec<usize> = self.everywhere.iter().chain(own).copied().collect();
        modes.sort_unstable();
        modes.dedup();
        modes
    }
}

/// AC supplies that are tied in, by kind: the utility first.
fn tied(house: &House<'_>) -> Vec<usize> {
    let supplies = house.survey.supplies.iter().enumerate();
    let is_tied = |at: usize| !house.network.edges_at(house.network.supply(at)).is_empty();
    let mut tied: Vec<(SupplyKind, usize)> = supplies
        .filter(|(at, supply)| is_ac(supply.kind) && is_tied(*at))
        .map(|(at, supply)| (supply.kind, at))
        .collect();
    tied.sort_unstable();
    tied.into_iter().map(|(_, at)| at).collect()
}

fn pairs(
    house: &House<'_>,
    model: &Model,
    fields: &Fields,
    tied: &[usize],
    is_small: bool,
) -> Vec<(usize, usize)> {
    let with_rest = |sources: &[usize]| {
        let each = sources.iter().enumerate();
        each.flat_map(|(at, a)| sources[at + 1..].iter().map(|b| (*a, *b))).collect::<Vec<_>>()
    };
    if is_small {
        return with_rest(tied);
    }
    let is_utility = |at: &usize| house.survey.supplies[*at].kind == SupplyKind::Utility;
    let (utilities, others): (Vec<usize>, Vec<usize>) = tied.iter().copied().partition(is_utility);
    let mut by_part: BTreeMap<Option<u32>, Vec<usize>> = BTreeMap::new();
    for &at in &others {
        let part = model.supply(at).and_then(|place| fields.worst.part_of(place));
        by_part.entry(part).or_default().push(at);
    }
    let mut pairs = with_rest(&utilities);
    pairs.extend(utilities.iter().flat_map(|a| others.iter().map(|b| (*a, *b))));
    pairs.extend(by_part.values().flat_map(|sources| with_rest(sources)));
    pairs
}

/// The facts on which a joint hangs: devices and interlocks on its path, and what the mode leaves out;
/// where that is nothing, all that is missing `near` it.
#[must_use]
pub fn behind(model: &Model, mode: &Mode, joint: &Joint, near: &[SwitchId]) -> Vec<Missing> {
    let mut switches: Vec<SwitchId> = joint.path.iter().filter_map(|wire| model.switch_of(*wire)).collect();
    switches.extend(joint.witnesses.iter().flatten().map(|one| one.switch));
    let mut missing = doubts(model, &switches);
    if mode.surveyed && mode.left_out.iter().any(|switch| switches.contains(switch)) {
        missing.push(of_mode(&mode.id));
    }
    if missing.is_empty() {
        missing = doubts(model, near);
    }
    missing.sort();
    missing.dedup();
    missing
}

fn of_mode(id: &str) -> Missing {
    let item = Id::new(id).unwrap_or_else(site_id);
    Missing { item, fact: "devices", cannot_be_seen: false }
}

/// Every fact that is missing about some switches: their devices and their interlocks.
#[must_use]
pub fn doubts(model: &Model, switches: &[SwitchId]) -> Vec<Missing> {
    let devices = switches.iter().filter_map(|switch| model.doubt(*switch)).cloned();
    let plates =
        switches.iter().flat_map(|switch| model.plates_of(*switch)).flat_map(|plate| match &plate.force {
            Force::Doubt(facts) => facts.as_slice(),
            _ => &[],
        });
    devices.chain(plates.cloned()).collect()
}
