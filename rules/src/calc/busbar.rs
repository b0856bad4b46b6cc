//! How much current of other sources a busbar takes besides its main (NFPA 70-2023 705.12(B)).

use crate::si::Current;
use crate::tables::Cell;
use crate::tables::us::{ClauseId, number};

/// The ways to show that a busbar is not overloaded by sources that feed it besides its main; one
/// that is kept is enough.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Method {
    /// 705.12(B)(1): main and sources together not above the rating of the busbar.
    Sum,
    /// 705.12(B)(2): main and sources together not above 120 % of it, sources at the end opposite
    /// to the main.
    OppositeEnds,
    /// 705.12(B)(3): all devices but the main together not above it.
    AllDevices,
}

impl Method {
    /// Every method, in the order of the clause.
    pub const ALL: [Self; 3] = [Self::Sum, Self::OppositeEnds, Self::AllDevices];

    /// The share of the busbar's rating that the sum may reach.
    #[must_use]
    pub fn share(self) -> Cell<f64> {
        number(match self {
            Self::Sum => ClauseId::BusSum,
            Self::OppositeEnds => ClauseId::BusOppositeEnds,
            Self::AllDevices => ClauseId::BusAllBreakers,
        })
    }

    /// What the sum may reach on this busbar [A].
    #[must_use]
    pub fn limit(self, bus: Current) -> Current {
        bus * self.share().value
    }
}

/// The current with which a source counts: 125 % of its output current [A].
#[must_use]
pub fn counted(output: Current) -> Current {
    output * number(ClauseId::BusSourceFactor).value
}

/// The largest current of sources that a busbar takes besides what it has already [A]: besides the
/// rating of its main for the first two methods, besides the devices that are there for the third.
/// Sources count with [`counted`]; nought where nothing is left.
#[must_use]
pub fn largest_backfeed(bus: Current, standing: Current, method: Method) -> Current {
    let left = method.limit(bus) - standing;
    if left > Current::default() { left } else { Current::default() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::si::{ampere, amperes};

    fn backfeed(bus: f64, main: f64, method: Method) -> f64 {
        largest_backfeed(amperes(bus), amperes(main), method).get::<ampere>()
    }

    /// Published discussions of 705.12 (690.64(B)(2) in the 2005 and 2008 editions): an electricians'
    /// forum on back-fed breakers, a 200 A bus with a 150 A main takes 90 A (BB-01); a mailing list
    /// of installers, 1 August 2009, a 125 A bus on a 100 A main takes 50 A (BB-03).
    #[test]
    fn a_smaller_main_leaves_more_for_the_source() {
        assert!((backfeed(200.0, 150.0, Method::OppositeEnds) - 90.0).abs() < 1e-9);
        assert!((backfeed(125.0, 100.0, Method::OppositeEnds) - 50.0).abs() < 1e-9);
        assert!((backfeed(200.0, 150.0, Method::Sum) - 50.0).abs() < 1e-9);
    }

    /// A solar dealer's page on 690.64(B)(2): a 100 A panel with 100 A main and a 30 A source makes
    /// 130 A, above the 120 A allowed (BB-05).
    #[test]
    fn thirty_amperes_are_too_much_for_a_100_ampere_panel() {
        let limit = Method::OppositeEnds.limit(amperes(100.0));
        assert!((limit.get::<ampere>() - 120.0).abs() < 1e-9);
        assert!(amperes(100.0 + 30.0) > limit);
        assert!((backfeed(100.0, 100.0, Method::OppositeEnds) - 20.0).abs() < 1e-9);
    }

    #[test]
    fn nothing_left_is_nought_and_a_source_counts_with_a_quarter_more() {
        assert_eq!(backfeed(100.0, 100.0, Method::Sum), 0.0);
        assert_eq!(backfeed(100.0, 130.0, Method::OppositeEnds), 0.0);
        assert_eq!(counted(amperes(32.0)), amperes(40.0));
    }
}
