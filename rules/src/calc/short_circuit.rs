//! Fault currents by Ohm's law, and the point-to-point form beside it.

use super::drop_by_hand::Phases;
use super::phasor::Impedance;
use crate::si::{Current, Power, Ratio, Resistance, Voltage};

/// Current of a bolted fault: voltage over the magnitude of everything on its way. `None` where
/// nothing limits it.
#[must_use]
pub fn bolted(voltage: Voltage, whole: Impedance) -> Option<Current> {
    let ohms = whole.magnitude();
    (ohms > Resistance::default()).then(|| voltage / ohms)
}

/// Rated current of a transformer; three-phase by √3 and the voltage between phases. `None` at no
/// voltage.
#[must_use]
pub fn rated_current(rating: Power, voltage: Voltage, phases: Phases) -> Option<Current> {
    let factor = match phases {
        Phases::Single => 1.0,
        Phases::Three => phases.factor(),
    };
    (voltage > Voltage::default()).then(|| rating / voltage / factor)
}

/// Fault current at a transformer's terminals behind an infinite primary: rated current over
/// per-unit impedance. `None` for no impedance.
#[must_use]
pub fn at_terminals(rated: Current, impedance: Ratio) -> Option<Current> {
    (impedance > Ratio::default()).then(|| rated / impedance)
}

/// One step of the point-to-point method.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PointToPoint {
    /// f: impedance of the run against that before it.
    pub f: f64,
    /// M = 1 / (1 + f).
    pub m: f64,
    /// Fault current at the end of the run.
    pub current: Current,
}

/// The point-to-point method: f = factor × L × I / (C × n × U), M = 1/(1 + f). `one_way` is L / (C n),
/// the magnitude of one conductor's impedance. It adds magnitudes, so it comes out lower than the
/// complex sum; a check by hand, not the result. `None` at no voltage.
#[must_use]
pub fn point_to_point(
    phases: Phases,
    before: Current,
    one_way: Resistance,
    voltage: Voltage,
) -> Option<PointToPoint> {
    let possible = voltage > Voltage::default();
    possible.then(|| {
        let lost: Ratio = one_way * before / voltage * phases.factor();
        let f = lost.get::<crate::si::ratio>();
        let m = 1.0 / (1.0 + f);
        PointToPoint { f, m, current: before * m }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::si::{ampere, amperes, kilowatt, ohm, ratio, volts};

    fn near(found: f64, wanted: f64, tolerance: f64) {
        assert!((found - wanted).abs() <= tolerance, "{found} is not {wanted}");
    }

    fn percent(number: f64) -> Ratio {
        Ratio::new::<ratio>(number / 100.0)
    }

    fn ohms(number: f64) -> Resistance {
        Resistance::new::<ohm>(number)
    }

    /// pandapower 3.5.6 (an independent program), 10 kA source of R/X 0.5 at 240 V and the loops
    /// of the drop cases: plain V/Z, without the factor c of IEC 60909.
    #[test]
    fn bolted_faults_agree_with_an_independent_program() {
        let share = 1.0 / 5.0_f64.sqrt();
        let mut whole = Impedance::of_magnitude(ohms(240.0 / 10_000.0), share);
        near(bolted(volts(240.0), whole).unwrap().get::<ampere>(), 10_000.0, 1e-6);
        for ((r, x), wanted) in [(0.012, 0.00492), (0.0784, 0.00816), (0.28, 0.00756)].into_iter().zip([
            6890.894264515653,
            2245.7037709113774,
            625.8932865516331,
        ]) {
            whole = whole + Impedance::ohms(r, x);
            near(bolted(volts(240.0), whole).unwrap().get::<ampere>(), wanted, 1e-6);
        }
        assert_eq!(bolted(volts(240.0), Impedance::default()), None);
    }

    /// The same program: 37.5 kVA, 240 V, 2 % (resistance 1.3 %), then 60 ft of 4/0 aluminium.
    #[test]
    fn a_transformer_and_its_service_agree_with_an_independent_program() {
        let rated = rated_current(Power::new::<kilowatt>(37.5), volts(240.0), Phases::Single).unwrap();
        let fault = at_terminals(rated, percent(2.0)).unwrap();
        near(fault.get::<ampere>(), 7812.5, 1e-9);
        let source = Impedance::of_magnitude(volts(240.0) / fault, 0.65);
        let whole = source + Impedance::ohms(0.012, 0.00492);
        near(bolted(volts(240.0), whole).unwrap().get::<ampere>(), 5624.3374629883065, 1e-6);
        assert_eq!(at_terminals(rated, percent(0.0)), None);
        assert_eq!(rated_current(Power::new::<kilowatt>(37.5), volts(0.0), Phases::Single), None);
    }

    /// Bussmann, Electrical Plan Review, point-to-point method, first page (FC-01): 300 kVA
    /// 208Y/120 V, 2 % less 10 %; 20 ft of two 500 kcmil (C 22185), then 20 ft of 2 AWG (C 5906).
    #[test]
    fn point_to_point_of_a_plan_review() {
        let phases = Phases::Three;
        let rated = rated_current(Power::new::<kilowatt>(300.0), volts(208.0), phases).unwrap();
        near(rated.get::<ampere>(), 833.0, 0.5);
        let fault = at_terminals(rated, percent(1.8)).unwrap();
        near(fault.get::<ampere>(), 46_273.0, 30.0);
        let first = point_to_point(phases, fault, ohms(20.0 / (22_185.0 * 2.0)), volts(208.0)).unwrap();
        near(first.f, 0.174, 0.001);
        near(first.m, 0.852, 0.001);
        near(first.current.get::<ampere>(), 39_425.5, 60.0);
        let second = point_to_point(phases, first.current, ohms(20.0 / 5906.0), volts(208.0)).unwrap();
        near(second.current.get::<ampere>(), 18_669.8, 150.0);
    }

    /// Bussmann, SPD handbook, three-phase system A, from memory (FC-03): 1500 kVA 480 V, 3.5 %
    /// less 10 %; 25 ft of six 500 kcmil, then 50 ft of one.
    #[test]
    fn point_to_point_of_a_handbook() {
        let phases = Phases::Three;
        let rated = rated_current(Power::new::<kilowatt>(1500.0), volts(480.0), phases).unwrap();
        let fault = at_terminals(rated, percent(3.5 * 0.9)).unwrap();
        near(fault.get::<ampere>(), 57_279.0, 30.0);
        let service = point_to_point(phases, fault, ohms(25.0 / (22_185.0 * 6.0)), volts(480.0)).unwrap();
        near(service.f, 0.0388, 0.0003);
        near(service.current.get::<ampere>(), 55_137.0, 60.0);
        let feeder = point_to_point(phases, service.current, ohms(50.0 / 22_185.0), volts(480.0)).unwrap();
        near(feeder.f, 0.4484, 0.002);
        near(feeder.current.get::<ampere>(), 38_067.0, 100.0);
        assert_eq!(point_to_point(phases, fault, ohms(1.0), volts(0.0)), None);
    }

    /// Electrical Installation Guide (2008), chapter G, from memory (FC-04): 400 kVA, 420 V at no
    /// load, 4 %: 550 A and 13.7 kA.
    #[test]
    fn a_large_transformer_at_its_terminals() {
        let rated = rated_current(Power::new::<kilowatt>(400.0), volts(420.0), Phases::Three).unwrap();
        near(rated.get::<ampere>(), 550.0, 0.5);
        near(at_terminals(rated, percent(4.0)).unwrap().get::<ampere>() / 1000.0, 13.7, 0.06);
    }

    /// Adding magnitudes never gives more than the complex sum.
    #[test]
    fn point_to_point_is_not_above_the_complex_sum() {
        for share in [0.0, 0.3, 0.7, 1.0] {
            let source = Impedance::of_magnitude(ohms(0.02), share);
            let one_way = Impedance::ohms(0.03, 0.004);
            let exact = bolted(volts(240.0), source + one_way * 2.0).unwrap();
            let before = bolted(volts(240.0), source).unwrap();
            let hand = point_to_point(Phases::Single, before, one_way.magnitude(), volts(240.0)).unwrap();
            assert!(hand.current <= exact * (1.0 + 1e-12), "{share}");
            assert!(hand.current > amperes(0.0));
        }
    }
}
