//! What can be entered at an item, with what stands there now.

use serde_json::Value;

use super::capital;
use super::set::{entry_text, words};
use super::told::Name;
use crate::house::{Index, describe};
use crate::survey::form::{Enterable, Form};
use crate::survey::layout::{Holds, Slot, Takes, Target, slots};
use crate::survey::picks::usual_at;
use crate::survey::place::Place;
use crate::survey::quantity::EnteredTime;
use crate::survey::questions::Question;
use crate::survey::{CANNOT_BE_SEEN, Id, ItemKind, Survey};

/// What stands in a field.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum State {
    /// Nobody has looked yet, or nothing is written.
    NotSeen,
    /// Somebody looked and it cannot be seen.
    CannotBeSeen,
    /// A value.
    Known,
    /// What was entered could not be read; one sentence says what is wrong.
    InDoubt(String),
}

/// One thing that can be entered at an item.
#[derive(Debug, Clone, PartialEq)]
pub struct Field {
    /// Its name, for [`set`](super::set): `size`, `device.rating`, `surges.0.power`.
    pub name: String,
    /// Its label: `conductor size`.
    pub label: &'static str,
    /// What kind of entry it takes.
    pub form: Form,
    /// What stands there.
    pub state: State,
    /// The text to start editing from; empty when nothing stands there.
    pub entry: String,
    /// What stands there, in words.
    pub words: String,
    /// What is asked about it, where it is asked.
    pub question: Option<&'static Question>,
    /// Whether it is a fact: it may be `cannot be seen`, and an entry that cannot be read is kept.
    pub is_fact: bool,
    /// Whether the item cannot be without it.
    pub is_required: bool,
}

/// Everything that can be entered at an item, in the order in which a person meets it; nothing for
/// an unknown id. Of a panel and its bus section with one id, both.
#[must_use]
pub fn fields(survey: &Survey, item: &Id) -> Vec<Field> {
    let Some(place) = Place::find(survey, item) else { return Vec::new() };
    let mut fields = fields_at(survey, item, place);
    if let Some(twin) = place.twin(survey) {
        for field in fields_at(survey, item, twin) {
            if !fields.iter().any(|own| own.name == field.name) {
                fields.push(field);
            }
        }
    }
    fields
}

fn fields_at(survey: &Survey, item: &Id, place: Place) -> Vec<Field> {
    let slots = slots(survey, place);
    let fields = slots.iter().filter_map(|slot| field(survey, item, place, slot));
    fields.filter(|field| !has_no_meaning(survey, place, field)).collect()
}

/// A single set of conductors is like no other one. What was entered all the same can be seen and cleared.
fn has_no_meaning(survey: &Survey, place: Place, field: &Field) -> bool {
    let Place::Run(run) = place else { return false };
    field.name == "parallel_sets_alike"
        && field.state == State::NotSeen
        && survey.runs.get(run).is_some_and(|run| run.parallel_sets.get() == Some(1))
}

fn field(survey: &Survey, item: &Id, place: Place, slot: &Slot) -> Option<Field> {
    let name = slot.name();
    let inside = place.record(survey)?.field(slot.top)?;
    let value = slot.value_in(&inside);
    let doubt = survey.in_doubt.iter().find(|doubt| doubt.on == *item && doubt.fact == name);
    let (state, entry, words) = match doubt {
        Some(doubt) => {
            (State::InDoubt(what_is_wrong(slot, &doubt.text)), doubt.text.clone(), doubt.text.clone())
        }
        None => (state_of(slot, value), entry_text(slot, value), words(survey, slot, value)),
    };
    let is_required = matches!(slot.holds, Holds::Plain(plain) if plain.required);
    Some(Field {
        name: name.into_owned(),
        label: slot.label(place.kind()),
        form: form(survey, item, place, slot),
        state,
        entry,
        words,
        question: slot.question(place.kind()),
        is_fact: slot.is_fact(),
        is_required,
    })
}

fn state_of(slot: &Slot, value: &Value) -> State {
    let is_empty = match value {
        Value::Null => true,
        Value::String(text) => text.is_empty(),
        Value::Array(values) => values.is_empty(),
        Value::Bool(_) | Value::Number(_) | Value::Object(_) => false,
    };
    match value {
        _ if is_empty => State::NotSeen,
        Value::String(text) if slot.is_fact() && text == CANNOT_BE_SEEN => State::CannotBeSeen,
        _ => State::Known,
    }
}

/// One sentence on a doubtful entry.
fn what_is_wrong(slot: &Slot, text: &str) -> String {
    if text.is_empty() {
        return "It has not been said yet what it is.".to_owned();
    }
    match slot.read(text) {
        Err(reason) => format!("{}.", capital(&reason)),
        Ok(_) => "This entry waits to be confirmed: enter it again.".to_owned(),
    }
}

fn form(survey: &Survey, item: &Id, place: Place, slot: &Slot) -> Form {
    narrowed(form_of_type(survey, item, place, slot), place.kind(), slot)
}

/// The form with the picks of this field, where it has its own: a breaker's rating and an interrupting
/// rating are both currents.
fn narrowed(form: Form, kind: ItemKind, slot: &Slot) -> Form {
    let own = match form {
        Form::Quantity { .. } | Form::Size { .. } => usual_at(kind, &slot.asked_as()),
        _ => None,
    };
    match (form, own) {
        (Form::Quantity { units, .. }, Some(usual)) => Form::Quantity { units, usual },
        (Form::Size { units, .. }, Some(usual)) => Form::Size { units, usual },
        (form, _) => form,
    }
}

fn form_of_type(survey: &Survey, item: &Id, place: Place, slot: &Slot) -> Form {
    match slot.holds {
        Holds::Fact(entry) => (entry.form)(),
        Holds::Plain(plain) => match plain.takes {
            Takes::Name => Form::Text { longest: crate::survey::LONGEST_NAME },
            Takes::Text(longest) => Form::Text { longest },
            Takes::Typed(form, _) => form(),
            Takes::Day => Form::Day,
            Takes::Moment => Form::Moment,
            Takes::Spaces => Form::Spaces,
            Takes::Months => match EnteredTime::form() {
                Form::Quantity { units, .. } => Form::Months { units },
                _ => Form::Months { units: &[] },
            },
            Takes::Stands => Form::Text { longest: crate::survey::LONGEST_TEXT },
            Takes::Present => Form::YesNo,
            Takes::One(target) => Form::One(targets(survey, item, place, target)),
            Takes::Many(target) => Form::Many(targets(survey, item, place, target)),
        },
    }
}

/// What a reference of an item may name, by id and name, in the order of the file.
fn targets(survey: &Survey, item: &Id, place: Place, target: Target) -> Vec<(Id, String)> {
    let panel = match place {
        Place::Way(panel, _) | Place::Bus(panel, _) => survey.panels.get(panel),
        _ => None,
    };
    let is_wanted = |id: &Id, kind: ItemKind| match target {
        Target::WayOfPanel => panel.is_some_and(|panel| panel.ways.iter().any(|way| way.id == *id)),
        Target::BusOfPanel => panel.is_some_and(|panel| panel.buses.iter().any(|bus| bus.id == *id)),
        Target::Kinds(kinds) => kinds.contains(&kind),
        Target::Any => true,
    };
    let index = Index::of(survey);
    let name = |(id, place): (Id, Place)| {
        let name = match place.kind() {
            ItemKind::Record | ItemKind::Site => Name::of(survey, place, &id).said().to_string(),
            _ => describe(survey, &index, &id).1,
        };
        (id, name)
    };
    let all = Place::all(survey).into_iter();
    all.filter(|(id, place)| id != item && is_wanted(id, place.kind())).map(name).collect()
}
