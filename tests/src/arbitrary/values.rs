//! Values of facts: what is usual in a house, and anything the file accepts.

use proptest::prelude::*;
use serde_json::Value;

/// A unit and the usual range of whole numbers in it.
type Usual = (&'static str, i32, i32);

/// Values usual for a fact; `None` when any value of its type is as good.
pub(super) fn usual(record: &str, name: &str) -> Option<BoxedStrategy<Value>> {
    Some(match (record, name) {
        ("Device" | "Transfer" | "Inlet" | "Bus", "rating") => entries(&[
            "15 A", "20 A", "25 A", "30 A", "40 A", "50 A", "60 A", "70 A", "100 A", "125 A", "150 A",
            "200 A",
        ]),
        ("Device", "interrupting_rating") => entries(&["5 kA", "10 kA", "22 kA", "unmarked"]),
        ("Device", "instantaneous_trip") => entries(&["100 A", "200 A", "320 A", "2 kA"]),
        ("Run", "size" | "neutral_size") => entries(&[
            "14 AWG",
            "12 AWG",
            "10 AWG",
            "8 AWG",
            "6 AWG",
            "4 AWG",
            "2 AWG",
            "1/0 AWG",
            "2/0 AWG",
            "4/0 AWG",
            "250 kcmil",
            "16 mm2",
            "2.5 mm2",
        ]),
        ("Run", "ambient") => entries(&["86 F", "104 F", "130 F", "30 C", "10 C"]),
        ("Load" | "Inlet" | "Rating", "voltage") => entries(&["120 V", "208 V", "240 V", "115 V", "230 V"]),
        ("Supply", "voltage") => entries(&["120 V", "240 V"]),
        ("Battery", "voltage" | "lowest_voltage") => entries(&["12 V", "24 V", "48 V", "51.2 V"]),
        ("Supply", "fault_resistance_share" | "transformer_resistance" | "transformer_impedance")
        | ("Load", "power_factor" | "start_power_factor") => quantity_in(&[("%", 1, 100)]),
        ("Device", "poles") => numbers(1, 3),
        ("Way", "wires_on_terminal") => numbers(0, 3),
        ("Way", "terminal_takes") => numbers(1, 2),
        ("Run", "parallel_sets") => numbers(1, 2),
        ("Run", "conductors_together") => numbers(2, 12),
        ("Run", "cables_in_one_hole") => numbers(1, 5),
        ("Load", "outlet_count") => numbers(1, 20),
        ("Site", "built") => numbers(1880, 2025),
        _ => return None,
    })
}

/// Any quantity of a kind, by its name in the schema: mostly usual ones, now and then the ends of
/// what the file accepts.
///
/// # Panics
/// On a kind without values here: add them.
pub(super) fn quantity(kind: &str) -> BoxedStrategy<Value> {
    let (usual, ends): (&[Usual], &[&str]) = match kind {
        "a_length" => {
            (&[("ft", 1, 250), ("m", 1, 80), ("in", 1, 100), ("mm", 1, 3000)], &["0 ft", "10000 m", "45'"])
        }
        "a_current" => (&[("A", 1, 400), ("kA", 1, 25)], &["0 A", "1000 kA"]),
        "a_voltage" => (&[("V", 1, 600)], &["0 V", "50000 V"]),
        "a_power" => (&[("W", 1, 9000), ("kW", 1, 25)], &["0 W", "10000 kW"]),
        "an_apparent_power" => (&[("VA", 1, 9000), ("kVA", 1, 100)], &["0 VA", "100000 kVA"]),
        "a_motor's_power" => (&[("hp", 1, 10), ("kW", 1, 7)], &["0 hp", "1/2 hp", "1-1/2 hp", "1000 hp"]),
        "a_temperature" => (&[("F", -20, 160), ("C", -30, 70), ("°C", 0, 60)], &["-80 C", "400 C"]),
        "a_resistance" => (&[("ohm", 1, 100), ("mohm", 1, 900), ("Ω", 1, 50)], &["0 ohm", "1000000 ohm"]),
        "an_energy" => (&[("kWh", 1, 40), ("Wh", 1, 9000)], &["0 Wh", "100000 kWh"]),
        "a_battery's_capacity" => (&[("Ah", 1, 600)], &["0 Ah", "100000 Ah"]),
        "a_time" => (&[("s", 1, 90), ("ms", 1, 900), ("min", 1, 60), ("h", 1, 9)], &["0 s", "10000 h"]),
        "a_floor_area" => (&[("ft2", 200, 5000), ("m²", 20, 500)], &["0 m2", "100000 m2"]),
        "a_latitude" => (&[("°", -70, 70)], &["-90 °", "90 deg"]),
        "a_share" => (&[("%", 1, 100)], &["0 %", "1000 %"]),
        "a_wire_size" => {
            return entries(&["18 AWG", "1 AWG", "40 AWG", "4/0 AWG", "2000 kcmil", "0.1 mm2", "2000 mm²"]);
        }
        "an_interrupting_rating" => (&[("kA", 1, 65)], &["unmarked", "0 A"]),
        _ => panic!("no values for the kind {kind} yet"),
    };
    prop_oneof![9 => quantity_in(usual), 1 => entries(ends)].boxed()
}

fn quantity_in(usual: &[Usual]) -> BoxedStrategy<Value> {
    (prop::sample::select(usual.to_vec()), 0.0..1.0_f64, any::<bool>())
        .prop_map(|((unit, low, high), share, whole)| {
            let number = f64::from(low) + share * f64::from(high - low);
            if whole { format!("{number:.0} {unit}") } else { format!("{number:.1} {unit}") }.into()
        })
        .boxed()
}

fn entries(entries: &[&'static str]) -> BoxedStrategy<Value> {
    prop::sample::select(entries.to_vec()).prop_map(Value::from).boxed()
}

fn numbers(low: u16, high: u16) -> BoxedStrategy<Value> {
    (low..=high).prop_map(Value::from).boxed()
}

/// Names, labels and remarks: plain ones, and some with every kind of character.
pub(super) fn text() -> BoxedStrategy<String> {
    prop_oneof![4 => "[A-Z][a-z ]{0,16}", 1 => "(?s).{0,12}", 1 => Just(String::new())].boxed()
}
