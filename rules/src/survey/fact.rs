//! A fact of the house: known, not seen yet, or impossible to see. Unknown is never a default value.

use std::borrow::Cow;
use std::fmt;
use std::marker::PhantomData;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::value::{MapAccessDeserializer, SeqAccessDeserializer};
use serde::de::{self, IntoDeserializer};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// How the survey file writes a fact that was looked for and cannot be seen.
pub const CANNOT_BE_SEEN: &str = "cannot be seen";

/// A fact that may be unknown. In the file: left out or `null` is not seen yet, the text
/// `"cannot be seen"` is what it says, anything else is the value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Fact<T> {
    /// Nobody has looked yet.
    #[default]
    NotSeen,
    /// Somebody looked and it cannot be seen.
    CannotBeSeen,
    /// The value.
    Known(T),
}

impl<T> Fact<T> {
    /// The value, if it is known.
    pub fn known(&self) -> Option<&T> {
        match self {
            Self::Known(value) => Some(value),
            Self::NotSeen | Self::CannotBeSeen => None,
        }
    }

    /// Whether nothing was written at all; used to leave the field out of the file.
    pub fn is_not_seen(&self) -> bool {
        matches!(self, Self::NotSeen)
    }
}

/// A value that can be told to a person.
pub trait Worded {
    /// The value in words, with its unit.
    fn worded(&self) -> String;
}

impl Worded for bool {
    fn worded(&self) -> String {
        crate::words::word(if *self { "yes" } else { "no" }).to_owned()
    }
}

impl Worded for u8 {
    fn worded(&self) -> String {
        self.to_string()
    }
}

impl Worded for u16 {
    fn worded(&self) -> String {
        self.to_string()
    }
}

impl<T: Worded> Fact<T> {
    /// The same fact with its value in words.
    pub fn worded(&self) -> Fact<String> {
        match self {
            Self::Known(value) => Fact::Known(value.worded()),
            Self::NotSeen => Fact::NotSeen,
            Self::CannotBeSeen => Fact::CannotBeSeen,
        }
    }
}

impl<T: Copy> Fact<T> {
    /// The value by copy, if it is known.
    pub fn get(&self) -> Option<T> {
        self.known().copied()
    }
}

impl<T> From<T> for Fact<T> {
    fn from(value: T) -> Self {
        Self::Known(value)
    }
}

impl<T: Serialize> Serialize for Fact<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::NotSeen => serializer.serialize_none(),
            Self::CannotBeSeen => serializer.serialize_str(CANNOT_BE_SEEN),
            Self::Known(value) => value.serialize(serializer),
        }
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Fact<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(Reader(PhantomData))
    }
}

/// Hands every form on to `T` unbuffered, so that an error keeps its place in the file.
struct Reader<T>(PhantomData<T>);

impl<'de, T: Deserialize<'de>> de::Visitor<'de> for Reader<T> {
    type Value = Fact<T>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "a value, null, or \"{CANNOT_BE_SEEN}\"")
    }
    fn visit_unit<E>(self) -> Result<Fact<T>, E> {
        Ok(Fact::NotSeen)
    }
    fn visit_bool<E: de::Error>(self, value: bool) -> Result<Fact<T>, E> {
        T::deserialize(value.into_deserializer()).map(Fact::Known)
    }
    fn visit_u64<E: de::Error>(self, value: u64) -> Result<Fact<T>, E> {
        T::deserialize(value.into_deserializer()).map(Fact::Known)
    }
    fn visit_i64<E: de::Error>(self, value: i64) -> Result<Fact<T>, E> {
        T::deserialize(value.into_deserializer()).map(Fact::Known)
    }
    fn visit_f64<E: de::Error>(self, value: f64) -> Result<Fact<T>, E> {
        T::deserialize(value.into_deserializer()).map(Fact::Known)
    }
    fn visit_str<E: de::Error>(self, value: &str) -> Result<Fact<T>, E> {
        if value == CANNOT_BE_SEEN {
            return Ok(Fact::CannotBeSeen);
        }
        T::deserialize(value.into_deserializer()).map(Fact::Known)
    }
    fn visit_map<A: de::MapAccess<'de>>(self, map: A) -> Result<Fact<T>, A::Error> {
        T::deserialize(MapAccessDeserializer::new(map)).map(Fact::Known)
    }
    fn visit_seq<A: de::SeqAccess<'de>>(self, seq: A) -> Result<Fact<T>, A::Error> {
        T::deserialize(SeqAccessDeserializer::new(seq)).map(Fact::Known)
    }
}

impl<T: JsonSchema> JsonSchema for Fact<T> {
    fn schema_name() -> Cow<'static, str> {
        format!("fact_{}", T::schema_name()).into()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let value = generator.subschema_for::<T>();
        json_schema!({
            "description": "Left out or null: not seen yet.",
            "anyOf": [value, { "const": CANNOT_BE_SEEN }, { "type": "null" }],
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_three_states_survive_the_file() {
        for (fact, text) in
            [(Fact::Known(4_u32), "4"), (Fact::NotSeen, "null"), (Fact::CannotBeSeen, "\"cannot be seen\"")]
        {
            assert_eq!(serde_json::to_string(&fact).unwrap(), text);
            assert_eq!(serde_json::from_str::<Fact<u32>>(text).unwrap(), fact);
        }
        assert!(serde_json::from_str::<Fact<u32>>("\"4\"").is_err());
        assert!(serde_json::from_str::<Fact<u32>>("-4").is_err());
    }
}
