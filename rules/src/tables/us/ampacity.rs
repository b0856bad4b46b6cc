//! Ampacity of conductors: Tables 310.16 and 310.17, and 310.16 as it was before 2011.

use std::sync::LazyLock;

use super::lookup::BySize;
use super::{AMPACITY_BEFORE_2011, AMPACITY_IN_FREE_AIR, AMPACITY_IN_RACEWAY, Cell, Table};
use crate::si::{Current, amperes};
use crate::survey::{Material, WireSize};

/// The column of an ampacity table: conductor temperature.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Column {
    /// 60 °C.
    C60,
    /// 75 °C.
    C75,
    /// 90 °C.
    C90,
}

impl Column {
    /// Every column, coolest first.
    pub const ALL: [Self; 3] = [Self::C60, Self::C75, Self::C90];

    /// The column's heading.
    #[must_use]
    pub fn words(self) -> &'static str {
        crate::words::word(match self {
            Self::C60 => "60 °C",
            Self::C75 => "75 °C",
            Self::C90 => "90 °C",
        })
    }

    /// Conductor temperature [°C].
    #[must_use]
    pub fn celsius(self) -> f64 {
        match self {
            Self::C60 => 60.0,
            Self::C75 => 75.0,
            Self::C90 => 90.0,
        }
    }

    /// The warmest column not above a temperature [°C]; `None` below the coolest.
    #[must_use]
    pub fn not_above(celsius: f64) -> Option<Self> {
        Self::ALL.into_iter().rev().find(|column| column.celsius() <= celsius)
    }
}

/// The conductor metals that the tables tell apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Metal {
    /// Copper.
    Copper,
    /// Aluminium, and copper-clad aluminium.
    Aluminium,
}

impl From<Material> for Metal {
    fn from(material: Material) -> Self {
        match material {
            Material::Copper => Self::Copper,
            Material::Aluminium | Material::CopperClad => Self::Aluminium,
        }
    }
}

type Ampacities = LazyLock<BySize<Current, 6>>;

static RACEWAY: Ampacities = LazyLock::new(|| read(&AMPACITY_IN_RACEWAY));
static FREE_AIR: Ampacities = LazyLock::new(|| read(&AMPACITY_IN_FREE_AIR));
static BEFORE_2011: Ampacities = LazyLock::new(|| read(&AMPACITY_BEFORE_2011));

fn read(table: &'static Table) -> BySize<Current, 6> {
    BySize::read(table, ["cu60", "cu75", "cu90", "al60", "al75", "al90"], amperes)
}

fn place(metal: Metal, column: Column) -> usize {
    let first = match metal {
        Metal::Copper => 0,
        Metal::Aluminium => Column::ALL.len(),
    };
    first + column as usize
}

/// Ampacity [A] at 30 °C of at most three current-carrying conductors in raceway, cable or earth:
/// NFPA 70-2023 Table 310.16. `None` for a size the table does not list.
#[must_use]
pub fn ampacity_in_raceway(size: WireSize, metal: Metal, column: Column) -> Option<Cell<Current>> {
    RACEWAY.get(size, place(metal, column))
}

/// Ampacity [A] at 30 °C of a single conductor in free air: NFPA 70-2023 Table 310.17.
/// Not for a bundle, a cable, or a conductor in thermal insulation.
#[must_use]
pub fn ampacity_in_free_air(size: WireSize, metal: Metal, column: Column) -> Option<Cell<Current>> {
    FREE_AIR.get(size, place(metal, column))
}

/// Ampacity [A] as Table 310.16 of editions 1999 to 2008 printed it: to read old labels and plans,
/// never to size new work.
#[must_use]
pub fn ampacity_before_2011(size: WireSize, metal: Metal, column: Column) -> Option<Cell<Current>> {
    BEFORE_2011.get(size, place(metal, column))
}

#[cfg(test)]
mod tests {
    use super::super::super::Basis;
    use super::super::trade_sizes;
    use super::*;
    use crate::si::ampere;

    type LookUp = fn(WireSize, Metal, Column) -> Option<Cell<Current>>;
    const TABLES: [(&str, LookUp); 3] = [
        ("310.16", ampacity_in_raceway),
        ("310.17", ampacity_in_free_air),
        ("before 2011", ampacity_before_2011),
    ];

    fn figure(table: LookUp, size: &str, metal: Metal, column: Column) -> f64 {
        table(WireSize::from_trade(size).unwrap(), metal, column).unwrap().value.get::<ampere>()
    }

    #[test]
    fn known_cells_stand_where_they_are_printed() {
        // NFPA 70-2023 Table 310.16, as IRC 2018 Table E3705.1 reprints it.
        for (size, copper, aluminium) in [
            ("14", [15.0, 20.0, 25.0], None),
            ("12", [20.0, 25.0, 30.0], Some([15.0, 20.0, 25.0])),
            ("6", [55.0, 65.0, 75.0], Some([40.0, 50.0, 55.0])),
            ("2/0", [145.0, 175.0, 195.0], Some([115.0, 135.0, 150.0])),
            ("4/0", [195.0, 230.0, 260.0], Some([150.0, 180.0, 205.0])),
            ("250", [215.0, 255.0, 290.0], Some([170.0, 205.0, 230.0])),
        ] {
            for (column, amps) in Column::ALL.into_iter().zip(copper) {
                assert_eq!(figure(ampacity_in_raceway, size, Metal::Copper, column), amps);
            }
            for (at, column) in Column::ALL.into_iter().enumerate() {
                let size = WireSize::from_trade(size).unwrap();
                let cell = ampacity_in_raceway(size, Metal::Aluminium, column);
                assert_eq!(cell.map(|cell| cell.value.get::<ampere>()), aluminium.map(|row| row[at]));
            }
        }
        // Table 310.17, free-air table of Lessons in Electric Circuits, Reference volume, chapter 3.
        assert_eq!(figure(ampacity_in_free_air, "14", Metal::Copper, Column::C60), 25.0);
        assert_eq!(figure(ampacity_in_free_air, "4/0", Metal::Copper, Column::C90), 405.0);
        // Table 310-16 of the 1999 edition: 12 AWG carried 25 A at 60 °C.
        assert_eq!(figure(ampacity_before_2011, "12", Metal::Copper, Column::C60), 25.0);
    }

    #[test]
    fn what_is_not_printed_is_none() {
        assert!(ampacity_in_raceway(WireSize::Awg(14), Metal::Aluminium, Column::C60).is_none());
        assert!(ampacity_in_raceway(WireSize::Awg(18), Metal::Copper, Column::C75).is_none());
        for size in [WireSize::Awg(5), WireSize::Kcmil(275), WireSize::SquareMillimeter(16.0)] {
            for (name, table) in TABLES {
                assert!(table(size, Metal::Copper, Column::C75).is_none(), "{name} {size}");
            }
        }
    }

    /// Heat flow: a thicker conductor carries more, copper more than aluminium.
    #[test]
    fn every_figure_is_positive_and_rises_with_size_and_copper_is_above_aluminium() {
        for (name, table) in TABLES {
            for column in Column::ALL {
                for metal in [Metal::Copper, Metal::Aluminium] {
                    let row: Vec<f64> = trade_sizes()
                        .iter()
                        .filter_map(|size| table(*size, metal, column))
                        .map(|cell| cell.value.get::<ampere>())
                        .collect();
                    assert!(row.len() >= 23, "{name} {column:?} {metal:?}: {}", row.len());
                    assert!(row[0] > 0.0 && row.windows(2).all(|pair| pair[0] < pair[1]), "{name} {row:?}");
                }
                for size in trade_sizes() {
                    let of = |metal| table(*size, metal, column).map(|cell| cell.value);
                    if let Some(aluminium) = of(Metal::Aluminium) {
                        assert!(of(Metal::Copper).unwrap() > aluminium, "{name} {size}");
                    }
                }
            }
        }
    }

    /// The heat equation of 310.14(B) with 30 °C around: the ratio of two columns is √((T1 − 30)/(T2 − 30)).
    #[test]
    fn columns_keep_the_ratio_of_the_heat_equation() {
        for (name, table) in TABLES {
            for (metal, size) in [Metal::Copper, Metal::Aluminium]
                .into_iter()
                .flat_map(|m| trade_sizes().iter().map(move |s| (m, *s)))
            {
                for pair in Column::ALL.windows(2) {
                    let (Some(cool), Some(warm)) = (table(size, metal, pair[0]), table(size, metal, pair[1]))
                    else {
                        continue;
                    };
                    // The old table lifted the two smallest sizes at 60 °C: 20 and 25 A, as at 75 °C.
                    if name == "before 2011" && matches!(size, WireSize::Awg(12 | 14)) {
                        continue;
                    }
                    let printed = (warm.value / cool.value).value;
                    let by_heat = ((pair[1].celsius() - 30.0) / (pair[0].celsius() - 30.0)).sqrt();
                    assert!(printed > 1.0, "{name} {size}");
                    // Figures are rounded to 5 A: the smaller, the coarser.
                    let coarse = 0.12 + 2.5 / cool.value.get::<ampere>();
                    assert!((printed / by_heat - 1.0).abs() < coarse, "{name} {size} {printed} {by_heat}");
                }
            }
        }
    }

    /// A single conductor in free air loses heat better than three in a pipe.
    #[test]
    fn free_air_is_above_raceway() {
        for metal in [Metal::Copper, Metal::Aluminium] {
            for (size, column) in trade_sizes().iter().flat_map(|s| Column::ALL.map(|c| (*s, c))) {
                if let Some(pipe) = ampacity_in_raceway(size, metal, column) {
                    let air = ampacity_in_free_air(size, metal, column).unwrap();
                    let ratio = (air.value / pipe.value).value;
                    assert!((1.2..1.8).contains(&ratio), "{size} {ratio}");
                }
            }
        }
    }

    #[test]
    fn a_cell_says_where_it_stands_and_how_sure_it_is() {
        let pipe = ampacity_in_raceway(WireSize::Awg(12), Metal::Copper, Column::C60).unwrap();
        assert_eq!(pipe.place.to_string(), "NFPA 70-2023 Table 310.16, row 12, column copper 60 °C");
        assert_eq!(pipe.place.basis(), Basis::Confirmed);
        let air = |size, metal| ampacity_in_free_air(size, metal, Column::C75).unwrap().place.basis();
        assert_eq!(air(WireSize::Awg(4), Metal::Copper), Basis::Confirmed);
        assert_eq!(air(WireSize::Awg(4), Metal::Aluminium), Basis::Memory);
        assert_eq!(air(WireSize::Awg(3), Metal::Copper), Basis::Memory);
        assert_eq!(air(WireSize::Kcmil(250), Metal::Copper), Basis::Memory);
    }

    #[test]
    fn a_temperature_between_columns_takes_the_cooler() {
        assert_eq!(Column::not_above(85.0), Some(Column::C75));
        assert_eq!(Column::not_above(60.0), Some(Column::C60));
        assert_eq!(Column::not_above(59.9), None);
        assert_eq!(Column::not_above(f64::NAN), None);
    }
}
