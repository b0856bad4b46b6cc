//! Ratings of overcurrent devices: 240.4(D), 240.6(A), 310.12.

use std::sync::LazyLock;

use super::lookup::{BySize, NOISE, UpTo, column, size_cell, upper};
use super::{Cell, DWELLING_SERVICE, Metal, SMALL_CONDUCTORS, STANDARD_RATINGS, Table};
use crate::si::{Current, ampere, amperes};
use crate::survey::WireSize;

/// Fuses have a few standard ratings more than breakers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum DeviceFamily {
    /// Fuses.
    Fuse,
    /// Inverse-time breakers.
    Breaker,
}

static SMALL: LazyLock<BySize<Current, 2>> =
    LazyLock::new(|| BySize::read(&SMALL_CONDUCTORS, ["cu", "al"], amperes));

/// Standard ratings ascending, with whether breakers have them too.
static RATINGS: LazyLock<Vec<(Cell<Current>, bool)>> = LazyLock::new(|| {
    let table: &'static Table = &STANDARD_RATINGS;
    let (rating, breaker) = (column(table, "rating"), column(table, "breaker"));
    (0..table.len())
        .filter_map(|row| Some((table.cell(row, rating)?.map(amperes), table.text(row, breaker) == "yes")))
        .collect()
});

static DWELLING: LazyLock<UpTo<Cell<WireSize>, 2>> = LazyLock::new(|| {
    let table: &'static Table = &DWELLING_SERVICE;
    UpTo::read(table, ["cu", "al"], |row| upper(table, row, "rating"), size_cell)
});

/// Smallest rating of Table 310.12(A) [A].
static DWELLING_SMALLEST: LazyLock<f64> = LazyLock::new(|| {
    let table: &'static Table = &DWELLING_SERVICE;
    table.number_at(0, column(table, "rating")).map_or(f64::INFINITY, |rating| rating * (1.0 - NOISE))
});

/// Largest overcurrent device [A] ahead of a small conductor: NFPA 70-2023 240.4(D). `None` for
/// sizes it does not limit. 14 AWG aluminium is copper-clad only.
#[must_use]
pub fn small_conductor_limit(size: WireSize, metal: Metal) -> Option<Cell<Current>> {
    SMALL.get(size, usize::from(metal == Metal::Aluminium))
}

/// The standard ratings ascending: NFPA 70-2023 240.6(A).
pub fn ratings(family: DeviceFamily) -> impl DoubleEndedIterator<Item = Cell<Current>> {
    RATINGS.iter().filter(move |(_, breaker)| *breaker || family == DeviceFamily::Fuse).map(|(cell, _)| *cell)
}

/// The smallest standard rating not below a current: NFPA 70-2023 240.6(A). `None` above the largest.
#[must_use]
pub fn standard_rating_at_least(current: Current, family: DeviceFamily) -> Option<Cell<Current>> {
    ratings(family).find(|rating| rating.value >= current * (1.0 - NOISE))
}

/// The largest standard rating not above a current: NFPA 70-2023 240.6(A). `None` below the smallest.
#[must_use]
pub fn standard_rating_at_most(current: Current, family: DeviceFamily) -> Option<Cell<Current>> {
    ratings(family).rev().find(|rating| rating.value <= current * (1.0 + NOISE))
}

/// The smallest standard rating above a current, never equal to it: NFPA 70-2023 240.6(A).
#[must_use]
pub fn standard_rating_above(current: Current, family: DeviceFamily) -> Option<Cell<Current>> {
    ratings(family).find(|rating| rating.value > current * (1.0 + NOISE))
}

/// The standard rating that equals a current: NFPA 70-2023 240.6(A). `None` if there is none.
#[must_use]
pub fn standard_rating(current: Current, family: DeviceFamily) -> Option<Cell<Current>> {
    standard_rating_at_least(current, family).filter(|rating| rating.value <= current * (1.0 + NOISE))
}

/// Conductor of a single-phase dwelling service, or of the feeder that carries its entire load:
/// NFPA 70-2023 Table 310.12(A), only where no correction or adjustment is needed. A rating between
/// two rows takes the larger; `None` outside the table's 100 to 400 A.
#[must_use]
pub fn dwelling_service_size(rating: Current, metal: Metal) -> Option<Cell<WireSize>> {
    let rating = rating.get::<ampere>();
    if rating < *DWELLING_SMALLEST {
        return None;
    }
    DWELLING.get(rating, usize::from(metal == Metal::Aluminium))
}

#[cfg(test)]
mod tests {
    use super::super::{Column, ampacity_in_raceway, area};
    use super::*;
    use crate::si::Area;

    type Find = fn(Current, DeviceFamily) -> Option<Cell<Current>>;

    fn amps(find: Find, current: f64, family: DeviceFamily) -> Option<f64> {
        find(amperes(current), family).map(|cell| cell.value.get::<ampere>())
    }

    #[test]
    fn small_conductors_have_their_limits() {
        // NFPA 70-2023 240.4(D)(1) to (8).
        let limit = |gauge, metal| {
            small_conductor_limit(WireSize::Awg(gauge), metal).map(|cell| cell.value.get::<ampere>())
        };
        let copper = [18, 16, 14, 12, 10, 8].map(|gauge| limit(gauge, Metal::Copper));
        assert_eq!(copper, [Some(7.0), Some(10.0), Some(15.0), Some(20.0), Some(30.0), None]);
        let aluminium = [16, 14, 12, 10, 8].map(|gauge| limit(gauge, Metal::Aluminium));
        assert_eq!(aluminium, [None, Some(10.0), Some(15.0), Some(25.0), None]);
    }

    #[test]
    fn standard_ratings_ascend_and_breakers_have_fewer() {
        // NFPA 70-2023 240.6(A): 38 ratings, and 1, 3, 6, 601 A for fuses only.
        let of = |family| ratings(family).map(|cell| cell.value.get::<ampere>()).collect::<Vec<_>>();
        let (fuses, breakers) = (of(DeviceFamily::Fuse), of(DeviceFamily::Breaker));
        assert!(fuses.windows(2).all(|pair| pair[0] < pair[1]));
        let only: Vec<f64> = fuses.iter().copied().filter(|rating| !breakers.contains(rating)).collect();
        assert_eq!(only, [1.0, 3.0, 6.0, 601.0]);
        assert_eq!((breakers.len(), breakers[0], *breakers.last().unwrap()), (38, 10.0, 6000.0));
    }

    #[test]
    fn ratings_are_found_on_both_sides_of_each() {
        let (fuse, breaker) = (DeviceFamily::Fuse, DeviceFamily::Breaker);
        assert_eq!(amps(standard_rating_at_least, 20.0, breaker), Some(20.0));
        assert_eq!(amps(standard_rating_at_least, 20.001, breaker), Some(25.0));
        // In floating point 1.1 × 100 lies above 110: noise must not lift the rating.
        assert_eq!(amps(standard_rating_at_least, 1.1 * 100.0, breaker), Some(110.0));
        assert_eq!(amps(standard_rating_at_most, 19.99, breaker), Some(15.0));
        assert_eq!(amps(standard_rating_at_most, 20.0, breaker), Some(20.0));
        assert_eq!(amps(standard_rating_above, 20.0, breaker), Some(25.0));
        assert_eq!(amps(standard_rating_above, 19.99, breaker), Some(20.0));
        assert_eq!(amps(standard_rating, 55.0, breaker), None);
        assert_eq!(amps(standard_rating, 60.0, breaker), Some(60.0));
        assert_eq!(amps(standard_rating, 6.0, breaker), None);
        assert_eq!(amps(standard_rating, 6.0, fuse), Some(6.0));
        assert_eq!(amps(standard_rating_at_least, 6001.0, fuse), None);
        assert_eq!(amps(standard_rating_at_most, 0.5, fuse), None);
        for find in
            [standard_rating_at_least, standard_rating_at_most, standard_rating_above, standard_rating]
        {
            assert_eq!(amps(find, f64::NAN, fuse), None);
        }
    }

    /// NFPA 70-2023 310.12(A): 83 % of the rating, here against Table 310.16 at 75 °C.
    #[test]
    fn dwelling_services_carry_83_percent_of_their_rating() {
        let table: &Table = &DWELLING_SERVICE;
        let mut last = [Area::default(); 2];
        for row in 0..table.len() {
            let rating = amperes(table.number_at(row, 0).unwrap());
            for (at, metal) in [Metal::Copper, Metal::Aluminium].into_iter().enumerate() {
                let size = dwelling_service_size(rating, metal).unwrap().value;
                let carries = ampacity_in_raceway(size, metal, Column::C75).unwrap().value;
                assert!(carries >= rating * 0.83, "{size}");
                let own = area(size).unwrap().value;
                assert!(own > last[at]);
                last[at] = own;
            }
        }
    }

    #[test]
    fn dwelling_services_end_where_the_table_ends() {
        let size = |rating, metal| dwelling_service_size(amperes(rating), metal).map(|cell| cell.value);
        assert_eq!(size(99.9, Metal::Copper), None);
        assert_eq!(size(100.0, Metal::Copper), Some(WireSize::Awg(4)));
        assert_eq!(size(200.0, Metal::Copper), Some(WireSize::Awg(-1)));
        assert_eq!(size(200.0, Metal::Aluminium), Some(WireSize::Awg(-3)));
        assert_eq!(size(200.1, Metal::Aluminium), Some(WireSize::Kcmil(250)));
        assert_eq!(size(400.0, Metal::Aluminium), Some(WireSize::Kcmil(600)));
        assert_eq!(size(400.1, Metal::Aluminium), None);
        assert_eq!(size(f64::NAN, Metal::Copper), None);
    }
}
