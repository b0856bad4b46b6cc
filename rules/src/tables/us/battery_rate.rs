//! How the capacity of a battery falls with current and cold, and what charging gives back.

use std::sync::LazyLock;

use super::lookup::column;
use super::{BATTERY_COLD, BATTERY_RATE, Cell, Table};
use crate::si::{Temperature, fahrenheit};
use crate::survey::Chemistry;

/// Relative slack for the noise of units: 40 °F entered as 4.444 °C.
const NOISE: f64 = 1e-6;

fn figure(chemistry: Chemistry, name: &str) -> Cell<f64> {
    let table: &'static Table = &BATTERY_RATE;
    let row = table.row(chemistry.file_word());
    match row.and_then(|row| table.cell(row, column(table, name))) {
        Some(cell) => cell,
        // A test reads every chemistry, so a release never comes here.
        None => unreachable!("{chemistry} has no {name}"),
    }
}

static RATES: LazyLock<Vec<[Cell<f64>; 2]>> = LazyLock::new(|| {
    let both = |chemistry: &Chemistry| ["peukert", "charge_efficiency"].map(|name| figure(*chemistry, name));
    Chemistry::ALL.iter().map(both).collect()
});

/// The exponent of Peukert's law; 1 where the current does not matter.
#[must_use]
pub fn peukert_exponent(chemistry: Chemistry) -> Cell<f64> {
    RATES[chemistry as usize][0]
}

/// Share of what goes into a battery that comes out again.
#[must_use]
pub fn charge_efficiency(chemistry: Chemistry) -> Cell<f64> {
    RATES[chemistry as usize][1]
}

/// How many times larger a lead-acid battery must be at this temperature; `None` where it is colder
/// than the table goes.
#[must_use]
pub fn cold_factor(temperature: Temperature) -> Option<Cell<f64>> {
    let table: &'static Table = &BATTERY_COLD;
    let (down_to, factor) = (column(table, "down_to_f"), column(table, "factor"));
    let degrees = temperature.get::<fahrenheit>() + NOISE;
    let warm_enough = |row: &usize| table.number_at(*row, down_to).is_some_and(|end| degrees >= end);
    (0..table.len()).find(warm_enough).and_then(|row| table.cell(row, factor))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Batteries-solar, Battery sizing, second example (BT-03): 1.3 at 40 °F. The other figures are
    /// common practice, no source: they grow with the cold.
    #[test]
    fn colder_asks_for_more() {
        let at = |degrees| cold_factor(Temperature::new::<fahrenheit>(degrees)).map(|cell| cell.value);
        assert_eq!(at(40.0), Some(1.3));
        assert_eq!(at(49.9), Some(1.3));
        assert_eq!(at(100.0), Some(1.0));
        assert_eq!(at(19.0), None);
        let all: Vec<f64> = [80.0, 70.0, 60.0, 50.0, 40.0, 30.0, 20.0].into_iter().filter_map(at).collect();
        assert!(all.len() == 7 && all.windows(2).all(|pair| pair[0] < pair[1]));
    }

    /// Common practice, no source: lead-acid cells suffer from current, lithium cells do not, and give
    /// back more of their charge.
    #[test]
    fn every_chemistry_has_its_figures() {
        for chemistry in Chemistry::ALL {
            let (rate, share) = (peukert_exponent(*chemistry).value, charge_efficiency(*chemistry).value);
            assert_eq!(chemistry.is_lead_acid(), rate > 1.0, "{chemistry}");
            assert!((1.0..1.5).contains(&rate) && (0.5..=1.0).contains(&share));
        }
    }
}
