//! A neutral too small for the unbalance it can see.

use std::collections::BTreeSet;

use crate::calc::entered_demand::entered_demand;
use crate::calc::neutral_load::leg_loads_beyond;
use crate::checks::check;
use crate::codes::Ampacity;
use crate::finding::{Derivation, Facts, Finding, Missing, Verdict, Worked, from_table, judge, reckoned};
use crate::house::{Guard, House, Protection};
use crate::say;
use crate::si::Current;
use crate::survey::{Circuit, Fact, Leg, LoadKind, Panel, Run};
use crate::tables::us::{ClauseId, number};

check! {
    /// # What it checks
    /// Whether the neutral of a run can carry what may come back over it: all of the current in a
    /// two-wire circuit; in a three-wire one the current of one leg while the other rests; in a
    /// feeder or service the loads of the heavier leg.
    ///
    /// # Why
    /// No device watches the neutral. Where it is smaller than its hots, the breaker lets through
    /// more than it stands, and an overheated neutral that opens puts up to 240 V on 120 V loads.
    ///
    /// # Example
    /// A 60 A feeder of 6 AWG with a neutral of 10 AWG that carries 30 A: with 38 A of 120 V loads on one
    /// leg and nothing on the other it is overloaded, and the 60 A device never opens. (Invented.)
    ///
    /// # Limits
    /// Circuits of two panels on one neutral add up where different sources can feed them at the same time.
    /// A neutral as large as its hots meets: the device protects both alike. Harmonics of electronic
    /// loads are left out; on 120/240 V they do not add up in the neutral. Of a range's circuit the
    /// neutral may be 70 % (210.19(C) Exception 2). The loads of a feeder are taken as running all at
    /// once, but not above its demand: one that was calculated, or one recorded
    /// with the 125 % of 220.87. A spot reading bounds nothing, and the load of 220.61 does not either: it
    /// takes the loads as balanced between the legs.
    ///
    /// # References
    /// NFPA 70-2023 220.61, 210.19(C) Exception 2, 240.4, Table 310.16.
    neutral_undersized {
        folder: Conductors,
        severity: Warning,
        binding: Hazard,
        citations: ["NFPA 70-2023" "220.61", "NFPA 70-2023" "240.4"],
        caution: "An overloaded neutral may open without any device opening; lamps and electronics then get up to twice their voltage.",
        next_step: "Have a licensed electrician fit a larger neutral, or a device that the neutral stands.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (number, run) in house.runs() {
        // A borrowed neutral is looked at where it belongs.
        if run.neutral_of.is_some() {
            continue;
        }
        match run.circuit.get() {
            Some(Circuit::TwoHots | Circuit::DcPair) => {}
            Some(circuit) => findings.push(look_at(house, number, circuit)),
            None => findings.push(unknown_circuit(house, run)),
        }
    }
}

fn unknown_circuit(house: &House<'_>, run: &Run) -> Finding {
    let mut facts = Facts::new();
    facts.need(&run.circuit, &run.id, "circuit");
    let found: Worked<Current> = facts.done(None);
    let verdict = judge(&found, &Facts::new().done(None::<Current>), |_, _| false);
    let message =
        say!("Nobody has seen yet which conductors this run carries, so its neutral cannot be judged.");
    Finding::of(&CHECK, house.subject(&run.id), verdict, message)
}

fn look_at(house: &House<'_>, number: usize, circuit: Circuit) -> Finding {
    let run = &house.survey.runs[number];
    let borrowers: Vec<usize> = house
        .runs()
        .filter(|(_, other)| other.neutral_of.as_ref() == Some(&run.id))
        .map(|(at, _)| at)
        .collect();
    if let (true, Some(steps)) = (borrowers.is_empty(), as_large_as_hots(run)) {
        let message = say!("The neutral of this run is as large as its hots.");
        return Finding::of(&CHECK, house.subject(&run.id), Verdict::Meets, message).because(steps);
    }
    let carries = house.rules.neutral_ampacity(house, number);
    if let (Some(panel), Circuit::TwoHotsNeutral) = (house.panel_beyond(number), circuit) {
        return of_feeder(house, number, panel, &carries);
    }
    if guard(house, number).is_none() {
        let why = say!("No single device limits the current of this run.");
        let message = say!("What the neutral of this run may see is not limited by one device.");
        return Finding::of(&CHECK, house.subject(&run.id), Verdict::NotApplicable { why }, message);
    }
    let sees = sees(house, number, circuit, &borrowers);
    let verdict = judge(&sees, &carries, |sees, carries| *sees > carries.allowed());
    told(house, run, verdict, sees.value, &carries, sees.derivation)
}

/// The steps, if the neutral is known to be no smaller than the hots. It has their metal.
fn as_large_as_hots(run: &Run) -> Option<Derivation> {
    let (hot, neutral) = (run.size.known()?.quantity(), run.neutral_size.known()?.quantity());
    if neutral.is_smaller_than(hot) {
        return None;
    }
    let mut facts = Facts::new();
    facts.seen("S", "size of the hots", hot, &run.id, "size");
    facts.seen("S_N", "size of the neutral", neutral, &run.id, "neutral_size");
    Some(facts.done(Some(())).derivation)
}

fn told(
    house: &House<'_>,
    run: &Run,
    verdict: Verdict,
    sees: Option<Current>,
    carries: &Worked<Ampacity>,
    mut derivation: Derivation,
) -> Finding {
    derivation.include(&carries.derivation);
    let carried = carries.value.map(|carries| carries.allowed());
    let message = match (&verdict, sees, carried) {
        (Verdict::FallsShort, Some(sees), Some(carried)) => {
            say!("The neutral of this run can carry {} but may see {}.", carried, sees)
        }
        (Verdict::Meets, Some(sees), Some(carried)) => {
            say!("The neutral of this run can carry {}; it sees at most {}.", carried, sees)
        }
        _ => say!("It cannot be told whether the neutral of this run is large enough."),
    };
    let finding = Finding::of(&CHECK, house.subject(&run.id), verdict, message).because(derivation);
    match (sees, carried) {
        (Some(sees), Some(carried)) => finding.figure(sees, carried),
        _ => finding,
    }
}

/// What the neutral of a branch circuit may see: what its devices let through.
fn sees(house: &House<'_>, number: usize, circuit: Circuit, borrowers: &[usize]) -> Worked<Current> {
    let mut facts = Facts::new();
    let own = rating(house, number, &mut facts);
    let value = if borrowers.is_empty() {
        own.map(|own| for_range(house, number, circuit, own, &mut facts))
    } else {
        shared(house, number, borrowers, own, &mut facts)
    };
    facts.done(value)
}

fn guard<'a>(house: &House<'a>, number: usize) -> Option<Guard<'a>> {
    match house.protection(number) {
        Protection::Ahead(guard) => Some(guard),
        Protection::AtEnd(guards) => match guards[..] {
            [only] => Some(only),
            _ => None,
        },
        Protection::None => None,
    }
}

fn rating(house: &House<'_>, number: usize, facts: &mut Facts) -> Option<Current> {
    let guard = guard(house, number)?;
    let rating = guard.rating(facts)?;
    Some(rating)
}

/// 210.19(C) Exception 2: of a range's circuit 70 %.
fn for_range(
    house: &House<'_>,
    number_of_run: usize,
    circuit: Circuit,
    own: Current,
    facts: &mut Facts,
) -> Current {
    let load = house.sole_load(number_of_run).map(|load| load.kind);
    let cooks = matches!(load, Some(LoadKind::Range | LoadKind::Oven | LoadKind::Cooktop));
    if !cooks || circuit != Circuit::TwoHotsNeutral {
        return own;
    }
    let share = number(ClauseId::RangeNeutral);
    facts.step(from_table("k", "neutral of a range's circuit", share.value, share.place));
    let seen = own * share.value;
    facts.step(reckoned("I_N", "what the neutral may see", say!("{} × {}", own, share.value), seen));
    seen
}

/// Several circuits on one neutral: those on the same leg add up, the heavier leg rules.
fn shared(
    house: &House<'_>,
    number: usize,
    borrowers: &[usize],
    own: Option<Current>,
    facts: &mut Facts,
) -> Option<Current> {
    let nought = Current::default();
    let (mut a, mut b, mut largest_unknown) = (nought, nought, nought);
    let others = borrowers.iter().map(|other| (*other, rating(house, *other, facts))).collect::<Vec<_>>();
    for (run, rating) in [(number, own)].into_iter().chain(others) {
        let rating = rating.unwrap_or(nought);
        match leg(house, run, facts) {
            Some(Leg::A) => a += rating,
            Some(Leg::B) => b += rating,
            Some(Leg::Both) => (a, b) = (a + rating, b + rating),
            None if rating > largest_unknown => largest_unknown = rating,
            None => {}
        }
    }
    if borrowers.iter().any(|other| need_not_be_in_step(house, number, *other)) {
        let all = a + b + largest_unknown;
        let label = "devices on a shared neutral, fed by sources that need not be in step";
        facts.step(reckoned("I_N", label, say!("{} + {}", all - b, b), all));
        return Some(all);
    }
    let known = if a > b { a } else { b };
    let seen = if known > largest_unknown { known } else { largest_unknown };
    let expression = say!("leg A {}, leg B {}", a, b);
    facts.step(reckoned("I_N", "devices on the heavier leg of the shared neutral", expression, seen));
    Some(seen)
}

/// Whether two circuits can be fed by different sources at the same time: their currents then add up in a
/// shared neutral, whatever their legs. Circuits that the same sources reach hang behind the same switches,
/// and are always on the same one.
fn need_not_be_in_step(house: &House<'_>, one: usize, other: usize) -> bool {
    let feeds = |run: usize| -> BTreeSet<usize> {
        let paths = house.feeds.paths_to(&house.network, house.network.run_end(run));
        paths.into_iter().map(|(supply, _)| supply).collect()
    };
    let (one, other) = (feeds(one), feeds(other));
    // A circuit that nothing feeds yet has not been traced to its source.
    !one.is_empty() && !other.is_empty() && one != other
}

fn leg(house: &House<'_>, number: usize, facts: &mut Facts) -> Option<Leg> {
    let guard = guard(house, number)?;
    let (_, _, _, way) = house.ways().find(|(.., way)| way.id == *guard.at)?;
    facts.need(&way.leg, &way.id, "leg")
}

/// A feeder or service whose neutral is smaller than its hots: the loads of the heavier leg, never
/// more than its demand or its device.
fn of_feeder(house: &House<'_>, number: usize, panel: &Panel, carries: &Worked<Ampacity>) -> Finding {
    let run = &house.survey.runs[number];
    let mut facts = Facts::new();
    let rating = guard(house, number).and_then(|guard| Some(guard.device.rating.known()?.quantity()));
    let demand = entered_demand(house.survey, panel, &mut facts);
    let most = smaller(rating, demand.and_then(|demand| demand.most));
    if let (Some(most), Some(certain)) = (most, carries.certain())
        && most <= certain.allowed()
    {
        // Whatever the loads are.
        let steps = facts.done(Some(())).derivation;
        return told(house, run, Verdict::Meets, Some(most), carries, steps);
    }
    let legs = leg_loads_beyond(house, number);
    let (loads, open) = legs.value.map_or((Current::default(), true), |legs| (legs.heavier, legs.open));
    facts.include(&[], &legs.derivation);
    let at_most = smaller(Some(loads), most).unwrap_or(loads);
    // What was read may still be all of it.
    let at_least = smaller(Some(at_most), demand.map(|demand| demand.least)).unwrap_or(at_most);
    let carried = carries.value.map(|carries| carries.allowed());
    let missing = together(&facts, &legs.missing, carries, panel);
    let known = !open && missing.is_empty();
    let within = !open && legs.missing.is_empty() && carries.missing.is_empty();
    let (verdict, sees) = match carried {
        Some(carried) if at_least > carried => (Verdict::FallsShort, at_least),
        Some(carried) if within && at_most <= carried => (Verdict::Meets, at_most),
        // Every fact is there, and none shows that it is enough.
        Some(_) if known => (Verdict::FallsShort, at_most),
        _ => (Verdict::CannotTell { missing }, at_most),
    };
    if sees < loads {
        let label = if sees < at_most {
            "what the neutral may see at the least: those loads, but not above the demand of the panel"
        } else {
            "what the neutral may see at the most: those loads, but not above demand or device"
        };
        facts.step(reckoned("I_N", label, say!("the smaller of {} and {}", loads, sees), sees));
    }
    let steps = facts.done(Some(())).derivation;
    told(house, run, verdict, Some(sees), carries, steps)
}

fn smaller(a: Option<Current>, b: Option<Current>) -> Option<Current> {
    match (a, b) {
        (Some(a), Some(b)) if b < a => Some(b),
        (None, b) => b,
        (a, _) => a,
    }
}

/// What is missing for a feeder: the demand would do without the loads, or the loads without it.
fn together(facts: &Facts, legs: &[Missing], carries: &Worked<Ampacity>, panel: &Panel) -> Vec<Missing> {
    let mut missing = [legs, &carries.missing[..]].concat();
    for (fact, cannot_be_seen) in [
        ("demand", panel.demand == Fact::CannotBeSeen),
        ("demand_from", panel.demand_from == Fact::CannotBeSeen),
    ] {
        if facts.lacks(&panel.id, fact) {
            missing.push(Missing { item: panel.id.clone(), fact, cannot_be_seen });
        }
    }
    missing.sort();
    missing.dedup();
    missing
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{backed_up, one_circuit, text, verdict, with};

    fn branch(changes: &[(&str, Value)]) -> String {
        verdict(&CHECK, &with(one_circuit(), changes), "R")
    }

    /// The service of 4 AWG, with its neutral and the panel's calculated demand.
    fn service(neutral: &str, demand: Value, changes: &[(&str, Value)]) -> String {
        let own = [
            ("/runs/0/neutral_size", json!(neutral)),
            ("/panels/0/demand", demand),
            ("/panels/0/demand_from", json!("calculation")),
        ];
        verdict(&CHECK, &with(with(one_circuit(), &own), changes), "RS")
    }

    /// NFPA 70-2023 Table 310.16: 16 AWG has no figure in the 60 °C column; NM-B of 14 AWG carries 15 A.
    #[test]
    fn neutral_undersized() {
        assert_eq!(branch(&[]), "meets");
        let twelve = [("/runs/1/size", json!("12 AWG")), ("/panels/0/ways/0/device/rating", json!("15 A"))];
        assert_eq!(branch(&twelve), "meets");
        let larger = [("/runs/1/size", json!("12 AWG")), ("/panels/0/ways/0/device/rating", json!("20 A"))];
        assert_eq!(branch(&larger), "falls_short WARNING");
    }

    /// NFPA 70-2023 Chapter 9 Table 8: 14 AWG is printed as 2.08 mm² (from memory).
    #[test]
    fn a_neutral_in_square_millimetres_is_as_large_as_its_gauge() {
        let metric = ("/runs/1/neutral_size", json!("2.08 mm2"));
        let rating = ("/panels/0/ways/0/device/rating", json!("20 A"));
        assert_eq!(branch(&[metric, rating]), "meets");
    }

    /// 75 °C column, copper: 8 AWG 50 A, 10 AWG 35 A, 12 AWG 25 A.
    #[test]
    fn a_feeder_sees_no_more_than_its_demand() {
        assert_eq!(service("8 AWG", json!("50 A"), &[]), "meets");
        assert_eq!(service("10 AWG", json!("50 A"), &[]), "meets");
        let heavy = ("/loads/0/power", json!("6 kW"));
        assert_eq!(service("10 AWG", json!("50 A"), std::slice::from_ref(&heavy)), "falls_short WARNING");
        assert_eq!(service("10 AWG", json!("30 A"), std::slice::from_ref(&heavy)), "meets");
        assert_eq!(service("10 AWG", json!(null), &[heavy]), "falls_short WARNING");
    }

    /// NFPA 70-2023 220.87: a recorded demand counts 125 %. 10 AWG carries 35 A: 28 A × 1.25, not 28.1 A.
    #[test]
    fn a_reading_counts_as_far_as_it_goes() {
        let heavy = ("/loads/0/power", json!("6 kW"));
        let by = |amperes: &str, from: Value| {
            service("10 AWG", json!(amperes), &[heavy.clone(), ("/panels/0/demand_from", from)])
        };
        assert_eq!(by("28 A", json!("year_of_metering")), "meets");
        assert_eq!(by("28.1 A", json!("year_of_metering")), "falls_short WARNING");
        assert_eq!(by("35.1 A", json!("year_of_metering")), "falls_short WARNING");
        assert_eq!(by("20 A", json!("spot_reading")), "falls_short WARNING");
        assert_eq!(by("20 A", json!(null)), "cannot_tell demand_from");
    }

    #[test]
    fn each_missing_fact_leaves_it_open() {
        assert_eq!(branch(&[("/runs/1/neutral_size", json!(null))]), "cannot_tell neutral_size");
        assert_eq!(branch(&[("/runs/1/circuit", json!(null))]), "cannot_tell circuit");
        let small = ("/runs/1/neutral_size", json!("16 AWG"));
        let rating = ("/panels/0/ways/0/device/rating", json!(null));
        assert_eq!(branch(&[small, rating]), "cannot_tell device.rating");
        let open = ("/loads/0/power", json!(null));
        assert_eq!(service("10 AWG", json!("50 A"), std::slice::from_ref(&open)), "cannot_tell power");
        assert_eq!(service("10 AWG", json!(null), &[open]), "cannot_tell power demand");
        let leg = ("/panels/0/ways/0/leg", json!(null));
        assert_eq!(service("10 AWG", json!("50 A"), &[leg]), "cannot_tell leg");
    }

    #[test]
    fn circuits_without_a_neutral_are_passed_over() {
        assert_eq!(branch(&[("/runs/1/circuit", json!("two_hots"))]), "silent");
    }

    /// Two circuits on one neutral: on opposite legs the larger counts, on the same leg the sum.
    #[test]
    fn a_shared_neutral_sees_both_circuits_of_a_leg() {
        let on = |leg: Value| {
            let mut house = one_circuit();
            let mut way = house["panels"][0]["ways"][0].clone();
            way["id"] = json!("P.3");
            way["spaces"] = json!([3]);
            way["leg"] = leg;
            let mut run = house["runs"][1].clone();
            for (key, value) in [("id", "R2"), ("from", "P.3"), ("neutral_of", "R")] {
                run[key] = json!(value);
            }
            house = with(house, &[("/panels/0/ways/-", way), ("/runs/-", run)]);
            (verdict(&CHECK, &house, "R"), verdict(&CHECK, &house, "R2"))
        };
        let pair = |own: &str| (own.to_owned(), "silent".to_owned());
        assert_eq!(on(json!("B")), pair("meets"));
        assert_eq!(on(json!("A")), pair("falls_short WARNING"));
        assert_eq!(on(json!(null)), pair("cannot_tell leg"));
    }

    /// NFPA 70-2023 210.19(C) Exception 2: 50 A × 0.7 = 35 A, a neutral of 10 AWG at 75 °C.
    /// By hand: 15 A on leg A of one panel and 15 A on leg B of another cancel on one source; from the utility and
    /// an inverter that is not in step with it they are 30 A at times.
    #[test]
    fn sources_out_of_step_add_up_in_a_shared_neutral() {
        let told = |changes: &[(&str, Value)]| {
            let mut all = vec![
                ("/runs/5/neutral_of", json!("R")),
                ("/runs/5/circuit", json!("hot_and_neutral")),
                ("/panels/0/ways/0/leg", json!("A")),
                ("/panels/1/ways/0/leg", json!("B")),
                ("/panels/1/ways/0/device/rating", json!("15 A")),
            ];
            all.extend_from_slice(changes);
            verdict(&CHECK, &with(backed_up(), &all), "R")
        };
        assert_eq!(told(&[]), "falls_short WARNING");
        assert_eq!(told(&[("/runs/3/to", json!(null))]), "meets");
        // Two panels behind the same transfer switch are always on the same source.
        let mut panel = backed_up()["panels"][1].clone();
        (panel["id"], panel["buses"][0]["id"]) = (json!("C"), json!("C.bus"));
        (panel["ways"][0]["id"], panel["ways"][1]["id"]) = (json!("C.1"), json!("C.2"));
        panel["ways"][0]["device"]["rating"] = json!("15 A");
        panel["ways"][0]["leg"] = json!("A");
        let mut circuit = backed_up()["runs"][1].clone();
        (circuit["id"], circuit["from"]) = (json!("RX"), json!("C.1"));
        let behind_one_switch = [
            ("/runs/5/neutral_of", json!("RX")),
            ("/runs/6/to", json!("C")),
            ("/panels/-", panel),
            ("/runs/-", circuit),
            ("/loads/2/on", json!("RX")),
        ];
        let mut changes = vec![
            ("/runs/5/circuit", json!("hot_and_neutral")),
            ("/panels/1/ways/0/leg", json!("B")),
            ("/panels/1/ways/0/device/rating", json!("15 A")),
        ];
        changes.extend(behind_one_switch);
        assert_eq!(verdict(&CHECK, &with(backed_up(), &changes), "RX"), "meets");
    }

    #[test]
    fn a_range_may_have_a_smaller_neutral() {
        let kitchen = |kind: &str| {
            let changes = [
                ("/runs/5/size", json!("6 AWG")),
                ("/runs/5/method", json!("raceway")),
                ("/runs/5/neutral_size", json!("10 AWG")),
                ("/panels/1/ways/0/device/rating", json!("50 A")),
                ("/loads/1/kind", json!(kind)),
            ];
            verdict(&CHECK, &with(backed_up(), &changes), "RK")
        };
        assert_eq!(kitchen("range"), "meets");
        assert_eq!(kitchen("other"), "falls_short WARNING");
    }

    /// Loads of 60 A on one leg behind a panel whose reading is 38 A: 38 A were there and may all be in the neutral,
    /// and the steps say why it is not the 60 A.
    #[test]
    fn a_demand_below_the_loads_is_shown_as_what_bounds_them() {
        let house = |origin: Value| {
            let changes = [
                ("/runs/0/neutral_size", json!("10 AWG")),
                ("/panels/0/demand", json!("38 A")),
                ("/panels/0/demand_from", origin),
                ("/loads/0/power", json!("7200 W")),
            ];
            text(&CHECK, &with(one_circuit(), &changes), "RS")
        };
        let read = house(json!("spot_reading"));
        assert!(read.contains("at the least") && read.contains("the smaller of 60 A and 38 A"), "{read}");
        assert!(read.contains("may see 38 A"), "{read}");
        let calculated = house(json!("calculation"));
        assert!(calculated.contains("the smaller of 60 A and 38 A"), "{calculated}");
    }

    #[test]
    fn its_text() {
        let changes = [
            ("/runs/0/neutral_size", json!("10 AWG")),
            ("/panels/0/demand", json!("50 A")),
            ("/loads/0/power", json!("6 kW")),
        ];
        insta::assert_snapshot!(text(&CHECK, &with(one_circuit(), &changes), "RS"));
    }
}
