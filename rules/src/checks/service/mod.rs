//! Service, panels and buses.

pub mod no_outdoor_disconnect;
pub mod overcurrent_device_in_bathroom_or_closet;

use crate::checks::CheckInfo;

/// One line a check.
pub(super) static CHECKS: &[&CheckInfo] =
    &[&overcurrent_device_in_bathroom_or_closet::CHECK, &no_outdoor_disconnect::CHECK];
