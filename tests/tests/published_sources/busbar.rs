//! How much a source may feed into a bus besides its main.

use deadfront_rules::calc::busbar::{Method, counted, largest_backfeed};
use deadfront_rules::finding::{Finding, Verdict};
use deadfront_rules::si::{ampere, amperes};
use serde_json::json;

use crate::example::{Case, Example, Found, is};
use crate::house::{circuit, figure, finding};

pub(crate) const CASES: &[(&str, Case)] = &[("BB-01", largest), ("BB-03", largest), ("BB-05", refused)];

/// What the calculation gives, and what the check says on both sides of it.
fn largest(example: &Example) -> Found {
    let (bus, main) = (example.number("bus_a"), example.number("main_a"));
    let most = largest_backfeed(amperes(bus), amperes(main), Method::OppositeEnds).get::<ampere>();
    assert_eq!(told(bus, main, most).verdict, Verdict::Meets, "{most} A");
    assert_eq!(told(bus, main, most + 1.25).verdict, Verdict::FallsShort, "more than {most} A");
    vec![is("maximum_backfeed_a", most), is("factor", Method::OppositeEnds.share().value)]
}

fn refused(example: &Example) -> Found {
    let (bus, main, source) =
        (example.number("bus_a"), example.number("main_a"), example.number("backfeed_a"));
    let told = told(bus, main, source);
    vec![
        is("sum_a", figure(told.value.as_ref())),
        is("limit_a", figure(told.limit.as_ref())),
        is("accepted", told.verdict != Verdict::FallsShort),
        is("factor", Method::OppositeEnds.share().value),
    ]
}

/// What the check says about a bus and its main with a source at the opposite end that counts with so
/// much [A], and with more devices for loads than the bus would stand together.
fn told(bus: f64, main: f64, source: f64) -> Finding {
    // The older editions count the source's device, the present one 125 % of its output.
    let output = source / counted(amperes(1.0)).get::<ampere>();
    let mut house = circuit(bus, json!({ "circuit": "two_hots" }), &[]);
    house["panels"][0]["buses"][0]["rating"] = json!(format!("{bus} A"));
    house["panels"][0]["main"]["rating"] = json!(format!("{main} A"));
    let way = json!({
        "id": "P.2", "spaces": [2, 4], "bus_end": "opposite_end",
        "device": { "kind": "breaker", "rating": format!("{source} A"), "poles": 2 }
    });
    house["panels"][0]["ways"].as_array_mut().expect("ways").push(way);
    let solar = json!({
        "id": "S", "name": "Solar", "kind": "solar", "output": "240 V", "voltage": "240 V",
        "continuous_current": format!("{output} A")
    });
    house["supplies"].as_array_mut().expect("supplies").push(solar);
    let run = json!({ "id": "RSOL", "from": "S", "to": "P.2", "circuit": "two_hots" });
    house["runs"].as_array_mut().expect("runs").push(run);
    finding(&house, "busbar_fed_from_both_ends", "P.bus")
}
