//! Flexible cord where a wiring method belongs.

use crate::checks::check;
use crate::finding::{Facts, Finding, Verdict, judge};
use crate::house::House;
use crate::say;
use crate::survey::{CordUse, Method, Run};

check! {
    /// # What it checks
    /// Whether a flexible cord stands in place of fixed wiring: fastened to the building, through a
    /// wall or ceiling, or hidden.
    ///
    /// # Why
    /// Cord insulation is not made for staples, sun and years inside a wall. Its small conductors
    /// usually hang on a device that is too large for them.
    ///
    /// # Example
    /// A cord stapled along joists to feed a freezer: flagged. A generator cord that is plugged in
    /// for use and put away after: not. (Invented.)
    ///
    /// # Limits
    /// The cord's ampacity is judged by `device_larger_than_conductor`.
    ///
    /// # References
    /// NFPA 70-2023 400.10, 400.12.
    cord_used_as_fixed_wiring {
        folder: Conductors,
        severity: Warning,
        binding: Hazard,
        citations: ["NFPA 70-2023" "400.12"],
        caution: "A hidden or stapled cord can chafe, overheat and start a fire. Unplug it where it can be unplugged.",
        next_step: "Have a licensed electrician replace it by a wiring method for fixed use.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (_, run) in house.runs() {
        if run.method.get() == Some(Method::Cord) {
            findings.push(look_at(house, run));
        }
    }
}

fn look_at(house: &House<'_>, run: &Run) -> Finding {
    let mut facts = Facts::new();
    let used = facts.need(&run.cord_use, &run.id, "cord_use");
    if let Some(used) = used {
        facts.seen("", "use", used.words(), &run.id, "cord_use");
    }
    let used = facts.done(used);
    let verdict = judge(&used, &Facts::new().done(Some(CordUse::Plugged)), |found, allowed| found != allowed);
    let message = match verdict {
        Verdict::FallsShort => say!("A flexible cord serves as fixed wiring here."),
        Verdict::Meets => say!("The cord is plugged in for use and in sight."),
        _ => say!("It is not known whether this cord is fixed in place."),
    };
    Finding::of(&CHECK, house.subject(&run.id), verdict, message).because(used.derivation)
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{one_circuit, text, verdict, with};

    fn cord(used: Value) -> Value {
        with(one_circuit(), &[("/runs/1/method", json!("cord")), ("/runs/1/cord_use", used)])
    }

    /// NFPA 70-2023 400.12.
    #[test]
    fn cord_used_as_fixed_wiring() {
        assert_eq!(verdict(&CHECK, &cord(json!("fixed")), "R"), "falls_short WARNING");
        assert_eq!(verdict(&CHECK, &cord(json!("plugged_in_use")), "R"), "meets");
        assert_eq!(verdict(&CHECK, &cord(json!(null)), "R"), "cannot_tell cord_use");
        assert_eq!(verdict(&CHECK, &one_circuit(), "R"), "silent");
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!(text(&CHECK, &cord(json!("fixed")), "R"));
    }
}
