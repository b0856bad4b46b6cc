//! Random houses for property tests: connected and valid, with each fact known, not seen or
//! impossible to see. All invented.
//!
//! Facts are found through the survey's own schema, so that a new fact is covered without a line
//! here; only the values that are usual in a house are listed, in `values`.

mod facts;
mod house;
mod values;

use deadfront_rules::survey::Survey;
use proptest::prelude::*;

/// Surveys of every kind: nearly complete, half complete, hardly begun.
pub fn survey() -> impl Strategy<Value = Survey> {
    prop_oneof![
        3 => survey_known_to(0.97),
        2 => survey_known_to(0.75),
        1 => survey_known_to(0.25),
    ]
}

/// Surveys in which each fact is known with this probability, 0 to 1.
pub fn survey_known_to(share: f64) -> impl Strategy<Value = Survey> {
    house::plan(share).prop_map(house::build)
}
