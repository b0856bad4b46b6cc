//! Service, panels and buses.

pub mod busbar_fed_from_both_ends;
mod demand_words;
pub mod feeder_overloaded;
pub mod measured_current_above_rating;
pub mod no_outdoor_disconnect;
pub mod overcurrent_device_in_bathroom_or_closet;
pub mod service_overloaded;
pub mod too_many_mains;
pub mod working_space_blocked;

use crate::checks::CheckInfo;

/// One line a check.
pub(super) static CHECKS: &[&CheckInfo] = &[
    &service_overloaded::CHECK,
    &feeder_overloaded::CHECK,
    &measured_current_above_rating::CHECK,
    &busbar_fed_from_both_ends::CHECK,
    &too_many_mains::CHECK,
    &working_space_blocked::CHECK,
    &overcurrent_device_in_bathroom_or_closet::CHECK,
    &no_outdoor_disconnect::CHECK,
];
