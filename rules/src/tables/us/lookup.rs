//! How rows are found: by trade size, or as the first row whose upper end is not passed.

use std::array;

use super::super::{CellRef, Table};
use super::Cell;
use crate::survey::WireSize;

/// Relative slack for the noise of floating point: 1.25 × 16 A is 20 A.
pub(super) const NOISE: f64 = 1e-9;

/// Place of a trade size in the ascending order of areas; `None` for a metric size.
pub(super) fn order(size: WireSize) -> Option<i32> {
    match size {
        WireSize::Awg(gauge) => Some(-i32::from(gauge)),
        WireSize::Kcmil(size) => Some(i32::from(size)),
        WireSize::SquareMillimeter(_) => None,
    }
}

/// Number of a column that the file is known to have.
pub(super) fn column(table: &Table, name: &str) -> usize {
    match table.column(name) {
        Some(column) => column,
        // Every file is read by a test, so a release never comes here.
        None => unreachable!("{} has no column {name}", table.file()),
    }
}

/// A trade size with its place.
pub(super) fn size_cell(table: &'static Table, row: usize, column: usize) -> Option<Cell<WireSize>> {
    let value = WireSize::from_trade(table.text(row, column))?;
    Some(Cell { value, place: CellRef { table, row, column } })
}

/// Rows by trade size, ascending.
pub(super) struct BySize<T, const N: usize>(Vec<(i32, [Option<Cell<T>>; N])>);

impl<T: Copy, const N: usize> BySize<T, N> {
    /// Reads these columns of a table whose first column is the size.
    pub(super) fn read(table: &'static Table, names: [&str; N], make: impl Fn(f64) -> T) -> Self {
        let columns = names.map(|name| column(table, name));
        let mut rows: Vec<_> = (0..table.len())
            .filter_map(|row| {
                let size = order(WireSize::from_trade(table.text(row, 0))?)?;
                let cells = array::from_fn(|at| Some(table.cell(row, columns[at])?.map(&make)));
                Some((size, cells))
            })
            .collect();
        rows.sort_by_key(|(size, _)| *size);
        Self(rows)
    }

    /// The cell of a size in the column with this place among those that were read.
    pub(super) fn get(&self, size: WireSize, column: usize) -> Option<Cell<T>> {
        let size = order(size)?;
        let at = self.0.binary_search_by_key(&size, |(key, _)| *key).ok()?;
        *self.0[at].1.get(column)?
    }
}

/// Rows that hold up to and with their upper end, ascending.
pub(super) struct UpTo<T, const N: usize>(Vec<(f64, [Option<T>; N])>);

impl<T: Copy, const N: usize> UpTo<T, N> {
    /// Reads a table: `upper` gives the upper end of a row, slack for rounding included, `cell` its cells.
    pub(super) fn read(
        table: &'static Table,
        names: [&str; N],
        upper: impl Fn(usize) -> f64,
        cell: impl Fn(&'static Table, usize, usize) -> Option<T>,
    ) -> Self {
        let columns = names.map(|name| column(table, name));
        Self(
            (0..table.len())
                .map(|row| (upper(row), array::from_fn(|at| cell(table, row, columns[at]))))
                .collect(),
        )
    }

    /// The cell in the first row whose upper end is not below `value`.
    pub(super) fn get(&self, value: f64, column: usize) -> Option<T> {
        let (_, cells) = self.0.iter().find(|(upper, _)| value <= *upper)?;
        *cells.get(column)?
    }
}

/// Upper end of a row from a column of numbers; an empty cell has no end.
pub(super) fn upper(table: &Table, row: usize, name: &str) -> f64 {
    table.number_at(row, column(table, name)).map_or(f64::INFINITY, |end| end * (1.0 + NOISE))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_order_of_trade_sizes_is_that_of_their_areas() {
        for pair in super::super::trade_sizes().windows(2) {
            assert!(order(pair[0]) < order(pair[1]));
            assert!(pair[0].area() < pair[1].area());
        }
        assert_eq!(order(WireSize::SquareMillimeter(16.0)), None);
    }
}
