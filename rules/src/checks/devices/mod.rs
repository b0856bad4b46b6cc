//! Breakers and fuses themselves.

use crate::checks::CheckInfo;

/// One line a check.
pub(super) static CHECKS: &[&CheckInfo] = &[];
