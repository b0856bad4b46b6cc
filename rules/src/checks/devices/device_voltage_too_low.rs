//! A device made for less voltage than its circuit has, or for alternating current only.

use crate::checks::check;
use crate::finding::{Arg, Facts, Finding, Verdict, Worked, from_table, judge};
use crate::house::{Guard, House, Item, Seat};
use crate::network::{Link, NodeId};
use crate::say;
use crate::si::{Voltage, volts};
use crate::survey::{Circuit, DeviceKind, Output, Panel, PanelKind, Run, Supply};
use crate::tables::us::{ClauseId, NominalVoltages, is_between_hots, nominal_voltages, number};

check! {
    /// # What it checks
    /// Whether the voltage marked on a fuse, breaker or switch is at least that of its circuit, and
    /// whether a device in a battery or solar circuit is made for direct current.
    ///
    /// # Why
    /// A device opens a circuit by putting out an arc. At a higher voltage than it is made for, or in
    /// direct current, which never passes through nought, the arc stays: the device burns or bursts
    /// when it is needed.
    ///
    /// # Example
    /// An invented 80 A house breaker, not marked for direct current, in the leads from a battery of
    /// 51.2 V: flagged, though 120 V is marked on it.
    ///
    /// # Limits
    /// Circuits count with their nominal voltage, a battery with the nominal voltage that is entered;
    /// when it is charged it stands some 15 % higher, so choose a mark well above. Plug fuses may serve
    /// circuits above 125 V where no hot is above 150 V to a grounded neutral.
    ///
    /// # References
    /// NFPA 70-2023 240.50(A), 240.60(A), 240.83(E), 240.85; nominal voltages: 220.5(A); devices of
    /// battery circuits: 706.31(C).
    device_voltage_too_low {
        folder: Devices,
        severity: Danger,
        binding: Hazard,
        citations: [
            "NFPA 70-2023" "240.50(A)", "NFPA 70-2023" "240.60(A)", "NFPA 70-2023" "240.83(E)", "NFPA 70-2023" "240.85",
            "NFPA 70-2023" "706.31(C)",
        ],
        caution: "Do not open this device under load: it may not put out the arc. Leave it to a licensed electrician with the supply ahead of it off.",
        next_step: "Have a licensed electrician replace it by a device marked for the voltage and the form of current of this circuit.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (panel_at, panel) in house.panels() {
        let main = Place { node: house.network.line(panel_at), panel: Some(panel) };
        findings.extend(look_at(house, House::guard_of_main(panel), main));
        for (way_at, way) in panel.ways.iter().enumerate() {
            let place = Place { node: house.network.way(panel_at, way_at), panel: Some(panel) };
            findings.extend(look_at(house, House::guard_of_way(way), place));
        }
    }
    for (at, supply) in house.survey.supplies.iter().enumerate() {
        if !supply.output_device.is_blank() {
            let place = Place { node: house.network.supply(at), panel: None };
            findings.extend(look_at(house, House::guard_of_output(supply), place));
        }
    }
}

/// Where a device stands.
#[derive(Clone, Copy)]
struct Place<'a> {
    /// Its load terminal, or the lugs or the supply that it stands at.
    node: NodeId,
    panel: Option<&'a Panel>,
}

fn look_at(house: &House<'_>, guard: Guard<'_>, place: Place<'_>) -> Option<Finding> {
    let kind = guard.device.kind.get();
    if matches!(kind, Some(DeviceKind::Lugs | DeviceKind::Spare)) {
        return None;
    }
    // What nothing feeds has no voltage.
    let source = source_of(house, guard, place)?;
    let mut facts = Facts::new();
    let kind = facts.need(&guard.device.kind, guard.at, guard.kind_fact());
    let finding = match form_of(house, place, source, &mut facts) {
        Form::Direct => direct(house, guard, source, facts),
        Form::Alternating if kind == Some(DeviceKind::PlugFuse) => {
            plug_fuse(house, guard, place, source, facts)
        }
        Form::Alternating => alternating(house, guard, place, source, facts),
    };
    Some(finding)
}

/// The supply at the root of what feeds the device; for a battery circuit that the survey joins to
/// no supply of its own, the only supply with a battery.
fn source_of<'a>(house: &House<'a>, guard: Guard<'_>, place: Place<'_>) -> Option<&'a Supply> {
    if guard.seat == Seat::Output {
        return match house.index.get(guard.at)? {
            Item::Supply(at) => Some(&house.survey.supplies[at]),
            _ => None,
        };
    }
    if let Some(root) = house.feeds.root(place.node) {
        return Some(&house.survey.supplies[root]);
    }
    house.only_battery()
}

enum Form {
    Alternating,
    Direct,
}

/// The runs that meet a device's terminal.
fn runs_at<'a>(house: &House<'a>, node: NodeId) -> impl Iterator<Item = (usize, &'a Run)> {
    house.network.edges_at(node).iter().filter_map(|edge| match house.network.edge(*edge).link {
        Link::Run(run) => Some((run, &house.survey.runs[run])),
        _ => None,
    })
}

/// A form that rests on a missing fact lists it, so that nothing passes on it.
fn form_of(house: &House<'_>, place: Place<'_>, source: &Supply, facts: &mut Facts) -> Form {
    let in_dc_box = place.panel.is_some_and(|panel| panel.kind.get() == Some(PanelKind::DcCombiner));
    let dc_run = runs_at(house, place.node).any(|(_, run)| run.circuit.get() == Some(Circuit::DcPair));
    if in_dc_box || dc_run || source.output.get() == Some(Output::Dc) {
        return Form::Direct;
    }
    if let Some(panel) = place.panel {
        facts.need(&panel.kind, &panel.id, "kind");
    }
    for (_, run) in runs_at(house, place.node) {
        facts.need(&run.circuit, &run.id, "circuit");
    }
    Form::Alternating
}

fn told(house: &House<'_>, guard: Guard<'_>, circuit: &Worked<Voltage>, device: &Worked<Voltage>) -> Finding {
    let verdict = judge(circuit, device, |circuit, device| circuit > device);
    let message = match (&verdict, circuit.value, device.value) {
        (Verdict::FallsShort, Some(circuit), Some(device)) => {
            say!("This device is made for {} and stands in a circuit of {}.", device, circuit)
        }
        (Verdict::Meets, Some(circuit), _) => say!("This device is made for its circuit of {}.", circuit),
        _ => say!("It cannot be told whether this device is made for the voltage of its circuit."),
    };
    let mut derivation = circuit.derivation.clone();
    derivation.include(&device.derivation);
    let mut finding = Finding::of(&CHECK, house.subject(guard.at), verdict, message).because(derivation);
    (finding.value, finding.limit) = (circuit.value.map(Arg::from), device.value.map(Arg::from));
    finding
}

fn marked_voltage(guard: Guard<'_>, mut facts: Facts) -> Worked<Voltage> {
    let voltage = facts.need(&guard.device.voltage, guard.at, guard.voltage_fact());
    let voltage = voltage.map(|voltage| voltage.quantity());
    if let Some(voltage) = voltage {
        facts.seen("U_n", "voltage marked on the device", voltage, guard.at, guard.voltage_fact());
    }
    facts.done(voltage)
}

// Direct current.

fn direct(house: &House<'_>, guard: Guard<'_>, source: &Supply, mut facts: Facts) -> Finding {
    let marked = facts.need(&guard.device.dc_rated, guard.at, guard.dc_rated_fact());
    if let Some(marked) = marked {
        facts.seen("", "marked for direct current", marked, guard.at, guard.dc_rated_fact());
    }
    if marked == Some(false) {
        let message =
            say!("This device is not made for direct current and stands in a battery or solar circuit.");
        let finding = Finding::of(&CHECK, house.subject(guard.at), Verdict::FallsShort, message);
        return finding.because(facts.done(Some(())).derivation);
    }
    let device = marked_voltage(guard, facts);
    told(house, guard, &battery_voltage(source), &device)
}

fn battery_voltage(source: &Supply) -> Worked<Voltage> {
    let mut facts = Facts::new();
    let (fact, name) = source.battery_voltage();
    let voltage = facts.need(fact, &source.id, name).map(|voltage| voltage.quantity());
    if let Some(voltage) = voltage {
        facts.seen("U", "voltage of the battery", voltage, &source.id, name);
    }
    facts.done(voltage)
}

// Alternating current.

fn alternating(
    house: &House<'_>,
    guard: Guard<'_>,
    place: Place<'_>,
    source: &Supply,
    facts: Facts,
) -> Finding {
    let circuit = circuit_voltage(house, guard, place, source);
    let device = marked_voltage(guard, facts);
    told(house, guard, &circuit, &device)
}

/// 240.50(A): to 125 V between conductors, or to 150 V to a grounded neutral.
fn plug_fuse(
    house: &House<'_>,
    guard: Guard<'_>,
    place: Place<'_>,
    source: &Supply,
    mut facts: Facts,
) -> Finding {
    let between = number(ClauseId::PlugFuseBetweenConductors).map(volts);
    let to_ground = number(ClauseId::PlugFuseToGround).map(volts);
    let mut circuit = circuit_voltage(house, guard, place, source);
    let nominal = source.output.get().and_then(nominal_voltages);
    let neutral = nominal.and_then(|nominal| nominal.to_neutral);
    let limit = match (circuit.value, neutral) {
        (Some(voltage), Some(neutral)) if voltage > between.value => {
            let step = from_table("U_0", "hot to the grounded neutral", neutral.value, neutral.place);
            circuit.derivation.extend(vec![step]);
            circuit.value = Some(neutral.value);
            facts.step(from_table("U_max", "plug fuse, hot to neutral", to_ground.value, to_ground.place));
            to_ground.value
        }
        _ => {
            facts.step(from_table("U_max", "plug fuse, between conductors", between.value, between.place));
            between.value
        }
    };
    told(house, guard, &circuit, &facts.done(Some(limit)))
}

/// The nominal voltage that the device has to break.
fn circuit_voltage(
    house: &House<'_>,
    guard: Guard<'_>,
    place: Place<'_>,
    source: &Supply,
) -> Worked<Voltage> {
    let mut facts = Facts::new();
    let hots = breaks_between_hots(house, guard, place, &mut facts);
    let output = facts.need(&source.output, &source.id, "output");
    if let Some(output) = output {
        facts.seen("", "supply", output.words(), &source.id, "output");
    }
    let nominal = output.and_then(nominal_voltages);
    let cell = hots.zip(nominal).and_then(|(hots, nominal)| voltage_of(nominal, hots));
    if let Some(cell) = cell {
        facts.step(from_table("U", "nominal voltage of the circuit", cell.value, cell.place));
    }
    facts.done(cell.map(|cell| cell.value))
}

/// A system that lacks the pair asked for counts with the pair that it has.
fn voltage_of(nominal: NominalVoltages, between_hots: bool) -> Option<crate::tables::Cell<Voltage>> {
    let pairs = [nominal.between_hots, nominal.to_neutral];
    let [first, second] = if between_hots { pairs } else { [pairs[1], pairs[0]] };
    first.or(second)
}

/// Whether the device has the voltage between two hots to break: it has two poles, or it stands in
/// one hot of a circuit that feeds something between hots.
fn breaks_between_hots(
    house: &House<'_>,
    guard: Guard<'_>,
    place: Place<'_>,
    facts: &mut Facts,
) -> Option<bool> {
    let poles = facts.need(&guard.device.poles, guard.at, guard.poles_fact());
    if let Some(poles) = poles {
        facts.seen("", "poles of the device", poles, guard.at, guard.poles_fact());
    }
    if poles? >= 2 {
        return Some(true);
    }
    let mut answer = Some(false);
    for (number, run) in runs_at(house, place.node) {
        match run_between_hots(house, number, run, facts) {
            Some(true) => return Some(true),
            Some(false) => {}
            None => answer = None,
        }
    }
    answer
}

fn run_between_hots(house: &House<'_>, number: usize, run: &Run, facts: &mut Facts) -> Option<bool> {
    match facts.need(&run.circuit, &run.id, "circuit")? {
        Circuit::TwoHots => Some(true),
        Circuit::HotNeutral | Circuit::DcPair => Some(false),
        // Two single devices may feed a shared neutral with nothing between the hots.
        Circuit::TwoHotsNeutral => {
            let mut answer = Some(false);
            for piece in house.circuit(number) {
                if house.survey.runs[piece].to.is_some() {
                    return Some(true);
                }
                for load in house.loads_on(piece) {
                    match facts.need(&load.voltage, &load.id, "voltage") {
                        Some(voltage) if is_between_hots(voltage.quantity()) => return Some(true),
                        Some(_) => {}
                        None => answer = None,
                    }
                }
            }
            answer
        }
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{one_circuit, text, verdict, with};

    const VOLTAGE: &str = "/panels/0/ways/0/device/voltage";
    const POLES: &str = "/panels/0/ways/0/device/poles";
    const KIND: &str = "/panels/0/ways/0/device/kind";
    const CIRCUIT: &str = "/runs/1/circuit";
    const OUTPUT: &str = "/supplies/0/output";

    fn told(changes: &[(&str, Value)]) -> String {
        verdict(&CHECK, &with(one_circuit(), changes), "P.1")
    }

    /// NFPA 70-2023 240.83(E), 240.85; nominal voltages of 220.5(A).
    #[test]
    fn device_voltage_too_low() {
        assert_eq!(told(&[(VOLTAGE, json!("120 V"))]), "meets");
        assert_eq!(told(&[(VOLTAGE, json!("119 V"))]), "falls_short DANGER");
        let (two_poles, two_hots) = ((POLES, json!(2)), (CIRCUIT, json!("two_hots")));
        assert_eq!(told(&[two_poles.clone(), (VOLTAGE, json!("240 V"))]), "meets");
        assert_eq!(told(&[two_poles.clone(), (VOLTAGE, json!("239 V"))]), "falls_short DANGER");
        assert_eq!(told(&[two_hots, (VOLTAGE, json!("120 V"))]), "falls_short DANGER");
        let wye = (OUTPUT, json!("120/208 V"));
        assert_eq!(told(&[two_poles.clone(), wye.clone(), (VOLTAGE, json!("208 V"))]), "meets");
        assert_eq!(told(&[two_poles.clone(), wye, (VOLTAGE, json!("207 V"))]), "falls_short DANGER");
        let both = (OUTPUT, json!("120 V on both legs"));
        assert_eq!(told(&[two_poles, both, (VOLTAGE, json!("120 V"))]), "meets");
    }

    #[test]
    fn two_single_breakers_of_a_shared_neutral_see_the_neutral_only() {
        let shared = [(CIRCUIT, json!("two_hots_and_neutral"))];
        assert_eq!(told(&shared), "meets");
        let between = [shared[0].clone(), ("/loads/0/voltage", json!("240 V"))];
        assert_eq!(told(&between), "falls_short DANGER");
        let unknown = [shared[0].clone(), ("/loads/0/voltage", json!(null))];
        assert_eq!(told(&unknown), "cannot_tell voltage");
    }

    #[test]
    fn the_main_is_looked_at_too() {
        let told = |voltage: &str| {
            verdict(&CHECK, &with(one_circuit(), &[("/panels/0/main/voltage", json!(voltage))]), "P")
        };
        assert_eq!(told("240 V"), "meets");
        assert_eq!(told("120 V"), "falls_short DANGER");
        let lugs = with(one_circuit(), &[("/panels/0/main/kind", json!("lugs"))]);
        assert_eq!(verdict(&CHECK, &lugs, "P"), "silent");
    }

    /// NFPA 70-2023 240.50(A)(1) and (2).
    #[test]
    fn a_plug_fuse_may_serve_240_volts_where_the_neutral_is_grounded() {
        let plug = (KIND, json!("plug_fuse"));
        assert_eq!(told(std::slice::from_ref(&plug)), "meets");
        let two_hots = (CIRCUIT, json!("two_hots"));
        assert_eq!(told(&[plug.clone(), two_hots.clone()]), "meets");
        assert_eq!(told(&[plug, two_hots, (OUTPUT, json!("240 V"))]), "falls_short DANGER");
    }

    /// A battery box behind one battery inverter.
    fn battery_box(changes: &[(&str, Value)]) -> Value {
        let house = with(
            one_circuit(),
            &[
                ("/panels/0/kind", json!("dc_distribution")),
                ("/panels/0/ways/0/device/dc_rated", json!(true)),
                ("/supplies/0/kind", json!("battery_inverter")),
                ("/supplies/0/battery", json!({ "voltage": "51.2 V" })),
                (CIRCUIT, json!("dc_pair")),
            ],
        );
        with(house, changes)
    }

    #[test]
    fn direct_current_needs_a_device_made_for_it() {
        let told = |changes: &[(&str, Value)]| verdict(&CHECK, &battery_box(changes), "P.1");
        let dc = "/panels/0/ways/0/device/dc_rated";
        assert_eq!(told(&[]), "meets");
        assert_eq!(told(&[(dc, json!(false))]), "falls_short DANGER");
        assert_eq!(told(&[(VOLTAGE, json!("51.2 V"))]), "meets");
        assert_eq!(told(&[(VOLTAGE, json!("48 V"))]), "falls_short DANGER");
        assert_eq!(told(&[(dc, json!(null))]), "cannot_tell device.dc_rated");
        assert_eq!(told(&[("/supplies/0/battery/voltage", json!(null))]), "cannot_tell battery.voltage");
    }

    #[test]
    fn each_missing_fact_is_asked_for() {
        assert_eq!(told(&[(VOLTAGE, json!(null))]), "cannot_tell device.voltage");
        assert_eq!(told(&[(POLES, json!(null))]), "cannot_tell device.poles");
        assert_eq!(told(&[(OUTPUT, json!(null))]), "cannot_tell output");
        assert_eq!(told(&[(CIRCUIT, json!(null))]), "cannot_tell circuit");
        assert_eq!(told(&[(KIND, json!(null))]), "cannot_tell device.kind");
        assert_eq!(told(&[("/panels/0/kind", json!(null))]), "cannot_tell kind");
    }

    #[test]
    fn its_text() {
        let house = with(one_circuit(), &[(CIRCUIT, json!("two_hots"))]);
        insta::assert_snapshot!(text(&CHECK, &house, "P.1"));
    }

    #[test]
    fn its_text_in_direct_current() {
        let house = battery_box(&[("/panels/0/ways/0/device/dc_rated", json!(false))]);
        insta::assert_snapshot!(text(&CHECK, &house, "P.1"));
    }
}
