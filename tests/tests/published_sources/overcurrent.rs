//! Standard ratings, and what a circuit asks of its device.

use deadfront_rules::calc::drop_by_hand::Phases;
use deadfront_rules::calc::load_current::{design_current_of_run, running_current_of_run};
use deadfront_rules::calc::short_circuit::rated_current;
use deadfront_rules::finding::Verdict;
use deadfront_rules::si::{Current, Power, ampere, amperes, volts, watt};
use deadfront_rules::tables::us::{self, ClauseId, DeviceFamily, Metal, MotorDevice};
use serde_json::{Value, json};

use crate::example::{Case, Example, Found, is};
use crate::house::{ask, circuit, figure, finding};

pub(crate) const CASES: &[(&str, Case)] = &[
    ("OC-01", continuous_and_other),
    ("OC-03", motor_circuit),
    ("OC-05", inverter_on_small_wire),
    ("OC-07", feeder_of_motors),
    ("OC-08", feeder_device_of_motors),
];

fn breaker_at_least(current: Current) -> f64 {
    us::standard_rating_at_least(current, DeviceFamily::Breaker).expect("a rating").value.get::<ampere>()
}

/// From the store's two loads on: 100 % of the one and 125 % of the continuous one.
fn continuous_and_other(example: &Example) -> Found {
    let load = |name: &str, continuous: bool| {
        let apparent = format!("{} VA", example.midway(name));
        json!({ "kind": "other", "apparent_power": apparent, "continuous": continuous })
    };
    let loads = [load("noncontinuous_va", false), load("continuous_va", true)];
    let voltage = volts(example.number("service_v"));
    let house = circuit(150.0, json!({ "circuit": "two_hots" }), &loads);
    ask(&house, |house| {
        let running = running_current_of_run(house, 0).value.expect("a current").current;
        let device = design_current_of_run(house, 0).value.expect("a current").current;
        vec![
            is("calculated_current_a", running.get::<ampere>()),
            is("minimum_device_va", (device * voltage).get::<watt>()),
            is("minimum_device_a", device.get::<ampere>()),
            is("standard_device_a", breaker_at_least(device)),
        ]
    })
}

/// The three-phase motor's table current is given; conductor and breaker follow as for any motor.
fn motor_circuit(example: &Example) -> Found {
    let full_load = amperes(example.number("table_full_load_a"));
    let conductor = us::number(ClauseId::MotorConductor).value;
    let percent = us::motor_device_percent(MotorDevice::InverseTimeBreaker, full_load).expect("a row").base;
    let breaker = full_load * (percent.value / 100.0);
    vec![
        is("conductor_minimum_a", (full_load * conductor).get::<ampere>()),
        is("breaker_computed_a", breaker.get::<ampere>()),
        is("breaker_standard_a", breaker_at_least(breaker)),
        is("conductor_factor", conductor),
        is("inverse_time_breaker_factor", percent.value / 100.0),
    ]
}

fn inverter_on_small_wire(example: &Example) -> Found {
    let power = Power::new::<watt>(example.number("inverter_w"));
    let output = rated_current(power, volts(example.number("system_v")), Phases::Single).expect("a current");
    let factor = us::number(ClauseId::SourceDevice).value;
    let device = breaker_at_least(output * factor);
    let size = example.size("conductor_awg");
    let planned = finding(&plan(device, &size.to_string()), "device_larger_than_conductor", "R");
    let limit = us::small_conductor_limit(size, Metal::Copper).expect("a limit").value.get::<ampere>();
    assert_eq!((figure(planned.value.as_ref()), figure(planned.limit.as_ref())), (device, limit));
    let within = finding(&plan(limit, &size.to_string()), "device_larger_than_conductor", "R");
    assert_eq!(within.verdict, Verdict::Meets, "a device at the limit");
    vec![
        is("output_current_a", output.get::<ampere>()),
        is("device_minimum_a", (output * factor).get::<ampere>()),
        is("standard_device_a", device),
        is("maximum_device_on_10_awg_copper_a", limit),
        is("plan_accepted", planned.verdict != Verdict::FallsShort),
        is("continuous_factor", factor),
    ]
}

/// The inverter's circuit as planned, with everything else right.
fn plan(device: f64, size: &str) -> Value {
    let run = json!({
        "circuit": "two_hots", "material": "copper", "size": size, "parallel_sets": 1, "method": "raceway",
        "raceway": "steel", "insulation": "THWN-2", "wet": false, "ambient": "30 C",
        "conductors_together": 2, "insulation_contact": "none", "from_terminal": "75 C",
        "to_terminal": "75 C"
    });
    circuit(device, run, &[json!({ "kind": "other", "current": "30 A" })])
}

/// 430.24 on the currents that the example's three-phase table gives.
fn feeder_of_motors(example: &Example) -> Found {
    let motor = |current: &f64| json!({ "kind": "motor", "current": format!("{current} A") });
    let motors: Vec<Value> = example.numbers("table_a").iter().map(motor).collect();
    let house = circuit(200.0, json!({ "circuit": "two_hots" }), &motors);
    let current = ask(&house, |house| design_current_of_run(house, 0).value.expect("a current").current);
    vec![
        is("feeder_minimum_a", current.get::<ampere>()),
        is("largest_motor_extra", us::number(ClauseId::SeveralMotors).value),
    ]
}

/// The next standard rating down from the sums that the example works out.
fn feeder_device_of_motors(example: &Example) -> Found {
    let at_most = |name: &str, family| {
        let rating = us::standard_rating_at_most(amperes(example.midway(name)), family).expect("a rating");
        rating.value.get::<ampere>()
    };
    vec![
        is("time_delay_fuse_a", at_most("time_delay_fuse_sum_a", DeviceFamily::Fuse)),
        is("breaker_a", at_most("breaker_sum_a", DeviceFamily::Breaker)),
    ]
}
