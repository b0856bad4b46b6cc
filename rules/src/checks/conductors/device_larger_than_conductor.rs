//! A breaker or fuse larger than the conductor behind it may have.

use crate::calc::entered_demand::{EnteredDemand, entered_demand};
use crate::calc::load_current::design_current_of_run;
use crate::capacity::demand::{Assessed, ByMethod};
use crate::checks::check;
use crate::checks::service::too_many_mains::beyond_most_throws;
use crate::codes::{DeviceLimit, LimitRule};
use crate::finding::{Citation, Facts, Finding, Missing, Said, Severity, Verdict, Worked, judge};
use crate::house::{Guard, House, Protection};
use crate::say;
use crate::si::Current;
use crate::sizing::replacement;
use crate::tables::us::{PracticeId, practice};

check! {
    /// # What it checks
    /// Whether the breaker or fuse ahead of a run is small enough to protect its conductors: not
    /// above their corrected ampacity, the next standard size up only where allowed, never above
    /// the limit for small conductors. Where the code lets the device be larger, the finding says by
    /// which rule.
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
    /// circuit's device may be larger, up to the plate or the motor tables, as long as the conductor is
    /// known to carry the motor. Conductors smaller than 1/0 AWG do not count in parallel. Where only the
    /// terminals stand less than the device, `terminal_runs_too_hot` speaks and this check does not. Behind
    /// several mains the load decides; where they are more than a service may have, `too_many_mains` speaks. An
    /// arc welder with its duty cycle follows 630.11(A) and 630.12; a resistance welder is a load like any other
    /// here. What 240.5(B) allows to listed cord sets in use is not applied. Tap rules
    /// of 240.21 are not applied: a tap is compared with the device ahead of it.
    ///
    /// # References
    /// NFPA 70-2023 110.14(C), 240.4, 240.4(B), 240.4(D), 240.4(G), 240.5, 310.10(G), 310.12, 310.15, Tables
    /// 310.16 and 310.17, 334.80, 400.5, 430.22, 430.52, 440.22, 440.32, 630.11(A), 630.12.
    device_larger_than_conductor {
        folder: Conductors,
        severity: Warning,
        binding: Hazard,
        citations: ["NFPA 70-2023" "240.4", "NFPA 70-2023" "240.4(D)", "NFPA 70-2023" "310.15"],
        caution: "The wire can overheat inside the wall without the device opening. Do not raise a load on this circuit, and do not fit a larger device.",
        next_step: "Have a licensed electrician fit a device of the allowed rating, or replace the conductor.",
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
    let terminals = !house.sole_load(number).is_some_and(|load| load.kind.is_motor());
    let most = |limit: &DeviceLimit| if terminals { limit.by_insulation } else { limit.largest };
    let verdict = match judge(&rating, limit, |rating, limit| *rating > most(limit)) {
        Verdict::Meets => terminals_or_meets(&rating, limit),
        other => other,
    };
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

/// A device within what the insulation stands and above what the terminals do is no sound one.
fn terminals_or_meets(rating: &Worked<Current>, limit: &Worked<DeviceLimit>) -> Verdict {
    let above = |(rating, limit): (Current, DeviceLimit)| rating > limit.largest;
    if rating.value.zip(limit.value).is_some_and(above) {
        let why = say!("The insulation stands this device, the terminals do not: see terminal_runs_too_hot.");
        return Verdict::NotApplicable { why };
    }
    Verdict::Meets
}

fn rating(guard: Guard<'_>) -> Worked<Current> {
    let mut facts = Facts::new();
    let rating = guard.rating(&mut facts);
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
        Verdict::Meets => within(house, number, rating, limit),
        Verdict::NotApplicable { .. } => {
            say!("The {} device is above the {} that the terminals of this run stand.", rating, limit.largest)
        }
        _ => say!("The {} device is not known to be within what this conductor may have.", rating),
    };
    let severity = severity(rating, limit.largest);
    let finding =
        Finding::of(&CHECK, subject, verdict, message).figure(rating, limit.largest).severity(severity);
    let finding = match load_needs_more(house, number, &finding.verdict, rating, limit) {
        Some(next) => finding.next(next),
        None => finding,
    };
    match limit.rule {
        LimitRule::Motor => finding.next(say!(
            "Fit a device not above {}; the motor's own overload protection must be in place.",
            limit.largest
        )),
        LimitRule::Cord => Finding { citations: OF_CORDS, ..finding },
        _ => finding,
    }
}

/// Where the load itself asks for more than the device that the conductor may have, a smaller device is no
/// cure: only a larger conductor is.
fn load_needs_more(
    house: &House<'_>,
    number: usize,
    verdict: &Verdict,
    rating: Current,
    limit: DeviceLimit,
) -> Option<Said> {
    if *verdict != Verdict::FallsShort {
        return None;
    }
    let asked = asked_of(house, number)?;
    if asked <= limit.largest {
        return None;
    }
    let carries = |house: &House<'_>, run: usize| {
        let ampacity = house.ampacity(run).certain().map(|ampacity| ampacity.allowed());
        let device = house.device_limit(run).certain().map(|limit| limit.largest);
        ampacity.is_some_and(|ampacity| ampacity >= asked) && device.is_some_and(|device| device >= rating)
    };
    let metal = house.survey.runs[number].material.get()?.words();
    Some(match replacement(house, number, carries) {
        Some(size) => say!(
            "Have a licensed electrician replace the conductor by at least {} {}, on which the {} device may stay. \
             A smaller device is no cure: the load asks for {}.",
            size,
            metal,
            rating,
            asked
        ),
        None => say!(
            "Have a licensed electrician replace the conductor by one for this device. A smaller device is no \
             cure: the load asks for {}.",
            asked
        ),
    })
}

/// What hangs on a run asks of it: the loads of a circuit, the demand of the panel that a feeder feeds.
fn asked_of(house: &House<'_>, number: usize) -> Option<Current> {
    if house.loads_on(number).next().is_some() {
        return Some(design_current_of_run(house, number).value?.current);
    }
    let panel = house.fed_panel(number)?;
    let of_panel = |demand: &&Assessed| demand.place.at == panel.id && demand.place.bus.is_none();
    let shown = house.demands().iter().find(of_panel)?.shown()?;
    Some(shown.sheet.current)
}

const OF_CORDS: &[Citation] = &[
    Citation { standard: "NFPA 70-2023", clause: "240.5(A)" },
    Citation { standard: "NFPA 70-2023", clause: "Table 400.5(A)(1)" },
];

/// That it meets, and by which rule where the device is larger than the conductor's ampacity.
fn within(house: &House<'_>, number: usize, rating: Current, limit: DeviceLimit) -> Said {
    let ampacity = house.ampacity(number).value.map(|ampacity| ampacity.allowed());
    let larger = ampacity.filter(|ampacity| rating > *ampacity);
    match (limit.rule, larger) {
        (LimitRule::NextSizeUp, Some(ampacity)) => say!(
            "The {} device is above the {} that this conductor carries, and allowed: {} is the next standard \
             rating (240.4(B)).",
            rating,
            ampacity,
            limit.largest
        ),
        (LimitRule::DwellingService, Some(ampacity)) => say!(
            "The {} device is above the {} that this conductor carries, and allowed: it carries a whole \
             dwelling (310.12, up to {}).",
            rating,
            ampacity,
            limit.largest
        ),
        (LimitRule::Motor, Some(ampacity)) => say!(
            "The {} device is above the {} that this conductor carries, and allowed: it feeds one motor, whose \
             own overload protection guards the conductor (240.4(G), up to {}).",
            rating,
            ampacity,
            limit.largest
        ),
        (LimitRule::Welder, Some(ampacity)) => say!(
            "The {} device is above the {} that this conductor carries, and allowed: it feeds one arc welder \
             (630.12, up to {}).",
            rating,
            ampacity,
            limit.largest
        ),
        _ => say!("The {} device is within the {} that this conductor may have.", rating, limit.largest),
    }
}

/// DANGER above 1.2 times the limit (common practice), else WARNING.
fn severity(rating: Current, limit: Current) -> Severity {
    let danger = limit * practice(PracticeId::OverfusingDanger).value;
    if rating > danger { Severity::Danger } else { Severity::Warning }
}

/// Service conductors ahead of several mains: the mains together may exceed the ampacity if the
/// calculated load does not (230.90(A) Exception 3). What was entered decides as far as it goes, then
/// the demand worked out of the survey.
fn against_demand(house: &House<'_>, number: usize) -> Finding {
    let run = &house.survey.runs[number];
    let ampacity = house.ampacity(number).clone().map(|ampacity| ampacity.allowed());
    let panel = house.fed_panel(number);
    let mut facts = Facts::new();
    let entered = panel.and_then(|panel| entered_demand(house.survey, panel, &mut facts));
    let read = facts.done(Some(()));
    let worked_out = panel.and_then(|panel| {
        house.demands().iter().find(|demand| demand.place.at == panel.id && demand.place.bus.is_none())
    });
    let certain = ampacity.certain().copied();
    let (verdict, shown) = match (entered, worked_out, ampacity.value) {
        (Some(entered), _, Some(allowed)) if entered.least > allowed => {
            (Verdict::FallsShort, Some(entered.least))
        }
        (Some(EnteredDemand { most: Some(most), .. }), ..) if certain.is_some_and(|sure| most <= sure) => {
            (Verdict::Meets, Some(most))
        }
        (_, Some(demand), allowed) => by_calculation(demand, &ampacity, allowed),
        _ => (open(&read.missing, &ampacity.missing), None),
    };
    // The exception is for as many mains as a service may have.
    let verdict = match panel.and_then(beyond_most_throws) {
        Some(most) if verdict != Verdict::FallsShort => Verdict::NotApplicable {
            why: say!("More than {} mains hang on these conductors: no small load allows for that.", most),
        },
        _ => verdict,
    };
    let mut derivation = read.derivation;
    if let Some(by) = worked_out.and_then(Assessed::shown).filter(|by| Some(by.sheet.current) == shown) {
        derivation.include(&by.sheet.derivation);
    }
    derivation.include(&ampacity.derivation);
    let message = of_several_mains(&verdict, shown, ampacity.value);
    let mut finding = Finding::of(&CHECK, house.subject(&run.id), verdict, message).because(derivation);
    if let (Some(demand), Some(ampacity)) = (shown, ampacity.value) {
        finding = finding.figure(demand, ampacity);
    }
    finding
        .next(say!("Measure the largest current on these conductors over a season, or calculate the load."))
}

/// The demand against these conductors themselves: what the place may carry need not include them (a service
/// drop) or may be more than their ampacity (310.12).
fn by_calculation(
    demand: &Assessed,
    ampacity: &Worked<Current>,
    allowed: Option<Current>,
) -> (Verdict, Option<Current>) {
    let current = |by: &ByMethod| by.sheet.current;
    let shown = demand.shown().map(current);
    let within = |by: &&ByMethod| {
        by.verdict == Verdict::Meets && ampacity.certain().is_some_and(|sure| current(by) <= *sure)
    };
    if let Some(kept) = demand.methods.iter().find(within) {
        return (Verdict::Meets, Some(current(kept)));
    }
    let over = |allowed: Current| demand.methods.iter().all(|by| current(by) > allowed);
    if !demand.methods.is_empty() && allowed.is_some_and(over) {
        return (Verdict::FallsShort, shown);
    }
    let open_facts = demand.methods.iter().filter_map(|by| match &by.verdict {
        Verdict::CannotTell { missing } => Some(missing.as_slice()),
        _ => None,
    });
    let missing = open_facts.collect::<Vec<_>>().concat();
    if missing.is_empty() && ampacity.missing.is_empty() && demand.verdict == Verdict::FallsShort {
        let why = say!("The load is too much for the panel before it is too much for these conductors.");
        return (Verdict::NotApplicable { why }, shown);
    }
    (open(&missing, &ampacity.missing), shown)
}

fn open(of_demand: &[Missing], of_conductors: &[Missing]) -> Verdict {
    let mut missing = [of_demand, of_conductors].concat();
    missing.sort();
    missing.dedup();
    Verdict::CannotTell { missing }
}

fn of_several_mains(verdict: &Verdict, demand: Option<Current>, ampacity: Option<Current>) -> Said {
    match (verdict, demand, ampacity) {
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
        (Verdict::NotApplicable { why }, ..) => why.clone(),
        _ => {
            say!("Several mains hang on these conductors: only the load tells whether they are large enough.")
        }
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::CHECK;
    use crate::fixture::{one_circuit, text, verdict, with};

    fn told(changes: &[(&str, serde_json::Value)]) -> String {
        verdict(&CHECK, &with(one_circuit(), changes), "R")
    }

    /// NFPA 70-2023 240.4(D)(4), (6): 15 A on 14 AWG copper, 20 A on 12 AWG copper.
    #[test]
    fn device_larger_than_conductor() {
        assert_eq!(told(&[]), "meets");
        assert_eq!(told(&[("/panels/0/ways/0/device/rating", json!("20 A"))]), "falls_short DANGER");
        let twelve = ("/runs/1/size", json!("12 AWG"));
        assert_eq!(told(&[twelve.clone(), ("/panels/0/ways/0/device/rating", json!("20 A"))]), "meets");
        assert_eq!(told(&[twelve, ("/panels/0/ways/0/device/rating", json!("25 A"))]), "falls_short DANGER");
    }

    /// DANGER above 1.2 times the limit (common practice, no source); 35 A on 10 AWG (30 A) is 1.17 times.
    #[test]
    fn severity_turns_at_one_and_a_fifth() {
        let ten = ("/runs/1/size", json!("10 AWG"));
        assert_eq!(
            told(&[ten.clone(), ("/panels/0/ways/0/device/rating", json!("35 A"))]),
            "falls_short WARNING"
        );
        assert_eq!(told(&[ten, ("/panels/0/ways/0/device/rating", json!("40 A"))]), "falls_short DANGER");
    }

    /// NFPA 70-2023 Tables 430.248 and 310.16, 430.22: 3 hp on 230 V is 17 A, 21.3 A of conductor; 12 AWG NM-B has
    /// 20 A at 60 °C and a 20 A device, 10 AWG 30 A and, as it carries the motor, up to 45 A (430.52).
    #[test]
    fn where_the_load_needs_the_device_the_conductor_is_what_gives_way() {
        let motor = |horsepower: &str| {
            let changes = [
                ("/runs/1/circuit", json!("two_hots")),
                ("/runs/1/size", json!("12 AWG")),
                ("/runs/1/equipment_ground_size", json!("12 AWG")),
                ("/panels/0/ways/0/device/rating", json!("45 A")),
                ("/panels/0/ways/0/device/poles", json!(2)),
                ("/loads/0/kind", json!("motor")),
                ("/loads/0/power", json!(null)),
                ("/loads/0/voltage", json!("230 V")),
                ("/loads/0/horsepower", json!(horsepower)),
            ];
            text(&CHECK, &with(one_circuit(), &changes), "R")
        };
        let told = motor("3 hp");
        assert!(told.contains("at least 10 AWG copper") && told.contains("asks for 21.3 A"), "{told}");
        // 1-1/2 hp is 10 A: the conductor carries it, and 430.52 lets it have 25 A; a smaller device is the cure.
        let small = motor("1-1/2 hp");
        assert!(small.contains("not above 25 A") && !small.contains("at least"), "{small}");
        let lights =
            text(&CHECK, &with(one_circuit(), &[("/panels/0/ways/0/device/rating", json!("20 A"))]), "R");
        assert!(lights.contains("fit a device of the allowed rating"), "{lights}");
    }

    /// NFPA 70-2023 630.11(A), 630.12(B): a welder of 36 A at 20 % asks 36 × 0.45 = 16.2 A of 12 AWG NM-B, which
    /// carries 20 A and may then have a device of 40 A; at 100 % it carries no such welder and keeps its 20 A.
    #[test]
    fn a_welder_may_have_twice_what_its_conductor_carries() {
        let welder = |device: &str, duty: serde_json::Value| {
            told(&[
                ("/runs/1/circuit", json!("two_hots")),
                ("/runs/1/size", json!("12 AWG")),
                ("/panels/0/ways/0/device/rating", json!(device)),
                ("/loads/0/kind", json!("other")),
                ("/loads/0/power", json!(null)),
                ("/loads/0/voltage", json!("240 V")),
                ("/loads/0/current", json!("36 A")),
                ("/loads/0/welder", json!("no_motor")),
                ("/loads/0/duty_cycle", duty),
            ])
        };
        assert_eq!(welder("40 A", json!("20 %")), "meets");
        assert_eq!(welder("45 A", json!("20 %")), "falls_short WARNING");
        assert_eq!(welder("40 A", json!("100 %")), "falls_short DANGER");
        assert_eq!(welder("40 A", json!(null)), "cannot_tell duty_cycle");
    }

    /// NFPA 70-2023 240.4(B): 6 AWG NM-B has 55 A in the 60 °C column of Table 310.16; the next
    /// standard rating is 60 A, allowed for one fixed load and not for several receptacles.
    #[test]
    fn next_size_up_only_where_allowed() {
        let changes = [("/runs/1/size", json!("6 AWG")), ("/panels/0/ways/0/device/rating", json!("60 A"))];
        assert_eq!(told(&changes), "meets");
        let seventy = [changes[0].clone(), ("/panels/0/ways/0/device/rating", json!("70 A"))];
        assert_eq!(told(&seventy), "falls_short WARNING");
        let receptacles = [&changes[..], &[("/loads/0/kind", json!("receptacles"))]].concat();
        assert_eq!(told(&receptacles), "falls_short WARNING");
    }

    /// NFPA 70-2023 Table 310.15(C)(1): nine 12 AWG THHN together have 70 % of 30 A, still 20 A by
    /// the device; ten have 50 %, 15 A.
    #[test]
    fn bundling_counts() {
        let base = [
            ("/runs/1/size", json!("12 AWG")),
            ("/runs/1/method", json!("raceway")),
            ("/runs/1/insulation", json!("THHN")),
            ("/runs/1/ambient", json!("86 F")),
            ("/panels/0/ways/0/device/rating", json!("20 A")),
        ];
        let with_together =
            |n: u16| told(&[&base[..], &[("/runs/1/conductors_together", json!(n))]].concat());
        assert_eq!(with_together(9), "meets");
        assert_eq!(with_together(10), "falls_short DANGER");
    }

    /// NFPA 70-2023 Table 310.15(B)(1)(1), 60 °C column: UF of 10 AWG has 30 A; 0.71 of it to 45 °C, 0.58 above.
    #[test]
    fn warm_places_count() {
        let base = [
            ("/runs/1/size", json!("10 AWG")),
            ("/runs/1/method", json!("uf")),
            ("/panels/0/ways/0/device/rating", json!("25 A")),
        ];
        let at = |ambient: &str| told(&[&base[..], &[("/runs/1/ambient", json!(ambient))]].concat());
        assert_eq!(at("86 F"), "meets");
        assert_eq!(at("113 F"), "meets"); // 0.71 × 30 A = 21.3 A, next standard rating 25 A
        assert_eq!(at("114 F"), "falls_short DANGER"); // 0.58 × 30 A = 17.4 A, next 20 A
    }

    /// 310.12: 83 % of the rating for the conductors that carry the whole dwelling; 4 AWG copper for 100 A.
    #[test]
    fn dwelling_service_may_have_less() {
        let service =
            |changes: &[(&str, serde_json::Value)]| verdict(&CHECK, &with(one_circuit(), changes), "RS");
        assert_eq!(service(&[]), "meets");
        assert_eq!(service(&[("/runs/0/size", json!("6 AWG"))]), "falls_short DANGER");
        // Not the whole dwelling: 6 AWG would have to be larger still; the terminals speak elsewhere.
        let part = [("/runs/0/size", json!("6 AWG")), ("/runs/0/carries_whole_dwelling", json!(false))];
        assert_eq!(service(&part), "falls_short DANGER");
    }

    /// NFPA 70-2023 240.4(G), 430.22, Tables 430.248 and 430.52: a 1-1/2 hp motor on 120 V draws 20 A, asks
    /// a conductor for 25 A and may stand behind 50 A. Seen only where the conductor is known to carry it.
    #[test]
    fn a_motor_may_have_more_only_on_a_known_conductor() {
        let base = [
            ("/loads/0/kind", json!("motor")),
            ("/loads/0/horsepower", json!("1-1/2 hp")),
            ("/runs/1/size", json!("10 AWG")),
            ("/panels/0/ways/0/device/rating", json!("40 A")),
        ];
        let told = |changes: &[(&str, serde_json::Value)]| told(&[&base[..], changes].concat());
        assert_eq!(told(&[]), "meets");
        assert_eq!(told(&[("/panels/0/ways/0/device/rating", json!("60 A"))]), "falls_short WARNING");
        // 12 AWG carries 20 A, not 25 A: the small-conductor limit of 20 A holds.
        assert_eq!(told(&[("/runs/1/size", json!("12 AWG"))]), "falls_short DANGER");
        assert_eq!(told(&[("/runs/1/size", json!(null))]), "cannot_tell size");
        assert_eq!(told(&[("/runs/1/ambient", json!(null))]), "cannot_tell ambient");
    }

    /// NFPA 70-2023 Table 310.16, 8 AWG THHN copper: 55 A at 90 °C, 40 A at 60 °C (110.14(C)).
    #[test]
    fn what_only_the_terminals_forbid_is_told_there_and_meets_nothing() {
        let on = |rating: &str| {
            told(&[
                ("/runs/1/size", json!("8 AWG")),
                ("/runs/1/method", json!("raceway")),
                ("/runs/1/insulation", json!("THHN")),
                ("/runs/1/ambient", json!("86 F")),
                ("/panels/0/ways/0/device/rating", json!(rating)),
            ])
        };
        assert_eq!(on("40 A"), "meets");
        assert_eq!(on("50 A"), "not_applicable");
        assert_eq!(on("60 A"), "not_applicable");
        assert_eq!(on("70 A"), "falls_short DANGER");
    }

    /// NFPA 70-2023 310.10(G): two 6 AWG THWN count as one, 65 A at 75 °C; two like 1/0 AWG as both, 300 A.
    #[test]
    fn parallel_conductors_count_from_one_nought_on() {
        let told = |size: &str, rating: &str, alike: serde_json::Value| {
            told(&[
                ("/runs/1/size", json!(size)),
                ("/runs/1/method", json!("raceway")),
                ("/runs/1/insulation", json!("THWN")),
                ("/runs/1/ambient", json!("86 F")),
                ("/runs/1/from_terminal", json!("75 C")),
                ("/runs/1/to_terminal", json!("75 C")),
                ("/runs/1/parallel_sets", json!(2)),
                ("/runs/1/parallel_sets_alike", alike),
                ("/panels/0/ways/0/device/rating", json!(rating)),
            ])
        };
        assert_eq!(told("6 AWG", "70 A", json!(null)), "meets");
        assert_eq!(told("6 AWG", "100 A", json!(true)), "falls_short DANGER");
        assert_eq!(told("1/0 AWG", "300 A", json!(true)), "meets");
        assert_eq!(told("1/0 AWG", "300 A", json!(false)), "falls_short DANGER");
        assert_eq!(told("1/0 AWG", "300 A", json!(null)), "cannot_tell parallel_sets_alike");
    }

    /// NFPA 70-2023 240.5(A), Table 400.5(A)(1): 16 AWG cord with two conductors that carry current, 13 A.
    #[test]
    fn a_cord_keeps_to_its_own_table() {
        let cord = [("/runs/1/method", json!("cord")), ("/runs/1/size", json!("16 AWG"))];
        let cord = [&cord[..], &[("/runs/1/ambient", json!("86 F"))]].concat();
        let on =
            |rating: &str| told(&[&cord[..], &[("/panels/0/ways/0/device/rating", json!(rating))]].concat());
        assert_eq!(on("13 A"), "meets");
        assert_eq!(on("15 A"), "falls_short WARNING");
        let house = with(one_circuit(), &cord);
        assert!(text(&CHECK, &house, "R").contains("240.5(A)"));
    }

    /// The service of two mains: the panel has lugs, and a second way with 400 W; on the first hangs heat of this
    /// power, both on 240 V, and a thin drop of 8 AWG (Table 310.16, 75 °C: 50 A) lies before the 4 AWG (85 A).
    fn two_mains(heat: &str, changes: &[(&str, serde_json::Value)]) -> serde_json::Value {
        let base = one_circuit();
        let mut way = base["panels"][0]["ways"][0].clone();
        way["id"] = json!("P.9");
        way["spaces"] = json!([9]);
        let (mut run, mut load) = (base["runs"][1].clone(), base["loads"][0].clone());
        for (fact, value) in [("id", "R9"), ("from", "P.9"), ("circuit", "two_hots")] {
            run[fact] = json!(value);
        }
        let heater =
            [("id", "L9"), ("on", "R9"), ("kind", "space_heat"), ("voltage", "240 V"), ("power", "400 W")];
        for (fact, value) in heater {
            load[fact] = json!(value);
        }
        let mut drop = base["runs"][0].clone();
        for (fact, value) in [("id", "RD"), ("size", "8 AWG"), ("neutral_size", "8 AWG")] {
            drop[fact] = json!(value);
        }
        if let Some(drop) = drop.as_object_mut() {
            drop.remove("to");
        }
        let base_changes = [
            ("/panels/0/main", json!({ "kind": "lugs" })),
            ("/panels/0/ways/-", way),
            ("/panels/0/demand", json!(null)),
            ("/runs/-", drop),
            ("/runs/-", run),
            ("/loads/-", load),
            ("/runs/0/from", json!("RD")),
            ("/runs/1/circuit", json!("two_hots")),
            ("/loads/0/kind", json!("space_heat")),
            ("/loads/0/voltage", json!("240 V")),
            ("/loads/0/power", json!(heat)),
            ("/site/floor_area", json!("0 ft2")),
        ];
        with(base, &[&base_changes[..], changes].concat())
    }

    /// NFPA 70-2023 230.90(A) Exception 3: the load against each piece of the conductors by itself. 60 A calculated
    /// are within 85 A and above 50 A; so are the 14.4 kW of the loads.
    #[test]
    fn ahead_of_several_mains_the_load_counts_for_each_piece() {
        let told = |changes: &[(&str, serde_json::Value)], heat: &str, run: &str| {
            verdict(&CHECK, &two_mains(heat, changes), run)
        };
        let entered = |amperes: &str, from: &str| {
            [("/panels/0/demand", json!(amperes)), ("/panels/0/demand_from", json!(from))]
        };
        let calculated = entered("60 A", "calculation");
        assert_eq!(told(&calculated, "1 kW", "RS"), "meets");
        assert_eq!(told(&calculated, "1 kW", "RD"), "falls_short WARNING");
        assert_eq!(told(&entered("85.1 A", "calculation"), "1 kW", "RS"), "falls_short WARNING");
        // By the loads of the survey.
        assert_eq!(told(&[], "14 kW", "RS"), "meets");
        assert_eq!(told(&[], "14 kW", "RD"), "falls_short WARNING");
        assert!(told(&[("/loads/0/power", json!(null))], "1 kW", "RD").starts_with("cannot_tell"));
        assert!(told(&[("/runs/0/size", json!(null))], "1 kW", "RS").starts_with("cannot_tell"));
    }

    /// NFPA 70-2023 230.90(A) Exception 3 speaks of two to six mains.
    #[test]
    fn the_load_allows_for_no_more_mains_than_a_service_may_have() {
        // The two that are there may be tied to each other and count as one.
        let of_mains_from = |count: usize, from: serde_json::Value| {
            let way = |at: usize| {
                let mut way = two_mains("1 kW", &[])["panels"][0]["ways"][0].clone();
                way["id"] = json!(format!("P.{at}"));
                way["spaces"] = json!([2 * at + 20]);
                way["device"]["poles"] = json!(2);
                ("/panels/0/ways/-", way)
            };
            let mut changes: Vec<_> = (1..count).map(|at| way(at + 1)).collect();
            changes.push(("/panels/0/demand", json!("60 A")));
            changes.push(("/panels/0/demand_from", from));
            verdict(&CHECK, &two_mains("1 kW", &changes), "RS")
        };
        let of_mains = |count: usize| of_mains_from(count, json!("calculation"));
        assert_eq!(of_mains(6), "meets");
        assert_eq!(of_mains(7), "not_applicable");
        // No fact that is still to be seen would change it.
        assert_eq!(of_mains_from(7, json!(null)), "not_applicable");
    }

    #[test]
    fn a_rule_that_lets_it_be_larger_is_named() {
        let told = |size: &str, rating: &str| {
            let changes = [("/runs/1/size", json!(size)), ("/panels/0/ways/0/device/rating", json!(rating))];
            text(&CHECK, &with(one_circuit(), &changes), "R")
        };
        assert!(told("6 AWG", "60 A").contains("240.4(B)"));
        assert!(!told("6 AWG", "50 A").contains("and allowed"));
        assert!(text(&CHECK, &one_circuit(), "RS").contains("310.12"));
    }

    #[test]
    fn nothing_meets_without_its_facts() {
        for fact in
            ["size", "material", "method", "circuit", "ambient", "parallel_sets", "conductors_together"]
        {
            let verdict = told(&[(&format!("/runs/1/{fact}"), json!(null))]);
            assert!(verdict.starts_with("cannot_tell"), "{fact}: {verdict}");
        }
        assert_eq!(told(&[("/panels/0/ways/0/device/rating", json!(null))]), "cannot_tell device.rating");
        // A 30 A fuse on 14 AWG is too large whatever the surroundings are.
        let bad = [("/runs/1/ambient", json!(null)), ("/panels/0/ways/0/device/rating", json!("30 A"))];
        assert_eq!(told(&bad), "falls_short DANGER");
    }

    #[test]
    fn its_text() {
        let house = with(one_circuit(), &[("/panels/0/ways/0/device/rating", json!("30 A"))]);
        insta::assert_snapshot!(text(&CHECK, &house, "R"));
    }
}
