//! Arc welders: what their duty cycle leaves of the rated primary current.

use super::lookup::{NOISE, column};
use super::{Cell, Table, WELDER_DUTY};
use crate::si::{Ratio, percent};
use crate::survey::WelderKind;

/// The factor for the conductor of an arc welder of this duty cycle: NFPA 70-2023 Table 630.11(A). Without a duty
/// cycle the smallest one, which asks for least; above 100 % that of 100 %.
#[must_use]
pub fn welder_factor(kind: WelderKind, duty: Option<Ratio>) -> Option<Cell<f64>> {
    let table: &'static Table = &WELDER_DUTY;
    let name = match kind {
        WelderKind::Nonmotor => "nonmotor",
        WelderKind::MotorGenerator => "motor_generator",
    };
    let duty = duty.map_or(0.0, |duty| duty.get::<percent>() * (1.0 - NOISE));
    let reaches = |row: &usize| table.row_name(*row).parse::<f64>().is_ok_and(|own| duty <= own);
    let row = (0..table.len()).find(reaches).or(table.len().checked_sub(1))?;
    table.cell(row, column(table, name))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn factor(kind: WelderKind, duty: f64) -> f64 {
        welder_factor(kind, Some(Ratio::new::<percent>(duty))).unwrap().value
    }

    /// The heat of a current that flows for a share of the time is that of its root: √0.4 = 0.63. The table has
    /// 0.78 for √0.6 = 0.775.
    #[test]
    fn without_a_motor_it_is_the_root_of_the_duty_cycle() {
        for duty in [20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0, 100.0_f64] {
            let root = (duty / 100.0).sqrt();
            assert!((factor(WelderKind::Nonmotor, duty) - root).abs() < 0.0055, "{duty}");
            assert!(factor(WelderKind::MotorGenerator, duty) >= factor(WelderKind::Nonmotor, duty));
        }
    }

    /// NFPA 70-2023 Table 630.11(A), from memory: 40 % is 0.63 and 0.69, 20 % or less 0.45 and 0.55.
    #[test]
    fn between_two_rows_the_next_one_up_counts() {
        assert_eq!((factor(WelderKind::Nonmotor, 40.0), factor(WelderKind::Nonmotor, 40.1)), (0.63, 0.71));
        assert_eq!(factor(WelderKind::MotorGenerator, 40.0), 0.69);
        assert_eq!(
            (factor(WelderKind::Nonmotor, 5.0), factor(WelderKind::MotorGenerator, 20.0)),
            (0.45, 0.55)
        );
        assert_eq!(factor(WelderKind::Nonmotor, 120.0), 1.0);
        assert_eq!(welder_factor(WelderKind::Nonmotor, None).map(|cell| cell.value), Some(0.45));
    }
}
