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
