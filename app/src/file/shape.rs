//! Lists and objects only where the survey file has them. The derived reader is laxer: it would
//! take a list of values for a record, by their order, and an object for a choice.

use std::collections::BTreeSet;
use std::fmt;
use std::sync::LazyLock;

use deadfront_rules::say;
use serde::de::{DeserializeSeed, Deserializer, Error, MapAccess, SeqAccess, Visitor};

use super::schema::fields_of_type;

static LISTS: LazyLock<BTreeSet<&str>> = LazyLock::new(|| fields_of_type("array"));
static OBJECTS: LazyLock<BTreeSet<&str>> = LazyLock::new(|| fields_of_type("object"));

/// What may stand at a place of the file.
#[derive(Clone, Copy)]
pub(super) struct Shape {
    list: bool,
    object: bool,
}

impl Shape {
    /// The whole file.
    pub(super) const FILE: Self = Self { list: false, object: true };
    /// An element of a list.
    const ELEMENT: Self = Self { list: false, object: true };

    fn of_field(name: &str) -> Self {
        Self { list: LISTS.contains(name), object: OBJECTS.contains(name) }
    }
}

impl<'de> DeserializeSeed<'de> for Shape {
    type Value = ();
    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<(), D::Error> {
        deserializer.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Shape {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a survey")
    }
    fn visit_unit<E>(self) -> Result<(), E> {
        Ok(())
    }
    fn visit_bool<E>(self, _: bool) -> Result<(), E> {
        Ok(())
    }
    fn visit_u64<E>(self, _: u64) -> Result<(), E> {
        Ok(())
    }
    fn visit_i64<E>(self, _: i64) -> Result<(), E> {
        Ok(())
    }
    fn visit_f64<E>(self, _: f64) -> Result<(), E> {
        Ok(())
    }
    fn visit_str<E>(self, _: &str) -> Result<(), E> {
        Ok(())
    }
    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<(), A::Error> {
        if !self.object {
            return Err(A::Error::custom(say!("found an object where a single value must stand")));
        }
        while let Some(name) = map.next_key::<String>()? {
            map.next_value_seed(Self::of_field(&name))?;
        }
        Ok(())
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<(), A::Error> {
        if !self.list {
            return Err(A::Error::custom(if self.object {
                say!("found a list where an object in braces must stand")
            } else {
                say!("found a list where a single value must stand")
            }));
        }
        while list.next_element_seed(Self::ELEMENT)?.is_some() {}
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_schema_tells_lists_from_objects() {
        for list in ["panels", "ways", "spaces", "surges", "ratings", "buses", "positions", "strokes"] {
            assert!(LISTS.contains(list), "{list}");
        }
        assert_eq!(
            OBJECTS.iter().copied().collect::<Vec<_>>(),
            ["battery", "device", "ink", "key", "main", "output_device", "site", "state"]
        );
    }
}
