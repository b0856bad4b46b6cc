//! The heat that a conductor takes up in a fault too short for any of it to leave.

use crate::si::{Area, Current, Time, ampere, amperes, second, square_millimeter};

/// k² S² [A² s]: the heat that a conductor of this area stands; `k` in A s^½ / mm².
#[must_use]
pub fn stands(k: f64, area: Area) -> f64 {
    let product = k * area.get::<square_millimeter>();
    product * product
}

/// I² t [A² s]: the heat that a fault current lets through while it lasts.
#[must_use]
pub fn let_through(current: Current, lasts: Time) -> f64 {
    let amperes = current.get::<ampere>();
    amperes * amperes * lasts.get::<second>()
}

/// k S / √t: the largest current that a conductor stands for a time; `None` for no time.
#[must_use]
pub fn largest_current(k: f64, area: Area, lasts: Time) -> Option<Current> {
    let seconds = lasts.get::<second>();
    (seconds > 0.0).then(|| amperes((stands(k, area) / seconds).sqrt()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::si::circular_mil;

    fn square_mm(number: f64) -> Area {
        Area::new::<square_millimeter>(number)
    }

    fn one_second(k: f64, area: f64) -> f64 {
        largest_current(k, square_mm(area), Time::new::<second>(1.0)).unwrap().get::<ampere>() / 1000.0
    }

    /// A cable maker's table of short-circuit ratings (AD-01): 120 mm² copper 13.8 kA, aluminium
    /// 9.12 kA. K. C. Agrawal, Industrial Power Engineering and Applications Handbook, 2001, table
    /// A16.4 (AD-03): copper 10 to 35 mm².
    #[test]
    fn one_second_currents() {
        for (k, area, wanted, tolerance) in [
            (115.0, 120.0, 13.8, 1e-9),
            (76.0, 120.0, 9.12, 1e-9),
            (115.0, 10.0, 1.15, 1e-9),
            (115.0, 16.0, 1.84, 1e-9),
            (115.0, 25.0, 2.88, 0.006),
            (115.0, 35.0, 4.03, 0.006),
        ] {
            assert!((one_second(k, area) - wanted).abs() <= tolerance, "{k} {area}");
        }
        assert_eq!(largest_current(115.0, square_mm(10.0), Time::new::<second>(0.0)), None);
    }

    /// Electrical Installation Guide (2008), chapter G, largest thermal stress in 10⁶ A² s, from
    /// memory (AD-07).
    #[test]
    fn heat_that_small_cables_stand() {
        let pvc = [(1.5, 0.0297), (2.5, 0.0826), (4.0, 0.2116), (6.0, 0.4761), (10.0, 1.3225)];
        let xlpe = [(1.5, 0.046), (2.5, 0.1278), (4.0, 0.3272), (6.0, 0.7362), (10.0, 2.045)];
        for (k, rows) in [(115.0, pvc), (143.0, xlpe)] {
            for (area, wanted) in rows {
                assert!((stands(k, square_mm(area)) / 1e6 - wanted).abs() < 2e-4, "{k} {area}");
            }
        }
    }

    /// ICEA P-32-382 from 75 to 150 °C reproduces the rule of one ampere per 42.25 circular mils
    /// for five seconds (AD-05, 42.236 unrounded): (I/A)² t = 0.0297 log10((T2 + 234)/(T1 + 234)).
    #[test]
    fn one_ampere_for_42_circular_mils() {
        #[expect(clippy::disallowed_methods, reason = "a formula of the test, within a tolerance")]
        let per_mil = (0.0297 * f64::log10((150.0 + 234.0) / (75.0 + 234.0))).sqrt();
        let mil = Area::new::<circular_mil>(1.0).get::<square_millimeter>();
        let area = Area::new::<circular_mil>(26_240.0);
        let current = largest_current(per_mil / mil, area, Time::new::<second>(5.0)).unwrap();
        assert!((current.get::<ampere>() - 26_240.0 / 42.236068).abs() < 0.01);
        assert!((let_through(current, Time::new::<second>(5.0)) - stands(per_mil / mil, area)).abs() < 1e-3);
    }
}
