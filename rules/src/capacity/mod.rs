//! Will it carry it? The demand of the house, and what a supply of one's own carries and starts.

pub mod carry;
pub mod demand;
