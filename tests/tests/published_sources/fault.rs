//! Fault currents by the point-to-point method.

use deadfront_rules::calc::drop_by_hand::Phases;
use deadfront_rules::calc::short_circuit::{PointToPoint, at_terminals, point_to_point, rated_current};
use deadfront_rules::si::{
    Current, Power, Ratio, Resistance, ampere, kiloampere, kilowatt, ohm, percent, volts,
};
use deadfront_rules::tables::us::{PracticeId, practice};

use crate::example::{Case, Example, Found, is};

pub(crate) const CASES: &[(&str, Case)] =
    &[("FC-01", plan_review), ("FC-03", handbook), ("FC-04", at_its_terminals)];

fn rated(example: &Example, voltage: &str) -> Current {
    let rating = Power::new::<kilowatt>(example.number("transformer_kva"));
    rated_current(rating, volts(example.number(voltage)), Phases::Three).expect("a current")
}

/// The plate's impedance at its low end.
fn low_end(example: &Example) -> Ratio {
    let plate = Ratio::new::<percent>(example.number("z_percent_nameplate"));
    plate * practice(PracticeId::TransformerImpedanceLow).value
}

/// One run further: its length [ft] and the method's constant C, all parallel sets together.
fn along(example: &Example, before: Current, length: f64, c: f64) -> PointToPoint {
    let one_way = Resistance::new::<ohm>(length / c);
    let voltage = volts(example.number("secondary_v"));
    point_to_point(Phases::Three, before, one_way, voltage).expect("a step")
}

fn plan_review(example: &Example) -> Found {
    let rated = rated(example, "secondary_v");
    let fault = at_terminals(rated, low_end(example)).expect("a current");
    let c = example.number("run_1_c") * example.number("run_1_parallel");
    let first = along(example, fault, example.number("run_1_length_ft"), c);
    let second = along(example, first.current, example.number("run_2_length_ft"), example.number("run_2_c"));
    vec![
        is("full_load_a", rated.get::<ampere>()),
        is("transformer_fault_a", fault.get::<ampere>()),
        is("f_1", first.f),
        is("m_1", first.m),
        is("fault_1_a", first.current.get::<ampere>()),
        is("fault_2_a", second.current.get::<ampere>()),
        is("z_percent_used_90_percent", low_end(example).get::<percent>()),
    ]
}

fn handbook(example: &Example) -> Found {
    let rated = rated(example, "secondary_v");
    let fault = at_terminals(rated, low_end(example)).expect("a current");
    let c = example.number("service_c") * example.number("service_parallel");
    let service = along(example, fault, example.number("service_length_ft"), c);
    let c = example.number("feeder_c") * example.number("feeder_parallel");
    let feeder = along(example, service.current, example.number("feeder_length_ft"), c);
    vec![
        is("full_load_a", rated.get::<ampere>()),
        is("terminal_fault_a", fault.get::<ampere>()),
        is("f_service", service.f),
        is("fault_x1_a", service.current.get::<ampere>()),
        is("f_feeder", feeder.f),
        is("fault_x2_a", feeder.current.get::<ampere>()),
        is("tolerance_factor", practice(PracticeId::TransformerImpedanceLow).value),
    ]
}

fn at_its_terminals(example: &Example) -> Found {
    let rated = rated(example, "no_load_v");
    let impedance = Ratio::new::<percent>(example.number("usc_percent"));
    let fault = at_terminals(rated, impedance).expect("a current");
    vec![is("rated_current_a", rated.get::<ampere>()), is("fault_current_ka", fault.get::<kiloampere>())]
}
