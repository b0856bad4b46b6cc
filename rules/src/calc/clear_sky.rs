//! Sun on a level surface under a cloudless sky: FAO Irrigation and Drainage Paper 56, equations 21 to
//! 25 and 37. Clouds are not in it; the sun of an average day is less, that on a tilted array may be more
//! in winter.

use std::f64::consts::PI;

use crate::si::{Angle, Time, hour, radian};
use crate::tables::us::{ClearSkyId, clear_sky};

/// Minutes of a day.
const MINUTES: f64 = 24.0 * 60.0;
/// Megajoules of a kilowatt hour.
const MEGAJOULES: f64 = 3.6;

fn of(id: ClearSkyId) -> f64 {
    clear_sky(id).value
}

/// Sun above the air on a day of the year (1 January is 1) on a level square metre [MJ]; nought in
/// the polar night.
#[must_use]
pub fn above_the_air(latitude: Angle, day: f64) -> f64 {
    let turn = 2.0 * PI * day / of(ClearSkyId::DaysOfYear);
    let distance = 1.0 + of(ClearSkyId::Distance) * libm::cos(turn);
    let declination = of(ClearSkyId::Declination) * libm::sin(turn - of(ClearSkyId::DeclinationPhase));
    let latitude = latitude.get::<radian>();
    let (sine, cosine) =
        (libm::sin(latitude) * libm::sin(declination), libm::cos(latitude) * libm::cos(declination));
    // Beyond the polar circles it never sets, or never rises.
    let sunset = if cosine > 0.0 { libm::acos((-sine / cosine).clamp(-1.0, 1.0)) } else { 0.0 };
    let whole = MINUTES / PI * of(ClearSkyId::SolarConstant) * distance;
    (whole * (sunset * sine + cosine * libm::sin(sunset))).max(0.0)
}

/// Hours of full sun (1 kW on a square metre) on a level surface under a cloudless sky in the middle of a
/// month, at sea level. Months count from 0.
#[must_use]
pub fn clear_sky_hours(latitude: Angle, month: usize) -> Time {
    let day = (of(ClearSkyId::MonthDays) * (month as f64 + 1.0) - of(ClearSkyId::MonthStart)).floor();
    Time::new::<hour>(above_the_air(latitude, day) * of(ClearSkyId::ClearShare) / MEGAJOULES)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::si::degree;

    fn at(degrees: f64) -> Angle {
        Angle::new::<degree>(degrees)
    }

    /// FAO Irrigation and Drainage Paper 56, example 8 (from memory): 20° S, 3 September (day 246):
    /// 32.2 MJ/m². National Center for Atmospheric Research, radext_fao56 and radsol_clrsky_fao56: 22.9° S, day
    /// 135: 25.111 and 18.833 MJ/m².
    #[test]
    fn published_days() {
        assert!((above_the_air(at(-20.0), 246.0) - 32.2).abs() < 0.05);
        let rio = above_the_air(at(-22.9), 135.0);
        assert!((rio - 25.111).abs() < 0.02, "{rio}");
        assert!((rio * 0.75 - 18.833).abs() < 0.02);
    }

    /// By reason: summer in June in the north and December in the south, and at the pole a night of months.
    #[test]
    fn seasons_and_poles() {
        let hours = |degrees, month| clear_sky_hours(at(degrees), month).get::<hour>();
        assert!(hours(41.0, 5) > 2.0 * hours(41.0, 11));
        assert!(hours(-41.0, 11) > 2.0 * hours(-41.0, 5));
        assert_eq!(hours(90.0, 11), 0.0);
        assert!(hours(90.0, 5) > 6.0);
        assert!((hours(0.0, 2) - hours(0.0, 8)).abs() < 0.2);
    }
}
