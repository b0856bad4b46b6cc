//! The short ways to a voltage drop that an electrician checks with.

use super::phasor::{Impedance, sine};
use crate::si::{Area, Current, Length, Resistivity, Voltage};

/// How the conductors of a circuit share the way: 2 for out and back, √3 for three phases.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Phases {
    /// Two wires, out and back.
    Single,
    /// Three phase conductors, balanced; voltage between two of them.
    Three,
}

impl Phases {
    /// The factor on the drop of one conductor.
    #[must_use]
    pub fn factor(self) -> f64 {
        match self {
            Self::Single => 2.0,
            Self::Three => 3.0_f64.sqrt(),
        }
    }
}

/// ΔU ≈ I (R cos φ + X sin φ) over a loop. Within a few percent of the exact drop while that is
/// small; constant-power loads draw more as the voltage sags, which it leaves out.
#[must_use]
pub fn estimate(current: Current, round: Impedance, power_factor: f64) -> Voltage {
    let cosine = power_factor.clamp(0.0, 1.0);
    current * (round.resistance * cosine + round.reactance * sine(cosine))
}

/// The circular-mil form: factor × K × I × one-way length / area.
#[must_use]
pub fn by_area(phases: Phases, k: Resistivity, current: Current, one_way: Length, area: Area) -> Voltage {
    k * one_way / area * current * phases.factor()
}

/// The area that keeps a drop: factor × K × I × one-way length / drop. No drop allowed gives no
/// area.
#[must_use]
pub fn area_for(
    phases: Phases,
    k: Resistivity,
    current: Current,
    one_way: Length,
    drop: Voltage,
) -> Option<Area> {
    let allowed = drop > Voltage::default();
    allowed.then(|| k * one_way * current * phases.factor() / drop)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::si::{Resistance, amperes, circular_mil, foot, ohm, volt, volts};

    fn k(number: f64) -> Resistivity {
        Resistance::new::<ohm>(number) * Area::new::<circular_mil>(1.0) / Length::new::<foot>(1.0)
    }

    fn feet(number: f64) -> Length {
        Length::new::<foot>(number)
    }

    /// M. Holt in EC&M magazine, single-phase formula (VD-01): 12 AWG of 6530 circular mils, 16 A,
    /// 100 ft, K 12.9. From memory; 2 × 12.9 × 16 × 100 / 6530 = 6.3216 V.
    #[test]
    fn circular_mil_form() {
        let area = Area::new::<circular_mil>(6530.0);
        let drop = by_area(Phases::Single, k(12.9), amperes(16.0), feet(100.0), area);
        assert!((drop.get::<volt>() - 6.321593).abs() < 1e-5);
    }

    /// EC&M magazine, "The basics of calculating voltage drop", example 1 (VD-03): √3 × 20 A ×
    /// 1.1 Ω per 1000 ft × 200 ft; the page rounds 7.62 V to 7.7 V.
    #[test]
    fn three_phase_factor() {
        let one_conductor = Impedance::ohms(1.1 * 0.2, 0.0);
        let drop = estimate(amperes(20.0), one_conductor * Phases::Three.factor(), 1.0);
        assert!((drop.get::<volt>() - 7.621024).abs() < 1e-5);
    }

    /// Electrical Exam Seminars, single-phase wire size question (VD-05): 38 700 circular mils;
    /// EC&M, same page, example 2 (VD-08): 6206.3 by √3 (the page: 6207, from √3 = 1.732).
    #[test]
    fn area_for_a_drop() {
        let single = area_for(Phases::Single, k(12.9), amperes(30.0), feet(180.0), volts(3.6)).unwrap();
        assert!((single.get::<circular_mil>() - 38_700.0).abs() < 0.01);
        let three = area_for(Phases::Three, k(12.9), amperes(20.0), feet(200.0), volts(14.4)).unwrap();
        assert!((three.get::<circular_mil>() - 6207.0).abs() < 1.5);
        assert_eq!(area_for(Phases::Single, k(12.9), amperes(30.0), feet(180.0), volts(0.0)), None);
    }

    /// The everyday estimate beside the exact case with three loads, sum over the sections at
    /// nominal current: 6.1145 V (own arithmetic, independent script).
    #[test]
    fn estimate_of_a_loop() {
        let current = amperes(2500.0 / 0.85 / 240.0);
        let drop = estimate(current, Impedance::ohms(0.28, 0.00756), 0.85);
        assert!((drop.get::<volt>() - 2.9654715).abs() < 1e-6);
    }

    /// electrician2.com, low-voltage notes page 135 (DC-01): 24 V, 4 A, 100 ft of 16 AWG at 4.99 Ω
    /// per 1000 ft: 3.992 V.
    #[test]
    fn direct_current_has_resistance_only() {
        let drop = estimate(amperes(4.0), Impedance::ohms(2.0 * 4.99 * 0.1, 0.0), 1.0);
        assert!((drop.get::<volt>() - 3.992).abs() < 1e-9);
    }
}
