//! Files, command line, PDF and wiring.

pub mod command;
pub mod compare;
pub mod demo;
pub mod file;
pub mod handout;
mod jpeg;
pub mod paper;
pub mod photo;
pub mod report;
pub mod sheet;
pub mod sign;
pub mod store;
pub mod visit;
