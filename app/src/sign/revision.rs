//! Revisions: signing freezes one, and the next one starts from it.

use deadfront_rules::say;
use deadfront_rules::survey::{Revision, Survey};

use super::content;
use super::pen::{SignError, told};

/// Whether a survey may be edited; every edit asks this first.
///
/// # Errors
/// [`SignError::Frozen`] when the revision is signed.
pub fn may_edit(survey: &Survey) -> Result<(), SignError> {
    match survey.frozen_by() {
        None => Ok(()),
        Some(signature) => {
            let signer =
                say!("{}, on {}", told(signature), signature.when.format("%Y-%m-%d").to_string()).to_string();
            Err(SignError::Frozen { revision: survey.revision, signer })
        }
    }
}

/// The next revision of a signed survey: the same facts, unsigned and unanswered, with the signed one
/// kept in it.
///
/// # Errors
/// [`SignError::NotSigned`] when nobody has signed the present one.
pub fn new_revision(signed: &Survey) -> Result<Survey, SignError> {
    let first = signed.frozen_by().ok_or(SignError::NotSigned(signed.revision))?;
    let number = signed.revision.checked_add(1).ok_or(SignError::TooMany)?;
    let mut next = signed.clone();
    for earlier in &mut next.revisions {
        earlier.state = None;
    }
    let state = next.clone();
    next.revisions.push(Revision {
        number: signed.revision,
        hash: first.hash.clone(),
        signed: first.when,
        signers: signed.signatures.iter().map(told).collect(),
        state_hash: content::whole(&state),
        state: Some(Box::new(state)),
    });
    next.revision = number;
    next.signatures.clear();
    next.answers.clear();
    Ok(next)
}
