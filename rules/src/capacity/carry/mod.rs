//! What a supply of one's own (battery inverter, generator) carries and starts.
//!
//! Loads on one leg are added as apparent power, without their angles: the sum is on the careful
//! side and can be redone by hand.

mod ability;
mod bank;
mod dip;
mod direct;
mod island;
mod losses;
pub(crate) mod spelled;
mod start;
mod totals;

pub use ability::{Ability, ability};
pub use bank::{Bank, Loaded, Rate, bank_of};
pub use dip::start_dip;
pub(crate) use direct::given;
pub use direct::{
    DcCurrent, LossesOf, battery_surge, continuous_dc, dc_current, dc_run, losses_of, surge_power,
};
pub use island::{Carried, Island, islands};
pub use losses::Losses;
pub use start::{StartOf, Starting, start_on};
pub use totals::{Totals, totals};
