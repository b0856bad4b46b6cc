//! A battery as its load sees it: resting voltage by state of charge behind a resistance.

use crate::finding::{Facts, Worked, from_table, reckoned};
use crate::say;
use crate::si::{
    Charge, Current, Energy, Power, Resistance, Time, Voltage, ampere, ampere_hour, ohm, ratio, volt, watt,
    watt_hour,
};
use crate::survey::{Battery, Chemistry, Id, RestingAt, Supply};
use crate::tables::us::battery_cell;

/// How the capacity of a battery falls with its current, by Peukert's law.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rate {
    /// The exponent; 1 where the current does not matter.
    pub exponent: f64,
    /// The current at which it gives its stated capacity.
    pub current: Current,
}

/// A battery.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bank {
    /// Chemistry of its cells.
    pub chemistry: Chemistry,
    /// Cells in series.
    pub cells: f64,
    /// Resting voltage of the whole at 0, 10, 20 ... 100 % of charge.
    rest: [Voltage; RESTS],
    /// Capacity.
    pub capacity: Charge,
    /// Internal resistance of the whole.
    pub resistance: Resistance,
    /// How its capacity falls with its current, where it does.
    pub rate: Option<Rate>,
}

/// Places at which the resting voltage is kept.
const RESTS: usize = 11;

/// A battery under load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Loaded {
    /// Voltage at its terminals.
    pub voltage: Voltage,
    /// Current.
    pub current: Current,
}

impl Bank {
    /// A battery of this nominal voltage; the number of cells is the nearest whole one.
    #[must_use]
    pub fn new(chemistry: Chemistry, nominal: Voltage, capacity: Charge, resistance: Resistance) -> Self {
        let cells = (nominal / battery_cell(chemistry).nominal.value).get::<ratio>().round().max(1.0);
        let at = |tenth: usize| battery_cell(chemistry).resting(tenth as f64 / 10.0) * cells;
        Self { chemistry, cells, rest: std::array::from_fn(at), capacity, resistance, rate: None }
    }

    /// The same battery with resting voltages of the whole by state of charge from 0 to 1, as its maker states
    /// them; read at each tenth, in proportion between the points. Above the highest point its voltage counts,
    /// below the lowest one its voltage or that of the chemistry, whichever is less.
    #[must_use]
    pub fn resting_at(mut self, points: &[(f64, Voltage)]) -> Self {
        let mut points = points.to_vec();
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (Some(first), Some(last)) = (points.first().copied(), points.last().copied()) else {
            return self;
        };
        for (tenth, rest) in self.rest.iter_mut().enumerate() {
            let charge = tenth as f64 / 10.0;
            *rest = match points.windows(2).find(|two| (two[0].0..=two[1].0).contains(&charge)) {
                Some(two) if two[1].0 > two[0].0 => {
                    two[0].1 + (two[1].1 - two[0].1) * ((charge - two[0].0) / (two[1].0 - two[0].0))
                }
                _ if charge < first.0 && first.1 > *rest => *rest,
                _ if charge <= first.0 => first.1,
                _ => last.1,
            };
        }
        self
    }

    /// The same battery with a capacity that is stated for this many hours of discharge and falls with
    /// the current by this exponent. No hours count as no such statement.
    #[must_use]
    pub fn stated_for(mut self, hours: Time, exponent: f64) -> Self {
        let known = hours > Time::default() && exponent > 1.0;
        self.rate = known.then(|| Rate { exponent, current: self.capacity / hours });
        self
    }

    /// The same battery where it must be this many times larger for the cold.
    #[must_use]
    pub fn in_the_cold(mut self, factor: f64) -> Self {
        if factor > 0.0 {
            self.capacity /= factor;
        }
        self
    }

    /// This many such batteries side by side.
    #[must_use]
    pub fn side_by_side(mut self, count: f64) -> Self {
        if count > 0.0 {
            self.capacity *= count;
            self.resistance /= count;
            self.rate = self.rate.map(|rate| Rate { current: rate.current * count, ..rate });
        }
        self
    }

    /// How many amperes leave its store for each that it gives, at this current: by Peukert's law above
    /// the current for which its capacity is stated, else one.
    #[must_use]
    pub fn drain(&self, current: Current) -> f64 {
        match self.rate {
            Some(rate) if current > rate.current && rate.current > Current::default() => {
                libm::pow((current / rate.current).get::<ratio>(), rate.exponent - 1.0)
            }
            _ => 1.0,
        }
    }

    /// Resting voltage at a state of charge from 0 to 1.
    #[must_use]
    pub fn resting(&self, charge: f64) -> Voltage {
        let place = charge.clamp(0.0, 1.0) * (RESTS - 1) as f64;
        // Never negative: the cast cuts off what is behind the point.
        let below = (place as usize).min(RESTS - 2);
        self.rest[below] + (self.rest[below + 1] - self.rest[below]) * (place - below as f64)
    }

    /// Voltage and current while it gives this power; `None` where its resistance lets no such
    /// power out. Negative power charges it.
    #[must_use]
    pub fn loaded(&self, power: Power, charge: f64) -> Option<Loaded> {
        self.loaded_from(self.resting(charge), power)
    }

    /// The same from a resting voltage.
    #[must_use]
    pub fn loaded_from(&self, rest: Voltage, power: Power) -> Option<Loaded> {
        let (rest, power) = (rest.get::<volt>(), power.get::<watt>());
        let resistance = self.resistance.get::<ohm>();
        let root = rest * rest - 4.0 * resistance * power;
        if root < 0.0 || rest <= 0.0 {
            return None;
        }
        let voltage = (rest + root.sqrt()) / 2.0;
        let current = power / voltage;
        current.is_finite().then(|| Loaded {
            voltage: Voltage::new::<volt>(voltage),
            current: Current::new::<ampere>(current),
        })
    }

    /// Energy between two states of charge at its resting voltage: capacity times the mean voltage.
    #[must_use]
    pub fn energy(&self, low: f64, high: f64) -> Energy {
        const PARTS: u32 = 100;
        let step = (high - low) / f64::from(PARTS);
        let mean = |part: u32| self.resting(low + step * (f64::from(part) + 0.5)).get::<volt>();
        let volts: f64 = (0..PARTS).map(mean).sum();
        Energy::new::<watt_hour>(self.capacity.get::<ampere_hour>() * volts * step)
    }
}

/// The battery of a supply. A missing internal resistance stands at nought, the best case.
#[must_use]
pub fn bank_of(supply: &Supply) -> Worked<Bank> {
    let mut facts = Facts::new();
    let Some(battery) = &supply.battery else {
        let _: Option<()> = facts.miss(&supply.id, "battery.voltage", false);
        return facts.done(None);
    };
    let id = &supply.id;
    let chemistry = facts.need(&battery.chemistry, id, "battery.chemistry");
    let nominal = facts.need(&battery.voltage, id, "battery.voltage");
    let capacity = facts.need(&battery.capacity, id, "battery.capacity");
    let resistance = resistance_of(battery, id, &mut facts);
    let (Some(chemistry), Some(nominal), Some(capacity)) = (chemistry, nominal, capacity) else {
        return facts.done(None);
    };
    let bank = Bank::new(chemistry, nominal.quantity(), capacity.quantity(), resistance);
    let points: Vec<(f64, Voltage)> = supply.resting_voltages.iter().filter_map(point).collect();
    let bank = bank.resting_at(&points);
    let cell = battery_cell(chemistry).nominal;
    facts.seen("U", "nominal voltage of the battery", nominal.quantity(), id, "battery.voltage");
    facts.step(from_table("", "nominal voltage of a cell", cell.value, cell.place));
    let expression = say!("{} / {}", nominal.quantity(), cell.value);
    facts.step(reckoned("n", "cells in series", expression, bank.cells));
    facts.done(Some(bank))
}

fn point(point: &RestingAt) -> Option<(f64, Voltage)> {
    Some((point.charge.quantity().get::<ratio>(), point.voltage.known()?.quantity()))
}

/// The internal resistance as entered, else by a stated sag; nought while neither is known.
fn resistance_of(battery: &Battery, id: &Id, facts: &mut Facts) -> Resistance {
    let sag = battery.sag_voltage.known().zip(battery.sag_current.known());
    let sag = sag.map(|(voltage, current)| (voltage.quantity(), current.quantity()));
    let sag = sag.filter(|(_, current)| *current > Current::default());
    if let (None, Some((voltage, current))) = (battery.internal_resistance.known(), sag) {
        let resistance = voltage / current;
        facts.seen("U_s", "voltage by which it sags", voltage, id, "battery.sag_voltage");
        facts.seen("I_s", "current at which it sags by that", current, id, "battery.sag_current");
        let expression = say!("{} / {}", voltage, current);
        facts.step(reckoned("R_i", "internal resistance", expression, resistance));
        return resistance;
    }
    let known = facts.need(&battery.internal_resistance, id, "battery.internal_resistance");
    let resistance = known.map_or_else(Resistance::default, |resistance| resistance.quantity());
    facts.seen("R_i", "internal resistance", resistance, id, "battery.internal_resistance");
    resistance
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::si::{hour, volts};

    fn iron() -> Bank {
        Bank::new(
            Chemistry::LithiumIronPhosphate,
            volts(51.2),
            Charge::new::<ampere_hour>(276.0),
            Resistance::new::<ohm>(0.010),
        )
    }

    /// Common practice, no source: power read on the DC side of an inverter on a battery of 16 cells,
    /// 276 Ah, with the current seen; within 8 %.
    #[test]
    fn currents_of_a_48_volt_battery() {
        let seen = [
            (775.0, 14.3),
            (2300.0, 44.0),
            (3800.0, 70.0),
            (6500.0, 125.0),
            (7600.0, 150.0),
            (16_600.0, 327.0),
        ];
        for (watts, amperes) in seen {
            for charge in [0.5, 0.7, 0.9] {
                let current = iron().loaded(Power::new::<watt>(watts), charge).unwrap().current;
                let off = (current.get::<ampere>() / amperes - 1.0).abs();
                assert!(off < 0.08, "{watts} W at {charge}: {current:?} instead of {amperes}");
            }
        }
    }

    /// By hand: between 50 V at 0 % and 54 V at 80 % the voltage rises by half a volt a tenth; above it stays, below a
    /// lowest point of 20 % the chemistry counts where it is less.
    #[test]
    fn the_resting_voltage_of_the_maker_counts() {
        let rest = |bank: Bank, charge: f64| bank.resting(charge).get::<volt>();
        let bank = iron().resting_at(&[(0.8, volts(54.0)), (0.0, volts(50.0))]);
        for (charge, wanted) in [(0.0, 50.0), (0.25, 51.25), (0.8, 54.0), (1.0, 54.0)] {
            assert!((rest(bank, charge) - wanted).abs() < 1e-9, "{charge}");
        }
        let bank = iron().resting_at(&[(0.2, volts(52.0)), (1.0, volts(54.0))]);
        assert_eq!(rest(bank, 0.0), rest(iron(), 0.0));
        assert!((rest(bank, 0.6) - 53.0).abs() < 1e-9);
        let low = iron().resting_at(&[(0.2, volts(40.0)), (1.0, volts(41.0))]);
        assert!((rest(low, 0.0) - 40.0).abs() < 1e-9);
        assert_eq!(iron().resting_at(&[]), iron());
    }

    /// Common practice, no source: such a battery holds about 14 kWh.
    #[test]
    fn energy_of_a_48_volt_battery() {
        let whole = iron().energy(0.0, 1.0).get::<watt_hour>();
        assert!((whole / 14_000.0 - 1.0).abs() < 0.05, "{whole}");
        let part = iron().energy(0.1, 1.0) + iron().energy(0.0, 0.1);
        assert!((part.get::<watt_hour>() - whole).abs() < 1.0);
    }

    /// Electrotechnik.net, Peukert's law and discharge of lead acid batteries, example (BT-04): 100 Ah at
    /// one ampere, exponent 1.2, 5 A: 14.5 h. By hand: twice the battery halves the current of each.
    #[test]
    fn the_capacity_falls_with_the_current() {
        let lead = Bank::new(
            Chemistry::LeadFlooded,
            volts(12.0),
            Charge::new::<ampere_hour>(100.0),
            Resistance::default(),
        );
        let lead = lead.stated_for(Time::new::<hour>(100.0), 1.2);
        let hours = |bank: &Bank, amperes: f64| {
            bank.capacity.get::<ampere_hour>() / amperes / bank.drain(Current::new::<ampere>(amperes))
        };
        assert!((hours(&lead, 5.0) - 14.495_593).abs() < 1e-6);
        assert!((hours(&lead.side_by_side(2.0), 10.0) - 14.495_593).abs() < 1e-6);
        assert!((hours(&lead, 0.5) - 200.0).abs() < 1e-9);
        assert!((hours(&lead.in_the_cold(1.25), 0.5) - 160.0).abs() < 1e-9);
        assert_eq!(iron().drain(Current::new::<ampere>(200.0)), 1.0);
        assert_eq!(lead.stated_for(Time::default(), 1.2).rate, None);
    }

    /// Ohm's law: the voltage at the terminals is the resting one less resistance times current, and
    /// voltage times current is the power.
    #[test]
    fn the_voltage_sags_by_its_resistance() {
        let bank = iron();
        let power = Power::new::<watt>(10_000.0);
        let loaded = bank.loaded(power, 0.5).unwrap();
        let sag = loaded.current * bank.resistance;
        assert!((bank.resting(0.5) - sag - loaded.voltage).get::<volt>().abs() < 1e-9);
        assert!((loaded.current * loaded.voltage - power).get::<watt>().abs() < 1e-6);
        assert_eq!(bank.loaded(Power::new::<watt>(100_000.0), 0.5), None);
        assert!(bank.loaded(-power, 0.5).unwrap().voltage > bank.resting(0.5));
    }
}
