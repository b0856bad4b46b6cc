//! The current on the battery side of an inverter.

use crate::si::{Current, Power, Ratio, Voltage, ratio};

/// Battery current for an AC output, at this efficiency and battery voltage. Take the lowest
/// working voltage for the largest current. `None` where voltage or efficiency is nought.
#[must_use]
pub fn battery_current(output: Power, efficiency: Ratio, battery: Voltage) -> Option<Current> {
    let possible = battery > Voltage::default() && efficiency.get::<ratio>() > 0.0;
    possible.then(|| output / efficiency / battery)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::si::{ampere, volts, watt};

    fn current(watts: f64, efficiency: f64, battery: f64) -> Option<f64> {
        let efficiency = Ratio::new::<ratio>(efficiency);
        battery_current(Power::new::<watt>(watts), efficiency, volts(battery)).map(|c| c.get::<ampere>())
    }

    /// A syllabus for solar installers, May 2010 (DC-04): 2500 W at 85 % from 22 V: 134 A; times
    /// 1.25 for the conductor 167 A; over the ambient factor 0.71 in the table 235 A.
    #[test]
    fn battery_current_at_the_lowest_voltage() {
        let direct = current(2500.0, 0.85, 22.0).unwrap();
        assert!((direct - 133.68984).abs() < 1e-5);
        assert!((direct * 1.25 - 167.112299).abs() < 1e-5);
        assert!((direct * 1.25 / 0.71 - 235.369436).abs() < 1e-5);
    }

    /// T. R. Kuphaldt, Lessons in Electric Circuits, volume II, chapter 10 (DC-07): two loads of
    /// 10 kW draw 166.67 A at 120 V and 83.33 A at 240 V.
    #[test]
    fn twice_the_voltage_halves_the_current() {
        assert!((current(20_000.0, 1.0, 120.0).unwrap() - 166.666667).abs() < 1e-5);
        assert!((current(20_000.0, 1.0, 240.0).unwrap() - 83.333333).abs() < 1e-5);
    }

    #[test]
    fn no_voltage_no_answer() {
        assert_eq!(current(2500.0, 0.85, 0.0), None);
        assert_eq!(current(2500.0, 0.0, 22.0), None);
    }
}
