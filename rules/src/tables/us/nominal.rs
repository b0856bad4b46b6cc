//! Nominal voltages of the systems met in dwellings: NFPA 70-2023 220.5(A), and of what may be brought to one from
//! elsewhere: IEC 60038.

use std::sync::LazyLock;

use super::lookup::column;
use super::{Cell, NOMINAL_VOLTAGES, NOMINAL_VOLTAGES_IEC, Table};
use crate::si::{Voltage, volts};
use crate::survey::Output;

/// The nominal voltages of a system.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NominalVoltages {
    /// Between two hots; none where there is one hot, or both carry the same leg.
    pub between_hots: Option<Cell<Voltage>>,
    /// Between a hot and the neutral; none where there is no neutral.
    pub to_neutral: Option<Cell<Voltage>>,
}

static SYSTEMS: LazyLock<Vec<Option<NominalVoltages>>> =
    LazyLock::new(|| Output::ALL.iter().map(|output| read(*output)).collect());

fn read(output: Output) -> Option<NominalVoltages> {
    let tables: [&'static Table; 2] = [&NOMINAL_VOLTAGES, &NOMINAL_VOLTAGES_IEC];
    let (table, row) = tables.into_iter().find_map(|table| Some((table, table.row(output.file_word())?)))?;
    let cell = |name| Some(table.cell(row, column(table, name))?.map(volts));
    Some(NominalVoltages { between_hots: cell("between_hots"), to_neutral: cell("to_neutral") })
}

/// The nominal voltages of what a supply gives; `None` for direct current.
#[must_use]
pub fn nominal_voltages(output: Output) -> Option<NominalVoltages> {
    SYSTEMS[output as usize]
}

/// Whether a load of this voltage is connected between two hots: its voltage lies nearer to the
/// lowest nominal voltage between hots than to the one to neutral.
#[must_use]
pub fn is_between_hots(voltage: Voltage) -> bool {
    static BOUND: LazyLock<Voltage> = LazyLock::new(|| {
        let wye = nominal_voltages(Output::Wye);
        let cells = wye.and_then(|wye| wye.between_hots.zip(wye.to_neutral));
        cells.map_or(Voltage::default(), |(hots, neutral)| (hots.value + neutral.value) / 2.0)
    });
    voltage > *BOUND
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::si::volt;

    fn of(output: Output) -> [Option<f64>; 2] {
        let found = nominal_voltages(output).unwrap();
        [found.between_hots, found.to_neutral].map(|cell| cell.map(|cell| cell.value.get::<volt>()))
    }

    /// ANSI C84.1, nominal system voltages: 120, 120/240, 208Y/120, 240 V.
    #[test]
    fn every_alternating_system_has_its_voltages() {
        assert_eq!(of(Output::Split), [Some(240.0), Some(120.0)]);
        assert_eq!(of(Output::Wye), [Some(208.0), Some(120.0)]);
        assert_eq!(of(Output::Two240), [Some(240.0), None]);
        assert_eq!(of(Output::Single120), [None, Some(120.0)]);
        assert_eq!(of(Output::Both120), [None, Some(120.0)]);
        // IEC 60038:2009 Table 1, from memory.
        assert_eq!(of(Output::Single230), [None, Some(230.0)]);
        assert_eq!(nominal_voltages(Output::Dc), None);
        let read = Output::ALL.iter().filter(|output| nominal_voltages(**output).is_some()).count();
        assert_eq!(read, NOMINAL_VOLTAGES.len() + NOMINAL_VOLTAGES_IEC.len());
    }

    #[test]
    fn the_voltage_of_a_load_tells_where_it_is_connected() {
        // Plate voltages in use: 115, 120, 125 V to neutral; 208, 220, 230, 240, 250 V between hots.
        for (voltage, hots) in
            [(115.0, false), (120.0, false), (125.0, false), (208.0, true), (230.0, true), (250.0, true)]
        {
            assert_eq!(is_between_hots(volts(voltage)), hots, "{voltage}");
        }
    }
}
