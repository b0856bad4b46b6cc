//! A shared-neutral circuit whose hots do not open together.

use crate::checks::check;
use crate::finding::{Facts, Finding, Verdict, judge};
use crate::house::{House, Item};
use crate::say;
use crate::survey::{Circuit, Run, Way};

check! {
    /// # What it checks
    /// Whether all hots of a circuit that shares one neutral open together at the panel: by a
    /// two-pole device or by a handle tie.
    ///
    /// # Why
    /// With one handle off, the other hot still sends its current through the shared neutral.
    /// Whoever opens that neutral at an outlet "that is off" holds a live wire, and the lamps on
    /// both legs may see up to 240 V.
    ///
    /// # Example
    /// Two kitchen circuits in one 3-wire cable behind two single handles with no tie: flagged. (Invented.)
    ///
    /// # Limits
    /// The clause came with the 2008 edition; older circuits may lawfully have no tie. Fuses cannot be
    /// tied: a pull-out that opens both is the way there.
    ///
    /// # References
    /// NFPA 70-2023 210.4(B).
    hots_of_shared_neutral_not_tied {
        folder: Conductors,
        severity: Warning,
        binding: NewWork,
        citations: ["NFPA 70-2023" "210.4(B)"],
        caution: "Turning off one handle does not make this circuit dead. Turn off both, lock them, and prove both hots and the neutral dead.",
        next_step: "Have a licensed electrician fit a handle tie made for these breakers, or a two-pole breaker.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (_, run) in house.runs() {
        findings.extend(look_at(house, run));
    }
}

fn look_at(house: &House<'_>, run: &Run) -> Option<Finding> {
    let ways = ways_of_shared_neutral(house, run)?;
    let mut facts = Facts::new();
    let tied = match ways[..] {
        [only] => one_device(only, &mut facts),
        _ => all_tied(&ways, &mut facts),
    };
    let tied = facts.done(tied);
    let verdict = judge(&tied, &Facts::new().done(Some(true)), |found, wanted| found != wanted);
    let message = match verdict {
        Verdict::FallsShort => {
            say!("The hots of this shared-neutral circuit can be switched off one without the other.")
        }
        Verdict::Meets => say!("The hots of this shared-neutral circuit open together."),
        _ => say!("It is not known whether the hots of this shared-neutral circuit open together."),
    };
    Some(Finding::of(&CHECK, house.subject(&run.id), verdict, message).because(tied.derivation))
}

/// The ways that feed the hots of a shared neutral; `None` when the run surely shares none, or
/// does not begin at a way.
fn ways_of_shared_neutral<'a>(house: &House<'a>, run: &'a Run) -> Option<Vec<&'a Way>> {
    let borrowed = run.neutral_of.as_ref().and_then(|other| house.run_number(other));
    let other = borrowed.map(|other| &house.survey.runs[other]);
    let shares = run.circuit.get() == Some(Circuit::TwoHotsNeutral) && run.to.is_none();
    if !shares && other.is_none() {
        return None;
    }
    let begins = [Some(&run.from), run.also_from.as_ref(), other.map(|other| &other.from)];
    let mut ways: Vec<&Way> = Vec::new();
    for id in begins.into_iter().flatten() {
        if let Some(Item::Way(panel, way)) = house.index.get(id) {
            let way = &house.survey.panels[panel].ways[way];
            if !ways.iter().any(|known| known.id == way.id) {
                ways.push(way);
            }
        }
    }
    (!ways.is_empty()).then_some(ways)
}

/// One way feeds both hots: its device must have two poles.
fn one_device(way: &Way, facts: &mut Facts) -> Option<bool> {
    let poles = facts.need(&way.device.poles, &way.id, "device.poles")?;
    facts.seen("", "poles of the device", poles, &way.id, "device.poles");
    Some(poles >= 2)
}

/// Several ways: every handle must be tied.
fn all_tied(ways: &[&Way], facts: &mut Facts) -> Option<bool> {
    let mut tied = Some(true);
    for way in ways {
        match facts.need(&way.handles_tied, &way.id, "handles_tied") {
            Some(this) => {
                facts.seen("", "handle tied", if this { "yes" } else { "no" }, &way.id, "handles_tied");
                if !this {
                    // One free handle is enough, whatever the others are.
                    return Some(false);
                }
            }
            None => tied = None,
        }
    }
    tied
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{one_circuit, text, verdict, with};

    /// A second way beside the first, and one 3-wire run from both.
    fn shared(first: Value, second: Value) -> Value {
        let mut way = one_circuit()["panels"][0]["ways"][0].clone();
        way["id"] = json!("P.3");
        way["leg"] = json!("B");
        let house = with(
            one_circuit(),
            &[
                ("/panels/0/ways/-", way),
                ("/runs/1/circuit", json!("two_hots_and_neutral")),
                ("/runs/1/also_from", json!("P.3")),
            ],
        );
        with(house, &[("/panels/0/ways/0/handles_tied", first), ("/panels/0/ways/1/handles_tied", second)])
    }

    /// NFPA 70-2023 210.4(B).
    #[test]
    fn hots_of_shared_neutral_not_tied() {
        assert_eq!(verdict(&CHECK, &shared(json!(true), json!(true)), "R"), "meets");
        assert_eq!(verdict(&CHECK, &shared(json!(true), json!(false)), "R"), "falls_short WARNING");
        assert_eq!(verdict(&CHECK, &shared(json!(null), json!(false)), "R"), "falls_short WARNING");
        assert_eq!(verdict(&CHECK, &shared(json!(true), json!(null)), "R"), "cannot_tell handles_tied");
    }

    #[test]
    fn one_two_pole_device_opens_both() {
        let poles = |poles| {
            let changes = [
                ("/runs/1/circuit", json!("two_hots_and_neutral")),
                ("/panels/0/ways/0/device/poles", poles),
            ];
            verdict(&CHECK, &with(one_circuit(), &changes), "R")
        };
        assert_eq!(poles(json!(2)), "meets");
        assert_eq!(poles(json!(1)), "falls_short WARNING");
        assert_eq!(poles(json!(null)), "cannot_tell device.poles");
    }

    #[test]
    fn a_two_wire_circuit_shares_nothing() {
        assert_eq!(verdict(&CHECK, &one_circuit(), "R"), "silent");
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!(text(&CHECK, &shared(json!(true), json!(false)), "R"));
    }
}
