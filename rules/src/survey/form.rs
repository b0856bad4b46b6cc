//! How a value is entered: derived from the Rust type of each field, so that no list by hand can
//! grow stale.

use serde_json::Value;

use super::Id;
use super::quantity::{Dimension, Entered, shown};

/// A choice as the file spells it, and its words for people.
pub type Pick = (&'static str, &'static str);

/// What kind of entry a field takes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Form {
    /// `yes` or `no`.
    YesNo,
    /// One of these; the entry is the first text of a pick.
    Choice(&'static [Pick]),
    /// A number with a unit: the entry is `20 A`.
    Quantity {
        /// The units it takes.
        units: &'static [&'static str],
        /// Entries that are often right, to be picked; any other may be typed.
        usual: &'static [&'static str],
    },
    /// A conductor size: `12 AWG`, `250 kcmil`, `16 mm2`.
    Size {
        /// AWG, kcmil, mm2.
        units: &'static [&'static str],
        /// The trade sizes met in houses.
        usual: &'static [&'static str],
    },
    /// A whole number.
    Count {
        /// The largest that can be entered; the smallest is 0.
        most: u16,
    },
    /// A text.
    Text {
        /// Longest text, in characters.
        longest: usize,
    },
    /// A day: `2026-04-30`.
    Day,
    /// A moment with its time zone: `2026-04-30T14:05:00+02:00`.
    Moment,
    /// One other item: the entry is its id.
    One(Vec<(Id, String)>),
    /// Several other items: the entry is their ids, parted by commas.
    Many(Vec<(Id, String)>),
    /// The numbered spaces of a way: `7`, `2-4`.
    Spaces,
    /// Twelve figures, January first, parted by commas: `2.1 h, 3 h, ...`.
    Months {
        /// The units that each figure takes.
        units: &'static [&'static str],
    },
}

/// Reads an entry of one type: the value as the file writes it, or what is wrong in one sentence.
pub type Reader = fn(&str) -> Result<Value, String>;

/// A type that a person can enter.
pub trait Enterable {
    /// The kind of entry.
    fn form() -> Form;

    /// Reads an entry.
    ///
    /// # Errors
    /// One sentence that says what is wrong with the text.
    fn read(text: &str) -> Result<Value, String>;
}

/// A fact of a record: its name in the file and how it is entered.
#[derive(Debug, Clone, Copy)]
pub struct FactEntry {
    /// Its name in the file.
    pub name: &'static str,
    /// The kind of entry.
    pub form: fn() -> Form,
    /// Reads an entry.
    pub read: Reader,
}

/// A record whose fields can be read and changed by their names in the file.
pub(crate) trait Record {
    /// The value of a field as the file writes it; `null` where a field with nothing in it may be
    /// left out. `None` when there is no such field.
    fn field(&self, name: &str) -> Option<Value>;

    /// Changes a field.
    ///
    /// # Errors
    /// When there is no such field or the value is none of its type. Nothing is changed then.
    fn set_field(&mut self, name: &str, value: &Value) -> Result<(), String>;
}

impl Enterable for bool {
    fn form() -> Form {
        Form::YesNo
    }
    fn read(text: &str) -> Result<Value, String> {
        match text.to_ascii_lowercase().as_str() {
            "yes" => Ok(true.into()),
            "no" => Ok(false.into()),
            _ => Err(format!("\"{}\" is neither yes nor no", shown(text))),
        }
    }
}

macro_rules! counts {
    ($($type:ty),+) => {$(
        impl Enterable for $type {
            fn form() -> Form {
                Form::Count { most: <$type>::MAX.into() }
            }
            fn read(text: &str) -> Result<Value, String> {
                let number = text.bytes().all(|c| c.is_ascii_digit()).then(|| text.parse::<$type>().ok());
                number.flatten().map(Value::from).ok_or_else(|| {
                    format!("\"{}\" is no whole number from 0 to {}", shown(text), <$type>::MAX)
                })
            }
        }
    )+};
}
counts!(u8, u16);

impl<D: Dimension> Enterable for Entered<D> {
    fn form() -> Form {
        D::form()
    }
    fn read(text: &str) -> Result<Value, String> {
        Self::new(text).map(|entered| entered.text().into()).map_err(|error| error.to_string())
    }
}

/// Reads a choice by its spelling in the file or by its words.
pub(crate) fn read_choice(picks: &[Pick], text: &str) -> Result<Value, String> {
    let exact = picks.iter().find(|(file, _)| *file == text);
    let found = exact.or_else(|| picks.iter().find(|(_, words)| words.eq_ignore_ascii_case(text)));
    found
        .map(|(file, _)| (*file).into())
        .ok_or_else(|| format!("\"{}\" is none of the {} choices", shown(text), picks.len()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::survey::{DeviceKind, EnteredSize, Half, quantity::EnteredCurrent};

    #[test]
    fn each_type_reads_what_it_takes_and_says_what_is_wrong() {
        assert_eq!(bool::read("Yes"), Ok(true.into()));
        assert!(bool::read("maybe").unwrap_err().contains("neither yes nor no"));
        assert_eq!(u8::read("255"), Ok(255.into()));
        for text in ["256", "-1", "+1", "1.0", "", "two"] {
            assert!(u8::read(text).is_err(), "{text}");
        }
        assert_eq!(EnteredCurrent::read(" 20 A "), Ok("20 A".into()));
        assert!(EnteredCurrent::read("2o A").unwrap_err().contains("needs one of the units"));
        assert_eq!(EnteredSize::read("2/0 AWG"), Ok("2/0 AWG".into()));
    }

    #[test]
    fn a_choice_is_read_by_file_word_and_by_words() {
        assert_eq!(DeviceKind::read("plug_fuse"), Ok("plug_fuse".into()));
        assert_eq!(DeviceKind::read("Plug fuse"), Ok("plug_fuse".into()));
        assert!(DeviceKind::read("plug").unwrap_err().contains("none of the 9 choices"));
        assert_eq!(Half::form(), Form::Choice(&[("a", "upper half"), ("b", "lower half")]));
    }

    #[test]
    fn units_are_those_of_the_kind() {
        let Form::Quantity { units, .. } = EnteredCurrent::form() else { panic!("a quantity") };
        assert_eq!(units, ["A", "kA"]);
        let Form::Size { units, .. } = EnteredSize::form() else { panic!("a size") };
        assert_eq!(units, ["AWG", "kcmil", "mm2"]);
    }
}
