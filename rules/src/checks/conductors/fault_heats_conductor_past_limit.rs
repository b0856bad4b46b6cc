//! A conductor that a fault heats beyond what its insulation stands before the device opens.

use crate::calc::adiabatic::{let_through, stands};
use crate::checks::check;
use crate::finding::{
    Arg, Derivation, Facts, Finding, Said, Verdict, Worked, by_clause, from_table, judge, reckoned,
};
use crate::house::{Guard, House, Protection};
use crate::say;
use crate::si::{Area, Current, Time, amperes, second};
use crate::survey::{Circuit, Insulation, Method, Run};
use crate::tables::us::{
    self, DeviceFamily, HeatInsulation, Metal, PracticeId, adiabatic_k, practice, standard_rating_at_most,
};

check! {
    /// # What it checks
    /// Where a device is larger than its conductor may have: whether the conductor outlasts a
    /// fault at its beginning until the device clears it. The heat that the fault lets through,
    /// I²t, is compared with what the conductor takes up, k²S².
    ///
    /// # Why
    /// In the instant of a fault the heat stays in the conductor. A thin wire behind a large fuse
    /// can burn its insulation over its whole length inside the wall in that instant.
    ///
    /// # Example
    /// 14 AWG copper is 2.08 mm²; with k = 115 it takes up (115 × 2.08)² = 57 000 A²s. 3000 A
    /// cleared in 8 ms let through 72 000 A²s: too much. (Invented.)
    ///
    /// # Limits
    /// Where the device is within what the conductor may have by 240.4, 110.10 takes listed devices and
    /// conductors within their ratings as protected, and nothing is reckoned. The clearing time comes from the
    /// device's published curve at this current; current-limiting devices let through less than I²t
    /// of the full current. No heat is taken to leave the conductor: right for less than 5 s.
    ///
    /// # References
    /// IEC 60364-4-43 434.5.2 and Table 43A; NFPA 70-2023 110.10.
    fault_heats_conductor_past_limit {
        folder: Conductors,
        severity: Warning,
        binding: Hazard,
        citations: ["IEC 60364-4-43" "434.5.2", "NFPA 70-2023" "110.10"],
        caution: "After a fault the insulation along the whole conductor may be ruined where nobody sees it. Have it tested before the device is closed again.",
        next_step: "Have a licensed electrician replace the conductor.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (number, run) in house.runs() {
        let Protection::Ahead(guard) = house.protection(number) else { continue };
        if run.circuit.get() != Some(Circuit::DcPair) {
            findings.extend(look_at(house, number, guard));
        }
    }
}

fn look_at(house: &House<'_>, number: usize, guard: Guard<'_>) -> Option<Finding> {
    let run = &house.survey.runs[number];
    let subject = house.subject(&run.id);
    if let Some(within) = within_limit(house, number, guard) {
        let why = say!(
            "The device is within what the conductor may have by 240.4; 110.10 takes listed devices and conductors \
             within their ratings as protected."
        );
        let message = say!("The device suits the conductor, so a fault's heat is not reckoned.");
        let verdict = Verdict::NotApplicable { why };
        return Some(Finding::of(&CHECK, subject, verdict, message).because(within));
    }
    let heat = heat(house, number, guard)?;
    let limit = limit(run);
    let verdict = judge(&heat, &limit, |heat, limit| heat > limit);
    let message = match verdict {
        Verdict::FallsShort => {
            say!(
                "A fault at the beginning of this run heats its conductor beyond what its insulation stands."
            )
        }
        Verdict::Meets => say!("The conductor of this run outlasts a fault at its beginning."),
        _ => say!("It cannot be told whether the conductor of this run outlasts a fault at its beginning."),
    };
    let mut derivation = heat.derivation.clone();
    derivation.include(&limit.derivation);
    if let Some(largest) = house.device_limit(number).certain().map(|limit| limit.largest) {
        let label =
            "largest device by 240.4: up to it 110.10 takes the conductor as protected without this heat";
        derivation.extend(vec![by_clause("I_max", label, say!(""), largest, "NFPA 70-2023 110.10")]);
    }
    let finding = Finding::of(&CHECK, subject, verdict, message).because(derivation);
    let finding = finding.next(next_step(house, number));
    Some(match (heat.value, limit.value) {
        (Some(heat), Some(limit)) => finding.figure(thousands(heat), thousands(limit)),
        _ => finding,
    })
}

/// A smaller device is offered only where this check would then be content with it (110.10) and such a
/// device is made.
fn next_step(house: &House<'_>, number: usize) -> Said {
    let limit = house.device_limit(number).certain().map(|limit| limit.largest);
    let made = limit.and_then(|limit| standard_rating_at_most(limit, DeviceFamily::Fuse));
    let smallest = amperes(practice(PracticeId::SmallestDevice).value);
    match made.map(|made| made.value).filter(|made| *made >= smallest) {
        Some(made) => say!(
            "Have a licensed electrician replace the conductor, or fit a listed device of at most {}: 240.4 lets this \
             conductor have that, and 110.10 then takes it as protected, without this arithmetic. A larger device \
             must show by its curve that it lets less heat through.",
            made
        ),
        None => say!(
            "Have a licensed electrician replace the conductor, or fit a current-limiting device whose published \
             let-through is below what the conductor stands. A smaller rating alone is not known to be enough."
        ),
    }
}

/// The derivation when the device is surely within what the conductor may have.
fn within_limit(house: &House<'_>, number: usize, guard: Guard<'_>) -> Option<Derivation> {
    let limit = house.device_limit(number);
    let largest = limit.certain()?.largest;
    let mut facts = Facts::new();
    facts.need(&guard.device.kind, guard.at, guard.kind_fact());
    let rating = facts.need(&guard.device.rating, guard.at, guard.rating_fact())?.quantity();
    if !facts.complete() || rating > largest {
        return None;
    }
    facts.seen("I_n", "device ahead", rating, guard.at, guard.rating_fact());
    facts.include(&[], &limit.derivation);
    Some(facts.done(Some(())).derivation)
}

fn thousands(heat: f64) -> Arg {
    Arg::Quantity(heat / 1000.0, 1, "kA²s")
}

/// The heat of the largest fault at the run's beginning from any supply. `None` where no supply
/// feeds it.
fn heat(house: &House<'_>, number: usize, guard: Guard<'_>) -> Option<Worked<f64>> {
    let begin = house.network.edge(house.network.run_edge(number)).a;
    let faults = house.faults(begin);
    if faults.is_empty() {
        return None;
    }
    let mut facts = Facts::new();
    let beyond = beyond_limit(house, number, guard, &mut facts);
    if !beyond {
        // The device may suit the conductor, and then nothing else is asked for.
        return Some(facts.done(None));
    }
    let lasts = clearing_time(guard, &mut facts);
    // A supply whose fault current is not certain may add more heat, never less: the best case is
    // the largest of those that are.
    let mut largest: Option<(Current, &Derivation)> = None;
    for fault in faults {
        match fault.largest.certain() {
            Some(current) if largest.is_none_or(|(most, _)| *current > most) => {
                largest = Some((*current, &fault.largest.derivation));
            }
            _ => facts.include(&fault.largest.missing, &Derivation::default()),
        }
    }
    let heat = largest.map(|(current, derivation)| {
        facts.include(&[], derivation);
        let heat = let_through(current, lasts);
        let expression = say!("({})² × {} s", current, lasts.get::<second>());
        facts.step(reckoned("I²t", "heat that the fault lets through", expression, thousands(heat)));
        heat
    });
    let known = guard.device.clearing_time.known().is_some();
    Some(facts.done(heat.filter(|_| known)))
}

/// Whether the device is surely larger than the conductor may have, as far as facts tell.
fn beyond_limit(house: &House<'_>, number: usize, guard: Guard<'_>, facts: &mut Facts) -> bool {
    let limit = house.device_limit(number);
    facts.include(&limit.missing, &Derivation::default());
    let kind = facts.need(&guard.device.kind, guard.at, guard.kind_fact());
    let rating = facts.need(&guard.device.rating, guard.at, guard.rating_fact()).filter(|_| kind.is_some());
    let largest = limit.value.map(|limit| limit.largest);
    rating.zip(largest).is_some_and(|(rating, largest)| rating.quantity() > largest)
}

/// From the device's curve; while that is missing, the time in which breakers usually clear is
/// shown, and proves nothing.
fn clearing_time(guard: Guard<'_>, facts: &mut Facts) -> Time {
    let known = facts.need(&guard.device.clearing_time, guard.at, guard.clearing_time_fact());
    let usual = practice(PracticeId::BreakerClearingTime).value;
    let lasts = known.map_or(Time::new::<second>(usual), |time| time.quantity());
    let shown = Arg::Quantity(lasts.get::<second>(), 3, "s");
    facts.seen("t", "time until the device clears the fault", shown, guard.at, guard.clearing_time_fact());
    lasts
}

/// k²S² of the hot conductor, all sets together sharing the fault.
fn limit(run: &Run) -> Worked<f64> {
    let mut facts = Facts::new();
    let size = facts.need(&run.size, &run.id, "size");
    let material = facts.need(&run.material, &run.id, "material");
    let sets = facts.need(&run.parallel_sets, &run.id, "parallel_sets");
    let insulation = insulation(run, &mut facts);
    let (Some(size), Some(material), Some(sets)) = (size, material, sets) else { return facts.done(None) };
    let size = size.quantity();
    let one: Area = us::area(size).map_or_else(|| size.area(), |cell| cell.value);
    let area = one * f64::from(sets.max(1));
    facts.seen("S", "area of the conductor", area, &run.id, "size");
    let Some(k) = adiabatic_k(Metal::from(material), insulation, one) else { return facts.done(None) };
    facts.step(from_table("k", "constant of metal and insulation", k.value, k.place));
    let heat = stands(k.value, area);
    let expression = say!("({} × {})²", k.value, area);
    facts.step(reckoned("k²S²", "heat that the conductor takes up", expression, thousands(heat)));
    facts.done(Some(heat))
}

/// The kind of insulation by method and letters. While letters are unknown, the kind that stands
/// most.
fn insulation(run: &Run, facts: &mut Facts) -> HeatInsulation {
    match facts.or_best(&run.method, &run.id, "method", Method::FreeAir) {
        Method::NmB => HeatInsulation::Thermoplastic90,
        Method::Uf => HeatInsulation::Thermoplastic70,
        Method::KnobAndTube | Method::NmOld | Method::AcOld => HeatInsulation::Rubber60,
        _ => by_letters(facts.or_best(&run.insulation, &run.id, "insulation", Insulation::Xhhw2)),
    }
}

fn by_letters(letters: Insulation) -> HeatInsulation {
    use Insulation::{
        A, Avb, Mtw, R, Rh, RhRw, Rhh, Rhw, Rhw2, Rw, Sb, T, Ta, Thhn, Thhw, Thw, Thw2, Thwn, Thwn2, Tw, Use,
        Use2, V, Welding, Wp, Xhhw, Xhhw2,
    };
    match letters {
        Xhhw | Xhhw2 | Rhh | Rhw | Rhw2 | Use | Use2 | Welding => HeatInsulation::Thermoset90,
        Thhn | Thwn2 | Thhw | Thw2 | Mtw => HeatInsulation::Thermoplastic90,
        T | Tw | Thw | Thwn | Ta => HeatInsulation::Thermoplastic70,
        R | Rh | Rw | RhRw | V | Avb | A | Sb | Wp => HeatInsulation::Rubber60,
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{one_circuit, text, verdict, with};

    /// The lighting circuit behind a 30 A device that clears in this time.
    fn told(clears: Value, changes: &[(&str, Value)]) -> String {
        let device = [
            ("/panels/0/ways/0/device/rating", json!("30 A")),
            ("/panels/0/ways/0/device/clearing_time", clears),
        ];
        verdict(&CHECK, &with(with(one_circuit(), &device), changes), "R")
    }

    /// By hand: 4061 A at the panel (see `fault`); 14 AWG, 4110 circular mils = 2.083 mm², NM-B with k =
    /// 100: 43 370 A²s; 43 370 / 4061² = 2.63 ms.
    #[test]
    fn fault_heats_conductor_past_limit() {
        assert_eq!(told(json!("2.6 ms"), &[]), "meets");
        assert_eq!(told(json!("2.7 ms"), &[]), "falls_short WARNING");
    }

    #[test]
    fn each_missing_fact_leaves_it_open() {
        assert_eq!(told(json!(null), &[]), "cannot_tell device.clearing_time");
        let missing = |path: &str| told(json!("3 ms"), &[(path, json!(null))]);
        for (path, wanted) in [
            ("/runs/1/size", "cannot_tell size"),
            ("/runs/1/material", "cannot_tell material"),
            ("/runs/1/parallel_sets", "cannot_tell parallel_sets"),
            ("/runs/0/length", "cannot_tell length"),
            ("/panels/0/ways/0/device/rating", "cannot_tell device.rating"),
            ("/panels/0/ways/0/device/kind", "cannot_tell device.kind"),
        ] {
            assert_eq!(missing(path), wanted, "{path}");
        }
        assert!(missing("/runs/1/method").starts_with("cannot_tell"));
    }

    /// NFPA 70-2023 110.10: listed equipment used as listed.
    #[test]
    fn a_device_that_suits_the_conductor_is_enough() {
        assert_eq!(verdict(&CHECK, &one_circuit(), "R"), "not_applicable");
        assert_eq!(verdict(&CHECK, &one_circuit(), "RS"), "silent");
    }

    #[test]
    fn its_text() {
        let house = with(
            one_circuit(),
            &[
                ("/panels/0/ways/0/device/rating", json!("30 A")),
                ("/panels/0/ways/0/device/clearing_time", json!("8 ms")),
            ],
        );
        insta::assert_snapshot!(text(&CHECK, &house, "R"));
    }
}
