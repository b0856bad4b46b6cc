//! Entering a value, as a person types it.

use serde_json::{Map, Value};

use super::change::{Change, List};
use super::told::{Name, Told};
use super::{Edit, Refused};
use crate::say;
use crate::survey::layout::{Holds, Plain, Slot, Takes, slot};
use crate::survey::place::Place;
use crate::survey::{CANNOT_BE_SEEN, Doubt, Id, LONGEST_ENTRY, Survey};

use super::draft::Draft;

/// Enters a value: `45 ft`, `20 A`, `cannot be seen`; an empty entry is not seen.
///
/// A fact that cannot be read is kept as a doubtful entry, and the fact itself is not seen then. The
/// names of fields are those of [`fields`](super::fields); a fact is also found by the name that
/// [`Missing`](crate::finding::Missing) gives it.
///
/// # Errors
/// When there is no such item or field, or a field that is no fact (a name, a reference, a kind)
/// cannot be read, or the survey could not be opened again with it.
pub fn set(survey: &Survey, item: &Id, field: &str, entry: &str) -> Result<Edit, Refused> {
    let mut changes = Vec::new();
    let mut told = None;
    for (place, slot) in slots_of(survey, item, field)? {
        let entered = Entered::new(survey, item, place, &slot, entry)?;
        told.get_or_insert_with(|| entered.told(survey));
        changes.extend(entered.changes);
    }
    let told = told.ok_or_else(|| Refused::no_item(item))?;
    Ok(Edit { told, changes })
}

/// Enters several values as one edit.
///
/// # Errors
/// As [`set`], for the first that cannot be entered; nothing is entered then.
pub fn set_many(survey: &Survey, entries: &[(Id, &str, &str)]) -> Result<Edit, Refused> {
    let mut draft = Draft::new(survey);
    let mut told = Vec::new();
    for (item, field, entry) in entries {
        let edit = set(&draft.survey, item, field, entry)?;
        if !edit.is_empty() {
            edit.changes.into_iter().try_for_each(|change| draft.make(change))?;
            told.push(edit.told);
        }
    }
    let more = told.len().saturating_sub(1);
    let first = told.into_iter().next().unwrap_or(Told::Moved { item: Name::House, by: 0 });
    draft.done(Told::SetMany { first: Box::new(first), more })
}

/// Where a field of an item is kept. Of a panel and its bus section with one id: the one that has
/// the field, or both where it is a fact of both.
pub(super) fn slots_of(survey: &Survey, item: &Id, field: &str) -> Result<Vec<(Place, Slot)>, Refused> {
    let place = Place::find(survey, item).ok_or_else(|| Refused::no_item(item))?;
    let own = slot(survey, place, field).map(|slot| (place, slot));
    let twin = place.twin(survey).and_then(|twin| Some((twin, slot(survey, twin, field)?)));
    let twin = twin.filter(|(_, slot)| own.is_none() || slot.is_fact());
    let found: Vec<_> = own.into_iter().chain(twin).collect();
    if found.is_empty() {
        return Err(Refused(say!(
            "There is no entry \"{}\" at a {}.",
            field.to_owned(),
            place.kind().words()
        )));
    }
    Ok(found)
}

/// One entry with what it changes.
struct Entered<'a> {
    item: &'a Id,
    place: Place,
    slot: &'a Slot,
    before: String,
    after: String,
    changes: Vec<Change>,
}

impl<'a> Entered<'a> {
    fn new(
        survey: &Survey,
        item: &'a Id,
        place: Place,
        slot: &'a Slot,
        entry: &str,
    ) -> Result<Self, Refused> {
        let record = place.record(survey).ok_or_else(Refused::changed)?;
        let field = record.field(slot.top).ok_or_else(Refused::changed)?;
        let text = entry.trim();
        let before = standing(survey, item, slot, &field);
        let (changed, doubt) = match removes_line(slot, text) {
            true => (put(field.clone(), slot, None), None),
            false => {
                let (value, doubt) = read(slot, text)?;
                (put(field.clone(), slot, Some(value)), doubt)
            }
        };
        let after = match doubt {
            Some(text) => in_doubt(text),
            None => words(survey, slot, slot.value_in(&changed)),
        };
        let mut changes = Vec::new();
        if changed != field {
            let twin = matches!(place, Place::Bus(..)) && Place::find(survey, item) != Some(place);
            let (item, name) = (item.clone(), slot.top.to_owned());
            changes.push(Change::Set { item, twin, field: name, before: field, after: changed.clone() });
        }
        let gone = if removes_line(slot, text) { slot.line() } else { None };
        changes.extend(doubts(survey, item, slot, doubt, (&changed, gone))?);
        Ok(Self { item, place, slot, before, after, changes })
    }

    fn told(&self, survey: &Survey) -> Told {
        let label = self.slot.label(self.place.kind()).to_owned();
        let at = Name::of(survey, self.place, self.item);
        Told::Set { at, label, after: self.after.clone(), before: self.before.clone() }
    }
}

/// Whether the entry takes a line of a list away: what the line must have was emptied.
fn removes_line(slot: &Slot, text: &str) -> bool {
    slot.line().is_some() && !slot.is_fact() && text.is_empty()
}

/// The value as the file writes it, and the text if it is in doubt.
fn read<'a>(slot: &Slot, text: &'a str) -> Result<(Value, Option<&'a str>), Refused> {
    match slot.read(text) {
        Ok(value) => Ok((value, None)),
        Err(_) if slot.is_fact() => {
            let length = text.chars().count();
            if length > LONGEST_ENTRY {
                return Err(Refused(say!(
                    "This entry has {} characters; shorten it to {}.",
                    length,
                    LONGEST_ENTRY
                )));
            }
            Ok((Value::Null, Some(text)))
        }
        Err(reason) => Err(Refused::sentence(&reason)),
    }
}

/// The field of the record with another value in the slot; `None` takes the line away.
fn put(mut field: Value, slot: &Slot, value: Option<Value>) -> Value {
    use crate::survey::layout::Within;
    match slot.within {
        Within::Own => match (slot.holds, value) {
            (Holds::Plain(Plain { takes: Takes::Present, .. }), Some(present)) => match present {
                Value::Bool(true) if field.is_null() => Value::Object(Map::new()),
                Value::Bool(true) => field,
                _ => Value::Null,
            },
            (_, value) => value.unwrap_or_default(),
        },
        Within::Inside(key) => {
            let value = value.unwrap_or_default();
            if field.is_null() && !value.is_null() {
                field = Value::Object(Map::new());
            }
            put_key(&mut field, key, value);
            field
        }
        Within::Line(line, key) => {
            if let Value::Array(lines) = &mut field {
                match value {
                    Some(value) => {
                        if line == lines.len() {
                            lines.push(Value::Object(Map::new()));
                        }
                        if let Some(line) = lines.get_mut(line) {
                            put_key(line, key, value);
                        }
                    }
                    None if line < lines.len() => {
                        lines.remove(line);
                    }
                    None => {}
                }
            }
            field
        }
    }
}

/// A fact that is not seen is left out.
fn put_key(record: &mut Value, key: &str, value: Value) {
    if let Value::Object(fields) = record {
        match value {
            Value::Null => fields.remove(key),
            value => fields.insert(key.to_owned(), value),
        };
    }
}

/// What the entry changes among the doubtful entries.
fn doubts(
    survey: &Survey,
    item: &Id,
    slot: &Slot,
    text: Option<&str>,
    (changed, gone): (&Value, Option<usize>),
) -> Result<Vec<Change>, Refused> {
    let name = slot.name();
    let wanted = text.map(|text| Doubt { on: item.clone(), fact: name.to_string(), text: text.to_owned() });
    let mut changes = Vec::new();
    // From the end, so that places stay right.
    for (at, doubt) in survey.in_doubt.iter().enumerate().rev().filter(|(_, doubt)| doubt.on == *item) {
        let stays = match moved(slot, doubt, changed, gone) {
            Moved::Stays => continue,
            Moved::Goes => None,
            Moved::To(fact) => Some(Doubt { fact, ..doubt.clone() }),
        };
        let stays = if doubt.fact == name { wanted.clone() } else { stays };
        if stays.as_ref() == Some(doubt) {
            continue;
        }
        changes.push(Change::Remove { list: List::InDoubt, at, item: written(doubt)? });
        if let Some(doubt) = stays {
            changes.push(Change::Insert { list: List::InDoubt, at, item: written(&doubt)? });
        }
    }
    let was = survey.in_doubt.iter().any(|doubt| doubt.on == *item && doubt.fact == name);
    if let Some(doubt) = wanted.filter(|_| !was) {
        let at = survey.in_doubt.len();
        changes.push(Change::Insert { list: List::InDoubt, at, item: written(&doubt)? });
    }
    Ok(changes)
}

fn written(doubt: &Doubt) -> Result<Value, Refused> {
    serde_json::to_value(doubt).map_err(|error| Refused::unfit(error.to_string()))
}

enum Moved {
    Stays,
    Goes,
    To(String),
}

/// What becomes of another doubtful entry of the same item.
fn moved(slot: &Slot, doubt: &Doubt, changed: &Value, gone: Option<usize>) -> Moved {
    if doubt.fact == slot.name() {
        return Moved::Goes;
    }
    let Some(inside) = doubt.fact.strip_prefix(slot.top).and_then(|rest| rest.strip_prefix('.')) else {
        return Moved::Stays;
    };
    if changed.is_null() {
        // The record inside was taken away as a whole.
        return Moved::Goes;
    }
    let (Some(line), Some((number, fact))) = (gone, inside.split_once('.')) else { return Moved::Stays };
    match number.parse::<usize>() {
        Ok(number) if number == line => Moved::Goes,
        Ok(number) if number > line => Moved::To(format!("{}.{}.{fact}", slot.top, number - 1)),
        _ => Moved::Stays,
    }
}

/// The words of what stands in a slot now, a doubtful entry included.
fn standing(survey: &Survey, item: &Id, slot: &Slot, field: &Value) -> String {
    let name = slot.name();
    match survey.in_doubt.iter().find(|doubt| doubt.on == *item && doubt.fact == name) {
        Some(doubt) => in_doubt(&doubt.text),
        None => words(survey, slot, slot.value_in(field)),
    }
}

fn in_doubt(text: &str) -> String {
    if text.is_empty() { "not said yet".to_owned() } else { format!("\"{text}\" (in doubt)") }
}

/// A value in words.
pub(super) fn words(survey: &Survey, slot: &Slot, value: &Value) -> String {
    let text = entry_text(slot, value);
    match slot.holds {
        Holds::Fact(_) if value.is_null() => "not seen".to_owned(),
        Holds::Plain(Plain { takes: Takes::Present | Takes::Typed(..), .. }) if text.is_empty() => {
            "none".to_owned()
        }
        Holds::Plain(Plain { takes: Takes::One(_) | Takes::Many(_), .. }) if !text.is_empty() => {
            let ids = text.split(", ").filter_map(Id::new);
            let name = |id: Id| match Place::find(survey, &id) {
                Some(place) => Name::of(survey, place, &id).said().to_string(),
                None => id.to_string(),
            };
            ids.map(name).collect::<Vec<_>>().join(", ")
        }
        _ if text.is_empty() => "none".to_owned(),
        _ if text == CANNOT_BE_SEEN => text,
        _ => slot
            .picks()
            .and_then(|picks| picks.iter().find(|(file, _)| *file == text))
            .map_or(text, |(_, words)| (*words).to_owned()),
    }
}

/// A value as a person would type it.
pub(super) fn entry_text(slot: &Slot, value: &Value) -> String {
    let joint = match slot.holds {
        Holds::Plain(Plain { takes: Takes::Spaces, .. }) => "-",
        Holds::Plain(Plain { takes: Takes::Stands, .. }) => return stands_text(value),
        _ => ", ",
    };
    match value {
        Value::Null => String::new(),
        Value::Bool(yes) => if *yes { "yes" } else { "no" }.to_owned(),
        Value::Number(number) => number.to_string(),
        Value::String(text) => text.clone(),
        Value::Array(values) => {
            values.iter().map(|value| entry_text(slot, value)).collect::<Vec<_>>().join(joint)
        }
        // A record inside is there.
        Value::Object(_) => "yes".to_owned(),
    }
}

/// How the devices of a mode stand: `P.1 closed, T.battery open`.
fn stands_text(value: &Value) -> String {
    let stand = |stand: &Value| Some(format!("{} {}", stand["device"].as_str()?, stand["state"].as_str()?));
    let stands = value.as_array().into_iter().flatten();
    stands.filter_map(stand).collect::<Vec<_>>().join(", ")
}
