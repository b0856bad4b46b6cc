//! Files, command line, PDF and wiring.

pub mod command;
pub mod demo;
pub mod file;
pub mod paper;
pub mod photo;
pub mod report;
pub mod store;
