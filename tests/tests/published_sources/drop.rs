//! Voltage drop of alternating current: short forms, and sums along a line by load flow.

use deadfront_rules::calc::Impedance;
use deadfront_rules::calc::drop::{Draw, Keeps, Section, radial};
use deadfront_rules::calc::drop_by_hand::{Phases, area_for, by_area, estimate};
use deadfront_rules::si::{Current, Length, Voltage, amperes, circular_mil, foot, percent, volt, volts};
use deadfront_rules::survey::{Raceway, WireSize};
use deadfront_rules::tables::us::{self, Metal};

use crate::example::{Case, Example, Found, is};

pub(crate) const CASES: &[(&str, Case)] = &[
    ("VD-01", by_circular_mils),
    ("VD-03", by_effective_impedance),
    ("VD-05", area_needed),
    ("VD-06", motor_feeder),
    ("VD-08", area_needed),
];

fn phases(example: &Example) -> Phases {
    if example.number("phases") > 1.0 { Phases::Three } else { Phases::Single }
}

fn current(example: &Example) -> Current {
    amperes(example.number("current_a"))
}

fn length(example: &Example) -> Length {
    Length::new::<foot>(example.number("one_way_length_ft"))
}

fn by_circular_mils(example: &Example) -> Found {
    let area = us::area(example.size("conductor_awg")).expect("a row").value;
    let drop = by_area(phases(example), example.k(), current(example), length(example), area);
    vec![
        is("voltage_drop_v", drop.get::<volt>()),
        is("voltage_drop_percent", (drop / volts(example.number("system_v"))).get::<percent>()),
        is("circular_mils", area.get::<circular_mil>()),
    ]
}

/// The effective impedance of a power factor is a magnitude that acts like a resistance.
fn by_effective_impedance(example: &Example) -> Found {
    let per_kft = example.number("effective_z_ohm_per_kft");
    assert!((effective(WireSize::Awg(10), 0.85) - per_kft).abs() < 0.05, "Table 9 rounds it to one decimal");
    let one_way = Impedance::ohms(per_kft * length(example).get::<foot>() / 1000.0, 0.0);
    let drop = estimate(current(example), one_way * phases(example).factor(), 1.0);
    vec![is("voltage_drop_v", drop.get::<volt>())]
}

/// R cos φ + X sin φ in Ω per 1000 ft, copper in steel conduit: the last columns of Table 9.
fn effective(size: WireSize, power_factor: f64) -> f64 {
    let resistance = us::ac_resistance_per_kft(size, Metal::Copper, Raceway::Steel).expect("a row").value;
    let reactance = us::reactance_per_kft(size, Raceway::Steel).expect("a row").value;
    estimate(amperes(1.0), Impedance::ohms(resistance, reactance), power_factor).get::<volt>()
}

fn area_needed(example: &Example) -> Found {
    let allowed = volts(example.number("allowed_drop_v"));
    let area = area_for(phases(example), example.k(), current(example), length(example), allowed);
    let area = area.expect("an area");
    let size = us::size_of_area(area).expect("a size");
    vec![is("required_circular_mils", area.get::<circular_mil>()), is("conductor_awg", size)]
}

/// The table's volts per ampere and kilometre hold √3 and the power factor already.
fn motor_feeder(example: &Example) -> Found {
    let per_ampere = example.number("table_drop_v_per_a_km") * example.number("length_m") / 1000.0;
    let current = example.number("current_a");
    let upstream = example.number("upstream_drop_v");
    let system = volts(example.number("system_v"));
    let drops = along(system, &[(upstream / current, 0.0), (per_ampere, current)]);
    vec![
        is("cable_drop_v", drops[1].get::<volt>()),
        is("total_drop_v", (drops[0] + drops[1]).get::<volt>()),
        is("total_drop_percent", ((drops[0] + drops[1]) / system).get::<percent>()),
    ]
}

/// The drop of each section of a line, by load flow: its volts per ampere, and the current drawn at
/// its end [A].
pub(crate) fn along(source: Voltage, sections: &[(f64, f64)]) -> Vec<Voltage> {
    let section = |&(per_ampere, drawn): &(f64, f64)| Section {
        impedance: Impedance::ohms(per_ampere, 0.0),
        load: Draw::of_current(amperes(drawn), source, 1.0, Keeps::Current),
    };
    let sections: Vec<Section> = sections.iter().map(section).collect();
    let solution = radial(source, source, &sections);
    let flow = solution.settled().expect("a flow");
    let at = |number| flow.voltage(number).expect("a voltage");
    (0..sections.len()).map(|number| at(number) - at(number + 1)).collect()
}
