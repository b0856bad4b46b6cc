//! Battery, sun and loads of an island, read from the survey.

use super::bounds::{Bounds, bounds};
use super::day::day_of;
use super::energy::Store;
use super::simulate::{Percentiles, simulated};
use crate::capacity::carry::{Island, bank_of, losses_of};
use crate::finding::{Facts, Missing, Worked, from_table};
use crate::house::House;
use crate::si::{Power, hour, ratio, volt, watt};
use crate::survey::{Supply, SupplyKind};
use crate::tables::us::{PracticeId, practice};

/// The battery of a supply as a store of energy. Missing facts stand at the best case: no loss, all of
/// its charge.
#[must_use]
pub fn store_of(supply: &Supply) -> Worked<Store> {
    let mut facts = Facts::new();
    let bank = facts.take(bank_of(supply));
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
    let efficiency = practice(PracticeId::ChargeEfficiency);
    facts.done(Some(Store {
        bank,
        losses,
        lowest,
        highest,
        lowest_voltage: voltage.map_or(0.0, |voltage| voltage.quantity().get::<volt>()),
        charge_efficiency: efficiency.value,
    }))
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
    /// Facts that are missing; while there are any, the bounds are the longest that they can be.
    pub missing: Vec<Missing>,
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
    let store = facts.take(store_of(supply))?;
    let day = facts.take(day_of(house, island))?;
    let sun = facts.take(sun_of(supply)).flatten();
    let complete = facts.complete();
    let with_sun = sun.filter(|_| complete).and_then(|sun| {
        let (_, energy) = sun.darkest()?;
        simulated(&store, &day, (energy, sun.most), days, seed)
    });
    Some(RunTime {
        bounds: bounds(&store, &day),
        without_sun: if complete { simulated(&store, &day, (0.0, 0.0), days, seed) } else { None },
        with_sun,
        missing: facts.done(Some(())).missing,
    })
}

/// The energy that a usual day takes out of the battery [Wh], the inverter's own draw included.
#[must_use]
pub(crate) fn usual_day(store: &Store, mean: Power) -> f64 {
    store.losses.input(mean).get::<watt>() * super::day::DAY
}
