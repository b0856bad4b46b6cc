//! Calculations.

pub mod busbar;
