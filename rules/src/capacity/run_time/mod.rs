//! How long a battery carries its loads: bounds, and a simulation of loads that cycle.

mod bounds;
mod day;
mod dice;
mod energy;
mod flow;
mod months;
mod needed;
mod of_island;
mod simulate;
mod to_add;

pub use bounds::{Bounds, bounds};
pub(crate) use day::DAY;
pub use day::{Cycling, Day, day_of};
pub use dice::Dice;
pub use energy::{Balance, Step, Store};
pub(crate) use months::put_back;
pub use months::{MONTHS, Month, Months, SunFrom, months_of};
pub use needed::{Need, Needed, battery_needed};
pub use of_island::{Lasts, RunTime, Stores, Sun, run_time, store_of, sun_of};
pub(crate) use of_island::{charged_by_sun, usual_day};
pub use simulate::{Charge, LONGEST, Percentiles, Simulation, simulated, through_a_day};
pub use to_add::{ToAdd, to_add};
