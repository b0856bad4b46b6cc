//! Supplies of one's own: what they carry, start and keep running.

pub mod battery_current_too_high;
pub mod dc_fuse_cannot_break_battery;
pub mod leg_unbalanced;
pub mod loads_get_too_much_voltage;
mod part_load;
pub mod run_time_shorter_than_wanted;
pub mod start_beyond_surge;
pub mod sun_does_not_refill;
pub mod supply_lacks_240v;
pub mod supply_overloaded;

use crate::checks::CheckInfo;

/// One line a check.
pub(super) static CHECKS: &[&CheckInfo] = &[
    &supply_overloaded::CHECK,
    &leg_unbalanced::CHECK,
    &supply_lacks_240v::CHECK,
    &loads_get_too_much_voltage::CHECK,
    &start_beyond_surge::CHECK,
    &battery_current_too_high::CHECK,
    &dc_fuse_cannot_break_battery::CHECK,
    &run_time_shorter_than_wanted::CHECK,
    &sun_does_not_refill::CHECK,
];
