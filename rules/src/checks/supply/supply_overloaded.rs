//! A battery inverter or generator whose loads ask for more than it gives.

use crate::capacity::carry::{Ability, Carried, Island, Totals, ability, spelled, totals};
use crate::checks::check;
use crate::finding::{Arg, Derivation, Facts, Finding, Said, Severity, Verdict, Worked, judge, reckoned};
use crate::house::House;
use crate::network::Link;
use crate::say;
use crate::si::{Power, watt};
use crate::survey::{Supply, TransferKind};

check! {
    /// # What it checks
    /// For each battery inverter and generator: whether it carries its largest single load, and whether it
    /// carries all its loads at once, in volt-amperes and in watts. The supply must not be smaller than its
    /// largest load. All at once matters where the house goes over to it by itself; where a hand does it,
    /// that hand may choose what runs, and it is told as a notice.
    ///
    /// # Why
    /// A supply that is asked for too much switches itself off, and everything is dark.
    ///
    /// # Example
    /// An invented inverter of 8 kW with a well pump of 1920 VA and a kitchen of 1200 VA: 3120 VA, met.
    /// With a 9 kW heater it is flagged as a warning: the heater alone is too much.
    ///
    /// # Limits
    /// Loads are added as volt-amperes, without their angles. Watts stand for volt-amperes where the plate
    /// of the supply gives none. Outlets count with the power that is entered for them.
    ///
    /// # References
    /// NFPA 70-2023 702.4, 710.15(A).
    supply_overloaded {
        folder: Supply,
        severity: Warning,
        binding: Hazard,
        citations: ["NFPA 70-2023" "702.4", "NFPA 70-2023" "710.15(A)"],
        caution: "A supply that trips leaves sump pump, furnace and refrigerator off without anybody noticing. Switch large loads off by hand before it takes over.",
        next_step: "Choose what must run, move the rest to circuits that stay off, or have a licensed electrician plan a larger supply or a load manager.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    let islands = house.islands().iter().filter(|island| !island.loads.is_empty());
    findings.extend(islands.map(|island| look_at(house, island)));
}

fn look_at(house: &House<'_>, island: &Island) -> Finding {
    let supply = &house.survey.supplies[island.supply];
    let ability = ability(house, island.supply);
    let together = totals(island, island.loads.iter());
    let all = whole(house, (supply, island), &together);
    let largest = largest(island);
    let alone = Facts::new().done(largest.map(|load| load.apparent));
    let by_load = judge(&alone, &ability.apparent, |load, limit| exceeds(*load, *limit));
    let by_sum = judge(&all, &ability.apparent, |sum, limit| exceeds(*sum, *limit));
    let watts = active(house, island, &together, &ability);
    let by_watts = judge(&watts, &ability.power, |sum, limit| exceeds(*sum, *limit));
    let verdict = worst([&by_load, &by_sum, &by_watts]);
    let too_large = by_load == Verdict::FallsShort;
    let by_itself = goes_over_by_itself(house, island);
    let severity = if too_large || by_itself { Severity::Warning } else { Severity::Notice };
    // Where only the watts are too much, they are what is told.
    let in_watts = by_watts == Verdict::FallsShort && by_sum != Verdict::FallsShort && !too_large;
    let (told, limit, unit): (_, _, fn(Power) -> Arg) =
        if in_watts { (&watts, &ability.power, w) } else { (&all, &ability.apparent, va) };
    let asked = told.value.zip(limit.value).map(|(sum, limit)| (unit(sum), unit(limit)));
    let message =
        message(&verdict, too_large.then_some(largest).flatten(), house, asked.as_ref(), &ability, by_itself);
    let mut derivation = told.derivation.clone();
    derivation.include(&limit.derivation);
    let finding = Finding::of(&CHECK, house.subject(&supply.id), verdict, message).severity(severity);
    let shown =
        if too_large { alone.value.zip(limit.value).map(|(one, limit)| (va(one), va(limit))) } else { asked };
    match shown {
        Some((sum, limit)) => finding.figure(sum, limit).because(derivation),
        None => finding.because(derivation),
    }
}

fn w(power: Power) -> Arg {
    Arg::Quantity(power.get::<watt>(), 0, "W")
}

fn va(power: Power) -> Arg {
    Arg::Quantity(power.get::<watt>(), 0, "VA")
}

fn exceeds(value: Power, limit: Power) -> bool {
    value > limit * (1.0 + 1e-9)
}

/// The load that asks for most.
fn largest(island: &Island) -> Option<&Carried> {
    island.loads.iter().max_by(|a, b| a.apparent.value.total_cmp(&b.apparent.value))
}

fn whole(house: &House<'_>, (supply, island): (&Supply, &Island), together: &Totals) -> Worked<Power> {
    let mut facts = Facts::new();
    facts.include(&together.missing, &Derivation::default());
    if supply.output.known().is_none() {
        facts.need(&supply.output, &supply.id, "output");
    }
    spelled::apparent_powers(house, island).into_iter().for_each(|step| facts.step(step));
    let label = "all its loads at once";
    facts.step(reckoned("S", label, say!("sum of the lines above"), va(together.apparent)));
    facts.done(Some(together.apparent))
}

/// Watts matter only where more volt-amperes than watts are stated.
fn active(house: &House<'_>, island: &Island, together: &Totals, ability: &Ability) -> Worked<Power> {
    let mut facts = Facts::new();
    if ability.apparent.value == ability.power.value {
        return facts.done(Some(Power::default()));
    }
    facts.include(&together.missing, &Derivation::default());
    facts.include(&together.missing_power, &Derivation::default());
    spelled::active_powers(house, island).into_iter().for_each(|step| facts.step(step));
    facts.step(reckoned("P", "all its loads at once", say!("sum of the lines above"), w(together.power)));
    facts.done(Some(together.power))
}

/// Any that falls short, else everything that is missing.
fn worst<const N: usize>(verdicts: [&Verdict; N]) -> Verdict {
    if verdicts.contains(&&Verdict::FallsShort) {
        return Verdict::FallsShort;
    }
    let mut missing = Vec::new();
    for verdict in verdicts {
        if let Verdict::CannotTell { missing: own } = verdict {
            missing.extend_from_slice(own);
        }
    }
    missing.sort();
    missing.dedup();
    if verdicts.iter().any(|verdict| matches!(verdict, Verdict::CannotTell { .. })) {
        return Verdict::CannotTell { missing };
    }
    Verdict::Meets
}

/// Whether an automatic switch or the inverter's own relay takes the loads over.
fn goes_over_by_itself(house: &House<'_>, island: &Island) -> bool {
    let Some(load) = island.loads.first() else { return false };
    let Some(run) = house.run_number(&house.survey.loads[load.load].on) else { return false };
    let paths = house.feeds.paths_to(&house.network, house.network.run_end(run));
    let Some((_, path)) = paths.into_iter().find(|(supply, _)| *supply == island.supply) else {
        return false;
    };
    path.iter().any(|edge| match house.network.edge(*edge).link {
        Link::Position(transfer, _) => {
            let kind = house.survey.transfers[transfer].kind.get();
            matches!(kind, Some(TransferKind::Automatic | TransferKind::InsideInverter))
        }
        _ => false,
    })
}

fn message(
    verdict: &Verdict,
    too_large: Option<&Carried>,
    house: &House<'_>,
    asked: Option<&(Arg, Arg)>,
    ability: &Ability,
    by_itself: bool,
) -> Said {
    let (Some((sum, limit)), Some(most)) = (asked.cloned(), ability.apparent.value) else {
        return say!("It cannot be told whether this supply carries its loads.");
    };
    match (verdict, too_large) {
        (Verdict::FallsShort, Some(load)) => say!(
            "{} alone asks for {}; this supply gives {}.",
            &house.survey.loads[load.load].name,
            va(load.apparent),
            va(most)
        ),
        (Verdict::FallsShort, None) if by_itself => {
            say!("It takes over by itself, and all its loads at once ask for {}; it gives {}.", sum, limit)
        }
        (Verdict::FallsShort, None) => {
            say!("Not everything may run at once: all its loads ask for {}, it gives {}.", sum, limit)
        }
        (Verdict::Meets, _) => say!("All its loads at once ask for {} of {}.", sum, limit),
        _ => say!("Its known loads at once ask for {} of {}; what is missing may make it more.", sum, limit),
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;
    use crate::fixture::{text, verdict, with, with_battery};

    fn told(changes: &[(&str, Value)]) -> String {
        verdict(&CHECK, &with(with_battery(), changes), "B")
    }

    /// By hand: pump 8 A × 240 V and kitchen 1200 W: 3120 VA. 702.4, 710.15(A).
    #[test]
    fn supply_overloaded() {
        const POWER: &str = "/supplies/1/continuous_power";
        assert_eq!(told(&[]), "meets");
        assert_eq!(told(&[(POWER, json!("3.12 kW"))]), "meets");
        assert_eq!(told(&[(POWER, json!("3.11 kW"))]), "falls_short NOTICE");
        let automatic = ("/transfers/0/kind", json!("automatic_switch"));
        assert_eq!(told(&[(POWER, json!("3.11 kW")), automatic.clone()]), "falls_short WARNING");
        // The pump alone.
        assert_eq!(told(&[(POWER, json!("1.91 kW"))]), "falls_short WARNING");
        insta::assert_snapshot!(text(&CHECK, &with(with_battery(), &[(POWER, json!("1.8 kW"))]), "B"));
        let notice = with(with_battery(), &[(POWER, json!("3 kW"))]);
        insta::assert_snapshot!(text(&CHECK, &notice, "B"));
    }

    /// By hand: kitchen 1200 W and pump 1920 VA × 0.8 = 1536 W: 2736 W, within 3200 VA but beyond 2700 W.
    #[test]
    fn where_only_watts_are_too_much_they_are_told() {
        let apparent = ("/supplies/1/continuous_apparent_power", json!("3.2 kVA"));
        let found = |watts: &str| {
            let house =
                with(with_battery(), &[("/supplies/1/continuous_power", json!(watts)), apparent.clone()]);
            text(&CHECK, &house, "B")
        };
        assert!(
            found("2.7 kW").contains("all its loads ask for 2736 W, it gives 2700 W"),
            "{}",
            found("2.7 kW")
        );
        assert!(found("2.74 kW").contains("3120 VA of 3200 VA"), "{}", found("2.74 kW"));
    }

    #[test]
    fn each_missing_fact_is_named() {
        for (path, fact) in [
            ("/supplies/1/continuous_power", "continuous_power"),
            ("/supplies/1/output", "output"),
            ("/loads/1/power", "power"),
            ("/loads/2/horsepower", "horsepower"),
        ] {
            assert_eq!(told(&[(path, json!(null))]), format!("cannot_tell {fact}"), "{path}");
        }
        // Even so it is certain.
        let changes = [("/loads/1/power", json!(null)), ("/supplies/1/continuous_power", json!("1.9 kW"))];
        assert_eq!(told(&changes), "falls_short WARNING");
    }

    /// 4 kVA and 3 kW: the volt-amperes would do, the watts do not. Pump 1920 VA × 0.8 + 1200 W = 2736 W.
    #[test]
    fn watts_and_volt_amperes_are_both_kept() {
        let supply = |power: &str, factor: Value| {
            told(&[
                ("/supplies/1/continuous_power", json!(power)),
                ("/supplies/1/continuous_apparent_power", json!("4 kVA")),
                ("/loads/2/power_factor", factor),
            ])
        };
        assert_eq!(supply("2.74 kW", json!("80 %")), "meets");
        assert_eq!(supply("2.73 kW", json!("80 %")), "falls_short NOTICE");
        assert_eq!(supply("2.74 kW", json!(null)), "cannot_tell power_factor");
    }
}
