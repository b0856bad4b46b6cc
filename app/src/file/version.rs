//! The version of a survey file, looked at before anything else in it.

use std::fmt;

use deadfront_rules::say;
use deadfront_rules::survey::FORMAT;
use serde::de::{DeserializeSeed, Deserializer, IgnoredAny, MapAccess, Visitor};
use serde_json::value::RawValue;

use super::words::standing;

/// The versions of the survey file that this program reads.
pub const READS: &[u32] = &[FORMAT];

/// The field that holds the version.
pub(super) const FIELD: &str = "deadfront_survey";

/// Goes through the whole text: the version as written, and whether the text is JSON with an
/// object at the top.
pub(super) fn look(text: &str) -> (Option<&str>, Result<(), serde_json::Error>) {
    let mut version = None;
    let mut deserializer = serde_json::Deserializer::from_str(text);
    let result =
        Look { version: &mut version }.deserialize(&mut deserializer).and_then(|()| deserializer.end());
    (version, result)
}

/// What to say of a version; `None` when this program reads it.
pub(super) fn complaint(version: &str) -> Option<String> {
    if version.parse().is_ok_and(|number| READS.contains(&number)) {
        return None;
    }
    let reads = reads();
    Some(match version.parse::<u64>() {
        Ok(number) => say!(
            "this survey file has version {}, but this program reads version {}; open it with the program that wrote it",
            number.to_string(),
            reads
        )
        .to_string(),
        Err(_) => say!("the version must be the plain number {}, not {}", reads, standing(version)).to_string(),
    })
}

/// The versions that are read, in words.
pub(super) fn reads() -> String {
    READS.iter().map(u32::to_string).collect::<Vec<_>>().join(", ")
}

struct Look<'o, 't> {
    version: &'o mut Option<&'t str>,
}

impl<'de> DeserializeSeed<'de> for Look<'_, 'de> {
    type Value = ();
    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<(), D::Error> {
        deserializer.deserialize_map(self)
    }
}

impl<'de> Visitor<'de> for Look<'_, 'de> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a survey")
    }
    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<(), A::Error> {
        while let Some(key) = map.next_key::<String>()? {
            if key == FIELD && self.version.is_none() {
                *self.version = Some(map.next_value::<&RawValue>()?.get());
            } else {
                map.next_value::<IgnoredAny>()?;
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_version_is_found_even_before_broken_text() {
        let (version, result) = look("{\"deadfront_survey\": 7, \"site\": {\"na");
        assert_eq!(version, Some("7"));
        assert!(result.is_err());
    }

    #[test]
    fn only_the_number_of_a_known_version_is_read() {
        assert_eq!(complaint(&FORMAT.to_string()), None);
        for version in ["2", "0", "4294967296"] {
            let said = complaint(version).unwrap();
            assert!(said.contains(&format!("version {version}, but this program reads version 1")), "{said}");
        }
        for version in ["-1", "1.0", "\"1\"", "null", "99999999999999999999", "1e0", "[1]"] {
            let said = complaint(version).unwrap();
            assert!(said.starts_with("the version must be the plain number 1, not "), "{said}");
        }
    }
}
