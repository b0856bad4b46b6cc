//! A current that was read above what the loads that were entered explain.

use crate::checks::check;
use crate::finding::Finding;
use crate::house::House;
use crate::readings::current;

check! {
    /// # What it checks
    /// Each current that was read on a circuit against what the loads entered for it draw together, and on
    /// the incoming conductors of a panel against the largest current entered for that panel.
    ///
    /// # Why
    /// What draws more than it should is a load nobody entered, a wrong plate, a circuit that goes on to
    /// where nobody looked, or a leak to ground. Every figure worked out for the circuit is then too low.
    ///
    /// # Example
    /// A circuit with one 900 W load draws 12 A: 4.5 A hang on it that nobody entered. (Invented circuit.)
    ///
    /// # Limits
    /// Meters and plates may differ by a tenth. Circuits with outlets or lighting for which no load is
    /// entered are left out: what hangs on them is not known. A lower reading proves nothing: loads may
    /// have been off.
    ///
    /// # References
    /// Common practice, no source.
    current_read_beyond_loads {
        folder: Records,
        severity: Caution,
        binding: Hazard,
        citations: [],
        caution: "Do not follow the circuit behind covers while it is live.",
        next_step: "Switch what is known off one by one and read again; enter what still draws, or the larger current of the panel.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for reading in &house.survey.readings {
        let compared = current::with_loads(house, reading);
        findings.extend(compared.into_iter().map(|compared| compared.finding(house, &CHECK)));
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{one_circuit, texts, verdicts, with};

    /// One load of 10 A on the circuit, and a reading.
    fn house(at: &str, current: &str) -> Value {
        let reading = json!({ "id": "M", "at": at, "when": "2026-04-30T14:05:00Z", "instrument": "clamp meter", "current": current });
        let load = json!({
            "id": "L", "name": "Heater", "on": "R", "kind": "other", "voltage": "120 V", "current": "10 A",
            "continuous": false
        });
        with(one_circuit(), &[("/readings", json!([reading])), ("/loads/0", load)])
    }

    fn told(at: &str, current: &str) -> Vec<String> {
        verdicts(&CHECK, &house(at, current), at)
    }

    /// Common practice, no source: a tenth beyond 10 A is 11 A; the panel's own is 40 A, a tenth beyond 44 A.
    #[test]
    fn current_read_beyond_loads() {
        for at in ["P.1", "R", "L"] {
            assert_eq!(told(at, "11 A"), ["not_applicable"], "{at}");
            assert_eq!(told(at, "11.1 A"), ["falls_short CAUTION"], "{at}");
        }
        for at in ["P", "RS"] {
            assert_eq!(told(at, "44 A"), ["not_applicable"], "{at}");
            assert_eq!(told(at, "44.1 A"), ["falls_short CAUTION"], "{at}");
        }
        assert!(told("E", "1 A").is_empty());
    }

    #[test]
    fn missing_facts_leave_it_open_and_outlets_are_left_out() {
        let without = |at, path: &str| verdicts(&CHECK, &with(house(at, "30 A"), &[(path, json!(null))]), at);
        assert_eq!(without("RS", "/panels/0/demand"), ["cannot_tell demand"]);
        assert!(without("R", "/loads/0/current")[0].starts_with("cannot_tell"));
        let outlets = with(
            house("R", "30 A"),
            &[("/loads/0/kind", json!("receptacles")), ("/loads/0/current", json!(null))],
        );
        assert!(verdicts(&CHECK, &outlets, "R").is_empty());
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!(texts(&CHECK, &house("R", "14.5 A"), "R"));
    }
}
