//! How a question of the walk is answered: by an entry, or by adding what is missing.

use crate::finding::Missing;
use crate::survey::place::Place as At;
use crate::survey::{Doubt, Id, ItemKind, Survey, layout};

/// How a question of the walk is answered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Answer {
    /// By entering a value in this field, with [`set`](crate::edit::set).
    Enter {
        /// The field's name: that of the fact, with the line of a list (`surges.0.power`).
        field: String,
    },
    /// By adding an item, with [`add`](crate::edit::add).
    Add {
        /// The kind of item.
        kind: ItemKind,
        /// Within which.
        within: Id,
    },
    /// By adding the run that ends at this item, with [`add_run`](crate::edit::add_run): the person says where it begins.
    AddRunTo {
        /// The item.
        to: Id,
    },
}

impl Answer {
    pub(super) fn to(survey: &Survey, at: At, missing: &Missing) -> Self {
        if let Some(field) = in_doubt(survey, missing) {
            return Self::Enter { field };
        }
        // What lies in a part that is not there yet is asked by asking for the part.
        if let Some(part) = part_not_there(survey, at, missing.fact) {
            return Self::Enter { field: part };
        }
        let twin = at.twin(survey);
        let found =
            [Some(at), twin].into_iter().flatten().find_map(|at| layout::slot(survey, at, missing.fact));
        if let Some(slot) = found {
            return Self::Enter { field: slot.name().into_owned() };
        }
        match added(at, missing.fact) {
            Some(ItemKind::Run) if !matches!(at, At::Way(..)) => Self::AddRunTo { to: missing.item.clone() },
            Some(kind) => Self::Add { kind, within: missing.item.clone() },
            None => Self::Enter { field: missing.fact.to_owned() },
        }
    }
}

/// The part of an item in which a fact lies, where a person has not said yet that there is one: the battery
/// behind a supply.
fn part_not_there(survey: &Survey, at: At, fact: &str) -> Option<String> {
    let (part, _) = fact.split_once('.')?;
    let slot = layout::slot(survey, at, part)?;
    let is_there = at.record(survey)?.field(part).is_some_and(|inside| inside.is_object());
    (!is_there).then(|| slot.name().into_owned())
}

/// The field whose entry is in doubt: of several lines of a list, the one that cannot be read.
fn in_doubt(survey: &Survey, missing: &Missing) -> Option<String> {
    let here = survey.in_doubt.iter().filter(|doubt| doubt.on == missing.item);
    let is_asked = |doubt: &&Doubt| layout::fact_name(survey, &doubt.on, &doubt.fact) == Some(missing.fact);
    here.filter(|doubt| is_asked(doubt)).map(|doubt| doubt.fact.clone()).next()
}

/// What is added where a check misses a whole item.
fn added(at: At, fact: &str) -> Option<ItemKind> {
    Some(match (at, fact) {
        (At::Run(_), "loads") => ItemKind::Load,
        (At::Site, "electrodes") => ItemKind::Electrode,
        (At::Site, "modes") => ItemKind::Mode,
        (At::Way(..), "run" | "runs") | (At::Panel(_), "runs") | (At::Supply(_), "battery_run") => {
            ItemKind::Run
        }
        (At::Panel(_), "ways") => ItemKind::Way,
        (At::Panel(_), "buses") => ItemKind::Bus,
        _ => return None,
    })
}
