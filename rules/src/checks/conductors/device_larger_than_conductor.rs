//! A breaker or fuse larger than the conductor behind it may have.

use crate::checks::check;
use crate::codes::{DeviceLimit, LimitRule};
use crate::finding::{Facts, Finding, Severity, Verdict, Worked, judge};
use crate::house::{Guard, House, Protection};
use crate::say;
use crate::si::Current;
use crate::survey::Panel;
use crate::tables::us::{PracticeId, practice};

check! {
    /// # What it checks
    /// Whether the breaker or fuse ahead of a run is small enough to protect its conductors: not
    /// above their corrected ampacity, the next standard size up only where allowed, never above
    /// the limit for small conductors.
    ///
    /// # Why
    /// The device is the only thing that stops an overload before the insulation burns. A 30 A
    /// fuse lets a 14 AWG wire in a wall glow for hours and never opens.
    ///
    /// # Example
    /// 12 AWG copper NM-B at 86 °F alone in a wall: 30 A in the 90 °C column, capped by the 60 °C
    /// column at 20 A, and 20 A by the small-conductor limit: a 20 A breaker meets, a 30 A one is
    /// 1.5 times too large. (Invented example with figures of the tables named below.)
    ///
    /// # Limits
    /// Conductors of motors and compressors are protected against overload at the motor; their
    /// circuit's device may be larger, up to the plate or the motor tables. Tap rules of 240.21 are
    /// not applied: a tap is compared with the device ahead of it.
    ///
    /// # References
    /// NFPA 70-2023 240.4, 240.4(B), 240.4(D), 240.4(G), 310.12, 310.15, Tables 310.16 and 310.17,
    /// 334.80, 430.52, 440.22.
    device_larger_than_conductor {
        folder: Conductors,
        severity: Warning,
        binding: Hazard,
        citations: ["NFPA 70-2023" "240.4", "NFPA 70-2023" "240.4(D)", "NFPA 70-2023" "310.15"],
        caution: "The wire can overheat inside the wall without the device opening. Do not raise a load on this circuit, and do not fit a larger device.",
        next_step: "Fit a device of the allowed rating, or have a licensed electrician replace the conductor.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (number, run) in house.runs() {
        match house.protection(number) {
            Protection::Ahead(guard) => findings.push(against_device(house, number, guard)),
            Protection::AtEnd(guards) => match guards[..] {
                [only] => findings.push(against_device(house, number, only)),
                _ => findings.push(against_demand(house, number)),
            },
            // `run_unprotected` speaks of it.
            Protection::None => continue,
        }
        debug_assert!(findings.last().is_some_and(|finding| finding.subject.id == run.id));
    }
}

fn against_device(house: &House<'_>, number: usize, guard: Guard<'_>) -> Finding {
    let run = &house.survey.runs[number];
    let rating = rating(guard);
    let limit = house.device_limit(number);
    let verdict = judge(&rating, limit, |rating, limit| *rating > limit.largest);
    let mut derivation = rating.derivation.clone();
    derivation.include(&limit.derivation);
    let finding = match (rating.value, limit.value) {
        (Some(rating), Some(limit)) => compared(house, number, verdict, rating, limit),
        _ => {
            let message =
                say!("It cannot be told whether the device ahead of this run is small enough for it.");
            Finding::of(&CHECK, house.subject(&run.id), verdict, message)
        }
    };
    finding.because(derivation)
}

fn rating(guard: Guard<'_>) -> Worked<Current> {
    let mut facts = Facts::new();
    facts.need(&guard.device.kind, guard.at, guard.kind_fact());
    let rating =
        facts.need(&guard.device.rating, guard.at, guard.rating_fact()).map(|rating| rating.quantity());
    if let Some(rating) = rating {
        facts.seen("I_n", "device ahead", rating, guard.at, guard.rating_fact());
    }
    facts.done(rating)
}

fn compared(
    house: &House<'_>,
    number: usize,
    verdict: Verdict,
    rating: Current,
    limit: DeviceLimit,
) -> Finding {
    let subject = house.subject(&house.survey.runs[number].id);
    let message = match verdict {
        Verdict::FallsShort => {
            say!("The {} device is larger than the {} that this conductor may have.", rating, limit.largest)
        }
        Verdict::Meets => {
            say!("The {} device is within the {} that this conductor may have.", rating, limit.largest)
        }
        _ => say!("The {} device is not known to be within what this conductor may have.", rating),
    };
    let severity = severity(rating, limit.largest);
    let finding =
        Finding::of(&CHECK, subject, verdict, message).figure(rating, limit.largest).severity(severity);
    match limit.rule {
        LimitRule::Motor => finding.next(say!(
            "Fit a device not above {}; the motor's own overload protection must be in place.",
            limit.largest
        )),
        _ => finding,
    }
}

/// DANGER above 1.2 times the limit (common practice), else WARNING.
fn severity(rating: Current, limit: Current) -> Severity {
    let danger = limit * practice(PracticeId::OverfusingDanger).value;
    if rating > danger { Severity::Danger } else { Severity::Warning }
}

/// Service conductors ahead of several mains: the mains together may exceed the ampacity if the
/// load does not (230.90(A) Exception 3).
fn against_demand(house: &House<'_>, number: usize) -> Finding {
    let run = &house.survey.runs[number];
    let ampacity = house.ampacity(number).clone().map(|ampacity| ampacity.allowed());
    let demand = demand(fed_panel(house, number));
    let verdict = judge(&demand, &ampacity, |demand, ampacity| demand > ampacity);
    let message = match (&verdict, demand.value, ampacity.value) {
        (Verdict::FallsShort, Some(demand), Some(ampacity)) => say!(
            "Several mains hang on these conductors, and the load of {} is above their {}.",
            demand,
            ampacity
        ),
        (Verdict::Meets, Some(demand), Some(ampacity)) => {
            say!(
                "Several mains hang on these conductors; the load of {} is within their {}.",
                demand,
                ampacity
            )
        }
        _ => {
            say!("Several mains hang on these conductors: only the load tells whether they are large enough.")
        }
    };
    let mut derivation = demand.derivation.clone();
    derivation.include(&ampacity.derivation);
    let mut finding = Finding::of(&CHECK, house.subject(&run.id), verdict, message).because(derivation);
    if let (Some(demand), Some(ampacity)) = (demand.value, ampacity.value) {
        finding = finding.figure(demand, ampacity);
    }
    finding
        .next(say!("Measure the largest current on these conductors over a season, or calculate the load."))
}

fn fed_panel<'a>(house: &House<'a>, number: usize) -> Option<&'a Panel> {
    let to = house.survey.runs[number].to.as_ref()?;
    house.survey.panels.iter().find(|panel| panel.id == *to)
}

fn demand(panel: Option<&Panel>) -> Worked<Current> {
    let mut facts = Facts::new();
    let Some(panel) = panel else { return facts.done(None) };
    let demand = facts.need(&panel.demand, &panel.id, "demand").map(|demand| demand.quantity());
    if let Some(demand) = demand {
        facts.seen("I_B", "largest current, measured or calculated", demand, &panel.id, "demand");
    }
    facts.done(demand)
}
