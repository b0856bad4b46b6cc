//! Where a value stands in the text of a survey file.

use std::borrow::Cow;
use std::fmt;

use serde::de::{Deserialize, Deserializer, MapAccess, Visitor};
use serde_json::value::RawValue;

use super::error::Place;

/// One step of the way to a value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Step {
    /// A field.
    Field(String),
    /// A place in a list, from 0.
    Index(usize),
}

/// The values passed on the way to a place in the file, the whole file first. It ends early where
/// the text cannot be followed further.
pub(super) struct Trail<'t> {
    text: &'t str,
    /// The steps taken.
    pub(super) steps: Vec<Step>,
    /// The texts of the values: one more than steps.
    pub(super) values: Vec<&'t str>,
    /// Where the key of the last step begins, when that step is a field.
    key_at: Option<usize>,
}

impl<'t> Trail<'t> {
    /// Follows `steps` through `text` as far as they lead.
    pub(super) fn follow(text: &'t str, steps: impl IntoIterator<Item = Step>) -> Self {
        let mut trail = Self { text, steps: Vec::new(), values: vec![text.trim()], key_at: None };
        for step in steps {
            if !trail.step(step) {
                break;
            }
        }
        trail
    }

    fn step(&mut self, step: Step) -> bool {
        let here = self.here();
        let next = match &step {
            Step::Field(name) => member(here, name),
            Step::Index(at) => element(here, *at).map(|value| (None, value)),
        };
        let Some((key, value)) = next else { return false };
        // The key's text begins after its quotation mark.
        self.key_at = key.and_then(|key| offset_in(self.text, key)).map(|at| at.saturating_sub(1));
        self.values.push(value);
        self.steps.push(step);
        true
    }

    /// The text of the value at the end of the trail.
    pub(super) fn here(&self) -> &'t str {
        self.values.last().copied().unwrap_or(self.text)
    }

    /// Where the value at the end of the trail begins.
    pub(super) fn place(&self) -> Place {
        place_of(self.text, offset_in(self.text, self.here()).unwrap_or(0))
    }

    /// Where the key of the value at the end of the trail begins.
    pub(super) fn key_place(&self) -> Place {
        self.key_at.map_or_else(|| self.place(), |at| place_of(self.text, at))
    }
}

/// The place of the byte `offset` of a text; an offset past its end means its end.
pub(super) fn place_of(text: &str, offset: usize) -> Place {
    let before = &text[..text.floor_char_boundary(offset)];
    let line_start = before.rfind('\n').map_or(0, |at| at + 1);
    let line = before.bytes().filter(|byte| *byte == b'\n').count() + 1;
    Place { line, column: before[line_start..].chars().count() + 1 }
}

/// The byte at which the reader stopped, from its line and its column in bytes.
pub(super) fn offset_of(text: &str, line: usize, column: usize) -> usize {
    let starts = text.bytes().enumerate().filter(|(_, byte)| *byte == b'\n').map(|(at, _)| at + 1);
    let line_start = std::iter::once(0).chain(starts).nth(line.saturating_sub(1)).unwrap_or(text.len());
    line_start + column.saturating_sub(1)
}

/// Where `part`, a piece of `text`, begins in it; `None` when it is a copy.
pub(super) fn offset_in(text: &str, part: &str) -> Option<usize> {
    let offset = (part.as_ptr() as usize).checked_sub(text.as_ptr() as usize)?;
    (offset <= text.len()).then_some(offset)
}

/// A string field of an object; `None` when it is not there or is no string.
pub(super) fn text_field(object: &str, name: &str) -> Option<String> {
    let (_, value) = member(object, name)?;
    serde_json::from_str(value).ok()
}

fn member<'t>(object: &'t str, name: &str) -> Option<(Option<&'t str>, &'t str)> {
    let Members(members) = serde_json::from_str(object).ok()?;
    members.into_iter().find(|(key, _)| key == name).map(|(key, value)| match key {
        Cow::Borrowed(key) => (Some(key), value.get()),
        Cow::Owned(_) => (None, value.get()),
    })
}

fn element(list: &str, at: usize) -> Option<&str> {
    let elements: Vec<&RawValue> = serde_json::from_str(list).ok()?;
    elements.get(at).map(|value| value.get())
}

/// The members of an object in file order, each still as its piece of the text.
struct Members<'t>(Vec<(Cow<'t, str>, &'t RawValue)>);

impl<'de> Deserialize<'de> for Members<'de> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Reader;
        impl<'de> Visitor<'de> for Reader {
            type Value = Members<'de>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("an object")
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Members<'de>, A::Error> {
                let mut members = Vec::new();
                while let Some((Key(key), value)) = map.next_entry()? {
                    members.push((key, value));
                }
                Ok(Members(members))
            }
        }
        deserializer.deserialize_map(Reader)
    }
}

/// A key, borrowed from the text unless it is written with escapes.
struct Key<'t>(Cow<'t, str>);

impl<'de> Deserialize<'de> for Key<'de> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Reader;
        impl<'de> Visitor<'de> for Reader {
            type Value = Key<'de>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a key")
            }
            fn visit_borrowed_str<E>(self, key: &'de str) -> Result<Key<'de>, E> {
                Ok(Key(Cow::Borrowed(key)))
            }
            fn visit_str<E>(self, key: &str) -> Result<Key<'de>, E> {
                Ok(Key(Cow::Owned(key.to_owned())))
            }
        }
        deserializer.deserialize_str(Reader)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str =
        "{\n  \"runs\": [\n    {\"id\": \"é\"},\n    {\"é\": 1, \"a\\u0062\": [2, 33]}\n  ]\n}\n";

    fn steps(names: &[&str]) -> Vec<Step> {
        let step = |name: &&str| name.parse().map_or_else(|_| Step::Field((*name).into()), Step::Index);
        names.iter().map(step).collect()
    }

    #[test]
    fn a_value_is_found_with_its_line_and_column() {
        let trail = Trail::follow(TEXT, steps(&["runs", "1", "ab", "1"]));
        assert_eq!(trail.here(), "33");
        assert_eq!(trail.place(), Place { line: 4, column: 29 });
        let trail = Trail::follow(TEXT, steps(&["runs", "1", "é"]));
        assert_eq!(trail.place(), Place { line: 4, column: 11 });
        assert_eq!(trail.key_place(), Place { line: 4, column: 6 });
    }

    #[test]
    fn a_trail_ends_where_it_cannot_go_on() {
        let trail = Trail::follow(TEXT, steps(&["runs", "7", "length"]));
        assert_eq!(trail.steps, steps(&["runs"]));
        assert_eq!(trail.place(), Place { line: 2, column: 11 });
        assert_eq!(Trail::follow("", steps(&["runs"])).place(), Place { line: 1, column: 1 });
    }

    #[test]
    fn lines_and_bytes_become_places_and_back() {
        assert_eq!(place_of("ab\r\ncd", 5), Place { line: 2, column: 2 });
        assert_eq!(offset_of("ab\r\ncd", 2, 2), 5);
        assert_eq!(place_of("ab", 99), Place { line: 1, column: 3 });
        assert_eq!(place_of("", 0), Place { line: 1, column: 1 });
    }
}
