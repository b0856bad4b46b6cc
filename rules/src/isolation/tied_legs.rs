//! One 120 V source on both legs: shared neutrals carry the sum of both, and between the legs there
//! is nothing.
//!
//! NFPA 70-2023 710.15(C), 210.4.

use crate::calc::load_current::Across;
use crate::calc::neutral::of_one_source;
use crate::finding::{Facts, Missing, Said, Worked, reckoned};
use crate::house::{House, Item, Protection};
use crate::say;
use crate::si::Current;
use crate::survey::{Circuit, DeviceKind, Output, Run, Supply};

/// A neutral that serves two hots, which a supply ties or may tie.
#[derive(Debug, Clone, PartialEq)]
pub struct SharedNeutral {
    /// The run whose neutral it is.
    pub run: usize,
    /// Other runs that use it; none where the run has two hots of its own.
    pub with: Vec<usize>,
    /// The supply.
    pub supply: usize,
    /// The most that its devices let it carry: the sum of both legs, not above the supply's own device.
    pub current: Worked<Current>,
}

/// A load between two legs that a supply ties.
#[derive(Debug, Clone, PartialEq)]
pub struct DeadLoad {
    /// The load.
    pub load: usize,
    /// The supply.
    pub supply: usize,
    /// The facts on which it hangs; none where it gets nothing for certain.
    pub missing: Vec<Missing>,
    /// That in words.
    pub told: Said,
}

fn may_tie(supply: &Supply) -> bool {
    supply.output.get().is_none_or(|output| output == Output::Both120)
}

/// Every shared neutral on which a supply ties both legs, or may.
#[must_use]
pub fn shared_neutrals(house: &House<'_>) -> Vec<SharedNeutral> {
    if !house.survey.supplies.iter().any(may_tie) {
        return Vec::new();
    }
    let mut users: Vec<Vec<usize>> = vec![Vec::new(); house.survey.runs.len()];
    for (number, run) in house.runs() {
        if let Some(of) = run.neutral_of.as_ref().and_then(|id| house.run_number(id)) {
            users[of].push(number);
        }
    }
    let mut all = Vec::new();
    for (number, run) in house.runs() {
        let Some(shares) = shares(run, &users[number]) else { continue };
        let end = house.network.run_end(number);
        for (at, _) in house.feeds.paths_to(&house.network, end) {
            let supply = &house.survey.supplies[at];
            if may_tie(supply) {
                let current = sum(house, number, &shares, supply);
                all.push(SharedNeutral { run: number, with: users[number].clone(), supply: at, current });
            }
        }
    }
    all
}

/// Loads of 240 V on supplies of one's own that tie both legs, or may: they get 0 V.
#[must_use]
pub fn dead_loads(house: &House<'_>) -> Vec<DeadLoad> {
    let tied = house.islands().iter().filter(|island| may_tie(&house.survey.supplies[island.supply]));
    tied.flat_map(|island| {
        let loads = island.loads.iter().filter(|load| load.across != Some(Across::Leg));
        loads.map(|load| dead_load(house, island.supply, load.load, load.across))
    })
    .collect()
}

fn dead_load(house: &House<'_>, supply: usize, load: usize, across: Option<Across>) -> DeadLoad {
    let item = &house.survey.supplies[supply];
    let mut facts = Facts::new();
    facts.need(&item.output, &item.id, "output");
    if across.is_none() {
        let load = &house.survey.loads[load];
        facts.need(&load.voltage, &load.id, "voltage");
    }
    let missing = facts.done(Some(())).missing;
    let (name, supplied) = (&house.survey.loads[load].name, &item.name);
    let told = if missing.is_empty() && across.is_some() {
        say!("{} stands between two legs that {} ties: it gets 0 V.", name, supplied)
    } else {
        say!(
            "Whether {} gets any voltage from {} is not known: between tied legs it gets 0 V.",
            name,
            supplied
        )
    };
    DeadLoad { load, supply, missing, told }
}

/// How a run's neutral serves two hots.
enum Shares {
    /// Two hots of its own.
    OwnHots,
    /// Its neutral is also that of these runs.
    WithRuns(Vec<usize>),
    /// Its circuit is unknown, so it may.
    Unknown,
}

/// `None` where the neutral surely serves one hot, or is another run's. `others`: the runs that use it.
fn shares(run: &Run, others: &[usize]) -> Option<Shares> {
    if run.neutral_of.is_some() {
        return None;
    }
    match run.circuit.get() {
        _ if !others.is_empty() => Some(Shares::WithRuns(others.to_vec())),
        Some(Circuit::TwoHotsNeutral) => Some(Shares::OwnHots),
        Some(Circuit::HotNeutral | Circuit::TwoHots | Circuit::DcPair) => None,
        None => Some(Shares::Unknown),
    }
}

/// The sum of what the devices of both legs let through, not above what the supply's own does.
fn sum(house: &House<'_>, number: usize, shares: &Shares, supply: &Supply) -> Worked<Current> {
    let mut facts = Facts::new();
    let run = &house.survey.runs[number];
    facts.need(&supply.output, &supply.id, "output");
    facts.need(&run.circuit, &run.id, "circuit");
    let legs = match shares {
        Shares::OwnHots => of_own_hots(house, number, &mut facts),
        Shares::WithRuns(others) => of_runs(house, number, others, &mut facts),
        Shares::Unknown => None,
    };
    // While it is unknown whether the supply ties the legs, nothing is certain.
    let legs = legs.filter(|_| supply.output.known().is_some());
    let value = legs.map(|(a, b)| {
        let sum = of_one_source(a, b);
        facts.step(reckoned("I_N", "current of the neutral, legs in phase", say!("{} + {}", a, b), sum));
        held_by_supply(supply, sum, &mut facts)
    });
    facts.done(value)
}

/// The two devices of a run with two hots: one on each way, or one of two poles.
fn of_own_hots(house: &House<'_>, number: usize, facts: &mut Facts) -> Option<(Current, Current)> {
    let run = &house.survey.runs[number];
    if let Some(second) = &run.also_from {
        let first = way_rating(house, &run.from, facts);
        let second = way_rating(house, second, facts);
        return first.zip(second);
    }
    let rating = rating(house, number, facts)?;
    Some((rating, rating))
}

fn way_rating(house: &House<'_>, id: &crate::survey::Id, facts: &mut Facts) -> Option<Current> {
    let Some(Item::Way(panel, way)) = house.index.get(id) else { return None };
    let way = &house.survey.panels[panel].ways[way];
    let rating = facts.need(&way.device.rating, &way.id, "device.rating")?.quantity();
    facts.seen("I_n", "device of one leg", rating, &way.id, "device.rating");
    Some(rating)
}

fn rating(house: &House<'_>, number: usize, facts: &mut Facts) -> Option<Current> {
    let guard = match house.protection(number) {
        Protection::Ahead(guard) => guard,
        Protection::AtEnd(guards) => *guards.first()?,
        Protection::None => return None,
    };
    let rating = facts.need(&guard.device.rating, guard.at, guard.rating_fact())?.quantity();
    facts.seen("I_n", "device of each leg", rating, guard.at, guard.rating_fact());
    Some(rating)
}

/// The devices of runs that share one neutral: the first against all the others.
fn of_runs(
    house: &House<'_>,
    number: usize,
    others: &[usize],
    facts: &mut Facts,
) -> Option<(Current, Current)> {
    let own = rating(house, number, facts);
    let others: Vec<Option<Current>> = others.iter().map(|other| rating(house, *other, facts)).collect();
    let sum = others.into_iter().try_fold(Current::default(), |sum, rating| Some(sum + rating?));
    own.zip(sum)
}

fn held_by_supply(supply: &Supply, sum: Current, facts: &mut Facts) -> Current {
    let device = &supply.output_device;
    let protects = device.kind.get().is_some_and(DeviceKind::protects);
    let rating = device.rating.known().map(|rating| rating.quantity());
    match rating.filter(|rating| protects && *rating < sum) {
        Some(rating) => {
            facts.seen(
                "I_N",
                "not above the supply's own device",
                rating,
                &supply.id,
                "output_device.rating",
            );
            rating
        }
        None => sum,
    }
}
