//! Whatever a survey file can hold can be entered.

use std::collections::BTreeSet;

use serde_json::{Value, json};

use super::{Field, fields};
use crate::fixture::{standby, survey, with, with_battery};
use crate::survey::{Id, Survey};

/// Why a property of the file is no field of its item.
const NO_FIELDS: &[(&str, &str, &str)] = &[
    ("", "id", "names the item for ever; references hold on to it"),
    ("Panel", "buses", "items of their own, added and removed"),
    ("Panel", "ways", "items of their own, added and removed"),
    ("Transfer", "positions", "items of their own, added and removed"),
    ("Signature", "revision", "written when it is signed"),
    ("Signature", "hash", "written when it is signed"),
    ("Signature", "answers_hash", "written when it is signed"),
    ("Signature", "ink", "drawn by hand"),
    ("Signature", "seal", "written when it is signed"),
    ("Signature", "key", "written when it is signed"),
    ("Photo", "file", "named by the picture's content when it is added"),
];

fn record(id: &str, fields: &Value) -> Value {
    let mut record = json!({ "id": id, "when": "2026-04-30T14:05:00Z" });
    record.as_object_mut().unwrap().extend(fields.as_object().unwrap().clone());
    record
}

/// A house with every kind of item, and a line in every list.
fn house() -> Survey {
    let mut house = standby();
    house["supplies"][0] = with_battery()["supplies"][1].clone();
    house["runs"][0]["from"] = house["supplies"][0]["id"].clone();
    let mut note = record("N", &json!({ "text": "Wet" }));
    let mut photo = record("F", &json!({ "of": "R", "file": "0123.jpg" }));
    for record in [&mut note, &mut photo] {
        record.as_object_mut().unwrap().remove("when");
    }
    let additions = [
        ("/runs/1/parallel_sets", json!(2)),
        ("/supplies/0/efficiencies", json!([{ "power": "1 kW" }])),
        ("/supplies/0/resting_voltages", json!([{ "charge": "50 %" }])),
        ("/loads/0/ratings", json!([{ "voltage": "240 V" }])),
        (
            "/modes",
            json!([{ "id": "mode1", "name": "On the utility", "feeds": ["G"], "devices": [{ "device": "P.1", "state": "open" }, { "device": "P", "state": "closed" }] }]),
        ),
        ("/interlocks", json!([{ "id": "K", "name": "Plate", "ways": ["P.1", "P.2"] }])),
        ("/readings", json!([record("M", &json!({ "at": "R", "instrument": "clamp" }))])),
        ("/photos", json!([photo])),
        ("/notes", json!([note])),
        ("/signatures", json!([record("S", &json!({ "name": "A. Person", "role": "owner" }))])),
    ];
    survey(&with(house, &additions))
}

/// An item of each record of the schema, and where its fields stand in that item.
const RECORDS: &[(&str, &str, &str)] = &[
    ("Site", "site", ""),
    ("Supply", "B", ""),
    ("Battery", "B", "battery."),
    ("Surge", "B", "surges.0."),
    ("EfficiencyAt", "B", "efficiencies.0."),
    ("RestingAt", "B", "resting_voltages.0."),
    ("Device", "B", "output_device."),
    ("Panel", "P", ""),
    ("Device", "P", "main."),
    ("Bus", "P.bus", ""),
    ("Way", "P.1", ""),
    ("Device", "P.1", "device."),
    ("Run", "R", ""),
    ("Load", "L", ""),
    ("Rating", "L", "ratings.0."),
    ("Transfer", "T", ""),
    ("Position", "T.utility", ""),
    ("Interlock", "K", ""),
    ("Inlet", "I", ""),
    ("Mode", "mode1", ""),
    ("Electrode", "E", ""),
    ("Reading", "M", ""),
    ("Photo", "F", ""),
    ("Note", "N", ""),
    ("Signature", "S", ""),
];

fn entered(survey: &Survey, item: &str) -> Vec<Field> {
    fields(survey, &Id::new(item).expect("an id"))
}

fn schema() -> Value {
    schemars::schema_for!(Survey).to_value()
}

fn properties(schema: &Value, record: &str) -> BTreeSet<String> {
    let found = schema["$defs"][record]["properties"].as_object();
    found.unwrap_or_else(|| panic!("the schema has no {record}")).keys().cloned().collect()
}

#[test]
fn every_property_of_the_file_can_be_entered_or_has_its_reason() {
    let (house, schema) = (house(), schema());
    let mut reasons: BTreeSet<(&str, &str)> = BTreeSet::new();
    for (record, item, prefix) in RECORDS {
        let names: BTreeSet<String> = entered(&house, item).into_iter().map(|field| field.name).collect();
        for property in properties(&schema, record) {
            let is_field = names.contains(&format!("{prefix}{property}"));
            // A record or a list inside is entered by what it holds.
            let inside = format!("{prefix}{property}.");
            if is_field || names.iter().any(|name| name.starts_with(&inside)) {
                continue;
            }
            let reason =
                NO_FIELDS.iter().find(|(of, name, _)| *name == property && (of.is_empty() || of == record));
            let reason = reason.unwrap_or_else(|| panic!("{record}.{property} cannot be entered"));
            reasons.insert((reason.0, reason.1));
        }
    }
    assert_eq!(reasons.len(), NO_FIELDS.len(), "a reason that nobody needs");
}

/// Every record of the schema that has an id or stands inside one is among those looked at.
#[test]
fn no_record_of_the_file_is_left_out() {
    let schema = schema();
    let looked_at: BTreeSet<&str> = RECORDS.iter().map(|(record, ..)| *record).collect();
    let records = schema["$defs"].as_object().expect("definitions");
    let left: Vec<&String> = records
        .iter()
        .filter(|(name, definition)| {
            definition["properties"].is_object() && !looked_at.contains(name.as_str())
        })
        .map(|(name, _)| name)
        .collect();
    // What cannot be read is entered at the field where it was meant; how a device stands, with its mode;
    // answers, ink, seals and earlier revisions come with signing.
    assert_eq!(left, ["Answer", "Doubt", "Ink", "KeySeal", "Revision", "Stand"]);
}

#[test]
fn every_field_can_be_entered_again_as_it_stands() {
    let house = house();
    for (_, item, _) in RECORDS {
        for field in entered(&house, item) {
            let id = Id::new(item).expect("an id");
            if field.is_required && field.entry.is_empty() {
                continue;
            }
            let edit = super::set(&house, &id, &field.name, &field.entry);
            assert!(edit.is_ok_and(|edit| edit.is_empty()), "{item} {}", field.name);
        }
    }
}

fn listed(item: &str) -> Vec<String> {
    let fields = entered(&house(), item);
    let line = |field: Field| {
        let mark = if field.is_fact { "" } else { " (no fact)" };
        format!("{}: {} = {} [{:?}]{mark}", field.name, field.label, field.words, field.form)
    };
    fields.into_iter().map(line).collect()
}

#[test]
fn fields_of_a_way() {
    insta::assert_debug_snapshot!(listed("P.1"));
}

#[test]
fn fields_of_a_run() {
    insta::assert_debug_snapshot!(listed("R"));
}

/// One set is like no other: nobody is asked whether it is. What was entered before is still shown.
#[test]
fn a_run_of_one_set_is_not_asked_whether_its_sets_are_alike() {
    let is_shown = |sets: Value, alike: Value| {
        let changes = [("/runs/1/parallel_sets", sets), ("/runs/1/parallel_sets_alike", alike)];
        let survey = survey(&with(standby(), &changes));
        entered(&survey, "R").iter().any(|field| field.name == "parallel_sets_alike")
    };
    assert!(!is_shown(json!(1), Value::Null));
    assert!(is_shown(json!(2), Value::Null));
    assert!(is_shown(Value::Null, Value::Null), "the number of sets is not seen yet");
    assert!(is_shown(json!(1), json!(false)), "what was entered can be cleared");
}
