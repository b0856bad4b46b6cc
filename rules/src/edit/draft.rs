//! An edit in the making: steps are tried on a copy of the survey as they are gathered.

use serde::Serialize;
use serde_json::Value;

use super::change::{Change, List};
use super::told::{Name, Told};
use super::{Edit, Refused};
use crate::survey::place::Place;
use crate::survey::{Doubt, Id, Survey, validate};

pub(super) struct Draft {
    /// The survey as it is after the steps so far.
    pub(super) survey: Survey,
    changes: Vec<Change>,
}

impl Draft {
    pub(super) fn new(survey: &Survey) -> Self {
        Self { survey: survey.clone(), changes: Vec::new() }
    }

    pub(super) fn make(&mut self, change: Change) -> Result<(), Refused> {
        change.apply(&mut self.survey)?;
        self.changes.push(change);
        Ok(())
    }

    /// Puts an item at the end of a list.
    pub(super) fn insert(&mut self, list: List, at: usize, item: &impl Serialize) -> Result<(), Refused> {
        let item = serde_json::to_value(item).map_err(|error| Refused::unfit(error.to_string()))?;
        self.make(Change::Insert { list, at, item })
    }

    /// Takes an item out of a list.
    pub(super) fn remove(&mut self, list: List, at: usize) -> Result<(), Refused> {
        let item = list.item(&self.survey, at).ok_or_else(Refused::changed)?;
        self.make(Change::Remove { list, at, item })
    }

    /// Gives a field of an item another value.
    pub(super) fn set(&mut self, item: &Id, field: &str, after: Value) -> Result<(), Refused> {
        let place = Place::find(&self.survey, item).ok_or_else(|| Refused::no_item(item))?;
        let record = place.record(&self.survey).ok_or_else(Refused::changed)?;
        let before = record.field(field).ok_or_else(Refused::changed)?;
        self.make(Change::Set { item: item.clone(), twin: false, field: field.to_owned(), before, after })
    }

    pub(super) fn doubt(&mut self, on: &Id, fact: &str, text: &str) -> Result<(), Refused> {
        let doubt = Doubt { on: on.clone(), fact: fact.to_owned(), text: text.to_owned() };
        let at = self.survey.in_doubt.len();
        self.insert(List::InDoubt, at, &doubt)
    }

    pub(super) fn name(&self, id: &Id) -> Name {
        match Place::find(&self.survey, id) {
            Some(place) => Name::of(&self.survey, place, id),
            None => Name::Kind { kind: String::new(), id: id.clone() },
        }
    }

    /// How many items came or went so far, doubtful entries not counted.
    pub(super) fn items(&self) -> usize {
        let is_item = |change: &&Change| match change {
            Change::Insert { list, .. } | Change::Remove { list, .. } => *list != List::InDoubt,
            Change::Set { .. } | Change::Move { .. } | Change::Whole { .. } => false,
        };
        self.changes.iter().filter(is_item).count()
    }

    /// The edit, if the survey can be opened again after it.
    pub(super) fn done(self, told: Told) -> Result<Edit, Refused> {
        match validate(&self.survey).into_iter().next() {
            Some(fault) => Err(Refused::sentence(&fault.message)),
            None => Ok(Edit { told, changes: self.changes }),
        }
    }
}
