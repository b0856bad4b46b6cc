//! Interrupting rating that a fuse class, or a breaker without a mark, can be taken for.

use std::sync::LazyLock;

use super::lookup::{NOISE, column};
use super::{Cell, INTERRUPTING_RATINGS, Table};
use crate::si::{Current, Voltage, amperes, volts};
use crate::survey::{DeviceKind, FuseClass};

/// The families of devices whose interrupting rating can be told without a mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum BreakingFamily {
    /// A breaker with no interrupting rating marked on it.
    UnmarkedBreaker,
    /// A plug fuse, Edison base or Type S.
    PlugFuse,
    /// A cartridge or battery fuse by the class marked on it.
    Class(FuseClass),
}

impl BreakingFamily {
    /// The family of a device. `None` where it interrupts no fault, or its fuse class is not known.
    #[must_use]
    pub fn of(kind: DeviceKind, class: Option<FuseClass>) -> Option<Self> {
        match kind {
            DeviceKind::Breaker | DeviceKind::TandemBreaker => Some(Self::UnmarkedBreaker),
            DeviceKind::PlugFuse => Some(Self::PlugFuse),
            DeviceKind::CartridgeFuse | DeviceKind::PullOut | DeviceKind::FusedSwitch => {
                class.map(Self::Class)
            }
            DeviceKind::Switch | DeviceKind::Lugs | DeviceKind::Spare => None,
        }
    }

    fn from_file(word: &str) -> Option<Self> {
        match word {
            "breaker_unmarked" => Some(Self::UnmarkedBreaker),
            "plug" => Some(Self::PlugFuse),
            class => FuseClass::ALL.iter().find(|own| own.file_word() == class).copied().map(Self::Class),
        }
    }
}

/// The form of the current to be interrupted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CurrentForm {
    /// Alternating current.
    Ac,
    /// Direct current.
    Dc,
}

struct Row {
    family: BreakingFamily,
    form: CurrentForm,
    up_to: Voltage,
    rating: Cell<Current>,
}

static ROWS: LazyLock<Vec<Row>> = LazyLock::new(|| {
    let table: &'static Table = &INTERRUPTING_RATINGS;
    let at = ["family", "current", "volts", "amperes"].map(|name| column(table, name));
    (0..table.len())
        .filter_map(|row| {
            Some(Row {
                family: BreakingFamily::from_file(table.text(row, at[0]))?,
                form: if table.text(row, at[1]) == "DC" { CurrentForm::Dc } else { CurrentForm::Ac },
                up_to: volts(table.number_at(row, at[2])?),
                rating: table.cell(row, at[3])?.map(amperes),
            })
        })
        .collect()
});

/// Interrupting rating [A] of a family at a voltage: UL 248 classes, NFPA 70-2023 240.83(C). A mark
/// on the device itself comes first. `None` where the table gives no figure for that form of
/// current and that voltage; nothing may then be assumed.
#[must_use]
pub fn interrupting_rating(
    family: BreakingFamily,
    form: CurrentForm,
    voltage: Voltage,
) -> Option<Cell<Current>> {
    let voltage = voltage * (1.0 - NOISE);
    ROWS.iter()
        .find(|row| row.family == family && row.form == form && voltage <= row.up_to)
        .map(|row| row.rating)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::si::ampere;

    fn kiloamperes(family: BreakingFamily, form: CurrentForm, voltage: f64) -> Option<f64> {
        interrupting_rating(family, form, volts(voltage)).map(|cell| cell.value.get::<ampere>() / 1000.0)
    }

    #[test]
    fn a_family_is_known_only_with_its_class() {
        assert_eq!(BreakingFamily::of(DeviceKind::Breaker, None), Some(BreakingFamily::UnmarkedBreaker));
        assert_eq!(BreakingFamily::of(DeviceKind::PullOut, None), None);
        assert_eq!(
            BreakingFamily::of(DeviceKind::PullOut, Some(FuseClass::H)),
            Some(BreakingFamily::Class(FuseClass::H))
        );
        assert_eq!(BreakingFamily::of(DeviceKind::Switch, Some(FuseClass::H)), None);
    }

    #[test]
    fn known_ratings_stand_at_their_voltage() {
        use BreakingFamily::{Class, PlugFuse, UnmarkedBreaker};
        use CurrentForm::{Ac, Dc};
        // NFPA 70-2023 240.83(C): 5 kA without a mark. UL 248-11: plug fuses 10 kA at 125 V.
        assert_eq!(kiloamperes(UnmarkedBreaker, Ac, 240.0), Some(5.0));
        assert_eq!(kiloamperes(UnmarkedBreaker, Ac, 241.0), None);
        assert_eq!(kiloamperes(UnmarkedBreaker, Dc, 48.0), None);
        assert_eq!(kiloamperes(PlugFuse, Ac, 120.0), Some(10.0));
        assert_eq!(kiloamperes(PlugFuse, Ac, 240.0), None);
        // UL 248-15 Class T: 200 kA AC; listings at 125 V DC: 20 kA.
        assert_eq!(kiloamperes(Class(FuseClass::T), Ac, 240.0), Some(200.0));
        assert_eq!(kiloamperes(Class(FuseClass::T), Dc, 58.4), Some(20.0));
        assert_eq!(kiloamperes(Class(FuseClass::T), Dc, 125.1), None);
        assert_eq!(kiloamperes(Class(FuseClass::H), Ac, 240.0), Some(10.0));
        assert_eq!(kiloamperes(Class(FuseClass::H), Dc, 12.0), None);
        // Battery fuses fall with the voltage.
        let mrbf = [14.0, 14.1, 32.0, 32.1, 58.0, 58.1].map(|v| kiloamperes(Class(FuseClass::Mrbf), Dc, v));
        assert_eq!(mrbf, [Some(10.0), Some(5.0), Some(5.0), Some(2.0), Some(2.0), None]);
        assert_eq!(kiloamperes(Class(FuseClass::Anl), Dc, 48.0), None);
        assert_eq!(kiloamperes(PlugFuse, Ac, f64::NAN), None);
    }

    #[test]
    fn every_class_has_a_figure() {
        for class in FuseClass::ALL {
            let family = BreakingFamily::Class(*class);
            let any = [CurrentForm::Ac, CurrentForm::Dc]
                .iter()
                .any(|form| interrupting_rating(family, *form, volts(12.0)).is_some());
            assert!(any, "{class}");
        }
        // Within a family a higher voltage never has the higher rating, so that the first row that
        // reaches a voltage is the right one.
        for pair in ROWS.windows(2).filter(|p| p[0].family == p[1].family && p[0].form == p[1].form) {
            assert!(pair[0].up_to < pair[1].up_to && pair[0].rating.value > pair[1].rating.value);
        }
    }
}
