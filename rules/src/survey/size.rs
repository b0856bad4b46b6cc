//! Conductor sizes: AWG, kcmil and square millimetres.

use std::fmt;

use super::quantity::{Dimension, Entered, QuantityError, shown};
use crate::si::{Area, circular_mil, square_millimeter};

/// A conductor size in its own system.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub enum WireSize {
    /// American wire gauge: 18 to 1, then 0 for 1/0, -1 for 2/0, -2 for 3/0, -3 for 4/0.
    Awg(i8),
    /// Thousands of circular mils, from 250.
    Kcmil(u16),
    /// Metric cross-section [mm²].
    SquareMillimeter(f64),
}

/// Share by which printed areas, the gauge law and rounded metric sizes differ (13.3 mm² is 6 AWG).
pub(crate) const AREA_ROUNDING: f64 = 0.005;

impl WireSize {
    /// Reads a trade size as the tables write it: `12`, `2/0`, `250`.
    #[must_use]
    pub fn from_trade(text: &str) -> Option<Self> {
        if let Some(noughts) = text.strip_suffix("/0") {
            let noughts: i8 = noughts.parse().ok()?;
            return (1..=4).contains(&noughts).then_some(Self::Awg(1 - noughts));
        }
        let number: u16 = text.parse().ok()?;
        match number {
            1..=40 => Some(Self::Awg(number as i8)),
            250..=2000 => Some(Self::Kcmil(number)),
            _ => None,
        }
    }

    /// The trade size as the tables write it; `None` for a metric size.
    #[must_use]
    pub fn trade(self) -> Option<String> {
        match self {
            Self::Awg(gauge) if gauge >= 1 => Some(gauge.to_string()),
            Self::Awg(gauge) => Some(format!("{}/0", 1 - gauge)),
            Self::Kcmil(size) => Some(size.to_string()),
            Self::SquareMillimeter(_) => None,
        }
    }

    /// Cross-section [m²]. AWG by the gauge law d = 0.005 in × 92^((36 − n)/39), ASTM B258;
    /// tables print rounded areas and are to be preferred where a standard's table is followed.
    #[must_use]
    pub fn area(self) -> Area {
        match self {
            Self::Awg(gauge) => Area::new::<circular_mil>(gauge_area_cmil(gauge)),
            Self::Kcmil(size) => Area::new::<circular_mil>(f64::from(size) * 1000.0),
            Self::SquareMillimeter(area) => Area::new::<square_millimeter>(area),
        }
    }

    /// Whether it is smaller than another size, by more than the rounding of printed areas: 2.08 mm²
    /// is what tables print for 14 AWG, and no smaller.
    #[must_use]
    pub fn is_smaller_than(self, other: Self) -> bool {
        self.area() < other.area() * (1.0 - AREA_ROUNDING)
    }
}

/// Area by the gauge law [circular mil]; multiplication only, so that every machine agrees.
fn gauge_area_cmil(gauge: i8) -> f64 {
    // 92^(1/39) squared: the ratio of areas of neighbouring sizes.
    const RATIO: f64 = 1.260_976_718_008_814_3;
    let steps = 36 - i32::from(gauge);
    // One multiplication a step: the result of `powi` differs between machines and compilers.
    let mut area = 25.0;
    for _ in 0..steps.unsigned_abs() {
        area = if steps > 0 { area * RATIO } else { area / RATIO };
    }
    area
}

impl fmt::Display for WireSize {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Awg(gauge) if *gauge >= 1 => write!(f, "{gauge} AWG"),
            Self::Awg(gauge) => write!(f, "{}/0 AWG", 1 - gauge),
            Self::Kcmil(size) => write!(f, "{size} kcmil"),
            Self::SquareMillimeter(area) => write!(f, "{area} mm²"),
        }
    }
}

/// Conductor sizes as entered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SizeKind;

impl Dimension for SizeKind {
    type Quantity = WireSize;
    const WHAT: &'static str = "a wire size";
    const EXAMPLE: &'static str = "\"12 AWG\" or \"16 mm2\"";

    fn read(text: &str) -> Result<WireSize, QuantityError> {
        read_size(text).ok_or_else(|| QuantityError::Size { text: shown(text) })
    }
}

fn read_size(text: &str) -> Option<WireSize> {
    let (number, unit) = text.rsplit_once(' ')?;
    let number = number.trim();
    match unit {
        "AWG" => WireSize::from_trade(number).filter(|size| matches!(size, WireSize::Awg(_))),
        "kcmil" => WireSize::from_trade(number).filter(|size| matches!(size, WireSize::Kcmil(_))),
        "mm2" | "mm²" => {
            let area: f64 = number.parse().ok()?;
            (0.1..=2000.0).contains(&area).then_some(WireSize::SquareMillimeter(area))
        }
        _ => None,
    }
}

/// As entered: a wire size, like "12 AWG" or "16 mm2".
pub type EnteredSize = Entered<SizeKind>;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn trade_sizes_are_read_and_written_back() {
        for text in ["18 AWG", "12 AWG", "1 AWG", "1/0 AWG", "4/0 AWG", "250 kcmil", "2000 kcmil"] {
            assert_eq!(EnteredSize::new(text).unwrap().quantity().to_string(), text);
        }
        for text in ["0 AWG", "5/0 AWG", "41 AWG", "240 kcmil", "12", "12 awg", "mm2", "0.05 mm2", "NaN mm2"]
        {
            assert!(EnteredSize::new(text).is_err(), "{text}");
        }
    }

    /// NFPA 70-2023 Chapter 9 Table 8 prints 2.08 mm² for 14 AWG, 33.62 mm² for 2 AWG (from memory).
    #[test]
    fn a_printed_area_is_as_large_as_its_gauge() {
        for (metric, gauge) in [(2.08, 14), (33.62, 2)] {
            let (metric, gauge) = (WireSize::SquareMillimeter(metric), WireSize::Awg(gauge));
            assert!(!metric.is_smaller_than(gauge) && !gauge.is_smaller_than(metric), "{gauge}");
        }
        assert!(WireSize::SquareMillimeter(2.0).is_smaller_than(WireSize::Awg(14)));
        assert!(WireSize::Awg(14).is_smaller_than(WireSize::Awg(12)));
        assert!(!WireSize::Awg(12).is_smaller_than(WireSize::Awg(14)));
    }

    #[test]
    fn the_gauge_law_gives_the_known_end_points() {
        // ASTM B258: No. 4/0 is 0.4600 in, No. 36 is 0.0050 in in diameter.
        let four_nought = WireSize::Awg(-3).area().get::<circular_mil>();
        assert!((four_nought - 211_600.0).abs() < 20.0, "{four_nought}");
        assert!((WireSize::Awg(36).area().get::<circular_mil>() - 25.0).abs() < 1e-9);
    }
}
