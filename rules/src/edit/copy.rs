//! Copies of items.

use serde_json::Value;

use super::add::added;
use super::change::List;
use super::draft::Draft;
use super::{Edit, Refused, fresh};
use crate::say;
use crate::survey::place::Place;
use crate::survey::{Half, Id, Note, Panel, Photo, Survey, Way};

/// Copies an item and puts the copy behind it. Gives the edit and the id of the copy.
///
/// A way is copied with its device and its bus section; its number moves on to the next free space,
/// or to the lower half of the same space for the upper half of a tandem. What was seen at the way
/// itself (label, leg, wires, marks) is not copied. A panel or transfer switch is copied with what
/// lies in it, ways as they are; runs are not. Everything else is copied with all its facts, doubtful
/// entries included.
///
/// A photo is copied as another one of the same picture. What was noted at an item stays with it.
///
/// # Errors
/// When there is no such item, or it is the house or a signature.
pub fn copy(survey: &Survey, item: &Id) -> Result<(Edit, Id), Refused> {
    let (draft, id) = draft_of(survey, item)?;
    added(draft, id)
}

/// The same with the remarks and photos of the item. A reading was taken at one place and stays there.
///
/// # Errors
/// As for [`copy`].
pub fn copy_with_records(survey: &Survey, item: &Id) -> Result<(Edit, Id), Refused> {
    let (mut draft, id) = draft_of(survey, item)?;
    for note in survey.notes.iter().filter(|note| note.on.as_ref() == Some(item)) {
        let copy = Note { id: fresh::id(&draft.survey, "N"), on: Some(id.clone()), ..note.clone() };
        let end = draft.survey.notes.len();
        draft.insert(List::Notes, end, &copy)?;
    }
    for photo in survey.photos.iter().filter(|photo| photo.of == *item) {
        let copy = Photo { id: fresh::id(&draft.survey, "F"), of: id.clone(), ..photo.clone() };
        let end = draft.survey.photos.len();
        draft.insert(List::Photos, end, &copy)?;
    }
    added(draft, id)
}

fn draft_of(survey: &Survey, item: &Id) -> Result<(Draft, Id), Refused> {
    let place = Place::find(survey, item).ok_or_else(|| Refused::no_item(item))?;
    if matches!(place, Place::Site | Place::Signature(_)) {
        return Err(Refused(say!("A {} cannot be copied.", place.kind().words())));
    }
    let mut draft = Draft::new(survey);
    let (list, at) = List::of(survey, place).ok_or_else(Refused::changed)?;
    let mut value = list.item(survey, at).ok_or_else(Refused::changed)?;
    let mut ids = Vec::new();
    let id = fresh::id(survey, &prefix(survey, place));
    match place {
        Place::Way(panel, way) => value = way_copy(&survey.panels[panel], way),
        Place::Panel(_) => ids = inner_ids(&mut value, &["buses", "ways"], item, &id),
        Place::Transfer(_) => ids = inner_ids(&mut value, &["positions"], item, &id),
        _ => {}
    }
    value["id"] = id.as_str().into();
    if let Some(name) = value.get("name").and_then(Value::as_str).filter(|name| !name.is_empty()) {
        value["name"] = next_name(survey, place, name).into();
    }
    draft.insert(list, at + 1, &value)?;
    ids.push((item.clone(), id.clone()));
    // Of a way only the device is copied.
    let is_copied = |fact: &str| !matches!(place, Place::Way(..)) || fact.starts_with("device.");
    for doubt in survey.in_doubt.iter().filter(|doubt| is_copied(&doubt.fact)) {
        if let Some((_, copy)) = ids.iter().find(|(original, _)| *original == doubt.on) {
            draft.doubt(copy, &doubt.fact, &doubt.text)?;
        }
    }
    Ok((draft, id))
}

/// What ids of such items begin with.
pub(super) fn prefix(survey: &Survey, place: Place) -> String {
    match place {
        Place::Supply(_) => "S".to_owned(),
        Place::Panel(_) => "P".to_owned(),
        Place::Bus(panel, _) => format!("{}.bus", survey.panels[panel].id),
        Place::Way(panel, _) => format!("{}.", survey.panels[panel].id),
        Place::Run(_) => "R".to_owned(),
        Place::Load(_) => "L".to_owned(),
        Place::Transfer(_) => "T".to_owned(),
        Place::Position(transfer, _) => format!("{}.", survey.transfers[transfer].id),
        Place::Interlock(_) => "K".to_owned(),
        Place::Inlet(_) => "I".to_owned(),
        Place::Mode(_) => "mode".to_owned(),
        Place::Electrode(_) => "E".to_owned(),
        Place::Reading(_) => "M".to_owned(),
        Place::Photo(_) => "F".to_owned(),
        Place::Note(_) => "N".to_owned(),
        Place::Signature(_) => "Z".to_owned(),
        Place::Site => String::new(),
    }
}

pub(super) fn way_copy(panel: &Panel, way: usize) -> Value {
    let original = &panel.ways[way];
    let mut copy = Way {
        half: None,
        label: String::new(),
        spaces: Vec::new(),
        leg: crate::survey::Fact::NotSeen,
        wires_on_terminal: crate::survey::Fact::NotSeen,
        handles_tied: crate::survey::Fact::NotSeen,
        bus_end: crate::survey::Fact::NotSeen,
        marks: crate::survey::Fact::NotSeen,
        held_by_fastener: crate::survey::Fact::NotSeen,
        ..original.clone()
    };
    let has_lower = |way: &Way| way.spaces == original.spaces && way.half == Some(Half::Lower);
    if original.half == Some(Half::Upper) && !panel.ways.iter().any(has_lower) {
        copy.spaces.clone_from(&original.spaces);
        copy.half = Some(Half::Lower);
    } else {
        let taken: Vec<u16> = panel.ways.iter().flat_map(|way| way.spaces.iter().copied()).collect();
        copy.spaces = fresh::spaces(&taken, &original.spaces);
        copy.half = original.half.map(|_| Half::Upper);
    }
    serde_json::to_value(copy).unwrap_or_default()
}

/// Gives new ids to the items that lie in a copy, and to what names them there; the old with the new.
fn inner_ids(value: &mut Value, lists: &[&str], old: &Id, new: &Id) -> Vec<(Id, Id)> {
    let mut ids = Vec::new();
    for list in lists {
        for (number, item) in
            value.get_mut(*list).and_then(Value::as_array_mut).into_iter().flatten().enumerate()
        {
            let Some(original) = item.get("id").and_then(Value::as_str).and_then(Id::new) else { continue };
            let word = if *list == "buses" { "bus" } else { "" };
            let copy = if original == *old {
                Some(new.clone())
            } else {
                Id::new(&format!("{new}.{word}{}", number + 1))
            };
            let Some(copy) = copy else { continue };
            item["id"] = copy.as_str().into();
            ids.push((original, copy));
        }
    }
    for list in lists {
        for item in value.get_mut(*list).and_then(Value::as_array_mut).into_iter().flatten() {
            for field in ["bus", "fed_by"] {
                let named = item.get(field).and_then(Value::as_str).and_then(Id::new);
                let copy = named.and_then(|id| {
                    let inner =
                        ids.iter().find(|(original, _)| *original == id).map(|(_, copy)| copy.clone());
                    inner.or_else(|| (id == *old).then(|| new.clone()))
                });
                if let Some(copy) = copy {
                    item[field] = copy.as_str().into();
                }
            }
        }
    }
    ids
}

/// The name with a number that no item of the kind has: `Panel 2` after `Panel` or `Panel 1`.
fn next_name(survey: &Survey, place: Place, name: &str) -> String {
    let names: Vec<&str> = match place {
        Place::Supply(_) => survey.supplies.iter().map(|item| item.name.as_str()).collect(),
        Place::Panel(_) => survey.panels.iter().map(|item| item.name.as_str()).collect(),
        Place::Bus(panel, _) => survey.panels[panel].buses.iter().map(|item| item.name.as_str()).collect(),
        Place::Run(_) => survey.runs.iter().map(|item| item.name.as_str()).collect(),
        Place::Load(_) => survey.loads.iter().map(|item| item.name.as_str()).collect(),
        Place::Transfer(_) => survey.transfers.iter().map(|item| item.name.as_str()).collect(),
        Place::Position(transfer, _) => {
            survey.transfers[transfer].positions.iter().map(|item| item.name.as_str()).collect()
        }
        Place::Interlock(_) => survey.interlocks.iter().map(|item| item.name.as_str()).collect(),
        Place::Mode(_) => survey.modes.iter().map(|item| item.name.as_str()).collect(),
        Place::Inlet(_) => survey.inlets.iter().map(|item| item.name.as_str()).collect(),
        _ => Vec::new(),
    };
    let word = name.trim_end_matches(|c: char| c.is_ascii_digit()).trim_end();
    let word = if word.is_empty() { name } else { word };
    // Room for the number, so that the copy of the longest name can be saved.
    let word: String = word.chars().take(crate::survey::LONGEST_NAME - NUMBER_ROOM).collect();
    fresh::numbered(&word, 2, &names)
}

/// Characters kept free for a blank and a number.
const NUMBER_ROOM: usize = 8;
