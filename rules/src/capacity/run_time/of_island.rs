//! Battery, sun and loads of an island, read from the survey.

use super::bounds::{Bounds, bounds};
use super::day::day_of;
use super::energy::Store;
use super::simulate::{Charge, Percentiles, Simulation, through_a_day};
use crate::capacity::carry::{Bank, Island, bank_of, losses_of};
use crate::finding::{Arg, Facts, Missing, Said, Worked, fixed, from_table};
use crate::house::House;
use crate::say;
use crate::si::{Power, ampere, hour, ratio, volt, watt};
use crate::survey::{Supply, SupplyKind};
use crate::tables::us::{PracticeId, charge_efficiency, cold_factor, peukert_exponent, practice};

/// The battery of a supply as a store of energy.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stores {
    /// With the least losses that the inverter can have.
    pub longest: Store,
    /// With the most; the same where its best efficiency is known.
    pub careful: Store,
}

impl Stores {
    /// What to go by: the careful one, unless facts are missing and only the best case can be told.
    #[must_use]
    pub fn shown(&self, complete: bool) -> &Store {
        if complete { &self.careful } else { &self.longest }
    }
}

/// The battery of a supply as a store of energy. Missing facts stand at the best case: no loss, all of
/// its charge. Nothing limits its charging yet: see [`charged_by_sun`].
#[must_use]
pub fn store_of(supply: &Supply) -> Worked<Stores> {
    let mut facts = Facts::new();
    let bank = facts.take(bank_of(supply)).map(|bank| in_service(supply, bank, &mut facts));
    let losses = facts.take(losses_of(supply));
    let (Some(bank), Some(losses), Some(battery)) = (bank, losses, &supply.battery) else {
        return facts.done(None);
    };
    let id = &supply.id;
    let lowest = facts.need(&battery.lowest_charge, id, "battery.lowest_charge");
    let highest = facts.need(&battery.highest_charge, id, "battery.highest_charge");
    let voltage = facts.need(&battery.lowest_voltage, id, "battery.lowest_voltage");
    let lowest = lowest.map_or(0.0, |share| share.quantity().get::<ratio>().min(1.0));
    let highest = highest.map_or(1.0, |share| share.quantity().get::<ratio>().min(1.0)).max(lowest);
    let longest = Store {
        bank,
        losses: losses.least,
        lowest,
        highest,
        lowest_voltage: voltage.map_or(0.0, |voltage| voltage.quantity().get::<volt>()),
        charge_efficiency: charge_efficiency(bank.chemistry).value,
        charge_current: f64::INFINITY,
    };
    facts.done(Some(Stores { longest, careful: Store { losses: losses.most, ..longest } }))
}

/// A lead-acid battery gives less by a large current and in the cold. Missing facts stand at the best case.
fn in_service(supply: &Supply, bank: Bank, facts: &mut Facts) -> Bank {
    let Some(battery) = supply.battery.as_ref().filter(|_| bank.chemistry.is_lead_acid()) else {
        return bank;
    };
    let id = &supply.id;
    let hours = facts.need(&battery.capacity_hours, id, "battery.capacity_hours");
    let coldest = facts.need(&battery.coldest, id, "battery.coldest").map(|coldest| coldest.quantity());
    let mut bank = bank;
    if let Some(hours) = hours.map(|hours| hours.quantity()) {
        let exponent = peukert_exponent(bank.chemistry);
        let shown = Arg::Quantity(hours.get::<hour>(), 0, "h");
        facts.seen("H", "hours for which its capacity is stated", shown, id, "battery.capacity_hours");
        facts.step(from_table(
            "k",
            "exponent by which it falls with the current",
            exponent.value,
            exponent.place,
        ));
        bank = bank.stated_for(hours, exponent.value);
    }
    match coldest.map(|coldest| (coldest, cold_factor(coldest))) {
        Some((coldest, Some(factor))) => {
            facts.seen("θ", "the coldest that it gets", coldest, id, "battery.coldest");
            facts.step(from_table("k_θ", "how much larger it must be for that", factor.value, factor.place));
            bank = bank.in_the_cold(factor.value);
        }
        // Colder than the table goes.
        Some((_, None)) => {
            let _: Option<()> = facts.miss(id, "battery.coldest", false);
        }
        None => {}
    }
    bank
}

/// The same store with the current with which the sun may charge it.
pub(crate) fn charged_by_sun(supply: &Supply, store: Store, facts: &mut Facts) -> Store {
    let battery = supply.battery.as_ref();
    let limit =
        battery.and_then(|battery| facts.need(&battery.charge_current, &supply.id, "battery.charge_current"));
    let charge_current = limit.map_or(f64::INFINITY, |limit| limit.quantity().get::<ampere>());
    Store { charge_current, ..store }
}

/// The sun on the array of a supply.
#[derive(Debug, Clone, PartialEq)]
pub struct Sun {
    /// What an average day of each month brings to the battery [Wh], January first.
    pub months: Vec<f64>,
    /// The most that it brings at once [W].
    pub most: f64,
}

impl Sun {
    /// The month with least sun and what a day of it brings [Wh]; months count from 0.
    #[must_use]
    pub fn darkest(&self) -> Option<(usize, f64)> {
        let months = self.months.iter().copied().enumerate();
        months.min_by(|a, b| a.1.total_cmp(&b.1))
    }
}

/// What the array of a supply brings at once in full sun [W]; `None` where none is known.
pub(super) fn full_sun(supply: &Supply) -> Option<f64> {
    let array = supply.array_power.known()?.quantity();
    Some(array.get::<watt>() * practice(PracticeId::SolarYield).value)
}

/// The sun on a supply's own array. The inner `None`: nothing speaks of an array.
#[must_use]
pub fn sun_of(supply: &Supply) -> Worked<Option<Sun>> {
    let mut facts = Facts::new();
    if supply.array_power.known().is_none() && supply.sun_hours.is_empty() {
        return facts.done(Some(None));
    }
    let array = facts.need(&supply.array_power, &supply.id, "array_power").map(|power| power.quantity());
    if supply.sun_hours.is_empty() {
        let _: Option<()> = facts.miss(&supply.id, "sun_hours", false);
    }
    let Some(array) = array.filter(|_| facts.complete()) else { return facts.done(None) };
    let share = practice(PracticeId::SolarYield);
    facts.seen("P_pv", "peak power of the array", array, &supply.id, "array_power");
    facts.step(from_table("k_pv", "share of it that arrives in full sun", share.value, share.place));
    let arrives = array.get::<watt>() * share.value;
    let hours = supply.sun_hours.iter().map(|sun| sun.quantity().get::<hour>());
    let months = hours.map(|hours| arrives * hours).collect();
    facts.done(Some(Some(Sun { months, most: arrives })))
}

/// How long a supply's battery carries its loads.
#[derive(Debug, Clone, PartialEq)]
pub struct RunTime {
    /// In closed form, without sun.
    pub bounds: Bounds,
    /// Simulated, without sun; none while facts are missing: a simulation of the best case would
    /// only mislead.
    pub without_sun: Option<Percentiles>,
    /// Simulated with the sun of the darkest month, where there is an array.
    pub with_sun: Option<Percentiles>,
    /// State of charge in the first day of an outage that begins in the evening, with the sun of the
    /// darkest month where that is known; empty while facts of battery or loads are missing.
    pub charge: Vec<Charge>,
    /// Facts that are missing; while there are any, the bounds are the longest that they can be.
    pub missing: Vec<Missing>,
    /// Facts of the sun that are missing besides; while there are any, nothing is told with sun.
    pub missing_sun: Vec<Missing>,
}

/// How long a battery lasts in one kind of day, as far as it can be told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Lasts {
    /// So many hours.
    Hours(f64),
    /// Facts are missing: no longer than this [h].
    AtMost(f64),
    /// Nothing draws on it, and every fact is known.
    NoEnd,
    /// Facts are missing, and nothing that is known draws on it.
    CannotTell,
}

impl Lasts {
    fn of(hours: Option<f64>, complete: bool) -> Self {
        match hours {
            Some(hours) if complete => Self::Hours(hours),
            Some(hours) => Self::AtMost(hours),
            None if complete => Self::NoEnd,
            None => Self::CannotTell,
        }
    }

    /// In words.
    #[must_use]
    pub fn words(self) -> Said {
        match self {
            Self::Hours(hours) => say!("{} h", fixed(hours, 1)),
            Self::AtMost(hours) => say!("at most {} h", fixed(hours, 1)),
            Self::NoEnd => say!("no end"),
            Self::CannotTell => say!("cannot be told"),
        }
    }

    /// The hours that are known, or the bound on them.
    #[must_use]
    pub fn hours(self) -> Option<f64> {
        match self {
            Self::Hours(hours) | Self::AtMost(hours) => Some(hours),
            Self::NoEnd | Self::CannotTell => None,
        }
    }
}

impl RunTime {
    /// How long the battery lasts with everything on, on the hardest day, on a usual and on a mild one. An
    /// unknown load, hour or share never makes it longer than can be told.
    #[must_use]
    pub fn lasts(&self) -> [Lasts; 4] {
        let Bounds { all_on, hardest, usual, mild } = self.bounds;
        [all_on, hardest, usual, mild].map(|hours| Lasts::of(hours, self.missing.is_empty()))
    }
}

/// How long the battery of an island carries its loads, from this many simulated outages. `None` for
/// a supply without battery, and while nothing can be said of the battery.
#[must_use]
pub fn run_time(house: &House<'_>, island: &Island, days: u32, seed: u64) -> Option<RunTime> {
    let supply = &house.survey.supplies[island.supply];
    if supply.kind != SupplyKind::Inverter {
        return None;
    }
    let mut facts = Facts::new();
    let stores = facts.take(store_of(supply))?;
    let day = facts.take(day_of(house, island))?;
    let complete = facts.complete();
    let store = *stores.shown(complete);
    let of = |store: &Store, sun| Simulation::new(store, &day, sun, days, seed);
    let mut sunny_facts = Facts::new();
    let sun = sunny_facts.take(sun_of(supply)).flatten();
    let sunny = if sun.is_some() { charged_by_sun(supply, store, &mut sunny_facts) } else { store };
    let darkest = sun.as_ref().and_then(|sun| Some((sun.darkest()?.1, sun.most)));
    let known_sun = darkest.filter(|_| sunny_facts.complete());
    let dark = || of(&store, (0.0, 0.0));
    let shown = || match known_sun.map(|sun| of(&sunny, sun)) {
        Some(lit) => (lit.run_times(), through_a_day(&lit)),
        None => (None, through_a_day(&dark())),
    };
    let (without_sun, (with_sun, charge)) =
        if complete { at_once(|| dark().run_times(), shown) } else { Default::default() };
    let missing = facts.done(Some(())).missing;
    let missing_sun = sunny_facts.done(Some(())).missing;
    Some(RunTime { bounds: bounds(&store, &day), without_sun, with_sun, charge, missing, missing_sun })
}

/// Two answers that do not wait for each other.
fn at_once<A: Send, B>(first: impl FnOnce() -> A + Send, second: impl FnOnce() -> B) -> (A, B) {
    std::thread::scope(|scope| {
        let first = scope.spawn(first);
        let second = second();
        (first.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)), second)
    })
}

/// The energy that a usual day takes out of the battery [Wh], the inverter's own draw included.
#[must_use]
pub(crate) fn usual_day(store: &Store, mean: Power) -> f64 {
    store.losses.input(mean).get::<watt>() * super::day::DAY
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_unknown_hour_gives_no_endless_battery() {
        let told = |hours, complete| Lasts::of(hours, complete).words().to_string();
        assert_eq!(told(Some(7.25), true), "7.3 h");
        assert_eq!(told(Some(7.25), false), "at most 7.3 h");
        assert_eq!(told(None, true), "no end");
        assert_eq!(told(None, false), "cannot be told");
    }
}
