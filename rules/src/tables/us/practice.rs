//! Figures of common practice that the checks need and no standard gives.

use std::sync::LazyLock;

use super::ids::{row_ids, row_of, text_of};
use super::lookup::column;
use super::{Cell, PRACTICE, Table};

row_ids!(
    /// A figure of common practice.
    PracticeId {
        /// Voltage dip at a motor's terminals while it starts: caution above.
        StartDipCaution = "start_dip_caution";
        /// Voltage dip at a motor's terminals while it starts: it may not start.
        StartDipLimit = "start_dip_limit";
        /// Steady voltage drop that harms equipment.
        DropDanger = "drop_danger";
        /// Lowest multiple of its rating at which a thermal-magnetic breaker opens at once.
        MagneticTripLow = "magnetic_trip_low";
        /// Multiple of its rating at which a thermal-magnetic breaker surely opens at once.
        MagneticTripHigh = "magnetic_trip_high";
        /// Time in which a breaker in its instantaneous band clears.
        BreakerClearingTime = "breaker_clearing_time";
        /// Multiple of its rating at which an ordinary fuse clears in about 0.1 s.
        FuseFast = "fuse_fast";
        /// Cable bought beyond the measured length.
        CableWaste = "cable_waste";
        /// Conductor temperature at which voltage drop is reckoned.
        ConductorTemperature = "conductor_temperature";
        /// Conductor temperature at which the largest fault current is reckoned [°C].
        ColdConductor = "cold_conductor";
        /// Device rating above which an over-fused conductor is a danger, as a multiple of its limit.
        OverfusingDanger = "overfusing_danger";
        /// Share of its plate impedance that a transformer may have.
        TransformerImpedanceLow = "transformer_impedance_low";
        /// Share by which a generator's short-circuit current may differ from its maker's figure [%].
        GeneratorFaultTolerance = "generator_fault_tolerance";
        /// Share by which an inverter's short-circuit current may differ from its maker's figure [%].
        InverterFaultTolerance = "inverter_fault_tolerance";
        /// Fault current from leg to neutral at a centre-tapped transformer, against that between legs.
        LineToNeutralFault = "line_to_neutral_fault";
        /// Surroundings of a run where nobody has measured them.
        TypicalAmbient = "typical_ambient";
        /// Smallest breaker that is quoted for a branch circuit.
        SmallestDevice = "smallest_device";
        /// Share of a solar array's peak power that arrives in an hour of full sun.
        SolarYield = "solar_yield";
        /// Time of one on and off of a load that cycles [min].
        CycleTime = "cycle_time";
        /// Rise of a joint over a like one beside it above which it is looked at [°C].
        WarmerThanNeighbourCaution = "warmer_than_neighbour_caution";
        /// Rise of a joint over a like one beside it above which it is failing [°C].
        WarmerThanNeighbour = "warmer_than_neighbour";
        /// Rise of a joint over its surroundings above which it is looked at [°C].
        WarmerThanSurroundingsCaution = "warmer_than_surroundings_caution";
        /// Rise of a joint over its surroundings above which it is failing [°C].
        WarmerThanSurroundings = "warmer_than_surroundings";
        /// Share below nominal at which a supply may stand [%].
        ServiceVoltageBand = "service_voltage_band";
        /// Share by which a clamp meter and a plate may differ [%].
        ReadingMargin = "reading_margin";
    }
);

static READ: LazyLock<Vec<(Cell<f64>, &'static str)>> =
    LazyLock::new(|| PracticeId::ALL.iter().map(|id| read(*id)).collect());

fn read(id: PracticeId) -> (Cell<f64>, &'static str) {
    let table: &'static Table = &PRACTICE;
    let row = row_of(table, id.id());
    match table.cell(row, column(table, "value")) {
        Some(cell) => (cell, text_of(table, row, "unit")),
        // A test reads every figure, so a release never comes here.
        None => unreachable!("practice {} has no number", id.id()),
    }
}

/// A figure of common practice, in the unit of its row: [`practice_unit`].
#[must_use]
pub fn practice(id: PracticeId) -> Cell<f64> {
    READ[id as usize].0
}

/// The unit of a figure of common practice.
#[must_use]
pub fn practice_unit(id: PracticeId) -> &'static str {
    READ[id as usize].1
}

#[cfg(test)]
mod tests {
    use super::super::ids::same_rows;
    use super::*;
    use crate::tables::Basis;

    #[test]
    fn every_id_is_a_row_and_every_row_an_id() {
        let ids: Vec<_> = PracticeId::ALL.iter().map(|id| id.id()).collect();
        assert!(same_rows(&PRACTICE, &ids));
        for id in PracticeId::ALL {
            let cell = practice(*id);
            assert!(cell.value > 0.0 && !practice_unit(*id).is_empty());
            assert_eq!(cell.place.basis(), Basis::Practice);
        }
    }

    /// Common practice, no source: the order of the figures must hold whatever they are.
    #[test]
    fn the_figures_stand_in_their_order() {
        let figure = |id| practice(id).value;
        assert!(figure(PracticeId::StartDipCaution) < figure(PracticeId::StartDipLimit));
        assert!(figure(PracticeId::MagneticTripLow) < figure(PracticeId::MagneticTripHigh));
        assert!(figure(PracticeId::WarmerThanNeighbourCaution) < figure(PracticeId::WarmerThanNeighbour));
        assert!(
            figure(PracticeId::WarmerThanSurroundingsCaution) < figure(PracticeId::WarmerThanSurroundings)
        );
        // One and a half cycles of 60 Hz.
        assert!((figure(PracticeId::BreakerClearingTime) - 1.5 / 60.0).abs() < 1e-12);
        assert_eq!(
            practice(PracticeId::StartDipCaution).place.to_string(),
            "Common practice figures, row start dip caution, column figure"
        );
    }
}
