//! How long an entry takes, from the text to the survey after it: the demo house, and a house of 2,000 ways.
//!
//! Prints figures and never fails. Aims: below 0.3 ms in the demo house, below 5 ms in the large one.

use std::hint::black_box;

use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use deadfront_rules::edit::{copy, remove, set};
use deadfront_rules::survey::{Id, Survey, validate};
use serde_json::json;

const DEMO: &str = include_str!("../../app/src/demo/demo-survey.json");

fn demo() -> Survey {
    serde_json::from_str(DEMO).expect("the demo is a survey")
}

/// A house of one panel with so many ways, each with a run and a load.
fn large(ways: usize) -> Survey {
    let device = json!({ "kind": "breaker", "rating": "20 A", "poles": 1, "voltage": "120 V" });
    let way = |at: usize| json!({ "id": format!("P.{at}"), "spaces": [at + 1], "device": device });
    let run = |at: usize| {
        json!({
            "id": format!("R{at}"), "from": format!("P.{at}"), "circuit": "hot_and_neutral", "material": "copper",
            "size": "12 AWG", "method": "nm_b", "length": "40 ft"
        })
    };
    let load = |at: usize| json!({ "id": format!("L{at}"), "name": "Outlets", "on": format!("R{at}"), "kind": "receptacles" });
    let mut house = json!({
        "deadfront_survey": 1,
        "site": { "name": "Large house (invented)", "rules": "us", "invented": true },
        "supplies": [{ "id": "U", "name": "Utility", "kind": "utility" }],
        "panels": [{ "id": "P", "name": "Panel" }],
        "runs": [{ "id": "RS", "from": "U", "to": "P" }]
    });
    house["panels"][0]["ways"] = (0..ways).map(way).collect();
    house["runs"].as_array_mut().expect("runs").extend((0..ways).map(run));
    house["loads"] = (0..ways).map(load).collect();
    serde_json::from_value(house).expect("a survey")
}

fn id(text: &str) -> Id {
    Id::new(text).expect("an id")
}

/// Enters a value and takes it back, so that each round starts alike; reported as two edits.
fn there_and_back(survey: &mut Survey, item: &Id, field: &str, entry: &str) {
    let edit = set(survey, item, field, black_box(entry)).expect("it can be entered");
    edit.apply(survey).expect("it applies");
    edit.inverse().apply(survey).expect("it can be taken back");
}

fn edits(criterion: &mut Criterion) {
    let houses = [("demo house", demo(), "P1.13", "R102"), ("2000 ways", large(2000), "P.1999", "R1999")];
    for (name, mut survey, way, run) in houses {
        let (way, run) = (id(way), id(run));
        let mut group = criterion.benchmark_group(name);
        group.bench_function("set a fact, apply, take back", |bencher| {
            bencher.iter(|| there_and_back(&mut survey, &run, "length", "41 ft"));
        });
        group.bench_function("set a doubtful fact, apply, take back", |bencher| {
            bencher.iter(|| there_and_back(&mut survey, &way, "device.rating", "2o A"));
        });
        let lender = survey.runs[0].id.clone();
        group.bench_function("set a reference, apply, take back", |bencher| {
            bencher.iter(|| there_and_back(&mut survey, &run, "neutral_of", lender.as_str()));
        });
        group.bench_function("copy a way and apply", |bencher| {
            let make = || survey.clone();
            bencher.iter_batched_ref(
                make,
                |survey| copy(survey, &way).expect("it can be copied").0.apply(survey),
                BatchSize::LargeInput,
            );
        });
        group.bench_function("remove a way and apply", |bencher| {
            let make = || survey.clone();
            bencher.iter_batched_ref(
                make,
                |survey| remove(survey, &way).expect("it can be removed").apply(survey),
                BatchSize::LargeInput,
            );
        });
        group.bench_function("validate the whole", |bencher| bencher.iter(|| validate(black_box(&survey))));
        group.finish();
    }
}

criterion_group!(benches, edits);
criterion_main!(benches);
