//! A current that was read above what the device or the run is made for.

use crate::checks::check;
use crate::finding::Finding;
use crate::house::House;
use crate::readings::current;

check! {
    /// # What it checks
    /// Each current that was read: against the rating of the device that it passes, and against what the
    /// run may carry.
    ///
    /// # Why
    /// A device carries a little more than its rating for hours before it opens, and one that is worn or
    /// bridged never opens. What was measured is no estimate: the run carries it.
    ///
    /// # Example
    /// 17.5 A read on a 15 A circuit: above its device, and above 14 AWG copper at 60 °C. (Invented circuit.)
    ///
    /// # Limits
    /// A reading of one moment: what is within the rating now may pass it in the evening. The current of a
    /// start is no running current; do not enter it here.
    ///
    /// # References
    /// NFPA 70-2023 210.20(A), 240.4, 310.15.
    current_read_over_rating {
        folder: Records,
        severity: Warning,
        binding: Hazard,
        citations: ["NFPA 70-2023" "240.4", "NFPA 70-2023" "310.15"],
        caution: "Do not put in a larger fuse or breaker: the conductor would then carry it unprotected.",
        next_step: "Switch loads on this circuit off until the reading is below the rating, and have a licensed electrician find why the device did not open.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for reading in &house.survey.readings {
        let compared = current::with_ratings(house, reading);
        findings.extend(compared.into_iter().map(|compared| compared.finding(house, &CHECK)));
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{one_circuit, texts, verdicts, with};

    fn house(at: &str, current: &str) -> Value {
        let reading = json!({ "id": "M", "at": at, "when": "2026-04-30T14:05:00Z", "instrument": "clamp meter", "current": current });
        with(one_circuit(), &[("/readings", json!([reading]))])
    }

    fn told(at: &str, current: &str) -> Vec<String> {
        verdicts(&CHECK, &house(at, current), at)
    }

    /// 15 A breaker and 14 AWG copper NM-B: NFPA 70-2023 334.80 and Table 310.16, 60 °C column, 15 A.
    #[test]
    fn current_read_over_rating() {
        for at in ["P.1", "R", "L"] {
            assert_eq!(told(at, "15 A"), ["not_applicable", "not_applicable"], "{at}");
            assert_eq!(told(at, "15.1 A")[0], "falls_short WARNING", "{at}");
        }
        // A main has its rating and no run of its own.
        assert_eq!(told("P", "100 A"), ["not_applicable"]);
        assert_eq!(told("P", "100.1 A"), ["falls_short WARNING"]);
        assert!(told("E", "1 A").is_empty() && told("site", "1 A").is_empty());
    }

    #[test]
    fn missing_facts_leave_it_open() {
        let without = |path: &str| verdicts(&CHECK, &with(house("R", "10 A"), &[(path, json!(null))]), "R");
        assert_eq!(without("/panels/0/ways/0/device/rating")[0], "cannot_tell device.rating");
        assert_eq!(without("/panels/0/ways/0/device/kind")[0], "cannot_tell device.kind");
        assert_eq!(without("/runs/1/size"), ["not_applicable", "cannot_tell size"]);
        assert!(without("/readings/0/current").is_empty());
        let lugs = with(house("P", "10 A"), &[("/panels/0/main", json!({ "kind": "lugs" }))]);
        assert!(verdicts(&CHECK, &lugs, "P").is_empty());
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!(texts(&CHECK, &house("R", "17.5 A"), "R"));
    }
}
