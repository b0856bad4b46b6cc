//! Quantities as they were entered: number and unit are kept as written ("45 ft"), and the SI
//! quantity is made once, here, at the door.

use std::borrow::Cow;
use std::fmt;
use std::marker::PhantomData;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

use super::form::Form;
use crate::si;

/// Longest text accepted for one quantity, in bytes: a quantity is a number and a unit.
const LONGEST: usize = 64;

/// Why a text is no quantity of the wanted kind.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum QuantityError {
    /// No number stands at the start of the text.
    #[error("\"{text}\" does not start with a number; write it like {example}")]
    NoNumber {
        /// What was written.
        text: String,
        /// A well-formed quantity of this kind.
        example: &'static str,
    },
    /// The unit is missing or is not one of this kind.
    #[error("\"{text}\" needs one of the units {units}, like {example}")]
    Unit {
        /// What was written.
        text: String,
        /// The units that this kind takes.
        units: String,
        /// A well-formed quantity of this kind.
        example: &'static str,
    },
    /// The number lies outside what can stand in a house.
    #[error("\"{text}\" is outside the range for {what}, {low} to {high}")]
    Range {
        /// What was written.
        text: String,
        /// The kind of quantity.
        what: &'static str,
        /// Lowest accepted value, with unit.
        low: String,
        /// Highest accepted value, with unit.
        high: String,
    },
    /// A wire size that no table lists.
    #[error(
        "\"{text}\" is no trade size of wire; write it like \"12 AWG\", \"2/0 AWG\", \"250 kcmil\" or \"16 mm2\""
    )]
    Size {
        /// What was written.
        text: String,
    },
}

/// One unit of a kind of quantity.
pub struct Unit<Q> {
    /// How the unit is written; the first spelling is the one shown.
    pub spellings: &'static [&'static str],
    /// Makes the quantity from a number of this unit.
    pub make: fn(f64) -> Q,
}

/// A kind of quantity that can be entered: its units, its range, how it is read.
pub trait Dimension: 'static {
    /// The quantity it becomes.
    type Quantity: Copy + PartialEq + fmt::Debug + Send + Sync;
    /// The kind in words, for messages.
    const WHAT: &'static str;
    /// A well-formed entry, for messages and the schema.
    const EXAMPLE: &'static str;
    /// The units it takes, as they are shown.
    const UNITS: &'static [&'static str];
    /// The kind of entry.
    #[must_use]
    fn form() -> Form {
        Form::Quantity { units: Self::UNITS, usual: super::picks::usual_of(Self::WHAT) }
    }
    /// Reads an entry.
    ///
    /// # Errors
    /// Says what is wrong with the text and how to write it.
    fn read(text: &str) -> Result<Self::Quantity, QuantityError>;
}

/// A quantity as entered, with the SI quantity it stands for.
pub struct Entered<D: Dimension> {
    text: Box<str>,
    quantity: D::Quantity,
    kind: PhantomData<D>,
}

impl<D: Dimension> Entered<D> {
    /// Reads a text such as `45 ft`.
    ///
    /// # Errors
    /// When there is no number, no unit of this kind, or the value is out of range.
    pub fn new(text: &str) -> Result<Self, QuantityError> {
        let text = text.trim();
        let quantity = D::read(text)?;
        Ok(Self { text: text.into(), quantity, kind: PhantomData })
    }

    /// The text as entered.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The SI quantity.
    #[must_use]
    pub fn quantity(&self) -> D::Quantity {
        self.quantity
    }
}

impl<D: Dimension> Clone for Entered<D> {
    fn clone(&self) -> Self {
        Self { text: self.text.clone(), quantity: self.quantity, kind: PhantomData }
    }
}

impl<D: Dimension> PartialEq for Entered<D> {
    fn eq(&self, other: &Self) -> bool {
        self.text == other.text
    }
}

impl<D: Dimension> fmt::Debug for Entered<D> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}

impl<D: Dimension> fmt::Display for Entered<D> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Some((number, unit)) = self.text.rsplit_once(' ') else { return f.write_str(&self.text) };
        write!(f, "{number} {}", printed(unit))
    }
}

/// A unit as it is printed, where the keys of a keyboard write it otherwise.
fn printed(unit: &str) -> &str {
    match unit {
        "F" => "°F",
        "C" => "°C",
        "ft2" => "ft²",
        "m2" => "m²",
        other => other,
    }
}

impl<D: Dimension> super::Worded for Entered<D> {
    fn worded(&self) -> String {
        self.to_string()
    }
}

impl<D: Dimension> Serialize for Entered<D> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.text)
    }
}

impl<'de, D: Dimension> Deserialize<'de> for Entered<D> {
    fn deserialize<De: Deserializer<'de>>(deserializer: De) -> Result<Self, De::Error> {
        struct Reader<D>(PhantomData<D>);
        impl<D: Dimension> de::Visitor<'_> for Reader<D> {
            type Value = Entered<D>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "{} as a text with its unit, like {}", D::WHAT, D::EXAMPLE)
            }
            fn visit_str<E: de::Error>(self, text: &str) -> Result<Entered<D>, E> {
                Entered::new(text).map_err(E::custom)
            }
        }
        deserializer.deserialize_str(Reader(PhantomData))
    }
}

impl<D: Dimension> JsonSchema for Entered<D> {
    fn schema_name() -> Cow<'static, str> {
        D::WHAT.replace(' ', "_").into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "string",
            "maxLength": LONGEST,
            "description": format!("{}, as entered with its unit, like {}", D::WHAT, D::EXAMPLE),
        })
    }
}

/// Shortens a text for a message, so that a huge wrong value does not fill the screen.
pub(crate) fn shown(text: &str) -> String {
    const SHOWN: usize = 40;
    if text.chars().count() <= SHOWN {
        return text.to_owned();
    }
    text.chars().take(SHOWN).chain(['…']).collect()
}

/// Splits a text into its number and the rest: `1-1/2 hp`, `3/4 hp`, `45.5 ft`, `-5 C`.
fn split_number(text: &str) -> Option<(f64, &str)> {
    let end = text
        .char_indices()
        .find(|&(at, c)| !(c.is_ascii_digit() || c == '.' || c == '/' || c == '-' || (c == '+' && at == 0)))
        .map_or(text.len(), |(at, _)| at);
    let (number, rest) = text.split_at(end);
    Some((read_number(number)?, rest.trim()))
}

fn read_number(text: &str) -> Option<f64> {
    let (negative, digits) = text.strip_prefix('-').map_or((false, text), |rest| (true, rest));
    let value = match digits.split_once('-') {
        Some((whole, fraction)) => read_plain(whole)? + read_fraction(fraction)?,
        None if digits.contains('/') => read_fraction(digits)?,
        None => read_plain(digits)?,
    };
    Some(if negative { -value } else { value })
}

fn read_plain(text: &str) -> Option<f64> {
    if !text.starts_with(|c: char| c.is_ascii_digit() || c == '.') {
        return None;
    }
    text.parse::<f64>().ok().filter(|value| value.is_finite())
}

fn read_fraction(text: &str) -> Option<f64> {
    let (over, under) = text.split_once('/')?;
    let under = read_plain(under)?;
    (under > 0.0).then_some(read_plain(over)? / under)
}

/// Reads `text` as a number of one of `units`, within `low..=high`.
fn read_with_units<Q: Copy + PartialOrd>(
    text: &str,
    units: &[Unit<Q>],
    what: &'static str,
    example: &'static str,
    (low, high): (&'static str, &'static str),
) -> Result<Q, QuantityError> {
    let parse = |text: &str| -> Result<Q, QuantityError> {
        if text.len() > LONGEST {
            return Err(QuantityError::NoNumber { text: shown(text), example });
        }
        let (number, unit) =
            split_number(text).ok_or_else(|| QuantityError::NoNumber { text: shown(text), example })?;
        let unit = units
            .iter()
            .find(|candidate| candidate.spellings.contains(&unit))
            .ok_or_else(|| QuantityError::Unit { text: shown(text), units: listed(units), example })?;
        Ok((unit.make)(number))
    };
    let quantity = parse(text)?;
    let inside = match (parse(low), parse(high)) {
        (Ok(low), Ok(high)) => quantity >= low && quantity <= high,
        // The ranges are written in this file and tested below.
        _ => false,
    };
    if inside {
        Ok(quantity)
    } else {
        Err(QuantityError::Range { text: shown(text), what, low: low.into(), high: high.into() })
    }
}

fn listed<Q>(units: &[Unit<Q>]) -> String {
    let names: Vec<&str> = units.iter().filter_map(|unit| unit.spellings.first().copied()).collect();
    names.join(", ")
}

/// The first of several spellings: the one that is shown.
macro_rules! first {
    ($first:literal $(, $other:literal)*) => {
        $first
    };
}

/// Declares a kind of quantity: name, SI type, words, example, range, units.
macro_rules! dimension {
    ($(#[$doc:meta])* $name:ident, $alias:ident, $quantity:ty, $what:literal, $example:literal,
     $low:literal ..= $high:literal, { $([$($spelling:literal),+] => $unit:ident),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub struct $name;
        impl Dimension for $name {
            type Quantity = $quantity;
            const WHAT: &'static str = $what;
            const EXAMPLE: &'static str = $example;
            const UNITS: &'static [&'static str] = &[$(first!($($spelling),+)),+];
            fn read(text: &str) -> Result<Self::Quantity, QuantityError> {
                let units = [$(Unit { spellings: &[$($spelling),+], make: |n| <$quantity>::new::<si::$unit>(n) }),+];
                read_with_units(text, &units, $what, $example, ($low, $high))
            }
        }
        #[doc = concat!("As entered: ", $what, ", like ", $example, ".")]
        pub type $alias = Entered<$name>;
    };
}

dimension!(/// Lengths, depths, heights.
    LengthKind, EnteredLength, si::Length, "a length", "\"45 ft\"", "0 m" ..= "10000 m",
    { ["ft", "'"] => foot, ["m"] => meter, ["in", "\""] => inch, ["mm"] => millimeter });
dimension!(/// Currents and device ratings.
    CurrentKind, EnteredCurrent, si::Current, "a current", "\"20 A\"", "0 A" ..= "1000 kA",
    { ["A"] => ampere, ["kA"] => kiloampere });
dimension!(/// Voltages.
    VoltageKind, EnteredVoltage, si::Voltage, "a voltage", "\"240 V\"", "0 V" ..= "50000 V",
    { ["V"] => volt });
dimension!(/// Active power.
    PowerKind, EnteredPower, si::Power, "a power", "\"4.5 kW\"", "0 W" ..= "10000 kW",
    { ["W"] => watt, ["kW"] => kilowatt });
dimension!(/// Apparent power.
    ApparentPowerKind, EnteredApparentPower, si::Power, "an apparent power", "\"5000 VA\"", "0 VA" ..= "100000 kVA",
    { ["VA"] => watt, ["kVA"] => kilowatt });
dimension!(/// Shaft power of motors.
    HorsepowerKind, EnteredHorsepower, si::Power, "a motor's power", "\"1-1/2 hp\"", "0 hp" ..= "1000 hp",
    { ["hp"] => horsepower_electric, ["kW"] => kilowatt, ["W"] => watt });
dimension!(/// Temperatures of places and terminals.
    TemperatureKind, EnteredTemperature, si::Temperature, "a temperature", "\"86 F\"", "-80 C" ..= "400 C",
    { ["F", "°F"] => fahrenheit, ["C", "°C"] => celsius });
dimension!(/// Resistances and impedances.
    ResistanceKind, EnteredResistance, si::Resistance, "a resistance", "\"25 ohm\"", "0 ohm" ..= "1000000 ohm",
    { ["ohm", "Ω"] => ohm, ["mohm", "mΩ"] => milliohm });
dimension!(/// Stored or used energy.
    EnergyKind, EnteredEnergy, si::Energy, "an energy", "\"14 kWh\"", "0 Wh" ..= "100000 kWh",
    { ["kWh"] => kilowatt_hour, ["Wh"] => watt_hour });
dimension!(/// A battery's capacity.
    ChargeKind, EnteredCharge, si::Charge, "a battery's capacity", "\"280 Ah\"", "0 Ah" ..= "100000 Ah",
    { ["Ah"] => ampere_hour });
dimension!(/// Times and durations.
    TimeKind, EnteredTime, si::Time, "a time", "\"6 s\"", "0 s" ..= "10000 h",
    { ["s"] => second, ["ms"] => millisecond, ["min"] => minute, ["h"] => hour });
dimension!(/// Floor areas.
    FloorAreaKind, EnteredFloorArea, si::Area, "a floor area", "\"1850 ft2\"", "0 m2" ..= "100000 m2",
    { ["ft2", "ft²"] => square_foot, ["m2", "m²"] => square_meter });
dimension!(/// Latitudes.
    LatitudeKind, EnteredLatitude, si::Angle, "a latitude", "\"41.5 °\"", "-90 °" ..= "90 °",
    { ["°", "deg"] => degree });
dimension!(/// Shares: impedances of transformers, power factors, efficiencies.
    PercentKind, EnteredPercent, si::Ratio, "a share", "\"2 %\"", "0 %" ..= "1000 %",
    { ["%"] => percent });

#[cfg(test)]
mod tests {
    use super::*;

    fn feet(text: &str) -> f64 {
        EnteredLength::new(text).unwrap().quantity().get::<si::foot>()
    }

    #[test]
    fn units_of_the_keyboard_are_printed_as_print_has_them() {
        let printed = |text: &str| EnteredTemperature::new(text).unwrap().to_string();
        assert_eq!(printed("118 F"), "118 °F");
        assert_eq!(printed("40 °C"), "40 °C");
        let area = EnteredFloorArea::new("2350 ft2").unwrap();
        assert_eq!((area.to_string().as_str(), area.text()), ("2350 ft²", "2350 ft2"));
        assert_eq!(EnteredFloorArea::new("2350 ft²").unwrap().quantity(), area.quantity());
    }

    #[test]
    fn an_entry_keeps_its_text_and_becomes_si_once() {
        let run = EnteredLength::new("45 ft").unwrap();
        assert_eq!(run.text(), "45 ft");
        // 1 ft = 0.3048 m exactly (international foot of 1959).
        assert!((run.quantity().get::<si::meter>() - 13.716).abs() < 1e-12);
        assert!((feet("13.716 m") - 45.0).abs() < 1e-9);
    }

    #[test]
    fn horsepower_is_read_in_fractions() {
        let plate = EnteredHorsepower::new("1-1/2 hp").unwrap();
        assert!((plate.quantity().get::<si::watt>() - 1.5 * 746.0).abs() < 1e-9);
        assert!(EnteredHorsepower::new("1/0 hp").is_err());
    }

    #[test]
    fn fahrenheit_and_celsius_agree() {
        let warm = EnteredTemperature::new("86 F").unwrap().quantity();
        assert!((warm.get::<si::celsius>() - 30.0).abs() < 1e-9);
        assert!(EnteredTemperature::new("-5 C").is_ok());
    }

    #[test]
    fn what_is_no_quantity_is_said_with_an_example() {
        for (text, part) in [
            ("ft", "does not start with a number"),
            ("45", "needs one of the units ft, m, in, mm"),
            ("45 parsec", "needs one of the units"),
            ("-1 ft", "outside the range"),
            ("NaN ft", "does not start with a number"),
            ("1e308 ft", "needs one of the units"),
            ("99999999 ft", "outside the range"),
            ("4,5 m", "needs one of the units"),
        ] {
            let error = EnteredLength::new(text).unwrap_err().to_string();
            assert!(error.contains(part), "{text}: {error}");
        }
    }

    #[test]
    fn the_ends_of_the_range_are_inside_it() {
        assert!(EnteredLength::new("0 ft").is_ok());
        assert!(EnteredLength::new("10000 m").is_ok());
        assert!(EnteredLength::new("10000.1 m").is_err());
        assert!(EnteredTemperature::new("-80 C").is_ok());
        assert!(EnteredTemperature::new("400 C").is_ok());
        assert!(EnteredLatitude::new("-90 °").is_ok());
        assert!(EnteredLatitude::new("90.1 °").is_err());
        assert!(EnteredPercent::new("1000 %").is_ok());
        assert!(EnteredCharge::new("100000 Ah").is_ok());
        assert!(EnteredEnergy::new("100000 kWh").is_ok());
        assert!(EnteredTime::new("10000 h").is_ok());
        assert!(EnteredFloorArea::new("100000 m2").is_ok());
        assert!(EnteredApparentPower::new("100000 kVA").is_ok());
        assert!(EnteredPower::new("10000 kW").is_ok());
        assert!(EnteredResistance::new("1000000 ohm").is_ok());
        assert!(EnteredVoltage::new("50000 V").is_ok());
        assert!(EnteredCurrent::new("1000 kA").is_ok());
    }
}
