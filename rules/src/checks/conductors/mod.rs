//! Conductors and what protects them.

pub mod cord_used_as_fixed_wiring;
pub mod device_larger_than_conductor;
pub mod equipment_ground_missing_or_small;
pub mod fault_heats_conductor_past_limit;
#[cfg(test)]
mod forgetting;
pub mod hots_of_shared_neutral_not_tied;
pub mod load_larger_than_conductor;
pub mod load_larger_than_device;
pub mod motor_start_sags_voltage;
pub mod neutral_undersized;
pub mod parallel_run_improper;
pub mod run_unprotected;
pub mod shared_neutral_fed_single_phase;
pub mod terminal_runs_too_hot;
pub mod voltage_drop_over_advice;

use crate::checks::CheckInfo;

/// One line a check.
pub(super) static CHECKS: &[&CheckInfo] = &[
    &device_larger_than_conductor::CHECK,
    &load_larger_than_conductor::CHECK,
    &load_larger_than_device::CHECK,
    &terminal_runs_too_hot::CHECK,
    &run_unprotected::CHECK,
    &hots_of_shared_neutral_not_tied::CHECK,
    &equipment_ground_missing_or_small::CHECK,
    &cord_used_as_fixed_wiring::CHECK,
    &parallel_run_improper::CHECK,
    &neutral_undersized::CHECK,
    &shared_neutral_fed_single_phase::CHECK,
    &voltage_drop_over_advice::CHECK,
    &motor_start_sags_voltage::CHECK,
    &fault_heats_conductor_past_limit::CHECK,
];
