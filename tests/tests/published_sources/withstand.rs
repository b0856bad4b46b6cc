//! The heat that a conductor stands in a fault.

use deadfront_rules::calc::adiabatic::{largest_current, let_through, stands};
use deadfront_rules::si::{Area, Time, ampere, circular_mil, kiloampere, second, square_millimeter};
use deadfront_rules::survey::WireSize;
use deadfront_rules::tables::us::{self, HeatInsulation, Metal, adiabatic_k};

use crate::example::{Case, Example, Found, is};

pub(crate) const CASES: &[(&str, Case)] = &[
    ("AD-01", two_metals),
    ("AD-03", several_areas),
    ("AD-05", ground_for_five_seconds),
    ("AD-07", heat_of_small_cables),
];

fn square_mm(area: f64) -> Area {
    Area::new::<square_millimeter>(area)
}

fn k(metal: Metal, insulation: HeatInsulation, area: f64) -> f64 {
    adiabatic_k(metal, insulation, square_mm(area)).expect("a constant").value
}

/// Thousands of amperes that a conductor with PVC insulation stands for the example's time.
fn pvc(example: &Example, metal: Metal, area: f64) -> f64 {
    let lasts = Time::new::<second>(example.number("time_s"));
    let k = k(metal, HeatInsulation::Thermoplastic70, area);
    largest_current(k, square_mm(area), lasts).expect("a current").get::<kiloampere>()
}

fn two_metals(example: &Example) -> Found {
    let area = example.number("area_mm2");
    let constant = |metal| k(metal, HeatInsulation::Thermoplastic70, area);
    vec![
        is("copper_ka", pvc(example, Metal::Copper, area)),
        is("aluminum_ka", pvc(example, Metal::Aluminium, area)),
        is("k_copper", constant(Metal::Copper)),
        is("k_aluminum", constant(Metal::Aluminium)),
    ]
}

fn several_areas(example: &Example) -> Found {
    let areas = example.numbers("areas_mm2").into_iter();
    let mut found: Found =
        areas.map(|area| is(format!("area_{area}_ka"), pvc(example, Metal::Copper, area))).collect();
    found.push(is("k_copper", k(Metal::Copper, HeatInsulation::Thermoplastic70, 10.0)));
    found
}

/// The rule of 42.25 circular mils an ampere for five seconds, as a k, gives back the withstand of
/// 6 AWG: by area, and by time.
fn ground_for_five_seconds(example: &Example) -> Found {
    // What the source prints; the withstand that it gives rests on it.
    let printed = example.expected["cmil_per_ampere"].published.as_f64().expect("a figure");
    let one = Area::new::<circular_mil>(printed).get::<square_millimeter>();
    let lasts = Time::new::<second>(example.number("time_s"));
    let k = let_through(deadfront_rules::si::amperes(1.0), lasts).sqrt() / one;
    let six = us::area(WireSize::Awg(6)).expect("a row").value;
    let withstand = largest_current(k, six, lasts).expect("a current");
    let heat = let_through(withstand, lasts);
    assert!((heat / stands(k, six) - 1.0).abs() < 1e-12, "it takes up what the fault lets through");
    vec![is("withstand_6_awg_a", withstand.get::<ampere>()), is("area_6_awg_cmil", six.get::<circular_mil>())]
}

fn heat_of_small_cables(example: &Example) -> Found {
    let kinds = [("pvc", HeatInsulation::Thermoplastic70), ("xlpe", HeatInsulation::Thermoset90)];
    let mut found = Vec::new();
    for (name, insulation) in kinds {
        for area in example.numbers("areas_mm2") {
            let k = k(Metal::Copper, insulation, area);
            let figure = format!("{name}_{}_mega_a2s", area.to_string().replace('.', "_"));
            found.push(is(figure, stands(k, square_mm(area)) / 1e6));
            found.push(is(format!("k_{name}"), k));
        }
    }
    found
}
