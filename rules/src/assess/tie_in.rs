//! The plain answer to the question for which a house is surveyed: may another source be tied in as it
//! stands?

use super::Assessment;
use crate::finding::{Finding, Said, Severity, Verdict};
use crate::say;
use crate::survey::{Id, Supply, SupplyKind, Survey};

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
    /// Other dangers stand open.
    Dangers,
    /// It is not known whether sources can meet or pins can be live: as serious as if they could.
    MeetingsNotKnown,
    /// Something falls short that is no danger; beside it so many checks cannot tell.
    FallsShort(usize),
    /// Nothing falls short, and not everything is known.
    CannotTell,
    /// The survey holds no second source, or nothing that a check could look at.
    NothingToTell,
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
        let is_untold = |finding: &Finding| matches!(finding.verdict, Verdict::CannotTell { .. });
        let untold = |finding: &Finding| is_about_meeting(finding.check) && is_untold(finding);
        match () {
            () if counts.danger > 0 => Self::Dangers,
            () if assessment.findings.iter().any(untold) => Self::MeetingsNotKnown,
            () if counts.warning + counts.caution + counts.notice > 0 => Self::FallsShort(counts.cannot_tell),
            () if counts.cannot_tell > 0 => Self::CannotTell,
            () if counts.meets == 0 || own(survey).next().is_none() => Self::NothingToTell,
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
            Self::MeetingsNotKnown => say!("Do not tie in yet: it is not known whether sources can meet."),
            Self::FallsShort(_) => {
                say!("Do not tie in before a licensed electrician has dealt with what falls short.")
            }
            Self::CannotTell => say!("Do not tie in yet: facts are missing, and nobody can tell."),
            Self::NothingToTell => {
                say!("Nothing can be told yet: the survey holds no second source to check.")
            }
            Self::NothingFound => say!("No check found anything against it. A licensed electrician decides."),
        }
    }

    /// Why, in one sentence or two.
    #[must_use]
    pub fn why(&self) -> Said {
        match self {
            Self::KeepApart(_) => say!(
                "As the house stands, somebody can make a line live that others take for dead. This comes first; \
                 the other dangers follow."
            ),
            Self::Dangers => say!("Each of them kills, injures or burns if it is not avoided."),
            Self::MeetingsNotKnown => say!("Until it is known, count on it that they can."),
            Self::FallsShort(0) => {
                say!("No check found a danger, but not everything keeps what is asked of it.")
            }
            Self::FallsShort(_) => {
                say!("No danger is known, but facts are missing, and one may hide behind them.")
            }
            Self::CannotTell => say!("Nothing that is known falls short; what is not known may."),
            Self::NothingToTell => say!("Enter what is to be tied in, and what is there."),
            Self::NothingFound => say!(
                "Every check that applies is met by what was seen. What no check looks at is listed too."
            ),
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
    let found: Vec<&Supply> = own(survey).filter(|supply| named.contains(&&supply.id)).collect();
    let portable = || own(survey).filter(|supply| supply.kind == SupplyKind::Generator).collect();
    if found.is_empty() { portable() } else { found }
}

/// The sources of the house's own.
fn own(survey: &Survey) -> impl Iterator<Item = &Supply> {
    survey.supplies.iter().filter(|supply| supply.kind != SupplyKind::Utility)
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
        let slip = |severity, verdict| told("sources_one_slip_apart", severity, verdict);
        assert!(slip(danger, short.clone()).starts_with("Do not tie in, and do not connect: "));
        // The same with a lesser hazard, and another danger.
        assert!(slip(Severity::Warning, short.clone()).starts_with("Do not tie in before"));
        assert!(told("fused_neutral", danger, short).starts_with("Do not tie in yet: dangers"));
        // What is not known of meetings is told as such, whatever else is not known as facts that are missing.
        let open = Verdict::CannotTell { missing: Vec::new() };
        assert!(slip(danger, open.clone()).contains("not known whether sources can meet"));
        assert!(told("fused_neutral", danger, open).contains("facts are missing"));
        assert!(told("fused_neutral", danger, Verdict::Meets).starts_with("No check found"));
    }

    /// Neither an empty survey nor a house without a second source is told as one that nothing speaks against.
    #[test]
    fn what_nobody_surveyed_is_no_good_news() {
        let empty = survey(&serde_json::json!({
            "deadfront_survey": 1, "site": { "name": "Empty (invented)", "rules": "us", "invented": true }
        }));
        assert_eq!(TieIn::of(&empty, &assess(&empty)), TieIn::CannotTell);
        let alone = survey(&one_circuit());
        let mut assessment = assess(&alone);
        assessment.findings.retain(|finding| finding.verdict == Verdict::Meets);
        assessment.counts = super::super::Counts::of(&assessment.findings);
        assert!(assessment.counts.meets > 0);
        assert_eq!(TieIn::of(&alone, &assessment), TieIn::NothingToTell);
    }

    /// A lesser finding beside missing facts is never told as if no danger were possible.
    #[test]
    fn missing_facts_are_told_beside_what_falls_short() {
        assert!(TieIn::FallsShort(0).why().to_string().contains("No check found a danger"));
        assert!(TieIn::FallsShort(1).why().to_string().contains("one may hide"));
    }
}
