//! A solar array that puts back less than the loads take.

use crate::capacity::carry::Island;
use crate::capacity::run_time::{Store, day_of, store_of, sun_of, usual_day};
use crate::checks::check;
use crate::finding::{Arg, Facts, Finding, Verdict, judge, reckoned};
use crate::house::House;
use crate::say;
use crate::survey::SupplyKind;

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

/// The months.
const MONTHS: [&str; 12] = [
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
    let store = facts.take(store_of(supply));
    let day = facts.take(day_of(house, island));
    let taken = store.zip(day).map(|(store, day)| {
        let taken = usual_day(&store, day.mean(1));
        facts.step(reckoned(
            "E_d",
            "what a usual day takes",
            say!("mean power with losses × 24 h"),
            kwh(taken),
        ));
        taken
    });
    let taken = facts.done(taken);
    let mut facts = Facts::new();
    let darkest = facts.take(sun).flatten().and_then(|sun| sun.darkest());
    let share = store.map_or(1.0, |store: Store| store.charge_efficiency);
    let put_back = darkest.map(|(_, energy)| {
        let back = energy * share;
        let expression = say!("{} × {}", kwh(energy), share);
        facts.step(reckoned("E_s", "what the sun puts back in the darkest month", expression, kwh(back)));
        back
    });
    let limit = facts.done(put_back);
    let verdict = judge(&taken, &limit, |taken, back| *taken > *back * (1.0 + 1e-9));
    let month = darkest.and_then(|(month, _)| MONTHS.get(month)).copied().unwrap_or("the darkest month");
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
