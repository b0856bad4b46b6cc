//! Tests of the whole program stand in the `tests` folder.
