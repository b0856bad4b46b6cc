//! A battery that is emptied and filled step by step, with the energy accounted for.

use crate::capacity::carry::{Bank, Losses};
use crate::si::{Power, ampere, ampere_hour, ohm, volt, watt};

/// The battery with its inverter, and between which states of charge it is used.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Store {
    /// The battery.
    pub bank: Bank,
    /// The inverter's losses.
    pub losses: Losses,
    /// State of charge at which it stops, 0 to 1.
    pub lowest: f64,
    /// State of charge to which it is filled.
    pub highest: f64,
    /// Voltage below which the inverter stops [V].
    pub lowest_voltage: f64,
    /// Share of what goes in that comes out again.
    pub charge_efficiency: f64,
}

/// Energies of many steps [Wh]. `drawn + sun = loads + lost + spilt`.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Balance {
    /// Taken out of the battery's cells; negative where they were filled.
    pub drawn: f64,
    /// What the sun gave.
    pub sun: f64,
    /// What the loads got.
    pub loads: f64,
    /// Lost in inverter, battery and charging.
    pub lost: f64,
    /// Sun that found no room.
    pub spilt: f64,
}

/// How a step ended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Step {
    /// The battery goes on from this state of charge.
    Goes(f64),
    /// It is empty, or its voltage too low.
    Empty,
}

impl Store {
    /// One step of `hours` at this output and this sun (at the battery) from a state of charge. A step
    /// that cannot be made is not counted.
    #[must_use]
    pub fn step(&self, charge: f64, output: Power, sun: f64, hours: f64, balance: &mut Balance) -> Step {
        let input = self.losses.input(output).get::<watt>();
        let next = if input < sun {
            Some(self.fill(charge, sun - input, hours, balance))
        } else {
            self.empty(charge, input - sun, hours, balance)
        };
        let Some(next) = next else { return Step::Empty };
        let output = output.get::<watt>();
        balance.sun += sun * hours;
        balance.loads += output * hours;
        balance.lost += (input - output) * hours;
        Step::Goes(next)
    }

    /// Takes power out of the battery; `None` where it is empty or sags too low.
    fn empty(&self, charge: f64, power: f64, hours: f64, balance: &mut Balance) -> Option<f64> {
        let loaded = self.bank.loaded(Power::new::<watt>(power), charge)?;
        if loaded.voltage.get::<volt>() < self.lowest_voltage || charge <= self.lowest {
            return None;
        }
        let amperes = loaded.current.get::<ampere>();
        balance.drawn += self.bank.resting(charge).get::<volt>() * amperes * hours;
        balance.lost += amperes * amperes * self.bank.resistance.get::<ohm>() * hours;
        Some(charge - amperes * hours / self.bank.capacity.get::<ampere_hour>())
    }

    /// Fills the battery with what is left of the sun, as far as there is room.
    fn fill(&self, charge: f64, surplus: f64, hours: f64, balance: &mut Balance) -> f64 {
        let capacity = self.bank.capacity.get::<ampere_hour>();
        let rest = self.bank.resting(charge).get::<volt>();
        let stored = surplus * self.charge_efficiency * hours;
        let room = ((self.highest - charge) * capacity * rest).max(0.0);
        let taken = stored.min(room);
        let used = if stored > 0.0 { surplus * hours * taken / stored } else { 0.0 };
        balance.drawn -= taken;
        balance.lost += used - taken;
        balance.spilt += surplus * hours - used;
        if rest > 0.0 && capacity > 0.0 { charge + taken / rest / capacity } else { charge }
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::si::{Charge, Ratio, Resistance, ratio, volts, watt_hour};
    use crate::survey::Chemistry;

    pub(in super::super) fn store() -> Store {
        let bank = Bank::new(
            Chemistry::LithiumIronPhosphate,
            volts(51.2),
            Charge::new::<ampere_hour>(280.0),
            Resistance::new::<ohm>(0.010),
        );
        let power = Power::new::<watt>;
        let losses = Losses::new(power(60.0), power(8000.0), Ratio::new::<ratio>(0.93));
        Store { bank, losses, lowest: 0.1, highest: 1.0, lowest_voltage: 44.0, charge_efficiency: 0.95 }
    }

    /// What leaves and enters is what is used, lost and spilt, within 0.1 %; and what the cells gave
    /// is the area under their resting voltage.
    #[test]
    fn energy_is_accounted_for() {
        let store = store();
        let (mut charge, mut balance) = (store.highest, Balance::default());
        let mut hours = 0.0;
        while let Step::Goes(next) =
            store.step(charge, Power::new::<watt>(2000.0), sun_at(hours), 1.0 / 60.0, &mut balance)
        {
            charge = next;
            hours += 1.0 / 60.0;
        }
        let input = balance.drawn + balance.sun;
        let output = balance.loads + balance.lost + balance.spilt;
        assert!((input / output - 1.0).abs() < 1e-9, "{balance:?}");
        let cells = store.bank.energy(charge, store.highest).get::<watt_hour>();
        assert!((balance.drawn / cells - 1.0).abs() < 1e-3, "{} {cells}", balance.drawn);
        assert!(hours > 5.0 && balance.sun > 0.0);
    }

    fn sun_at(hours: f64) -> f64 {
        if (1.0..4.0).contains(&hours) { 3500.0 } else { 0.0 }
    }

    #[test]
    fn a_full_battery_spills_the_sun() {
        let mut balance = Balance::default();
        let step = store().step(1.0, Power::default(), 5000.0, 1.0, &mut balance);
        assert_eq!(step, Step::Goes(1.0));
        assert!((balance.spilt - 4940.0).abs() < 1e-6);
        assert_eq!(store().step(0.1, Power::new::<watt>(500.0), 0.0, 0.1, &mut balance), Step::Empty);
    }
}
