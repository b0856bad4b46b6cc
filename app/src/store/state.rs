//! The fingerprint of one state of the survey, by which a journal line finds its place.

use std::fmt::Write;

use deadfront_rules::survey::Survey;
use sha2::{Digest, Sha256};

/// SHA-256 over the survey's JSON without spaces, shortened to 128 bits in hexadecimal.
///
/// Not the fingerprint that is signed: that one may leave out what is no fact, while this one tells every
/// two states apart.
#[must_use]
pub(super) fn state_of(survey: &Survey) -> String {
    // A survey holds nothing that JSON cannot: texts, numbers, lists.
    hexadecimal(&Sha256::digest(serde_json::to_vec(survey).unwrap_or_default())[..16])
}

/// Bytes in hexadecimal.
pub(crate) fn hexadecimal(bytes: &[u8]) -> String {
    let mut text = String::with_capacity(bytes.len() * 2);
    for byte in bytes {
        let _ = write!(text, "{byte:02x}");
    }
    text
}
