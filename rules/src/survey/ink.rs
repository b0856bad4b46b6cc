//! What a hand drew: strokes of points, kept as whole numbers so that they stay exactly as signed.

use crate::say;
use crate::words::word;
use std::borrow::Cow;
use std::fmt::{self, Write};

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

use super::quantity::shown;
use super::record::record;

/// The width of the field that is signed in, in units of the points.
pub const INK_UNITS: u16 = 10_000;
/// Most points that a signature keeps.
pub const LONGEST_INK: usize = 4_000;

/// A point of a stroke.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct InkPoint {
    /// From the left edge of the field [1/10 000 of its width].
    pub x: u16,
    /// From its upper edge [1/10 000 of its width].
    pub y: u16,
    /// Since the hand first touched the field, where it is known [ms].
    pub ms: Option<u32>,
}

/// What was drawn from touch to lift. In the file a text: `"120,800 131,795"`, or with times
/// `"120,800,0 131,795,16"`.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Stroke(pub Vec<InkPoint>);

record!(
    /// A signature as it was drawn.
    Ink {
        /// Height of the field that was signed in [1/10 000 of its width].
        height: u16,
        /// The strokes in the order in which they were drawn.
        strokes: Vec<Stroke>,
        @facts {}
    }
);

impl Ink {
    /// Ink from a field of the screen: `aspect` is its height divided by its width, and points
    /// count from its upper left corner in parts of its width [1], with the time since the first
    /// touch where it is known [s]. Points outside are moved to its border; points that change
    /// nothing are left out, and a drawing of more than [`LONGEST_INK`] points is thinned. `None`
    /// when nothing was drawn.
    #[must_use]
    pub fn drawn(aspect: f64, strokes: &[Vec<(f64, f64, Option<f64>)>]) -> Option<Self> {
        let height = units(aspect).max(1);
        let mut strokes: Vec<Stroke> = strokes.iter().map(|points| Stroke::drawn(points, height)).collect();
        strokes.retain(|stroke| !stroke.0.is_empty());
        let ink = Self { height, strokes }.thinned();
        (!ink.strokes.is_empty()).then_some(ink)
    }

    /// How many points it has.
    #[must_use]
    pub fn points(&self) -> usize {
        self.strokes.iter().map(|stroke| stroke.0.len()).sum()
    }

    fn thinned(mut self) -> Self {
        // A stroke keeps its ends, so that each takes two points: there is an end to strokes as well.
        self.strokes.truncate(LONGEST_INK / 4);
        let points = self.points();
        if points <= LONGEST_INK {
            return self;
        }
        let every = points.div_ceil(LONGEST_INK / 2);
        for stroke in &mut self.strokes {
            let last = stroke.0.len().saturating_sub(1);
            let mut at = 0;
            stroke.0.retain(|_| {
                let keep = at % every == 0 || at == last;
                at += 1;
                keep
            });
        }
        self
    }

    /// What is wrong with it; `None` when it can be drawn.
    #[must_use]
    pub fn fault(&self) -> Option<String> {
        if self.height == 0 {
            return Some(word("the field that was signed in has no height").to_owned());
        }
        let points = self.points();
        if points > LONGEST_INK {
            return Some(
                say!(
                    "the signature has {} points; at most {} are kept",
                    points.to_string(),
                    LONGEST_INK.to_string()
                )
                .to_string(),
            );
        }
        let outside = |point: &InkPoint| point.x > INK_UNITS || point.y > self.height;
        self.strokes
            .iter()
            .flat_map(|stroke| &stroke.0)
            .any(outside)
            .then(|| word("a point of the signature lies outside the field that was signed in").to_owned())
    }
}

/// A part of the field's width as a whole number; what is no number becomes 0.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "held between 0 and the largest value first"
)]
fn units(part: f64) -> u16 {
    (part * f64::from(INK_UNITS)).round().clamp(0.0, f64::from(u16::MAX)) as u16
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "held between 0 and the largest value first"
)]
fn milliseconds(seconds: f64) -> u32 {
    (seconds * 1000.0).round().clamp(0.0, f64::from(u32::MAX)) as u32
}

impl Stroke {
    fn drawn(points: &[(f64, f64, Option<f64>)], height: u16) -> Self {
        let mut kept: Vec<InkPoint> = Vec::with_capacity(points.len());
        for (x, y, seconds) in points {
            let (x, y) = (units(*x).min(INK_UNITS), units(*y).min(height));
            if kept.last().is_none_or(|last| (last.x, last.y) != (x, y)) {
                kept.push(InkPoint { x, y, ms: seconds.map(milliseconds) });
            }
        }
        Self(kept)
    }

    fn read(text: &str) -> Option<Self> {
        if text.is_empty() {
            return None;
        }
        text.split(' ').map(point).collect::<Option<Vec<_>>>().map(Self)
    }
}

fn point(text: &str) -> Option<InkPoint> {
    let mut parts = text.split(',');
    let (x, y) = (whole(parts.next()?)?, whole(parts.next()?)?);
    let ms = parts.next().map(whole);
    let ms = match ms {
        None => None,
        Some(read) => Some(read?),
    };
    parts.next().is_none().then_some(InkPoint { x, y, ms })
}

/// A number as it is written here: digits only, no sign, no zero in front. So each ink has one
/// spelling.
fn whole<T: std::str::FromStr>(text: &str) -> Option<T> {
    let plain = text.bytes().all(|byte| byte.is_ascii_digit()) && (text == "0" || !text.starts_with('0'));
    plain.then(|| text.parse().ok()).flatten()
}

impl fmt::Display for Stroke {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (at, InkPoint { x, y, ms }) in self.0.iter().enumerate() {
            if at > 0 {
                f.write_char(' ')?;
            }
            write!(f, "{x},{y}")?;
            if let Some(ms) = ms {
                write!(f, ",{ms}")?;
            }
        }
        Ok(())
    }
}

impl Serialize for Stroke {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Stroke {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Reader;
        impl de::Visitor<'_> for Reader {
            type Value = Stroke;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("the points of a stroke, like \"120,800 131,795\"")
            }
            fn visit_str<E: de::Error>(self, text: &str) -> Result<Stroke, E> {
                Stroke::read(text).ok_or_else(|| {
                    let text = shown(text);
                    E::custom(
                        say!(
                            "\"{}\" is no stroke of a pen; write it like \"120,800 131,795\"",
                            text.to_string()
                        )
                        .to_string(),
                    )
                })
            }
        }
        deserializer.deserialize_str(Reader)
    }
}

impl JsonSchema for Stroke {
    fn schema_name() -> Cow<'static, str> {
        "stroke".into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let number = "(0|[1-9][0-9]{0,9})";
        let point = format!("{number},{number}(,{number})?");
        json_schema!({
            "description": "Points in 1/10 000 of the field's width, with milliseconds where they are known.",
            "type": "string",
            "pattern": format!("^{point}( {point})*$"),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stroke_has_one_spelling() {
        for text in ["0,0", "120,800 131,795", "120,800,0 131,795,16"] {
            assert_eq!(Stroke::read(text).expect("a stroke").to_string(), text);
        }
        for text in
            ["", " ", "1", "1,2,3,4", "01,2", "+1,2", "-1,2", "1,2 ", "1, 2", "1,2  3,4", "70000,1", "1.5,2"]
        {
            assert_eq!(Stroke::read(text), None, "{text}");
        }
    }

    #[test]
    fn drawing_stays_in_its_field_and_drops_what_changes_nothing() {
        let stroke = vec![(0.1, 0.2, Some(0.0)), (0.1, 0.2, Some(0.01)), (1.5, -1.0, Some(0.02))];
        let ink = Ink::drawn(0.3, &[stroke, vec![], vec![(f64::NAN, f64::INFINITY, None)]]).expect("ink");
        assert_eq!(ink.height, 3000);
        let texts: Vec<String> = ink.strokes.iter().map(Stroke::to_string).collect();
        assert_eq!(texts, ["1000,2000,0 10000,0,20", "0,3000"]);
        assert_eq!(ink.fault(), None);
        assert_eq!(Ink::drawn(0.3, &[vec![]]), None);
    }

    #[test]
    fn a_long_drawing_is_thinned_and_keeps_its_ends() {
        let long: Vec<_> = (0..20_000_u32)
            .map(|at| (f64::from(at % 100) / 100.0, f64::from(at % 70) / 300.0, None))
            .collect();
        let ink = Ink::drawn(0.3, &vec![long.clone(); 3]).expect("ink");
        assert!(ink.points() <= LONGEST_INK && ink.points() > LONGEST_INK / 4, "{}", ink.points());
        let last = ink.strokes[2].0.last().expect("a point");
        assert_eq!(last.x, 9900);
        assert_eq!(ink.fault(), None);
        let dots = vec![vec![(0.5, 0.1, None)]; 9000];
        assert_eq!(Ink::drawn(0.3, &dots).expect("ink").fault(), None);
    }

    #[test]
    fn ink_outside_its_field_is_a_fault() {
        let ink = |height, text: &str| Ink { height, strokes: vec![Stroke::read(text).expect("a stroke")] };
        assert!(ink(3000, "1,3001").fault().expect("outside").contains("outside"));
        assert!(ink(3000, "10001,1").fault().is_some());
        assert!(ink(0, "1,0").fault().is_some());
        let many = Ink { height: 10, strokes: vec![Stroke(vec![InkPoint::default(); LONGEST_INK + 1])] };
        assert!(many.fault().expect("too long").contains("4001 points"));
    }
}
