//! What the tests of the whole program share; the tests stand in the `tests` folder.

pub mod arbitrary;
pub mod facts;
