//! Will it carry it? The demand of the house, and what a supply of one's own carries, starts and
//! keeps running.

pub mod demand;
