//! A battery that is emptied and filled step by step, with the energy accounted for.

use crate::capacity::carry::{Bank, Losses};
use crate::si::{Power, ampere, ampere_hour, ohm, ratio, volt, watt};

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
    /// The largest current with which it is charged [A]; no end while nothing limits it.
    pub charge_current: f64,
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

    /// Share of the stored energy that its terminals give at this power, in the middle of its states of
    /// charge: part stays in its resistance, and part of a lead-acid battery's is lost to the
    /// current. `None` where it cannot give that power.
    #[must_use]
    pub fn share_out(&self, power: Power) -> Option<f64> {
        let middle = f64::midpoint(self.lowest, self.highest);
        let loaded = self.bank.loaded(power, middle)?;
        let sagging = (loaded.voltage / self.bank.resting(middle)).get::<ratio>();
        Some(sagging / self.bank.drain(loaded.current))
    }

    /// The same, stopped already where this power pulls it below its lowest voltage.
    #[must_use]
    pub fn stopped_at(&self, power: Power) -> Self {
        let holds = |charge: f64| {
            let loaded = self.bank.loaded(power, charge);
            loaded.is_some_and(|loaded| loaded.voltage.get::<volt>() >= self.lowest_voltage)
        };
        if holds(self.lowest) {
            return *self;
        }
        let (mut low, mut high) = (self.lowest, self.highest);
        if holds(high) {
            // Forty halvings are finer than any meter of charge.
            for _ in 0..40 {
                let middle = f64::midpoint(low, high);
                if holds(middle) { high = middle } else { low = middle }
            }
        }
        Self { lowest: high, ..*self }
    }

    /// Takes power out of the battery; `None` where it is empty or sags too low.
    fn empty(&self, charge: f64, power: f64, hours: f64, balance: &mut Balance) -> Option<f64> {
        let rest = self.bank.resting(charge);
        let loaded = self.bank.loaded_from(rest, Power::new::<watt>(power))?;
        if loaded.voltage.get::<volt>() < self.lowest_voltage || charge <= self.lowest {
            return None;
        }
        let amperes = loaded.current.get::<ampere>();
        // What leaves the store beyond what the terminals give is lost in it.
        let leaves = amperes * self.bank.drain(loaded.current);
        let rest = rest.get::<volt>();
        balance.drawn += rest * leaves * hours;
        let in_resistance = amperes * amperes * self.bank.resistance.get::<ohm>();
        balance.lost += (in_resistance + rest * (leaves - amperes)) * hours;
        Some(charge - leaves * hours / self.bank.capacity.get::<ampere_hour>())
    }

    /// Fills the battery with what is left of the sun, as far as there is room.
    fn fill(&self, charge: f64, surplus: f64, hours: f64, balance: &mut Balance) -> f64 {
        let capacity = self.bank.capacity.get::<ampere_hour>();
        let rest = self.bank.resting(charge).get::<volt>();
        let accepted = surplus.min(self.charge_current * rest);
        let stored = accepted * self.charge_efficiency * hours;
        let room = ((self.highest - charge) * capacity * rest).max(0.0);
        let taken = stored.min(room);
        let used = if stored > 0.0 { accepted * hours * taken / stored } else { 0.0 };
        balance.drawn -= taken;
        balance.lost += used - taken;
        balance.spilt += surplus * hours - used;
        if rest > 0.0 && capacity > 0.0 { charge + taken / rest / capacity } else { charge }
    }
}

#[cfg(test)]
pub(super) mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::si::{Charge, Ratio, Resistance, Time, hour, volts, watt_hour};
    use crate::survey::Chemistry;

    pub(in super::super) fn store() -> Store {
        let bank = Bank::new(
            Chemistry::LithiumIronPhosphate,
            volts(51.2),
            Charge::new::<ampere_hour>(280.0),
            Resistance::new::<ohm>(0.010),
        );
        let power = Power::new::<watt>;
        let losses = Losses::least(power(60.0), power(8000.0), Ratio::new::<ratio>(0.93));
        Store {
            bank,
            losses,
            lowest: 0.1,
            highest: 1.0,
            lowest_voltage: 44.0,
            charge_efficiency: 0.95,
            charge_current: 50.0,
        }
    }

    /// The same with lead-acid cells, whose capacity falls with the current.
    pub(in super::super) fn lead() -> Store {
        let store = store();
        let bank = Bank::new(
            Chemistry::LeadFlooded,
            crate::si::volts(48.0),
            store.bank.capacity,
            store.bank.resistance,
        );
        let bank = bank.stated_for(Time::new::<hour>(20.0), 1.25);
        Store { bank, lowest: 0.4, charge_efficiency: 0.8, ..store }
    }

    /// What leaves and enters is what is used, lost and spilt, within 0.1 %; and what the cells gave
    /// is the area under their resting voltage.
    #[test]
    fn energy_is_accounted_for() {
        accounted_for(&store());
        accounted_for(&lead());
    }

    fn accounted_for(store: &Store) {
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

    proptest! {
        /// Step by step with any load and any sun: what goes in comes out, is lost, spilt or kept, within 0.1 %.
        #[test]
        fn energy_is_accounted_for_in_every_day(
            steps in prop::collection::vec((0.0..9000.0_f64, 0.0..9000.0_f64), 1..200),
            is_lead in any::<bool>(),
            begins in 0.3..1.0_f64,
        ) {
            let store = if is_lead { lead() } else { store() };
            let (mut charge, mut balance) = (begins, Balance::default());
            for (watts, sun) in steps {
                match store.step(charge, Power::new::<watt>(watts), sun, 1.0 / 12.0, &mut balance) {
                    Step::Goes(next) => charge = next,
                    Step::Empty => break,
                }
            }
            let kept = balance.drawn;
            let (input, output) = (balance.sun + kept, balance.loads + balance.lost + balance.spilt);
            prop_assert!((input - output).abs() <= 1e-3 * input.abs().max(1e-9), "{:?}", balance);
            prop_assert!(charge <= store.highest.max(begins) + 1e-9);
        }
    }

    /// By hand: the store of 280 Ah at 14 A gives its capacity, at 42 A by 3^0.25 less.
    #[test]
    fn a_lead_acid_battery_empties_faster_by_a_large_current() {
        let after = |watts: f64| match lead().step(
            1.0,
            Power::new::<watt>(watts),
            0.0,
            0.01,
            &mut Balance::default(),
        ) {
            Step::Goes(charge) => 1.0 - charge,
            Step::Empty => 1.0,
        };
        let amperes = |watts: f64| {
            let input = lead().losses.input(Power::new::<watt>(watts));
            lead().bank.loaded(input, 1.0).map_or(0.0, |loaded| loaded.current.get::<ampere>())
        };
        let (small, large) = (400.0, 2500.0);
        let plain = |watts: f64| amperes(watts) * 0.01 / 280.0;
        assert!((after(small) / plain(small) - 1.0).abs() < 1e-9);
        let factor = (amperes(large) / 14.0).sqrt().sqrt();
        assert!(factor > 1.2 && (after(large) / plain(large) / factor - 1.0).abs() < 1e-9);
    }

    #[test]
    fn no_more_than_the_charge_current_goes_in() {
        let mut balance = Balance::default();
        let step = store().step(0.5, Power::default(), 9000.0, 0.1, &mut balance);
        let rest = store().bank.resting(0.5).get::<volt>();
        // 50 A at its resting voltage, of which 95 % stay.
        assert_eq!(step, Step::Goes(0.5 + 50.0 * 0.95 * 0.1 / 280.0));
        assert!((balance.spilt - (9000.0 - 60.0 - 50.0 * rest) * 0.1).abs() < 1e-9);
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
