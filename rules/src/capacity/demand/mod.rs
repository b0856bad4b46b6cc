//! Demand of a dwelling by NFPA 70-2023 Article 220.
//!
//! [`Dwelling`] holds what a place (service, feeder, bus) feeds, in plain numbers; each method makes
//! a [`Worksheet`] of it, line by line. [`places`] reads both from a survey.

mod by_optional;
mod by_standard;
mod cooking;
mod dwelling;
mod gather;
mod general;
mod inputs;
mod limit;
mod measured;
mod neutral;
mod place;
mod sheet;
mod verdict;

pub use by_optional::{existing, optional};
pub use by_standard::standard;
pub use cooking::cooking_demand;
pub use dwelling::{Dwelling, Group, Item, Uncovered};
pub use gather::{Gathered, gather};
pub use limit::limit_of;
pub use measured::{Measured, measured};
pub use neutral::neutral_demand;
pub use place::{Place, PlaceKind, places};
pub use sheet::{Line, Method, Worksheet};
pub use verdict::{AreaTaken, Assessed, ByMethod, assessed};

#[cfg(test)]
mod survey_tests;
#[cfg(test)]
mod tests;
