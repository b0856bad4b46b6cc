//! Complex impedances as quantities. Magnitudes are taken by square root only, which every
//! machine rounds alike (`hypot` and the angle functions are not).

use std::iter::Sum;
use std::ops::{Add, Mul};

use num_complex::Complex64;

use crate::si::{Resistance, ohm, ratio};

/// An impedance: resistance and reactance [Ω].
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Impedance {
    /// Resistance.
    pub resistance: Resistance,
    /// Reactance; inductive is positive.
    pub reactance: Resistance,
}

impl Impedance {
    /// An impedance of so many ohms.
    #[must_use]
    pub fn ohms(resistance: f64, reactance: f64) -> Self {
        Self { resistance: Resistance::new::<ohm>(resistance), reactance: Resistance::new::<ohm>(reactance) }
    }

    /// An impedance of this magnitude of which `share` (0 to 1) is resistance; a share outside
    /// that range counts as its nearer end.
    #[must_use]
    pub fn of_magnitude(magnitude: Resistance, share: f64) -> Self {
        let share = share.clamp(0.0, 1.0);
        Self { resistance: magnitude * share, reactance: magnitude * sine(share) }
    }

    /// The magnitude.
    #[must_use]
    pub fn magnitude(self) -> Resistance {
        Resistance::new::<ohm>(magnitude(self.complex()))
    }

    /// Share of resistance in the magnitude: the power factor that it has by itself. 1 for nothing.
    #[must_use]
    pub fn share_of_resistance(self) -> f64 {
        let whole = self.magnitude();
        let nothing = whole <= Resistance::default();
        if nothing { 1.0 } else { (self.resistance / whole).get::<ratio>() }
    }

    /// As a complex number [Ω].
    #[must_use]
    pub fn complex(self) -> Complex64 {
        Complex64::new(self.resistance.get::<ohm>(), self.reactance.get::<ohm>())
    }
}

impl Add for Impedance {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self { resistance: self.resistance + other.resistance, reactance: self.reactance + other.reactance }
    }
}

impl Mul<f64> for Impedance {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self { resistance: self.resistance * factor, reactance: self.reactance * factor }
    }
}

impl Sum for Impedance {
    fn sum<I: Iterator<Item = Self>>(all: I) -> Self {
        all.fold(Self::default(), |sum, next| sum + next)
    }
}

/// The magnitude of a complex number.
#[must_use]
pub(crate) fn magnitude(number: Complex64) -> f64 {
    number.norm_sqr().sqrt()
}

/// The sine that belongs to a cosine (or the other way round), both from 0 to 1.
#[must_use]
pub(crate) fn sine(cosine: f64) -> f64 {
    (1.0 - cosine * cosine).max(0.0).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_magnitude_is_split_and_joined() {
        let impedance = Impedance::of_magnitude(Resistance::new::<ohm>(5.0), 0.6);
        assert!((impedance.reactance.get::<ohm>() - 4.0).abs() < 1e-12);
        assert!((impedance.magnitude().get::<ohm>() - 5.0).abs() < 1e-12);
        let whole = Impedance::of_magnitude(Resistance::new::<ohm>(5.0), 10.0);
        assert_eq!(whole, Impedance::ohms(5.0, 0.0));
    }
}
