//! A fuse, switch or single-pole device in a neutral.

use crate::checks::check;
use crate::finding::{Facts, Finding, Verdict, judge};
use crate::house::House;
use crate::say;
use crate::survey::{Circuit, Run};

check! {
    /// # What it checks
    /// Whether a fuse, switch or single-pole device stands in the neutral of a run.
    ///
    /// # Why
    /// Boards of the time before about 1935 fused both wires. When the neutral's fuse blows, the
    /// lamp goes out and the circuit looks dead, but its hot is still live at every outlet, and
    /// through any connected load so is the neutral behind the open fuse.
    ///
    /// # Example
    /// An invented two-wire lighting circuit with a plug fuse in each wire: the neutral's fuse is
    /// flagged whatever its rating.
    ///
    /// # Limits
    /// A device that opens all conductors together (a two-pole device of which one pole is the
    /// neutral) is lawful; enter the neutral as not opened then and write a note.
    ///
    /// # References
    /// NFPA 70-2023 240.22 (overcurrent device in a grounded conductor). Era: common practice, no source.
    fused_neutral {
        folder: OldHouse,
        severity: Danger,
        binding: Hazard,
        citations: ["NFPA 70-2023" "240.22"],
        caution: "A dead-looking circuit may be live at every outlet. Prove each conductor dead against a known ground before touching it.",
        next_step: "Have a licensed electrician remove the device from the neutral and join the neutral solidly.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (_, run) in house.runs() {
        if has_neutral(run) {
            findings.push(look_at(house, run));
        }
    }
}

/// A run whose conductors are unknown may have a neutral.
fn has_neutral(run: &Run) -> bool {
    !matches!(run.circuit.get(), Some(Circuit::TwoHots | Circuit::DcPair))
}

fn look_at(house: &House<'_>, run: &Run) -> Finding {
    let mut facts = Facts::new();
    facts.need(&run.circuit, &run.id, "circuit");
    let opened = facts.need(&run.neutral_opened, &run.id, "neutral_opened");
    facts.seen("", "device in the neutral", yes_no(opened == Some(true)), &run.id, "neutral_opened");
    let opened = facts.done(opened);
    let verdict = judge(&opened, &Facts::new().done(Some(false)), |found, allowed| found != allowed);
    let message = match verdict {
        Verdict::FallsShort => say!("A device stands in the neutral of this run."),
        Verdict::Meets => say!("The neutral of this run is solid."),
        _ => say!("Nobody has seen yet whether a device stands in this neutral."),
    };
    Finding::of(&CHECK, house.subject(&run.id), verdict, message).because(opened.derivation)
}

fn yes_no(yes: bool) -> &'static str {
    if yes { "yes" } else { "no" }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::CHECK;
    use crate::fixture::{one_circuit, text, verdict, with};

    #[test]
    fn fused_neutral() {
        let told = |value| verdict(&CHECK, &with(one_circuit(), &[("/runs/1/neutral_opened", value)]), "R");
        assert_eq!(told(json!(true)), "falls_short DANGER");
        assert_eq!(told(json!(false)), "meets");
        assert_eq!(told(json!(null)), "cannot_tell neutral_opened");
        assert_eq!(told(json!("cannot be seen")), "cannot_tell neutral_opened");
    }

    #[test]
    fn a_run_of_two_hots_has_no_neutral_to_fuse() {
        let house = with(one_circuit(), &[("/runs/1/circuit", json!("two_hots"))]);
        assert_eq!(verdict(&CHECK, &house, "R"), "silent");
    }

    #[test]
    fn its_text() {
        let house = with(one_circuit(), &[("/runs/1/neutral_opened", json!(true))]);
        insta::assert_snapshot!(text(&CHECK, &house, "R"));
    }
}
