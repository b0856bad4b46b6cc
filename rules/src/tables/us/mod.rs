//! The tables of the `us` rule set: NFPA 70, edition 2023, and what it leans on.
//!
//! Each file is read once, at its first look-up, into rows that are found by comparing numbers.
//! Every look-up answers with the [`Cell`] it read, or `None` where the table prints no figure:
//! `None` is an answer that nobody may take for good news.

mod adiabatic;
mod ampacity;
mod battery_rate;
mod battery_voltage;
mod clauses;
mod clear_sky;
mod cords;
mod corrections;
mod demand;
mod devices;
mod grounding;
mod ids;
mod insulation;
mod interrupting;
mod lookup;
mod made_sizes;
mod motors;
mod nominal;
mod old_house;
mod practice;
mod properties;
mod welders;

use std::sync::LazyLock;

use super::{Cell, Table};

pub use adiabatic::*;
pub use ampacity::*;
pub use battery_rate::*;
pub use battery_voltage::*;
pub use clauses::*;
pub use clear_sky::*;
pub use cords::*;
pub use corrections::*;
pub use demand::*;
pub use devices::*;
pub use grounding::*;
pub use insulation::*;
pub use interrupting::*;
pub use made_sizes::*;
pub use motors::*;
pub use nominal::*;
pub use old_house::*;
pub use practice::*;
pub use properties::*;
pub use welders::*;

/// Embeds the table files and lists them in the order in which an appendix prints them.
macro_rules! embed {
    ($($name:ident = $file:literal;)+) => {
        $(static $name: LazyLock<Table> =
            LazyLock::new(|| Table::embedded(concat!("us/", $file), include_str!($file)));)+

        /// Every table of the rule set, in the order in which an appendix prints them.
        #[must_use]
        pub fn all() -> Vec<&'static Table> {
            vec![$(LazyLock::force(&$name)),+]
        }
    };
}

embed! {
    AMPACITY_IN_RACEWAY = "ampacity_in_raceway.csv";
    AMPACITY_IN_FREE_AIR = "ampacity_in_free_air.csv";
    AMPACITY_BEFORE_2011 = "ampacity_before_2011.csv";
    AMBIENT_FACTORS = "ambient_factors.csv";
    BUNDLING_FACTORS = "bundling_factors.csv";
    INSULATION_TYPES = "insulation_types.csv";
    SMALL_CONDUCTORS = "small_conductors.csv";
    STANDARD_RATINGS = "standard_ratings.csv";
    DWELLING_SERVICE = "dwelling_service.csv";
    EQUIPMENT_GROUND = "equipment_ground.csv";
    ELECTRODE_CONDUCTOR = "electrode_conductor.csv";
    BONDING_JUMPER = "bonding_jumper.csv";
    CONDUCTOR_PROPERTIES = "conductor_properties.csv";
    AC_IMPEDANCE = "ac_impedance.csv";
    CORD_AMPACITY = "cord_ampacity.csv";
    POWER_CABLE_AMPACITY = "power_cable_ampacity.csv";
    BATTERY_CABLE_AMPACITY = "battery_cable_ampacity.csv";
    INTERRUPTING_RATINGS = "interrupting_ratings.csv";
    BATTERY_FAULT_CURRENT = "battery_fault_current.csv";
    BATTERY_VOLTAGE = "battery_voltage.csv";
    BATTERY_RATE = "battery_rate.csv";
    BATTERY_COLD = "battery_cold.csv";
    CLEAR_SKY = "clear_sky.csv";
    RANGE_DEMAND = "range_demand.csv";
    DRYER_DEMAND = "dryer_demand.csv";
    DWELLING_DEMAND = "dwelling_demand.csv";
    MOTOR_FULL_LOAD = "motor_full_load.csv";
    MOTOR_LOCKED_ROTOR = "motor_locked_rotor.csv";
    MOTOR_VOLTAGES = "motor_voltages.csv";
    MOTOR_CODE_LETTERS = "motor_code_letters.csv";
    MOTOR_DEVICES = "motor_devices.csv";
    WELDER_DUTY = "welder_duty.csv";
    NOMINAL_VOLTAGES = "nominal_voltages.csv";
    NOMINAL_VOLTAGES_IEC = "nominal_voltages_iec.csv";
    ADIABATIC_K = "adiabatic_k.csv";
    CLAUSES = "clauses.csv";
    OLD_HOUSE = "old_house.csv";
    PRACTICE = "practice.csv";
    MADE_SIZES = "made_sizes.csv";
}

#[cfg(test)]
mod tests {
    use super::super::Basis;
    use super::*;

    #[test]
    fn every_file_is_read_and_listed_once() {
        let tables = all();
        let mut files: Vec<_> = tables.iter().map(|table| table.file()).collect();
        files.sort_unstable();
        files.dedup();
        assert_eq!(files.len(), tables.len());
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/src/tables/us");
        let on_disk = std::fs::read_dir(folder)
            .unwrap()
            .filter(|entry| entry.as_ref().unwrap().path().extension().is_some_and(|end| end == "csv"))
            .count();
        assert_eq!(tables.len(), on_disk);
        for table in tables {
            assert!(!table.is_empty() && !table.sources().is_empty(), "{}", table.file());
        }
    }

    #[test]
    fn every_basis_and_every_heading_names_a_column_that_exists() {
        for table in all() {
            for column in table.columns() {
                if let Some(of) = column.strip_prefix("basis ") {
                    assert!(table.column(of).is_some(), "{} {column}", table.file());
                }
            }
            for row in 0..table.len() {
                for (at, name) in table.columns().iter().enumerate() {
                    let text = table.text(row, at);
                    let is_basis = name == "basis" || (name.starts_with("basis ") && !text.is_empty());
                    assert!(!is_basis || Basis::from_code(text).is_some(), "{} {text}", table.file());
                }
            }
            for at in table.head_columns() {
                assert!(table.column(at).is_some(), "{} heads {at}", table.file());
            }
        }
    }
}
