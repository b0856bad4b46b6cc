//! Armor without a bonding strip that is counted as equipment ground.

use crate::checks::check;
use crate::finding::{Arg, Facts, Finding, Verdict};
use crate::house::House;
use crate::say;
use crate::survey::{GroundPath, Method, Run};

check! {
    /// # What it checks
    /// Whether the only equipment ground of a run is cable armor without a bonding strip: entered so,
    /// or entered as "with strip" on a cable of the time before there was one.
    ///
    /// # Why
    /// The armor is a long steel spiral. Without the strip that shorts its turns it is a poor path: a
    /// fault may draw too little to open the breaker, and the armor glows along its whole length.
    ///
    /// # Example
    /// An invented circuit in armored cable of 1946 whose steel boxes are grounded through the armor:
    /// flagged. The same circuit in armored cable with its strip is not.
    ///
    /// # Limits
    /// It looks at one run. Other runs of the same circuit are told for themselves.
    ///
    /// # References
    /// NFPA 70-2023 250.118(A)(8) and 320.100 (armor with its bonding strip as equipment ground). Strip
    /// required from 1959: history of the cable as told in two public pages.
    armor_as_ground {
        folder: OldHouse,
        severity: Caution,
        binding: Hazard,
        citations: ["NFPA 70-2023" "250.118(A)(8)", "NFPA 70-2023" "320.100"],
        caution: "Metal boxes on this cable are not surely grounded. A fault may heat the armor instead of opening the breaker.",
        next_step: "Count this run as ungrounded. Have a licensed electrician add a grounding wire, protect its outlets by a ground-fault interrupter, or replace the cable.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    findings.extend(house.runs().filter_map(|(_, run)| look_at(house, run)));
}

fn look_at(house: &House<'_>, run: &Run) -> Option<Finding> {
    let mut facts = Facts::new();
    let wrong = match run.equipment_ground.get() {
        Some(GroundPath::ArmorOnly) => Some(true),
        Some(GroundPath::ArmorWithStrip) => {
            facts.need(&run.method, &run.id, "method").map(|method| method == Method::AcOld)
        }
        Some(_) => return None,
        None if run.method.get().is_some_and(|method| !is_armored(method)) => return None,
        None => {
            facts.need(&run.equipment_ground, &run.id, "equipment_ground");
            None
        }
    };
    if let Some(path) = run.equipment_ground.get() {
        facts.seen("", "equipment ground", Arg::Word(path.words()), &run.id, "equipment_ground");
    }
    if let Some(method) = run.method.get() {
        facts.seen("", "wiring method", Arg::Word(method.words()), &run.id, "method");
    }
    let (verdict, derivation) = facts.conclude(wrong);
    let message = match (&verdict, run.equipment_ground.get()) {
        (Verdict::FallsShort, Some(GroundPath::ArmorWithStrip)) => {
            say!("Armored cable of this age has no bonding strip; its armor is no equipment ground.")
        }
        (Verdict::FallsShort, _) => say!("Armor without a bonding strip is the only equipment ground."),
        (Verdict::Meets, _) => say!("The armor has its bonding strip and may serve as equipment ground."),
        _ => say!("It is not known yet whether bare armor serves as equipment ground here."),
    };
    Some(Finding::of(&CHECK, house.subject(&run.id), verdict, message).because(derivation))
}

fn is_armored(method: Method) -> bool {
    matches!(method, Method::AcOld | Method::Ac | Method::Mc)
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::CHECK;
    use crate::fixture::{one_circuit, text, verdict, with};

    #[test]
    fn armor_as_ground() {
        let told = |method, ground| {
            let changes = [("/runs/1/method", method), ("/runs/1/equipment_ground", ground)];
            verdict(&CHECK, &with(one_circuit(), &changes), "R")
        };
        assert_eq!(told(json!("ac_before_1959"), json!("armor_only")), "falls_short CAUTION");
        assert_eq!(told(json!(null), json!("armor_only")), "falls_short CAUTION");
        assert_eq!(told(json!("ac_before_1959"), json!("armor_with_strip")), "falls_short CAUTION");
        assert_eq!(told(json!("ac"), json!("armor_with_strip")), "meets");
        assert_eq!(told(json!(null), json!("armor_with_strip")), "cannot_tell method");
        assert_eq!(told(json!("ac"), json!(null)), "cannot_tell equipment_ground");
        assert_eq!(told(json!(null), json!(null)), "cannot_tell equipment_ground");
        assert_eq!(told(json!("nm_b"), json!(null)), "silent");
        assert_eq!(told(json!("ac_before_1959"), json!("none")), "silent");
    }

    #[test]
    fn its_text() {
        let changes =
            [("/runs/1/method", json!("ac_before_1959")), ("/runs/1/equipment_ground", json!("armor_only"))];
        insta::assert_snapshot!(text(&CHECK, &with(one_circuit(), &changes), "R"));
    }
}
