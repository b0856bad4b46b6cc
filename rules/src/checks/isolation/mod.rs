//! How sources can meet, and what has to be open to work.

pub mod dead_part_can_be_fed_back;
pub mod interlock_defeated;
pub mod live_pins;
pub mod no_lockable_isolation;
pub mod no_source_label;
mod pairs;
pub mod separation_by_promise_only;
pub mod sources_meet_in_normal_use;
pub mod sources_one_slip_apart;
pub mod transfer_rating_too_low;

use crate::checks::CheckInfo;

/// One line a check.
pub(super) static CHECKS: &[&CheckInfo] = &[
    &sources_meet_in_normal_use::CHECK,
    &sources_one_slip_apart::CHECK,
    &separation_by_promise_only::CHECK,
    &live_pins::CHECK,
    &dead_part_can_be_fed_back::CHECK,
    &interlock_defeated::CHECK,
    &no_lockable_isolation::CHECK,
    &transfer_rating_too_low::CHECK,
    &no_source_label::CHECK,
];
