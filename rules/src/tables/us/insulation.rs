//! Insulation types: how warm each may run, and the warmest ampacity column to start from.

use std::sync::LazyLock;

use super::lookup::column;
use super::{Cell, Column, INSULATION_TYPES, Table};
use crate::si::{Temperature, celsius};
use crate::survey::{Insulation, Method};

/// What the table says of one type of insulation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InsulationRow {
    /// Warmest conductor in a dry place; `None` where it is not given.
    pub max_dry: Option<Cell<Temperature>>,
    /// Warmest conductor in a wet place; `None`: not to be used where wet.
    pub max_wet: Option<Cell<Temperature>>,
    /// Warmest ampacity column to start from; `None` for types that no building-wire column covers.
    pub cap: Option<Cell<Column>>,
}

static INSULATIONS: LazyLock<Vec<Option<InsulationRow>>> =
    LazyLock::new(|| Insulation::ALL.iter().map(|insulation| row(letters(*insulation))).collect());
static METHODS: LazyLock<Vec<Option<InsulationRow>>> =
    LazyLock::new(|| Method::ALL.iter().map(|method| row(cable(*method)?)).collect());

/// Temperatures and column of single conductors by their letters: NFPA 70-2023 Table 310.4(1) and
/// superseded tables.
#[must_use]
pub fn insulation(insulation: Insulation) -> Option<InsulationRow> {
    INSULATIONS.get(insulation as usize).copied().flatten()
}

/// Temperatures and column of a cable type whose conductors carry no letters of their own. An
/// armored cable with bonding strip counts as its older 60 °C type, since its sheath does not tell.
/// `None` for single conductors and flexible cords.
#[must_use]
pub fn method_insulation(method: Method) -> Option<InsulationRow> {
    METHODS.get(method as usize).copied().flatten()
}

fn row(name: &str) -> Option<InsulationRow> {
    let table: &'static Table = &INSULATION_TYPES;
    let row = table.row(name)?;
    let temperature = |name| Some(table.cell(row, column(table, name))?.map(Temperature::new::<celsius>));
    let cap = table.cell(row, column(table, "column"));
    Some(InsulationRow {
        max_dry: temperature("dry"),
        max_wet: temperature("wet"),
        cap: cap.and_then(|cell| Some(Cell { value: Column::not_above(cell.value)?, place: cell.place })),
    })
}

/// The row of the table for the letters of the survey.
fn letters(insulation: Insulation) -> &'static str {
    match insulation {
        Insulation::A => "A, AA, AI, AIA",
        Insulation::Sb => "SB, SBW",
        Insulation::Welding => "welding cable",
        other => other.file_word(),
    }
}

/// The row of the table for a cable type.
fn cable(method: Method) -> Option<&'static str> {
    Some(match method {
        Method::KnobAndTube => "knob-and-tube",
        Method::NmOld => "NM before 1985",
        Method::NmB => "NM-B",
        Method::Uf => "UF, UF-B",
        Method::Se => "SE, SEU, SER",
        Method::Use => "USE",
        Method::AcOld => "AC before 1959",
        Method::Ac => "AC, ACT",
        Method::Mc => "MC",
        Method::BatteryCable => "boat cable (UL 1426)",
        Method::Raceway | Method::FreeAir | Method::Cord | Method::PowerCable => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn degrees(cell: Option<Cell<Temperature>>) -> Option<f64> {
        cell.map(|cell| cell.value.get::<celsius>().round())
    }

    fn figures(row: InsulationRow) -> (Option<f64>, Option<f64>, Option<Column>) {
        (degrees(row.max_dry), degrees(row.max_wet), row.cap.map(|cell| cell.value))
    }

    #[test]
    fn every_insulation_of_the_survey_has_its_row() {
        for kind in Insulation::ALL {
            assert!(insulation(*kind).is_some(), "{kind}");
        }
        for method in Method::ALL {
            let single =
                matches!(method, Method::Raceway | Method::FreeAir | Method::Cord | Method::PowerCable);
            assert_eq!(method_insulation(*method).is_none(), single, "{method}");
        }
    }

    #[test]
    fn known_types_have_their_temperatures() {
        use Column::{C60, C75, C90};
        // NFPA 70-2023 Table 310.4(1); old types from FM 5-424 (US Army, 1997) Table B-2.
        for (kind, dry, wet, cap) in [
            (Insulation::Tw, 60.0, Some(60.0), C60),
            (Insulation::T, 60.0, None, C60),
            (Insulation::Thw, 75.0, Some(75.0), C75),
            (Insulation::Thhn, 90.0, None, C90),
            (Insulation::Thwn2, 90.0, Some(90.0), C90),
            (Insulation::Xhhw, 90.0, Some(75.0), C90),
            (Insulation::R, 60.0, None, C60),
            (Insulation::RhRw, 75.0, Some(60.0), C75),
            (Insulation::V, 85.0, None, C75),
            (Insulation::Sb, 90.0, None, C60),
        ] {
            assert_eq!(figures(insulation(kind).unwrap()), (Some(dry), wet, Some(cap)), "{kind}");
        }
        // NFPA 70-2023 334.80, 334.112, 340.80.
        assert_eq!(figures(method_insulation(Method::NmB).unwrap()), (Some(90.0), None, Some(C60)));
        assert_eq!(figures(method_insulation(Method::NmOld).unwrap()), (Some(60.0), None, Some(C60)));
        assert_eq!(figures(method_insulation(Method::Uf).unwrap()), (Some(60.0), Some(60.0), Some(C60)));
        assert_eq!(figures(insulation(Insulation::Welding).unwrap()), (Some(90.0), None, None));
        assert_eq!(figures(insulation(Insulation::A).unwrap()), (None, None, None));
    }

    /// No type may start from a column warmer than its insulation, nor be warmer wet than dry.
    #[test]
    fn the_column_never_exceeds_the_insulation() {
        let table: &Table = &INSULATION_TYPES;
        for at in 0..table.len() {
            let row = row(table.row_name(at)).unwrap();
            if let (Some(cap), Some(dry)) = (row.cap, degrees(row.max_dry)) {
                assert!(cap.value.celsius() <= dry, "{}", table.row_name(at));
                // The column is one that the table prints, not one rounded down to.
                assert_eq!(table.number_at(at, 3), Some(cap.value.celsius()), "{}", table.row_name(at));
            }
            assert!(row.cap.is_none() || row.max_dry.is_some());
            if let Some(wet) = degrees(row.max_wet) {
                assert!(degrees(row.max_dry).unwrap() >= wet);
            }
        }
    }
}
