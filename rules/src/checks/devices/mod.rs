//! Breakers and fuses themselves.

pub mod no_ground_fault_protection;
pub mod two_wires_under_one_lug;

use crate::checks::CheckInfo;

/// One line a check.
pub(super) static CHECKS: &[&CheckInfo] =
    &[&two_wires_under_one_lug::CHECK, &no_ground_fault_protection::CHECK];
