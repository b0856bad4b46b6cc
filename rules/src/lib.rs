//! Survey model, published tables, calculations, checks and findings.
//!
//! Pure: this crate knows no file, clock, window, PDF, or random seed that it was not given. Its
//! functions are total: bad input gives a finding or [`finding::Verdict::CannotTell`], never a panic.

pub mod assess;
pub mod calc;
pub mod capacity;
pub mod checks;
pub mod codes;
pub mod drawing;
pub mod edit;
pub mod finding;
#[cfg(test)]
mod fixture;
pub mod house;
pub mod isolation;
pub mod network;
pub mod readings;
pub mod runs;
pub mod si;
pub mod sizing;
pub mod survey;
pub mod tables;
pub mod walk;
pub mod words;

pub use assess::{Assessment, assess};
