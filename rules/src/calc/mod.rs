//! Calculations: impedances, voltage drop, load currents, fault currents, heat in a fault.
//!
//! The arithmetic is in functions of quantities; what is read from the house gives a
//! [`Worked`](crate::finding::Worked) with its derivation.

pub mod adiabatic;
pub mod busbar;
pub mod clear_sky;
pub mod dc;
pub mod drop;
pub mod drop_by_hand;
pub mod drop_parts;
pub mod entered_demand;
pub mod fault;
pub mod ground_path;
mod impedance;
pub mod load_current;
pub mod neutral;
pub mod neutral_load;
pub mod path_drop;
mod phasor;
pub mod short_circuit;
pub(crate) mod source;
pub(crate) mod start_dip;
pub mod voltage;

pub use impedance::{RunImpedance, Warmth, cold_share};
pub use phasor::Impedance;
