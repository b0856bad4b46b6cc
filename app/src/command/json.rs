//! The answer of `check --json`.

use deadfront_rules::Assessment;
use deadfront_rules::assess::Counts;
use deadfront_rules::finding::{Arg, Cause, Citation, Derivation, Finding, Missing, Said, Severity, Subject};
use deadfront_rules::survey::Survey;
use serde::Serialize;

/// Everything that the checks say.
#[derive(Debug, Serialize)]
pub(super) struct Answer<'a> {
    survey: &'a str,
    counts: Counts,
    findings: Vec<FindingAnswer<'a>>,
}

#[derive(Debug, Serialize)]
struct FindingAnswer<'a> {
    check: &'static str,
    subject: &'a Subject,
    #[serde(skip_serializing_if = "Option::is_none")]
    cause: Option<&'a Cause>,
    verdict: &'static str,
    severity: Severity,
    message: &'a Said,
    value: Option<Figure>,
    limit: Option<Figure>,
    derivation: &'a Derivation,
    citations: &'static [Citation],
    binding: &'static str,
    caution: &'a Said,
    next_step: &'a Said,
    missing: &'a [Missing],
}

/// A figure with its unit, or in words.
#[derive(Debug, Serialize)]
#[serde(untagged)]
enum Figure {
    Number { number: f64, unit: &'static str },
    Words(String),
}

impl Figure {
    fn of(arg: &Arg) -> Self {
        match arg {
            Arg::Number(number, _) => Self::Number { number: *number, unit: "" },
            Arg::Quantity(number, _, unit) => Self::Number { number: *number, unit },
            other => Self::Words(other.to_string()),
        }
    }
}

/// The answer about a survey; without `all` only what is open.
pub(super) fn answer<'a>(survey: &'a Survey, assessment: &'a Assessment, all: bool) -> Answer<'a> {
    let told = assessment.findings.iter().filter(|finding| all || finding.is_open());
    Answer { survey: &survey.site.name, counts: assessment.counts, findings: told.map(of).collect() }
}

fn of(finding: &Finding) -> FindingAnswer<'_> {
    FindingAnswer {
        check: finding.check,
        subject: &finding.subject,
        cause: finding.cause.as_ref(),
        verdict: finding.verdict.name(),
        severity: finding.severity,
        message: &finding.message,
        value: finding.value.as_ref().map(Figure::of),
        limit: finding.limit.as_ref().map(Figure::of),
        derivation: &finding.derivation,
        citations: finding.citations,
        binding: finding.binding.sentence(),
        caution: &finding.caution,
        next_step: &finding.next_step,
        missing: finding.missing(),
    }
}
