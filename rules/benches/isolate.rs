//! How long the searches for isolation take: the demo house, and one house of 10, 100 and 1,000 panels.
//!
//! Prints figures and never fails. Aims: all modes and pairs of the demo house below 1 ms; of 1,000
//! panels with 3,000 devices below 200 ms; growth with the house, not with its square.

use std::hint::black_box;

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use deadfront_rules::house::House;
use deadfront_rules::isolation::{Isolation, Positions, cuts, overview, rehearse};
use deadfront_rules::survey::Survey;
use serde_json::{Value, json};

const DEMO: &str = include_str!("../../app/src/demo/demo-survey.json");

fn breaker() -> Value {
    json!({ "kind": "breaker", "lockable": true })
}

/// Panels in a tree, three ways each; a generator behind an interlock, an inverter behind a transfer
/// switch and solar, each at a far end of it.
fn large(panels: usize) -> Survey {
    let mut house = json!({
        "deadfront_survey": 1,
        "site": { "name": "Large house (invented)", "rules": "us", "invented": true },
        "supplies": [
            { "id": "U", "name": "Utility", "kind": "utility" },
            { "id": "V", "name": "Inverter", "kind": "battery_inverter", "anti_islanding": true },
            { "id": "G", "name": "Generator", "kind": "generator" },
            { "id": "S", "name": "Solar", "kind": "solar", "anti_islanding": true }
        ],
        "panels": [],
        "runs": [{ "id": "RU", "from": "U", "to": "P0" }],
        "transfers": [{
            "id": "T", "name": "Transfer", "kind": "manual_switch",
            "positions": [{ "id": "T.u", "name": "Utility" }, { "id": "T.v", "name": "Inverter" }]
        }],
        "interlocks": [{ "id": "K", "name": "Plate", "kind": "sliding_plate", "intact": true, "ways": ["P0", "P0.g"] }]
    });
    let mut list = |list: &str, item: Value| house[list].as_array_mut().expect("a list").push(item);
    for at in 0..panels {
        let way = |name: String| json!({ "id": name, "device": breaker() });
        let mut ways: Vec<Value> = (0..3).map(|number| way(format!("P{at}.{number}"))).collect();
        if at == 0 {
            ways.push(way("P0.g".to_owned()));
        }
        let panel =
            json!({ "id": format!("P{at}"), "name": format!("Panel {at}"), "main": breaker(), "ways": ways });
        list("panels", panel);
        if at > 0 {
            let from = format!("P{}.{}", (at - 1) / 3, (at - 1) % 3);
            list("runs", json!({ "id": format!("R{at}"), "from": from, "to": format!("P{at}") }));
        }
    }
    let last = panels - 1;
    list("runs", json!({ "id": "RT", "from": format!("P{}.2", last - 1), "to": "T.u" }));
    list("runs", json!({ "id": "RV", "from": "V", "to": "T.v" }));
    list(
        "panels",
        json!({ "id": "C", "name": "Critical", "main": { "kind": "lugs" }, "ways": [{ "id": "C.1", "device": breaker() }] }),
    );
    list("runs", json!({ "id": "RC", "from": "T", "to": "C" }));
    list("runs", json!({ "id": "RG", "from": "G", "to": "P0.g" }));
    list("runs", json!({ "id": "RS", "from": "S", "to": format!("P{last}.1") }));
    serde_json::from_value(house).expect("a survey")
}

fn searches(criterion: &mut Criterion) {
    let survey: Survey = serde_json::from_str(DEMO).expect("the demo is a survey");
    let house = House::new(&survey);
    let named = |what: &str| format!("isolate demo house, {what}");
    criterion.bench_function(&named("all modes and pairs"), |bencher| {
        bencher.iter(|| Isolation::of(black_box(&house)));
    });
    criterion.bench_function(&named("orders, neutrals and words"), |bencher| {
        bencher.iter(|| overview(black_box(&house)));
    });
    criterion.bench_function(&named("cuts of every panel"), |bencher| {
        bencher.iter(|| cuts(black_box(&house)));
    });
    let positions = Positions::of_mode(&house, 0);
    criterion.bench_function(&named("one tap"), |bencher| {
        bencher.iter(|| rehearse(black_box(&house), black_box(&positions)));
    });
    let mut group = criterion.benchmark_group("isolate panels, all modes and pairs");
    group.sample_size(10);
    for panels in [10, 100, 1000] {
        let survey = large(panels);
        let house = House::new(&survey);
        group.throughput(Throughput::Elements(panels as u64));
        group.bench_with_input(BenchmarkId::from_parameter(panels), &house, |bencher, house| {
            bencher.iter(|| Isolation::of(black_box(house)));
        });
    }
    group.finish();
    let mut group = criterion.benchmark_group("isolate panels, every cut");
    group.sample_size(10);
    for panels in [10, 100, 1000] {
        let survey = large(panels);
        let house = House::new(&survey);
        group.throughput(Throughput::Elements(panels as u64));
        group.bench_with_input(BenchmarkId::from_parameter(panels), &house, |bencher, house| {
            bencher.iter(|| cuts(black_box(house)));
        });
    }
    group.finish();
}

criterion_group!(benches, searches);
criterion_main!(benches);
