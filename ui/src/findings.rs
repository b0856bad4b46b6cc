//! Findings: their lines, their counts, and the one that is open in full.

use deadfront_rules::assess::TieIn;
use deadfront_rules::checks;
use deadfront_rules::finding::{Finding, Missing, Step};
use deadfront_rules::say;
use deadfront_rules::survey::questions::question;
use deadfront_rules::words;
use slint::{ModelRc, SharedString};

use crate::generated::{self, Count, RowData, Wanted};
use crate::models::fixed;
use crate::shown::{Shown, is_shown};
use crate::words::{tell, word};
use crate::{Mark, generated::Finding as Page};

/// The id of a finding in the window: its place in the assessment.
pub(crate) fn finding_id(at: usize) -> String {
    format!("F{}", at + 1)
}

/// The place in the assessment of a finding's id.
pub(crate) fn finding_at(shown: &Shown, id: &str) -> Option<usize> {
    let at = id.strip_prefix('F')?.parse::<usize>().ok()?.checked_sub(1)?;
    (at < shown.assessment.findings.len()).then_some(at)
}

/// The line of a finding.
pub(crate) fn finding_row(shown: &Shown, at: usize) -> RowData {
    let finding = shown.finding(at);
    RowData {
        id: finding_id(at).into(),
        mark: Mark::of(finding).into(),
        subject: subject(finding),
        title: tell(&finding.message),
        figure: finding
            .value
            .as_ref()
            .filter(|_| finding.limit.is_some())
            .map_or_else(SharedString::new, |value| value.to_string().into()),
        changed: shown.changed().contains(&at),
        detail: crate::answering::in_a_line(shown, finding),
        ..RowData::default()
    }
}

fn subject(finding: &Finding) -> SharedString {
    format!("{} ({})", finding.subject.name, finding.subject.id).into()
}

/// The places in the assessment of what is listed. Without a filter that is what asks for action;
/// what meets stands behind its count.
pub(crate) fn listed(shown: &Shown, filter: Option<Mark>, changed_only: bool) -> Vec<usize> {
    let passes = |at: usize, mark: Mark| match filter {
        _ if changed_only => shown.changed().contains(&at),
        Some(filter) => mark == filter,
        None => mark.is_open(),
    };
    let all = shown.assessment.findings.iter().enumerate();
    all.filter(|(at, finding)| is_shown(finding) && passes(*at, Mark::of(finding)))
        .map(|(at, _)| at)
        .collect()
}

/// How many findings there are in all.
pub(crate) fn total(shown: &Shown) -> usize {
    shown.assessment.findings.iter().filter(|finding| is_shown(finding)).count()
}

/// How many findings bear each mark that is counted.
pub(crate) fn counts(shown: &Shown) -> ModelRc<Count> {
    let counts = shown.assessment.counts;
    let number = |mark| match mark {
        Mark::Danger => counts.danger,
        Mark::Warning => counts.warning,
        Mark::Caution => counts.caution,
        Mark::Notice => counts.notice,
        Mark::CannotTell => counts.cannot_tell,
        Mark::Meets | Mark::NotApplicable => counts.meets,
    };
    let of =
        |mark| Count { mark: generated::Mark::from(mark), number: crate::models::row_number(number(mark)) };
    fixed(Mark::COUNTED.into_iter().map(of))
}

/// A finding in full.
pub(crate) fn page(shown: &Shown, at: usize) -> Page {
    let finding = shown.finding(at);
    let why = checks::named(finding.check).map_or_else(String::new, words::why);
    let (figure, limit) = figure(finding);
    Page {
        figure,
        limit,
        why: why.into(),
        steps: fixed(finding.derivation.steps().map(step)),
        citations: fixed(cited(finding)),
        cautions: fixed([tell(&finding.caution)]),
        next: fixed([tell(&finding.next_step)]),
        missing: fixed(finding.missing().iter().map(|missing| wanted(shown, missing))),
        same_cause: fixed(same_cause(shown, at).into_iter().map(|other| finding_row(shown, other))),
        item: finding.subject.id.as_str().into(),
    }
}

/// Most findings of one cause that are listed beside one of them, the worst first.
const MOST_BESIDE: usize = 5;

/// The places in the assessment of other findings of the same cause.
fn same_cause(shown: &Shown, at: usize) -> Vec<usize> {
    let Some(cause) = &shown.finding(at).cause else { return Vec::new() };
    let all = shown.assessment.findings.iter().enumerate();
    all.filter(|(other, finding)| *other != at && finding.cause.as_ref() == Some(cause))
        .map(|(other, _)| other)
        .take(MOST_BESIDE)
        .collect()
}

/// Whether another source may be tied in as the house stands.
pub(crate) fn answer(shown: &Shown) -> SharedString {
    tell(&TieIn::of(&shown.survey, &shown.assessment).words())
}

fn figure(finding: &Finding) -> (SharedString, SharedString) {
    match (&finding.value, &finding.limit) {
        (Some(value), Some(limit)) => {
            (value.to_string().into(), tell(&say!("of {} allowed", limit.to_string())))
        }
        _ => Default::default(),
    }
}

fn cited(finding: &Finding) -> Vec<SharedString> {
    let clauses = finding.citations.iter();
    let clauses = clauses.map(|citation| format!("{} {}", citation.standard, citation.clause).into());
    clauses.chain([word(finding.binding.sentence())]).collect()
}

fn step(step: &Step) -> generated::Step {
    generated::Step {
        symbol: step.symbol.into(),
        label: tell(&step.label),
        expression: tell(&step.expression),
        value: format!("{} {}", step.value_text(), step.unit()).trim_end().into(),
        source: step.source.words().into(),
    }
}

/// A missing fact, where it is and where to look for it.
fn wanted(shown: &Shown, missing: &Missing) -> Wanted {
    let (kind, name) = shown.described(&missing.item);
    let text = match question(kind, missing.fact) {
        Some(question) if missing.cannot_be_seen => {
            say!("{}: {} (cannot be seen). {}", name, question.label, question.unseen).to_string()
        }
        Some(question) => say!("{}: {}. {}", name, question.label, question.look).to_string(),
        None => format!("{name}: {}", missing.fact.replace(['_', '.'], " ")),
    };
    Wanted { text: text.into(), item: missing.item.as_str().into(), field: missing.fact.into() }
}
