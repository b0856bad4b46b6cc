//! What can run together on a supply: all maximal sets of heavy loads that it carries and can start, and
//! whether one set that somebody tries does.

mod of_island;
mod reason;
mod search;
mod tried;

pub(crate) use of_island::is_heavy;
pub use of_island::{HeavySet, RefusedSet, RunTogether, run_together};
pub use search::{Heavy, Limits, Reason, Search, Sets, maximal_sets};
pub use tried::{Answer, Figures, LeftOut, Tried, choices, in_mode, try_set};
