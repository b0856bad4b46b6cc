//! Three-slot outlets on a circuit that has no equipment ground.

use crate::calc::ground_path::grounds_end_at;
use crate::checks::check;
use crate::finding::{Arg, Facts, Finding, Said, Severity, Verdict};
use crate::house::House;
use crate::say;
use crate::survey::{GroundPath, Load, LoadKind, OutletKind, Run};

check! {
    /// # What it checks
    /// Whether three-slot outlets hang on a circuit whose equipment ground is missing anywhere between
    /// the service and the outlet, a feeder ahead of the panel among it, and whether what the code asks for in its place is there: a ground-fault
    /// interrupter ahead and the label "No Equipment Ground".
    ///
    /// # Why
    /// The third slot promises a ground. Without it a metal frame that becomes live stays live until
    /// somebody touches it and something grounded.
    ///
    /// # Example
    /// An invented bedroom circuit of two-wire cable where the two-slot outlets were swapped for
    /// three-slot ones: flagged. Behind a ground-fault interrupter, and labelled, it may stay.
    ///
    /// # Limits
    /// Appliances that must be grounded (refrigerator, washer, dishwasher, disposer, sump pump, room air
    /// conditioner) are flagged even behind a ground-fault interrupter. Ranges and dryers have a check of
    /// their own. Armor without a bonding strip counts as no ground.
    ///
    /// # References
    /// NFPA 70-2023 406.4(D)(2) (replacements), 250.114 (appliances that need a ground, from memory).
    ungrounded_three_slot {
        folder: OldHouse,
        severity: Warning,
        binding: Hazard,
        citations: ["NFPA 70-2023" "406.4(D)(2)", "NFPA 70-2023" "250.114"],
        caution: "Metal-cased tools and appliances on these outlets are not grounded. Do not join the third slot to the neutral.",
        next_step: "Have a licensed electrician run a grounding wire, fit two-slot outlets again, or protect the outlets by a ground-fault interrupter and label them \"No Equipment Ground\".",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    findings.extend(house.survey.loads.iter().filter_map(|load| look_at(house, load)));
}

fn look_at(house: &House<'_>, load: &Load) -> Option<Finding> {
    let certainly_none = matches!(load.outlets.get(), Some(OutletKind::HardWired | OutletKind::TwoSlot));
    if certainly_none || has_its_own_check(load.kind) {
        return None;
    }
    let run = house.run_number(&load.on)?;
    let mut facts = Facts::new();
    let three_slot = facts.need(&load.outlets, &load.id, "outlets");
    if let Some(outlets) = three_slot {
        facts.seen("", "outlets", Arg::Word(outlets.words()), &load.id, "outlets");
    }
    let grounded = ground_path(house, run, &mut facts);
    let wrong = match (three_slot, grounded) {
        (Some(_), Some(false)) => without_ground(load, &mut facts),
        (Some(_), Some(true)) => Some(false),
        _ => None,
    };
    let (verdict, derivation) = facts.conclude(wrong);
    let (message, severity) = words(house, load, &verdict, grounded);
    let finding = Finding::of(&CHECK, house.subject(&load.id), verdict, message);
    Some(finding.because(derivation).severity(severity))
}

/// Ranges and dryers: `frame_grounded_on_neutral`.
fn has_its_own_check(kind: LoadKind) -> bool {
    matches!(kind, LoadKind::Range | LoadKind::Oven | LoadKind::Cooktop | LoadKind::Dryer)
}

/// Whether a ground leads from the outlets back to the panel; one run without it breaks the path.
fn ground_path(house: &House<'_>, run: usize, facts: &mut Facts) -> Option<bool> {
    let broken = house
        .runs_back_from(run)
        .find(|run| matches!(run.equipment_ground.get(), Some(GroundPath::None | GroundPath::ArmorOnly)));
    if let Some(run) = broken {
        if let Some(path) = run.equipment_ground.get() {
            facts.seen("", "equipment ground", Arg::Word(path.words()), &run.id, "equipment_ground");
        }
        return Some(false);
    }
    let mut whole = Some(true);
    for run in house.runs_back_from(run) {
        match facts.need(&run.equipment_ground, &run.id, "equipment_ground") {
            Some(path) => {
                facts.seen("", "equipment ground", Arg::Word(path.words()), &run.id, "equipment_ground");
            }
            None => whole = None,
        }
    }
    match grounds_end_at(house, run, facts) {
        Some(None) => whole,
        Some(Some(feeder)) => {
            if let Some(path) = feeder.equipment_ground.get() {
                let label = "equipment ground of the feeder ahead";
                facts.seen("", label, Arg::Word(path.words()), &feeder.id, "equipment_ground");
            }
            Some(false)
        }
        None => None,
    }
}

/// A feeder at which the grounds of this load's circuit end, though its own wires have one.
fn feeder_without_ground<'a>(house: &House<'a>, load: &Load) -> Option<&'a Run> {
    let run = house.run_number(&load.on)?;
    let own = house
        .runs_back_from(run)
        .all(|run| !matches!(run.equipment_ground.get(), Some(GroundPath::None | GroundPath::ArmorOnly)));
    own.then(|| grounds_end_at(house, run, &mut Facts::new())).flatten().flatten()
}

/// Whether three-slot outlets without a ground fall short: not behind a labelled interrupter.
fn without_ground(load: &Load, facts: &mut Facts) -> Option<bool> {
    if must_be_grounded(load.kind) {
        return Some(true);
    }
    let protected = facts.need(&load.gfci_protected, &load.id, "gfci_protected");
    let labelled = facts.need(&load.no_ground_label, &load.id, "no_ground_label");
    if let Some(protected) = protected {
        facts.seen("", "ground-fault interrupter ahead", protected, &load.id, "gfci_protected");
    }
    if let Some(labelled) = labelled {
        facts.seen("", "label \"No Equipment Ground\"", labelled, &load.id, "no_ground_label");
    }
    match (protected, labelled) {
        (Some(false), _) | (_, Some(false)) => Some(true),
        (Some(true), Some(true)) => Some(false),
        _ => None,
    }
}

fn must_be_grounded(kind: LoadKind) -> bool {
    matches!(
        kind,
        LoadKind::Refrigerator
            | LoadKind::Laundry
            | LoadKind::Dishwasher
            | LoadKind::Disposer
            | LoadKind::SumpPump
            | LoadKind::RoomAirConditioner
    )
}

fn words(house: &House<'_>, load: &Load, verdict: &Verdict, grounded: Option<bool>) -> (Said, Severity) {
    let only_label = load.gfci_protected.get() == Some(true);
    match verdict {
        Verdict::FallsShort if must_be_grounded(load.kind) => (
            say!("This appliance must be grounded, and its circuit has no equipment ground."),
            Severity::Warning,
        ),
        Verdict::FallsShort if only_label => (
            say!(
                "These ungrounded three-slot outlets stand behind a ground-fault interrupter but do not say so."
            ),
            Severity::Caution,
        ),
        Verdict::FallsShort if let Some(feeder) = feeder_without_ground(house, load) => (
            say!(
                "The ground of these three-slot outlets leads to {} ({}), which has none: it leads nowhere.",
                house.run_name(feeder),
                &feeder.id
            ),
            Severity::Warning,
        ),
        Verdict::FallsShort => {
            (say!("Three-slot outlets hang on a circuit that has no equipment ground."), Severity::Warning)
        }
        Verdict::Meets if grounded == Some(false) => (
            say!("There is no equipment ground; a ground-fault interrupter and the label stand in for it."),
            Severity::Warning,
        ),
        Verdict::Meets => (say!("The three-slot outlets have an equipment ground."), Severity::Warning),
        _ => (
            say!("It is not known yet whether three-slot outlets here have what their third slot promises."),
            Severity::Warning,
        ),
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{behind_a_feeder, one_circuit, text, verdict, with};

    fn house(ground: Value, gfci: Value, label: Value) -> Value {
        with(
            one_circuit(),
            &[
                ("/loads/0/kind", json!("receptacles")),
                ("/loads/0/outlets", json!("three_slot")),
                ("/runs/1/equipment_ground", ground),
                ("/loads/0/gfci_protected", gfci),
                ("/loads/0/no_ground_label", label),
            ],
        )
    }

    #[test]
    fn ungrounded_three_slot() {
        let told = |ground, gfci, label| verdict(&CHECK, &house(ground, gfci, label), "L");
        assert_eq!(told(json!("wire"), json!(null), json!(null)), "meets");
        assert_eq!(told(json!("none"), json!(false), json!(null)), "falls_short WARNING");
        assert_eq!(told(json!("armor_only"), json!(false), json!(false)), "falls_short WARNING");
        // NFPA 70-2023 406.4(D)(2): behind an interrupter and labelled it may stay.
        assert_eq!(told(json!("none"), json!(true), json!(true)), "meets");
        assert_eq!(told(json!("none"), json!(true), json!(false)), "falls_short CAUTION");
        assert_eq!(told(json!("none"), json!(true), json!(null)), "cannot_tell no_ground_label");
        assert_eq!(told(json!("none"), json!(null), json!(true)), "cannot_tell gfci_protected");
        assert_eq!(told(json!("none"), json!(null), json!(false)), "falls_short WARNING");
        assert_eq!(told(json!(null), json!(true), json!(true)), "cannot_tell equipment_ground");
    }

    #[test]
    fn outlets_decide_whether_it_speaks() {
        let told = |outlets| {
            let house = house(json!("none"), json!(false), json!(false));
            verdict(&CHECK, &with(house, &[("/loads/0/outlets", outlets)]), "L")
        };
        assert_eq!(told(json!("two_slot")), "silent");
        assert_eq!(told(json!("hard_wired")), "silent");
        assert_eq!(told(json!("two_and_three_slot")), "falls_short WARNING");
        assert_eq!(told(json!(null)), "cannot_tell outlets");
    }

    #[test]
    fn a_refrigerator_is_flagged_even_behind_an_interrupter() {
        let house = house(json!("none"), json!(true), json!(true));
        let told = |kind: &str| verdict(&CHECK, &with(house.clone(), &[("/loads/0/kind", json!(kind))]), "L");
        assert_eq!(told("refrigerator"), "falls_short WARNING");
        assert_eq!(told("microwave"), "meets");
        assert_eq!(told("dryer"), "silent");
    }

    #[test]
    fn one_run_without_a_ground_breaks_the_path() {
        let house = with(
            house(json!("none"), json!(false), json!(false)),
            &[
                ("/runs/-", json!({ "id": "R2", "from": "R", "equipment_ground": "wire" })),
                ("/loads/0/on", json!("R2")),
            ],
        );
        assert_eq!(verdict(&CHECK, &house, "L"), "falls_short WARNING");
        let told = |path, value| verdict(&CHECK, &with(house.clone(), &[(path, value)]), "L");
        assert_eq!(told("/runs/1/equipment_ground", json!("wire")), "meets");
        assert_eq!(told("/runs/1/equipment_ground", json!(null)), "cannot_tell equipment_ground");
    }

    #[test]
    fn a_feeder_without_a_ground_breaks_it_too() {
        let told = |ground: &str| {
            let load = json!({
                "id": "LX", "name": "Outlets", "on": "RX", "kind": "receptacles", "outlets": "three_slot",
                "gfci_protected": false, "no_ground_label": false
            });
            let house = behind_a_feeder(json!(ground), json!(false));
            text(&CHECK, &with(house, &[("/loads/-", load)]), "LX")
        };
        assert!(told("wire").contains("have an equipment ground"), "{}", told("wire"));
        assert!(told("none").contains("(RT), which has none"), "{}", told("none"));
    }

    #[test]
    fn its_text() {
        let warning = house(json!("none"), json!(false), json!(false));
        insta::assert_snapshot!("a_warning", text(&CHECK, &warning, "L"));
        let caution = house(json!("none"), json!(true), json!(false));
        insta::assert_snapshot!("a_caution", text(&CHECK, &caution, "L"));
    }
}
