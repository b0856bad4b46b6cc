//! Loads to neutral on a supply that gives more than they are made for.

use crate::calc::load_current::{Across, load_voltage};
use crate::calc::voltage::system_voltage;
use crate::capacity::carry::Island;
use crate::checks::check;
use crate::finding::{Facts, Finding, Verdict};
use crate::house::House;
use crate::say;
use crate::survey::Load;
use crate::tables::us::is_between_hots;

check! {
    /// # What it checks
    /// Whether the loads between a hot and the neutral are made for the voltage that a battery inverter or
    /// generator gives there.
    ///
    /// # Why
    /// A supply made for another country gives 230 V between its one hot and its neutral. What is made for
    /// 120 V takes nearly four times its power there, and burns.
    ///
    /// # Example
    /// An invented inverter of 230 V behind a transfer switch of the kitchen circuits: every lamp and every
    /// outlet gets 230 V, so it is flagged.
    ///
    /// # Limits
    /// The voltage on the plate of each load counts; what has no plate with a voltage is asked for. Loads
    /// between two hots are another check. What is plugged in later is not known: adapters made for 100 to 240 V
    /// take both.
    ///
    /// # References
    /// NFPA 70-2023 110.4 (from memory).
    loads_get_too_much_voltage {
        folder: Supply,
        severity: Danger,
        binding: Hazard,
        citations: ["NFPA 70-2023" "110.4"],
        caution: "Loads of 120 V on this supply burn. Do not switch it on while any of them is joined to it.",
        next_step: "Do not use this supply for these circuits: choose one of 120/240 V, or a transformer made for the purpose; ask a licensed electrician.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    findings.extend(house.islands().iter().filter_map(|island| look_at(house, island)));
}

fn look_at(house: &House<'_>, island: &Island) -> Option<Finding> {
    let supply = &house.survey.supplies[island.supply];
    let mut facts = Facts::new();
    let Some(system) = facts.take(system_voltage(supply)) else {
        let message = say!("It cannot be told which voltage the loads on {} get.", &supply.name);
        let (verdict, derivation) = facts.conclude(None);
        return Some(Finding::of(&CHECK, house.subject(&supply.id), verdict, message).because(derivation));
    };
    let gets = system.to_neutral?;
    let loads = island.loads.iter().map(|carried| &house.survey.loads[carried.load]);
    let on_leg: Vec<&Load> = loads.filter(|load| stands_on_leg(house, load)).collect();
    // No more than what their circuits have on the utility.
    let is_high = is_between_hots(gets);
    let mut wrong: Vec<&str> = Vec::new();
    for load in on_leg.iter().filter(|_| is_high) {
        let plate = facts.need(&load.voltage, &load.id, "voltage").map(|voltage| voltage.quantity());
        if let Some(plate) = plate.filter(|plate| !is_between_hots(*plate)) {
            facts.seen("U_L", say!("plate: voltage of {}", &load.name), plate, &load.id, "voltage");
            wrong.push(&load.name);
        }
    }
    let names = wrong.join(", ");
    let found = match (wrong.is_empty(), facts.complete()) {
        (false, _) => Some(true),
        (true, true) => Some(false),
        (true, false) => None,
    };
    let (verdict, derivation) = facts.conclude(found);
    let message = match verdict {
        Verdict::FallsShort => {
            say!("{} gives {} from hot to neutral to what is made for less: {}.", &supply.name, gets, names)
        }
        Verdict::Meets => {
            say!("{} gives {} from hot to neutral; its loads are made for that.", &supply.name, gets)
        }
        _ => say!(
            "{} gives {} from hot to neutral; it cannot be told whether its loads are made for that.",
            &supply.name,
            gets
        ),
    };
    Some(Finding::of(&CHECK, house.subject(&supply.id), verdict, message).because(derivation))
}

/// Where that is not known it may.
fn stands_on_leg(house: &House<'_>, load: &Load) -> bool {
    let mut facts = Facts::new();
    let across = load_voltage(&mut facts, house, load).map(|(_, across)| across);
    across == Some(Across::Leg) || !facts.complete()
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;
    use crate::fixture::{text, verdict, with, with_battery};

    fn house(output: Value, voltage: Value, changes: &[(&str, Value)]) -> Value {
        let own = [("/supplies/1/output", output), ("/supplies/1/voltage", voltage)];
        with(with(with_battery(), &own), changes)
    }

    fn told(output: &str, voltage: &str) -> String {
        verdict(&CHECK, &house(json!(output), json!(voltage), &[]), "B")
    }

    /// NFPA 70-2023 110.4: equipment is not joined to a circuit of a higher voltage than its own. IEC 60038: 230 V.
    #[test]
    fn loads_get_too_much_voltage() {
        assert_eq!(told("120/240 V", "240 V"), "meets");
        assert_eq!(told("120 V", "120 V"), "meets");
        assert_eq!(told("230 V", "230 V"), "falls_short DANGER");
        // A figure of 240 V beside "120 V" is one or the other by mistake: nobody is told that it is right.
        assert_eq!(told("120 V", "240 V"), "falls_short DANGER");
        assert_eq!(told("240 V", "240 V"), "silent");
    }

    #[test]
    fn what_is_made_for_it_may_stand_on_it() {
        let plate = |voltage: Value| {
            let changes = [("/loads/0/voltage", voltage.clone()), ("/loads/1/voltage", voltage)];
            verdict(&CHECK, &house(json!("230 V"), json!("230 V"), &changes), "B")
        };
        assert_eq!(plate(json!("230 V")), "meets");
        assert_eq!(plate(json!("120 V")), "falls_short DANGER");
        assert_eq!(plate(json!(null)), "cannot_tell voltage");
    }

    #[test]
    fn a_supply_of_unknown_voltage_cannot_be_told() {
        let told = |output, voltage| verdict(&CHECK, &house(output, voltage, &[]), "B");
        assert_eq!(told(json!(null), json!("240 V")), "cannot_tell output");
        assert_eq!(told(json!("230 V"), json!(null)), "cannot_tell voltage");
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!(text(&CHECK, &house(json!("230 V"), json!("230 V"), &[]), "B"));
    }
}
