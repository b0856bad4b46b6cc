//! What older houses hold.

pub mod aluminium_branch_wiring;
pub mod armor_as_ground;
pub mod asbestos_suspected;
pub mod frame_grounded_on_neutral;
pub mod fused_neutral;
pub mod heat_or_water_marks;
pub mod knob_and_tube_buried;
pub mod panel_of_doubtful_make;
pub mod rubber_insulation_aged;
mod small_conductor;
pub mod ungrounded_three_slot;

use crate::checks::CheckInfo;

/// One line a check.
pub(super) static CHECKS: &[&CheckInfo] = &[
    &knob_and_tube_buried::CHECK,
    &rubber_insulation_aged::CHECK,
    &aluminium_branch_wiring::CHECK,
    &fused_neutral::CHECK,
    &ungrounded_three_slot::CHECK,
    &frame_grounded_on_neutral::CHECK,
    &armor_as_ground::CHECK,
    &heat_or_water_marks::CHECK,
    &asbestos_suspected::CHECK,
    &panel_of_doubtful_make::CHECK,
];
