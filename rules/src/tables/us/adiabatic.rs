//! The constant k of the heat that a conductor takes up during a fault.

use std::sync::LazyLock;

use super::lookup::{NOISE, column};
use super::{ADIABATIC_K, Cell, Metal, Table};
use crate::si::{Area, square_millimeter};

/// Insulation as the table of k tells it apart, by its working temperature.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum HeatInsulation {
    /// Rubber for 60 °C.
    Rubber60,
    /// Thermoplastic (PVC) for 70 °C.
    Thermoplastic70,
    /// Thermoplastic (PVC) for 90 °C.
    Thermoplastic90,
    /// Thermoset (XLPE, EPR) for 90 °C.
    Thermoset90,
}

struct Row {
    metal: Metal,
    insulation: HeatInsulation,
    up_to: f64,
    k: Cell<f64>,
}

static ROWS: LazyLock<Vec<Row>> = LazyLock::new(|| {
    let table: &'static Table = &ADIABATIC_K;
    let at = ["material", "insulation", "through", "k"].map(|name| column(table, name));
    (0..table.len())
        .filter_map(|row| {
            let metal = match table.text(row, at[0]) {
                "copper" => Metal::Copper,
                "aluminium" => Metal::Aluminium,
                _ => return None,
            };
            let insulation = match table.text(row, at[1]) {
                "rubber 60 °C" => HeatInsulation::Rubber60,
                "thermoplastic 70 °C" => HeatInsulation::Thermoplastic70,
                "thermoplastic 90 °C" => HeatInsulation::Thermoplastic90,
                "thermoset 90 °C" => HeatInsulation::Thermoset90,
                _ => return None,
            };
            let up_to = table.number_at(row, at[2]).unwrap_or(f64::INFINITY);
            Some(Row { metal, insulation, up_to, k: table.cell(row, at[3])? })
        })
        .collect()
});

/// k [A·s^½/mm²] of a live conductor, for a fault of up to 5 s: IEC 60364-4-43:2008 Table 43A and
/// IEC 60364-5-54:2011 Table A.54.4. Thick thermoplastic conductors have a lower one. `None` for a
/// pair that the tables do not list.
#[must_use]
pub fn adiabatic_k(metal: Metal, insulation: HeatInsulation, area: Area) -> Option<Cell<f64>> {
    let area = area.get::<square_millimeter>() * (1.0 - NOISE);
    ROWS.iter()
        .find(|row| row.metal == metal && row.insulation == insulation && area <= row.up_to)
        .map(|row| row.k)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn k(metal: Metal, insulation: HeatInsulation, area: f64) -> Option<f64> {
        adiabatic_k(metal, insulation, Area::new::<square_millimeter>(area)).map(|cell| cell.value)
    }

    #[test]
    fn known_constants_stand_where_they_are_printed() {
        use HeatInsulation::{Rubber60, Thermoplastic70, Thermoplastic90, Thermoset90};
        // IEC 60364-4-43:2008 Table 43A; IEC 60364-5-54:2011 Table A.54.4.
        for (insulation, copper, aluminium) in [
            (Thermoplastic70, 115.0, Some(76.0)),
            (Thermoset90, 143.0, Some(94.0)),
            (Rubber60, 141.0, Some(93.0)),
            (Thermoplastic90, 100.0, None),
        ] {
            assert_eq!(k(Metal::Copper, insulation, 16.0), Some(copper));
            assert_eq!(k(Metal::Aluminium, insulation, 16.0), aluminium);
        }
        assert_eq!(k(Metal::Copper, Thermoplastic70, 300.0), Some(115.0));
        assert_eq!(k(Metal::Copper, Thermoplastic70, 300.1), Some(103.0));
        assert_eq!(k(Metal::Copper, Thermoset90, 1000.0), Some(143.0));
        assert_eq!(k(Metal::Copper, Thermoset90, f64::NAN), None);
    }

    /// IEC 60364-5-54:2011 Annex A: k = K √ln(1 + (θf − θi)/(β + θi)); K and β are 226 and 234.5 for
    /// copper, 148 and 228 for aluminium, 78 and 202 for steel.
    #[test]
    fn every_constant_is_that_of_the_formula() {
        let table: &Table = &ADIABATIC_K;
        let number = |row, name| table.number_at(row, column(table, name)).unwrap();
        for row in 0..table.len() {
            let (big_k, beta) = match table.text(row, column(table, "material")) {
                "copper" => (226.0, 234.5),
                "aluminium" => (148.0, 228.0),
                _ => (78.0, 202.0),
            };
            let (start, end) = (number(row, "start"), number(row, "end"));
            #[expect(clippy::disallowed_methods, reason = "a formula of the test, within a tolerance")]
            let formula = big_k * (1.0 + (end - start) / (beta + start)).ln().sqrt();
            assert!((formula - number(row, "k")).abs() <= 0.6, "{} {formula}", table.row_name(row));
        }
    }
}
