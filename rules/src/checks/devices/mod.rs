//! Breakers and fuses themselves.

pub mod device_voltage_too_low;
pub mod fault_current_too_low_to_trip;
pub mod fuse_larger_than_wire;
pub mod interrupting_rating_too_low;
pub mod no_ground_fault_protection;
pub mod poles_not_common_trip;
pub mod rating_not_standard;
pub mod two_wires_under_one_lug;

use crate::checks::CheckInfo;

/// One line a check.
pub(super) static CHECKS: &[&CheckInfo] = &[
    &fuse_larger_than_wire::CHECK,
    &interrupting_rating_too_low::CHECK,
    &fault_current_too_low_to_trip::CHECK,
    &device_voltage_too_low::CHECK,
    &two_wires_under_one_lug::CHECK,
    &poles_not_common_trip::CHECK,
    &no_ground_fault_protection::CHECK,
    &rating_not_standard::CHECK,
];
