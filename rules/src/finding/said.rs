//! Text for people, kept as a template and its arguments until it is shown.
//!
//! So a message can be translated by its template, numbers are rounded at one place, and a
//! survey of thousands of ways is assessed without writing a word.

use std::borrow::Cow;
use std::fmt;
use std::sync::Arc;

use crate::si;
use crate::survey::WireSize;
use crate::words;

/// Decimals beyond which two figures are not told apart any more.
const MOST_DECIMALS: u8 = 6;

/// One argument of a text.
#[derive(Debug, Clone, PartialEq)]
pub enum Arg {
    /// A name, or what else a person wrote; never translated.
    Text(Arc<str>),
    /// A fixed word of the program; translated like a template.
    Word(&'static str),
    /// A number with its decimals.
    Number(f64, u8),
    /// A number with decimals and unit.
    Quantity(f64, u8, &'static str),
    /// A conductor size.
    Size(WireSize),
    /// A text inside a text.
    Said(Box<Said>),
}

impl Arg {
    /// The same with as many decimals as tell it from `limit`, where rounding would make them read alike.
    #[must_use]
    pub(crate) fn told_from(&self, limit: &Self) -> Self {
        let (Self::Quantity(value, decimals, unit), Self::Quantity(most, _, other)) = (self, limit) else {
            return self.clone();
        };
        let alike = |decimals: u8| {
            let limit = limit.to_string();
            Self::Quantity(*value, decimals, unit).to_string() == limit && unit == other && value != most
        };
        let needed = (*decimals..MOST_DECIMALS).find(|decimals| !alike(*decimals));
        Self::Quantity(*value, needed.unwrap_or(MOST_DECIMALS), unit)
    }
}

impl fmt::Display for Arg {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Text(text) => f.write_str(text),
            Self::Word(word) => f.write_str(words::word(word)),
            Self::Number(number, decimals) => f.write_str(&rounded(*number, *decimals)),
            Self::Quantity(number, decimals, unit) => {
                write!(f, "{} {unit}", rounded(*number, *decimals))
            }
            Self::Size(size) => size.fmt(f),
            Self::Said(said) => said.fmt(f),
        }
    }
}

/// Rounds for people: the wanted decimals, without trailing noughts behind the point.
#[must_use]
pub fn rounded(number: f64, decimals: u8) -> String {
    let text = fixed(number, decimals);
    let text =
        if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text };
    if text == "-0" { "0".to_owned() } else { text }
}

/// Rounds for people with all decimals kept: half away from zero, as everybody learns it, so that 7.25
/// reads 7.3. What differs from a half by the noise of floating point counts as the half.
#[must_use]
pub fn fixed(number: f64, decimals: u8) -> String {
    /// Share of the last decimal below which a difference is noise.
    const NOISE: f64 = 1e-6;
    let scale = (0..decimals).fold(1.0, |scale, _| scale * 10.0);
    let whole = (number.abs() * scale + 0.5 + NOISE).floor();
    let rounded = if whole.is_finite() { (whole / scale).copysign(number) } else { number };
    // Nought has no sign.
    let rounded = if rounded == 0.0 { 0.0 } else { rounded };
    format!("{rounded:.*}", usize::from(decimals))
}

/// Below an ohm in milliohms, so that a length of wire keeps the digits with which it is redone by hand.
fn of_resistance(resistance: si::Resistance) -> Arg {
    let ohms = resistance.get::<si::ohm>();
    if ohms.abs() < 1.0 { Arg::Quantity(ohms * 1000.0, 3, "mΩ") } else { Arg::Quantity(ohms, 4, "Ω") }
}

macro_rules! arg_from {
    ($($type:ty => |$value:ident| $arg:expr;)+) => {$(
        impl From<$type> for Arg {
            fn from($value: $type) -> Self { $arg }
        }
    )+};
}

arg_from! {
    bool => |yes| Self::Word(if yes { "yes" } else { "no" });
    &'static str => |word| Self::Word(word);
    &String => |text| Self::Text(text.as_str().into());
    String => |text| Self::Text(text.into());
    Arc<str> => |text| Self::Text(text);
    &crate::survey::Id => |id| Self::Text(id.as_str().into());
    f64 => |number| Self::Number(number, 3);
    usize => |number| Self::Number(number as f64, 0);
    u8 => |number| Self::Number(f64::from(number), 0);
    u16 => |number| Self::Number(f64::from(number), 0);
    WireSize => |size| Self::Size(size);
    Said => |said| Self::Said(Box::new(said));
    si::Current => |current| Self::Quantity(current.get::<si::ampere>(), 1, "A");
    si::Voltage => |voltage| Self::Quantity(voltage.get::<si::volt>(), 1, "V");
    si::Power => |power| Self::Quantity(power.get::<si::watt>(), 0, "W");
    si::Length => |length| Self::Quantity(length.get::<si::foot>(), 1, "ft");
    si::Temperature => |temperature| Self::Quantity(temperature.get::<si::celsius>(), 0, "°C");
    si::Resistance => |resistance| of_resistance(resistance);
    si::Area => |area| Self::Quantity(area.get::<si::square_millimeter>(), 2, "mm²");
}

/// A text: a template with `{}` places, and what stands in them.
#[derive(Debug, Clone, PartialEq)]
pub struct Said {
    /// The template in English; the key of its translations.
    pub template: Cow<'static, str>,
    /// What stands in its places, in order.
    pub args: Vec<Arg>,
}

impl Said {
    /// A text without places.
    #[must_use]
    pub const fn plain(text: &'static str) -> Self {
        Self { template: Cow::Borrowed(text), args: Vec::new() }
    }
}

impl fmt::Display for Said {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let template = words::told(&self.template).unwrap_or(&self.template);
        let mut parts = template.split("{}");
        f.write_str(parts.next().unwrap_or(""))?;
        let mut args = self.args.iter();
        for part in parts {
            if let Some(arg) = args.next() {
                arg.fmt(f)?;
            }
            f.write_str(part)?;
        }
        Ok(())
    }
}

impl serde::Serialize for Said {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl From<&'static str> for Said {
    fn from(text: &'static str) -> Self {
        Self::plain(text)
    }
}

/// `say!("{} of {} allowed", current, limit)`: a [`Said`] whose places are filled in order.
#[macro_export]
macro_rules! say {
    ($template:literal $(, $arg:expr)* $(,)?) => {
        $crate::finding::Said {
            template: std::borrow::Cow::Borrowed($template),
            args: vec![$($crate::finding::Arg::from($arg)),*],
        }
    };
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_is_filled_in_order() {
        let said = say!("{} of {} allowed", si::amperes(41.42), si::amperes(40.0));
        assert_eq!(said.to_string(), "41.4 A of 40 A allowed");
        assert_eq!(Said::plain("no place").to_string(), "no place");
    }

    #[test]
    fn numbers_are_rounded_without_noise() {
        assert_eq!(rounded(0.9144, 3), "0.914");
        assert_eq!(rounded(20.0, 2), "20");
        assert_eq!(rounded(-0.0001, 1), "0");
        assert_eq!(rounded(100.0, 0), "100");
    }

    #[test]
    fn what_exceeds_a_limit_never_reads_like_it() {
        let told = |value: f64, limit: f64| {
            let [value, limit] = [value, limit].map(|amperes| Arg::from(si::amperes(amperes)));
            value.told_from(&limit).to_string()
        };
        assert_eq!(told(40.04, 40.0), "40.04 A");
        assert_eq!(told(41.4, 40.0), "41.4 A");
        assert_eq!(told(40.0, 40.0), "40 A");
        assert_eq!(told(40.000_2, 40.0), "40.0002 A");
    }

    #[test]
    fn a_half_is_rounded_away_from_nought() {
        for (number, told) in [(7.25, "7.3"), (21.25, "21.3"), (0.15, "0.2"), (-7.25, "-7.3"), (7.249, "7.2")]
        {
            assert_eq!(rounded(number, 1), told);
        }
        assert_eq!(rounded(0.5, 0), "1");
        assert_eq!(fixed(50.0, 1), "50.0");
        assert_eq!(fixed(-0.04, 1), "0.0");
        // 1.1 × 6.5909… is 7.25 but for noise.
        assert_eq!(rounded(7.25 - 1e-12, 1), "7.3");
        assert_eq!(rounded(f64::INFINITY, 1), "inf");
    }
}
