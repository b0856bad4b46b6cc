//! What the tests of the whole program share; the tests stand in the `tests` folder.

pub mod arbitrary;
pub mod edits;
pub mod facts;

use proptest::test_runner::RngSeed;

/// The seed of the random houses: the same in every run, unless `PROPTEST_RNG_SEED` asks for another.
#[must_use]
pub fn seed() -> RngSeed {
    let asked = std::env::var("PROPTEST_RNG_SEED").ok().and_then(|seed| seed.parse().ok());
    RngSeed::Fixed(asked.unwrap_or(1))
}
