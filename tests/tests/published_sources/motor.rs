//! Motors at their start.

use deadfront_rules::calc::drop_by_hand::Phases;
use deadfront_rules::calc::load_current::{Start, start_current};
use deadfront_rules::calc::short_circuit::rated_current;
use deadfront_rules::si::{Power, ampere, horsepower_electric, kilowatt, percent, volt, volts};
use deadfront_rules::survey::CodeLetter;
use deadfront_rules::tables::us::{self, code_letter_kva_per_hp};
use serde_json::{Value, json};

use crate::drop::along;
use crate::example::{Case, Example, Found, is};
use crate::house::{ask, circuit};

pub(crate) const CASES: &[(&str, Case)] = &[
    ("MS-01", by_code_letter),
    ("MS-03", by_table),
    ("MS-04", drop_at_start),
    ("MS-06", middle_of_the_bands),
];

/// The start of a motor on a circuit with these wires.
fn start(wires: &str, motor: Value) -> Start {
    let house = circuit(100.0, json!({ "circuit": wires }), &[motor]);
    ask(&house, |house| start_current(house, &house.survey.loads[0]).value.expect("a start"))
}

/// The kVA as the program reckons them, on its single phase; on the example's three phases their
/// current is that of any three-phase rating.
fn by_code_letter(example: &Example) -> Found {
    let motor = json!({
        "kind": "motor", "code_letter": example.inputs["code_letter"],
        "horsepower": format!("{} hp", example.number("motor_hp"))
    });
    let start = start("two_hots", motor);
    let apparent: Power = start.current * start.voltage;
    let current =
        rated_current(apparent, volts(example.number("motor_v")), Phases::Three).expect("a current");
    let upper = code_letter_kva_per_hp(CodeLetter::G).and_then(|(_, upper)| upper).expect("a letter");
    vec![
        is("locked_rotor_kva", apparent.get::<kilowatt>()),
        is("locked_rotor_a", current.get::<ampere>()),
        is("upper_kva_per_hp", upper.value),
    ]
}

fn by_table(example: &Example) -> Found {
    let motor = json!({ "kind": "motor", "horsepower": format!("{} hp", example.number("motor_hp")) });
    let starting = |wires| start(wires, motor.clone()).current.get::<ampere>();
    let power = Power::new::<horsepower_electric>(example.number("motor_hp"));
    let full = |voltage| us::full_load_current(power, volts(voltage)).expect("a row").value.get::<ampere>();
    let ratio = starting("two_hots") / full(230.0);
    vec![
        is("locked_rotor_115_a", starting("hot_and_neutral")),
        is("locked_rotor_230_a", starting("two_hots")),
        is("table_full_load_115_a", full(115.0)),
        is("table_full_load_230_a", full(230.0)),
        is("ratio", ratio),
    ]
}

/// The board's impedance follows from its drop in normal service; at the start it carries more.
fn drop_at_start(example: &Example) -> Found {
    let board = example.number("board_drop_normal_v") / example.number("board_current_normal_a");
    let cable = example.number("table_drop_v_per_a_km") * example.number("length_m") / 1000.0;
    let start = example.number("start_current_a");
    let others = example.number("board_current_start_a") - start;
    let system = volts(example.number("system_v"));
    let drops = along(system, &[(board, others), (cable, start)]);
    vec![
        is("cable_drop_v", drops[1].get::<volt>()),
        is("board_drop_v", drops[0].get::<volt>()),
        is("total_drop_v", (drops[0] + drops[1]).get::<volt>()),
        is("total_drop_percent", ((drops[0] + drops[1]) / system).get::<percent>()),
    ]
}

/// Both ends of each band, and the middle that a generator maker takes.
fn middle_of_the_bands(_: &Example) -> Found {
    use CodeLetter::{E, F, G, H, J, K, L};
    let mut found = Vec::new();
    for (letter, name) in [(E, "E"), (F, "F"), (G, "G"), (H, "H"), (J, "J"), (K, "K"), (L, "L")] {
        let (low, high) = code_letter_kva_per_hp(letter).expect("a letter");
        let (low, high) = (low.expect("a low end").value, high.expect("a high end").value);
        found.push(is(name, f64::midpoint(low, high)));
        found.push(is(format!("bands_kva_per_hp/{name}/0"), low));
        found.push(is(format!("bands_kva_per_hp/{name}/1"), high));
    }
    found
}
