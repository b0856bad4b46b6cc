//! What can run together on a supply: all maximal sets of heavy loads that it carries and can start.

mod of_island;
mod search;

pub use of_island::{HeavySet, RefusedSet, RunTogether, run_together};
pub use search::{Heavy, Limits, Reason, Search, Sets, maximal_sets};
