//! A solar array that puts back less than the loads take.

use super::part_load::with_losses;
use crate::capacity::carry::Island;
use crate::capacity::run_time::{
    MONTHS, Store, Sun, charged_by_sun, day_of, put_back, store_of, sun_of, usual_day,
};
use crate::checks::check;
use crate::finding::{Arg, Facts, Finding, Verdict, Worked, judge, reckoned};
use crate::house::House;
use crate::say;
use crate::survey::{Supply, SupplyKind};

check! {
    /// # What it checks
    /// In the month with least sun: what an average day of sun brings to the battery through a supply's own
    /// array, after charging losses, against what a usual day of its loads takes out.
    ///
    /// # Why
    /// In June the battery is full by noon, in December it goes down day after day. An outage comes in
    /// December.
    ///
    /// # Example
    /// An invented array of 4 kW with 2 h of full sun in December: 4 × 0.75 × 2 × 0.95 = 5.7 kWh a day.
    /// Loads that take 4.3 kWh are met, loads that take 8 kWh are flagged.
    ///
    /// # Limits
    /// Average days. Snow on the array and weeks of fog are in no average. An array with its own inverter
    /// counts for the supply in whose survey entry it stands.
    ///
    /// # References
    /// Common practice.
    sun_does_not_refill {
        folder: Supply,
        severity: Notice,
        binding: Hazard,
        citations: [],
        caution: "In the dark months do not count on this array alone.",
        next_step: "Plan fewer loads or a generator for the dark months, or add array; see the capacity command for each month.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    let inverters = house.islands().iter().filter(|island| {
        !island.loads.is_empty() && house.survey.supplies[island.supply].kind == SupplyKind::Inverter
    });
    findings.extend(inverters.filter_map(|island| look_at(house, island)));
}

fn look_at(house: &House<'_>, island: &Island) -> Option<Finding> {
    let supply = &house.survey.supplies[island.supply];
    let sun = sun_of(supply);
    if sun.value == Some(None) {
        return None;
    }
    let mut facts = Facts::new();
    let stores = facts.take(store_of(supply));
    let day = facts.take(day_of(house, island));
    let limit = put_back_in_the_darkest(supply, stores.map(|stores| stores.longest), sun);
    let taken = stores.zip(day).map(|(stores, day)| {
        let back = limit.value.map_or(f64::INFINITY, |(_, back)| back);
        let of = |store: &Store| usual_day(store, day.mean(1));
        let taken = with_losses(supply, &stores, of, |taken| taken > back * NOISE, &mut facts);
        let expression = say!("mean power with losses × 24 h");
        facts.step(reckoned("E_d", "what a usual day takes", expression, kwh(taken)));
        taken
    });
    let taken = facts.done(taken);
    let darkest = limit.value.map(|(month, _)| month);
    let limit = limit.map(|(_, back)| back);
    let verdict = judge(&taken, &limit, |taken, back| *taken > *back * NOISE);
    let month = darkest.and_then(|month| MONTHS.get(month)).copied().unwrap_or("the darkest month");
    let message = match (&verdict, taken.value, limit.value) {
        (Verdict::FallsShort, Some(taken), Some(back)) => {
            say!("A usual day takes {}; in {} the sun puts back {}.", kwh(taken), month, kwh(back))
        }
        (Verdict::Meets, Some(taken), Some(back)) => {
            say!("Even in {} the sun puts back {}; a usual day takes {}.", month, kwh(back), kwh(taken))
        }
        _ => say!("It cannot be told whether the sun puts back what the loads take."),
    };
    let mut derivation = taken.derivation;
    derivation.include(&limit.derivation);
    let finding = Finding::of(&CHECK, house.subject(&supply.id), verdict, message).because(derivation);
    Some(match taken.value.zip(limit.value) {
        Some((taken, back)) => finding.figure(kwh(taken), kwh(back)),
        None => finding,
    })
}

/// The noise of floating point must not fail a battery.
const NOISE: f64 = 1.0 + 1e-9;

/// The darkest month and what its sun puts back [Wh].
fn put_back_in_the_darkest(
    supply: &Supply,
    store: Option<Store>,
    sun: Worked<Option<Sun>>,
) -> Worked<(usize, f64)> {
    let mut facts = Facts::new();
    let sun = facts.take(sun).flatten();
    let store = store.map(|store| charged_by_sun(supply, store, &mut facts));
    let darkest = sun.and_then(|sun| Some((sun.darkest()?, sun.most)));
    let value = darkest.map(|((month, energy), most)| {
        let share = store.map_or(1.0, |store| store.charge_efficiency);
        let back = store.map_or(energy, |store| put_back(&store, (energy, most)));
        let expression = say!("{} × {}", kwh(energy), share);
        let expression = if back < energy * share * (1.0 - 1e-3) {
            say!("{}, no more at once than its charge current", expression)
        } else {
            expression
        };
        facts.step(reckoned("E_s", "what the sun puts back in the darkest month", expression, kwh(back)));
        (month, back)
    });
    facts.done(value)
}

fn kwh(energy: f64) -> Arg {
    Arg::Quantity(energy / 1000.0, 1, "kWh")
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;
    use crate::fixture::{text, verdict, with, with_battery};

    fn house(array: Value, december: &str) -> Value {
        let mut hours = vec!["4 h"; 12];
        hours[11] = december;
        let changes = [("/supplies/1/array_power", array), ("/supplies/1/sun_hours", json!(hours))];
        with(with_battery(), &changes)
    }

    /// By hand: 177 W mean with losses for 24 h are 4.25 kWh; 4 kW × 0.75 × 0.95 = 2.85 kW of sun: 1.49 h.
    #[test]
    fn sun_does_not_refill() {
        let told = |hours: &str| verdict(&CHECK, &house(json!("4 kW"), hours), "B");
        assert_eq!(told("1.5 h"), "meets");
        assert_eq!(told("1.4 h"), "falls_short NOTICE");
        insta::assert_snapshot!(text(&CHECK, &house(json!("4 kW"), "1 h"), "B"));
    }

    #[test]
    fn silent_without_an_array_and_open_without_its_facts() {
        assert_eq!(verdict(&CHECK, &with_battery(), "B"), "silent");
        assert_eq!(verdict(&CHECK, &house(json!(null), "2 h"), "B"), "cannot_tell array_power");
        let no_hours = with(with_battery(), &[("/supplies/1/array_power", json!("4 kW"))]);
        assert_eq!(verdict(&CHECK, &no_hours, "B"), "cannot_tell sun_hours");
        let unknown = with(house(json!("4 kW"), "2 h"), &[("/loads/1/runs_likely", json!(null))]);
        assert_eq!(verdict(&CHECK, &unknown, "B"), "cannot_tell runs_likely");
    }
}
