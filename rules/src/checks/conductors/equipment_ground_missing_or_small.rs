//! A run with no equipment ground, or one too small.

use crate::calc::ground_path::grounds_end_at;
use crate::checks::check;
use crate::finding::{Binding, Facts, Finding, Missing, Verdict, judge};
use crate::house::{House, Protection};
use crate::say;
use crate::survey::{Circuit, GroundPath, Run};
use crate::tables::us;

check! {
    /// # What it checks
    /// Whether a run has an equipment ground, whether that leads back to the service, and whether a
    /// grounding wire is as large as the device ahead asks.
    ///
    /// # Why
    /// The equipment ground is what makes a fault to a metal case trip the device. Without it the
    /// case stays live until somebody touches it.
    ///
    /// # Example
    /// A 20 A circuit in cable with a 16 AWG copper ground (usual in the 1960s): 12 AWG copper is the
    /// smallest for 20 A. (Figures of Table 250.122.)
    ///
    /// # Limits
    /// Knob-and-tube and early cables never had a ground: that is lawful as long as nothing is
    /// extended and two-slot outlets stay. Armor and raceways are judged by kind, not by their
    /// joints. Service conductors have none: the neutral serves up to the service disconnect, and so it
    /// does on an older feeder at whose end it is joined to the enclosure. A ground that ends at any other
    /// feeder without one leads nowhere, however sound it is. Of direct current nothing is said here.
    /// The growth of 250.122(B) with enlarged hots is left to `size`.
    ///
    /// # References
    /// NFPA 70-2023 250.118, 250.122, Table 250.122.
    equipment_ground_missing_or_small {
        folder: Conductors,
        severity: Warning,
        binding: NewWork,
        citations: ["NFPA 70-2023" "250.118", "NFPA 70-2023" "250.122"],
        caution: "A metal case on this run can stay live after a fault. A three-slot outlet on it promises a ground that is not there.",
        next_step: "Keep two-slot outlets or protect by a ground-fault interrupter with its label; have a licensed electrician run a grounding wire before anything is added.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (number, run) in house.runs() {
        findings.extend(look_at(house, number, run));
    }
}

fn look_at(house: &House<'_>, number: usize, run: &Run) -> Option<Finding> {
    // Battery circuits are not grounded over a third conductor.
    if run.circuit.get() == Some(Circuit::DcPair) {
        return None;
    }
    // Service conductors are grounded at the service through the neutral.
    let Protection::Ahead(guard) = house.protection(number) else { return None };
    let mut facts = Facts::new();
    // What is of unknown kind may be no device, and this run a service conductor.
    facts.need(&guard.device.kind, guard.at, guard.kind_fact());
    let circuit = facts.need(&run.circuit, &run.id, "circuit");
    let path = facts.need(&run.equipment_ground, &run.id, "equipment_ground").filter(|_| circuit.is_some());
    if let Some(path) = path {
        facts.seen("", "equipment ground", path.words(), &run.id, "equipment_ground");
    }
    match path {
        Some(GroundPath::Wire) => wire(house, number, run, facts).map(|found| led_back(house, number, found)),
        Some(other) => Some(led_back(house, number, by_kind(house, run, other, facts))),
        None => {
            let told = facts.done(None::<bool>);
            let verdict = judge(&told, &Facts::new().done(Some(true)), |found, wanted| found != wanted);
            let message = say!("It is not known what serves as equipment ground of this run.");
            Some(Finding::of(&CHECK, house.subject(&run.id), verdict, message).because(told.derivation))
        }
    }
}

/// A ground of its own that leads to a feeder without one is none.
fn led_back(house: &House<'_>, number: usize, own: Finding) -> Finding {
    if own.verdict == Verdict::FallsShort {
        return own;
    }
    let subject = own.subject.clone();
    let mut facts = Facts::new();
    match grounds_end_at(house, number, &mut facts) {
        Some(None) => own,
        Some(Some(feeder)) => {
            if let Some(path) = feeder.equipment_ground.get() {
                let label = "equipment ground of the feeder ahead";
                facts.seen("", label, path.words(), &feeder.id, "equipment_ground");
            }
            let message = say!(
                "The equipment ground of this run leads to {} ({}), which has none: it leads nowhere.",
                house.run_name(feeder),
                &feeder.id
            );
            let derivation = facts.done(Some(())).derivation;
            Finding::of(&CHECK, subject, Verdict::FallsShort, message)
                .because(derivation)
                .binding(Binding::Hazard)
                .next(say!(
                    "Have a licensed electrician run a grounding wire along that feeder; until then treat every \
                     metal case on this run as not grounded."
                ))
        }
        None => {
            let missing = facts.done(Some(())).missing;
            let message =
                say!("It is not known whether the equipment ground of this run leads back to the service.");
            Finding::of(&CHECK, subject, joined(&own.verdict, missing), message).because(own.derivation)
        }
    }
}

fn joined(own: &Verdict, mut missing: Vec<Missing>) -> Verdict {
    if let Verdict::CannotTell { missing: others } = own {
        missing.extend_from_slice(others);
    }
    missing.sort();
    missing.dedup();
    Verdict::CannotTell { missing }
}

fn by_kind(house: &House<'_>, run: &Run, path: GroundPath, facts: Facts) -> Finding {
    let good = facts.done(Some(matches!(path, GroundPath::MetalRaceway | GroundPath::ArmorWithStrip)));
    let verdict = judge(&good, &Facts::new().done(Some(true)), |found, wanted| found != wanted);
    let message = match path {
        GroundPath::None => say!("This run has no equipment ground."),
        GroundPath::ArmorOnly => say!("Armor without a bonding strip does not count as an equipment ground."),
        _ => say!("This run is grounded by {}.", path.words()),
    };
    Finding::of(&CHECK, house.subject(&run.id), verdict, message).because(good.derivation)
}

fn wire(house: &House<'_>, number: usize, run: &Run, mut facts: Facts) -> Option<Finding> {
    let size =
        facts.need(&run.equipment_ground_size, &run.id, "equipment_ground_size").map(|size| size.quantity());
    if let Some(size) = size {
        facts.seen("S_pe", "grounding wire", size, &run.id, "equipment_ground_size");
    }
    let trade = size.and_then(us::not_larger);
    let found = facts.done(trade);
    let needed = house.rules.equipment_ground(house, number);
    let verdict = judge(&found, &needed, |found, needed| found.area() < needed.area());
    let mut derivation = found.derivation.clone();
    derivation.include(&needed.derivation);
    let message = match (&verdict, found.value, needed.value) {
        (Verdict::FallsShort, Some(found), Some(needed)) => {
            say!(
                "The {} grounding wire is smaller than the {} that the device ahead asks for.",
                found,
                needed
            )
        }
        (Verdict::Meets, Some(found), Some(needed)) => {
            say!("The {} grounding wire is large enough; {} is the smallest.", found, needed)
        }
        _ => say!("It cannot be told whether the grounding wire of this run is large enough."),
    };
    let finding = Finding::of(&CHECK, house.subject(&run.id), verdict, message).because(derivation);
    let finding = finding.next(say!(
        "Have a licensed electrician run a grounding wire of the size named, or fit a smaller device."
    ));
    Some(match (found.value, needed.value) {
        (Some(found), Some(needed)) => finding.figure(found, say!("at least {}", needed)),
        _ => finding,
    })
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::CHECK;
    use crate::fixture::{behind_a_feeder, one_circuit, text, verdict, with};

    /// NFPA 70-2023 Table 250.122: 14 AWG copper to 15 A, 12 AWG to 20 A, 10 AWG to 60 A; 250.122(A).
    #[test]
    fn equipment_ground_missing_or_small() {
        let told =
            |changes: &[(&str, serde_json::Value)]| verdict(&CHECK, &with(one_circuit(), changes), "R");
        assert_eq!(told(&[]), "meets");
        assert_eq!(told(&[("/runs/1/equipment_ground_size", json!("16 AWG"))]), "falls_short WARNING");
        let twelve = [("/runs/1/size", json!("12 AWG")), ("/panels/0/ways/0/device/rating", json!("20 A"))];
        assert_eq!(told(&twelve), "falls_short WARNING");
        let grown = [&twelve[..], &[("/runs/1/equipment_ground_size", json!("12 AWG"))]].concat();
        assert_eq!(told(&grown), "meets");
        // 20 A on 14 AWG is wrong, but its ground need not be larger than the hots.
        assert_eq!(told(&[("/panels/0/ways/0/device/rating", json!("20 A"))]), "meets");
    }

    /// NFPA 70-2023 250.118(8): armor counts only with its bonding strip.
    #[test]
    fn by_kind_of_path() {
        let told = |path| verdict(&CHECK, &with(one_circuit(), &[("/runs/1/equipment_ground", path)]), "R");
        assert_eq!(told(json!("metal_raceway")), "meets");
        assert_eq!(told(json!("armor_with_strip")), "meets");
        assert_eq!(told(json!("armor_only")), "falls_short WARNING");
        assert_eq!(told(json!("none")), "falls_short WARNING");
        assert_eq!(told(json!(null)), "cannot_tell equipment_ground");
    }

    #[test]
    fn missing_facts_are_asked_for() {
        for fact in ["equipment_ground_size", "equipment_ground_material"] {
            let house = with(one_circuit(), &[(&format!("/runs/1/{fact}"), json!(null))]);
            assert_eq!(verdict(&CHECK, &house, "R"), format!("cannot_tell {fact}"));
        }
        assert_eq!(verdict(&CHECK, &one_circuit(), "RS"), "silent");
    }

    /// A sound ground of a branch behind a feeder without one; the neutral of an older feeder leads back
    /// where it is joined at its end (250.32(B), existing work).
    #[test]
    fn a_ground_that_leads_to_a_feeder_without_one_leads_nowhere() {
        let told = |ground: serde_json::Value, bond: serde_json::Value| {
            verdict(&CHECK, &behind_a_feeder(ground, bond), "RX")
        };
        assert_eq!(told(json!("wire"), json!(false)), "meets");
        assert_eq!(told(json!("metal_raceway"), json!(null)), "meets");
        assert_eq!(told(json!("none"), json!(false)), "falls_short WARNING");
        assert_eq!(told(json!("none"), json!(true)), "meets");
        assert_eq!(told(json!("none"), json!(null)), "cannot_tell neutral_bond");
        assert_eq!(told(json!(null), json!(false)), "cannot_tell equipment_ground");
    }

    #[test]
    fn direct_current_has_no_such_ground() {
        let pair = with(one_circuit(), &[("/runs/1/circuit", json!("dc_pair"))]);
        assert_eq!(verdict(&CHECK, &pair, "R"), "silent");
    }

    #[test]
    fn its_text_behind_a_feeder() {
        insta::assert_snapshot!(text(&CHECK, &behind_a_feeder(json!("none"), json!(false)), "RX"));
    }

    #[test]
    fn its_text() {
        let house = with(one_circuit(), &[("/runs/1/equipment_ground_size", json!("16 AWG"))]);
        insta::assert_snapshot!(text(&CHECK, &house, "R"));
    }
}
