//! A load that asks more of its breaker or fuse than it may carry.

use super::load_larger_than_conductor::without_fixed_load;
use crate::calc::load_current::{
    RunCurrent, design_current_of_run, device_current_of_run, running_current_of_run,
};
use crate::checks::check;
use crate::finding::{Citation, Facts, Finding, Verdict, Worked, judge};
use crate::house::{Guard, House, Protection};
use crate::say;
use crate::si::Current;
use crate::survey::Run;

check! {
    /// # What it checks
    /// Whether the fixed loads on a run ask for more than the device ahead is rated for: 125 % of
    /// what runs three hours or more, and the rest in full. Where nothing but motors hangs on it, their
    /// full-load current counts: 125 % of it is for the conductor, not for the device.
    ///
    /// # Why
    /// A device near its rating for hours gets hot, ages and opens when it should not. People then
    /// fit a larger one.
    ///
    /// # Example
    /// 16 A of continuous lighting behind a 15 A breaker is flagged; behind a 20 A breaker it is
    /// just within (125 % of 16 A is 20 A). (Figures of 210.20(A).)
    ///
    /// # Limits
    /// A device listed for 100 % of its rating needs no addition. General lighting and outlets have no
    /// fixed load. Whether the device of a motor lets it start is not told: 430.52(B) asks for it, and a start
    /// shows it. Feeders are judged by their demand. An arc welder counts by its
    /// duty cycle (630.11(A)).
    ///
    /// # References
    /// NFPA 70-2023 210.20(A), 422.13, 424.4(B), 430.22, 430.52, 440.22, 440.32, 630.11(A), Table 220.55.
    load_larger_than_device {
        folder: Conductors,
        severity: Warning,
        binding: Hazard,
        citations: ["NFPA 70-2023" "210.20(A)"],
        caution: "The device opens or overheats under this load. A larger device is no answer unless the conductor is large enough for it.",
        next_step: "Take load off this circuit, or have a licensed electrician give this load a circuit of its own.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (number, run) in house.runs() {
        if house.loads_on(number).next().is_none() {
            continue;
        }
        if let Protection::Ahead(guard) = house.protection(number) {
            findings.push(look_at(house, number, run, guard));
        }
    }
}

fn look_at(house: &House<'_>, number: usize, run: &Run, guard: Guard<'_>) -> Finding {
    let asked = device_current_of_run(house, number);
    let rating = rating(guard);
    let verdict = match judge(&asked, &rating, |asked, rating| asked.current > *rating) {
        Verdict::FallsShort => with_full_rating(house, number, guard, &rating),
        other => other,
    };
    let verdict = without_fixed_load(verdict, asked.value);
    let mut derivation = asked.derivation.clone();
    derivation.include(&rating.derivation);
    let message = match below_addition(house, number, &verdict, &rating) {
        Some(close) => close,
        None => message(&verdict, asked.value, rating.value),
    };
    let finding = Finding::of(&CHECK, house.subject(&run.id), verdict, message).because(derivation);
    let finding = Finding { citations: citations(house, number), ..finding };
    match (asked.value, rating.value) {
        (Some(asked), Some(rating)) if !asked.open => finding.figure(asked.current, rating),
        _ => finding,
    }
}

const OF_MOTORS: &[Citation] = &[
    Citation { standard: "NFPA 70-2023", clause: "430.22" },
    Citation { standard: "NFPA 70-2023", clause: "430.52" },
];

const OF_COMPRESSORS: &[Citation] = &[
    Citation { standard: "NFPA 70-2023", clause: "440.22" },
    Citation { standard: "NFPA 70-2023", clause: "440.32" },
];

/// The clauses of the circuit of one motor or compressor are its own.
fn citations(house: &House<'_>, number: usize) -> &'static [Citation] {
    match house.sole_load(number) {
        Some(load) if load.kind.is_hermetic() => OF_COMPRESSORS,
        Some(load) if load.kind.is_motor() => OF_MOTORS,
        _ => CHECK.citations,
    }
}

fn message(verdict: &Verdict, asked: Option<RunCurrent>, rating: Option<Current>) -> crate::finding::Said {
    match (verdict, asked, rating) {
        (Verdict::FallsShort, Some(asked), Some(rating)) => {
            say!("The loads on this run ask for {}, more than the {} device ahead.", asked.current, rating)
        }
        (Verdict::Meets, Some(asked), Some(rating)) => {
            say!("The loads on this run ask for {}, within the {} device ahead.", asked.current, rating)
        }
        (Verdict::NotApplicable { .. }, ..) => {
            say!("Lighting or outlets without a fixed load hang on this run.")
        }
        _ => say!("It cannot be told whether the device ahead is large enough for these loads."),
    }
}

/// A device that carries its motor and is smaller than 125 % of it: allowed, though the start may open it.
fn below_addition(
    house: &House<'_>,
    number: usize,
    verdict: &Verdict,
    rating: &Worked<Current>,
) -> Option<crate::finding::Said> {
    let rating = rating.value.filter(|_| *verdict == Verdict::Meets)?;
    let conductor = design_current_of_run(house, number).value?.current;
    let is_hermetic = house.sole_load(number).is_some_and(|load| load.kind.is_hermetic());
    let (adds, device) = if is_hermetic { ("440.32", "440.22") } else { ("430.22", "430.52") };
    (conductor > rating).then(|| {
        say!(
            "The {} device carries what hangs on it. The {} of {} are for the conductor, and a larger device may \
             stand here if the start opens this one ({}).",
            rating,
            conductor,
            adds,
            device
        )
    })
}

fn rating(guard: Guard<'_>) -> Worked<Current> {
    let mut facts = Facts::new();
    let rating = guard.rating(&mut facts);
    facts.done(rating)
}

/// A device listed for 100 % of its rating carries the load without the addition.
fn with_full_rating(house: &House<'_>, number: usize, guard: Guard<'_>, rating: &Worked<Current>) -> Verdict {
    let running = running_current_of_run(house, number);
    let plain = judge(&running, rating, |running, rating| running.current > *rating);
    if plain == Verdict::FallsShort {
        return plain;
    }
    let mut facts = Facts::new();
    match facts.need(&guard.device.rated_100_percent, guard.at, guard.rated_100_percent_fact()) {
        Some(true) => plain,
        Some(false) => Verdict::FallsShort,
        None => {
            let full = facts.done(None::<bool>);
            judge(&full, &Facts::new().done(Some(true)), |found, wanted| found != wanted)
        }
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{one_circuit, text, verdict, with};

    fn lights(power: &str, changes: &[(&str, Value)]) -> Value {
        let base = [
            ("/loads/0/power", json!(power)),
            ("/loads/0/continuous", json!(true)),
            ("/panels/0/ways/0/device/rating", json!("20 A")),
            ("/runs/1/size", json!("12 AWG")),
        ];
        with(with(one_circuit(), &base), changes)
    }

    /// NFPA 70-2023 210.20(A): 125 % of a continuous load. 1920 W on 120 V is 16 A, 20 A with the addition.
    #[test]
    fn load_larger_than_device() {
        assert_eq!(verdict(&CHECK, &lights("1920 W", &[]), "R"), "meets");
        assert_eq!(verdict(&CHECK, &lights("1930 W", &[]), "R"), "falls_short WARNING");
        assert_eq!(
            verdict(&CHECK, &lights("1930 W", &[("/loads/0/continuous", json!(false))]), "R"),
            "meets"
        );
    }

    #[test]
    fn a_device_listed_for_its_full_rating_needs_no_addition() {
        let full = |value| {
            verdict(&CHECK, &lights("2300 W", &[("/panels/0/ways/0/device/rated_100_percent", value)]), "R")
        };
        assert_eq!(full(json!(true)), "meets");
        assert_eq!(full(json!(false)), "falls_short WARNING");
        assert_eq!(full(json!(null)), "cannot_tell device.rated_100_percent");
        let above = lights("2500 W", &[("/panels/0/ways/0/device/rated_100_percent", json!(null))]);
        assert_eq!(verdict(&CHECK, &above, "R"), "falls_short WARNING");
    }

    #[test]
    fn a_motor_is_cited_by_its_own_clauses() {
        let cited = |kind: &str| text(&CHECK, &lights("1930 W", &[("/loads/0/kind", json!(kind))]), "R");
        assert!(cited("lighting").contains("210.20(A)"));
        let motor = cited("motor");
        assert!(motor.contains("430.52") && !motor.contains("210.20(A)"), "{motor}");
    }

    /// NFPA 70-2023 Table 430.248: 1-1/2 hp on 115 V is 20 A. A 20 A device carries it and is no violation of
    /// 430.22, which asks for a conductor of 25 A; a 15 A device does not carry it.
    #[test]
    fn a_motors_addition_is_for_its_conductor() {
        let motor = |device: &str| {
            let changes = [
                ("/loads/0/kind", json!("motor")),
                ("/loads/0/power", json!(null)),
                ("/loads/0/horsepower", json!("1-1/2 hp")),
                ("/panels/0/ways/0/device/rating", json!(device)),
                ("/runs/1/size", json!("10 AWG")),
            ];
            with(one_circuit(), &changes)
        };
        assert_eq!(verdict(&CHECK, &motor("20 A"), "R"), "meets");
        assert_eq!(verdict(&CHECK, &motor("15 A"), "R"), "falls_short WARNING");
        let close = text(&CHECK, &motor("20 A"), "R");
        assert!(close.contains("25 A of 430.22"), "{close}");
        assert!(!text(&CHECK, &motor("25 A"), "R").contains("of 430.22 are"));
    }

    #[test]
    fn what_was_not_seen_is_asked_for() {
        for (path, fact) in
            [("/loads/0/continuous", "continuous"), ("/panels/0/ways/0/device/kind", "device.kind")]
        {
            assert_eq!(
                verdict(&CHECK, &lights("1500 W", &[(path, json!(null))]), "R"),
                format!("cannot_tell {fact}")
            );
        }
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!(text(&CHECK, &lights("1930 W", &[]), "R"));
    }
}
