//! What a shared neutral carries, and what happens to the voltages when it opens.

use crate::si::{Current, Resistance, Voltage, ampere, amperes};

/// Neutral current of a wye with these leg currents, all at the same power factor:
/// √(a² + b² + c² − ab − bc − ca).
#[must_use]
pub fn of_wye(a: Current, b: Current, c: Current) -> Current {
    let [a, b, c] = [a, b, c].map(|leg| leg.get::<ampere>());
    amperes((a * a + b * b + c * c - a * b - b * c - c * a).max(0.0).sqrt())
}

/// Neutral current of opposite legs of a 120/240 V system: their difference.
#[must_use]
pub fn of_split_phase(a: Current, b: Current) -> Current {
    if a > b { a - b } else { b - a }
}

/// Neutral current where one 120 V source feeds both hots: their sum, on a wire that no device
/// protects.
#[must_use]
pub fn of_one_source(a: Current, b: Current) -> Current {
    a + b
}

/// The voltages over the loads of the two legs when their neutral opens: in series on the voltage
/// between the hots, the smaller load (larger resistance) gets the higher voltage. `None` where
/// both are shorts.
#[must_use]
pub fn when_open(a: Resistance, b: Resistance, between_hots: Voltage) -> Option<(Voltage, Voltage)> {
    let whole = a + b;
    (whole > Resistance::default()).then(|| (between_hots * (a / whole), between_hots * (b / whole)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::si::{ohm, volt, volts};

    fn near(found: Current, wanted: f64) -> bool {
        (found.get::<ampere>() - wanted).abs() < 1e-9
    }

    /// A contributor's answer in an electricians' forum (MW-01): 5, 8 and 0 A give 7 A. The
    /// same forum (MW-03): 5/5/5 gives 0, 5/5/0 gives 5 A.
    #[test]
    fn neutral_of_a_wye() {
        let wye = |a, b, c| of_wye(amperes(a), amperes(b), amperes(c));
        assert!(near(wye(5.0, 8.0, 0.0), 7.0));
        assert!(near(wye(5.0, 5.0, 5.0), 0.0));
        assert!(near(wye(5.0, 5.0, 0.0), 5.0));
    }

    /// The same thread (MW-07): 5 and 8 A leave 3 A. A text book of residential wiring, chapter 17
    /// (MW-05): 10 and 5 A leave 5 A; 12 and 24 Ω in series on 240 V get 80 and 160 V.
    #[test]
    fn neutral_of_split_phase() {
        assert!(near(of_split_phase(amperes(5.0), amperes(8.0)), 3.0));
        assert!(near(of_split_phase(amperes(10.0), amperes(5.0)), 5.0));
        let resistance = Resistance::new::<ohm>;
        let (a, b) = when_open(resistance(12.0), resistance(24.0), volts(240.0)).unwrap();
        assert!((a.get::<volt>() - 80.0).abs() < 1e-9 && (b.get::<volt>() - 160.0).abs() < 1e-9);
        assert_eq!(when_open(resistance(0.0), resistance(0.0), volts(240.0)), None);
    }

    /// An inverter maker's manual, appendix on multiwire circuits (NO-01): two 15 A legs on one
    /// 120 V source load the neutral with 30 A. A forum thread (NO-03): 10 and 10 A in phase give
    /// 20 A. Another manual (NO-05): with an autotransformer the difference is back: 0 A.
    #[test]
    fn neutral_of_one_source() {
        assert!(near(of_one_source(amperes(15.0), amperes(15.0)), 30.0));
        assert!(near(of_one_source(amperes(10.0), amperes(10.0)), 20.0));
        assert!(near(of_split_phase(amperes(25.0), amperes(25.0)), 0.0));
    }
}
