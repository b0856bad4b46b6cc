//! What a check says: verdict, severity, the figure against its limit, derivation, citations,
//! caution, what to do next.

mod derivation;
mod said;
mod worked;

use crate::say;
use std::sync::Arc;

use serde::Serialize;

pub use derivation::{Derivation, Source, Step, by_clause, from_table, given, reckoned, surveyed};
pub use said::{Arg, Said, fixed, rounded};
pub use worked::{Facts, Worked, judge};

use crate::checks::CheckInfo;
use crate::survey::{Id, ItemKind};

/// How a check ends.
#[derive(Debug, Clone, PartialEq)]
pub enum Verdict {
    /// The requirement is met; every fact it needs is known.
    Meets,
    /// It is not met.
    FallsShort,
    /// A fact is missing. Never read as good news.
    CannotTell {
        /// The facts that are missing.
        missing: Vec<Missing>,
    },
    /// The requirement does not apply here.
    NotApplicable {
        /// Why not.
        why: Said,
    },
}

impl Verdict {
    /// The verdict's name in `--json` answers.
    #[must_use]
    pub fn name(&self) -> &'static str {
        match self {
            Self::Meets => "meets",
            Self::FallsShort => "falls_short",
            Self::CannotTell { .. } => "cannot_tell",
            Self::NotApplicable { .. } => "not_applicable",
        }
    }

    /// The verdict in words.
    #[must_use]
    pub fn words(&self) -> &'static str {
        crate::words::word(match self {
            Self::Meets => "meets",
            Self::FallsShort => "falls short",
            Self::CannotTell { .. } => "cannot tell",
            Self::NotApplicable { .. } => "does not apply",
        })
    }
}

/// The signal words of ISO 3864 and ANSI Z535, worst first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Severity {
    /// Will kill or injure if not avoided.
    Danger,
    /// Can kill or injure.
    Warning,
    /// Can injure lightly, or harms the installation.
    Caution,
    /// Advice; no injury.
    Notice,
}

impl Severity {
    /// The signal word.
    #[must_use]
    pub fn signal_word(self) -> &'static str {
        crate::words::word(match self {
            Self::Danger => "DANGER",
            Self::Warning => "WARNING",
            Self::Caution => "CAUTION",
            Self::Notice => "NOTICE",
        })
    }
}

/// A fact that a check needs and nobody has entered.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct Missing {
    /// The item.
    pub item: Id,
    /// The fact's name in the file.
    pub fact: &'static str,
    /// Whether somebody looked and it cannot be seen.
    pub cannot_be_seen: bool,
}

impl Missing {
    /// The fact in words, without its item.
    #[must_use]
    pub fn fact_in_words(&self) -> String {
        derivation::fact_in_words(self.fact)
    }
}

/// A place in a standard.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
pub struct Citation {
    /// Standard and edition.
    pub standard: &'static str,
    /// Clause.
    pub clause: &'static str,
}

/// Whether a finding stands by itself or binds new work only. What was lawful when it was built
/// may be allowed to remain.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Binding {
    /// The hazard stands by itself, whatever was lawful when it was built.
    Hazard,
    /// The clause binds new work; existing work that was lawful may be allowed to remain.
    NewWork,
    /// It is about something planned: new work, to which the clause applies in full.
    Planned,
}

impl Binding {
    /// The sentence that goes with a finding.
    #[must_use]
    pub fn sentence(self) -> &'static str {
        crate::words::word(match self {
            Self::Hazard => "The hazard stands by itself, whatever was lawful when it was built.",
            Self::NewWork => {
                "The clause binds new work; what was lawful when it was built may be allowed to remain. \
                 Ask the authority having jurisdiction."
            }
            Self::Planned => {
                "This is planned and so new work: the clause applies in full to what is planned."
            }
        })
    }
}

/// What a finding comes from, where several checks tell of one thing: findings of the same cause tell of
/// the same thing, and whoever mends it sees to all of them.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize)]
pub struct Cause {
    /// The check that is named after it.
    pub check: &'static str,
    /// The item at which it lies.
    pub item: Id,
}

/// What a finding is about.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize)]
pub struct Subject {
    /// The item.
    pub id: Id,
    /// What kind of item it is.
    #[serde(serialize_with = "kind_word")]
    pub kind: ItemKind,
    /// Its name in words: `way 7 of Kitchen panel`.
    pub name: Arc<str>,
}

fn kind_word<S: serde::Serializer>(kind: &ItemKind, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(kind.words())
}

/// One thing that a check says about one item.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// Name of the check.
    pub check: &'static str,
    /// The item.
    pub subject: Subject,
    /// The other item, where a finding is about two: a pair of sources.
    pub beside: Option<Id>,
    /// What it comes from, where other findings may come from the same.
    pub cause: Option<Cause>,
    /// How the check ends.
    pub verdict: Verdict,
    /// How bad it is if it falls short.
    pub severity: Severity,
    /// One plain sentence.
    pub message: Said,
    /// The figure.
    pub value: Option<Arg>,
    /// Its limit.
    pub limit: Option<Arg>,
    /// How figure and limit came about.
    pub derivation: Derivation,
    /// Clauses.
    pub citations: &'static [Citation],
    /// Whether the hazard stands by itself.
    pub binding: Binding,
    /// The caution that goes with it.
    pub caution: Said,
    /// What to do next.
    pub next_step: Said,
}

impl Finding {
    /// `41.4 A of 40 A allowed`, where there is a figure and a limit.
    #[must_use]
    pub fn figure_line(&self) -> Option<String> {
        let (value, limit) = (self.value.as_ref()?, self.limit.as_ref()?);
        Some(say!("{} of {} allowed", value.clone(), limit.clone()).to_string())
    }

    /// A finding of `check` about `subject`, with the words that the check declares.
    #[must_use]
    pub fn of(check: &'static CheckInfo, subject: Subject, verdict: Verdict, message: Said) -> Self {
        Self {
            check: check.name,
            subject,
            beside: None,
            cause: None,
            verdict,
            severity: check.severity,
            message,
            value: None,
            limit: None,
            derivation: Derivation::default(),
            citations: check.citations,
            binding: check.binding,
            caution: Said::plain(check.caution),
            next_step: Said::plain(check.next_step),
        }
    }

    /// With this figure and limit. A figure that falls short never reads like its limit by rounding,
    /// here and in the message.
    #[must_use]
    pub fn figure(mut self, value: impl Into<Arg>, limit: impl Into<Arg>) -> Self {
        let (value, limit) = (value.into(), limit.into());
        let told = if self.verdict == Verdict::FallsShort { value.told_from(&limit) } else { value.clone() };
        for arg in self.message.args.iter_mut().filter(|arg| **arg == value) {
            *arg = told.clone();
        }
        (self.value, self.limit) = (Some(told), Some(limit));
        self
    }

    /// About this item as well.
    #[must_use]
    pub fn beside(mut self, other: &Id) -> Self {
        self.beside = Some(other.clone());
        self
    }

    /// From this cause.
    #[must_use]
    pub fn from_cause(mut self, check: &'static str, item: &Id) -> Self {
        self.cause = Some(Cause { check, item: item.clone() });
        self
    }

    /// With this derivation.
    #[must_use]
    pub fn because(mut self, derivation: Derivation) -> Self {
        self.derivation = derivation;
        self
    }

    /// With a severity other than the check's usual one.
    #[must_use]
    pub fn severity(mut self, severity: Severity) -> Self {
        self.severity = severity;
        self
    }

    /// With another binding than the check's usual one.
    #[must_use]
    pub fn binding(mut self, binding: Binding) -> Self {
        self.binding = binding;
        self
    }

    /// With another caution than the check's usual one.
    #[must_use]
    pub fn caution(mut self, caution: Said) -> Self {
        self.caution = caution;
        self
    }

    /// With another next step than the check's usual one.
    #[must_use]
    pub fn next(mut self, next_step: Said) -> Self {
        self.next_step = next_step;
        self
    }

    /// Facts that are missing for it.
    #[must_use]
    pub fn missing(&self) -> &[Missing] {
        match &self.verdict {
            Verdict::CannotTell { missing } => missing,
            _ => &[],
        }
    }

    /// Whether it asks for action: it falls short or cannot be told.
    #[must_use]
    pub fn is_open(&self) -> bool {
        matches!(self.verdict, Verdict::FallsShort | Verdict::CannotTell { .. })
    }
}
