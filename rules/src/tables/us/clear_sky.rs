//! Constants of the sun under a cloudless sky.

use std::sync::LazyLock;

use super::ids::{row_ids, row_of};
use super::lookup::column;
use super::{CLEAR_SKY, Cell, Table};

row_ids!(
    /// A constant of the sun.
    ClearSkyId {
        /// Sun above the air [MJ/m²/min].
        SolarConstant = "solar_constant";
        /// Share by which the distance to the sun changes it.
        Distance = "distance";
        /// Largest angle of the sun from the equator [rad].
        Declination = "declination";
        /// Phase of that angle at the beginning of the year [rad].
        DeclinationPhase = "declination_phase";
        /// Share that a cloudless sky lets through at sea level.
        ClearShare = "clear_share";
        /// Days of a year.
        DaysOfYear = "days_of_year";
        /// Days from the middle of one month to that of the next.
        MonthDays = "month_days";
        /// Days by which the middle of January comes before that.
        MonthStart = "month_start";
    }
);

static READ: LazyLock<Vec<Cell<f64>>> = LazyLock::new(|| {
    let table: &'static Table = &CLEAR_SKY;
    let read = |id: &ClearSkyId| match table.cell(row_of(table, id.id()), column(table, "value")) {
        Some(cell) => cell,
        // A test reads every constant, so a release never comes here.
        None => unreachable!("the sun has no {}", id.id()),
    };
    ClearSkyId::ALL.iter().map(read).collect()
});

/// A constant of the sun, in the unit of its row.
#[must_use]
pub fn clear_sky(id: ClearSkyId) -> Cell<f64> {
    READ[id as usize]
}

#[cfg(test)]
mod tests {
    use super::super::ids::same_rows;
    use super::*;

    #[test]
    fn every_constant_is_a_row_and_every_row_a_constant() {
        let ids: Vec<_> = ClearSkyId::ALL.iter().map(|id| id.id()).collect();
        assert!(same_rows(&CLEAR_SKY, &ids));
        assert!(ClearSkyId::ALL.iter().all(|id| clear_sky(*id).value > 0.0));
    }
}
