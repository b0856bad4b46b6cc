//! Will it carry it? The demand of the house, and what a supply of one's own carries, starts and
//! keeps running.

pub mod carry;
pub mod demand;
mod direct_current;
mod overview;
#[cfg(test)]
mod properties;
pub mod run_time;
pub mod series;
pub mod together;
mod when;

pub use direct_current::{DirectCurrent, DirectCurve, Output};
pub use overview::{FaultOverview, Overview, StartOverview, SupplyOverview, overview};
pub use when::When;
