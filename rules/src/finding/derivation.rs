//! How a number came about: each step with symbol, value, unit and where it is from.

use std::sync::Arc;

use serde::{Serialize, Serializer, ser::SerializeStruct};

use super::said::{Arg, Said};
use crate::say;
use crate::survey::Id;
use crate::survey::questions::label_of;
use crate::tables::{Basis, CellRef};
use crate::words::{self, Language, word};

/// Where the value of a step is from.
#[derive(Debug, Clone, PartialEq)]
pub enum Source {
    /// A cell of a published table.
    Table(CellRef),
    /// The surveyor's own finding: an item and one of its facts.
    Surveyed {
        /// The item.
        item: Id,
        /// The fact's name in the file.
        fact: &'static str,
    },
    /// A condition of a request (a sizing before anything is built), by its name.
    Given(&'static str),
    /// A clause of a standard that gives no number but the way to reckon.
    Clause(&'static str),
    /// Arithmetic of the steps before.
    Reckoned,
    /// Common practice; no published source.
    Practice,
    /// The fact is missing; the least favourable value stands in, so that a result which holds even
    /// so is certain. A check never falls short on such a step.
    WorstCase {
        /// The item.
        item: Id,
        /// The fact's name in the file.
        fact: &'static str,
    },
    /// The fact is missing; the most favourable value stands in, so that a result which falls
    /// short even so is certain. A check never meets on such a step.
    BestCase {
        /// The item.
        item: Id,
        /// The fact's name in the file.
        fact: &'static str,
    },
}

impl Source {
    /// The source in words.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::Table(place) if place.basis() == Basis::Memory => {
                format!("{place} ({})", Basis::Memory.words())
            }
            Self::Table(place) => place.to_string(),
            Self::Surveyed { item, fact } => say!("surveyed: {}, {}", item, fact_in_words(fact)).to_string(),
            Self::Given(fact) => say!("given: {}", fact_in_words(fact)).to_string(),
            Self::Clause(clause) => word(clause).to_owned(),
            Self::Reckoned => word("from the steps above").to_owned(),
            Self::Practice => word("common practice, no published source").to_owned(),
            Self::WorstCase { item, fact } => {
                let fact = fact_in_words(fact);
                say!("not known ({}, {}): the least favourable value stands in", item, fact).to_string()
            }
            Self::BestCase { item, fact } => {
                let fact = fact_in_words(fact);
                say!("not known ({}, {}): the most favourable value stands in", item, fact).to_string()
            }
        }
    }

    /// Whether it is a table cell that was written from memory.
    #[must_use]
    pub fn from_memory(&self) -> bool {
        matches!(self, Self::Table(place) if place.basis() == Basis::Memory)
    }
}

/// A fact by its name in the file; in another language by the label of its question, where it has one.
pub(super) fn fact_in_words(fact: &'static str) -> String {
    if words::spoken() == Language::English {
        return words::spelled(fact.replace(['_', '.'], " "));
    }
    word(label_of(fact).unwrap_or(fact)).to_owned()
}

/// One step.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// The symbol, as a formula writes it: `I_z`.
    pub symbol: &'static str,
    /// What it is.
    pub label: Said,
    /// How it was reckoned, with the numbers filled in; empty for a value that was read.
    pub expression: Said,
    /// The value.
    pub value: Arg,
    /// Where it is from.
    pub source: Source,
}

impl Step {
    /// The value without its unit.
    #[must_use]
    pub fn value_text(&self) -> String {
        match &self.value {
            Arg::Quantity(number, decimals, _) => super::said::rounded(*number, *decimals),
            other => other.to_string(),
        }
    }

    /// The unit of the value; empty where it has none.
    #[must_use]
    pub fn unit(&self) -> &'static str {
        match &self.value {
            Arg::Quantity(_, _, unit) => unit,
            _ => "",
        }
    }
}

impl Serialize for Step {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut step = serializer.serialize_struct("Step", 6)?;
        step.serialize_field("symbol", self.symbol)?;
        step.serialize_field("label", &self.label)?;
        step.serialize_field("expression", &self.expression)?;
        match &self.value {
            Arg::Number(number, _) | Arg::Quantity(number, _, _) => step.serialize_field("value", number)?,
            other => step.serialize_field("value", &other.to_string())?,
        }
        step.serialize_field("unit", self.unit())?;
        step.serialize_field("source", &self.source.words())?;
        step.end()
    }
}

/// The steps to a result. Steps shared by several results (the ampacity of a run) are kept once.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Derivation {
    parts: Vec<Arc<[Step]>>,
}

impl Derivation {
    /// A derivation of these steps.
    #[must_use]
    pub fn new(steps: Vec<Step>) -> Self {
        let mut derivation = Self::default();
        derivation.extend(steps);
        derivation
    }

    /// Adds steps behind the ones there are.
    pub fn extend(&mut self, steps: Vec<Step>) {
        if !steps.is_empty() {
            self.parts.push(steps.into());
        }
    }

    /// Adds the steps of another result, shared.
    pub fn include(&mut self, other: &Self) {
        self.parts.extend(other.parts.iter().cloned());
    }

    /// This derivation with further steps.
    #[must_use]
    pub fn with(mut self, steps: Vec<Step>) -> Self {
        self.extend(steps);
        self
    }

    /// The steps in order.
    pub fn steps(&self) -> impl Iterator<Item = &Step> {
        self.parts.iter().flat_map(|part| part.iter())
    }

    /// The same steps, where what a survey would hold is a condition of a request instead.
    #[must_use]
    pub fn as_given(&self) -> Self {
        let given = |step: &Step| match step.source {
            Source::Surveyed { fact, .. } => Step { source: Source::Given(fact), ..step.clone() },
            _ => step.clone(),
        };
        Self::new(self.steps().map(given).collect())
    }

    /// The same for a figure that must not become large: what is favourable for the figure is
    /// unfavourable for the verdict, so that the stand-ins of missing facts are named the other way.
    #[must_use]
    pub fn as_upper_bound(&self) -> Self {
        let turned = |step: &Step| match &step.source {
            Source::BestCase { item, fact } => {
                Step { source: Source::WorstCase { item: item.clone(), fact }, ..step.clone() }
            }
            _ => step.clone(),
        };
        let has_stand_in = self.steps().any(|step| matches!(step.source, Source::BestCase { .. }));
        if has_stand_in { Self::new(self.steps().map(turned).collect()) } else { self.clone() }
    }

    /// The steps in the parts in which they were worked out; a part may stand in several derivations.
    pub fn parts(&self) -> impl Iterator<Item = &[Step]> {
        self.parts.iter().map(|part| &**part)
    }

    /// Whether there is no step.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.parts.is_empty()
    }

    /// The table cells from memory that it rests on.
    pub fn memory_cells(&self) -> impl Iterator<Item = &Step> {
        self.steps().filter(|step| step.source.from_memory())
    }
}

impl Serialize for Derivation {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(self.steps())
    }
}

/// A step whose value was read from a table cell.
#[must_use]
pub fn from_table(
    symbol: &'static str,
    label: impl Into<Said>,
    value: impl Into<Arg>,
    place: CellRef,
) -> Step {
    Step {
        symbol,
        label: label.into(),
        expression: Said::plain(""),
        value: value.into(),
        source: Source::Table(place),
    }
}

/// A step whose value the surveyor found.
#[must_use]
pub fn surveyed(
    symbol: &'static str,
    label: impl Into<Said>,
    value: impl Into<Arg>,
    item: &Id,
    fact: &'static str,
) -> Step {
    let source = Source::Surveyed { item: item.clone(), fact };
    Step { symbol, label: label.into(), expression: Said::plain(""), value: value.into(), source }
}

/// A step whose value is a condition of a request.
#[must_use]
pub fn given(
    symbol: &'static str,
    label: impl Into<Said>,
    value: impl Into<Arg>,
    condition: &'static str,
) -> Step {
    let source = Source::Given(condition);
    Step { symbol, label: label.into(), expression: Said::plain(""), value: value.into(), source }
}

/// A step reckoned from those before.
#[must_use]
pub fn reckoned(
    symbol: &'static str,
    label: impl Into<Said>,
    expression: Said,
    value: impl Into<Arg>,
) -> Step {
    Step { symbol, label: label.into(), expression, value: value.into(), source: Source::Reckoned }
}

/// A step that follows a clause.
#[must_use]
pub fn by_clause(
    symbol: &'static str,
    label: impl Into<Said>,
    expression: Said,
    value: impl Into<Arg>,
    clause: &'static str,
) -> Step {
    Step { symbol, label: label.into(), expression, value: value.into(), source: Source::Clause(clause) }
}
