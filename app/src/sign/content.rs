//! What is hashed: content of a revision, answers, signatures.

use deadfront_rules::survey::{Answer, Signature, Survey};
use serde::Serialize;
use serde_json::Value;

use super::canonical::{digest, hex};

/// Members of a survey that are no content of its revision.
const BESIDE_CONTENT: [&str; 2] = ["signatures", "answers"];
/// Members of a signature that its seal does not cover.
const BESIDE_SEAL: [&str; 2] = ["seal", "key"];

/// SHA-256 of the content of a survey's revision, in hexadecimal: the fingerprint on its paper.
#[must_use]
pub fn fingerprint(survey: &Survey) -> String {
    fingerprint_of_json(to_value(survey))
}

/// The same of a survey's JSON as it stands in a file.
pub(super) fn fingerprint_of_json(survey: Value) -> String {
    hash(&content(survey))
}

/// SHA-256 of a survey with its signatures and answers, in hexadecimal.
pub(super) fn whole(survey: &Survey) -> String {
    hash(survey)
}

/// SHA-256 of a list of answers, in hexadecimal.
pub(super) fn answers(answers: &[Answer]) -> String {
    hash(&answers)
}

/// What a signature's seal must be.
pub(super) fn seal(signature: &Signature) -> [u8; 32] {
    seal_of_json(to_value(signature))
}

/// The same of a signature's JSON as it stands in a file.
pub(super) fn seal_of_json(mut signature: Value) -> [u8; 32] {
    if let Value::Object(members) = &mut signature {
        BESIDE_SEAL.iter().for_each(|name| drop(members.remove(*name)));
    }
    digest(&signature)
}

pub(super) fn hash(value: &impl Serialize) -> String {
    hex(&digest(value))
}

fn to_value(value: &impl Serialize) -> Value {
    // Texts, whole numbers, lists and objects: nothing that JSON cannot hold.
    serde_json::to_value(value).unwrap_or_default()
}

/// A survey without its signatures and answers, and without the kept states of earlier revisions:
/// those are held by their own hashes, which stay in.
fn content(mut survey: Value) -> Value {
    let Value::Object(members) = &mut survey else { return survey };
    BESIDE_CONTENT.iter().for_each(|name| drop(members.remove(*name)));
    if let Some(Value::Array(revisions)) = members.get_mut("revisions") {
        for revision in revisions.iter_mut().filter_map(Value::as_object_mut) {
            revision.remove("state");
        }
    }
    survey
}

/// The first 16 digits of a hash in groups of four, enough to compare by eye.
#[must_use]
pub fn short(hash: &str) -> String {
    let groups: Vec<&str> = (0..4).filter_map(|at| hash.get(at * 4..at * 4 + 4)).collect();
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
        let json = serde_json::from_str(crate::demo::DEMO).unwrap();
        assert_eq!(fingerprint(&survey), fingerprint_of_json(json));
        let mut changed = survey.clone();
        changed.panels[0].name.push('x');
        assert_ne!(fingerprint(&survey), fingerprint(&changed));
    }

    #[test]
    fn the_short_form_is_for_the_eye() {
        assert_eq!(short(&"0123456789abcdef".repeat(4)), "0123 4567 89ab cdef");
        assert_eq!(short("01234"), "0123");
    }
}
