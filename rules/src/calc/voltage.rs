//! The voltages that a supply gives between hots and from hot to neutral.

use crate::finding::{Facts, Worked, reckoned};
use crate::say;
use crate::si::Voltage;
use crate::survey::{Circuit, Fact, Id, Output, Supply};

/// Nominal voltages of a supply.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SystemVoltage {
    /// Between two hots; `None` where there is one hot, or both carry the same voltage.
    pub between_hots: Option<Voltage>,
    /// From a hot to the neutral; `None` where there is no neutral.
    pub to_neutral: Option<Voltage>,
}

impl SystemVoltage {
    /// The voltage that drives a circuit: between its hots where it has two. `None` where the
    /// supply gives no such voltage, and for direct current.
    #[must_use]
    pub fn of_circuit(&self, circuit: Circuit) -> Option<Voltage> {
        match circuit {
            Circuit::HotNeutral => self.to_neutral,
            Circuit::TwoHots | Circuit::TwoHotsNeutral => self.between_hots,
            Circuit::DcPair => None,
        }
    }
}

/// The voltages of a supply.
#[must_use]
pub fn system_voltage(supply: &Supply) -> Worked<SystemVoltage> {
    let mut facts = Facts::new();
    let output = facts.need(&supply.output, &supply.id, "output");
    let voltage = need_voltage(&mut facts, &supply.voltage, &supply.id, "voltage");
    let (Some(output), Some(voltage)) = (output, voltage) else { return facts.done(None) };
    facts.seen("U", "voltage of the supply", voltage, &supply.id, "voltage");
    let system = match output {
        Output::Split => SystemVoltage { between_hots: Some(voltage), to_neutral: Some(voltage / 2.0) },
        Output::Wye => {
            SystemVoltage { between_hots: Some(voltage), to_neutral: Some(voltage / 3.0_f64.sqrt()) }
        }
        Output::Single120 | Output::Single230 | Output::Both120 => {
            SystemVoltage { between_hots: None, to_neutral: Some(voltage) }
        }
        Output::Two240 => SystemVoltage { between_hots: Some(voltage), to_neutral: None },
        Output::Dc => SystemVoltage { between_hots: None, to_neutral: None },
    };
    if let (Some(leg), true) = (system.to_neutral, system.between_hots.is_some()) {
        let by = if output == Output::Wye { "√3" } else { "2" };
        facts.step(reckoned("U_N", "voltage from hot to neutral", say!("{} / {}", voltage, by), leg));
    }
    facts.done(Some(system))
}

/// A voltage that is needed; nought is no voltage and counts as missing.
pub(crate) fn need_voltage(
    facts: &mut Facts,
    fact: &Fact<crate::survey::quantity::EnteredVoltage>,
    item: &Id,
    name: &'static str,
) -> Option<Voltage> {
    let voltage = facts.need(fact, item, name)?.quantity();
    if voltage > Voltage::default() { Some(voltage) } else { facts.miss(item, name, false) }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;
    use crate::fixture::{one_circuit, survey, with};
    use crate::si::volt;

    fn voltages(output: &str, voltage: &str) -> (Option<f64>, Option<f64>) {
        let changes = [("/supplies/0/output", json!(output)), ("/supplies/0/voltage", json!(voltage))];
        let survey = survey(&with(one_circuit(), &changes));
        let system = system_voltage(&survey.supplies[0]).value.unwrap();
        let volts = |voltage: Option<Voltage>| voltage.map(|voltage| voltage.get::<volt>().round());
        (volts(system.between_hots), volts(system.to_neutral))
    }

    #[test]
    fn each_output_has_its_voltages() {
        assert_eq!(voltages("120/240 V", "240 V"), (Some(240.0), Some(120.0)));
        assert_eq!(voltages("120/208 V", "208 V"), (Some(208.0), Some(120.0)));
        assert_eq!(voltages("120 V on both legs", "120 V"), (None, Some(120.0)));
        assert_eq!(voltages("240 V", "240 V"), (Some(240.0), None));
        assert_eq!(voltages("230 V", "230 V"), (None, Some(230.0)));
    }

    #[test]
    fn no_voltage_is_a_missing_fact() {
        for (path, value) in [
            ("/supplies/0/voltage", json!(null)),
            ("/supplies/0/voltage", json!("0 V")),
            ("/supplies/0/output", json!(null)),
        ] {
            let survey = survey(&with(one_circuit(), &[(path, value)]));
            let system = system_voltage(&survey.supplies[0]);
            assert_eq!((system.value, system.missing.len()), (None, 1), "{path}");
        }
    }
}
