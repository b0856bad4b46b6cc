//! Files, command line, PDF and wiring.
