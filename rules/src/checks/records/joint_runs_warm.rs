//! A joint that was read warmer than like ones beside it, or than its surroundings allow.

use crate::checks::check;
use crate::finding::Finding;
use crate::house::House;
use crate::readings::temperature;

check! {
    /// # What it checks
    /// Each temperature that was read: at a way against the coolest of the other ways read in the same
    /// panel, and at a way, run or load against the warmest surroundings entered for its run.
    ///
    /// # Why
    /// A joint that has lost its spring or gained oxide turns current into heat, grows warmer, and loses
    /// more of its spring. It is warm long before it burns, and it shows beside its neighbours.
    ///
    /// # Example
    /// One fuse clip at 48 °C beside one at 29 °C: 19 °C warmer, a failing joint. (Invented panel.)
    ///
    /// # Limits
    /// A joint is only warm while it carries current: read it under load, and compare ways that carry
    /// about the same. Heat seen through a cover is less than the heat behind it. A cool reading proves
    /// nothing, and this check never says that a joint is sound.
    ///
    /// # References
    /// Common practice, no source. NFPA 70-2023 110.14 (terminals), 110.12(B) (damaged parts).
    joint_runs_warm {
        folder: Records,
        severity: Caution,
        binding: Hazard,
        citations: ["NFPA 70-2023" "110.14", "NFPA 70-2023" "110.12(B)"],
        caution: "Leave the cover on and do not tighten anything live: a joint that has run hot can fail when it is touched.",
        next_step: "Take load off this circuit, and have a licensed electrician open the panel and look at the joint with the power off and proven dead.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for reading in &house.survey.readings {
        let compared = temperature::compare(house, reading);
        findings.extend(compared.into_iter().map(|compared| compared.finding(house, &CHECK)));
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{one_circuit, standby, texts, verdicts, with};

    fn reading(id: &str, at: &str, temperature: &str) -> Value {
        json!({ "id": id, "at": at, "when": "2026-04-30T14:05:00Z", "instrument": "camera", "temperature": temperature })
    }

    fn beside(here: &str, neighbour: &str) -> Vec<String> {
        let readings = json!([reading("M1", "P.1", here), reading("M2", "P.2", neighbour)]);
        verdicts(&CHECK, &with(standby(), &[("/readings", readings)]), "P.1")
    }

    /// Common practice, no source: 5 °C and 15 °C over a neighbour; the surroundings are 77 F, 25 °C.
    #[test]
    fn joint_runs_warm() {
        assert_eq!(beside("35 C", "30 C"), ["not_applicable", "not_applicable"]);
        assert_eq!(beside("35.1 C", "30 C"), ["falls_short CAUTION", "not_applicable"]);
        assert_eq!(beside("45 C", "30 C"), ["falls_short CAUTION", "not_applicable"]);
        assert_eq!(beside("45.1 C", "30 C"), ["falls_short WARNING", "falls_short CAUTION"]);
        assert_eq!(beside("20 C", "30 C"), ["not_applicable", "not_applicable"]);
    }

    /// Common practice, no source: 20 °C and 40 °C over surroundings of 25 °C (77 F).
    #[test]
    fn against_its_surroundings() {
        let told = |at: &str, temperature: &str| {
            let house = with(one_circuit(), &[("/readings", json!([reading("M", at, temperature)]))]);
            verdicts(&CHECK, &house, at)
        };
        for at in ["R", "L", "P.1"] {
            assert_eq!(told(at, "45 C"), ["not_applicable"], "{at}");
            assert_eq!(told(at, "45.1 C"), ["falls_short CAUTION"], "{at}");
            assert_eq!(told(at, "65 C"), ["falls_short CAUTION"], "{at}");
            assert_eq!(told(at, "65.1 C"), ["falls_short WARNING"], "{at}");
        }
        assert!(told("P", "90 C").is_empty());
    }

    #[test]
    fn missing_surroundings_leave_it_open() {
        let readings = json!([reading("M", "R", "40 C")]);
        let house = with(one_circuit(), &[("/readings", readings), ("/runs/1/ambient", json!(null))]);
        assert_eq!(verdicts(&CHECK, &house, "R"), ["cannot_tell ambient"]);
        let house = with(house, &[("/readings/0/temperature", json!(null))]);
        assert!(verdicts(&CHECK, &house, "R").is_empty());
    }

    #[test]
    fn its_text() {
        let readings = json!([reading("M1", "P.1", "48 C"), reading("M2", "P.2", "29 C")]);
        let failing = texts(&CHECK, &with(standby(), &[("/readings", readings)]), "P.1");
        let readings = json!([reading("M1", "R", "40 C")]);
        let agreeing = texts(&CHECK, &with(one_circuit(), &[("/readings", readings)]), "R");
        insta::assert_snapshot!(format!("{failing}\n\n{agreeing}"));
    }
}
