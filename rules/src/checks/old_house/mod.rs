//! What older houses hold.

pub mod fused_neutral;

use crate::checks::CheckInfo;

/// One line a check.
pub(super) static CHECKS: &[&CheckInfo] = &[&fused_neutral::CHECK];
