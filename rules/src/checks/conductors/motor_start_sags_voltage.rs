//! A motor that pulls the voltage down while it starts.

use crate::calc::load_current::{Start, looked_for_a_better_figure, start_current, starts_hard};
use crate::calc::path_drop::in_percent;
use crate::calc::source::Extreme;
use crate::calc::start_dip::{StartWay, start_way};
use crate::calc::voltage::system_voltage;
use crate::calc::{Impedance, path_drop::fine};
use crate::checks::check;
use crate::finding::{Facts, Finding, Said, Verdict, Worked, from_table, reckoned};
use crate::house::House;
use crate::network::EdgeId;
use crate::say;
use crate::si::{Ratio, Voltage, percent};
use crate::survey::{Circuit, Load};
use crate::tables::us::{PracticeId, practice};

check! {
    /// # What it checks
    /// How far the voltage at a motor falls while it starts, over everything between each supply
    /// and the motor: the utility's transformer or the generator, service, feeders and branch.
    ///
    /// # Why
    /// A motor draws about six times its running current at the start. If the voltage falls by a
    /// sixth, lamps flicker and contactors chatter; if it falls by a third, the motor may not come
    /// up to speed, and stands there drawing that current.
    ///
    /// # Example
    /// A well pump of 48 A at the start, 120 ft of 10 AWG copper (0.288 Ω out and back): about
    /// 48 × 0.288 = 14 V of 240 V, 6 %, and what the rest of the way adds. (Invented.)
    ///
    /// # Limits
    /// The motor is taken as standing still. Other loads are left out. What the maker of a generator states as its
    /// short-circuit current counts with its tolerance taken off (common practice). An inverter is taken to hold
    /// its voltage up to its limit; whether it can start the motor at all is another check. What a
    /// soft starter leaves of the current no plate tells.
    ///
    /// # References
    /// NFPA 70-2023 Tables 430.7(B) and 430.251(A); Chapter 9 Tables 8 and 9. The limits are common
    /// practice, no source.
    motor_start_sags_voltage {
        folder: Conductors,
        severity: Caution,
        binding: Hazard,
        citations: ["NFPA 70-2023" "430.7(B)", "NFPA 70-2023" "430.251"],
        caution: "A motor that does not come up to speed overheats. Switch it off if it hums and does not turn.",
        next_step: "Plan a larger conductor, a soft starter, or a supply nearer to the motor.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for load in house.survey.loads.iter().filter(|load| starts_hard(load)) {
        let Some(run) = house.run_number(&load.on) else { continue };
        if house.survey.runs[run].circuit.get() == Some(Circuit::DcPair) {
            continue;
        }
        let start = start_current(house, load);
        for (supply, path) in house.feeds.paths_to(&house.network, house.network.run_end(run)) {
            findings.extend(look_at(house, load, &start, supply, &path));
        }
    }
}

/// The dip between bounds [share of the nominal voltage].
#[derive(Clone, Copy)]
struct Dip {
    least: Ratio,
    most: Option<Ratio>,
}

fn look_at(
    house: &House<'_>,
    load: &Load,
    start: &Worked<Start>,
    supply: usize,
    path: &[EdgeId],
) -> Option<Finding> {
    let system = system_voltage(&house.survey.supplies[supply]);
    let run = house.run_number(&load.on).map(|run| &house.survey.runs[run])?;
    if let (Some(system), Some(circuit)) = (&system.value, run.circuit.get()) {
        // Another check speaks of loads that a supply has no voltage for.
        system.of_circuit(circuit)?;
    }
    let mut facts = Facts::new();
    facts.include(&start.missing, &start.derivation);
    looked_for_a_better_figure(load, &mut facts);
    facts.include(&system.missing, &crate::finding::Derivation::default());
    let dip = start.value.map(|start| dip(house, load, start, supply, path, &mut facts));
    let found = facts.done(dip);
    Some(told(house, load, start.value, &found, &house.survey.supplies[supply].name))
}

fn dip(
    house: &House<'_>,
    load: &Load,
    start: Start,
    supply: usize,
    path: &[EdgeId],
    facts: &mut Facts,
) -> Dip {
    let run = house.run_number(&load.on);
    let way = start_way(house, run, (supply, path), facts);
    let known = facts.complete();
    let (least, most) = (way.sag(start, Extreme::Largest), way.sag(start, Extreme::Smallest));
    if start.power_factor.is_none() {
        facts.need(&load.start_power_factor, &load.id, "start_power_factor");
    }
    tell(facts, start, &way, most);
    match facts.need(&load.soft_starter, &load.id, "soft_starter") {
        Some(false) => Dip { least, most: known.then_some(most) },
        _ => Dip { least: Ratio::default(), most: known.then_some(most) },
    }
}

fn tell(facts: &mut Facts, start: Start, whole: &StartWay, most: Ratio) {
    let motor = start.voltage / start.current;
    let expression = say!("{} / {}", start.voltage, start.current);
    facts.step(reckoned("Z_m", "impedance of the motor at rest", expression, motor));
    let source = whole.source(Extreme::Smallest);
    facts.step(reckoned("Z_s", "impedance behind the supply", say!(""), source.magnitude()));
    let way = whole.line + source;
    let expression = say!("{} and {} in all", way.resistance, way.reactance);
    facts.step(reckoned("Z", "resistance and reactance of the way", expression, way.magnitude()));
    let cosine = start.power_factor.unwrap_or_else(|| way.share_of_resistance());
    facts.step(reckoned("cos φ", "power factor at the start", say!(""), cosine));
    let rest = Impedance::of_magnitude(motor, cosine);
    let whole = (rest + way).magnitude();
    let expression =
        say!("√(({} + {})² + ({} + {})²)", rest.resistance, way.resistance, rest.reactance, way.reactance);
    facts.step(reckoned("Z_w", "motor and way together", expression, whole));
    let expression = say!("1 − {} / {}", motor, whole);
    facts.step(reckoned("u", "voltage dip at the motor", expression, in_percent(most)));
    let lost: Voltage = start.voltage * most;
    facts.step(reckoned(
        "ΔU",
        "the same in volts",
        say!("{} × {}", start.voltage, in_percent(most)),
        fine(lost),
    ));
    for (label, id) in
        [("caution above", PracticeId::StartDipCaution), ("may not start above", PracticeId::StartDipLimit)]
    {
        let cell = practice(id);
        facts.step(from_table("u_max", label, in_percent(limit(id)), cell.place));
    }
}

fn limit(id: PracticeId) -> Ratio {
    Ratio::new::<percent>(practice(id).value)
}

fn told(house: &House<'_>, load: &Load, start: Option<Start>, found: &Worked<Dip>, supply: &str) -> Finding {
    let caution = limit(PracticeId::StartDipCaution);
    let verdict = verdict(found, start, caution);
    let message = message(&verdict, found.value, supply);
    let shown = found.value.and_then(|dip| match verdict {
        Verdict::Meets => dip.most,
        Verdict::FallsShort => Some(dip.least),
        _ => None,
    });
    let finding =
        Finding::of(&CHECK, house.subject(&load.id), verdict, message).because(found.derivation.clone());
    match shown {
        Some(shown) => finding.figure(in_percent(shown), in_percent(caution)),
        None => finding,
    }
}

fn verdict(found: &Worked<Dip>, start: Option<Start>, caution: Ratio) -> Verdict {
    match found.value {
        Some(dip) if dip.least > caution => Verdict::FallsShort,
        Some(Dip { most: Some(most), .. }) if most <= caution => Verdict::Meets,
        Some(Dip { most: Some(_), .. }) if start.is_some_and(|start| start.soft_starter == Some(true)) => {
            Verdict::NotApplicable {
                why: say!(
                    "A soft starter limits the start; by how much no plate tells. Without it the voltage would sag too far."
                ),
            }
        }
        _ => Verdict::CannotTell { missing: found.missing.clone() },
    }
}

fn message(verdict: &Verdict, dip: Option<Dip>, supply: &str) -> Said {
    match (verdict, dip) {
        (Verdict::FallsShort, Some(dip)) if dip.least > limit(PracticeId::StartDipLimit) => say!(
            "Fed from {}, the voltage at this motor falls by {} while it starts; it may not come up to speed.",
            supply.to_owned(),
            in_percent(dip.least)
        ),
        (Verdict::FallsShort, Some(dip)) => say!(
            "Fed from {}, the voltage at this motor falls by {} while it starts; lamps flicker and contactors may chatter.",
            supply.to_owned(),
            in_percent(dip.least)
        ),
        (Verdict::Meets, Some(Dip { most: Some(most), .. })) => {
            say!(
                "Fed from {}, the voltage at this motor falls by at most {} while it starts.",
                supply.to_owned(),
                in_percent(most)
            )
        }
        (Verdict::NotApplicable { .. }, _) => {
            say!("Fed from {}, this motor starts through a soft starter.", supply.to_owned())
        }
        _ => say!(
            "How far the voltage falls while this motor starts, fed from {}, cannot be told.",
            supply.to_owned()
        ),
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{backed_up, findings, text, verdict, with};

    fn told(changes: &[(&str, Value)]) -> String {
        verdict(&CHECK, &with(backed_up(), changes), "LW")
    }

    /// The well pump's run at this length.
    fn at(length: &str) -> (&'static str, Value) {
        ("/runs/6/length", json!(length))
    }

    /// By hand at 400 ft of 10 AWG (0.96 Ω and 0.04 Ω), service 0.054 Ω, transformer 46 mΩ: the motor
    /// is 240 V / 48 A = 5 Ω at cos φ 0.6, 3 + j4. |3 + 1.044 + j 4.086| = 5.749: 13.0 %; at 500 ft
    /// |3 + 1.284 + j4.096| = 5.927: 15.6 %.
    #[test]
    fn motor_start_sags_voltage() {
        assert_eq!(told(&[]), "meets");
        assert_eq!(told(&[at("400 ft")]), "meets");
        assert_eq!(told(&[at("500 ft")]), "falls_short CAUTION");
        assert_eq!(told(&[at("2000 ft")]), "falls_short CAUTION");
    }

    #[test]
    fn each_missing_fact_leaves_it_open() {
        for (path, wanted) in [
            ("/runs/6/length", "cannot_tell length"),
            ("/runs/6/circuit", "cannot_tell circuit"),
            ("/runs/0/size", "cannot_tell size"),
            ("/supplies/0/transformer_impedance", "cannot_tell transformer_impedance"),
            ("/supplies/0/voltage", "cannot_tell voltage"),
        ] {
            assert_eq!(told(&[(path, json!(null))]), wanted, "{path}");
        }
        let unknown = [("/loads/2/lra", json!(null)), ("/loads/2/horsepower", json!(null))];
        assert_eq!(told(&unknown), "cannot_tell lra");
    }

    /// The plate may say more than letter and table: nothing is met before somebody looked for it. Table
    /// 430.251(A): 1 hp 48 A at 230 V.
    #[test]
    fn letter_and_table_bound_nothing_before_the_plate_was_looked_for() {
        let told =
            |lra: Value, letter: Value| told(&[("/loads/2/lra", lra), ("/loads/2/code_letter", letter)]);
        let unseen = json!("cannot be seen");
        assert_eq!(told(json!(null), json!("G")), "cannot_tell lra");
        assert_eq!(told(unseen.clone(), json!(null)), "cannot_tell code_letter");
        assert_eq!(told(unseen.clone(), json!("G")), "meets");
        assert_eq!(told(unseen.clone(), unseen), "meets");
    }

    /// What only refines the figure does not stand in the way of an answer that is certain without.
    #[test]
    fn unknown_refinements_are_bounded() {
        for (path, beyond) in [
            ("/loads/2/start_power_factor", "cannot_tell start_power_factor"),
            ("/loads/2/soft_starter", "cannot_tell soft_starter"),
        ] {
            assert_eq!(told(&[(path, json!(null))]), "meets", "{path}");
            assert_eq!(told(&[(path, json!(null)), at("500 ft")]), beyond, "{path}");
        }
    }

    #[test]
    fn a_soft_starter_leaves_no_figure() {
        let soft = ("/loads/2/soft_starter", json!(true));
        assert_eq!(told(std::slice::from_ref(&soft)), "meets");
        assert_eq!(told(&[soft, at("500 ft")]), "not_applicable");
    }

    #[test]
    fn loads_without_a_motor_and_supplies_without_the_voltage_are_passed_over() {
        assert_eq!(verdict(&CHECK, &backed_up(), "LK"), "silent");
        let single = with(backed_up(), &[("/supplies/1/output", json!("120 V"))]);
        assert_eq!(findings(&CHECK, &single).len(), 1);
        assert_eq!(findings(&CHECK, &backed_up()).len(), 2);
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!(text(&CHECK, &with(backed_up(), &[at("500 ft")]), "LW"));
    }
}
