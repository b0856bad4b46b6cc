//! The walk on the small houses of the fixtures.

use serde_json::json;

use super::*;
use crate::assess;
use crate::fixture::{one_circuit, standby, survey, with, with_battery};

/// The house of [`one_circuit`] with nothing left to ask.
fn known() -> serde_json::Value {
    with(one_circuit(), &[("/panels/0/ways/0/device/instantaneous_trip", json!("150 A"))])
}

fn walked(house: &serde_json::Value) -> Walk {
    let survey = survey(house);
    walk(&survey, &assess(&survey))
}

fn told(walk: &Walk) -> Vec<String> {
    walk.steps.iter().map(|step| format!("{} {}", step.item, step.fact)).collect()
}

#[test]
fn a_house_that_is_known_asks_nothing() {
    let walk = walked(&known());
    assert_eq!(told(&walk), [""; 0]);
}

#[test]
fn what_is_missing_is_asked_from_the_meter_inwards() {
    let gone = |path: &'static str| (path, json!(null));
    let house = with(
        standby(),
        &[
            gone("/panels/1/buses/0/rating"),
            gone("/panels/0/ways/1/device/rating"),
            gone("/panels/0/main/rating"),
            gone("/runs/1/size"),
            gone("/loads/0/power"),
            gone("/runs/0/size"),
            gone("/supplies/0/output"),
            gone("/transfers/0/switches_neutral"),
            gone("/electrodes/0/kind"),
            gone("/supplies/1/continuous_power"),
        ],
    );
    insta::assert_debug_snapshot!(told(&walked(&house)));
}

#[test]
fn what_cannot_be_seen_is_listed_apart() {
    let house = with(known(), &[("/runs/1/size", json!("cannot be seen"))]);
    let walk = walked(&house);
    assert_eq!(told(&walk), [""; 0]);
    assert_eq!(walk.cannot_be_seen[0].fact, "size");
    assert_eq!(walk.next(&BTreeSet::new()), None);
}

#[test]
fn a_step_says_who_waits_and_how_it_is_answered() {
    let house =
        with(one_circuit(), &[("/panels/0/ways/0/device/rating", json!(null)), ("/loads", json!([]))]);
    let walk = walked(&house);
    let step = walk.steps.iter().find(|step| step.fact == "device.rating").expect("asked");
    assert_eq!(step.answer, Answer::Enter { field: "device.rating".to_owned() });
    assert!(step.checks.contains(&"device_larger_than_conductor"), "{:?}", step.checks);
    assert_eq!(step.question.map(|question| question.label), Some("ampere rating"));
    assert!(!step.again);
    let loads = walk.steps.iter().find(|step| step.fact == "loads").expect("asked");
    let run = Id::new("R").unwrap();
    assert_eq!(loads.answer, Answer::Add { kind: ItemKind::Load, within: run.clone() });
    let skipped: BTreeSet<_> =
        walk.steps.iter().take(1).map(|step| (step.item.clone(), step.fact.to_owned())).collect();
    assert_eq!(walk.next(&skipped), walk.steps.get(1));
}

#[test]
fn progress_counts_by_place() {
    let walk = walked(&with(known(), &[("/runs/1/size", json!(null))]));
    let panel = walk.progress.iter().find(|it| matches!(it.place, Place::Panel(_))).expect("a panel");
    assert_eq!(panel.total, panel.done + 1);
    let house = &walk.progress[0];
    assert_eq!((&house.place, house.done, house.total), (&Place::House, 6, 6));
}

#[test]
fn an_entry_without_a_figure_in_any_table_is_read_again() {
    let walk = walked(&with(known(), &[("/runs/1/size", json!("40 AWG"))]));
    let step = walk.steps.iter().find(|step| step.fact == "size").expect("asked again");
    assert!(step.again);
}

#[test]
fn the_cable_to_the_battery_is_asked_for() {
    let house = with_battery();
    let runs = house["runs"].as_array().map_or(0, Vec::len);
    let mut without = house;
    without["runs"].as_array_mut().expect("runs").truncate(runs - 1);
    let walk = walked(&without);
    let step = walk.steps.iter().find(|step| step.fact == "battery_run").expect("asked");
    assert_eq!(step.answer, Answer::AddRunTo { to: Id::new("B").unwrap() });
}
