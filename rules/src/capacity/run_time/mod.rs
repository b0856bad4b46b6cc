//! How long a battery carries its loads: bounds, and a simulation of loads that cycle.

mod bounds;
mod day;
mod dice;
mod energy;
mod of_island;
mod simulate;

pub use bounds::{Bounds, bounds};
pub use day::{Cycling, Day, day_of};
pub use dice::Dice;
pub use energy::{Balance, Step, Store};
pub(crate) use of_island::usual_day;
pub use of_island::{RunTime, Sun, run_time, store_of, sun_of};
pub use simulate::{Percentiles, simulated};
