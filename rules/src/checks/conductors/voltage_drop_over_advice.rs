//! More voltage is lost on the way to a load than is advised.

use crate::calc::path_drop::{DropRange, PathDrop, in_percent, path_drop};
use crate::checks::check;
use crate::finding::{Derivation, Finding, Said, Severity, Verdict, Worked, from_table};
use crate::house::House;
use crate::network::EdgeId;
use crate::say;
use crate::si::{Ratio, percent};
use crate::survey::Circuit;
use crate::tables::us::{ClauseId, PracticeId, number, practice};

check! {
    /// # What it checks
    /// The share of the voltage that is lost between each supply that can feed a circuit and the
    /// circuit's loads: in the branch circuit, in the service and feeders ahead of it, and in all.
    ///
    /// # Why
    /// On low voltage motors run hot, heaters heat less and electronics drop out. An inverter or
    /// a generator often stands farther away than the utility's transformer, and at the end of
    /// thinner conductors.
    ///
    /// # Example
    /// 16 A at 120 V over 100 ft of 12 AWG copper (2.0 Ω per 1000 ft): 16 × 0.4 = 6.4 V, 5.3 %:
    /// above 3 % for a branch circuit. (Invented circuit.)
    ///
    /// # Limits
    /// Advice, not a requirement. The circuit's own loads are followed by an exact load flow, taken
    /// as standing at the end of their run. What else runs on a feeder is taken as the demand of
    /// the panel it feeds (not above the feeder's device), balanced over the legs and at the power
    /// factor that drops most. The utility's transformer and its lines are left out. Outlets
    /// without a load entered have no current to reckon with.
    ///
    /// # References
    /// NFPA 70-2023 210.19(A) and 215.2(A) informational notes; Chapter 9 Tables 8 and 9. Severity
    /// above 8 %: common practice, no source.
    voltage_drop_over_advice {
        folder: Conductors,
        severity: Notice,
        binding: NewWork,
        citations: ["NFPA 70-2023" "210.19(A)", "NFPA 70-2023" "215.2(A)"],
        caution: "Do not raise a voltage at the supply to make up for it: near loads would then get too much.",
        next_step: "Where a load suffers, plan a larger conductor, a shorter way or a higher voltage for it.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (number, run) in house.runs() {
        let ends_at_loads = run.to.is_none() && !house.load_numbers_on(number).is_empty();
        if !ends_at_loads || run.circuit.get() == Some(Circuit::DcPair) {
            continue;
        }
        for (supply, path) in house.feeds.paths_to(&house.network, house.network.run_end(number)) {
            findings.extend(look_at(house, number, supply, &path));
        }
    }
}

/// Advice for a part of the way.
struct Limit {
    part: &'static str,
    for_part: &'static str,
    clause: ClauseId,
    found: DropRange,
}

impl Limit {
    fn advised(&self) -> Ratio {
        Ratio::new::<percent>(number(self.clause).value)
    }
}

fn look_at(house: &House<'_>, number: usize, supply: usize, path: &[EdgeId]) -> Option<Finding> {
    let run = &house.survey.runs[number];
    let found = path_drop(house, supply, path)?;
    let name = &house.survey.supplies[supply].name;
    let Some(drop) = &found.value else {
        let message = say!("It cannot be told how much voltage is lost from {} to this circuit.", name);
        let verdict = Verdict::CannotTell { missing: found.missing.clone() };
        return Some(Finding::of(&CHECK, house.subject(&run.id), verdict, message).because(found.derivation));
    };
    let limits = limits(drop);
    let verdict = verdict(&found, &limits, drop, name);
    let worst = worst(&limits, &verdict);
    let message = message(&verdict, drop, worst, name);
    let derivation = derivation(found.derivation, &limits);
    let (shown, advised) = (in_percent(shown(worst, &verdict)), in_percent(worst.advised()));
    let reckoned = !matches!(verdict, Verdict::NotApplicable { .. });
    let finding = Finding::of(&CHECK, house.subject(&run.id), verdict, message)
        .severity(severity(drop))
        .because(derivation);
    Some(if reckoned { finding.figure(shown, advised) } else { finding })
}

fn limits(drop: &PathDrop) -> [Limit; 3] {
    let limit = |part, for_part, clause, found| Limit { part, for_part, clause, found };
    [
        limit("branch circuit", "for the branch circuit", ClauseId::DropBranch, drop.branch),
        limit("service and feeders", "for service and feeders", ClauseId::DropFeeder, drop.feeder),
        limit("in all", "in all", ClauseId::DropTotal, drop.total()),
    ]
}

fn verdict(found: &Worked<PathDrop>, limits: &[Limit], drop: &PathDrop, supply: &str) -> Verdict {
    if limits.iter().any(|limit| limit.found.least > limit.advised()) {
        return Verdict::FallsShort;
    }
    if limits.iter().all(|limit| limit.found.most.is_some_and(|most| most <= limit.advised())) {
        return Verdict::Meets;
    }
    let of_others = |fact: &str| matches!(fact, "demand" | "demand_from");
    if drop.current.open && found.missing.iter().all(|missing| of_others(missing.fact)) {
        return Verdict::NotApplicable { why: why_open(drop, supply) };
    }
    Verdict::CannotTell { missing: found.missing.clone() }
}

/// Outlets have no current of their own to reckon with.
fn why_open(drop: &PathDrop, supply: &str) -> Said {
    match drop.branch_at_rating {
        Some(share) => say!(
            "From {}: outlets or lighting with no load entered hang on this run. At the full rating of its device the branch circuit would lose {}.",
            supply.to_owned(),
            in_percent(share)
        ),
        None => {
            say!("From {}: outlets or lighting with no load entered hang on this run.", supply.to_owned())
        }
    }
}

/// The part that is farthest beyond its advice, or nearest to it.
fn worst<'a>(limits: &'a [Limit; 3], verdict: &Verdict) -> &'a Limit {
    let against = |limit: &Limit| (shown(limit, verdict) / limit.advised()).value;
    limits.iter().fold(&limits[2], |worst, limit| if against(limit) > against(worst) { limit } else { worst })
}

/// What is certain of a part; where it meets, what it is at most.
fn shown(limit: &Limit, verdict: &Verdict) -> Ratio {
    match (verdict, limit.found.most) {
        (Verdict::Meets, Some(most)) => most,
        _ => limit.found.least,
    }
}

fn message(verdict: &Verdict, drop: &PathDrop, worst: &Limit, supply: &str) -> Said {
    let share = |range: DropRange| in_percent(range.least);
    match verdict {
        Verdict::FallsShort => say!(
            "From {}, {} of the voltage is lost ({} branch circuit, {} ahead of it); {} is advised {}.",
            supply.to_owned(),
            share(drop.total()),
            share(drop.branch),
            share(drop.feeder),
            in_percent(worst.advised()),
            worst.for_part
        ),
        Verdict::Meets => say!(
            "From {}, at most {} of the voltage is lost, within what is advised.",
            supply.to_owned(),
            drop.total().most.map_or(in_percent(drop.total().least), in_percent)
        ),
        Verdict::NotApplicable { .. } => {
            say!("From {}, no load is entered to reckon the voltage drop with.", supply.to_owned())
        }
        Verdict::CannotTell { .. } => say!(
            "From {}, at least {} of the voltage is lost; whether it is more than advised cannot be told.",
            supply.to_owned(),
            share(drop.total())
        ),
    }
}

/// CAUTION where equipment suffers (common practice).
fn severity(drop: &PathDrop) -> Severity {
    let harm = Ratio::new::<percent>(practice(PracticeId::DropDanger).value);
    if drop.total().least > harm { Severity::Caution } else { Severity::Notice }
}

fn derivation(mut derivation: Derivation, limits: &[Limit]) -> Derivation {
    let mut steps = Vec::with_capacity(limits.len() * 2);
    for limit in limits {
        let label = say!("drop, {}, at least", limit.part);
        steps.push(crate::finding::reckoned("u", label, say!(""), in_percent(limit.found.least)));
        if let Some(most) = limit.found.most.filter(|most| *most != limit.found.least) {
            let label = say!("drop, {}, at most", limit.part);
            steps.push(crate::finding::reckoned("u", label, say!(""), in_percent(most)));
        }
        let cell = number(limit.clause);
        let label = say!("advised, {}", limit.part);
        steps.push(from_table("u_max", label, in_percent(limit.advised()), cell.place));
    }
    derivation.extend(steps);
    derivation
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{backed_up, findings, one_circuit, text, verdict, verdicts, with};

    fn told(changes: &[(&str, Value)]) -> String {
        verdict(&CHECK, &with(one_circuit(), changes), "R")
    }

    /// 16 A at 120 V on 12 AWG, 2.0 Ω per 1000 ft in plastic (Chapter 9 Table 9).
    fn outlet(feet: f64) -> Value {
        with(
            one_circuit(),
            &[
                ("/runs/1/size", json!("12 AWG")),
                ("/runs/1/neutral_size", json!("12 AWG")),
                ("/runs/1/length", json!(format!("{feet} ft"))),
                ("/loads/0/power", json!(null)),
                ("/loads/0/current", json!("16 A")),
                ("/panels/0/demand", json!("16 A")),
            ],
        )
    }

    /// By hand: 3 % of 120 V is 3.6 V; 16 A × 4.0 mΩ per foot reach it at 56.2 ft, and a little
    /// earlier since the load's power is kept.
    #[test]
    fn voltage_drop_over_advice() {
        assert_eq!(verdict(&CHECK, &outlet(53.0), "R"), "meets");
        assert_eq!(verdict(&CHECK, &outlet(57.0), "R"), "falls_short NOTICE");
        assert_eq!(verdict(&CHECK, &outlet(200.0), "R"), "falls_short CAUTION");
    }

    #[test]
    fn each_missing_fact_leaves_it_open() {
        assert_eq!(told(&[]), "meets");
        for (path, wanted) in [
            ("/runs/1/length", "cannot_tell length"),
            ("/runs/1/size", "cannot_tell size"),
            ("/runs/1/material", "cannot_tell material"),
            ("/runs/1/circuit", "cannot_tell circuit"),
            ("/runs/1/neutral_size", "cannot_tell neutral_size"),
            ("/runs/1/method", "cannot_tell method"),
            ("/runs/0/length", "cannot_tell length"),
            ("/supplies/0/voltage", "cannot_tell voltage"),
            ("/supplies/0/output", "cannot_tell output"),
            ("/loads/0/power_factor", "cannot_tell power_factor"),
        ] {
            assert_eq!(told(&[(path, json!(null))]), wanted, "{path}");
        }
    }

    #[test]
    fn a_feeder_of_unknown_demand_is_bounded_by_its_device() {
        let unknown = ("/panels/0/demand", json!(null));
        assert_eq!(told(std::slice::from_ref(&unknown)), "meets");
        let long = ("/runs/0/length", json!("120 ft"));
        assert_eq!(told(std::slice::from_ref(&long)), "meets");
        assert_eq!(told(&[long, unknown.clone()]), "cannot_tell demand");
        assert_eq!(told(&[("/panels/0/main/rating", json!(null)), unknown]), "cannot_tell demand");
        let loaded = [("/runs/0/length", json!("120 ft")), ("/panels/0/demand", json!("100 A"))];
        assert_eq!(told(&loaded), "falls_short NOTICE");
    }

    /// 40 A that were read once may be more at another time: what the devices let through bounds it.
    #[test]
    fn a_spot_reading_is_the_least_and_not_the_most() {
        let from = |from: serde_json::Value, feet: &str| {
            told(&[("/panels/0/demand_from", from), ("/runs/0/length", json!(feet))])
        };
        assert_eq!(from(json!("calculation"), "120 ft"), "meets");
        assert_eq!(from(json!("spot_reading"), "120 ft"), "cannot_tell demand");
        assert_eq!(from(json!(null), "120 ft"), "cannot_tell demand_from");
        assert_eq!(from(json!("spot_reading"), "20 ft"), "meets");
    }

    #[test]
    fn an_unknown_power_factor_of_a_plate_in_amperes_is_bounded() {
        let amperes = |feet: &str| {
            told(&[
                ("/loads/0/power", json!(null)),
                ("/loads/0/current", json!("5 A")),
                ("/loads/0/power_factor", json!(null)),
                ("/runs/1/length", json!(feet)),
            ])
        };
        assert_eq!(amperes("30 ft"), "meets");
        assert_eq!(amperes("130 ft"), "cannot_tell power_factor");
    }

    #[test]
    fn outlets_without_a_load_have_no_current_to_reckon_with() {
        assert_eq!(told(&[("/loads/0/power", json!(null))]), "not_applicable");
        assert_eq!(verdict(&CHECK, &backed_up(), "RK"), "not_applicable");
    }

    #[test]
    fn a_line_that_cannot_carry_its_load_falls_short() {
        let changes = [("/runs/1/length", json!("9000 ft")), ("/loads/0/power", json!("1800 W"))];
        assert_eq!(told(&changes), "falls_short CAUTION");
    }

    /// By hand: 2000 ft of 14 AWG out and back are 12.4 + j0.232 Ω. 15 A at no power factor would
    /// lose 3.5 V of 120 V by the short way, 2.9 %, but such a line carries no more than 120² V² / (2 ×
    /// 12.4 Ω) = 581 VA of it, less than the 1800 VA asked for.
    #[test]
    fn a_line_that_can_carry_its_load_at_no_power_factor_falls_short() {
        let changes = [
            ("/runs/1/length", json!("2000 ft")),
            ("/loads/0/power", json!(null)),
            ("/loads/0/current", json!("15 A")),
            ("/loads/0/power_factor", json!(null)),
        ];
        assert_eq!(told(&changes), "falls_short CAUTION");
    }

    /// By hand: 600 kcmil copper in steel, R 0.025 and X 0.048 Ω per 1000 ft (Table 9). 100 A over 400 ft
    /// out and back drop 2.0 V of 120 V at unity power factor, 3.8 V at none: 1.7 % to 3.2 %.
    #[test]
    fn an_unknown_power_factor_on_a_reactive_line_is_no_certain_drop() {
        let line = |power_factor: Value| {
            told(&[
                ("/panels/0/ways/0/device/rating", json!("150 A")),
                ("/runs/0/length", json!("1 ft")),
                ("/runs/1/length", json!("400 ft")),
                ("/runs/1/size", json!("600 kcmil")),
                ("/runs/1/neutral_size", json!("600 kcmil")),
                ("/runs/1/method", json!("raceway")),
                ("/runs/1/raceway", json!("steel")),
                ("/loads/0/power", json!(null)),
                ("/loads/0/current", json!("100 A")),
                ("/loads/0/power_factor", power_factor),
            ])
        };
        assert_eq!(line(json!(null)), "cannot_tell power_factor");
        assert_eq!(line(json!("100 %")), "meets");
        assert_eq!(line(json!("10 %")), "falls_short NOTICE");
    }

    /// The feeder from the transfer switch, 6 AWG at 0.49 Ω per 1000 ft: 30 A over 400 ft out and back
    /// lose 11.8 V of 240 V. A way with lugs only puts no device between it and the well pump's
    /// circuit, and changes nothing of that.
    #[test]
    fn a_way_without_a_device_hides_no_drop() {
        let pump = |kind: &str, feet: &str| {
            let changes = [("/panels/1/ways/1/device/kind", json!(kind)), ("/runs/4/length", json!(feet))];
            verdicts(&CHECK, &with(backed_up(), &changes), "RW")
        };
        for kind in ["breaker", "lugs"] {
            assert_eq!(pump(kind, "10 ft"), ["meets"; 2], "{kind}");
            assert_eq!(pump(kind, "400 ft"), ["falls_short NOTICE"; 2], "{kind}");
        }
    }

    #[test]
    fn each_supply_has_its_own_finding() {
        let all = findings(&CHECK, &backed_up());
        let told: Vec<String> = all
            .iter()
            .filter(|finding| finding.subject.id.as_str() == "RW")
            .map(|finding| format!("{} {}", finding.verdict.name(), finding.message))
            .collect();
        assert_eq!(told.len(), 2);
        assert!(told[0].contains("From Utility") && told[1].contains("From Battery inverter"), "{told:?}");
    }

    #[test]
    fn its_texts() {
        insta::assert_snapshot!("notice", text(&CHECK, &outlet(60.0), "R"));
        insta::assert_snapshot!("caution", text(&CHECK, &outlet(200.0), "R"));
        insta::assert_snapshot!("two_panels", text(&CHECK, &backed_up(), "RW"));
    }
}
