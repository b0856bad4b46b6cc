//! A 240 V load whose two hots do not open together.

use crate::checks::check;
use crate::finding::{Binding, Facts, Finding, Said, Severity, Verdict, judge};
use crate::house::{House, Item};
use crate::say;
use crate::survey::{Circuit, DeviceKind, Run, Way};
use crate::tables::us::is_between_hots;

check! {
    /// # What it checks
    /// Whether the two hots of a 240 V load, or of a feeder, open together: by a two-pole device, or by
    /// two single-pole breakers with a handle tie where the circuit has no neutral.
    ///
    /// # Why
    /// When one of two single devices opens, a 240 V heater or pump stands still and looks dead, but
    /// the other hot still stands on every part of it. Whoever repairs it holds 120 V.
    ///
    /// # Example
    /// An invented baseboard heater of 240 V on two single 20 A breakers without a tie: flagged.
    ///
    /// # Limits
    /// Circuits with a shared neutral that feed 120 V loads only are the matter of the check
    /// hots_of_shared_neutral_not_tied. A pull-out or fused switch opens both hots by hand and passes,
    /// though one of its fuses may blow alone. Two single fuses were lawful when they were put in.
    ///
    /// # References
    /// NFPA 70-2023 240.15(B), 240.15(B)(2), 210.4(C).
    poles_not_common_trip {
        folder: Devices,
        severity: Warning,
        binding: Hazard,
        citations: ["NFPA 70-2023" "240.15(B)", "NFPA 70-2023" "210.4(C)"],
        caution: "This load can look dead while one hot is live. Open both devices, lock them, and prove each hot dead before anyone touches it.",
        next_step: "Have a licensed electrician put in a two-pole device that opens both hots together.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (number, run) in house.runs() {
        if let Some(ways) = ways_of(house, run) {
            findings.extend(look_at(house, number, run, &ways));
        }
    }
}

/// The ways that a run begins at; `None` for other beginnings.
fn ways_of<'a>(house: &House<'a>, run: &Run) -> Option<Vec<&'a Way>> {
    let begins = [Some(&run.from), run.also_from.as_ref()];
    let ways = begins.into_iter().flatten().filter_map(|from| match house.index.get(from)? {
        Item::Way(panel, way) => Some(&house.survey.panels[panel].ways[way]),
        _ => None,
    });
    let ways: Vec<&Way> = ways.collect();
    (!ways.is_empty()).then_some(ways)
}

fn look_at(house: &House<'_>, number: usize, run: &Run, ways: &[&Way]) -> Option<Finding> {
    let mut facts = Facts::new();
    if ways.iter().any(|way| way.device.kind.get() == Some(DeviceKind::Lugs)) {
        // No device here: the one ahead opens the hots.
        return None;
    }
    let of = |verdict, message| Finding::of(&CHECK, house.subject(&run.id), verdict, message);
    match feeds_between_hots(house, number, run, &mut facts) {
        Some(false) => None,
        None => {
            let missing = facts.done(Some(())).missing;
            let message = say!("It cannot be told whether this run feeds a 240 V load.");
            Some(of(Verdict::CannotTell { missing }, message))
        }
        Some(true) => {
            let opening = opening(run, ways, &mut facts);
            let opening = facts.done(opening);
            let together = |opening: &Opening, _: &()| *opening != Opening::Together;
            let verdict = judge(&opening, &Facts::new().done(Some(())), together);
            let found = opening.value.unwrap_or(Opening::Together);
            let message = message(&verdict, found);
            let finding = of(verdict, message).because(opening.derivation);
            Some(finding.severity(found.severity()).binding(found.binding()))
        }
    }
}

/// How the two hots open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Opening {
    /// Together.
    Together,
    /// One device has one pole.
    OnePole,
    /// Two breakers with no tie.
    NoTie,
    /// Tied by hand, but a fault opens one alone, and there is a neutral.
    TieOnly,
    /// A fuse for each hot.
    SingleFuses,
}

impl Opening {
    fn severity(self) -> Severity {
        if self == Self::TieOnly { Severity::Caution } else { CHECK.severity }
    }

    fn binding(self) -> Binding {
        if self == Self::SingleFuses { Binding::NewWork } else { CHECK.binding }
    }
}

fn message(verdict: &Verdict, opening: Opening) -> Said {
    match (verdict, opening) {
        (Verdict::CannotTell { .. }, _) => {
            say!("It is not known whether the two hots of this 240 V circuit open together.")
        }
        (_, Opening::Together) => say!("The two hots of this 240 V circuit open together."),
        (_, Opening::OnePole) => {
            say!("A device with one pole feeds this 240 V circuit; its other hot does not open with it.")
        }
        (_, Opening::NoTie) => {
            say!("Two single breakers with no tie feed the two hots of this 240 V circuit.")
        }
        (_, Opening::TieOnly) => say!(
            "The two hots of this 120/240 V circuit are tied by hand only; a fault on one may leave the other live."
        ),
        (_, Opening::SingleFuses) => say!(
            "Each hot of this 240 V circuit has its own fuse; when one blows or is pulled, the other hot stays live."
        ),
    }
}

/// Whether a load between the hots, or a feeder, hangs on the run.
fn feeds_between_hots(house: &House<'_>, number: usize, run: &Run, facts: &mut Facts) -> Option<bool> {
    // Needed in any case: without it nobody knows which rule holds.
    let circuit = facts.need(&run.circuit, &run.id, "circuit");
    let pieces = house.circuit(number);
    let mut unknown = Vec::new();
    for load in pieces.iter().flat_map(|piece| house.loads_on(*piece)) {
        match load.voltage.known().map(|voltage| voltage.quantity()) {
            Some(voltage) if is_between_hots(voltage) && circuit != Some(Circuit::DcPair) => {
                facts.seen("U", say!("voltage of {}", load.name.clone()), voltage, &load.id, "voltage");
                return Some(true);
            }
            Some(_) => {}
            None => unknown.push(load),
        }
    }
    match circuit? {
        Circuit::TwoHots => {
            facts.seen("", "the run carries", Circuit::TwoHots.words(), &run.id, "circuit");
            Some(true)
        }
        Circuit::TwoHotsNeutral if pieces.iter().any(|piece| house.survey.runs[*piece].to.is_some()) => {
            facts.seen("", "the run is a feeder of", Circuit::TwoHotsNeutral.words(), &run.id, "circuit");
            Some(true)
        }
        Circuit::TwoHotsNeutral if !unknown.is_empty() => {
            for load in unknown {
                facts.need(&load.voltage, &load.id, "voltage");
            }
            None
        }
        Circuit::TwoHotsNeutral | Circuit::HotNeutral | Circuit::DcPair => Some(false),
    }
}

fn opening(run: &Run, ways: &[&Way], facts: &mut Facts) -> Option<Opening> {
    match ways {
        [only] => of_one_way(run, only, facts),
        _ => of_two_ways(run, ways, facts),
    }
}

fn of_one_way(run: &Run, way: &Way, facts: &mut Facts) -> Option<Opening> {
    let kind = kind_of(way, facts)?;
    let poles = facts.need(&way.device.poles, &way.id, "device.poles")?;
    facts.seen("", "poles of the device", poles, &way.id, "device.poles");
    if poles < 2 {
        return Some(Opening::OnePole);
    }
    match kind {
        DeviceKind::PlugFuse | DeviceKind::CartridgeFuse => Some(Opening::SingleFuses),
        // 240.15(B)(2): without a neutral a handle tie is enough.
        DeviceKind::Breaker | DeviceKind::TandemBreaker if run.circuit.get() != Some(Circuit::TwoHots) => {
            let common = facts.need(&way.device.common_trip, &way.id, "device.common_trip")?;
            facts.seen("", "one fault opens both poles", common, &way.id, "device.common_trip");
            Some(if common { Opening::Together } else { Opening::TieOnly })
        }
        _ => Some(Opening::Together),
    }
}

fn of_two_ways(run: &Run, ways: &[&Way], facts: &mut Facts) -> Option<Opening> {
    if ways.iter().any(|way| way.device.kind.get().is_some_and(DeviceKind::is_fuse)) {
        for way in ways {
            kind_of(way, facts);
        }
        return Some(Opening::SingleFuses);
    }
    let mut all_known = true;
    let mut loose = false;
    for way in ways {
        all_known &= kind_of(way, facts).is_some();
        match facts.need(&way.handles_tied, &way.id, "handles_tied") {
            Some(tied) => {
                facts.seen("", "handle tied to the other", tied, &way.id, "handles_tied");
                loose |= !tied;
            }
            None => all_known = false,
        }
    }
    match (loose, all_known) {
        // One free handle is enough, whatever else is not known.
        (true, _) => Some(Opening::NoTie),
        (false, false) => None,
        (false, true) if run.circuit.get() == Some(Circuit::TwoHots) => Some(Opening::Together),
        (false, true) => Some(Opening::TieOnly),
    }
}

fn kind_of(way: &Way, facts: &mut Facts) -> Option<DeviceKind> {
    let kind = facts.need(&way.device.kind, &way.id, "device.kind")?;
    facts.seen("", say!("device of way {}", way.number()), kind.words(), &way.id, "device.kind");
    Some(kind)
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{one_circuit, text, verdict, with};

    /// A 240 V heater on two hots behind a two-pole breaker with common trip.
    fn heater(changes: &[(&str, Value)]) -> Value {
        let house = with(
            one_circuit(),
            &[
                ("/panels/0/ways/0/device/poles", json!(2)),
                ("/panels/0/ways/0/device/common_trip", json!(true)),
                ("/runs/1/circuit", json!("two_hots")),
                ("/loads/0/voltage", json!("240 V")),
            ],
        );
        with(house, changes)
    }

    /// The same on two single breakers.
    fn two_singles(changes: &[(&str, Value)]) -> Value {
        let mut house = heater(&[("/panels/0/ways/0/device/poles", json!(1))]);
        house["panels"][0]["ways"][0]["handles_tied"] = json!(true);
        let mut second = house["panels"][0]["ways"][0].clone();
        second["id"] = json!("P.3");
        second["spaces"] = json!([3]);
        house = with(house, &[("/panels/0/ways/-", second), ("/runs/1/also_from", json!("P.3"))]);
        with(house, changes)
    }

    const POLES: &str = "/panels/0/ways/0/device/poles";
    const TRIP: &str = "/panels/0/ways/0/device/common_trip";
    const TIED: &str = "/panels/0/ways/1/handles_tied";
    const CIRCUIT: &str = "/runs/1/circuit";

    /// NFPA 70-2023 240.15(B) and (B)(2).
    #[test]
    fn poles_not_common_trip() {
        let told = |changes: &[(&str, Value)]| verdict(&CHECK, &heater(changes), "R");
        assert_eq!(told(&[]), "meets");
        assert_eq!(told(&[(POLES, json!(1))]), "falls_short WARNING");
        assert_eq!(told(&[(TRIP, json!(false))]), "meets");
        let with_neutral = (CIRCUIT, json!("two_hots_and_neutral"));
        assert_eq!(told(std::slice::from_ref(&with_neutral)), "meets");
        assert_eq!(told(&[with_neutral.clone(), (TRIP, json!(false))]), "falls_short CAUTION");
        assert_eq!(told(&[with_neutral, ("/loads/0/voltage", json!("120 V"))]), "silent");
        assert_eq!(verdict(&CHECK, &one_circuit(), "R"), "silent");
    }

    #[test]
    fn two_single_breakers_need_a_tie_on_both() {
        let told = |changes: &[(&str, Value)]| verdict(&CHECK, &two_singles(changes), "R");
        assert_eq!(told(&[]), "meets");
        assert_eq!(told(&[(TIED, json!(false))]), "falls_short WARNING");
        assert_eq!(told(&[(CIRCUIT, json!("two_hots_and_neutral"))]), "falls_short CAUTION");
        assert_eq!(told(&[(TIED, json!(null))]), "cannot_tell handles_tied");
        let fuse = ("/panels/0/ways/0/device/kind", json!("plug_fuse"));
        assert_eq!(told(&[fuse]), "falls_short WARNING");
    }

    #[test]
    fn a_pull_out_opens_both_by_hand() {
        let kind = |kind: &str| heater(&[("/panels/0/ways/0/device/kind", json!(kind)), (TRIP, json!(null))]);
        assert_eq!(verdict(&CHECK, &kind("pull_out"), "R"), "meets");
        assert_eq!(verdict(&CHECK, &kind("cartridge_fuse"), "R"), "falls_short WARNING");
        assert_eq!(verdict(&CHECK, &kind("lugs"), "R"), "silent");
    }

    #[test]
    fn each_missing_fact_is_asked_for() {
        let told = |changes: &[(&str, Value)]| verdict(&CHECK, &heater(changes), "R");
        assert_eq!(told(&[(POLES, json!(null))]), "cannot_tell device.poles");
        assert_eq!(told(&[("/panels/0/ways/0/device/kind", json!(null))]), "cannot_tell device.kind");
        assert_eq!(told(&[(CIRCUIT, json!(null))]), "cannot_tell circuit");
        let with_neutral = (CIRCUIT, json!("two_hots_and_neutral"));
        assert_eq!(told(&[with_neutral.clone(), (TRIP, json!(null))]), "cannot_tell device.common_trip");
        assert_eq!(told(&[with_neutral, ("/loads/0/voltage", json!(null))]), "cannot_tell voltage");
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!(text(&CHECK, &two_singles(&[(TIED, json!(false))]), "R"));
    }

    #[test]
    fn its_text_for_a_tie_only() {
        let house = two_singles(&[(CIRCUIT, json!("two_hots_and_neutral"))]);
        insta::assert_snapshot!(text(&CHECK, &house, "R"));
    }
}
