//! The same cable for all ways of a panel.

use super::draft::Draft;
use super::told::Told;
use super::{Edit, Refused};
use crate::say;
use crate::survey::place::Place;
use crate::survey::{Id, Survey};

/// Enters the same for every run that begins at a way of a panel, in one edit: `[("method", "nm_b"),
/// ("size", "12 AWG")]`. It fills in what was not seen; what was entered before stands, in doubt or not.
///
/// # Errors
/// When `panel` is no panel, no run begins at a way of it, an entry cannot be read, or everything
/// was entered before.
pub fn cable_for_ways(survey: &Survey, panel: &Id, entries: &[(&str, &str)]) -> Result<Edit, Refused> {
    let Some(Place::Panel(at)) = Place::find(survey, panel) else {
        return Err(Refused(say!("\"{}\" is no panel.", panel)));
    };
    let ways = &survey.panels[at].ways;
    let begins = |from: &Id| ways.iter().any(|way| way.id == *from);
    let runs: Vec<Id> =
        survey.runs.iter().filter(|run| begins(&run.from)).map(|run| run.id.clone()).collect();
    if runs.is_empty() {
        return Err(Refused(say!("No run begins at a way of this panel yet.")));
    }
    let mut draft = Draft::new(survey);
    let mut filled = 0;
    for run in &runs {
        let mut any = false;
        for (field, entry) in entries {
            any |= fill(&mut draft, run, field, entry)?;
        }
        filled += usize::from(any);
    }
    if filled == 0 {
        return Err(Refused(say!("This was entered for all runs of this panel before.")));
    }
    let what: Vec<&str> = entries.iter().map(|(_, entry)| *entry).collect();
    let told = Told::Filled { panel: draft.name(panel), runs: filled, what: what.join(", "), back: false };
    draft.done(told)
}

/// Enters a fact of a run unless something stands there; whether it did.
fn fill(draft: &mut Draft, run: &Id, field: &str, entry: &str) -> Result<bool, Refused> {
    for (place, slot) in super::set::slots_of(&draft.survey, run, field)? {
        let is_doubted = draft.survey.in_doubt.iter().any(|doubt| doubt.on == *run && doubt.fact == field);
        let inside = place.record(&draft.survey).and_then(|record| record.field(slot.top));
        if !slot.is_fact() {
            return Err(Refused(say!("\"{}\" is no fact of a run.", field.to_owned())));
        }
        slot.read(entry).map_err(|reason| Refused::sentence(&reason))?;
        if is_doubted || !inside.unwrap_or_default().is_null() {
            return Ok(false);
        }
    }
    let edit = super::set(&draft.survey, run, field, entry)?;
    let any = !edit.changes.is_empty();
    edit.changes.into_iter().try_for_each(|change| draft.make(change))?;
    Ok(any)
}
