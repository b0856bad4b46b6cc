//! Test of a promise that holds for every check: a survey that knows less is never told more good
//! news.

use serde_json::{Value, json};

use super::{
    fault_heats_conductor_past_limit, motor_start_sags_voltage, neutral_undersized,
    shared_neutral_fed_single_phase, voltage_drop_over_advice,
};
use crate::checks::CheckInfo;
use crate::fixture::{backed_up, findings, with};
use crate::survey::{Device, Load, Panel, Run, Supply, Way};

static CHECKS: [&CheckInfo; 5] = [
    &voltage_drop_over_advice::CHECK,
    &motor_start_sags_voltage::CHECK,
    &neutral_undersized::CHECK,
    &shared_neutral_fed_single_phase::CHECK,
    &fault_heats_conductor_past_limit::CHECK,
];

/// Houses in which these checks find something, and some that are just right.
fn houses() -> Vec<Value> {
    let changed = |changes: &[(&str, Value)]| with(backed_up(), changes);
    let single =
        [("/supplies/1/output", json!("120 V on both legs")), ("/supplies/1/voltage", json!("120 V"))];
    vec![
        backed_up(),
        changed(&[("/runs/6/length", json!("900 ft")), ("/runs/1/length", json!("300 ft"))]),
        changed(&[("/runs/0/neutral_size", json!("10 AWG")), ("/loads/0/power", json!("6 kW"))]),
        changed(&[("/runs/0/length", json!("200 ft")), ("/panels/0/demand", json!("90 A"))]),
        changed(&[
            ("/panels/1/ways/0/device/rating", json!("60 A")),
            ("/panels/1/ways/0/device/clearing_time", json!("40 ms")),
        ]),
        with(
            changed(&single),
            &[("/supplies/1/output_device", json!({ "kind": "breaker", "rating": "60 A" }))],
        ),
        changed(&single),
    ]
}

/// Every place in a house where a fact stands.
fn facts_of(house: &Value) -> Vec<String> {
    let mut places = Vec::new();
    let mut add = |at: String, item: &Value, names: &[&str]| {
        let known = names.iter().filter(|name| item.get(**name).is_some());
        places.extend(known.map(|name| format!("{at}/{name}")));
    };
    let list = |name: &str| house[name].as_array().cloned().unwrap_or_default();
    for (name, names) in [("supplies", Supply::FACTS), ("runs", Run::FACTS), ("loads", Load::FACTS)] {
        for (at, item) in list(name).iter().enumerate() {
            add(format!("/{name}/{at}"), item, names);
        }
    }
    for (at, supply) in list("supplies").iter().enumerate() {
        add(format!("/supplies/{at}/output_device"), &supply["output_device"], Device::FACTS);
    }
    for (at, panel) in list("panels").iter().enumerate() {
        add(format!("/panels/{at}"), panel, Panel::FACTS);
        add(format!("/panels/{at}/main"), &panel["main"], Device::FACTS);
        for (way_at, way) in panel["ways"].as_array().into_iter().flatten().enumerate() {
            add(format!("/panels/{at}/ways/{way_at}"), way, Way::FACTS);
            add(format!("/panels/{at}/ways/{way_at}/device"), &way["device"], Device::FACTS);
        }
    }
    places
}

/// The verdicts of all the checks: check, item, which of its findings, verdict.
fn verdicts(house: &Value) -> Vec<(&'static str, String, usize, &'static str)> {
    let mut all: Vec<(&'static str, String, usize, &'static str)> = Vec::new();
    for check in CHECKS {
        for finding in findings(check, house) {
            let id = finding.subject.id.to_string();
            let before = all.iter().filter(|told| told.0 == check.name && told.1 == id).count();
            all.push((check.name, id, before, finding.verdict.name()));
        }
    }
    all
}

#[test]
fn forgetting_a_fact_never_makes_a_verdict_good() {
    let mut tried = 0;
    for house in houses() {
        let known = verdicts(&house);
        for fact in facts_of(&house) {
            for (check, id, at, verdict) in verdicts(&with(house.clone(), &[(fact.as_str(), Value::Null)])) {
                let before = known.iter().find(|told| (told.0, &told.1, told.2) == (check, &id, at));
                let was_bad = before.is_some_and(|told| told.3 == "falls_short" || told.3 == "cannot_tell");
                assert!(!(was_bad && verdict == "meets"), "{check} about {id} without {fact}");
                tried += 1;
            }
        }
    }
    assert!(tried > 10_000, "{tried}");
}

#[test]
fn the_houses_show_both_sides() {
    let mut shown: Vec<(&str, &str)> =
        houses().iter().flat_map(verdicts).map(|(check, _, _, verdict)| (check, verdict)).collect();
    shown.sort_unstable();
    shown.dedup();
    for check in CHECKS {
        assert!(shown.contains(&(check.name, "falls_short")), "{}", check.name);
    }
}
