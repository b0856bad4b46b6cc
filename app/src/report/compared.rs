//! What each check compares, in words, and which steps of its derivation redo the figures.

/// The two figures of a check and their steps.
#[derive(Debug, Clone, Copy)]
pub(super) struct Compared {
    /// What was found.
    pub(super) found: &'static str,
    /// What it is held against.
    pub(super) limit: &'static str,
    /// Symbols of which the last step is told.
    pub(super) last: &'static [&'static str],
    /// Symbols of which every step is told.
    pub(super) each: &'static [&'static str],
}

impl Compared {
    /// Whether it rests on what a run may carry; those steps are told once for all runs of a kind.
    pub(super) fn by_ampacity(&self) -> bool {
        self.last == AMPACITY || self.last == NEXT_RATING
    }
}

/// The steps of an ampacity.
pub(super) const AMPACITY: &[&str] = &["S", "I_t", "I_c", "I_1", "I_2", "I_z"];
/// The same, and the next standard rating.
const NEXT_RATING: &[&str] = &["S", "I_t", "I_c", "I_1", "I_2", "I_z", "I_n"];
/// The steps of a fault current.
const FAULT: &[&str] = &["R", "X", "I_k", "I_i"];
/// The steps of the heat in a fault.
const HEAT: &[&str] = &["R", "X", "I_k", "I²t", "S", "k", "k²S²"];

/// A check by its name, what was found, its limit, the steps.
type Line = (&'static str, &'static str, &'static str, &'static [&'static str], &'static [&'static str]);

const LINES: [Line; 26] = [
    ("device_larger_than_conductor", "device ahead", "largest device for the conductor", NEXT_RATING, &[]),
    ("load_larger_than_conductor", "current of the loads", "what the run may carry", AMPACITY, &[]),
    ("load_larger_than_device", "current of the loads", "device ahead", &["I_B"], &["I"]),
    ("terminal_runs_too_hot", "device ahead", "largest device for the terminals", NEXT_RATING, &[]),
    ("equipment_ground_missing_or_small", "grounding wire", "smallest grounding wire", &["S_g"], &["I_n"]),
    ("neutral_undersized", "current of the neutral", "what the neutral may carry", AMPACITY, &[]),
    ("motor_start_sags_voltage", "voltage dip at the start", "limit", &["LRA", "Z_m", "Z", "Z_w", "u"], &[]),
    (
        "fault_heats_conductor_past_limit",
        "heat that the fault lets through",
        "heat that the conductor takes up",
        HEAT,
        &[],
    ),
    ("fuse_larger_than_wire", "largest fuse that fits in", "largest fuse for the wire", &["I_w", "I_a"], &[]),
    ("interrupting_rating_too_low", "largest fault current", "interrupting rating", FAULT, &[]),
    ("fault_current_too_low_to_trip", "smallest fault current", "opens at once from", FAULT, &["k"]),
    ("device_voltage_too_low", "voltage of the circuit", "voltage of the device", &[], &[]),
    ("two_wires_under_one_lug", "wires under the terminal", "wires it is made for", &[], &[]),
    ("rating_not_standard", "device ahead", "rating of the bus", &[], &[]),
    ("feeder_overloaded", "demand", "what the feeder may carry", &["I_B", "I_max"], &["S", "I_n", "I_bus"]),
    (
        "measured_current_above_rating",
        "largest current entered",
        "smallest rating on its way",
        &["I_max"],
        &["I_n", "I_R"],
    ),
    ("busbar_fed_from_both_ends", "what feeds the bus", "limit of the bus", &[], &["I_sum", "k", "I_max"]),
    ("supply_overloaded", "all loads at once", "continuous power", &[], &[]),
    ("leg_unbalanced", "heavier leg", "continuous current of one leg", &[], &["I_A", "I_B"]),
    (
        "start_beyond_surge",
        "current of the start, of the supply or out of its battery",
        "what that gives for as long",
        &["LRA", "I_st", "P", "P_dc", "I_dc"],
        &["I_max", "P_max"],
    ),
    (
        "battery_current_too_high",
        "current to design for",
        "rating",
        &["η", "P_n", "U_min", "I_dc", "I_B"],
        &[],
    ),
    ("transfer_rating_too_low", "device ahead", "rating of the transfer switch", &[], &[]),
    ("knob_and_tube_buried", "device ahead", "largest device for its size", &[], &[]),
    ("aluminium_branch_wiring", "device ahead", "largest device for its size", &[], &[]),
    ("working_space_blocked", "", "", &["d", "d_min", "w", "w_min", "h", "h_min"], &[]),
    ("electrode_missing_or_small", "", "", &["R", "R_max", "S", "S_g"], &[]),
];

/// What a check compares, where it compares figures.
pub(super) fn compared(check: &str) -> Option<Compared> {
    let (_, found, limit, last, each) = LINES.into_iter().find(|(name, ..)| *name == check)?;
    Some(Compared { found, limit, last, each })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_names_a_check() {
        for (name, ..) in LINES {
            assert!(deadfront_rules::checks::registry().any(|check| check.name == name), "{name}");
            assert!(compared(name).is_some());
        }
    }
}
