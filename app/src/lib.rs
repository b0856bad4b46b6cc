//! Files, command line, PDF and wiring.

pub mod paper;
