//! The electrician's answers to the findings of a revision.

use deadfront_rules::Assessment;
use deadfront_rules::survey::{Answer, Id, Survey};

use super::pen::{SignError, told};

/// Gives an answer to an open finding, in place of an earlier one to the same finding.
///
/// # Errors
/// [`SignError::Accepted`] when the answers are signed, [`SignError::NoReason`], [`SignError::NoName`],
/// and [`SignError::NoFinding`] when the assessment has no such open finding.
pub fn answer(survey: &mut Survey, assessment: &Assessment, answer: Answer) -> Result<(), SignError> {
    may_answer(survey)?;
    if answer.by.trim().is_empty() {
        return Err(SignError::NoName);
    }
    if answer.answer.needs_reason() && answer.reason.trim().is_empty() {
        return Err(SignError::NoReason);
    }
    if !assessment.open().any(|finding| finding.check == answer.check && finding.subject.id == answer.item) {
        return Err(SignError::NoFinding { check: answer.check, item: answer.item });
    }
    let given = |other: &&mut Answer| other.check == answer.check && other.item == answer.item;
    match survey.answers.iter_mut().find(given) {
        Some(other) => *other = answer,
        None => survey.answers.push(answer),
    }
    Ok(())
}

/// Takes an answer back; one that was not given is none.
///
/// # Errors
/// [`SignError::Accepted`] when the answers are signed.
pub fn withdraw(survey: &mut Survey, check: &str, item: &Id) -> Result<(), SignError> {
    may_answer(survey)?;
    survey.answers.retain(|answer| answer.check != check || answer.item != *item);
    Ok(())
}

fn may_answer(survey: &Survey) -> Result<(), SignError> {
    survey.accepted_by().map_or(Ok(()), |signature| Err(SignError::Accepted(told(signature))))
}
