//! What may still be done to a signed survey: sign too, answer, begin a new revision. Nothing else, and no
//! undo: a signature that could be taken off would let one revision be signed over two contents.

use std::sync::Arc;

use deadfront_rules::edit::{Edit, Refused};
use deadfront_rules::say;
use deadfront_rules::survey::Survey;

use crate::sign::{SignError, fingerprint, may_edit};

/// Makes a new edit, or leaves the survey as it was.
pub(super) fn make(edit: &Edit, survey: &mut Arc<Survey>) -> Result<(), Refused> {
    let Err(frozen) = may_edit(survey) else { return edit.apply(Arc::make_mut(survey)) };
    let mut after = Survey::clone(survey);
    edit.apply(&mut after)?;
    if !goes_on(survey, &after) {
        return Err(refused(&frozen));
    }
    *survey = Arc::new(after);
    Ok(())
}

/// Takes a step of undo or redo, or leaves the survey as it was.
pub(super) fn step(edit: &Edit, survey: &mut Arc<Survey>) -> Result<(), Refused> {
    may_edit(survey).map_err(|frozen| refused(&frozen))?;
    let mut after = Survey::clone(survey);
    edit.apply(&mut after)?;
    if after.frozen_by().is_some() {
        return Err(Refused(say!("A signature stands here; undo and redo do not go past it.")));
    }
    *survey = Arc::new(after);
    Ok(())
}

/// Whether a signed survey keeps its content and its signatures, or is taken up under the next number.
fn goes_on(before: &Survey, after: &Survey) -> bool {
    let next_revision = before.revision.checked_add(1) == Some(after.revision)
        && after.last_signed().is_some_and(|kept| fingerprint(kept) == fingerprint(before));
    next_revision || is_later_state(before, after)
}

/// Whether two surveys are one revision, and the later one has every signature of the earlier one.
pub(super) fn is_later_state(before: &Survey, after: &Survey) -> bool {
    after.signatures.starts_with(&before.signatures) && fingerprint(before) == fingerprint(after)
}

fn refused(why: &SignError) -> Refused {
    Refused(say!("{}", why.sentence()))
}
