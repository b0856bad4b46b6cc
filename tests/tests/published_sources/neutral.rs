//! What a shared neutral carries.

use deadfront_rules::calc::load_current::running_current_of_run;
use deadfront_rules::calc::neutral::{of_one_source, of_split_phase, of_wye, when_open};
use deadfront_rules::finding::Verdict;
use deadfront_rules::si::{Current, Resistance, ampere, amperes, volt, volts};
use serde_json::{Value, json};

use crate::example::{Case, Example, Found, is};
use crate::house::{ask, circuit, figure, finding};

pub(crate) const MULTIWIRE: &[(&str, Case)] =
    &[("MW-01", one_wye), ("MW-03", two_wyes), ("MW-05", open_neutral), ("MW-07", opposite_legs)];

pub(crate) const ONE_SOURCE: &[(&str, Case)] =
    &[("NO-01", inverter), ("NO-03", same_leg), ("NO-05", autotransformer)];

fn legs(example: &Example) -> (Current, Current) {
    (amperes(example.number("leg_a")), amperes(example.number("leg_b")))
}

fn one_wye(example: &Example) -> Found {
    let (a, b) = legs(example);
    vec![is("neutral_a", of_wye(a, b, amperes(example.number("leg_c"))).get::<ampere>())]
}

fn two_wyes(example: &Example) -> Found {
    let neutral = |case: &str| {
        let legs = example.numbers(case);
        of_wye(amperes(legs[0]), amperes(legs[1]), amperes(legs[2])).get::<ampere>()
    };
    vec![is("neutral_case_1_a", neutral("case_1")), is("neutral_case_2_a", neutral("case_2"))]
}

/// The neutral of a surveyed shared-neutral circuit with a load on each leg [A].
fn surveyed(a: f64, b: f64) -> f64 {
    let load = |leg: &str, current: f64| {
        let current = format!("{current} A");
        json!({ "kind": "other", "leg": leg, "voltage": "120 V", "current": current })
    };
    let run = json!({ "circuit": "two_hots_and_neutral" });
    let house = circuit(20.0, run, &[load("A", a), load("B", b)]);
    ask(&house, |house| running_current_of_run(house, 0).value.expect("a current").neutral.get::<ampere>())
}

fn open_neutral(example: &Example) -> Found {
    let (a, b) = (example.number("load_a_a"), example.number("load_b_a"));
    let voltage = volts(example.number("load_v"));
    let resistance = |current: f64| -> Resistance { voltage / amperes(current) };
    let (over_a, over_b) = when_open(resistance(a), resistance(b), voltage * 2.0).expect("voltages");
    assert_eq!(surveyed(a, b), of_split_phase(amperes(a), amperes(b)).get::<ampere>());
    vec![
        is("neutral_a", surveyed(a, b)),
        is("open_neutral_load_a_v", over_a.get::<volt>()),
        is("open_neutral_load_b_v", over_b.get::<volt>()),
    ]
}

fn opposite_legs(example: &Example) -> Found {
    let (a, b) = legs(example);
    assert_eq!(surveyed(a.get::<ampere>(), b.get::<ampere>()), of_split_phase(a, b).get::<ampere>());
    vec![is("neutral_a", of_split_phase(a, b).get::<ampere>())]
}

/// A shared-neutral circuit behind a two-pole breaker, in a panel that this supply feeds.
fn shared(output: &str, voltage: &str, breaker: f64) -> Value {
    let run = json!({
        "circuit": "two_hots_and_neutral", "material": "copper", "size": "14 AWG", "neutral_size": "14 AWG",
        "parallel_sets": 1, "method": "nm_b", "ambient": "77 F", "conductors_together": 2,
        "cables_in_one_hole": 1, "insulation_contact": "none", "from_terminal": "60 C",
        "to_terminal": "60 C"
    });
    let mut house = circuit(breaker, run, &[]);
    house["supplies"][0] = json!({
        "id": "U", "name": "Inverter", "kind": "battery_inverter", "output": output, "voltage": voltage
    });
    house
}

fn inverter(example: &Example) -> Found {
    let (a, b) = legs(example);
    let house = shared("120 V on both legs", "120 V", example.number("breaker_a"));
    let told = finding(&house, "shared_neutral_fed_single_phase", "R");
    let sum = of_one_source(a, b).get::<ampere>();
    assert_eq!(figure(told.value.as_ref()), sum, "the check's own figure");
    vec![
        is("neutral_on_split_phase_a", of_split_phase(a, b).get::<ampere>()),
        is("neutral_on_120v_source_a", sum),
        is("neutral_rating_exceeded", told.verdict == Verdict::FallsShort),
    ]
}

fn same_leg(example: &Example) -> Found {
    let (a, b) = legs(example);
    vec![is("neutral_a", of_one_source(a, b).get::<ampere>())]
}

/// With an autotransformer the legs are opposite again.
fn autotransformer(example: &Example) -> Found {
    let (a, b) = legs(example);
    vec![is("neutral_in_multiwire_circuit_a", of_split_phase(a, b).get::<ampere>())]
}
