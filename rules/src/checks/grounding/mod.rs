//! Neutral, ground and electrodes.

use crate::checks::CheckInfo;

/// One line a check.
pub(super) static CHECKS: &[&CheckInfo] = &[];
