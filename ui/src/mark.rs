//! How a check ended, as the window draws it.

use deadfront_rules::finding::{Finding, Severity, Verdict};

use crate::generated;

/// How a check ended, with the signal word when it fell short (ISO 3864, ANSI Z535). Worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Mark {
    /// Falls short: death or serious injury will follow.
    Danger,
    /// Falls short: death or serious injury could follow.
    Warning,
    /// Falls short: injury could follow.
    Caution,
    /// Falls short: no injury, but worth putting right.
    Notice,
    /// A fact is missing. Shown as prominently as a failure.
    CannotTell,
    /// Meets the rule.
    Meets,
    /// The rule does not apply here.
    NotApplicable,
}

impl Mark {
    /// The marks that the window counts and filters by, worst first.
    pub const COUNTED: [Self; 6] =
        [Self::Danger, Self::Warning, Self::Caution, Self::Notice, Self::CannotTell, Self::Meets];

    /// The mark of a finding.
    #[must_use]
    pub fn of(finding: &Finding) -> Self {
        match (&finding.verdict, finding.severity) {
            (Verdict::FallsShort, Severity::Danger) => Self::Danger,
            (Verdict::FallsShort, Severity::Warning) => Self::Warning,
            (Verdict::FallsShort, Severity::Caution) => Self::Caution,
            (Verdict::FallsShort, Severity::Notice) => Self::Notice,
            (Verdict::CannotTell { .. }, _) => Self::CannotTell,
            (Verdict::Meets, _) => Self::Meets,
            (Verdict::NotApplicable { .. }, _) => Self::NotApplicable,
        }
    }

    /// Whether it asks for action.
    #[must_use]
    pub fn is_open(self) -> bool {
        self < Self::Meets
    }
}

impl From<Mark> for generated::Mark {
    fn from(mark: Mark) -> Self {
        match mark {
            Mark::Danger => Self::Danger,
            Mark::Warning => Self::Warning,
            Mark::Caution => Self::Caution,
            Mark::Notice => Self::Notice,
            Mark::CannotTell => Self::CannotTell,
            Mark::Meets => Self::Meets,
            Mark::NotApplicable => Self::NotApplicable,
        }
    }
}

impl From<Option<Mark>> for generated::Mark {
    fn from(mark: Option<Mark>) -> Self {
        mark.map_or(Self::None, Self::from)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_does_not_apply_is_neither_open_nor_counted() {
        assert!(Mark::CannotTell.is_open() && !Mark::Meets.is_open() && !Mark::NotApplicable.is_open());
        assert!(!Mark::COUNTED.contains(&Mark::NotApplicable));
        assert!(Mark::COUNTED.is_sorted());
    }
}
