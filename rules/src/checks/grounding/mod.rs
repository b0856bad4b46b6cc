//! Neutral, ground and electrodes.

mod bonds;
mod electrode_conductor;
pub mod electrode_missing_or_small;
pub mod neutral_bonded_in_subpanel;
pub mod neutral_bonded_more_than_once;
pub mod neutral_not_bonded;

use crate::checks::CheckInfo;

/// One line a check.
pub(super) static CHECKS: &[&CheckInfo] = &[
    &neutral_not_bonded::CHECK,
    &neutral_bonded_more_than_once::CHECK,
    &neutral_bonded_in_subpanel::CHECK,
    &electrode_missing_or_small::CHECK,
];
