//! The macro behind the named rows of a table.

/// Declares an enum with one variant for each row of a table, so that a wrong name does not compile.
macro_rules! row_ids {
    ($(#[$meta:meta])* $name:ident { $($(#[$variant_meta:meta])* $variant:ident = $id:literal;)+ }) => {
        $(#[$meta])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name {
            $($(#[$variant_meta])* $variant,)+
        }
        impl $name {
            /// Every row, in the order of the file.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];
            /// The row's id in the file.
            #[must_use]
            pub fn id(self) -> &'static str {
                match self { $(Self::$variant => $id),+ }
            }
        }
    };
}

pub(super) use row_ids;

use super::super::Table;
use super::lookup::column;

/// The row with this id.
pub(super) fn row_of(table: &Table, id: &str) -> usize {
    let at = column(table, "id");
    match (0..table.len()).find(|row| table.text(*row, at) == id) {
        Some(row) => row,
        // A test compares ids and rows, so a release never comes here.
        None => unreachable!("{} has no row {id}", table.file()),
    }
}

/// A text of the row.
pub(super) fn text_of(table: &'static Table, row: usize, name: &str) -> &'static str {
    table.text(row, column(table, name))
}

/// Whether ids and rows are the same, in the same order.
#[cfg(test)]
pub(super) fn same_rows(table: &Table, ids: &[&str]) -> bool {
    let at = column(table, "id");
    (0..table.len()).map(|row| table.text(row, at)).eq(ids.iter().copied())
}
