//! What must hold for conductors of every house: better ones never look worse, and the units a fact
//! was entered in change nothing.

use std::collections::BTreeMap;

use deadfront::demo::DEMO;
use deadfront_rules::assess;
use deadfront_rules::checks::{Folder, named};
use deadfront_rules::finding::{Arg, Finding, Verdict};
use deadfront_rules::house::House;
use deadfront_rules::si::{ampere, amperes, celsius, foot, meter};
use deadfront_rules::survey::quantity::{EnteredCurrent, EnteredLength, EnteredTemperature};
use deadfront_rules::survey::{CANNOT_BE_SEEN, EnteredSize, Survey, WireSize};
use deadfront_rules::tables::us::{self, ClauseId, DeviceFamily};
use deadfront_tests::arbitrary;
use deadfront_tests::facts::facts_of_kind;
use proptest::prelude::*;
use serde_json::{Value, json};

fn read(house: &Value) -> Survey {
    serde_json::from_value(house.clone()).unwrap_or_else(|error| panic!("no survey: {error}"))
}

fn written(survey: &Survey) -> Value {
    serde_json::to_value(survey).expect("a survey is JSON")
}

fn demo() -> Value {
    serde_json::from_str(DEMO).expect("the demo is JSON")
}

/// A change for the better, the checks that it does not concern, and the houses that it makes of one.
struct Better {
    name: &'static str,
    /// Checks of conductors that it may newly trip, each with the reason.
    left_out: &'static [(&'static str, &'static str)],
    /// JSON pointers to the items that may be changed.
    items: fn(&Value) -> Vec<String>,
    /// Changes the item; `None` where it cannot be made better.
    change: fn(&Value, &str) -> Option<Value>,
}

const STRONGER_FAULT: &str = "a better path lets a larger fault current through";

/// Hots and neutral of a run to the next larger trade size.
const LARGER_CONDUCTOR: Better = Better {
    name: "a larger conductor",
    left_out: &[
        ("fault_heats_conductor_past_limit", STRONGER_FAULT),
        ("equipment_ground_missing_or_small", "a ground need not be larger than the hots: 250.122(A)"),
        ("run_unprotected", "a run spliced to it may now be the smaller one"),
    ],
    items: runs,
    change: larger,
};

/// A run of half the length.
const SHORTER_RUN: Better = Better {
    name: "a shorter run",
    left_out: &[("fault_heats_conductor_past_limit", STRONGER_FAULT)],
    items: runs,
    change: shorter,
};

/// A run in surroundings cooler by 10 K.
const COOLER_PLACE: Better = Better { name: "a cooler place", left_out: &[], items: runs, change: cooler };

/// A device of the next smaller standard rating.
const SMALLER_DEVICE: Better = Better {
    name: "a smaller device",
    left_out: &[
        ("load_larger_than_device", "the load stays"),
        (
            "fault_heats_conductor_past_limit",
            "where each hot has a device of its own the larger one is looked at: now it may be the other",
        ),
    ],
    items: devices,
    change: smaller,
};

fn pointers(house: &Value, list: &str) -> Vec<String> {
    let count = house[list].as_array().map_or(0, Vec::len);
    (0..count).map(|at| format!("/{list}/{at}")).collect()
}

fn runs(house: &Value) -> Vec<String> {
    pointers(house, "runs")
}

fn devices(house: &Value) -> Vec<String> {
    let mut devices: Vec<String> =
        pointers(house, "supplies").iter().map(|supply| format!("{supply}/output_device")).collect();
    for panel in pointers(house, "panels") {
        devices.push(format!("{panel}/main"));
        let ways = house.pointer(&format!("{panel}/ways")).and_then(Value::as_array).map_or(0, Vec::len);
        devices.extend((0..ways).map(|way| format!("{panel}/ways/{way}/device")));
    }
    devices
}

/// The text of a fact of an item.
fn entry<'a>(house: &'a Value, item: &str, fact: &str) -> Option<&'a str> {
    house.pointer(item)?.get(fact)?.as_str()
}

fn with(house: &Value, item: &str, facts: &[(&str, String)]) -> Option<Value> {
    let mut house = house.clone();
    for (fact, value) in facts {
        house.pointer_mut(item)?[*fact] = json!(value);
    }
    Some(house)
}

/// The next trade size above a size; none above the largest.
fn next_size(size: &str) -> Option<WireSize> {
    let size = EnteredSize::new(size).ok()?.quantity();
    us::trade_sizes().iter().copied().find(|listed| size.is_smaller_than(*listed))
}

/// Not where the tables do not list the size itself: nothing can be told of such a conductor, and much
/// of the next one.
fn larger(house: &Value, run: &str) -> Option<Value> {
    let mut facts = vec![("size", next_size(entry(house, run, "size")?)?.to_string())];
    if let Some(neutral) = entry(house, run, "neutral_size").filter(|entry| *entry != CANNOT_BE_SEEN) {
        facts.push(("neutral_size", next_size(neutral)?.to_string()));
    }
    is_listed(house, run).then(|| with(house, run, &facts))?
}

fn is_listed(house: &Value, run: &str) -> bool {
    let survey = read(house);
    let house = House::new(&survey);
    let Some(number) = run.rsplit('/').next().and_then(|number| number.parse::<usize>().ok()) else {
        return false;
    };
    let no_neutral = survey.runs[number].neutral_size.known().is_none();
    let neutral = house.rules.neutral_ampacity(&house, number);
    house.ampacity(number).value.is_some() && (no_neutral || neutral.value.is_some())
}

fn shorter(house: &Value, run: &str) -> Option<Value> {
    let length = EnteredLength::new(entry(house, run, "length")?).ok()?.quantity();
    with(house, run, &[("length", format!("{} m", length.get::<meter>() / 2.0))])
}

fn cooler(house: &Value, run: &str) -> Option<Value> {
    let ambient = EnteredTemperature::new(entry(house, run, "ambient")?).ok()?.quantity();
    let degrees = ambient.get::<celsius>() - 10.0;
    (degrees > -80.0).then(|| with(house, run, &[("ambient", format!("{degrees} C"))]))?
}

/// Not from above the largest standard rating, where the tables end. Not across the rating up to
/// which unmarked terminals count as 60 °C: below it the same terminal may carry less.
fn smaller(house: &Value, device: &str) -> Option<Value> {
    let rating = EnteredCurrent::new(entry(house, device, "rating")?).ok()?.quantity();
    us::standard_rating_at_least(rating, DeviceFamily::Fuse)?;
    let next = us::standard_rating_at_most(rating * 0.999, DeviceFamily::Fuse)?.value;
    let terminals = amperes(us::number(ClauseId::TerminalCircuitLimit).value);
    let crosses = rating > terminals && next <= terminals;
    (!crosses).then(|| with(house, device, &[("rating", format!("{} A", next.get::<ampere>()))]))?
}

/// Whether a voltage is lost by no more than a few percent beyond what is advised. At a better end
/// the voltage is higher by as much at most, a resistance there draws more, and the way ahead of it
/// loses more; between two sizes of Table 9 the reactance may rise a little.
fn is_marginal(finding: &Finding) -> bool {
    let voltage = matches!(finding.check, "voltage_drop_over_advice" | "motor_start_sags_voltage");
    let figures = (&finding.value, &finding.limit);
    let (Some(Arg::Quantity(lost, ..)), Some(Arg::Quantity(advised, ..))) = figures else { return false };
    voltage && *lost <= advised * 1.06
}

/// How often each check of conductors falls short for each item. `terminal_runs_too_hot` is silent
/// where `device_larger_than_conductor` speaks, so the two count as one.
fn short_ones(house: &Value, counts_one: fn(&Finding) -> bool) -> BTreeMap<(&'static str, String), usize> {
    let mut counts = BTreeMap::new();
    for finding in assess(&read(house)).findings {
        let of_conductors = named(finding.check).is_some_and(|check| check.folder == Folder::Conductors);
        if of_conductors && finding.verdict == Verdict::FallsShort && counts_one(&finding) {
            let check = match finding.check {
                "terminal_runs_too_hot" => "device_larger_than_conductor",
                other => other,
            };
            *counts.entry((check, finding.subject.id.to_string())).or_default() += 1;
        }
    }
    counts
}

impl Better {
    /// What falls short of the better house and did not before.
    fn added(&self, before: &Value, item: &str) -> Vec<String> {
        let Some(after) = (self.change)(before, item) else { return Vec::new() };
        let (was, is) = (short_ones(before, |_| true), short_ones(&after, |finding| !is_marginal(finding)));
        let left_out = |check: &str| self.left_out.iter().any(|(name, _)| *name == check);
        let more = |(key, count): &(&(&str, String), &usize)| was.get(*key).unwrap_or(&0) < *count;
        let added = is.iter().filter(|((check, _), _)| !left_out(check)).filter(more);
        added.map(|((check, id), _)| self.told(before, &after, item, check, id)).collect()
    }
}

impl Better {
    /// What a check says of an item before and after the change, for the message of a failure.
    fn told(&self, before: &Value, after: &Value, item: &str, check: &str, id: &str) -> String {
        let says = |house: &Value| {
            let findings = assess(&read(house)).findings;
            let own = findings.iter().filter(|one| one.check == check && one.subject.id.as_str() == id);
            own.map(|one| format!("{}: {}", one.verdict.name(), one.message)).collect::<Vec<_>>().join("; ")
        };
        let [was, is] = [before, after].map(|house| house.pointer(item).cloned().unwrap_or_default());
        let (said, says) = (says(before), says(after));
        format!("{}: {check} for {id}\n before {was}\n  {said}\n after {is}\n  {says}", self.name)
    }
}

const ALL: [Better; 4] = [LARGER_CONDUCTOR, SHORTER_RUN, COOLER_PLACE, SMALLER_DEVICE];

#[test]
fn better_conductors_of_the_demo_house_look_no_worse() {
    let house = demo();
    for better in ALL {
        let items = (better.items)(&house);
        let changed = items.iter().filter(|item| (better.change)(&house, item).is_some()).count();
        assert!(changed >= 50, "{}: only {changed} items could be changed", better.name);
        let added: Vec<String> = items.iter().flat_map(|item| better.added(&house, item)).collect();
        assert!(added.is_empty(), "\n{}", added.join("\n"));
    }
}

/// What is left out must be a check; the name of one that is gone would hide nothing and tell a lie.
#[test]
fn what_is_left_out_is_a_check_of_conductors() {
    for better in ALL {
        for (check, why) in better.left_out {
            let folder = named(check).map(|check| check.folder);
            assert_eq!(folder, Some(Folder::Conductors), "{}: {check} ({why})", better.name);
        }
    }
}

// Units.

/// Square millimetres that NFPA 70-2023 Chapter 9 Table 8 prints beside each trade size; from memory,
/// and within its rounding of the circular mils beside them.
const PRINTED: &[(&str, &str)] = &[
    ("18 AWG", "0.823"),
    ("16 AWG", "1.31"),
    ("14 AWG", "2.08"),
    ("12 AWG", "3.31"),
    ("10 AWG", "5.261"),
    ("8 AWG", "8.367"),
    ("6 AWG", "13.30"),
    ("4 AWG", "21.15"),
    ("3 AWG", "26.67"),
    ("2 AWG", "33.62"),
    ("1 AWG", "42.41"),
    ("1/0 AWG", "53.49"),
    ("2/0 AWG", "67.43"),
    ("3/0 AWG", "85.01"),
    ("4/0 AWG", "107.2"),
    ("250 kcmil", "127"),
    ("300 kcmil", "152"),
    ("350 kcmil", "177"),
    ("400 kcmil", "203"),
    ("500 kcmil", "253"),
    ("600 kcmil", "304"),
    ("750 kcmil", "380"),
    ("1000 kcmil", "507"),
    ("2000 kcmil", "1013"),
];

fn length_in_other_unit(text: &str) -> Option<String> {
    let length = EnteredLength::new(text).ok()?.quantity();
    let imperial = ["ft", "in", "'", "\""].iter().any(|unit| text.ends_with(unit));
    let other = match imperial {
        true => format!("{} m", length.get::<meter>()),
        false => format!("{} ft", length.get::<foot>()),
    };
    EnteredLength::new(&other).is_ok().then_some(other)
}

fn temperature_in_other_unit(text: &str) -> Option<String> {
    let (number, unit) = text.rsplit_once(' ')?;
    let degrees: f64 = number.parse().ok()?;
    let other = match unit {
        "F" | "°F" => format!("{} C", (degrees - 32.0) / 1.8),
        _ => format!("{} F", degrees * 1.8 + 32.0),
    };
    // At the very ends of what a file accepts the noise of the conversion may lie beyond them.
    EnteredTemperature::new(&other).is_ok().then_some(other)
}

fn size_in_other_unit(text: &str) -> Option<String> {
    let (_, printed) = PRINTED.iter().find(|(trade, _)| *trade == text)?;
    Some(format!("{printed} mm2"))
}

/// An entry in the other system of units; `None` where it has none.
type OtherUnit = fn(&str) -> Option<String>;

/// A kind of fact by its name in the schema, and how an entry reads in the other system of units.
const UNITS: [(&str, OtherUnit); 3] = [
    ("a_length", length_in_other_unit),
    ("a_temperature", temperature_in_other_unit),
    ("a_wire_size", size_in_other_unit),
];

/// Everything the checks say, but for the words.
fn verdicts(house: &Value) -> Vec<String> {
    let told = |finding: &Finding| {
        let missing: Vec<String> =
            finding.missing().iter().map(|missing| format!("{}.{}", missing.item, missing.fact)).collect();
        let Finding { check, subject, verdict, severity, .. } = finding;
        format!("{check} {} {} {} {}", subject.id, verdict.name(), severity.signal_word(), missing.join(" "))
    };
    let mut verdicts: Vec<String> = assess(&read(house)).findings.iter().map(told).collect();
    verdicts.sort();
    verdicts
}

/// The house with the entries at these pointers in the other system of units.
fn re_entered(house: &Value, facts: &[(String, OtherUnit)]) -> Value {
    let mut house = house.clone();
    for (pointer, other_unit) in facts {
        if let Some(entry) = house.pointer_mut(pointer)
            && let Some(other) = entry.as_str().and_then(other_unit)
        {
            *entry = json!(other);
        }
    }
    house
}

fn facts_with_units(house: &Value) -> Vec<(String, OtherUnit)> {
    let of_kind = |(kind, other): (&str, OtherUnit)| {
        let facts = facts_of_kind(house, kind).into_iter();
        facts.map(move |path| (path.to_string(), other)).collect::<Vec<_>>()
    };
    UNITS.into_iter().flat_map(of_kind).collect()
}

/// What differs between a house and the same house in other units.
fn differing(house: &Value, other: &Value) -> Vec<String> {
    let (before, after) = (verdicts(house), verdicts(other));
    let only = |these: &[String], those: &[String], sign: &str| -> Vec<String> {
        these.iter().filter(|one| !those.contains(one)).map(|one| format!("{sign} {one}")).collect()
    };
    [only(&before, &after, "-"), only(&after, &before, "+")].concat()
}

#[test]
fn the_demo_house_in_other_units_gets_the_same_verdicts() {
    let house = demo();
    let facts = facts_with_units(&house);
    let other = re_entered(&house, &facts);
    let changed =
        facts.iter().filter(|(pointer, _)| house.pointer(pointer) != other.pointer(pointer)).count();
    assert!(changed > 300, "only {changed} entries were changed");
    assert_eq!(differing(&house, &other), Vec::<String>::new(), "all together");
    for fact in facts {
        let other = re_entered(&house, std::slice::from_ref(&fact));
        assert_eq!(differing(&house, &other), Vec::<String>::new(), "{} alone", fact.0);
    }
}

#[test]
fn printed_areas_are_those_of_their_trade_sizes() {
    for (trade, printed) in PRINTED {
        let size = EnteredSize::new(trade).expect("a trade size").quantity();
        let metric = EnteredSize::new(&format!("{printed} mm2")).expect("an area").quantity();
        assert_eq!(us::not_larger(metric), Some(size), "{trade}");
    }
}

proptest! {
    // The same houses in every run; PROPTEST_RNG_SEED searches further.
    #![proptest_config(ProptestConfig { cases: 96, rng_seed: deadfront_tests::seed(), failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn better_conductors_look_no_worse(
        survey in arbitrary::survey(),
        picks in prop::collection::vec(any::<prop::sample::Index>(), 4),
    ) {
        let house = written(&survey);
        for better in ALL {
            let items = (better.items)(&house);
            for pick in &picks {
                let item: &String = pick.get(&items);
                let added = better.added(&house, item);
                prop_assert!(added.is_empty(), "{}", added.join("\n"));
            }
        }
    }

    #[test]
    fn units_do_not_change_a_verdict(
        survey in arbitrary::survey(),
        picks in prop::collection::vec(any::<prop::sample::Index>(), 8),
    ) {
        let house = written(&survey);
        let facts = facts_with_units(&house);
        let differs = differing(&house, &re_entered(&house, &facts));
        prop_assert!(differs.is_empty(), "all together: {}", differs.join("\n"));
        prop_assume!(!facts.is_empty());
        for pick in picks {
            let fact = pick.get(&facts);
            let differs = differing(&house, &re_entered(&house, std::slice::from_ref(fact)));
            prop_assert!(differs.is_empty(), "{} alone: {}", fact.0, differs.join("\n"));
        }
    }
}
