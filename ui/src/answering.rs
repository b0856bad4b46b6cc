//! What a licensed electrician says to the findings of a signed revision.

use deadfront_rules::finding::{Finding, Said};
use deadfront_rules::say;
use deadfront_rules::survey::{Answer, AnswerKind};
use slint::{ComponentHandle as _, SharedString};

use crate::Intent;
use crate::generated::{Answering, DeadfrontWindow, Pick};
use crate::models::fixed;
use crate::shown::Shown;
use crate::words::tell;

/// The answer that stands to a finding.
pub(crate) fn answer_to<'a>(shown: &'a Shown, finding: &Finding) -> Option<&'a Answer> {
    shown.survey.answer_to(finding.check, &finding.subject.id)
}

/// The answer in a word, for the line of a finding.
pub(crate) fn in_a_line(shown: &Shown, finding: &Finding) -> SharedString {
    answer_to(shown, finding).map_or_else(SharedString::new, |answer| tell(&stands(answer.answer)))
}

fn stands(kind: AnswerKind) -> Said {
    match kind {
        AnswerKind::Agree => say!("Answered: agrees"),
        AnswerKind::Disagree => say!("Answered: disagrees"),
        AnswerKind::Done => say!("Answered: done"),
        AnswerKind::NotApplicable => say!("Answered: does not apply"),
    }
}

fn button(kind: AnswerKind) -> Said {
    match kind {
        AnswerKind::Agree => say!("Agree"),
        AnswerKind::Disagree => say!("Disagree"),
        AnswerKind::Done => say!("Done"),
        AnswerKind::NotApplicable => say!("Does not apply"),
    }
}

/// The answer with who gave it, when, and why.
fn standing(answer: &Answer) -> Said {
    let when = answer.when.format("%Y-%m-%d %H:%M").to_string();
    let (stands, by) = (stands(answer.answer), &answer.by);
    if answer.reason.is_empty() {
        say!("{}. {}, {}.", stands, by, when)
    } else {
        say!("{}. {}, {}. Reason: {}", stands, by, when, &answer.reason)
    }
}

/// The first finding without an answer after `from`, going round; places in the assessment.
pub(crate) fn next_open(shown: &Shown, from: Option<usize>) -> Option<usize> {
    let all = shown.assessment.findings.iter().enumerate();
    let unanswered: Vec<usize> = all
        .filter(|(_, finding)| finding.is_open() && answer_to(shown, finding).is_none())
        .map(|(at, _)| at)
        .collect();
    let later = from.and_then(|from| unanswered.iter().find(|at| **at > from));
    later.or(unanswered.first()).copied()
}

/// Says how far the answers are. A survey that nobody has signed asks for none.
pub(crate) fn fill_progress(window: &DeadfrontWindow, shown: &Shown) {
    let page = window.global::<Answering>();
    let signed = shown.survey.frozen_by().is_some();
    page.set_signed(signed);
    page.set_closed(shown.survey.accepted_by().is_some());
    if !signed {
        page.set_progress(SharedString::new());
        page.set_open_left(false);
        return;
    }
    let open = shown.assessment.open().count();
    let answered = shown.assessment.open().filter(|finding| answer_to(shown, finding).is_some()).count();
    page.set_open_left(answered < open && shown.survey.accepted_by().is_none());
    page.set_progress(tell(&say!("{} of {} findings answered.", answered.to_string(), open.to_string())));
}

/// Shows what stands and what can be said to the finding that lies open.
pub(crate) fn fill(window: &DeadfrontWindow, shown: &Shown, finding: Option<&Finding>) {
    fill_progress(window, shown);
    let page = window.global::<Answering>();
    let asked = finding.filter(|finding| finding.is_open() && shown.survey.frozen_by().is_some());
    page.set_asked(asked.is_some());
    let Some(finding) = asked else { return };
    let answer = answer_to(shown, finding);
    page.set_standing(answer.map_or_else(SharedString::new, |answer| tell(&standing(answer))));
    page.set_kinds(fixed(AnswerKind::ALL.iter().map(|kind| Pick {
        key: kind.file_word().into(),
        text: tell(&button(*kind)),
        chosen: answer.is_some_and(|answer| answer.answer == *kind),
    })));
}

/// Another finding lies open: its own reason is in the field.
pub(crate) fn turn_to(window: &DeadfrontWindow, shown: &Shown, finding: &Finding) {
    let page = window.global::<Answering>();
    page.set_problem(SharedString::new());
    page.set_reason(
        answer_to(shown, finding).map_or_else(SharedString::new, |answer| answer.reason.as_str().into()),
    );
    if page.get_by().is_empty() {
        let last = shown.survey.answers.iter().max_by_key(|answer| answer.when);
        page.set_by(last.map_or_else(SharedString::new, |answer| answer.by.as_str().into()));
    }
}

/// What was said, as it is handed on.
pub(crate) fn given(window: &DeadfrontWindow, finding: &Finding, key: &str) -> Option<Intent> {
    let page = window.global::<Answering>();
    let kind = AnswerKind::ALL.iter().copied().find(|kind| kind.file_word() == key)?;
    Some(Intent::Answer {
        check: finding.check.to_owned(),
        item: finding.subject.id.clone(),
        answer: kind,
        reason: page.get_reason().trim().to_owned(),
        by: page.get_by().trim().to_owned(),
    })
}
