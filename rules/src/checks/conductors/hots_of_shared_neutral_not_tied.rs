//! A shared-neutral circuit whose hots do not open together.

use crate::checks::check;
use crate::finding::{Facts, Finding, Said, Verdict, judge};
use crate::house::{House, Item};
use crate::say;
use crate::survey::{Circuit, DeviceKind, Run, Way};

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
    /// The clause came with the 2008 edition; older circuits may lawfully have no tie. Fuses, and devices in
    /// different panels, cannot be tied: they fall short whatever is entered of ties.
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
    let bar = bar_to_tie(&ways);
    if bar == Some(Bar::Fuses) {
        ways.iter().for_each(|(_, way)| kind_seen(way, &mut facts));
    }
    let tied = match (&ways[..], bar) {
        ([(_, only)], _) => one_device(only, &mut facts),
        (_, Some(_)) => Some(false),
        (_, None) => all_tied(&ways, &mut facts),
    };
    let tied = facts.done(tied);
    let verdict = judge(&tied, &Facts::new().done(Some(true)), |found, wanted| found != wanted);
    let message = match verdict {
        Verdict::FallsShort if bar == Some(Bar::Panels) => {
            say!("The hots of this shared-neutral circuit come from different panels: no handle opens both.")
        }
        Verdict::FallsShort if bar == Some(Bar::Fuses) => {
            say!(
                "The hots of this shared-neutral circuit stand behind fuses that open one without the other."
            )
        }
        Verdict::FallsShort => {
            say!("The hots of this shared-neutral circuit can be switched off one without the other.")
        }
        Verdict::Meets => say!("The hots of this shared-neutral circuit open together."),
        _ => say!("It is not known whether the hots of this shared-neutral circuit open together."),
    };
    let finding = Finding::of(&CHECK, house.subject(&run.id), verdict, message).because(tied.derivation);
    Some(match bar {
        Some(bar) => finding.next(cure(bar)).caution(say!(
            "Opening one of these devices does not make this circuit dead. Open both, lock them, and prove both \
             hots and the neutral dead."
        )),
        None => finding,
    })
}

/// What makes a handle tie impossible.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Bar {
    /// The hots come from different panels.
    Panels,
    /// One of them stands behind a fuse: no tie is made for fuses.
    Fuses,
}

fn bar_to_tie(ways: &[(usize, &Way)]) -> Option<Bar> {
    let [first, rest @ ..] = ways else { return None };
    if rest.iter().any(|(panel, _)| *panel != first.0) {
        return Some(Bar::Panels);
    }
    let fused = |way: &Way| way.device.kind.get().is_some_and(DeviceKind::is_fuse);
    (!rest.is_empty() && ways.iter().any(|(_, way)| fused(way))).then_some(Bar::Fuses)
}

fn kind_seen(way: &Way, facts: &mut Facts) {
    if let Some(kind) = way.device.kind.get() {
        facts.seen("", "kind of device", kind.words(), &way.id, "device.kind");
    }
}

fn cure(bar: Bar) -> Said {
    match bar {
        Bar::Panels => say!(
            "Have a licensed electrician give one of these circuits a neutral of its own, or feed both hots from one \
             panel behind a device that opens them together."
        ),
        Bar::Fuses => say!(
            "No handle tie is made for fuses: have a licensed electrician give each hot a neutral of its own, or \
             bring the circuit to a panel with a device of two poles that opens both."
        ),
    }
}

/// The ways that feed the hots of a shared neutral; `None` when the run surely shares none, or
/// does not begin at a way.
fn ways_of_shared_neutral<'a>(house: &House<'a>, run: &'a Run) -> Option<Vec<(usize, &'a Way)>> {
    let borrowed = run.neutral_of.as_ref().and_then(|other| house.run_number(other));
    let other = borrowed.map(|other| &house.survey.runs[other]);
    let shares = run.circuit.get() == Some(Circuit::TwoHotsNeutral) && run.to.is_none();
    if !shares && other.is_none() {
        return None;
    }
    let begins = [Some(&run.from), run.also_from.as_ref(), other.map(|other| &other.from)];
    let mut ways: Vec<(usize, &Way)> = Vec::new();
    for id in begins.into_iter().flatten() {
        if let Some(Item::Way(panel, way)) = house.index.get(id) {
            let way = &house.survey.panels[panel].ways[way];
            if !ways.iter().any(|(_, known)| known.id == way.id) {
                ways.push((panel, way));
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
fn all_tied(ways: &[(usize, &Way)], facts: &mut Facts) -> Option<bool> {
    let mut tied = Some(true);
    for (_, way) in ways {
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
    use crate::fixture::{one_circuit, standby, text, verdict, with};

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
    fn no_tie_is_made_for_fuses_or_across_panels() {
        let fused = [
            ("/panels/0/ways/0/device/kind", json!("plug_fuse")),
            ("/panels/0/ways/1/device/kind", json!("plug_fuse")),
        ];
        let house = with(shared(json!(true), json!(true)), &fused);
        assert_eq!(verdict(&CHECK, &house, "R"), "falls_short WARNING");
        insta::assert_snapshot!("behind_fuses", text(&CHECK, &house, "R"));
        let mut way = one_circuit()["panels"][0]["ways"][0].clone();
        (way["id"], way["handles_tied"]) = (json!("P2.1"), json!(true));
        let changes = [
            ("/panels/1/ways/-", way),
            ("/panels/0/ways/0/handles_tied", json!(true)),
            ("/runs/1/circuit", json!("two_hots_and_neutral")),
            ("/runs/1/also_from", json!("P2.1")),
        ];
        let house = with(standby(), &changes);
        assert_eq!(verdict(&CHECK, &house, "R"), "falls_short WARNING");
        assert!(text(&CHECK, &house, "R").contains("neutral of its own"));
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
