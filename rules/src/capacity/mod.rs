//! Will it carry it? The demand of the house, and what a supply of one's own carries, starts and
//! keeps running.

pub mod carry;
pub mod demand;
mod overview;
pub mod run_time;
pub mod together;

pub use overview::{StartOverview, SupplyOverview, overview};
