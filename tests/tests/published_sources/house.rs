//! Small invented houses in which an example is worked.

use deadfront_rules::assess;
use deadfront_rules::finding::{Arg, Finding};
use deadfront_rules::house::House;
use deadfront_rules::survey::Survey;
use serde_json::{Value, json};

/// A utility of 120/240 V, a panel with a two-pole breaker of this rating [A] in way 1, and run R from
/// it with these facts and these loads.
pub(crate) fn circuit(device: f64, run: Value, loads: &[Value]) -> Value {
    let mut house = json!({
        "deadfront_survey": 1,
        "site": { "name": "A published example (invented house)", "rules": "us", "invented": true },
        "supplies": [{
            "id": "U", "name": "Utility", "kind": "utility", "output": "120/240 V", "voltage": "240 V"
        }],
        "panels": [{
            "id": "P", "name": "Panel", "buses": [{ "id": "P.bus" }], "main": { "kind": "breaker" },
            "ways": [{
                "id": "P.1", "spaces": [1, 3], "leg": "AB",
                "device": { "kind": "breaker", "rating": format!("{device} A"), "poles": 2 }
            }]
        }],
        "runs": [
            joined(json!({ "id": "R", "from": "P.1" }), run),
            { "id": "RS", "from": "U", "to": "P", "circuit": "two_hots_and_neutral" }
        ]
    });
    let load = |(at, load): (usize, &Value)| {
        joined(json!({ "id": format!("L{at}"), "name": "Load", "on": "R" }), load.clone())
    };
    house["loads"] = loads.iter().enumerate().map(load).collect();
    house
}

/// One object with the fields of both.
pub(crate) fn joined(mut first: Value, second: Value) -> Value {
    if let (Some(first), Value::Object(second)) = (first.as_object_mut(), second) {
        first.extend(second);
    }
    first
}

/// Reads a house and asks something of it. Run R is number 0.
pub(crate) fn ask<T>(house: &Value, question: impl FnOnce(&House<'_>) -> T) -> T {
    let survey = read(house);
    question(&House::new(&survey))
}

fn read(house: &Value) -> Survey {
    serde_json::from_value(house.clone()).unwrap_or_else(|error| panic!("no survey: {error}"))
}

/// What a check says about an item.
pub(crate) fn finding(house: &Value, check: &str, item: &str) -> Finding {
    let findings = assess(&read(house)).findings.into_iter();
    let mut of = findings.filter(|finding| finding.check == check && finding.subject.id.as_str() == item);
    of.next().unwrap_or_else(|| panic!("{check} says nothing about {item}"))
}

/// A figure of a finding, in its unit.
pub(crate) fn figure(arg: Option<&Arg>) -> f64 {
    match arg {
        Some(Arg::Quantity(number, ..) | Arg::Number(number, _)) => *number,
        other => panic!("{other:?} is no figure"),
    }
}
