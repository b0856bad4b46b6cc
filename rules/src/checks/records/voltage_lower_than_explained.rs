//! A voltage that was read lower than the supply and the drop on the way explain.

use crate::checks::check;
use crate::finding::Finding;
use crate::house::House;
use crate::readings::voltage;

check! {
    /// # What it checks
    /// Each voltage that was read at a panel, way, run or load: against the nominal voltage, less what a
    /// supply may stand below it, less the largest drop that the conductors and loads on the way explain.
    ///
    /// # Why
    /// What is missing beyond that is lost in a joint: a lug, a splice or a fuse clip with resistance, or a
    /// neutral that is no longer whole. That loss is heat in one spot.
    ///
    /// # Example
    /// 104 V at the end of a circuit that loses 3 V at most: 114 V less 3 V would be explained, the other
    /// 7 V are not. (Invented circuit.)
    ///
    /// # Limits
    /// Which supply fed the house at that moment is not asked; each that can is allowed for. Where outlets
    /// hang on a circuit with no load entered, the full rating of its device is allowed for. A voltage that
    /// is too high, and one that is explained, are not judged.
    ///
    /// # References
    /// Common practice, no source; the drop as in voltage_drop_over_advice. ANSI C84.1 for the band (from
    /// memory).
    voltage_lower_than_explained {
        folder: Records,
        severity: Warning,
        binding: Hazard,
        citations: [],
        caution: "A neutral that is lost can put the full voltage of both legs on ordinary outlets. Switch the circuit off; do not open splices live.",
        next_step: "Have a licensed electrician measure along the way, from the panel to the outlet, for the joint at which the voltage is lost.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for reading in &house.survey.readings {
        let compared = voltage::compare(house, reading);
        findings.extend(compared.into_iter().map(|compared| compared.finding(house, &CHECK)));
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{one_circuit, texts, verdicts, with};

    fn house(at: &str, voltage: &str) -> Value {
        let reading = json!({ "id": "M", "at": at, "when": "2026-04-30T14:05:00Z", "instrument": "meter", "voltage": voltage });
        with(one_circuit(), &[("/readings", json!([reading]))])
    }

    fn told(at: &str, voltage: &str) -> Vec<String> {
        verdicts(&CHECK, &house(at, voltage), at)
    }

    /// 120 V less 5 % is 114 V (ANSI C84.1 range A, from memory); 240 V less 5 % is 228 V.
    #[test]
    fn voltage_lower_than_explained() {
        for at in ["P", "P.bus", "P.1", "R", "L"] {
            assert_eq!(told(at, "114 V"), ["not_applicable"], "{at}");
            assert_eq!(told(at, "100 V"), ["falls_short WARNING"], "{at}");
        }
        assert_eq!(told("P", "228 V"), ["not_applicable"]);
        assert_eq!(told("P", "215 V"), ["falls_short WARNING"]);
        assert!(
            told("E", "1 V").is_empty() && told("site", "1 V").is_empty() && told("RS", "1 V").is_empty()
        );
    }

    #[test]
    fn missing_facts_leave_it_open() {
        let without = |path: &str| verdicts(&CHECK, &with(house("R", "110 V"), &[(path, json!(null))]), "R");
        assert_eq!(without("/runs/1/length"), ["cannot_tell length"]);
        assert_eq!(without("/supplies/0/voltage"), ["cannot_tell voltage"]);
        assert!(without("/readings/0/voltage").is_empty());
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!(texts(&CHECK, &house("R", "104 V"), "R"));
    }
}
