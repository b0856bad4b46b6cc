//! How long the answers about capacity take.
//!
//! Prints figures and never fails. Aims: everything about the capacity of the demo house with 1,000
//! simulated days below 20 ms; what can run together of 20 heavy loads below 5 ms.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use deadfront_rules::capacity::overview;
use deadfront_rules::capacity::together::{Heavy, Limits, maximal_sets};
use deadfront_rules::house::House;
use deadfront_rules::survey::Survey;
use serde_json::{Value, json};

const DEMO: &str = include_str!("../../app/src/demo/demo-survey.json");
const DAYS: u32 = 1000;

/// The demo house as it stands: facts of its battery and loads are missing, nothing is simulated.
fn demo() -> Value {
    serde_json::from_str(DEMO).expect("the demo is JSON")
}

/// The demo house with those facts filled in, so that every outage is simulated, without and with sun.
fn known() -> Value {
    let mut house = demo();
    let fill = |item: &mut Value, facts: Value| {
        let (Some(item), Value::Object(facts)) = (item.as_object_mut(), facts) else { return };
        for (name, value) in facts {
            item.entry(name).or_insert(value);
        }
    };
    let inverter = &mut house["supplies"][1];
    fill(inverter, json!({ "idle_power": "60 W", "array_power": "4 kW", "sun_hours": vec!["1 h"; 12] }));
    fill(
        &mut inverter["battery"],
        json!({
            "internal_resistance": "10 mohm", "lowest_charge": "10 %", "highest_charge": "100 %",
            "charge_current": "100 A", "surge_current": "350 A", "surge_time": "6 s"
        }),
    );
    for (at, load) in house["loads"].as_array_mut().expect("loads").iter_mut().enumerate() {
        let hours = if at % 3 == 0 { "24 h" } else { "2 h" };
        fill(
            load,
            json!({
                "voltage": "120 V", "power": "300 W", "power_factor": "95 %", "leg": if at % 2 == 0 { "A" } else { "B" },
                "hours_of_use": hours, "runs_low": "1 %", "runs_likely": "4 %", "runs_high": "10 %"
            }),
        );
    }
    house
}

fn read(house: Value) -> Survey {
    serde_json::from_value(house).expect("a survey")
}

fn overviews(criterion: &mut Criterion) {
    for (name, house) in [("demo house", demo()), ("demo house, battery and loads known", known())] {
        let survey = read(house);
        let first = overview(&House::new(&survey), DAYS, 1);
        let simulated = first
            .supplies
            .iter()
            .filter(|supply| supply.run_time.as_ref().is_some_and(|run_time| run_time.without_sun.is_some()));
        let loads = House::new(&survey).islands().iter().map(|island| island.loads.len()).max();
        println!("{name}: {} batteries simulated, {loads:?} loads", simulated.count());
        for run_time in first.supplies.iter().filter_map(|supply| supply.run_time.as_ref()) {
            println!("  run times [h] {:?}, with sun {:?}", run_time.without_sun, run_time.with_sun);
        }
        criterion.bench_function(&format!("capacity of the {name}, {DAYS} days"), |bencher| {
            bencher.iter(|| overview(&House::new(black_box(&survey)), DAYS, 1));
        });
    }
}

/// Heavy loads of a large house: most are carried by few others, half start hard.
fn heavy_loads(count: usize) -> Vec<Heavy> {
    let load = |at: usize| {
        let amperes = 4.0 + (at * 7 % 19) as f64;
        let legs = if at.is_multiple_of(3) { [amperes, 0.0] } else { [amperes; 2] };
        let apparent = (legs[0] + legs[1]) * 120.0;
        let load = Heavy { legs, apparent, power: apparent * 0.9, ..Heavy::default() }.without_start();
        if at.is_multiple_of(2) {
            let start = legs.map(|leg| leg * 4.0);
            let start_power = apparent * 2.0;
            return Heavy { start, start_limit: 100.0, start_power, start_power_limit: 16_000.0, ..load };
        }
        load
    };
    (0..count).map(load).collect()
}

fn sets(criterion: &mut Criterion) {
    let limits = |leg: f64| Limits {
        leg,
        apparent: leg * 240.0,
        power: leg * 240.0,
        base: [4.0, 3.0],
        base_apparent: 840.0,
        base_power: 800.0,
    };
    let loads = heavy_loads(20);
    for leg in [33.0, 50.0, 100.0] {
        let found = maximal_sets(&loads, limits(leg));
        println!(
            "{leg} A a leg: {} sets, {} refused, complete: {}",
            found.together.len(),
            found.refused.len(),
            found.complete
        );
        criterion.bench_function(&format!("sets of 20 heavy loads on {leg} A a leg"), |bencher| {
            bencher.iter(|| maximal_sets(black_box(&loads), limits(leg)));
        });
    }
}

criterion_group!(benches, overviews, sets);
criterion_main!(benches);
