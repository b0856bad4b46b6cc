//! Edits of a survey. An edit is a value: it can be applied, taken back and told.
//!
//! History, journal and tests all speak [`Edit`]. Whatever an edit leaves behind can be saved and
//! opened again: an entry that cannot be read is kept apart as a doubtful entry, and what
//! [`validate`] would refuse on opening a file is refused here.

mod add;
mod again;
mod bulk;
mod change;
mod copy;
mod draft;
mod fields;
mod fresh;
mod modes;
mod records;
mod refused;
mod remove;
mod set;
mod shift;
mod told;
mod whole;

use serde::{Deserialize, Serialize};

pub use add::{add, add_circuit, add_load, add_run, add_supply, plan_run};
pub use again::{LastWay, copy_last_way, last_way};
pub use bulk::cable_for_ways;
pub use copy::{copy, copy_with_records};
pub use fields::{Field, State, fields};
pub use modes::add_mode;
pub use records::{add_note, add_photo, add_reading, add_signature};
pub use refused::Refused;
pub(crate) use refused::capital;
pub use remove::remove;
pub use set::{set, set_many};
pub use shift::shift;
pub use whole::replaced;

pub use crate::survey::form::Form;

use crate::finding::Said;
use crate::survey::{Fault, Id, Survey, fault_after_facts, validate};
use change::Change;
use told::Told;

/// One edit. Applied as a whole or not at all.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Edit {
    told: Told,
    changes: Vec<Change>,
}

impl Edit {
    /// Makes the edit.
    ///
    /// The survey is one that could be opened: nothing was wrong with it before.
    ///
    /// # Errors
    /// When the survey is not in the state from which the edit starts, or could not be opened again
    /// afterwards. The survey is then as it was.
    pub fn apply(&self, survey: &mut Survey) -> Result<(), Refused> {
        for (done, change) in self.changes.iter().enumerate() {
            if let Err(refused) = change.apply(survey) {
                take_back(&self.changes[..done], survey);
                return Err(refused);
            }
        }
        match self.fault(survey) {
            None => Ok(()),
            Some(fault) => {
                take_back(&self.changes, survey);
                Err(Refused::sentence(&fault.message))
            }
        }
    }

    /// What is wrong with the survey after it, in which nothing was wrong before. Where only facts changed
    /// only these are looked at; everything else is looked at as a whole.
    fn fault(&self, survey: &Survey) -> Option<Fault> {
        if self.changes.iter().all(|change| change.is_of_facts(survey)) {
            return fault_after_facts(survey, &self.touches());
        }
        validate(survey).into_iter().next()
    }

    /// The edit that takes this one back exactly.
    #[must_use]
    pub fn inverse(&self) -> Self {
        Self { told: self.told.inverse(), changes: self.changes.iter().rev().map(Change::inverse).collect() }
    }

    /// What it does, in one line: `Main panel, way 4: rating 20 A (was 15 A)`.
    #[must_use]
    pub fn described(&self) -> Said {
        self.told.said()
    }

    /// The items that it changes, the main one first.
    #[must_use]
    pub fn touches(&self) -> Vec<Id> {
        let mut ids: Vec<Id> = Vec::new();
        for id in self.changes.iter().filter_map(Change::item) {
            if !ids.contains(&id) {
                ids.push(id);
            }
        }
        ids
    }

    /// Whether it changes nothing: what was entered stood there already.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.changes.is_empty()
    }
}

/// Takes steps back that were taken just now.
fn take_back(changes: &[Change], survey: &mut Survey) {
    for change in changes.iter().rev() {
        // A step that was taken can be taken back: each keeps what was there before.
        let _ = change.inverse().apply(survey);
    }
}

#[cfg(test)]
mod every_field;
#[cfg(test)]
mod tests;
