//! Breakers and fuses themselves.

pub mod two_wires_under_one_lug;

use crate::checks::CheckInfo;

/// One line a check.
pub(super) static CHECKS: &[&CheckInfo] = &[&two_wires_under_one_lug::CHECK];
