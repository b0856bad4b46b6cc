//! The survey in spreadsheets: panel schedules, runs, loads and cable as CSV (RFC 4180), and a panel
//! schedule read back.
//!
//! The first row holds the names of the facts as the survey file has them, so that what was written
//! out can be read in again. An empty cell is a fact that nobody has seen.

mod cell;
mod read;
mod write;

pub use read::{CellFault, ImportError, import_panels};
pub use write::{cable_csv, loads_csv, panels_csv, runs_csv};
