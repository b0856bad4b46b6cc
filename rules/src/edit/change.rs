//! The smallest steps of an edit. Each can be taken back exactly.

use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use serde_json::Value;

use super::Refused;
use crate::survey::place::Place;
use crate::survey::{Id, Survey, is_plain_fact};

/// A list of the survey.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum List {
    Supplies,
    Panels,
    Runs,
    Loads,
    Transfers,
    Interlocks,
    Inlets,
    Modes,
    Electrodes,
    Readings,
    Photos,
    Notes,
    Signatures,
    InDoubt,
    /// Bus sections of a panel.
    Buses(Id),
    /// Ways of a panel.
    Ways(Id),
    /// Inputs of a transfer switch.
    Positions(Id),
}

impl List {
    /// The list in which an item stands, and its place there; the house stands in none.
    pub(super) fn of(survey: &Survey, place: Place) -> Option<(Self, usize)> {
        Some(match place {
            Place::Site => return None,
            Place::Supply(at) => (Self::Supplies, at),
            Place::Panel(at) => (Self::Panels, at),
            Place::Bus(panel, at) => (Self::Buses(survey.panels.get(panel)?.id.clone()), at),
            Place::Way(panel, at) => (Self::Ways(survey.panels.get(panel)?.id.clone()), at),
            Place::Run(at) => (Self::Runs, at),
            Place::Load(at) => (Self::Loads, at),
            Place::Transfer(at) => (Self::Transfers, at),
            Place::Position(transfer, at) => {
                (Self::Positions(survey.transfers.get(transfer)?.id.clone()), at)
            }
            Place::Interlock(at) => (Self::Interlocks, at),
            Place::Inlet(at) => (Self::Inlets, at),
            Place::Mode(at) => (Self::Modes, at),
            Place::Electrode(at) => (Self::Electrodes, at),
            Place::Reading(at) => (Self::Readings, at),
            Place::Photo(at) => (Self::Photos, at),
            Place::Note(at) => (Self::Notes, at),
            Place::Signature(at) => (Self::Signatures, at),
        })
    }

    /// How many items it has.
    pub(super) fn len(&self, survey: &Survey) -> usize {
        match self {
            Self::Supplies => survey.supplies.len(),
            Self::Panels => survey.panels.len(),
            Self::Runs => survey.runs.len(),
            Self::Loads => survey.loads.len(),
            Self::Transfers => survey.transfers.len(),
            Self::Interlocks => survey.interlocks.len(),
            Self::Inlets => survey.inlets.len(),
            Self::Modes => survey.modes.len(),
            Self::Electrodes => survey.electrodes.len(),
            Self::Readings => survey.readings.len(),
            Self::Photos => survey.photos.len(),
            Self::Notes => survey.notes.len(),
            Self::Signatures => survey.signatures.len(),
            Self::InDoubt => survey.in_doubt.len(),
            Self::Buses(id) => {
                survey.panels.iter().find(|panel| panel.id == *id).map_or(0, |panel| panel.buses.len())
            }
            Self::Ways(id) => {
                survey.panels.iter().find(|panel| panel.id == *id).map_or(0, |panel| panel.ways.len())
            }
            Self::Positions(id) => {
                let transfer = survey.transfers.iter().find(|transfer| transfer.id == *id);
                transfer.map_or(0, |transfer| transfer.positions.len())
            }
        }
    }

    /// An item of the list as the file writes it.
    pub(super) fn item(&self, survey: &Survey, at: usize) -> Option<Value> {
        macro_rules! item {
            ($items:expr) => {
                serde_json::to_value($items.get(at)?).ok()
            };
        }
        match self {
            Self::Supplies => item!(survey.supplies),
            Self::Panels => item!(survey.panels),
            Self::Runs => item!(survey.runs),
            Self::Loads => item!(survey.loads),
            Self::Transfers => item!(survey.transfers),
            Self::Interlocks => item!(survey.interlocks),
            Self::Inlets => item!(survey.inlets),
            Self::Modes => item!(survey.modes),
            Self::Electrodes => item!(survey.electrodes),
            Self::Readings => item!(survey.readings),
            Self::Photos => item!(survey.photos),
            Self::Notes => item!(survey.notes),
            Self::Signatures => item!(survey.signatures),
            Self::InDoubt => item!(survey.in_doubt),
            Self::Buses(id) => item!(survey.panels.iter().find(|panel| panel.id == *id)?.buses),
            Self::Ways(id) => item!(survey.panels.iter().find(|panel| panel.id == *id)?.ways),
            Self::Positions(id) => {
                item!(survey.transfers.iter().find(|transfer| transfer.id == *id)?.positions)
            }
        }
    }
}

/// One step.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub(super) enum Change {
    /// A field of an item takes another value.
    Set {
        item: Id,
        /// Whether it is the bus section that shares its id with its panel.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        twin: bool,
        field: String,
        before: Value,
        after: Value,
    },
    /// An item comes into a list.
    Insert { list: List, at: usize, item: Value },
    /// An item leaves a list.
    Remove { list: List, at: usize, item: Value },
    /// The survey as a whole takes another form: signed, answered, taken up again.
    Whole { before: Box<Value>, after: Box<Value> },
    /// An item moves within its list.
    Move { list: List, item: Id, from: usize, to: usize },
}

/// Fields that are no values: an id names the item for ever, and items of their own lie in the lists.
const FIXED: &[&str] = &["id", "buses", "positions"];

impl Change {
    pub(super) fn inverse(&self) -> Self {
        match self.clone() {
            Self::Set { item, twin, field, before, after } => {
                Self::Set { item, twin, field, before: after, after: before }
            }
            Self::Insert { list, at, item } => Self::Remove { list, at, item },
            Self::Remove { list, at, item } => Self::Insert { list, at, item },
            Self::Move { list, item, from, to } => Self::Move { list, item, from: to, to: from },
            Self::Whole { before, after } => Self::Whole { before: after, after: before },
        }
    }

    /// Takes the step, or leaves the survey as it is.
    pub(super) fn apply(&self, survey: &mut Survey) -> Result<(), Refused> {
        match self {
            Self::Set { item, twin, field, before, after } => {
                let place = Place::find(survey, item).ok_or_else(|| Refused::no_item(item))?;
                let place = if *twin { place.twin(survey) } else { Some(place) };
                set(survey, place.ok_or_else(Refused::changed)?, field, before, after)
            }
            Self::Insert { list, at, item } => on_list(survey, list, &Step::Insert(*at, item)),
            Self::Remove { list, at, item } => on_list(survey, list, &Step::Remove(*at, item)),
            Self::Whole { before, after } => whole(survey, before, after),
            Self::Move { list, from, to, .. } => on_list(survey, list, &Step::Move(*from, *to)),
        }
    }

    /// Whether it changes nothing but facts, or doubtful entries, of one item.
    pub(super) fn is_of_facts(&self, survey: &Survey) -> bool {
        match self {
            Self::Set { item, twin, field, .. } => {
                let place = Place::find(survey, item);
                let place = if *twin { place.and_then(|place| place.twin(survey)) } else { place };
                place.is_some_and(|place| is_plain_fact(place, field))
            }
            Self::Insert { list, .. } | Self::Remove { list, .. } => *list == List::InDoubt,
            Self::Move { .. } | Self::Whole { .. } => false,
        }
    }

    /// The item that it changes.
    pub(super) fn item(&self) -> Option<Id> {
        match self {
            Self::Set { item, .. } | Self::Move { item, .. } => Some(item.clone()),
            Self::Whole { .. } => None,
            Self::Insert { item, .. } | Self::Remove { item, .. } => {
                let id = item.get("id").or_else(|| item.get("on"))?;
                Id::new(id.as_str()?)
            }
        }
    }
}

/// The whole survey changes only if it is exactly the one that the step starts from.
fn whole(survey: &mut Survey, before: &Value, after: &Value) -> Result<(), Refused> {
    if serde_json::to_value(&*survey).ok().as_ref() != Some(before) {
        return Err(Refused::changed());
    }
    *survey = serde_json::from_value(after.clone()).map_err(|error| Refused::unfit(error.to_string()))?;
    Ok(())
}

fn set(survey: &mut Survey, place: Place, field: &str, before: &Value, after: &Value) -> Result<(), Refused> {
    let is_list_of_items = field == "ways" && matches!(place, Place::Panel(_));
    if FIXED.contains(&field) || is_list_of_items {
        return Err(Refused::changed());
    }
    let record = place.record_mut(survey).ok_or_else(Refused::changed)?;
    if record.field(field).as_ref() != Some(before) {
        return Err(Refused::changed());
    }
    record.set_field(field, after).map_err(Refused::unfit)?;
    // What reads differently than it was written could not be taken back exactly.
    if record.field(field).as_ref() != Some(after) {
        record.set_field(field, before).map_err(Refused::unfit)?;
        return Err(Refused::changed());
    }
    Ok(())
}

enum Step<'a> {
    Insert(usize, &'a Value),
    Remove(usize, &'a Value),
    Move(usize, usize),
}

fn on_list(survey: &mut Survey, list: &List, step: &Step<'_>) -> Result<(), Refused> {
    match list {
        List::Supplies => step.take(&mut survey.supplies),
        List::Panels => step.take(&mut survey.panels),
        List::Runs => step.take(&mut survey.runs),
        List::Loads => step.take(&mut survey.loads),
        List::Transfers => step.take(&mut survey.transfers),
        List::Interlocks => step.take(&mut survey.interlocks),
        List::Inlets => step.take(&mut survey.inlets),
        List::Modes => step.take(&mut survey.modes),
        List::Electrodes => step.take(&mut survey.electrodes),
        List::Readings => step.take(&mut survey.readings),
        List::Photos => step.take(&mut survey.photos),
        List::Notes => step.take(&mut survey.notes),
        List::Signatures => step.take(&mut survey.signatures),
        List::InDoubt => step.take(&mut survey.in_doubt),
        List::Buses(id) => match Place::find(survey, id) {
            Some(Place::Panel(at)) => step.take(&mut survey.panels[at].buses),
            _ => Err(Refused::changed()),
        },
        List::Ways(id) => match Place::find(survey, id) {
            Some(Place::Panel(at)) => step.take(&mut survey.panels[at].ways),
            _ => Err(Refused::changed()),
        },
        List::Positions(id) => match Place::find(survey, id) {
            Some(Place::Transfer(at)) => step.take(&mut survey.transfers[at].positions),
            _ => Err(Refused::changed()),
        },
    }
}

impl Step<'_> {
    fn take<T: DeserializeOwned + Serialize>(&self, items: &mut Vec<T>) -> Result<(), Refused> {
        match *self {
            Self::Insert(at, item) => {
                if at > items.len() {
                    return Err(Refused::changed());
                }
                let read = T::deserialize(item).map_err(|error| Refused::unfit(error.to_string()))?;
                if !is_written_as(&read, item) {
                    return Err(Refused::changed());
                }
                items.insert(at, read);
            }
            Self::Remove(at, item) => {
                if !items.get(at).is_some_and(|there| is_written_as(there, item)) {
                    return Err(Refused::changed());
                }
                items.remove(at);
            }
            Self::Move(from, to) => {
                if from >= items.len() || to >= items.len() {
                    return Err(Refused::changed());
                }
                let item = items.remove(from);
                items.insert(to, item);
            }
        }
        Ok(())
    }
}

fn is_written_as<T: Serialize>(item: &T, written: &Value) -> bool {
    serde_json::to_value(item).is_ok_and(|value| value == *written)
}
