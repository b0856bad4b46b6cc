//! A long sequence of edits that is the same in every run, so that a test can tell from the number of the last
//! edit how the survey must look.

use deadfront::store::{Kept, Session};
use deadfront_rules::edit::{self, Edit};
use deadfront_rules::survey::{ItemKind, Survey};

/// What an edit of the sequence consists of, one state of the survey after the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Part {
    /// The edit's number is written on the label of a way.
    Label,
    /// An inlet is added.
    Inlet,
    /// The last step is taken back.
    Undo,
    /// It is made again.
    Redo,
}

fn parts(number: usize) -> &'static [Part] {
    match number % 10 {
        7 => &[Part::Label, Part::Undo, Part::Redo],
        3 => &[Part::Inlet, Part::Undo],
        _ => &[Part::Label],
    }
}

/// Makes edit `number`; true when every part of it was acknowledged as being on the disk.
///
/// # Errors
/// When the survey refuses it; the sentence says why.
pub fn make(session: &mut Session, number: usize) -> Result<bool, String> {
    let mut safe = true;
    for part in parts(number) {
        let kept = match part {
            Part::Undo => session.undo().map(|_| session.kept()),
            Part::Redo => session.redo().map(|_| session.kept()),
            part => session.edit(edit_of(session.survey(), *part, number)?),
        };
        safe &= kept.map_err(|refused| refused.to_string())? == Kept::OnDisk;
    }
    Ok(safe)
}

/// The surveys that may be found when edit `number` was begun on `survey`, the last one when it was done.
///
/// # Errors
/// As [`make`].
pub fn states(survey: &Survey, number: usize) -> Result<Vec<Survey>, String> {
    let mut states = vec![survey.clone()];
    for part in parts(number) {
        let mut next = states.last().cloned().unwrap_or_else(|| survey.clone());
        match part {
            Part::Undo => next = survey.clone(),
            Part::Redo => next = states.get(1).cloned().unwrap_or(next),
            part => {
                let edit = edit_of(&next, *part, number)?;
                edit.apply(&mut next).map_err(|refused| refused.to_string())?;
            }
        }
        states.push(next);
    }
    Ok(states)
}

/// The number of the last edit that left its mark.
#[must_use]
pub fn last(survey: &Survey) -> usize {
    let labels = survey.panels.iter().flat_map(|panel| &panel.ways).map(|way| &way.label);
    labels.filter_map(|label| label.strip_prefix("edit ")?.parse().ok()).max().unwrap_or(0)
}

fn edit_of(survey: &Survey, part: Part, number: usize) -> Result<Edit, String> {
    let edit = if part == Part::Inlet {
        edit::add(survey, ItemKind::Inlet, None).map(|(edit, _)| edit)
    } else {
        let ways: Vec<_> = survey.panels.iter().flat_map(|panel| &panel.ways).collect();
        let way = ways.get(number % ways.len().max(1)).ok_or("there is no way")?;
        edit::set(survey, &way.id, "label", &format!("edit {number}"))
    };
    edit.map_err(|refused| refused.to_string())
}
