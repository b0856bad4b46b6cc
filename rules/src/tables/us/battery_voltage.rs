//! Resting voltage of battery cells by state of charge: common practice.

use std::sync::LazyLock;

use super::lookup::column;
use super::{BATTERY_VOLTAGE, Cell, Table};
use crate::si::{Voltage, volts};
use crate::survey::Chemistry;

/// States of charge of the columns [percent].
const STEP: f64 = 10.0;

/// A cell of a chemistry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BatteryCell {
    /// Its nominal voltage.
    pub nominal: Cell<Voltage>,
    /// Its resting voltage at 0, 10, 20 ... 100 % of charge.
    resting: [Voltage; 11],
}

impl BatteryCell {
    /// Its resting voltage at a state of charge from 0 to 1, in proportion between the columns.
    #[must_use]
    pub fn resting(&self, charge: f64) -> Voltage {
        let place = charge.clamp(0.0, 1.0) * 100.0 / STEP;
        // Never negative: the cast cuts off what is behind the point, and is much faster than `floor`.
        let below = (place as usize).min(self.resting.len() - 2);
        let share = place - below as f64;
        self.resting[below] + (self.resting[below + 1] - self.resting[below]) * share
    }
}

static CELLS: LazyLock<Vec<BatteryCell>> =
    LazyLock::new(|| Chemistry::ALL.iter().map(|chemistry| read(*chemistry)).collect());

fn read(chemistry: Chemistry) -> BatteryCell {
    let table: &'static Table = &BATTERY_VOLTAGE;
    let row = table.row(chemistry.file_word());
    let first = column(table, "0");
    let cell = |at| row.and_then(|row| table.cell(row, at));
    match cell(column(table, "nominal")) {
        Some(nominal) => {
            let resting = std::array::from_fn(|at| volts(cell(first + at).map_or(0.0, |cell| cell.value)));
            BatteryCell { nominal: nominal.map(volts), resting }
        }
        // A test reads every chemistry, so a release never comes here.
        None => unreachable!("{chemistry} has no cell voltage"),
    }
}

/// The cell of a chemistry.
#[must_use]
pub fn battery_cell(chemistry: Chemistry) -> &'static BatteryCell {
    &CELLS[chemistry as usize]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::si::volt;

    /// Common practice, no source: the voltage rises with the charge; 16 cells of lithium iron
    /// phosphate are a battery of 51.2 V.
    #[test]
    fn every_chemistry_rises_with_its_charge() {
        for chemistry in Chemistry::ALL {
            let cell = battery_cell(*chemistry);
            let volts: Vec<f64> =
                (0..=20).map(|at| cell.resting(f64::from(at) / 20.0).get::<volt>()).collect();
            assert!(
                volts[0] > 1.0 && volts.windows(2).all(|pair| pair[0] < pair[1]),
                "{chemistry} {volts:?}"
            );
        }
        let iron = battery_cell(Chemistry::LithiumIronPhosphate);
        assert!((iron.nominal.value.get::<volt>() * 16.0 - 51.2).abs() < 1e-9);
        assert_eq!(iron.resting(2.0), iron.resting(1.0));
        assert!((iron.resting(0.85).get::<volt>() - 3.335).abs() < 1e-9);
    }
}
