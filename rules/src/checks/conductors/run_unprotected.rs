//! A run with no device where it begins or becomes smaller.

use crate::checks::check;
use crate::checks::service::too_many_mains::are_too_many;
use crate::finding::{Derivation, Facts, Finding, Verdict, judge, reckoned};
use crate::house::{House, Item, Protection};
use crate::say;
use crate::survey::{Run, WireSize};

check! {
    /// # What it checks
    /// Whether every run has an overcurrent device where it begins, and where it becomes smaller than
    /// the run that feeds it.
    ///
    /// # Why
    /// A thin wire spliced to a thick one is protected only by the device of the thick one. In a
    /// fault it melts first and burns what it touches.
    ///
    /// # Example
    /// A 14 AWG cable spliced in the attic to a 10 AWG run behind a 30 A fuse: nothing protects the
    /// 14 AWG part. (Invented.)
    ///
    /// # Limits
    /// The tap rules of 240.21(B) allow some short taps under conditions that a survey cannot see;
    /// the finding asks a licensed electrician to judge them. Service conductors are protected at
    /// their load end (230.90, 230.91) and pass if a device stands there; more mains than a service may have
    /// do not count, and too_many_mains speaks of them.
    ///
    /// # References
    /// NFPA 70-2023 240.4, 240.21, 230.90.
    run_unprotected {
        folder: Conductors,
        severity: Danger,
        binding: Hazard,
        citations: ["NFPA 70-2023" "240.21", "NFPA 70-2023" "240.4"],
        caution: "In a fault this conductor can burn before anything opens. Keep loads off it until it is protected.",
        next_step: "Have a licensed electrician put a device where this run begins, or replace it by the size of the run ahead.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (number, run) in house.runs() {
        let finding = match house.index.get(&run.from) {
            // Service conductors in several pieces are protected at their load end.
            Some(Item::Run(ahead)) if !matches!(house.protection(number), Protection::AtEnd(_)) => {
                at_splice(house, run, &house.survey.runs[ahead])
            }
            _ => at_beginning(house, number, run),
        };
        findings.push(finding);
    }
}

fn at_beginning(house: &House<'_>, number: usize, run: &Run) -> Finding {
    let subject = house.subject(&run.id);
    let guard = match house.protection(number) {
        Protection::Ahead(guard) => guard,
        Protection::AtEnd(guards) => match guards.first() {
            Some(guard) => match of_too_many(house, number, guards.len()) {
                Some(finding) => return finding,
                None => *guard,
            },
            None => return bare(house, run),
        },
        Protection::None => return bare(house, run),
    };
    let mut facts = Facts::new();
    let kind = facts.need(&guard.device.kind, guard.at, guard.kind_fact());
    if let Some(kind) = kind {
        facts.seen("", "device", kind.words(), guard.at, guard.kind_fact());
    }
    let protects = facts.done(kind.map(crate::survey::DeviceKind::protects));
    let verdict = judge(&protects, &Facts::new().done(Some(true)), |found, wanted| found != wanted);
    let message = match verdict {
        Verdict::Meets => say!("A device protects this run."),
        Verdict::FallsShort => say!("What stands where this run begins opens nothing on too much current."),
        _ => say!("It is not known what stands where this run begins."),
    };
    Finding::of(&CHECK, subject, verdict, message).because(protects.derivation)
}

/// More mains than a service may have protect their conductors against nothing but their sum.
fn of_too_many(house: &House<'_>, number: usize, devices: usize) -> Option<Finding> {
    let run = &house.survey.runs[number];
    let found = are_too_many(house.fed_panel(number)?, devices);
    if found.certain() == Some(&false) {
        return None;
    }
    let subject = house.subject(&run.id);
    if !found.missing.is_empty() {
        let verdict = Verdict::CannotTell { missing: found.missing };
        let message =
            say!("It cannot be told whether the mains at the end of this run are few enough to protect it.");
        return Some(Finding::of(&CHECK, subject, verdict, message));
    }
    let why = say!("More mains hang on these conductors than a service may have; they are judged there.");
    let message = say!("The mains at the end of this run are too many to protect it; see too many mains.");
    Some(Finding::of(&CHECK, subject, Verdict::NotApplicable { why }, message))
}

fn bare(house: &House<'_>, run: &Run) -> Finding {
    let message = say!("No overcurrent device stands ahead of this run or at its end.");
    Finding::of(&CHECK, house.subject(&run.id), Verdict::FallsShort, message)
}

/// A run that begins at the end of another must not be smaller, unless it has its own device.
fn at_splice(house: &House<'_>, run: &Run, ahead: &Run) -> Finding {
    let mut facts = Facts::new();
    let own = size_of(run, &mut facts);
    let other = size_of(ahead, &mut facts);
    let same_metal = match (
        facts.need(&run.material, &run.id, "material"),
        facts.need(&ahead.material, &ahead.id, "material"),
    ) {
        (Some(own), Some(other)) => Some(own == other),
        _ => None,
    };
    let (own_size, other_size) = (own, other);
    let smaller = match (own, other, same_metal) {
        (Some(own), Some(other), _) if own.is_smaller_than(other) => Some(true),
        (Some(_), Some(_), Some(same_metal)) => Some(!same_metal),
        _ => None,
    };
    if let (Some(own), Some(other)) = (own_size, other_size) {
        facts.step(reckoned("", "run against the run ahead", say!("{} against {}", own, other), own));
    }
    let smaller = facts.done(smaller);
    let verdict = judge(&smaller, &Facts::new().done(Some(false)), |found, wanted| found != wanted);
    told(house, run, ahead, verdict, own_size.zip(other_size), smaller.derivation)
}

fn size_of(run: &Run, facts: &mut Facts) -> Option<WireSize> {
    let size = facts.need(&run.size, &run.id, "size")?.quantity();
    facts.seen("S", "conductor", size, &run.id, "size");
    Some(size)
}

fn told(
    house: &House<'_>,
    run: &Run,
    ahead: &Run,
    verdict: Verdict,
    sizes: Option<(WireSize, WireSize)>,
    derivation: Derivation,
) -> Finding {
    let message = match (&verdict, sizes) {
        (Verdict::FallsShort, Some((own, other))) => say!(
            "This run ({}) is spliced to {} ({}) and has no device of its own.",
            own,
            house.run_name(ahead),
            other
        ),
        (Verdict::Meets, _) => say!("This run is as large as the run it is spliced to."),
        _ => say!("It cannot be told whether this run is smaller than the one it is spliced to."),
    };
    Finding::of(&CHECK, house.subject(&run.id), verdict, message).because(derivation)
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{mains, one_circuit, text, verdict, with};

    /// A run spliced to the end of the 14 AWG circuit.
    fn spliced(size: Value, material: Value) -> Value {
        let run =
            json!({ "id": "R2", "name": "Attic extension", "from": "R", "size": size, "material": material });
        with(one_circuit(), &[("/runs/-", run)])
    }

    #[test]
    fn run_unprotected() {
        let told = |size| verdict(&CHECK, &spliced(size, json!("copper")), "R2");
        assert_eq!(told(json!("14 AWG")), "meets");
        assert_eq!(told(json!("12 AWG")), "meets");
        // What Chapter 9 Table 8 of NFPA 70-2023 prints for 14 AWG (from memory).
        assert_eq!(told(json!("2.08 mm2")), "meets");
        assert_eq!(told(json!("16 AWG")), "falls_short DANGER");
        assert_eq!(told(json!(null)), "cannot_tell size");
        assert_eq!(
            verdict(&CHECK, &spliced(json!("14 AWG"), json!("aluminium")), "R2"),
            "falls_short DANGER"
        );
        assert_eq!(verdict(&CHECK, &spliced(json!("14 AWG"), json!(null)), "R2"), "cannot_tell material");
    }

    /// NFPA 70-2023 230.90(A) Exception 3 lets two to six mains protect service conductors.
    #[test]
    fn more_mains_than_a_service_may_have_protect_nothing() {
        let told = |count: usize| verdict(&CHECK, &mains(count), "RS");
        let seven = |changes: &[(&str, Value)]| with(mains(7), changes);
        assert_eq!(told(6), "meets");
        assert_eq!(told(7), "not_applicable");
        let house = seven(&[("/panels/0/ways/3/device/kind", json!(null))]);
        assert_eq!(verdict(&CHECK, &house, "RS"), "cannot_tell device.kind");
    }

    #[test]
    fn a_switch_is_no_protection() {
        let told =
            |kind| verdict(&CHECK, &with(one_circuit(), &[("/panels/0/ways/0/device/kind", kind)]), "R");
        assert_eq!(told(json!("breaker")), "meets");
        // Behind a plain switch the main of the panel is the device ahead.
        assert_eq!(told(json!("switch")), "meets");
        assert_eq!(told(json!(null)), "cannot_tell device.kind");
    }

    #[test]
    fn service_conductors_are_protected_at_their_end() {
        assert_eq!(verdict(&CHECK, &one_circuit(), "RS"), "meets");
        let lugs = with(
            one_circuit(),
            &[("/panels/0/main/kind", json!("lugs")), ("/panels/0/ways/0/device/kind", json!("switch"))],
        );
        assert_eq!(verdict(&CHECK, &lugs, "RS"), "falls_short DANGER");
        assert_eq!(verdict(&CHECK, &lugs, "R"), "falls_short DANGER");
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!(text(&CHECK, &spliced(json!("16 AWG"), json!("copper")), "R2"));
    }
}
