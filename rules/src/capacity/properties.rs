//! What must hold for every supply: more of it never makes anything worse, and what is told to run
//! together keeps every limit, start by start.

use std::collections::BTreeSet;

use proptest::prelude::*;
use serde_json::{Value, json};

use super::carry::{Island, StartOf, ability, battery_surge, dc_current, start_on, totals};
use super::run_time::Percentiles;
use super::{SupplyOverview, overview};
use crate::finding::Verdict;
use crate::fixture::{survey, with, with_battery};
use crate::house::House;
use crate::si::{Current, Power};
use crate::survey::{LoadKind, Survey};

/// Figures of a house with a battery, a pump, a heater and an air conditioner.
#[derive(Debug, Clone)]
struct Figures {
    capacity: f64,
    lead: bool,
    leg: f64,
    watts: f64,
    surge: f64,
    battery_surge: f64,
    heater: f64,
    pump_start: f64,
    cooling_start: f64,
    outlets: f64,
    wanted: f64,
    sun: f64,
    peak: bool,
    curve: bool,
}

impl Figures {
    fn survey(&self) -> Survey {
        let load = |id: &str, kind: &str, plate: Value| {
            let mut load = json!({
                "id": id, "name": id, "on": "RW", "kind": kind, "voltage": "240 V", "power_factor": "90 %",
                "soft_starter": false, "start_power_factor": "60 %", "start_time": "1 s", "outlets": "hard_wired",
                "hours_of_use": "6 h", "runs_low": "10 %", "runs_likely": "30 %", "runs_high": "90 %"
            });
            if let (Value::Object(load), Value::Object(plate)) = (&mut load, plate) {
                load.extend(plate);
            }
            load
        };
        let text = |number: f64, unit: &str| json!(format!("{number:.1} {unit}"));
        let chemistry = if self.lead { "lead_sealed" } else { "lifepo4" };
        let supply = |fact: &str| format!("/supplies/1/{fact}");
        let changes = [
            (supply("continuous_power"), text(self.watts, "W")),
            (supply("continuous_apparent_power"), text(self.watts, "VA")),
            (supply("continuous_current"), text(self.leg, "A")),
            (supply("surges"), json!([{ "duration": "5 s", "current": text(self.surge, "A") }])),
            (supply("peak_efficiency"), if self.peak { json!("95 %") } else { json!(null) }),
            (supply("efficiencies"), if self.curve { curve() } else { json!([]) }),
            (supply("wanted_run_time"), text(self.wanted, "h")),
            (supply("array_power"), json!("3 kW")),
            (supply("sun_hours"), json!(vec![text(self.sun, "h"); 12])),
            (supply("battery/chemistry"), json!(chemistry)),
            (supply("battery/capacity"), text(self.capacity, "Ah")),
            (supply("battery/capacity_hours"), json!("20 h")),
            (supply("battery/coldest"), json!("60 F")),
            (supply("battery/lowest_voltage"), json!("42 V")),
            (supply("battery/surge_current"), text(self.battery_surge, "A")),
            ("/loads/1/power".to_owned(), text(self.outlets, "W")),
            ("/loads/2/lra".to_owned(), text(self.pump_start, "A")),
            ("/loads/-".to_owned(), load("LH", "water_heater", json!({ "power": text(self.heater, "W") }))),
            (
                "/loads/-".to_owned(),
                load("LA", "air_conditioner", json!({ "rla": "9 A", "lra": text(self.cooling_start, "A") })),
            ),
        ];
        let changes: Vec<(&str, Value)> =
            changes.iter().map(|(path, value)| (path.as_str(), value.clone())).collect();
        survey(&with(with_battery(), &changes))
    }
}

/// An efficiency curve as a maker draws it, the same whatever the size.
fn curve() -> Value {
    json!([
        { "power": "200 W", "efficiency": "80 %" }, { "power": "2 kW", "efficiency": "95 %" },
        { "power": "6 kW", "efficiency": "93 %" }, { "power": "12 kW", "efficiency": "89 %" }
    ])
}

fn figures() -> impl Strategy<Value = Figures> {
    let battery = (100.0..900.0_f64, any::<bool>(), 100.0..500.0_f64);
    let inverter = (15.0..70.0_f64, 3000.0..15_000.0_f64, 30.0..160.0_f64);
    let loads = (500.0..5000.0_f64, 20.0..90.0_f64, 20.0..90.0_f64, 100.0..1800.0_f64);
    (battery, inverter, loads, 1.0..60.0_f64, 0.0..5.0_f64, any::<(bool, bool)>()).prop_map(
        |((capacity, lead, battery_surge), (leg, watts, surge), loads, wanted, sun, (peak, curve))| {
            let (heater, pump_start, cooling_start, outlets) = loads;
            Figures {
                capacity,
                lead,
                leg,
                watts,
                surge,
                battery_surge,
                heater,
                pump_start,
                cooling_start,
                outlets,
                wanted,
                sun,
                peak,
                curve,
            }
        },
    )
}

/// A change for the better, and the checks that it may rightly make speak.
fn better(figures: &Figures, which: usize, times: f64) -> (Figures, &'static [&'static str]) {
    let old = figures.clone();
    match which {
        0 => (Figures { capacity: old.capacity * times, ..old }, &[]),
        1 => (Figures { battery_surge: old.battery_surge * times, ..old }, &[]),
        // A larger inverter can draw more from the same battery, cable and fuse.
        2 => (Figures { watts: old.watts * times, ..old }, &["battery_current_too_high"]),
        3 => (Figures { leg: old.leg * times, ..old }, &[]),
        4 => (Figures { surge: old.surge * times, ..old }, &[]),
        5 => (Figures { heater: old.heater / times, ..old }, &[]),
        6 => (Figures { outlets: old.outlets / times, ..old }, &[]),
        7 => (Figures { sun: old.sun * times, ..old }, &[]),
        // A smaller start, down to the running current.
        8 => (Figures { pump_start: (old.pump_start / times).max(8.0), ..old }, &[]),
        _ => (Figures { cooling_start: (old.cooling_start / times).max(9.0), ..old }, &[]),
    }
}

/// Check and item of what the checks of supplies find short.
fn short(survey: &Survey, but: &[&str]) -> BTreeSet<(String, String)> {
    let of_supplies: BTreeSet<&str> = crate::checks::registry()
        .filter(|info| info.folder == crate::checks::Folder::Supply)
        .map(|info| info.name)
        .collect();
    crate::assess(survey)
        .findings
        .into_iter()
        .filter(|finding| of_supplies.contains(finding.check) && !but.contains(&finding.check))
        .filter(|finding| finding.verdict == Verdict::FallsShort)
        .map(|finding| (finding.check.to_owned(), finding.subject.id.to_string()))
        .collect()
}

fn first(survey: &Survey) -> SupplyOverview {
    overview(&House::new(survey), 25, 7).supplies.remove(0)
}

/// Every run time of a supply [h]; what never ends is longer than anything.
fn hours(overview: &SupplyOverview) -> Vec<f64> {
    let run_time = overview.run_time.as_ref().expect("it has a battery");
    let of = |found: Option<Percentiles>| found.map_or([0.0; 3], |found| [found.p10, found.p50, found.p90]);
    let bounds = run_time.bounds;
    let bounds = [bounds.all_on, bounds.hardest, bounds.usual, bounds.mild].map(|end| end.unwrap_or(0.0));
    bounds.into_iter().chain(of(run_time.without_sun)).chain(of(run_time.with_sun)).collect()
}

/// What the loads draw besides those that are chosen.
fn base(house: &House<'_>, island: &Island) -> Vec<usize> {
    let runs_anyway = |load: usize| {
        let kind = house.survey.loads[load].kind;
        kind.is_receptacles() || kind == LoadKind::Lighting
    };
    island.loads.iter().map(|carried| carried.load).filter(|load| runs_anyway(*load)).collect()
}

/// Goes through a set in its order and looks at every limit at every step, by the functions that the checks
/// use, not by those of the search.
fn goes_well(house: &House<'_>, island: &Island, set: &[usize]) -> Result<(), TestCaseError> {
    let supply = &house.survey.supplies[island.supply];
    let gives = ability(house, island.supply);
    let mut on = base(house, island);
    for load in set {
        let running = |on: &[usize]| totals(island, island.loads.iter().filter(|one| on.contains(&one.load)));
        let before = running(&on);
        let carried = island.loads.iter().find(|one| one.load == *load).expect("it is on the island");
        if let Some(starting) = start_on(house, carried) {
            let limit = gives.for_a_time(supply, starting.lasts);
            let start = StartOf::judge((&starting, carried), &limit, (before.a, before.b));
            prop_assert_eq!(start.verdict, Verdict::Meets);
            let power: Power = before.power + starting.power;
            let loaded = dc_current(supply, power).value.and_then(|found| found.loaded);
            let loaded = loaded.expect("the battery gives it");
            let limit = battery_surge(supply, starting.lasts).value.expect("known");
            prop_assert!(loaded.current <= limit * (1.0 + 1e-6), "{:?} of {:?}", loaded.current, limit);
            let lowest = supply
                .battery
                .as_ref()
                .and_then(|battery| battery.lowest_voltage.known())
                .map(|v| v.quantity());
            prop_assert!(lowest.is_some_and(|lowest| loaded.voltage >= lowest * (1.0 - 1e-6)));
        }
        on.push(*load);
        let after = running(&on);
        let leg: Current = if after.a > after.b { after.a } else { after.b };
        prop_assert!(leg <= gives.leg.value.expect("known") * (1.0 + 1e-6));
        prop_assert!(after.apparent <= gives.apparent.value.expect("known") * (1.0 + 1e-6));
        prop_assert!(after.power <= gives.power.value.expect("known") * (1.0 + 1e-6));
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn more_never_shortens_the_run_time_or_adds_a_finding(
        figures in figures(),
        which in 0..10_usize,
        times in 1.0..3.0_f64,
    ) {
        // A larger inverter of the same idle draw and the same best efficiency loses more at a small load:
        // that is another machine, not more of this one.
        let figures = Figures { peak: figures.peak && which != 2, ..figures };
        let (better, but) = better(&figures, which, times);
        let (before, after) = (figures.survey(), better.survey());
        for (short, long) in hours(&first(&before)).into_iter().zip(hours(&first(&after))) {
            prop_assert!(long >= short * (1.0 - 1e-9), "{} {}: {} after {}", which, times, long, short);
        }
        let new: Vec<_> = short(&after, but).difference(&short(&before, but)).cloned().collect();
        prop_assert!(new.is_empty(), "{:?}", new);
    }

    #[test]
    fn what_runs_together_keeps_every_limit_at_every_start(figures in figures()) {
        let survey = figures.survey();
        let house = House::new(&survey);
        let island = &house.islands()[0];
        let together = first(&survey).together;
        prop_assert!(together.complete && together.left_out.is_empty() && together.missing.is_empty(), "{:?}", together);
        for set in &together.together {
            goes_well(&house, island, &set.loads)?;
        }
    }
}
