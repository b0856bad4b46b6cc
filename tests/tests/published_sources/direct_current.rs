//! Cables and currents of direct current, and the current of a load at two voltages.

use deadfront_rules::calc::Impedance;
use deadfront_rules::calc::dc::battery_current;
use deadfront_rules::calc::drop_by_hand::{Phases, by_area, estimate};
use deadfront_rules::calc::load_current::running_current_of_run;
use deadfront_rules::si::{
    Area, Length, Power, Ratio, Resistance, Temperature, ampere, amperes, celsius, meter, ohm, percent,
    ratio, square_millimeter, volt, volts, watt,
};
use deadfront_rules::survey::Stranding;
use deadfront_rules::tables::us::{self, ClauseId, Column, Metal};
use serde_json::json;

use crate::drop::along;
use crate::example::{Case, Example, Found, is};
use crate::house::{ask, circuit};

pub(crate) const CASES: &[(&str, Case)] =
    &[("DC-01", small_wire), ("DC-02", three_sections), ("DC-04", battery_cable), ("DC-07", two_voltages)];

fn small_wire(example: &Example) -> Found {
    let size = example.size("conductor_awg");
    let per_kft = us::dc_resistance_per_kft(size, Metal::Copper, Stranding::Stranded).expect("a row").value;
    let round = 2.0 * per_kft * example.number("one_way_length_ft") / 1000.0;
    let drop = estimate(amperes(example.number("current_a")), Impedance::ohms(round, 0.0), 1.0);
    vec![
        is("voltage_drop_v", drop.get::<volt>()),
        is("voltage_drop_percent", (drop / volts(example.number("system_v"))).get::<percent>()),
        is("resistance_ohm_per_kft", per_kft),
    ]
}

fn three_sections(example: &Example) -> Found {
    let area = Area::new::<square_millimeter>(example.number("cross_section_mm2"));
    let k = Resistance::new::<ohm>(example.number("resistivity_ohm_mm2_per_m"))
        * Area::new::<square_millimeter>(1.0)
        / Length::new::<meter>(1.0);
    let current = amperes(example.number("current_a"));
    let lengths = example.numbers("one_way_lengths_m");
    let drop = |metres: &f64| by_area(Phases::Single, k, current, Length::new::<meter>(*metres), area);
    let mut found: Found = Vec::new();
    let mut sections = Vec::new();
    for (at, metres) in lengths.iter().enumerate() {
        found.push(is(format!("drop_{}_v", at + 1), drop(metres).get::<volt>()));
        let drawn = if at + 1 == lengths.len() { current.get::<ampere>() } else { 0.0 };
        sections.push(((drop(metres) / current).get::<ohm>(), drawn));
    }
    // The source gives no voltage; a line of constant current drops the same at any.
    let total: f64 = along(volts(12.0), &sections).iter().map(|drop| drop.get::<volt>()).sum();
    found.push(is("total_drop_v", total));
    found
}

fn battery_cable(example: &Example) -> Found {
    let output = Power::new::<watt>(example.number("inverter_output_w"));
    let efficiency = Ratio::new::<ratio>(example.number("inverter_efficiency"));
    let drawn = battery_current(output, efficiency, volts(example.number("lowest_battery_v")));
    let drawn = drawn.expect("a current").get::<ampere>();
    let continuous = us::number(ClauseId::InverterInput).value;
    // The edition's table: 41 to 45 °C in the 60 °C column.
    let warm = us::ambient_factor(Temperature::new::<celsius>(45.0), Column::C60).expect("a factor").value;
    vec![
        is("dc_current_a", drawn),
        is("conductor_ampacity_a", drawn * continuous),
        is("table_ampacity_needed_a", drawn * continuous / warm),
        is("continuous_factor", continuous),
        is("temperature_factor", warm),
    ]
}

/// Two loads from hot to neutral, then the same two between two hots.
fn two_voltages(example: &Example) -> Found {
    let load = json!({
        "kind": "other", "power": format!("{} W", example.number("load_each_w")), "power_factor": "100 %"
    });
    let current = |wires: &str, count: usize| {
        let loads = vec![load.clone(); count];
        let house = circuit(200.0, json!({ "circuit": wires }), &loads);
        ask(&house, |house| running_current_of_run(house, 0).value.expect("a current").current)
    };
    vec![
        is("current_each_at_120_a", current("hot_and_neutral", 1).get::<ampere>()),
        is("total_current_at_120_parallel_a", current("hot_and_neutral", 2).get::<ampere>()),
        is("total_current_at_240_a", current("two_hots", 2).get::<ampere>()),
    ]
}
