//! A motor whose start asks for more than the supply, or the battery behind it, gives for a moment.

use crate::capacity::carry::{
    Carried, StartOf, Starting, Totals, ability, battery_surge, dc_current, start_on, totals,
};
use crate::capacity::together::is_heavy;
use crate::checks::check;
use crate::finding::{Derivation, Facts, Finding, Missing, Verdict, Worked, reckoned};
use crate::house::House;
use crate::say;
use crate::si::{Current, Power, Voltage};
use crate::survey::{Supply, SupplyKind};

check! {
    /// # What it checks
    /// Each motor on a battery inverter or generator: its starting current on top of lighting and outlets,
    /// which run anyway, against what the supply gives on a leg for as long as the start lasts. Behind an inverter also the
    /// current of the battery in that moment, at its lowest state of charge, against what the battery
    /// gives for that long, and the voltage that is left against the lowest at which the inverter works.
    ///
    /// # Why
    /// A compressor takes six times its running current to start. A supply that cannot give that stalls
    /// it: it hums, heats up, trips, and tries again until it burns.
    ///
    /// # Example
    /// Common practice: a compressor with 130 A locked-rotor current starts on a supply that gives 150 A
    /// a leg for 6 s and on a battery of 48 V that gives 350 A; a supply of 12 kW for that time gives 50 A
    /// and is flagged.
    ///
    /// # Limits
    /// Without a soft starter the locked-rotor current of the plate counts, or that of the code letter or
    /// the motor table. With one the figure of its maker counts. What else may run at the same time is told
    /// by the capacity command.
    ///
    /// # References
    /// NFPA 70-2023 Tables 430.7(B), 430.251(A); common practice.
    start_beyond_surge {
        folder: Supply,
        severity: Warning,
        binding: Hazard,
        citations: ["NFPA 70-2023" "430.7(B)", "NFPA 70-2023" "430.251"],
        caution: "A motor that hums and does not start overheats within seconds. Switch it off at once, and do not let it try again on this supply.",
        next_step: "Ask the maker of the motor for a soft starter and its current, choose a supply with more surge, or keep this load off it.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for island in house.islands() {
        let ability = ability(house, island.supply);
        let anyway = totals(island, island.loads.iter().filter(|carried| !is_heavy(house, carried)));
        for carried in &island.loads {
            let Some(starting) = start_on(house, carried) else { continue };
            let supply = &house.survey.supplies[island.supply];
            let limit = ability.for_a_time(supply, starting.lasts);
            findings.push(on_supply(house, (island.supply, &anyway), carried, &starting, &limit));
            if supply.kind == SupplyKind::Inverter && supply.battery.is_some() {
                findings.push(on_battery(house, (island.supply, &anyway), carried, &starting));
            }
        }
    }
}

fn on_supply(
    house: &House<'_>,
    (supply, anyway): (usize, &Totals),
    carried: &Carried,
    starting: &Starting,
    limit: &Worked<Current>,
) -> Finding {
    let supply = &house.survey.supplies[supply];
    // What is not known of lighting and outlets leaves the answer as open as what is not known of the limit.
    let mut facts = Facts::new();
    let value = facts.take(limit.clone());
    facts.include(&anyway.missing, &Derivation::default());
    facts.include(&anyway.missing_legs, &Derivation::default());
    let limit = facts.done(value);
    let start = StartOf::judge((starting, carried), &limit, (anyway.a, anyway.b));
    let name = &supply.name;
    let message = match (&start.verdict, start.current, limit.value) {
        (Verdict::FallsShort, Some(current), Some(limit)) => {
            say!(
                "With lighting and outlets its start asks {} for {}; that gives {} for as long.",
                name,
                current,
                limit
            )
        }
        (Verdict::Meets, Some(current), Some(limit)) => {
            say!("With lighting and outlets its start asks {} for {} of {}.", name, current, limit)
        }
        (Verdict::FallsShort, ..) => say!("{} cannot keep it running besides lighting and outlets.", name),
        _ => say!("It cannot be told whether {} starts it.", name),
    };
    let subject = house.subject(&carried.id);
    let mut finding = Finding::of(&CHECK, subject, start.verdict, message).beside(&supply.id);
    if let Some((current, limit)) = start.current.zip(limit.value) {
        finding = finding.figure(current, limit);
    }
    let mut facts = Facts::new();
    facts.include(&[], &starting.derivation);
    if let Some((most, current)) = starting.most.zip(start.current).filter(|(most, current)| current > most) {
        let expression = say!("{} + {}", current - most, most);
        facts.step(reckoned("I_st", "start on top of lighting and outlets", expression, current));
    }
    facts.include(&[], &limit.derivation);
    finding.because(facts.done(Some(())).derivation)
}

fn on_battery(
    house: &House<'_>,
    (supply, anyway): (usize, &Totals),
    carried: &Carried,
    starting: &Starting,
) -> Finding {
    let supply = &house.survey.supplies[supply];
    let mut facts = Facts::new();
    facts.include(&starting.missing, &starting.derivation);
    facts.include(&starting.missing_power, &Derivation::default());
    let power = starting.power + anyway.power;
    if anyway.power > Power::default() {
        let expression = say!("{} + {}", anyway.power, starting.power);
        facts.step(reckoned("P", "power of the start on top of lighting and outlets", expression, power));
    }
    let found = facts.take(dc_current(supply, power));
    let limit = battery_surge(supply, starting.lasts);
    let lowest = lowest_voltage(supply, &mut facts);
    let complete = facts.complete() && starting.least == starting.most.unwrap_or_default();
    // Unknown, lighting and outlets count as nothing: what is too much without them is so with them.
    let anyway_known = anyway.missing.is_empty() && anyway.missing_power.is_empty();
    facts.include(&anyway.missing, &Derivation::default());
    facts.include(&anyway.missing_power, &Derivation::default());
    let missing = facts.done(Some(()));
    let loaded = found.and_then(|found| found.loaded);
    let current = loaded.map(|loaded| loaded.current);
    let too_much = current.zip(limit.value).is_some_and(|(current, limit)| current > limit * (1.0 + 1e-9));
    let sags = loaded.zip(lowest).is_some_and(|(loaded, lowest)| loaded.voltage < lowest);
    let collapses = found.is_some_and(|found| found.loaded.is_none());
    // The limit lacks a fact only where less than it is known to be enough.
    let verdict = if (too_much && limit.missing.is_empty() || sags || collapses) && complete {
        Verdict::FallsShort
    } else if complete
        && anyway_known
        && !too_much
        && !sags
        && !collapses
        && limit.value.is_some()
        && limit.missing.is_empty()
    {
        Verdict::Meets
    } else {
        cannot_tell(&missing.missing, &limit.missing)
    };
    let message = match (&verdict, loaded, limit.value) {
        (Verdict::FallsShort, Some(loaded), _) if sags => say!(
            "Its start pulls the battery down to {}; the inverter stops below {}.",
            loaded.voltage,
            lowest.unwrap_or_default()
        ),
        (Verdict::FallsShort, Some(loaded), Some(limit)) => {
            say!("Its start takes {} from the battery, which gives {} for as long.", loaded.current, limit)
        }
        (Verdict::FallsShort, ..) => say!("Its start asks the battery for more than it can give at all."),
        (Verdict::Meets, Some(loaded), Some(limit)) => say!(
            "Its start takes {} of {} from the battery and leaves {}.",
            loaded.current,
            limit,
            loaded.voltage
        ),
        _ => say!("It cannot be told whether the battery gives what its start asks for."),
    };
    let mut finding = Finding::of(&CHECK, house.subject(&carried.id), verdict, message).beside(&supply.id);
    // Where the voltage is what fails, the current would mislead.
    if let Some((current, limit)) = current.zip(limit.value).filter(|_| !sags) {
        finding = finding.figure(current, limit);
    }
    let mut derivation = missing.derivation;
    derivation.include(&limit.derivation);
    finding.because(derivation)
}

fn cannot_tell(some: &[Missing], others: &[Missing]) -> Verdict {
    let mut missing = [some, others].concat();
    missing.sort();
    missing.dedup();
    Verdict::CannotTell { missing }
}

fn lowest_voltage(supply: &Supply, facts: &mut Facts) -> Option<Voltage> {
    let battery = supply.battery.as_ref()?;
    let lowest = facts.need(&battery.lowest_voltage, &supply.id, "battery.lowest_voltage")?.quantity();
    facts.seen("U_min", "lowest working voltage", lowest, &supply.id, "battery.lowest_voltage");
    Some(lowest)
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;
    use crate::fixture::{texts, verdicts, with, with_battery};

    fn told(changes: &[(&str, Value)]) -> String {
        verdicts(&CHECK, &with(with_battery(), changes), "LW").join(" | ")
    }

    /// By hand: LRA 48 A on top of kitchen outlets of 10 A on leg A; the supply gives 60 A for 5 s.
    /// (48 A × 240 V × 0.6 + 1200 W) / 0.93 = 8723 W out of a battery of 16 × 3.00 V behind 10 mΩ at 10 % of
    /// charge: 189.2 A, 46.1 V.
    #[test]
    fn start_beyond_surge() {
        assert_eq!(told(&[]), "meets | meets");
        const LRA: &str = "/loads/2/lra";
        assert_eq!(told(&[(LRA, json!("50 A"))]), "meets | meets");
        assert_eq!(told(&[(LRA, json!("50.1 A"))]), "falls_short WARNING | meets");
        assert_eq!(told(&[(LRA, json!("60 A"))]), "falls_short WARNING | falls_short WARNING");
        // A start longer than the short-time figure has only the continuous one: 33 A.
        assert_eq!(told(&[("/loads/2/start_time", json!("5 s"))]), "meets | meets");
        assert_eq!(told(&[("/loads/2/start_time", json!("5.1 s"))]), "falls_short WARNING | meets");
        insta::assert_snapshot!(texts(&CHECK, &with(with_battery(), &[(LRA, json!("100 A"))]), "LW"));
    }

    #[test]
    fn the_battery_has_its_own_limits() {
        let battery = |changes: &[(&str, Value)]| told(changes);
        assert_eq!(battery(&[("/supplies/1/battery/surge_current", json!("190 A"))]), "meets | meets");
        assert_eq!(
            battery(&[("/supplies/1/battery/surge_current", json!("189 A"))]),
            "meets | falls_short WARNING"
        );
        assert_eq!(
            battery(&[("/supplies/1/battery/lowest_voltage", json!("46.5 V"))]),
            "meets | falls_short WARNING"
        );
        assert_eq!(
            battery(&[("/supplies/1/battery/internal_resistance", json!("100 mohm"))]),
            "meets | falls_short WARNING"
        );
    }

    #[test]
    fn a_soft_starter_counts_with_its_own_figure() {
        let soft = |current: Value| {
            told(&[
                ("/loads/2/lra", json!("150 A")),
                ("/loads/2/soft_starter", json!(true)),
                ("/loads/2/start_current", current),
            ])
        };
        assert!(soft(json!("50 A")).starts_with("meets"));
        assert!(soft(json!("51 A")).starts_with("falls_short WARNING"));
        assert!(soft(json!(null)).starts_with("cannot_tell start_current"));
    }

    /// NFPA 70-2023 Table 430.7(B): letter G to 6.29 kVA/hp: 26.2 A; Table 430.251(A): 1 hp 48 A at 230 V.
    #[test]
    fn letter_and_table_stand_in_where_the_plate_was_looked_for() {
        let told = |lra: Value, letter: Value| {
            told(&[("/loads/2/lra", lra), ("/loads/2/code_letter", letter)])
                .split(" | ")
                .next()
                .map(str::to_owned)
        };
        let unseen = json!("cannot be seen");
        assert_eq!(told(json!(null), json!("G")).as_deref(), Some("cannot_tell lra"));
        assert_eq!(told(unseen.clone(), json!("G")).as_deref(), Some("meets"));
        assert_eq!(told(unseen.clone(), json!(null)).as_deref(), Some("cannot_tell code_letter"));
        assert_eq!(told(unseen.clone(), unseen).as_deref(), Some("meets"));
    }

    #[test]
    fn each_missing_fact_is_named() {
        for (path, wanted) in [
            ("/loads/1/power", "cannot_tell power | cannot_tell power"),
            ("/loads/2/soft_starter", "meets | cannot_tell soft_starter"),
            ("/loads/2/start_time", "cannot_tell start_time | cannot_tell start_time"),
            ("/loads/2/start_power_factor", "meets | cannot_tell start_power_factor"),
            ("/supplies/1/efficiency", "meets | cannot_tell efficiency"),
            ("/supplies/1/battery/internal_resistance", "meets | cannot_tell battery.internal_resistance"),
            ("/supplies/1/battery/lowest_charge", "meets | cannot_tell battery.lowest_charge"),
            ("/supplies/1/battery/lowest_voltage", "meets | cannot_tell battery.lowest_voltage"),
            ("/supplies/1/battery/surge_current", "meets | cannot_tell battery.surge_current"),
        ] {
            assert_eq!(told(&[(path, json!(null))]), wanted, "{path}");
        }
    }

    /// Common practice, no source: a compressor of RLA 19.5 A and LRA 130 A at 208/230 V, one phase, runs at
    /// 3.4 kW and starts within 350 A for 6 s of a 48 V battery of 276 Ah and 36 kW of surge; a surge of 12
    /// kW refuses it. Nothing is plugged in meanwhile.
    #[test]
    fn a_compressor_on_a_large_and_a_small_inverter() {
        let compressor = json!({
            "id": "LW", "name": "Compressor", "on": "RW", "kind": "heat_pump", "voltage": "240 V",
            "rla": "19.5 A", "lra": "130 A", "power_factor": "73 %", "start_power_factor": "50 %",
            "soft_starter": false, "start_time": "1 s", "continuous": true
        });
        let with_surge = |surge: &str| {
            [
                ("/loads/1/power", json!("0 W")),
                ("/loads/2", compressor.clone()),
                ("/supplies/1/surges", json!([{ "duration": "6 s", "power": surge }])),
                ("/supplies/1/battery/capacity", json!("276 Ah")),
                ("/supplies/1/battery/lowest_charge", json!("50 %")),
                ("/supplies/1/battery/lowest_voltage", json!("44.8 V")),
            ]
        };
        let on = |surge: &str| told(&with_surge(surge));
        assert_eq!(on("36 kW"), "meets | meets");
        assert_eq!(on("12 kW"), "falls_short WARNING | meets");
        let survey = crate::fixture::survey(&with(with_battery(), &with_surge("36 kW")));
        let house = House::new(&survey);
        let running = house.islands()[0].loads.iter().find(|carried| carried.load == 2).unwrap();
        assert!((running.power.get::<crate::si::watt>() / 3400.0 - 1.0).abs() < 0.01, "{:?}", running.power);
    }
}
