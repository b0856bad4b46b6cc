//! Conductors and what protects them.

pub mod device_larger_than_conductor;

use crate::checks::CheckInfo;

/// One line a check.
pub(super) static CHECKS: &[&CheckInfo] = &[&device_larger_than_conductor::CHECK];
