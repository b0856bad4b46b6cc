//! Published tables: one data file each, embedded at build time, with standard, table number,
//! edition, unit and basis in the file. No number of a standard stands in a function body.
//!
//! A look-up gives a [`Cell`]: the value and where it stands. A result that rests on a cell from
//! memory can say so.

mod file;
pub mod us;

use crate::say;
use crate::words::{phrase, spelled};
use std::fmt;

pub use file::{Table, TableFileError};

/// How sure a figure is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Basis {
    /// Two or more independent printed pages agree.
    Confirmed,
    /// One printed page shows it.
    OneSource,
    /// Reproduced by a formula or by another confirmed table.
    Physics,
    /// From memory of the standard: compare with a printed copy before relying on it.
    Memory,
    /// Common practice: no standard gives it.
    Practice,
}

impl Basis {
    /// Reads the code used in table files.
    #[must_use]
    pub fn from_code(code: &str) -> Option<Self> {
        match code {
            "confirmed" => Some(Self::Confirmed),
            "one_source" => Some(Self::OneSource),
            "physics" => Some(Self::Physics),
            "memory" => Some(Self::Memory),
            "practice" => Some(Self::Practice),
            _ => None,
        }
    }

    /// The basis in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        crate::words::word(match self {
            Self::Confirmed => "confirmed in print",
            Self::OneSource => "one printed source",
            Self::Physics => "agrees with physics",
            Self::Memory => "from memory, compare with a printed copy",
            Self::Practice => "common practice, no published source",
        })
    }
}

/// Where in a published table a figure stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CellRef {
    /// The table.
    pub table: &'static Table,
    /// Row number in the file, from 0.
    pub row: usize,
    /// Column number in the file, from 0.
    pub column: usize,
}

impl CellRef {
    /// How sure the figure is.
    #[must_use]
    pub fn basis(&self) -> Basis {
        self.table.basis(self.row, self.column)
    }
}

impl fmt::Display for CellRef {
    /// `NFPA 70-2023 Table 310.16, row 12, column copper 60 °C`; a clause that says a number is
    /// `NFPA 70-2023 210.20(A)`, and its row is its section.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let table = self.table;
        if matches!(table.number(), "sections" | "Article 220") {
            return write!(f, "{}-{} {}", table.standard(), table.edition(), table.row_name(self.row));
        }
        let column = phrase(table.column_words(self.column).to_owned());
        say!("{}, row {}, column {}", table.title().to_owned(), row_words(table.row_name(self.row)), column)
            .fmt(f)
    }
}

/// A row in words: one that is named for the program is told as a phrase.
fn row_words(row: &str) -> String {
    if row.contains('_') { phrase(row.replace('_', " ")) } else { spelled(row.to_owned()) }
}

/// A figure with its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cell<T> {
    /// The figure.
    pub value: T,
    /// Where it stands.
    pub place: CellRef,
}

impl<T> Cell<T> {
    /// The same place with another value made from this one.
    pub fn map<U>(self, change: impl FnOnce(T) -> U) -> Cell<U> {
        Cell { value: change(self.value), place: self.place }
    }
}
