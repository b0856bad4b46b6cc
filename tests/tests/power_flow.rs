//! Voltage drop and fault currents beside those of a general-purpose power-flow library.
//!
//! `published/power_flow.json` names the library and its version, and how a single-phase loop was
//! entered into it. Its figures are inputs and outputs only; nothing of it runs here.

use deadfront_rules::calc::Impedance;
use deadfront_rules::calc::drop::{Draw, Flow, Keeps, Section, radial};
use deadfront_rules::calc::drop_by_hand::Phases;
use deadfront_rules::calc::short_circuit::{at_terminals, bolted, rated_current};
use deadfront_rules::si::{
    Current, Power, Ratio, Resistance, ampere, kilowatt, ohm, percent, volt, volts, watt,
};
use serde::Deserialize;

/// The largest share by which a figure may differ. The promise is a thousandth; the library stops
/// its own iteration at less than a thousand-millionth.
const SHARE: f64 = 1e-8;

#[derive(Deserialize)]
struct File {
    tool: String,
    version: String,
    cases: Vec<Case>,
}

#[derive(Deserialize)]
struct Case {
    id: String,
    kind: String,
    note: String,
    inputs: Inputs,
    pandapower: Outputs,
    same_network_without_c_factor_v_over_z_a: Option<Vec<f64>>,
    same_network_without_c_and_k_t_v_over_z_a: Option<Vec<f64>>,
}

/// Everything that any of the cases gives.
#[derive(Deserialize)]
struct Inputs {
    nominal_v: Option<f64>,
    source_v: Option<f64>,
    load_model: Option<String>,
    #[serde(default)]
    sections: Vec<Loop>,
    #[serde(default)]
    loads_at_section_end: Vec<Load>,
    source_prospective_current_a: Option<f64>,
    source_r_over_x: Option<f64>,
    conductor_end_temperature_c: Option<f64>,
    voltage_factor_c: Option<f64>,
    k_t: Option<f64>,
    transformer_kva: Option<f64>,
    secondary_v: Option<f64>,
    z_percent: Option<f64>,
    r_percent: Option<f64>,
    service_loop_r_ohm: Option<f64>,
    service_loop_x_ohm: Option<f64>,
}

#[derive(Deserialize)]
struct Loop {
    loop_r_ohm: f64,
    loop_x_ohm: f64,
}

#[derive(Deserialize)]
struct Load {
    p_w: f64,
    q_var: f64,
}

#[derive(Deserialize)]
struct Outputs {
    #[serde(default)]
    bus_voltage_v: Vec<f64>,
    #[serde(default)]
    section_current_a: Vec<f64>,
    #[serde(default)]
    section_loss_w: Vec<f64>,
    total_drop_v: Option<f64>,
    /// Initial symmetrical short-circuit currents, with the factors of IEC 60909.
    #[serde(default)]
    ikss_a: Vec<f64>,
}

fn file() -> File {
    serde_json::from_str(include_str!("../published/power_flow.json")).expect("the data file holds cases")
}

/// The cases of a kind; so many there must be.
fn cases(file: &File, kind: &str, count: usize) -> Vec<usize> {
    let found: Vec<usize> = (0..file.cases.len()).filter(|at| file.cases[*at].kind == kind).collect();
    assert_eq!(found.len(), count, "{kind}");
    found
}

#[derive(Default)]
struct Compared {
    faults: Vec<String>,
    worst: f64,
}

impl Compared {
    /// Compares a figure with the library's, by the share of it that they differ by.
    fn figure(&mut self, what: &str, found: f64, wanted: f64) {
        let share = ((found - wanted) / wanted).abs();
        // `f64::max` passes over what is no number, and that must not look equal.
        self.worst = if share.is_nan() { f64::INFINITY } else { self.worst.max(share) };
        if share.is_nan() || share > SHARE {
            self.faults.push(format!("{what}: {found}, the library gives {wanted}"));
        }
    }
}

fn flow(inputs: &Inputs) -> Flow {
    let keeps = match inputs.load_model.as_deref() {
        Some("power") => Keeps::Power,
        Some("current") => Keeps::Current,
        Some("impedance") => Keeps::Impedance,
        other => panic!("no load keeps its {other:?}"),
    };
    let [source, nominal] =
        [inputs.source_v, inputs.nominal_v].map(|number| volts(number.expect("a voltage")));
    assert_eq!(inputs.sections.len(), inputs.loads_at_section_end.len());
    let section = |(line, load): (&Loop, &Load)| Section {
        impedance: Impedance::ohms(line.loop_r_ohm, line.loop_x_ohm),
        load: Draw { power: Power::new::<watt>(load.p_w), reactive: Power::new::<watt>(load.q_var), keeps },
    };
    let lines = inputs.sections.iter().zip(&inputs.loads_at_section_end);
    let sections: Vec<Section> = lines.map(section).collect();
    radial(source, nominal, &sections).settled().expect("the case has a solution").clone()
}

#[test]
fn load_flow_agrees_with_a_general_library() {
    let file = file();
    let mut compared = Compared::default();
    for at in cases(&file, "load_flow", 8) {
        let Case { id, note, inputs, pandapower: outputs, .. } = &file.cases[at];
        let flow = flow(inputs);
        let drop = outputs.total_drop_v.expect("a drop");
        println!("{id} ({} {}): {note}: drop {} V", file.tool, file.version, flow.drop().get::<volt>());
        compared.figure(&format!("{id} drop"), flow.drop().get::<volt>(), drop);
        assert_eq!(flow.voltages.len(), outputs.bus_voltage_v.len());
        for (bus, wanted) in outputs.bus_voltage_v.iter().enumerate() {
            let found = flow.voltage(bus).expect("a voltage").get::<volt>();
            compared.figure(&format!("{id} voltage {bus}"), found, *wanted);
        }
        assert_eq!(flow.currents.len(), outputs.section_current_a.len());
        for (section, wanted) in outputs.section_current_a.iter().enumerate() {
            let found = flow.current(section).expect("a current").get::<ampere>();
            compared.figure(&format!("{id} current {section}"), found, *wanted);
        }
        for (section, wanted) in outputs.section_loss_w.iter().enumerate() {
            compared.figure(&format!("{id} loss {section}"), flow.losses[section].get::<watt>(), *wanted);
        }
    }
    println!("largest difference: {:e} of the figure", compared.worst);
    assert!(compared.faults.is_empty(), "\n{}", compared.faults.join("\n"));
}

fn ohms(inputs: Option<f64>) -> f64 {
    inputs.expect("an impedance")
}

fn fault(compared: &mut Compared, id: &str, voltage: f64, path: &[Impedance], wanted: &[f64]) {
    assert_eq!(path.len(), wanted.len(), "{id}");
    let mut whole = Impedance::default();
    for (at, (part, wanted)) in path.iter().zip(wanted).enumerate() {
        whole = whole + *part;
        let current = bolted(volts(voltage), whole).expect("a current").get::<ampere>();
        println!("{id}, fault {at}: {current} A");
        compared.figure(&format!("{id} fault {at}"), current, *wanted);
    }
}

/// The source and the loops behind it. Where the case warms the conductors, the library takes the
/// given resistances as those at 20 °C, with 0.4 % a kelvin.
fn network(inputs: &Inputs) -> Vec<Impedance> {
    let voltage = volts(inputs.nominal_v.expect("a voltage"));
    let strength = Current::new::<ampere>(inputs.source_prospective_current_a.expect("a current"));
    let ratio = inputs.source_r_over_x.expect("a ratio");
    let share = ratio / (1.0 + ratio * ratio).sqrt();
    let warmer = inputs.conductor_end_temperature_c.map_or(1.0, |end| 1.0 + 0.004 * (end - 20.0));
    let loops = inputs.sections.iter();
    let loops = loops.map(|line| Impedance::ohms(line.loop_r_ohm * warmer, line.loop_x_ohm));
    std::iter::once(Impedance::of_magnitude(voltage / strength, share)).chain(loops).collect()
}

/// A transformer by its plate behind an infinite primary, and its service.
fn transformer(inputs: &Inputs) -> Vec<Impedance> {
    let [plate, resistance] = [inputs.z_percent, inputs.r_percent].map(|share| share.expect("a share"));
    let voltage = volts(inputs.secondary_v.expect("a voltage"));
    let rating = Power::new::<kilowatt>(inputs.transformer_kva.expect("a rating"));
    let rated = rated_current(rating, voltage, Phases::Single).expect("a current");
    let strength = at_terminals(rated, Ratio::new::<percent>(plate)).expect("a current");
    let source: Resistance = voltage / strength;
    assert!(source.get::<ohm>() > 0.0);
    let service = Impedance::ohms(ohms(inputs.service_loop_r_ohm), ohms(inputs.service_loop_x_ohm));
    vec![Impedance::of_magnitude(source, resistance / plate), service]
}

/// Voltage over impedance, without the voltage factor c and the transformer factor of IEC 60909,
/// which the point-to-point method does not know either.
#[test]
fn fault_currents_agree_with_a_general_library() {
    let file = file();
    let mut compared = Compared::default();
    for at in cases(&file, "short_circuit_iec60909", 4) {
        let case = &file.cases[at];
        let (id, inputs) = (&case.id, &case.inputs);
        println!("{id} ({} {}): {}", file.tool, file.version, case.note);
        match (
            &case.same_network_without_c_factor_v_over_z_a,
            &case.same_network_without_c_and_k_t_v_over_z_a,
        ) {
            (Some(wanted), None) => {
                let voltage = inputs.nominal_v.expect("a voltage");
                fault(&mut compared, id, voltage, &network(inputs), wanted);
            }
            (None, Some(wanted)) => {
                let voltage = inputs.secondary_v.expect("a voltage");
                fault(&mut compared, id, voltage, &transformer(inputs), wanted);
            }
            _ => panic!("{id} gives no plain figures, or two"),
        }
    }
    println!("largest difference: {:e} of the figure", compared.worst);
    assert!(compared.faults.is_empty(), "\n{}", compared.faults.join("\n"));
}

/// The library's own figures: IEC 60909 drives the fault with the voltage factor c times the nominal voltage,
/// and gives a source of a stated current c times the impedance (and a transformer its factor K_T), so
/// that its terminals keep their current. The primary of the transformer is strong and not infinite: a
/// hundred-thousandth is left to it.
#[test]
fn fault_currents_agree_with_the_librarys_own_by_iec_60909() {
    let file = file();
    let (mut compared, mut by_plate) = (Compared::default(), Compared::default());
    for at in cases(&file, "short_circuit_iec60909", 4) {
        let case = &file.cases[at];
        let (id, inputs, wanted) = (&case.id, &case.inputs, &case.pandapower.ikss_a);
        let c = inputs.voltage_factor_c.expect("a factor");
        match inputs.k_t {
            None => {
                let path = scaled_source(network(inputs), c);
                fault(&mut compared, id, c * inputs.nominal_v.expect("a voltage"), &path, wanted);
            }
            Some(factor) => {
                let path = scaled_source(transformer(inputs), factor);
                fault(&mut by_plate, id, c * inputs.secondary_v.expect("a voltage"), &path, wanted);
            }
        }
    }
    println!("largest differences: {:e} and {:e} of the figure", compared.worst, by_plate.worst);
    assert!(compared.faults.is_empty(), "\n{}", compared.faults.join("\n"));
    assert!(by_plate.worst < 1e-5, "\n{}", by_plate.faults.join("\n"));
}

fn scaled_source(mut path: Vec<Impedance>, factor: f64) -> Vec<Impedance> {
    path[0] = path[0] * factor;
    path
}

/// A figure that is off, or no number, must be seen.
#[test]
fn what_differs_is_seen() {
    let mut compared = Compared::default();
    compared.figure("equal", 5.0, 5.0);
    assert!(compared.faults.is_empty() && compared.worst == 0.0);
    for found in [5.000_01, f64::NAN, f64::INFINITY] {
        compared.figure("other", found, 5.0);
    }
    assert_eq!(compared.faults.len(), 3);
}
