//! Will it carry it? The demand of the house, and what a supply of one's own carries, starts and
//! keeps running.

pub mod carry;
pub mod demand;
pub mod run_time;
pub mod together;
