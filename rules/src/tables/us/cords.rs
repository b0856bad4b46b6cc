//! Ampacity of flexible cords, portable power cables, battery cables. All copper.

use std::sync::LazyLock;

use super::lookup::BySize;
use super::{BATTERY_CABLE_AMPACITY, CORD_AMPACITY, Cell, Column, POWER_CABLE_AMPACITY};
use crate::si::{Current, amperes};
use crate::survey::WireSize;

/// The first column holds three current-carrying conductors, the second two.
static CORD: LazyLock<BySize<Current, 2>> =
    LazyLock::new(|| BySize::read(&CORD_AMPACITY, ["three", "two"], amperes));
/// For each temperature the columns of one, two and three conductors.
static POWER: LazyLock<BySize<Current, 9>> = LazyLock::new(|| {
    let names = ["t60_1", "t60_2", "t60_3", "t75_1", "t75_2", "t75_3", "t90_1", "t90_2", "t90_3"];
    BySize::read(&POWER_CABLE_AMPACITY, names, amperes)
});
/// One or two together, 3, 4 to 6, 7 to 24.
static BATTERY: LazyLock<BySize<Current, 4>> =
    LazyLock::new(|| BySize::read(&BATTERY_CABLE_AMPACITY, ["free", "three", "four", "seven"], amperes));

/// Ampacity [A] at 30 °C of a flexible cord with two or three current-carrying conductors:
/// NFPA 70-2023 Table 400.5(A)(1). `None` for another number: more need Table 400.5(A)(3).
#[must_use]
pub fn cord_ampacity(size: WireSize, current_carrying: u8) -> Option<Cell<Current>> {
    let column = match current_carrying {
        3 => 0,
        2 => 1,
        _ => return None,
    };
    CORD.get(size, column)
}

/// Ampacity [A] at 30 °C of a portable power cable with one to three current-carrying conductors:
/// NFPA 70-2023 Table 400.5(A)(2). One conductor: only in free air, not stacked or coiled.
#[must_use]
pub fn power_cable_ampacity(size: WireSize, column: Column, conductors: u8) -> Option<Cell<Current>> {
    if !(1..=3).contains(&conductors) {
        return None;
    }
    POWER.get(size, column as usize * 3 + usize::from(conductors) - 1)
}

/// Ampacity [A] at 30 °C of 105 °C battery or boat cable by the number bundled together, itself
/// included: ABYC E-11. A boat standard: in a house Table 310.17 and the terminals still bind.
/// `None` above the 24 that the table ends at.
#[must_use]
pub fn battery_cable_ampacity(size: WireSize, bundled: u16) -> Option<Cell<Current>> {
    let column = match bundled {
        1..=2 => 0,
        3 => 1,
        4..=6 => 2,
        7..=24 => 3,
        _ => return None,
    };
    BATTERY.get(size, column)
}

#[cfg(test)]
mod tests {
    use super::super::{Metal, ampacity_in_free_air, trade_sizes};
    use super::*;
    use crate::si::ampere;
    use crate::tables::Basis;

    fn amps(cell: Option<Cell<Current>>) -> Option<f64> {
        cell.map(|cell| cell.value.get::<ampere>())
    }

    fn rises(look_up: impl Fn(WireSize) -> Option<Cell<Current>>, rows: usize) {
        let column: Vec<f64> = trade_sizes().iter().filter_map(|size| amps(look_up(*size))).collect();
        assert_eq!(column.len(), rows);
        assert!(column[0] > 0.0 && column.windows(2).all(|pair| pair[0] < pair[1]), "{column:?}");
    }

    #[test]
    fn cords_have_their_figures() {
        // NFPA 70-2023 Table 400.5(A)(1): 10 AWG 25 A and 30 A, 6 AWG 45 A and 55 A.
        let size = |gauge| WireSize::Awg(gauge);
        assert_eq!(amps(cord_ampacity(size(10), 3)), Some(25.0));
        assert_eq!(amps(cord_ampacity(size(10), 2)), Some(30.0));
        assert_eq!(amps(cord_ampacity(size(6), 3)), Some(45.0));
        assert_eq!(amps(cord_ampacity(size(6), 2)), Some(55.0));
        for count in [0, 1, 4, 255] {
            assert_eq!(amps(cord_ampacity(size(10), count)), None);
        }
        rises(|size| cord_ampacity(size, 2), 9);
        rises(|size| cord_ampacity(size, 3), 9);
        for size in trade_sizes() {
            assert!(
                cord_ampacity(*size, 3).is_none()
                    || amps(cord_ampacity(*size, 3)) < amps(cord_ampacity(*size, 2))
            );
        }
        let basis = |gauge, count| cord_ampacity(size(gauge), count).unwrap().place.basis();
        assert_eq!((basis(18, 3), basis(18, 2)), (Basis::Memory, Basis::OneSource));
        assert_eq!((basis(12, 3), basis(8, 2)), (Basis::Confirmed, Basis::Memory));
    }

    /// NFPA 70-2023 Table 400.5(A)(2): one conductor in free air equals Table 310.17, more carry less.
    #[test]
    fn power_cables_agree_with_free_air() {
        for column in Column::ALL {
            let rows = if column == Column::C60 { 6 } else { 8 };
            for conductors in 1..=3 {
                rises(|size| power_cable_ampacity(size, column, conductors), rows);
            }
            for size in trade_sizes() {
                let cells = [1, 2, 3].map(|count| amps(power_cable_ampacity(*size, column, count)));
                let [Some(one), Some(two), Some(three)] = cells else { continue };
                assert_eq!(Some(one), amps(ampacity_in_free_air(*size, Metal::Copper, column)), "{size}");
                assert!(one > two && two > three);
            }
        }
        let size = WireSize::Awg(4);
        assert!(power_cable_ampacity(size, Column::C75, 0).is_none());
        assert!(power_cable_ampacity(size, Column::C75, 4).is_none());
        assert_eq!(amps(power_cable_ampacity(size, Column::C75, 2)), Some(115.0));
    }

    /// ABYC E-11: bundles carry 70, 60 and 50 % of one cable.
    #[test]
    fn battery_cables_lose_ampacity_in_bundles() {
        rises(|size| battery_cable_ampacity(size, 1), 15);
        for size in trade_sizes() {
            let Some(free) = amps(battery_cable_ampacity(*size, 1)) else { continue };
            for (first, last, share) in [(1, 2, 1.0), (3, 3, 0.7), (4, 6, 0.6), (7, 24, 0.5)] {
                for bundled in [first, last] {
                    let own = amps(battery_cable_ampacity(*size, bundled)).unwrap();
                    assert!((own - free * share).abs() < 1e-9, "{size} {bundled}");
                }
            }
        }
        let size = WireSize::Awg(-1);
        assert_eq!(amps(battery_cable_ampacity(size, 2)), Some(330.0));
        assert!(battery_cable_ampacity(size, 0).is_none());
        assert!(battery_cable_ampacity(size, 25).is_none());
    }
}
