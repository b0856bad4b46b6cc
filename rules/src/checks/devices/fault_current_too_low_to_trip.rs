//! A fault that draws too little for the device ahead to open at once.

use crate::calc::fault::FaultAt;
use crate::calc::ground_path::grounds_end_at;
use crate::checks::check;
use crate::finding::{
    Derivation, Facts, Finding, Missing, Said, Verdict, Worked, from_table, judge, reckoned,
};
use crate::house::{Guard, House};
use crate::say;
use crate::si::Current;
use crate::survey::{Circuit, DeviceKind, Fact, GroundPath, Run, SupplyKind, Way};
use crate::tables::Cell;
use crate::tables::us::{PracticeId, practice};

check! {
    /// # What it checks
    /// Whether the smallest fault current at the far end of a circuit opens the device ahead at once, on
    /// every supply that can feed the circuit.
    ///
    /// # Why
    /// A breaker opens at once only above a multiple of its rating. A battery inverter lets hardly more
    /// than its rated current through, even into a short circuit: what the utility would clear in a
    /// hundredth of a second can then glow on, and metal that has been touched by a hot stays live.
    ///
    /// # Example
    /// An invented 20 A breaker at the end of a battery inverter whose fault current is 75 A: below 5
    /// times 20 A = 100 A no breaker opens at once, so it is flagged.
    ///
    /// # Limits
    /// For breakers the current of the published curve counts; without it a fault below 5 times the
    /// rating surely falls short. For fuses 10 times the rating is taken, where an ordinary fuse clears in
    /// about a tenth of a second. Where the ground of a circuit ends at a feeder that has none, a fault to it
    /// has no way back, and nothing else is asked. Where a run of the circuit has no ground at all, only a fault
    /// to the neutral can open the device, and nothing is said to be met. Both multiples are common practice.
    /// What the maker of a generator or an inverter states is a typical figure: it counts with a tolerance
    /// (common practice) taken off, unless the maker guarantees the least; where only that tolerance decides,
    /// the guaranteed figure is asked for.
    /// An inverter that shuts itself off clears the fault in its own way, and ground-fault interrupters act
    /// much earlier: neither is counted.
    ///
    /// # References
    /// NFPA 70-2023 250.4(A)(5). Multiples of the rating: common practice, no source.
    fault_current_too_low_to_trip {
        folder: Devices,
        severity: Warning,
        binding: Hazard,
        citations: ["NFPA 70-2023" "250.4(A)(5)"],
        caution: "On this supply a fault may stay on. Touch no metal of this circuit that is not proved dead, and do not run it unwatched.",
        next_step: "Have a licensed electrician see how the supply itself clears a fault, and choose smaller or faster devices, larger conductors, or ground-fault protection.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (panel_at, way_at, _, way) in house.ways() {
        if way.device.kind.get().is_none_or(DeviceKind::protects) {
            findings.extend(look_at(house, way, (panel_at, way_at)));
        }
    }
}

/// One fault at the end of a piece of the circuit, against what opens the device.
struct Case<'a> {
    fault: &'a FaultAt,
    run: usize,
    verdict: Verdict,
    /// Fault current over the current that opens the device; the smallest is the worst.
    share: f64,
}

fn look_at(house: &House<'_>, way: &Way, at: (usize, usize)) -> Option<Finding> {
    let guard = House::guard_of_way(way);
    let runs = || house.runs_from_way(at.0, at.1);
    if let Some(finding) = runs().find_map(|run| without_way_back(house, guard, run)) {
        return Some(finding);
    }
    let trip = Trip::of(guard);
    let mut cases = Vec::new();
    for first in runs() {
        for run in house.circuit(first) {
            let faults = house.faults(house.network.run_end(run));
            cases.extend(faults.iter().map(|fault| case(house, &trip, fault, run)));
        }
    }
    let worst = cases.iter().min_by(|a, b| rank(a).cmp(&rank(b)).then(a.share.total_cmp(&b.share)))?;
    let mut verdict = overall(&cases, worst);
    if verdict != Verdict::FallsShort {
        let all = || runs().flat_map(|first| house.circuit(first));
        let ahead = runs().flat_map(|run| way_back_missing(house, run));
        let missing: Vec<Missing> = ahead.chain(all().filter_map(|run| ground_missing(house, run))).collect();
        if !missing.is_empty() {
            verdict = with_missing(&verdict, missing);
        }
        // What opens for a fault to the neutral is no answer for one to a metal case without a ground.
        if let Some(bare) = all().find(|run| is_without_ground(&house.survey.runs[*run]))
            && verdict == Verdict::Meets
        {
            verdict = Verdict::NotApplicable { why: why_silent(house, bare) };
        }
    }
    Some(told(house, guard, &trip, worst, verdict))
}

/// Whether a run has a ground of its own that a fault would use.
fn has_ground(run: &Run) -> bool {
    matches!(
        run.equipment_ground.get(),
        Some(GroundPath::Wire | GroundPath::MetalRaceway | GroundPath::ArmorWithStrip)
    )
}

/// Whether somebody saw that a run of alternating current has no ground of its own.
fn is_without_ground(run: &Run) -> bool {
    run.circuit.get() != Some(Circuit::DcPair) && run.equipment_ground.known().is_some() && !has_ground(run)
}

/// Whether a run has a ground, where nobody has seen it.
fn ground_missing(house: &House<'_>, run: usize) -> Option<Missing> {
    let run = &house.survey.runs[run];
    let own = &run.equipment_ground;
    let is_open = run.circuit.get() != Some(Circuit::DcPair) && own.known().is_none();
    let cannot_be_seen = matches!(own, Fact::CannotBeSeen);
    is_open.then(|| Missing { item: run.id.clone(), fact: "equipment_ground", cannot_be_seen })
}

fn why_silent(house: &House<'_>, run: usize) -> Said {
    let run = &house.survey.runs[run];
    say!(
        "A fault from hot to neutral opens this device at once, but {} ({}) has no equipment ground: a fault to \
         a metal case there opens nothing.",
        house.run_name(run),
        &run.id
    )
}

/// Facts on which it hangs whether a fault to the ground of this run has a way back.
fn way_back_missing(house: &House<'_>, run: usize) -> Vec<Missing> {
    let item = &house.survey.runs[run];
    if item.equipment_ground.known().is_some() && !has_ground(item) {
        return Vec::new();
    }
    let mut facts = Facts::new();
    let ends = grounds_end_at(house, run, &mut facts);
    if ends.is_none() { facts.done(Some(())).missing } else { Vec::new() }
}

/// A circuit with a ground that ends at a feeder without one: a fault to it draws nothing at all.
fn without_way_back(house: &House<'_>, guard: Guard<'_>, run: usize) -> Option<Finding> {
    if !has_ground(&house.survey.runs[run]) {
        return None;
    }
    let mut facts = Facts::new();
    let feeder = grounds_end_at(house, run, &mut facts)??;
    if let Some(path) = feeder.equipment_ground.get() {
        let label = "equipment ground of the feeder ahead";
        facts.seen("", label, path.words(), &feeder.id, "equipment_ground");
    }
    let message = say!(
        "A fault from a hot to the ground of this circuit has no way back and opens nothing: {} ({}), the feeder \
         ahead, has no equipment ground.",
        house.run_name(feeder),
        &feeder.id
    );
    let derivation = facts.done(Some(())).derivation;
    let finding = Finding::of(&CHECK, house.subject(guard.at), Verdict::FallsShort, message);
    Some(finding.because(derivation).next(say!(
        "Have a licensed electrician run a grounding wire along that feeder; until then treat every metal case \
         on this circuit as not grounded."
    )))
}

fn with_missing(verdict: &Verdict, mut missing: Vec<Missing>) -> Verdict {
    if let Verdict::CannotTell { missing: own } = verdict {
        missing.extend_from_slice(own);
    }
    missing.sort();
    missing.dedup();
    Verdict::CannotTell { missing }
}

/// What falls short before what cannot be told before what meets.
fn rank(case: &Case<'_>) -> u8 {
    match case.verdict {
        Verdict::FallsShort => 0,
        Verdict::CannotTell { .. } => 1,
        _ => 2,
    }
}

fn overall(cases: &[Case<'_>], worst: &Case<'_>) -> Verdict {
    if worst.verdict.name() != (Verdict::CannotTell { missing: Vec::new() }).name() {
        return worst.verdict.clone();
    }
    let mut missing: Vec<Missing> = Vec::new();
    for case in cases {
        if let Verdict::CannotTell { missing: own } = &case.verdict {
            missing.extend_from_slice(own);
        }
    }
    missing.sort();
    missing.dedup();
    Verdict::CannotTell { missing }
}

/// Where the maker's figure would open the device and that figure less its tolerance would not, only the
/// least that the maker guarantees can tell.
fn within_tolerance(house: &House<'_>, fault: &FaultAt, trip: &Trip) -> Option<Missing> {
    let supply = &house.survey.supplies[fault.supply];
    let (least, opens) = (fault.smallest.certain()?, trip.opens_at.certain()?);
    let as_stated = fault.smallest_way.as_ref()?.as_stated;
    let guarantee = &supply.least_fault_current;
    let is_open = least < opens && as_stated >= *opens && guarantee.known().is_none();
    let cannot_be_seen = matches!(guarantee, Fact::CannotBeSeen);
    is_open.then(|| Missing { item: supply.id.clone(), fact: "least_fault_current", cannot_be_seen })
}

fn case<'a>(house: &House<'_>, trip: &Trip, fault: &'a FaultAt, run: usize) -> Case<'a> {
    let verdict = match within_tolerance(house, fault, trip) {
        Some(missing) => Verdict::CannotTell { missing: vec![missing] },
        None => judge(&fault.smallest, &trip.opens_at, |fault, opens| fault < opens),
    };
    let share = match (fault.smallest.value, trip.opens_at.value) {
        (Some(fault), Some(opens)) => (fault / opens).value,
        _ => f64::INFINITY,
    };
    Case { fault, run, verdict, share }
}

fn told(house: &House<'_>, guard: Guard<'_>, trip: &Trip, worst: &Case<'_>, verdict: Verdict) -> Finding {
    let source = &house.survey.supplies[worst.fault.supply];
    let supply = &source.name;
    let run = house.run_name(&house.survey.runs[worst.run]);
    let current = worst.fault.smallest.value;
    let message = match (&verdict, current, trip.opens_at.value) {
        (Verdict::FallsShort, Some(current), Some(opens)) => say!(
            "On {} a fault at the end of {} draws {}; this device opens at once from {} up.",
            supply.clone(),
            run,
            current,
            opens
        ),
        (Verdict::Meets, Some(current), Some(opens)) => say!(
            "The smallest fault at the end of this circuit draws {}; this device opens at once from {} up.",
            current,
            opens
        ),
        (Verdict::NotApplicable { why }, ..) => why.clone(),
        (Verdict::CannotTell { .. }, Some(current), Some(opens))
            if within_tolerance(house, worst.fault, trip).is_some() =>
        {
            hangs_on_tolerance(house, worst, current, opens)
        }
        _ => say!("It cannot be told whether the smallest fault on this circuit opens its device at once."),
    };
    let mut derivation: Derivation = worst.fault.smallest.derivation.clone();
    derivation.include(&trip.opens_at.derivation);
    let finding = Finding::of(&CHECK, house.subject(guard.at), verdict, message).because(derivation);
    // What a source of the house's own gives is one cause for all circuits behind it.
    let finding = match finding.verdict {
        Verdict::FallsShort if source.kind != SupplyKind::Utility => {
            finding.from_cause(CHECK.name, &source.id)
        }
        _ => finding,
    };
    let is_judged = matches!(finding.verdict, Verdict::Meets | Verdict::FallsShort);
    match (current, trip.opens_at.value) {
        (Some(current), Some(opens)) if is_judged => finding.figure(current, say!("at least {}", opens)),
        _ => finding,
    }
}

fn hangs_on_tolerance(house: &House<'_>, worst: &Case<'_>, least: Current, opens: Current) -> Said {
    let supply = &house.survey.supplies[worst.fault.supply].name;
    let as_stated = worst.fault.smallest_way.as_ref().map_or(least, |way| way.as_stated);
    say!(
        "On {} a fault at the end of {} draws {} by its maker's figure and may draw as little as {}; this device \
         opens at once from {} up. Ask the maker for the least short-circuit current that it guarantees.",
        supply.clone(),
        house.run_name(&house.survey.runs[worst.run]),
        as_stated,
        least,
        opens
    )
}

/// From which current a device opens at once.
struct Trip {
    /// While the published curve of a breaker is not known, the least that any breaker has.
    opens_at: Worked<Current>,
}

impl Trip {
    fn of(guard: Guard<'_>) -> Self {
        let mut facts = Facts::new();
        let kind = facts.need(&guard.device.kind, guard.at, guard.kind_fact());
        let opens_at = match kind {
            Some(kind) if kind.is_fuse() => multiple(guard, practice(PracticeId::FuseFast), &mut facts),
            Some(_) => by_curve(guard, &mut facts),
            // Whatever it is, it opens at once no earlier than the fastest breaker.
            None => multiple(guard, practice(PracticeId::MagneticTripLow), &mut facts),
        };
        Self { opens_at: facts.done(opens_at) }
    }
}

/// The published curve; without it the lower edge of the usual band.
fn by_curve(guard: Guard<'_>, facts: &mut Facts) -> Option<Current> {
    let fact = guard.instantaneous_trip_fact();
    if let Some(current) = facts.need(&guard.device.instantaneous_trip, guard.at, fact) {
        let current = current.quantity();
        facts.seen("I_i", "opens at once from, by its published curve", current, guard.at, fact);
        return Some(current);
    }
    multiple(guard, practice(PracticeId::MagneticTripLow), facts)
}

fn multiple(guard: Guard<'_>, times: Cell<f64>, facts: &mut Facts) -> Option<Current> {
    let rating = facts.need(&guard.device.rating, guard.at, guard.rating_fact())?.quantity();
    facts.seen("I_n", "rating of the device", rating, guard.at, guard.rating_fact());
    facts.step(from_table("k", "times its rating, to open at once", times.value, times.place));
    let opens = rating * times.value;
    facts.step(reckoned("I_i", "opens at once from", say!("{} × {}", times.value, rating), opens));
    Some(opens)
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{backed_up, behind_a_feeder, one_circuit, standby, text, verdict, with};

    const CURVE: &str = "/panels/0/ways/0/device/instantaneous_trip";
    const RATING: &str = "/panels/0/ways/0/device/rating";
    const KIND: &str = "/panels/0/ways/0/device/kind";

    fn told(changes: &[(&str, Value)]) -> String {
        verdict(&CHECK, &with(one_circuit(), changes), "P.1")
    }

    /// The fault current of 541.5 A is reckoned by hand in `calc::fault`.
    #[test]
    fn fault_current_too_low_to_trip() {
        assert_eq!(told(&[(CURVE, json!("541 A"))]), "meets");
        assert_eq!(told(&[(CURVE, json!("543 A"))]), "falls_short WARNING");
    }

    /// Common practice, no source: no breaker opens at once below 5 times its rating.
    #[test]
    fn without_a_curve_only_too_little_for_any_breaker_is_certain() {
        assert_eq!(
            told(&[(CURVE, json!(null)), (RATING, json!("108 A"))]),
            "cannot_tell device.instantaneous_trip"
        );
        assert_eq!(told(&[(CURVE, json!(null)), (RATING, json!("109 A"))]), "falls_short WARNING");
    }

    /// Common practice, no source: a fuse clears fast at 10 times its rating.
    #[test]
    fn a_fuse_goes_by_its_rating() {
        let fuse = (KIND, json!("plug_fuse"));
        assert_eq!(told(&[fuse.clone(), (RATING, json!("54 A"))]), "meets");
        assert_eq!(told(&[fuse.clone(), (RATING, json!("55 A"))]), "falls_short WARNING");
        assert_eq!(told(&[fuse, (RATING, json!(null))]), "cannot_tell device.rating");
    }

    #[test]
    fn a_fault_with_no_way_back_opens_nothing() {
        let told =
            |ground: &str, bond: bool| text(&CHECK, &behind_a_feeder(json!(ground), json!(bond)), "P2.1");
        assert!(told("none", false).contains("RT") && told("none", false).contains("opens nothing"));
        assert!(!told("none", true).contains("opens nothing"));
        assert!(!told("wire", false).contains("opens nothing"));
        let unknown = behind_a_feeder(json!("none"), json!(null));
        assert!(verdict(&CHECK, &unknown, "P2.1").contains("neutral_bond"));
        // Nobody knows whether the circuit has a ground that would lead nowhere.
        let mut own = behind_a_feeder(json!("none"), json!(false));
        let runs = own["runs"].as_array_mut().unwrap();
        let circuit = runs.iter_mut().find(|run| run["from"] == "P2.1").unwrap();
        circuit.as_object_mut().unwrap().remove("equipment_ground");
        assert!(verdict(&CHECK, &own, "P2.1").contains("equipment_ground"));
    }

    /// Without an equipment ground only a fault to the neutral opens the device; what is not seen is asked.
    #[test]
    fn a_circuit_without_a_ground_is_not_said_to_meet_it() {
        let ground = |ground: Value| told(&[(CURVE, json!("100 A")), ("/runs/1/equipment_ground", ground)]);
        assert_eq!(ground(json!("wire")), "meets");
        assert_eq!(ground(json!("none")), "not_applicable");
        assert_eq!(ground(json!("armor_only")), "not_applicable");
        assert_eq!(ground(json!(null)), "cannot_tell equipment_ground");
        let small = [(CURVE, json!("543 A")), ("/runs/1/equipment_ground", json!("none"))];
        assert_eq!(told(&small), "falls_short WARNING");
    }

    #[test]
    fn the_weakest_supply_rules() {
        // The maker states 75 A for the inverter; the 20 A device opens at once from 100 A up at the earliest.
        let curve = |amperes: &str| {
            let path = "/panels/1/ways/1/device/instantaneous_trip";
            verdict(&CHECK, &with(backed_up(), &[(path, json!(amperes))]), "Q.2")
        };
        assert_eq!(verdict(&CHECK, &backed_up(), "Q.2"), "falls_short WARNING");
        assert_eq!(curve("76 A"), "falls_short WARNING");
        assert_eq!(curve("52 A"), "meets");
    }

    /// Common practice, no source: 30 % off what the maker states. 75 A × 0.7 = 52.5 A.
    #[test]
    fn a_makers_figure_meets_only_with_its_tolerance_off() {
        let told = |opens: &str, least: Value| {
            let path = "/panels/1/ways/1/device/instantaneous_trip";
            let changes = [(path, json!(opens)), ("/supplies/1/least_fault_current", least)];
            verdict(&CHECK, &with(backed_up(), &changes), "Q.2")
        };
        assert_eq!(told("52.4 A", json!(null)), "meets");
        assert_eq!(told("52.6 A", json!(null)), "cannot_tell least_fault_current");
        assert_eq!(told("75 A", json!(null)), "cannot_tell least_fault_current");
        assert_eq!(told("75.1 A", json!(null)), "falls_short WARNING");
        // What the maker guarantees stands in place of the tolerance.
        assert_eq!(told("70 A", json!("70 A")), "meets");
        assert_eq!(told("70.1 A", json!("70 A")), "falls_short WARNING");
        assert_eq!(told("75 A", json!("90 A")), "meets");
        assert_eq!(told("75.1 A", json!("90 A")), "falls_short WARNING");
    }

    /// By hand: 130 A × 0.7 = 91 A behind 120 V is 1.319 Ω; out and back 30 ft of 14 AWG at 3.1 and 60 ft of
    /// 10 AWG at 1.2 Ω per 1000 ft are 0.33 Ω, at the same angle: 120 V / 1.649 Ω = 73 A. As stated
    /// 120 V / 0.923 Ω is behind it: 96 A.
    #[test]
    fn a_generators_figure_has_a_tolerance_too() {
        let mut way = one_circuit()["panels"][0]["ways"][0].clone();
        way["id"] = json!("P2.1");
        let mut run = one_circuit()["runs"][1].clone();
        (run["id"], run["from"]) = (json!("RX"), json!("P2.1"));
        let mut stated = |opens: &str| {
            way["device"]["instantaneous_trip"] = json!(opens);
            let changes = [
                ("/panels/1/ways/-", way.clone()),
                ("/runs/-", run.clone()),
                ("/supplies/1/fault_current", json!("130 A")),
            ];
            verdict(&CHECK, &with(standby(), &changes), "P2.1")
        };
        assert_eq!(stated("72 A"), "meets");
        assert_eq!(stated("74 A"), "cannot_tell least_fault_current");
        assert_eq!(stated("95 A"), "cannot_tell least_fault_current");
        assert_eq!(stated("97 A"), "falls_short WARNING");
    }

    #[test]
    fn what_hangs_on_a_tolerance_says_what_to_ask() {
        let path = "/panels/1/ways/1/device/instantaneous_trip";
        let house = with(backed_up(), &[(path, json!("70 A"))]);
        let told = text(&CHECK, &house, "Q.2");
        assert!(told.contains("75 A") && told.contains("52.5 A") && told.contains("Ask the maker"), "{told}");
    }

    #[test]
    fn each_missing_fact_is_asked_for() {
        let curve = (CURVE, json!("100 A"));
        assert_eq!(told(&[curve.clone(), (KIND, json!(null))]), "cannot_tell device.kind");
        assert_eq!(told(&[curve.clone(), ("/runs/1/length", json!(null))]), "cannot_tell length");
        assert_eq!(told(&[curve.clone(), ("/runs/0/size", json!(null))]), "cannot_tell size");
        assert_eq!(told(&[curve, (KIND, json!("spare"))]), "silent");
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!(text(&CHECK, &backed_up(), "Q.2"));
    }
}
