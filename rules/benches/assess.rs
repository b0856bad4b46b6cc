//! How long an assessment takes: the demo house, and the same house copied under one service.
//!
//! Prints figures and never fails. Aims: the demo house below 1 ms on one core; time grows no
//! faster than the survey.

use std::hint::black_box;

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use deadfront_rules::assess;
use deadfront_rules::survey::Survey;
use serde_json::{Value, json};

const DEMO: &str = include_str!("../../app/src/demo/demo-survey.json");

fn demo() -> Value {
    serde_json::from_str(DEMO).expect("the demo is JSON")
}

/// Every id and reference of a house with a prefix, so that copies do not clash.
fn renamed(value: &Value, prefix: &str) -> Value {
    const NAMES: &[&str] =
        &["id", "from", "also_from", "to", "neutral_of", "on", "bus", "fed_by", "at", "of"];
    match value {
        Value::Object(fields) => fields
            .iter()
            .map(|(key, value)| {
                let value = match value {
                    Value::String(name) if NAMES.contains(&key.as_str()) => json!(format!("{prefix}{name}")),
                    Value::Array(ways) if key == "ways" && ways.iter().all(Value::is_string) => ways
                        .iter()
                        .map(|way| json!(format!("{prefix}{}", way.as_str().unwrap_or(""))))
                        .collect(),
                    other => renamed(other, prefix),
                };
                (key.clone(), value)
            })
            .collect(),
        Value::Array(items) => items.iter().map(|item| renamed(item, prefix)).collect(),
        other => other.clone(),
    }
}

/// The house copied `copies` times, each behind a way of one panel on one utility.
fn street(copies: usize) -> Survey {
    let mut street = json!({
        "deadfront_survey": 1,
        "site": demo()["site"],
        "supplies": [{ "id": "U", "name": "Utility", "kind": "utility", "output": "120/240 V", "voltage": "240 V" }],
        "panels": [{ "id": "ST", "name": "Street", "ways": [] }],
        "runs": [{ "id": "US", "from": "U", "to": "ST" }]
    });
    for copy in 0..copies {
        let house = renamed(&demo(), &format!("H{copy}."));
        let way = format!("ST.{copy}");
        street["panels"][0]["ways"].as_array_mut().expect("a list").push(json!({ "id": way }));
        for (list, items) in house.as_object().expect("a survey") {
            let Value::Array(items) = items else { continue };
            let target = street.as_object_mut().expect("a survey").entry(list).or_insert(json!([]));
            let target = target.as_array_mut().expect("a list");
            for item in items {
                let mut item = item.clone();
                if list == "supplies" && item["kind"] == "utility" {
                    continue;
                }
                if list == "runs" && item["from"] == format!("H{copy}.S1") {
                    item["from"] = json!(way);
                }
                target.push(item);
            }
        }
    }
    serde_json::from_value(street).expect("a street of surveys")
}

fn assessments(criterion: &mut Criterion) {
    let survey: Survey = serde_json::from_str(DEMO).expect("the demo is a survey");
    criterion.bench_function("assess demo house", |bencher| bencher.iter(|| assess(black_box(&survey))));
    let mut group = criterion.benchmark_group("assess street");
    group.sample_size(10);
    for copies in [1, 3, 10] {
        let street = street(copies);
        group.throughput(Throughput::Elements(copies as u64));
        group.bench_with_input(BenchmarkId::from_parameter(copies), &street, |bencher, street| {
            bencher.iter(|| assess(black_box(street)));
        });
    }
    group.finish();
}

criterion_group!(benches, assessments);
criterion_main!(benches);
