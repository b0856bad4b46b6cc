//! Correction for the temperature of the surroundings, adjustment for conductors lying together.

use std::sync::LazyLock;

use super::lookup::{UpTo, column, upper};
use super::{AMBIENT_FACTORS, BUNDLING_FACTORS, Cell, Column, Table};
use crate::si::{Temperature, celsius};

/// Slack for the conversion of units [K], far below what a thermometer shows.
const CONVERSION: f64 = 1e-6;

static AMBIENT: LazyLock<UpTo<Cell<f64>, 3>> = LazyLock::new(|| {
    let table: &'static Table = &AMBIENT_FACTORS;
    let through = column(table, "through");
    let end = move |row| table.number_at(row, through).unwrap_or(f64::NAN) + CONVERSION;
    UpTo::read(table, ["f60", "f75", "f90"], end, Table::cell)
});

static BUNDLING: LazyLock<UpTo<Cell<f64>, 1>> = LazyLock::new(|| {
    let table: &'static Table = &BUNDLING_FACTORS;
    UpTo::read(table, ["factor"], |row| upper(table, row, "through"), Table::cell)
});

/// Factor for the temperature of the surroundings, for ampacities given at 30 °C:
/// NFPA 70-2023 Table 310.15(B)(1)(1). The bands are whole degrees; a temperature between two
/// belongs to the warmer. `None` where that insulation has no place.
#[must_use]
pub fn ambient_factor(ambient: Temperature, column: Column) -> Option<Cell<f64>> {
    AMBIENT.get(ambient.get::<celsius>(), column as usize)
}

/// Factor for current-carrying conductors in one raceway, cable or bundle:
/// NFPA 70-2023 Table 310.15(C)(1). `None` for none.
#[must_use]
pub fn bundling_factor(conductors: u16) -> Option<Cell<f64>> {
    if conductors == 0 {
        return None;
    }
    BUNDLING.get(f64::from(conductors), 0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::si::fahrenheit;

    fn at(degrees: f64, column: Column) -> Option<f64> {
        ambient_factor(Temperature::new::<celsius>(degrees), column).map(|cell| cell.value)
    }

    /// NFPA 70-2023 Equation 310.15(B): √((Tc − Ta′)/(Tc − Ta)) with Ta = 30 °C.
    #[test]
    fn factors_are_those_of_the_heat_equation_at_the_warm_end() {
        let table: &Table = &AMBIENT_FACTORS;
        let mut printed = 0;
        for row in 0..table.len() {
            let warm_end = table.number_at(row, 1).unwrap();
            for column in Column::ALL {
                if let Some(factor) = at(warm_end, column) {
                    let heat = ((column.celsius() - warm_end) / (column.celsius() - 30.0)).sqrt();
                    assert!((factor - heat).abs() <= 0.005 + 1e-9, "{warm_end} {column:?} {factor} {heat}");
                    printed += 1;
                } else {
                    assert!(warm_end >= column.celsius() - 5.0, "{warm_end} {column:?}");
                }
            }
        }
        assert_eq!(printed, 39);
    }

    /// Edges of each band of NFPA 70-2023 Table 310.15(B)(1)(1), from both sides.
    #[test]
    fn bands_follow_without_gap() {
        let table: &Table = &AMBIENT_FACTORS;
        for row in 1..table.len() {
            let below = table.number_at(row - 1, 1).unwrap();
            let here = table.number_at(row, 1).unwrap();
            assert_eq!(here - below, 5.0);
            let (cooler, warmer) = (at(below, Column::C90).unwrap(), at(here, Column::C90).unwrap());
            assert!(cooler > warmer && warmer > 0.0);
            assert_eq!(at(below + 0.01, Column::C90), Some(warmer));
            assert_eq!(at(below + 0.99, Column::C90), Some(warmer));
            assert_eq!(at(here + 0.0, Column::C90), Some(warmer));
        }
    }

    #[test]
    fn a_temperature_between_two_bands_is_the_warmer_and_outside_there_is_none() {
        assert_eq!(at(35.0, Column::C75), Some(0.94));
        assert_eq!(at(35.4, Column::C75), Some(0.88));
        assert_eq!(at(-40.0, Column::C60), Some(1.29));
        assert_eq!(at(55.0, Column::C60), Some(0.41));
        assert_eq!(at(55.1, Column::C60), None);
        assert_eq!(at(85.0, Column::C90), Some(0.29));
        assert_eq!(at(85.1, Column::C90), None);
        assert_eq!(at(f64::NAN, Column::C90), None);
        // 105 °F is 40.56 °C: the band 41 to 45 °C (105 to 113 °F in the same table).
        for (degrees, factor) in [(86.0, 1.00), (95.0, 0.96), (104.0, 0.91), (105.0, 0.87), (113.0, 0.87)] {
            let ambient = Temperature::new::<fahrenheit>(degrees);
            assert_eq!(ambient_factor(ambient, Column::C90).unwrap().value, factor, "{degrees} °F");
        }
    }

    /// Edges of NFPA 70-2023 Table 310.15(C)(1), from both sides.
    #[test]
    fn bundles_have_their_factor() {
        let factor = |count| bundling_factor(count).map(|cell| cell.value);
        for (count, wanted) in [
            (0, None),
            (1, Some(1.0)),
            (3, Some(1.0)),
            (4, Some(0.8)),
            (6, Some(0.8)),
            (7, Some(0.7)),
            (9, Some(0.7)),
            (10, Some(0.5)),
            (20, Some(0.5)),
            (21, Some(0.45)),
            (30, Some(0.45)),
            (31, Some(0.4)),
            (40, Some(0.4)),
            (41, Some(0.35)),
            (u16::MAX, Some(0.35)),
        ] {
            assert_eq!(factor(count), wanted, "{count}");
        }
        let table: &Table = &BUNDLING_FACTORS;
        for row in 1..table.len() {
            assert_eq!(table.number_at(row, 1), table.number_at(row - 1, 2).map(|end| end + 1.0));
        }
    }
}
