//! The plain answer to the question for which a house is surveyed: may another source be tied in as it
//! stands?

use crate::finding::{Finding, Severity, Verdict};
use crate::say;
use crate::survey::{Id, Supply, SupplyKind, Survey};

use super::Assessment;
use crate::finding::Said;

/// Checks of which each danger tells that somebody can make a line live that others take for dead.
const MEETINGS: [&str; 5] = [
    "sources_meet_in_normal_use",
    "sources_one_slip_apart",
    "separation_by_promise_only",
    "interlock_defeated",
    "live_pins",
];

/// The answer, the worst that holds.
#[derive(Debug, Clone, PartialEq)]
pub enum TieIn<'a> {
    /// Sources can meet or pins can be live: these supplies stay apart until it is mended.
    KeepApart(Vec<&'a Supply>),
    /// Dangers stand open.
    Dangers,
    /// Something falls short that is no danger.
    FallsShort,
    /// Nothing falls short, and not everything is known.
    CannotTell,
    /// Every check that applies is met.
    NothingFound,
}

impl<'a> TieIn<'a> {
    /// The answer about a survey.
    #[must_use]
    pub fn of(survey: &'a Survey, assessment: &Assessment) -> Self {
        let counts = assessment.counts;
        let meetings = || assessment.findings.iter().filter(|finding| is_meeting(finding));
        if meetings().next().is_some() {
            return Self::KeepApart(supplies(survey, meetings()));
        }
        match () {
            () if counts.danger > 0 => Self::Dangers,
            () if counts.warning + counts.caution + counts.notice > 0 => Self::FallsShort,
            () if counts.cannot_tell > 0 => Self::CannotTell,
            () => Self::NothingFound,
        }
    }

    /// The answer in one sentence for the reader who reads nothing else.
    #[must_use]
    pub fn words(&self) -> Said {
        match self {
            Self::KeepApart(supplies) if supplies.is_empty() => {
                say!("Do not tie in, and connect no second source.")
            }
            Self::KeepApart(supplies) => {
                let names: Vec<String> =
                    supplies.iter().map(|supply| format!("{} ({})", supply.name, supply.id)).collect();
                say!("Do not tie in, and do not connect: {}.", names.join(", "))
            }
            Self::Dangers => say!("Do not tie in yet: dangers stand open."),
            Self::FallsShort => {
                say!("Do not tie in before a licensed electrician has dealt with what falls short.")
            }
            Self::CannotTell => say!("Do not tie in yet: facts are missing, and nobody can tell."),
            Self::NothingFound => {
                say!("No check found anything against it. A licensed electrician decides.")
            }
        }
    }

    /// Why, in one sentence.
    #[must_use]
    pub fn why(&self) -> Said {
        match self {
            Self::KeepApart(_) => say!(
                "As the house stands, somebody can make a line live that others take for dead. This comes first; \
                 the other dangers follow."
            ),
            Self::Dangers => say!("Each of them kills, injures or burns if it is not avoided."),
            Self::FallsShort => {
                say!("No check found a danger, but not everything keeps what is asked of it.")
            }
            Self::CannotTell => say!("Nothing that is known falls short; what is not known may."),
            Self::NothingFound => {
                say!(
                    "Every check that applies is met by what was seen. What no check looks at is listed too."
                )
            }
        }
    }
}

/// Whether a check is about sources that can meet, or pins that can be live.
#[must_use]
pub fn is_about_meeting(check: &str) -> bool {
    MEETINGS.contains(&check)
}

fn is_meeting(finding: &Finding) -> bool {
    finding.verdict == Verdict::FallsShort
        && finding.severity == Severity::Danger
        && is_about_meeting(finding.check)
}

/// The house's own supplies that these findings name; those that can be plugged in where they name none.
fn supplies<'a, 'f>(survey: &'a Survey, findings: impl Iterator<Item = &'f Finding>) -> Vec<&'a Supply> {
    let named: Vec<&Id> =
        findings.flat_map(|one| std::iter::once(&one.subject.id).chain(&one.beside)).collect();
    let own = || survey.supplies.iter().filter(|supply| supply.kind != SupplyKind::Utility);
    let found: Vec<&Supply> = own().filter(|supply| named.contains(&&supply.id)).collect();
    let portable = || own().filter(|supply| supply.kind == SupplyKind::Generator).collect();
    if found.is_empty() { portable() } else { found }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assess;
    use crate::finding::Finding;
    use crate::fixture::{one_circuit, standby, survey};

    /// An assessment of nothing but one finding of a house with a standby source.
    fn told(check: &'static str, severity: Severity, verdict: Verdict) -> String {
        let survey = survey(&standby());
        let mut finding: Finding = assess(&survey).findings.swap_remove(0);
        (finding.check, finding.severity, finding.verdict) = (check, severity, verdict);
        finding.subject.id = survey.supplies[1].id.clone();
        let findings = vec![finding];
        let counts = super::super::Counts::of(&findings);
        TieIn::of(&survey, &Assessment { findings, counts }).words().to_string()
    }

    #[test]
    fn the_worst_answers() {
        let (short, danger) = (Verdict::FallsShort, Severity::Danger);
        assert!(
            told("sources_one_slip_apart", danger, short.clone())
                .starts_with("Do not tie in, and do not connect: ")
        );
        // The same with a lesser hazard, and another danger.
        assert!(
            told("sources_one_slip_apart", Severity::Warning, short.clone())
                .starts_with("Do not tie in before")
        );
        assert!(told("fused_neutral", danger, short).starts_with("Do not tie in yet: dangers"));
        let open = Verdict::CannotTell { missing: Vec::new() };
        assert!(told("sources_one_slip_apart", danger, open).starts_with("Do not tie in yet: facts"));
        assert!(told("fused_neutral", danger, Verdict::Meets).starts_with("No check found"));
    }

    #[test]
    fn a_house_that_is_known_and_in_order_has_nothing_against_it() {
        let survey = survey(&one_circuit());
        let answer = TieIn::of(&survey, &assess(&survey));
        assert!(!matches!(answer, TieIn::KeepApart(_)), "{answer:?}");
    }
}
