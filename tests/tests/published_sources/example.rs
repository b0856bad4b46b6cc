//! A worked example as the data file holds it.

use std::collections::BTreeMap;
use std::fmt;

use deadfront_rules::si::{Area, Length, Resistance, Resistivity, circular_mil, foot, ohm};
use deadfront_rules::survey::WireSize;
use deadfront_rules::tables::us::Metal;
use serde::Deserialize;
use serde_json::Value;

/// One worked example.
#[derive(Debug, Clone, Deserialize)]
pub(crate) struct Example {
    pub(crate) id: String,
    pub(crate) topic: String,
    pub(crate) title: String,
    source: Source,
    code_edition: String,
    pub(crate) inputs: Value,
    pub(crate) expected: BTreeMap<String, Expected>,
    pub(crate) discrepancy: Option<String>,
}

#[derive(Debug, Clone, Deserialize)]
struct Source {
    title: String,
    publisher: String,
    section: String,
    year: Option<u16>,
    from_memory: bool,
}

/// One figure that must come out.
#[derive(Debug, Clone, Deserialize)]
pub(crate) struct Expected {
    /// As printed; null where the stored copy of the source does not show it.
    pub(crate) published: Value,
    /// Without rounding and misprints.
    pub(crate) recomputed: Value,
    pub(crate) unit: String,
    /// `exact`, where it is a size or yes or no.
    pub(crate) tolerance: Option<String>,
    pub(crate) tolerance_abs: Option<f64>,
    pub(crate) published_within_tolerance: Option<bool>,
}

/// What comes out of the program.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Is {
    Number(f64),
    Text(String),
    Truth(bool),
}

impl From<f64> for Is {
    fn from(number: f64) -> Self {
        Self::Number(number)
    }
}

impl From<WireSize> for Is {
    fn from(size: WireSize) -> Self {
        Self::Text(size.trade().unwrap_or_default())
    }
}

impl From<bool> for Is {
    fn from(truth: bool) -> Self {
        Self::Truth(truth)
    }
}

/// Figures by their name in `expected`, or by their way in `inputs` (`limits/0`): what a source looked
/// up for its example must stand in the program's tables too.
pub(crate) type Found = Vec<(String, Is)>;

/// Works an example again.
pub(crate) type Case = fn(&Example) -> Found;

/// One figure.
pub(crate) fn is(name: impl Into<String>, value: impl Into<Is>) -> (String, Is) {
    (name.into(), value.into())
}

/// Every example of the data file.
pub(crate) fn examples() -> Vec<Example> {
    let file = include_str!("../../published/worked_examples.json");
    serde_json::from_str(file).expect("the data file holds examples")
}

impl Example {
    /// A number among the inputs.
    pub(crate) fn number(&self, name: &str) -> f64 {
        self.inputs[name].as_f64().unwrap_or_else(|| panic!("{} has no number {name}", self.id))
    }

    /// A list of numbers among the inputs.
    pub(crate) fn numbers(&self, name: &str) -> Vec<f64> {
        let list = self.inputs[name].as_array().unwrap_or_else(|| panic!("{} has no list {name}", self.id));
        list.iter().filter_map(Value::as_f64).collect()
    }

    /// A figure that the example itself works out on the way, for a case that begins there.
    pub(crate) fn midway(&self, name: &str) -> f64 {
        self.expected[name].recomputed.as_f64().unwrap_or_else(|| panic!("{} has no figure {name}", self.id))
    }

    /// A trade size among the inputs.
    pub(crate) fn size(&self, name: &str) -> WireSize {
        let text = self.inputs[name].as_str().unwrap_or_default();
        WireSize::from_trade(text).unwrap_or_else(|| panic!("{} has no size {name}", self.id))
    }

    /// A size in kcmil among the inputs.
    pub(crate) fn kcmil(&self, name: &str) -> WireSize {
        WireSize::Kcmil(self.number(name) as u16)
    }

    /// The metal among the inputs.
    pub(crate) fn metal(&self) -> Metal {
        match self.inputs["material"].as_str() {
            Some("copper") => Metal::Copper,
            Some("aluminum") => Metal::Aluminium,
            other => panic!("{} has the metal {other:?}", self.id),
        }
    }

    /// The K of the circular-mil form among the inputs.
    pub(crate) fn k(&self) -> Resistivity {
        let per_foot = Resistance::new::<ohm>(self.number("k_ohm_cmil_per_ft"));
        per_foot * Area::new::<circular_mil>(1.0) / Length::new::<foot>(1.0)
    }
}

impl fmt::Display for Example {
    /// `VD-01: 120 V, 16 A … (title, publisher, section; edition)`
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Source { title, publisher, section, year, from_memory } = &self.source;
        write!(f, "{}: {} ({title}, {publisher}", self.id, self.title)?;
        if let Some(year) = year {
            write!(f, " {year}")?;
        }
        write!(f, ", {section}; {}", self.code_edition)?;
        f.write_str(if *from_memory { "; from memory)" } else { ")" })
    }
}
