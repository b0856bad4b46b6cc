//! Motors: full-load and locked-rotor current, code letters, short-circuit devices.

use std::sync::LazyLock;

use super::lookup::{NOISE, column};
use super::{
    Cell, MOTOR_CODE_LETTERS, MOTOR_DEVICES, MOTOR_FULL_LOAD, MOTOR_LOCKED_ROTOR, MOTOR_VOLTAGES, Table,
};
use crate::si::{Current, Power, Voltage, ampere, amperes, horsepower_electric, volt};
use crate::survey::CodeLetter;

/// Relative slack between a plate's horsepower and a row: the file rounds 1/3 hp to 0.3333.
const HORSEPOWER_ROUNDING: f64 = 0.001;

/// The motor voltages, each with the column of the tables and the system voltages it serves [V].
static VOLTAGES: LazyLock<Vec<(String, f64, f64)>> = LazyLock::new(|| {
    let table: &'static Table = &MOTOR_VOLTAGES;
    let (low, high) = (column(table, "low"), column(table, "high"));
    (0..table.len())
        .filter_map(|row| {
            let name = format!("v{}", table.row_name(row));
            Some((name, table.number_at(row, low)?, table.number_at(row, high)?))
        })
        .collect()
});

/// A table by horsepower: one column for each row of [`VOLTAGES`].
type ByPower = Vec<(f64, Vec<Option<Cell<Current>>>)>;

static FULL_LOAD: LazyLock<ByPower> = LazyLock::new(|| by_power(&MOTOR_FULL_LOAD));
static LOCKED_ROTOR: LazyLock<ByPower> = LazyLock::new(|| by_power(&MOTOR_LOCKED_ROTOR));

fn by_power(table: &'static Table) -> ByPower {
    let power = column(table, "decimal");
    let cells = |row| {
        VOLTAGES.iter().map(|(name, ..)| Some(table.cell(row, table.column(name)?)?.map(amperes))).collect()
    };
    (0..table.len()).filter_map(|row| Some((table.number_at(row, power)?, cells(row)))).collect()
}

fn look_up(rows: &ByPower, horsepower: Power, voltage: Voltage) -> Option<Cell<Current>> {
    let (horsepower, voltage) = (horsepower.get::<horsepower_electric>(), voltage.get::<volt>());
    let column = VOLTAGES
        .iter()
        .position(|(_, low, high)| (low * (1.0 - NOISE)..=high * (1.0 + NOISE)).contains(&voltage))?;
    let (_, cells) =
        rows.iter().find(|(listed, _)| (horsepower - listed).abs() <= listed * HORSEPOWER_ROUNDING)?;
    *cells.get(column)?
}

/// Full-load current [A] of a single-phase motor: NFPA 70-2023 Table 430.248. The voltage is that of
/// the system. `None` for a horsepower or voltage that the table does not list.
#[must_use]
pub fn full_load_current(horsepower: Power, voltage: Voltage) -> Option<Cell<Current>> {
    look_up(&FULL_LOAD, horsepower, voltage)
}

/// Locked-rotor current [A] of a single-phase motor: NFPA 70-2023 Table 430.251(A); only where the
/// plate gives neither locked-rotor amperes nor a code letter. `None` for a horsepower or voltage
/// that the table does not list.
#[must_use]
pub fn locked_rotor_current(horsepower: Power, voltage: Voltage) -> Option<Cell<Current>> {
    look_up(&LOCKED_ROTOR, horsepower, voltage)
}

/// Lowest and highest figure of a range; `None` where it is open.
pub type RangeCells = (Option<Cell<f64>>, Option<Cell<f64>>);

static CODE_LETTERS: LazyLock<Vec<Option<RangeCells>>> = LazyLock::new(|| {
    let table: &'static Table = &MOTOR_CODE_LETTERS;
    let (low, high) = (column(table, "low"), column(table, "high"));
    CodeLetter::ALL
        .iter()
        .map(|letter| {
            let row = table.row(letter.file_word())?;
            Some((table.cell(row, low), table.cell(row, high)))
        })
        .collect()
});

/// Lowest and highest locked-rotor kVA per horsepower of a code letter: NFPA 70-2023
/// Table 430.7(B). The last letter has no highest.
#[must_use]
pub fn code_letter_kva_per_hp(letter: CodeLetter) -> Option<RangeCells> {
    CODE_LETTERS.get(letter as usize).copied().flatten()
}

/// The short-circuit devices of a motor circuit that Table 430.52(C)(1) lists.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MotorDevice {
    /// A fuse without time delay.
    NontimeDelayFuse,
    /// A dual-element time-delay fuse.
    DualElementFuse,
    /// An inverse-time breaker: every ordinary breaker.
    InverseTimeBreaker,
}

/// Percent of full-load current for the short-circuit device of a motor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MotorPercent {
    /// What to start from; it may be rounded up to the next standard rating (Exception 1).
    pub base: Cell<f64>,
    /// Never above this, where the motor does not start on the first (Exception 2).
    pub most: Option<Cell<f64>>,
}

/// Rows of single-phase motors: device, upper end of the rating or full-load current [A], percents.
static PERCENTS: LazyLock<Vec<(MotorDevice, f64, MotorPercent)>> = LazyLock::new(|| {
    let table: &'static Table = &MOTOR_DEVICES;
    let at = ["device", "motor", "through", "base", "most"].map(|name| column(table, name));
    (0..table.len())
        .filter(|row| table.text(*row, at[1]) == "single-phase")
        .filter_map(|row| {
            let device = match table.text(row, at[0]) {
                "nontime-delay fuse" => MotorDevice::NontimeDelayFuse,
                "dual-element fuse" => MotorDevice::DualElementFuse,
                "inverse-time breaker" => MotorDevice::InverseTimeBreaker,
                _ => return None,
            };
            let through = table.number_at(row, at[2]).unwrap_or(f64::INFINITY);
            Some((
                device,
                through,
                MotorPercent { base: table.cell(row, at[3])?, most: table.cell(row, at[4]) },
            ))
        })
        .collect()
});

/// Percent of full-load current for the short-circuit device of a single-phase motor: NFPA 70-2023
/// Table 430.52(C)(1) and its exceptions. `of` is what the row depends on: the full-load current for
/// a breaker, the rating of the fuse for a fuse.
#[must_use]
pub fn motor_device_percent(device: MotorDevice, of: Current) -> Option<MotorPercent> {
    let of = of.get::<ampere>() * (1.0 - NOISE);
    PERCENTS.iter().find(|(own, through, _)| *own == device && of <= *through).map(|(.., percent)| *percent)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::si::{volts, watt};

    fn hp(number: f64) -> Power {
        Power::new::<horsepower_electric>(number)
    }

    fn amps(cell: Option<Cell<Current>>) -> Option<f64> {
        cell.map(|cell| cell.value.get::<ampere>())
    }

    #[test]
    fn full_load_currents_stand_where_they_are_printed() {
        // NFPA 70-1999 Table 430-148, unchanged as NFPA 70-2023 Table 430.248.
        for (power, system, wanted) in [
            (1.0 / 6.0, 115.0, Some(4.4)),
            (1.0 / 3.0, 120.0, Some(7.2)),
            (0.5, 110.0, Some(9.8)),
            (0.5, 240.0, Some(4.9)),
            (0.75, 208.0, Some(7.6)),
            (1.5, 230.0, Some(10.0)),
            (7.5, 200.0, Some(46.0)),
            (10.0, 220.0, Some(50.0)),
            (0.6, 230.0, None),
            (15.0, 230.0, None),
            (1.0, 109.9, None),
            (1.0, 120.1, None),
            (1.0, 201.0, None),
            (1.0, 219.9, None),
            (1.0, 240.1, None),
            (1.0, f64::NAN, None),
            (f64::NAN, 230.0, None),
        ] {
            assert_eq!(amps(full_load_current(hp(power), volts(system))), wanted, "{power} hp {system} V");
        }
        assert_eq!(
            full_load_current(hp(1.5), volts(240.0)).unwrap().place.to_string(),
            "NFPA 70-2023 Table 430.248, row 1-1/2, column 230 V"
        );
        // A plate in watts: 746 W is 1 hp.
        assert_eq!(amps(full_load_current(Power::new::<watt>(746.0), volts(230.0))), Some(8.0));
    }

    /// The same shaft power at half the voltage asks for twice the current.
    #[test]
    fn full_load_currents_rise_with_power_and_fall_with_voltage() {
        let mut last = 0.0;
        for (power, _) in FULL_LOAD.iter() {
            let at = |system| amps(full_load_current(hp(*power), volts(system))).unwrap();
            assert!((at(115.0) / at(230.0) - 2.0).abs() < 0.01, "{power}");
            assert!((at(208.0) / at(230.0) - 1.10).abs() < 0.02, "{power}");
            assert!((at(200.0) / at(230.0) - 1.15).abs() < 0.02, "{power}");
            assert!(at(230.0) > last);
            last = at(230.0);
        }
        assert_eq!(FULL_LOAD.len(), 12);
    }

    /// NFPA 70-2008 Table 430.251(A) is six times the full-load current, 208 V within 2 A.
    #[test]
    fn locked_rotor_is_six_times_full_load() {
        assert_eq!(LOCKED_ROTOR.len(), 9);
        for (power, _) in LOCKED_ROTOR.iter() {
            for (system, slack) in [(115.0, 1e-6), (208.0, 2.0), (230.0, 1e-6)] {
                let locked = amps(locked_rotor_current(hp(*power), volts(system))).unwrap();
                let running = amps(full_load_current(hp(*power), volts(system))).unwrap();
                assert!((locked - 6.0 * running).abs() <= slack, "{power} {system}");
            }
            assert_eq!(locked_rotor_current(hp(*power), volts(200.0)), None);
        }
        assert_eq!(locked_rotor_current(hp(1.0 / 3.0), volts(115.0)), None);
    }

    /// NEMA MG 1 10.37.2: the ranges follow on each other.
    #[test]
    fn code_letters_follow_without_gap() {
        let ranges: Vec<RangeCells> =
            CodeLetter::ALL.iter().map(|letter| code_letter_kva_per_hp(*letter).unwrap()).collect();
        assert_eq!(ranges.len(), MOTOR_CODE_LETTERS.len());
        for pair in ranges.windows(2) {
            let (high, next) = (pair[0].1.unwrap().value, pair[1].0.unwrap().value);
            assert!((next - high - 0.01).abs() < 1e-9, "{high} {next}");
        }
        let g = code_letter_kva_per_hp(CodeLetter::G).unwrap();
        assert_eq!((g.0.unwrap().value, g.1.unwrap().value), (5.6, 6.29));
        assert!(code_letter_kva_per_hp(CodeLetter::V).unwrap().1.is_none());
    }

    #[test]
    fn motor_devices_have_their_percents_on_both_sides_of_the_edge() {
        // NFPA 70-2008 430.52(C)(1), Exceptions 1 and 2.
        let of = |device, current| {
            let percent = motor_device_percent(device, amperes(current)).unwrap();
            (percent.base.value, percent.most.map(|cell| cell.value))
        };
        assert_eq!(of(MotorDevice::InverseTimeBreaker, 100.0), (250.0, Some(400.0)));
        assert_eq!(of(MotorDevice::InverseTimeBreaker, 100.1), (250.0, Some(300.0)));
        assert_eq!(of(MotorDevice::NontimeDelayFuse, 600.0), (300.0, Some(400.0)));
        assert_eq!(of(MotorDevice::NontimeDelayFuse, 601.0), (300.0, Some(300.0)));
        assert_eq!(of(MotorDevice::DualElementFuse, 30.0), (175.0, Some(225.0)));
        assert_eq!(motor_device_percent(MotorDevice::NontimeDelayFuse, amperes(6001.0)), None);
        assert_eq!(motor_device_percent(MotorDevice::InverseTimeBreaker, amperes(f64::NAN)), None);
    }
}
