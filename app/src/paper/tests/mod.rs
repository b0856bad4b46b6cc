//! The paper as a whole.

mod sample;
