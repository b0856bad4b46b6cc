//! What was entered and cannot be read, and what was measured beside what is worked out.

pub mod current_read_beyond_loads;
pub mod current_read_over_rating;
pub mod entry_in_doubt;
pub mod joint_runs_warm;
pub mod voltage_lower_than_explained;

use crate::checks::CheckInfo;

/// One line a check.
pub(super) static CHECKS: &[&CheckInfo] = &[
    &entry_in_doubt::CHECK,
    &joint_runs_warm::CHECK,
    &voltage_lower_than_explained::CHECK,
    &current_read_over_rating::CHECK,
    &current_read_beyond_loads::CHECK,
];
