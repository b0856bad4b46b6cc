//! The fingerprint of a survey: SHA-256 over its facts.

use std::fmt::Write;

use deadfront_rules::survey::Survey;
use sha2::{Digest, Sha256};

/// SHA-256 over the survey's JSON without spaces, in hexadecimal. The order of the fields is fixed
/// by the model, so the same survey always has the same fingerprint, however its file is laid out.
#[must_use]
pub fn fingerprint(survey: &Survey) -> String {
    // A survey holds nothing that JSON cannot: texts, numbers, lists.
    let json = serde_json::to_vec(survey).unwrap_or_default();
    let mut text = String::with_capacity(64);
    for byte in Sha256::digest(&json) {
        let _ = write!(text, "{byte:02x}");
    }
    text
}

/// The first 16 digits in groups of four, enough to compare by eye.
pub(super) fn short(fingerprint: &str) -> String {
    let groups: Vec<&str> = (0..4).filter_map(|at| fingerprint.get(at * 4..at * 4 + 4)).collect();
    groups.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::file::{read_survey, to_json};

    #[test]
    fn a_resave_keeps_it_and_a_changed_fact_does_not() {
        let survey = read_survey(crate::demo::DEMO.as_bytes()).unwrap();
        let again = read_survey(to_json(&survey).as_bytes()).unwrap();
        assert_eq!(fingerprint(&survey), fingerprint(&again));
        let mut changed = survey.clone();
        changed.panels[0].name.push('x');
        assert_ne!(fingerprint(&survey), fingerprint(&changed));
    }

    #[test]
    fn the_short_form_is_for_the_eye() {
        assert_eq!(short(&"0123456789abcdef".repeat(4)), "0123 4567 89ab cdef");
    }
}
