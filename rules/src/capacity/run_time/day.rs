//! What the loads of an island do in a day.

use crate::capacity::carry::{Carried, Island};
use crate::finding::{Facts, Worked};
use crate::house::House;
use crate::si::{Power, hour, ratio};
use crate::survey::Fact;
use crate::survey::quantity::EnteredPercent;

/// A load that cycles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cycling {
    /// What it draws while it runs.
    pub power: Power,
    /// Hours of a day in which it is in use.
    pub hours: f64,
    /// Share of those hours in which it runs: mild, usual, hardest day.
    pub shares: [f64; 3],
}

/// The loads of a day.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Day {
    /// The loads.
    pub loads: Vec<Cycling>,
}

/// Hours of a day.
pub(crate) const DAY: f64 = 24.0;

impl Day {
    /// Everything at once.
    #[must_use]
    pub fn all_on(&self) -> Power {
        self.loads.iter().map(|load| load.power).sum()
    }

    /// The mean with the load on that stands out most from it: what the battery must hold again and again.
    #[must_use]
    pub fn peak(&self, kind: usize) -> Power {
        let beyond = |load: &Cycling| {
            let share = load.shares[kind.min(2)] * load.hours / DAY;
            if share > 0.0 { load.power * (1.0 - share) } else { Power::default() }
        };
        let most = |a: Power, b: Power| if b > a { b } else { a };
        self.mean(kind) + self.loads.iter().map(beyond).fold(Power::default(), most)
    }

    /// The mean power over a day: 0 mild, 1 usual, 2 hardest.
    #[must_use]
    pub fn mean(&self, kind: usize) -> Power {
        let share = |load: &Cycling| load.shares[kind.min(2)] * load.hours / DAY;
        self.loads.iter().map(|load| load.power * share(load)).sum()
    }
}

/// The loads of an island through a day. Missing facts stand at the best case: no power, no hours, no
/// share; the day is then the lightest that it can be.
#[must_use]
pub fn day_of(house: &House<'_>, island: &Island) -> Worked<Day> {
    let mut facts = Facts::new();
    let one_hot = island.one_hot();
    let pair = |carried: &Carried| carried.across == Some(crate::calc::load_current::Across::Pair);
    let served = island.loads.iter().filter(|carried| !(one_hot && pair(carried)));
    let loads = served.map(|carried| cycling(house, carried, &mut facts)).collect();
    facts.done(Some(Day { loads }))
}

fn cycling(house: &House<'_>, carried: &Carried, facts: &mut Facts) -> Cycling {
    let load = &house.survey.loads[carried.load];
    for missing in carried.missing.iter().chain(&carried.missing_power) {
        let _: Option<()> = facts.miss(&missing.item, missing.fact, missing.cannot_be_seen);
    }
    let hours = facts.need(&load.hours_of_use, &load.id, "hours_of_use");
    let hours = hours.map_or(0.0, |hours| hours.quantity().get::<hour>().min(DAY));
    let mut share = |fact: &Fact<EnteredPercent>, name: &'static str| {
        let known = facts.need(fact, &load.id, name);
        known.map_or(0.0, |share| share.quantity().get::<ratio>().min(1.0))
    };
    let mut shares = [
        share(&load.runs_low, "runs_low"),
        share(&load.runs_likely, "runs_likely"),
        share(&load.runs_high, "runs_high"),
    ];
    // Entered in another order they still mean low, likely, high.
    shares.sort_by(f64::total_cmp);
    Cycling { power: carried.power, hours, shares }
}
