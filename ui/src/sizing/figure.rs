//! The figures of the page: what each is, how it is entered on the pad, and what a plus or minus does.

use deadfront_rules::edit::{Field, Refused, State};
use deadfront_rules::finding::{Said, rounded};
use deadfront_rules::say;
use deadfront_rules::survey::form::{Enterable, Form};
use deadfront_rules::survey::quantity::{
    EnteredApparentPower, EnteredCurrent, EnteredHorsepower, EnteredLength, EnteredPercent, EnteredPower,
    EnteredTemperature, EnteredVoltage,
};

/// A figure that is set on the page.
pub(super) struct Figure {
    /// Its key, here and in the window.
    pub(super) key: &'static str,
    /// Its label.
    pub(super) label: &'static str,
    form: fn() -> Form,
    read: fn(&str) -> Result<(), String>,
    /// What stands there at first; nothing where it may be left open.
    pub(super) first: &'static str,
    /// Entries of this page that are often right; without any, those of its kind.
    usual: &'static [&'static str],
}

fn read<T: Enterable>(text: &str) -> Result<(), String> {
    T::read(text).map(|_| ())
}

/// The words of a length and of a price stand at two places.
pub(super) const LENGTH: &str = "length";

macro_rules! figure {
    ($key:expr, $label:literal, $kind:ty, $first:literal, $usual:expr) => {
        Figure {
            key: $key,
            label: $label,
            form: <$kind>::form,
            read: read::<$kind>,
            first: $first,
            usual: &$usual,
        }
    };
}

static FIGURES: [Figure; 13] = [
    figure!(
        "amperes",
        "load",
        EnteredCurrent,
        "30 A",
        ["15 A", "20 A", "30 A", "40 A", "50 A", "60 A", "100 A", "150 A", "200 A"]
    ),
    figure!("power", "power", EnteredPower, "4.5 kW", []),
    figure!("apparent", "apparent power", EnteredApparentPower, "5 kVA", []),
    figure!("horsepower", "shaft power of the motor", EnteredHorsepower, "1 hp", []),
    figure!("mca", "plate: minimum circuit ampacity", EnteredCurrent, "20 A", []),
    figure!("mocp", "plate: maximum overcurrent device", EnteredCurrent, "30 A", []),
    figure!(LENGTH, "length one way", EnteredLength, "50 ft", []),
    figure!("voltage", "voltage", EnteredVoltage, "240 V", []),
    figure!(
        "ambient",
        "warmest surroundings",
        EnteredTemperature,
        "",
        ["30 C", "40 C", "45 C", "50 C", "60 C"]
    ),
    figure!("power_factor", "power factor", EnteredPercent, "", ["100 %", "95 %", "85 %"]),
    figure!("largest_drop", "largest voltage drop", EnteredPercent, "", ["2 %", "3 %", "5 %"]),
    figure!("together", "conductors together", u16, "", ["3", "6", "9", "20"]),
    figure!("one_hole", "cables in one hole", u16, "", ["1", "2", "3", "4"]),
];

pub(super) fn figure(key: &str) -> Option<&'static Figure> {
    FIGURES.iter().find(|figure| figure.key == key)
}

impl Figure {
    /// Whether it may be left open.
    pub(super) fn is_open(&self) -> bool {
        self.first.is_empty()
    }

    pub(super) fn usual(&self) -> &'static [&'static str] {
        match (self.form)() {
            _ if !self.usual.is_empty() => self.usual,
            Form::Quantity { usual, .. } => usual,
            _ => &[],
        }
    }

    /// The field of the pad on which it is entered.
    pub(super) fn field(&self, entry: &str) -> Field {
        Field {
            name: format!("sizing.{}", self.key),
            label: self.label,
            form: match (self.form)() {
                Form::Quantity { units, usual } if self.usual.is_empty() => Form::Quantity { units, usual },
                Form::Quantity { units, .. } => Form::Quantity { units, usual: self.usual },
                other => other,
            },
            state: if entry.is_empty() { State::NotSeen } else { State::Known },
            entry: entry.to_owned(),
            words: entry.to_owned(),
            question: None,
            is_fact: false,
            is_required: !self.is_open(),
        }
    }

    /// Whether an entry can be read; nothing at all can be where the figure may be left open.
    pub(super) fn take(&self, entry: &str) -> Result<(), Refused> {
        match entry {
            "" if self.is_open() => Ok(()),
            "" => Err(Refused(say!("Nothing is entered yet."))),
            entry => (self.read)(entry).map_err(|why| Refused(sentence(&why))),
        }
    }

    /// The entry after a plus or minus. A motor goes to the next size of its list.
    pub(super) fn turned(&self, entry: &str, by: i32) -> Option<String> {
        if self.key == "horsepower" {
            return self.neighbour(entry, by);
        }
        let (number, unit) = entry.rsplit_once(' ').unwrap_or((entry, ""));
        let (number, step) = (number.parse::<f64>().ok()?, step(unit));
        // To the next whole step, so that 52 ft goes to 55 ft and 50 ft.
        let next = if by < 0 {
            ((number / step).ceil() - 1.0) * step
        } else {
            ((number / step).floor() + 1.0) * step
        };
        let next = rounded(next.max(step), 2);
        let next = if unit.is_empty() { next } else { format!("{next} {unit}") };
        (self.read)(&next).is_ok().then_some(next)
    }

    fn neighbour(&self, entry: &str, by: i32) -> Option<String> {
        let size = |text: &str| EnteredHorsepower::new(text).map(|power| power.quantity());
        let now = size(entry).ok()?;
        let usual = self.usual().iter().copied();
        let found = if by < 0 {
            usual.rev().find(|text| size(text).is_ok_and(|size| size < now))
        } else {
            usual.into_iter().find(|text| size(text).is_ok_and(|size| size > now))
        };
        found.map(str::to_owned)
    }
}

/// How far a plus or minus goes.
fn step(unit: &str) -> f64 {
    match unit {
        "ft" => 5.0,
        "W" | "VA" | "mm" => 100.0,
        "kW" | "kVA" => 0.5,
        "in" => 12.0,
        _ => 1.0,
    }
}

fn sentence(why: &str) -> Said {
    say!("This cannot be entered: {}.", why.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn turned(key: &str, entry: &str, by: i32) -> Option<String> {
        figure(key).unwrap().turned(entry, by)
    }

    #[test]
    fn plus_and_minus_go_in_steps_of_the_unit() {
        assert_eq!(turned("amperes", "30 A", 1).as_deref(), Some("31 A"));
        assert_eq!(turned(LENGTH, "52 ft", 1).as_deref(), Some("55 ft"));
        assert_eq!(turned(LENGTH, "52 ft", -1).as_deref(), Some("50 ft"));
        assert_eq!(turned(LENGTH, "5 ft", -1).as_deref(), Some("5 ft"), "never to nought");
        assert_eq!(turned(LENGTH, "15 m", 1).as_deref(), Some("16 m"));
        assert_eq!(turned("power", "4.5 kW", 1).as_deref(), Some("5 kW"));
        assert_eq!(turned("horsepower", "1 hp", 1).as_deref(), Some("1-1/2 hp"));
        assert_eq!(turned("horsepower", "1 hp", -1).as_deref(), Some("3/4 hp"));
        assert_eq!(turned("amperes", "none", 1), None);
        assert_eq!(turned("amperes", "1000 kA", 1), None, "beyond what can be entered");
    }

    #[test]
    fn every_figure_reads_what_stands_there_at_first_and_refuses_what_it_is_not() {
        for figure in &FIGURES {
            figure.take(figure.first).unwrap();
            for usual in figure.usual() {
                figure.take(usual).unwrap();
            }
            assert!(figure.take("much").is_err(), "{}", figure.key);
            assert_eq!(figure.take("").is_ok(), figure.is_open(), "{}", figure.key);
        }
    }
}
