//! Stable names of items, unique in a survey.

use std::borrow::{Borrow, Cow};
use std::fmt;
use std::sync::Arc;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

use super::quantity::shown;

/// The id of an item: 1 to 40 letters, digits, `.`, `_` or `-`. Unique in the whole survey;
/// references between items are made by it.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Id(Arc<str>);

/// Longest id, in characters.
const LONGEST: usize = 40;

impl Id {
    /// Checks a text and makes it an id; `None` when it breaks the rule above.
    #[must_use]
    pub fn new(text: &str) -> Option<Self> {
        let fits = (1..=LONGEST).contains(&text.len())
            && text.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '.' | '_' | '-'));
        fits.then(|| Self(text.into()))
    }

    /// The id as text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Debug for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl fmt::Display for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl Borrow<str> for Id {
    fn borrow(&self) -> &str {
        &self.0
    }
}

impl Serialize for Id {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.0)
    }
}

impl<'de> Deserialize<'de> for Id {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Reader;
        impl de::Visitor<'_> for Reader {
            type Value = Id;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("an id of letters, digits, '.', '_' or '-'")
            }
            fn visit_str<E: de::Error>(self, text: &str) -> Result<Id, E> {
                Id::new(text).ok_or_else(|| {
                    E::custom(format!(
                        "\"{}\" is no id; use 1 to {LONGEST} letters, digits, '.', '_' or '-'",
                        shown(text)
                    ))
                })
            }
        }
        deserializer.deserialize_str(Reader)
    }
}

impl JsonSchema for Id {
    fn schema_name() -> Cow<'static, str> {
        "id".into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "string",
            "pattern": "^[A-Za-z0-9._-]{1,40}$",
            "description": "Unique in the survey; other items refer to it.",
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_are_short_and_plain() {
        assert!(Id::new("P1.07").is_some());
        assert!(Id::new(&"a".repeat(40)).is_some());
        for text in ["", "two words", "ä", "a/b", &"a".repeat(41)] {
            assert!(Id::new(text).is_none(), "{text}");
        }
    }
}
