//! A load of 240 V on a supply that gives 120 V.

use crate::calc::load_current::{Across, load_voltage};
use crate::capacity::carry::{Carried, Island};
use crate::checks::check;
use crate::finding::{Facts, Finding, Verdict};
use crate::house::House;
use crate::say;
use crate::survey::Output;

check! {
    /// # What it checks
    /// Whether loads that stand between two hots are on a battery inverter or generator that gives no
    /// voltage between two hots.
    ///
    /// # Why
    /// A supply of 120 V joined to both legs makes them the same: between them there is nothing. A
    /// pump does not run, a heater of 240 V stays cold, and electronics that take a little from one leg
    /// may be harmed.
    ///
    /// # Example
    /// An invented well pump of 240 V in a panel that a 120 V inverter feeds on both legs: flagged.
    ///
    /// # Limits
    /// A supply of 230 V between one hot and a neutral gives nothing between two hots either.
    /// Appliances that work at either voltage are judged by the circuit they are on.
    ///
    /// # References
    /// NFPA 70-2023 710.15(C); common practice.
    supply_lacks_240v {
        folder: Supply,
        severity: Warning,
        binding: Hazard,
        citations: ["NFPA 70-2023" "710.15(C)"],
        caution: "Do not count on this load in an outage. Keep its breaker off while this supply feeds, and do not feed shared neutrals from one 120 V source.",
        next_step: "Choose a supply with two legs, a transformer made for the purpose, or keep the load off this supply; ask a licensed electrician.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for island in house.islands() {
        findings.extend(island.loads.iter().filter_map(|load| look_at(house, island, load)));
    }
}

fn look_at(house: &House<'_>, island: &Island, carried: &Carried) -> Option<Finding> {
    let load = &house.survey.loads[carried.load];
    let supply = &house.survey.supplies[island.supply];
    let mut facts = Facts::new();
    let across = load_voltage(&mut facts, house, load).map(|(_, across)| across);
    if across == Some(Across::Leg) && facts.complete() {
        return None;
    }
    let output = facts.need(&supply.output, &supply.id, "output");
    if let Some(output) = output {
        facts.seen("", "conductors that the supply gives", output.words(), &supply.id, "output");
    }
    let certain = across == Some(Across::Pair) && facts.complete();
    let lacks = output.map(Output::is_one_hot);
    let wrong = match lacks {
        Some(true) if certain => Some(true),
        Some(true) | None => None,
        Some(false) => Some(false),
    };
    let (verdict, derivation) = facts.conclude(wrong);
    let message = match verdict {
        Verdict::FallsShort => {
            say!("It stands between two hots, and {} gives no voltage between them.", &supply.name)
        }
        Verdict::Meets => say!("{} gives the voltage between two hots that it needs.", &supply.name),
        _ => say!("It cannot be told whether {} gives the voltage that it needs.", &supply.name),
    };
    Some(Finding::of(&CHECK, house.subject(&load.id), verdict, message).because(derivation))
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;
    use crate::fixture::{text, verdict, with, with_battery};

    const OUTPUT: &str = "/supplies/1/output";

    fn told(output: Value, load: &str) -> String {
        verdict(&CHECK, &with(with_battery(), &[(OUTPUT, output)]), load)
    }

    #[test]
    fn supply_lacks_240v() {
        assert_eq!(told(json!("120/240 V"), "LW"), "meets");
        assert_eq!(told(json!("240 V"), "LW"), "meets");
        assert_eq!(told(json!("120 V on both legs"), "LW"), "falls_short WARNING");
        assert_eq!(told(json!("120 V"), "LW"), "falls_short WARNING");
        assert_eq!(told(json!("230 V"), "LW"), "falls_short WARNING");
        assert_eq!(told(json!(null), "LW"), "cannot_tell output");
        // The kitchen stands on one leg.
        assert_eq!(told(json!("120 V"), "LK"), "silent");
        let house = with(with_battery(), &[(OUTPUT, json!("120 V on both legs"))]);
        insta::assert_snapshot!(text(&CHECK, &house, "LW"));
    }

    #[test]
    fn a_load_of_unknown_voltage_cannot_be_told() {
        let house = |output: &str| {
            let changes = [("/loads/1/voltage", json!(null)), (OUTPUT, json!(output))];
            verdict(&CHECK, &with(with_battery(), &changes), "LK")
        };
        assert_eq!(house("120 V"), "cannot_tell voltage");
    }
}
