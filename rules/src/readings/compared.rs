//! A reading against one figure.

use super::Beside;
use crate::checks::CheckInfo;
use crate::finding::{Arg, Derivation, Finding, Said, Severity, Step, Verdict};
use crate::house::House;
use crate::say;
use crate::survey::Id;

/// A reading against one figure, with how it came about.
pub(crate) struct Compared {
    /// The item at which it was read.
    pub(super) at: Id,
    pub(super) label: &'static str,
    pub(super) measured: Arg,
    pub(super) against: &'static str,
    pub(super) computed: Option<Arg>,
    /// What is judged and its limit, where it falls short and a limit says it.
    pub(super) figure: Option<(Arg, Arg)>,
    /// Whether the difference asks for action; a figure that cannot be told names what is missing.
    pub(super) verdict: Verdict,
    pub(super) severity: Severity,
    pub(super) message: Said,
    pub(super) derivation: Derivation,
}

impl Compared {
    /// As a finding of the check that judges it. What agrees does not meet: it is of one moment.
    pub(crate) fn finding(self, house: &House<'_>, check: &'static CheckInfo) -> Finding {
        let finding = Finding::of(check, house.subject(&self.at), self.verdict, self.message)
            .severity(self.severity)
            .because(self.derivation);
        match self.figure {
            Some((value, limit)) => finding.figure(value, limit),
            None => finding,
        }
    }

    /// With this severity and these steps.
    pub(super) fn with(mut self, severity: Severity, steps: Vec<Step>) -> Self {
        self.severity = severity;
        self.derivation.extend(steps);
        self
    }

    pub(super) fn beside(self, check: &'static str) -> Beside {
        let Self { label, measured, against, computed, verdict, severity, .. } = self;
        Beside { check, label, measured, against, computed, verdict, severity }
    }
}

/// Nothing speaks against a reading.
pub(super) fn agrees() -> Verdict {
    Verdict::NotApplicable {
        why: say!("Nothing speaks against this reading; being of one moment, it proves nothing more."),
    }
}
