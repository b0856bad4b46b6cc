//! The published worked examples, each worked again through the program's own tables and functions.
//!
//! `published/worked_examples.json` holds the figures with title, publisher and section of each
//! source. `recomputed` there is the figure without the source's rounding (and without its misprint,
//! where `discrepancy` tells of one); it is what must come out here. Every case is either worked in one
//! of the modules below or named in [`PENDING`] with the reason.

#[path = "published_sources/ampacity.rs"]
mod ampacity;
#[path = "published_sources/battery.rs"]
mod battery;
#[path = "published_sources/busbar.rs"]
mod busbar;
#[path = "published_sources/compare.rs"]
mod compare;
#[path = "published_sources/direct_current.rs"]
mod direct_current;
#[path = "published_sources/drop.rs"]
mod drop;
#[path = "published_sources/dwelling.rs"]
mod dwelling;
#[path = "published_sources/example.rs"]
mod example;
#[path = "published_sources/fault.rs"]
mod fault;
#[path = "published_sources/ground.rs"]
mod ground;
#[path = "published_sources/house.rs"]
mod house;
#[path = "published_sources/motor.rs"]
mod motor;
#[path = "published_sources/neutral.rs"]
mod neutral;
#[path = "published_sources/overcurrent.rs"]
mod overcurrent;
#[path = "published_sources/range.rs"]
mod range;
#[path = "published_sources/withstand.rs"]
mod withstand;

use std::collections::BTreeMap;

use compare::{Line, faults_of, lines};
use example::{Case, Example, examples};

/// The topics that are worked, and the cases of each.
const TOPICS: &[(&str, &[(&str, Case)])] = &[
    ("conductor_ampacity", ampacity::CASES),
    ("ac_voltage_drop", drop::CASES),
    ("dc_cable_and_current", direct_current::CASES),
    ("overcurrent_device", overcurrent::CASES),
    ("grounding_conductor", ground::CASES),
    ("busbar_120_percent", busbar::CASES),
    ("adiabatic_withstand", withstand::CASES),
    ("multiwire_neutral", neutral::MULTIWIRE),
    ("neutral_overload_120v_source", neutral::ONE_SOURCE),
    ("fault_current", fault::CASES),
    ("motor_starting", motor::CASES),
    ("dwelling_load", dwelling::CASES),
    ("electric_range_demand", range::CASES),
    ("battery_runtime", battery::CASES),
];

/// Topics that the program does not reckon yet: number of cases, and why.
const PENDING: &[(&str, usize, &str)] = &[("iec_cable_sizing", 2, "there is no IEC rule set yet")];

/// Single figures of cases that are worked otherwise: case, figure, and why the program has none.
const PENDING_FIGURES: &[(&str, &str, &str)] = &[
    ("OC-01", "noncontinuous_va", "receptacle load of a store by Article 220; the program is for dwellings"),
    ("OC-01", "continuous_va", "lighting load of a store by Article 220; the program is for dwellings"),
    ("OC-08", "time_delay_fuse_sum_a", "the device of a feeder of several motors (430.62) is not reckoned"),
    ("OC-08", "breaker_sum_a", "the device of a feeder of several motors (430.62) is not reckoned"),
    (
        "AD-05",
        "cmil_per_ampere",
        "k comes from IEC 60364; the formula of ICEA P-32-382 is not in the program",
    ),
];

fn case(example: &Example) -> Option<Case> {
    let (_, cases) = TOPICS.iter().find(|(topic, _)| *topic == example.topic)?;
    cases.iter().find(|(id, _)| *id == example.id).map(|(_, case)| *case)
}

fn pending_figures(id: &str) -> Vec<&'static str> {
    PENDING_FIGURES.iter().filter(|(case, ..)| *case == id).map(|(_, figure, _)| *figure).collect()
}

#[test]
fn every_published_case_comes_out() {
    let mut faults = Vec::new();
    for example in examples() {
        let Some(case) = case(&example) else { continue };
        let lines: Vec<Line> = lines(&example, &case(&example), &pending_figures(&example.id));
        println!("{example}");
        for line in &lines {
            println!("    {line}");
        }
        faults.extend(faults_of(&example, &lines));
    }
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

#[test]
fn no_case_is_passed_over() {
    let mut pending: BTreeMap<&str, usize> = BTreeMap::new();
    let all = examples();
    for example in &all {
        let covered = TOPICS.iter().any(|(topic, _)| *topic == example.topic);
        let named = PENDING.iter().any(|(topic, ..)| *topic == example.topic);
        assert!(covered != named, "{}: topic {} is worked or pending, not both", example.id, example.topic);
        assert_eq!(case(example).is_some(), covered, "{} of {} has no check", example.id, example.topic);
        if named {
            *pending.entry(&example.topic).or_default() += 1;
        }
    }
    for (topic, count, why) in PENDING {
        println!("pending: {topic}, {count} cases: {why}");
        assert_eq!(pending.get(topic), Some(count), "{topic}");
    }
    for (id, figure, why) in PENDING_FIGURES {
        println!("pending: {id}, {figure}: {why}");
        let example = all.iter().find(|example| example.id == *id);
        assert!(example.is_some_and(|example| example.expected.contains_key(*figure)), "{id} {figure}");
    }
    let worked: usize = TOPICS.iter().map(|(_, cases)| cases.len()).sum();
    let waiting: usize = PENDING.iter().map(|(_, count, _)| count).sum();
    println!("{worked} cases are worked, {waiting} are pending");
    assert_eq!((worked, waiting, all.len()), (59, 2, 61));
}

#[test]
fn no_check_is_without_its_case() {
    let all = examples();
    for (topic, cases) in TOPICS {
        for (id, _) in *cases {
            let known = all.iter().any(|example| example.id == *id && example.topic == *topic);
            assert!(known, "{id} is no case of {topic}");
        }
    }
}
