//! What an average day takes and what the sun puts back, month by month.

use super::day::{DAY, day_of};
use super::energy::Store;
use super::of_island::{charged_by_sun, full_sun, store_of, usual_day};
use super::simulate::sun_at;
use crate::calc::clear_sky::clear_sky_hours;
use crate::capacity::carry::Island;
use crate::finding::{Facts, Missing};
use crate::house::House;
use crate::si::{hour, volt, watt_hour};
use crate::survey::SupplyKind;

/// The months in words, January first.
pub const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// Where the hours of sun are from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SunFrom {
    /// Entered by the surveyor.
    Survey,
    /// Reckoned from the latitude for a cloudless sky: more than an average day gives on a level array.
    ClearSky,
}

impl SunFrom {
    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        crate::words::word(match self {
            Self::Survey => "hours of full sun as surveyed",
            Self::ClearSky => {
                "cloudless days on a level array, from the latitude: an average day gives much less"
            }
        })
    }
}

/// An average day of a month.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Month {
    /// Hours of full sun [h].
    pub sun_hours: f64,
    /// What the array brings to the battery [Wh].
    pub sun: f64,
    /// What of it comes out of the battery again [Wh].
    pub put_back: f64,
    /// What a usual day of the loads takes out of it [Wh].
    pub taken: f64,
    /// Days until a full battery is empty, where less is put back than taken.
    pub days: Option<f64>,
}

/// The balance of a supply's battery and array, month by month.
#[derive(Debug, Clone, PartialEq)]
pub struct Months {
    /// Where the hours of sun are from.
    pub from: SunFrom,
    /// The months, January first.
    pub months: Vec<Month>,
    /// Facts that are missing; while there are any, more is put back, and less taken, than can be relied
    /// on.
    pub missing: Vec<Missing>,
}

/// The balance of an island's battery and array. `None` without battery or array, and while neither
/// hours of sun nor the latitude are known.
#[must_use]
pub fn months_of(house: &House<'_>, island: &Island) -> Option<Months> {
    let supply = &house.survey.supplies[island.supply];
    if supply.kind != SupplyKind::Inverter {
        return None;
    }
    let mut facts = Facts::new();
    let arrives = full_sun(supply)?;
    let stores = facts.take(store_of(supply))?;
    let day = facts.take(day_of(house, island))?;
    let mut store = *stores.shown(facts.complete());
    store = charged_by_sun(supply, store, &mut facts);
    let entered: Vec<f64> = supply.sun_hours.iter().map(|sun| sun.quantity().get::<hour>()).collect();
    let (from, hours) = if entered.is_empty() {
        let _: Option<()> = facts.miss(&supply.id, "sun_hours", false);
        let latitude = house.survey.site.latitude.known()?.quantity();
        let month = |at| clear_sky_hours(latitude, at).get::<hour>();
        (SunFrom::ClearSky, (0..MONTHS.len()).map(month).collect())
    } else {
        (SunFrom::Survey, entered)
    };
    let taken = usual_day(&store, day.mean(1));
    let usable = store.bank.energy(store.lowest, store.highest).get::<watt_hour>();
    let of = |sun_hours: f64| {
        let sun = arrives * sun_hours;
        let put_back = put_back(&store, (sun, arrives));
        let lacking = taken - put_back;
        Month { sun_hours, sun, put_back, taken, days: (lacking > 0.0).then(|| usable / lacking) }
    };
    let months = hours.into_iter().map(of).collect();
    Some(Months { from, months, missing: facts.done(Some(())).missing })
}

/// What a day of sun [Wh, largest at once in W] puts back [Wh]: no more at once than the charge current, and
/// less the losses of charging.
#[must_use]
pub(crate) fn put_back(store: &Store, sun: (f64, f64)) -> f64 {
    let middle = f64::midpoint(store.lowest, store.highest);
    let most = store.charge_current * store.bank.resting(middle).get::<volt>();
    if sun.1 <= most {
        return sun.0 * store.charge_efficiency;
    }
    const STEPS: u16 = 288;
    let step = DAY / f64::from(STEPS);
    let accepted: f64 = (0..STEPS).map(|at| sun_at(sun, (f64::from(at) + 0.5) * step).min(most) * step).sum();
    accepted.min(sun.0) * store.charge_efficiency
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::super::energy::tests::store;
    use super::*;
    use crate::fixture::{survey, with, with_battery};

    fn months(changes: &[(&str, Value)]) -> Option<Months> {
        let survey = survey(&with(with_battery(), changes));
        let house = House::new(&survey);
        months_of(&house, &house.islands()[0])
    }

    fn array() -> (&'static str, Value) {
        ("/supplies/1/array_power", json!("4 kW"))
    }

    /// By hand: 4 kW × 0.75 × 2 h are 6 kWh, of which 95 % come out again.
    #[test]
    fn hours_as_entered() {
        let found = months(&[array(), ("/supplies/1/sun_hours", json!(vec!["2 h"; 12]))]).unwrap();
        assert_eq!((found.from, found.months.len()), (SunFrom::Survey, 12));
        let month = found.months[0];
        assert!((month.sun - 6000.0).abs() < 1e-9 && (month.put_back - 5700.0).abs() < 1e-9);
        assert!(month.taken > 4000.0 && month.days.is_none() && found.missing.is_empty(), "{found:?}");
        let dark = months(&[array(), ("/supplies/1/sun_hours", json!(vec!["0 h"; 12]))]).unwrap().months[0];
        let days = dark.days.unwrap();
        assert!((days * dark.taken / 12_900.0 - 1.0).abs() < 0.05, "{dark:?}");
    }

    /// A cloudless sky is told for orientation, and the hours of an average day stay missing.
    #[test]
    fn hours_from_the_latitude() {
        let found = months(&[array(), ("/site/latitude", json!("41 °"))]).unwrap();
        assert_eq!(found.from, SunFrom::ClearSky);
        assert!(found.months[5].sun > 2.0 * found.months[11].sun);
        assert!(found.missing.iter().any(|missing| missing.fact == "sun_hours"));
        assert_eq!(months(&[array()]), None);
        assert_eq!(months(&[]), None);
    }

    /// By hand: 10 A at 52 V are about 520 W of a sun that peaks at 1.25 kW: well below the 10 kWh of the day.
    #[test]
    fn the_charge_current_is_a_limit() {
        let free = put_back(&store(), (10_000.0, 9000.0));
        let tight = put_back(&Store { charge_current: 10.0, ..store() }, (10_000.0, 9000.0));
        assert!((free - 9500.0).abs() < 10.0, "{free}");
        assert!((4000.0..6000.0).contains(&tight), "{tight}");
    }
}
