//! The worst that is said about an item.

use std::collections::BTreeMap;

use crate::assess::Assessment;
use crate::finding::{Finding, Severity, Verdict};
use crate::survey::Id;

/// A verdict as a drawing shows it: a shape and a word, worst first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Mark {
    /// Falls short; will kill or injure if not avoided.
    Danger,
    /// Falls short; can kill or injure.
    Warning,
    /// Falls short; can injure lightly, or harms the installation.
    Caution,
    /// Falls short of advice.
    Notice,
    /// A fact is missing.
    CannotTell,
    /// Meets every check.
    Meets,
}

/// The worst mark of each item that is spoken of.
pub type Marks = BTreeMap<Id, Mark>;

impl Mark {
    /// All, worst first.
    pub const ALL: [Self; 6] =
        [Self::Danger, Self::Warning, Self::Caution, Self::Notice, Self::CannotTell, Self::Meets];

    /// The mark of a finding; none where the check does not apply.
    #[must_use]
    pub fn of(finding: &Finding) -> Option<Self> {
        match (&finding.verdict, finding.severity) {
            (Verdict::FallsShort, Severity::Danger) => Some(Self::Danger),
            (Verdict::FallsShort, Severity::Warning) => Some(Self::Warning),
            (Verdict::FallsShort, Severity::Caution) => Some(Self::Caution),
            (Verdict::FallsShort, Severity::Notice) => Some(Self::Notice),
            (Verdict::CannotTell { .. }, _) => Some(Self::CannotTell),
            (Verdict::Meets, _) => Some(Self::Meets),
            (Verdict::NotApplicable { .. }, _) => None,
        }
    }

    /// Its word.
    #[must_use]
    pub fn word(self) -> &'static str {
        crate::words::word(match self {
            Self::Danger => Severity::Danger.signal_word(),
            Self::Warning => Severity::Warning.signal_word(),
            Self::Caution => Severity::Caution.signal_word(),
            Self::Notice => Severity::Notice.signal_word(),
            Self::CannotTell => "CANNOT TELL",
            Self::Meets => "MEETS",
        })
    }

    /// Whether something falls short.
    #[must_use]
    pub fn falls_short(self) -> bool {
        self < Self::CannotTell
    }
}

/// The worst mark of each item of an assessment.
#[must_use]
pub fn marks(assessment: &Assessment) -> Marks {
    let mut marks = Marks::new();
    for finding in &assessment.findings {
        let Some(mark) = Mark::of(finding) else { continue };
        let worst = marks.entry(finding.subject.id.clone()).or_insert(mark);
        *worst = mark.min(*worst);
    }
    marks
}

/// The worst mark of several items.
pub(super) fn worst<'a>(marks: &Marks, items: impl IntoIterator<Item = &'a Id>) -> Option<Mark> {
    items.into_iter().filter_map(|item| marks.get(item)).min().copied()
}
