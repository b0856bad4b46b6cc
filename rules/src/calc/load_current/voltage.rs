//! The voltage that a load stands on: that of its circuit, not of its plate.

use crate::calc::voltage::{need_voltage, system_voltage};
use crate::finding::{Facts, reckoned};
use crate::house::House;
use crate::say;
use crate::si::Voltage;
use crate::survey::{Circuit, Load};

/// Between which conductors a load stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Across {
    /// A hot and the neutral.
    Leg,
    /// Two hots, or the poles of a DC pair.
    Pair,
}

/// The voltage of the circuit that a load is on, by its root supply, and between which conductors
/// it stands. On a three-wire run the load's own voltage tells which; while that is missing, the
/// higher one, which asks for less current, stands in.
pub fn load_voltage(facts: &mut Facts, house: &House<'_>, load: &Load) -> Option<(Voltage, Across)> {
    let number = house.run_number(&load.on)?;
    let run = &house.survey.runs[number];
    let circuit = facts.need(&run.circuit, &run.id, "circuit")?;
    let root = house.feeds.root(house.network.run_end(number));
    let Some(root) = root.filter(|_| circuit != Circuit::DcPair) else {
        // Direct current, or a run that nothing feeds: only the load itself can tell.
        let own = need_voltage(facts, &load.voltage, &load.id, "voltage")?;
        let across = if circuit == Circuit::HotNeutral { Across::Leg } else { Across::Pair };
        return Some((own, across));
    };
    let system = facts.take(system_voltage(&house.survey.supplies[root]))?;
    let (voltage, across) = match circuit {
        Circuit::HotNeutral => (system.to_neutral, Across::Leg),
        Circuit::TwoHots | Circuit::DcPair => (system.between_hots, Across::Pair),
        Circuit::TwoHotsNeutral => match (system.to_neutral, system.between_hots) {
            (Some(leg), Some(pair)) if stands_on_leg(facts, load, leg, pair) => (Some(leg), Across::Leg),
            (_, Some(pair)) => (Some(pair), Across::Pair),
            (leg, None) => (leg, Across::Leg),
        },
    };
    // A load between two hots of a supply that has one gets no voltage at all.
    let voltage = voltage.or_else(|| need_voltage(facts, &load.voltage, &load.id, "voltage"))?;
    let label = "voltage of the circuit";
    facts.step(reckoned("U", label, say!("{} of {}", circuit.words(), &run.id), voltage));
    Some((voltage, across))
}

fn stands_on_leg(facts: &mut Facts, load: &Load, leg: Voltage, pair: Voltage) -> bool {
    let own = need_voltage(facts, &load.voltage, &load.id, "voltage").unwrap_or(pair);
    // The nearer one: plates say 115 or 125 V, 230 or 250 V.
    own - leg < pair - own
}
