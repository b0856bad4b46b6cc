//! Readings, photos, remarks and signatures. Moment and content are given: this crate knows no
//! clock and no file.

use chrono::{DateTime, FixedOffset};
use serde_json::{Value, json};

use super::add::added;
use super::change::List;
use super::draft::Draft;
use super::{Edit, Refused, fresh};
use crate::survey::{Id, Role, Survey};

/// Adds a reading at any item, `site` for the house, with what was measured: pairs of field and
/// entry (`("voltage", "243 V")`), as for [`set`](super::set). The surveyor took it until another is entered.
///
/// # Errors
/// When there is no such item or field, or the instrument's name is too long.
pub fn add_reading(
    survey: &Survey,
    at: &Id,
    when: DateTime<FixedOffset>,
    instrument: &str,
    entries: &[(&str, &str)],
) -> Result<(Edit, Id), Refused> {
    let mut draft = Draft::new(survey);
    let id = fresh::id(survey, "M");
    let mut reading = json!({ "id": id, "at": at, "when": when, "instrument": instrument.trim() });
    put(&mut reading, "taken_by", &survey.site.surveyor);
    draft.insert(List::Readings, survey.readings.len(), &reading)?;
    for (field, entry) in entries {
        let edit = super::set(&draft.survey, &id, field, entry)?;
        edit.changes.into_iter().try_for_each(|change| draft.make(change))?;
    }
    added(draft, id)
}

/// Adds a photo of any item, `site` for the house: the name of its file in the photo folder and a caption.
///
/// # Errors
/// When there is no such item, or a text is too long.
pub fn add_photo(survey: &Survey, of: &Id, file: &str, caption: &str) -> Result<(Edit, Id), Refused> {
    let id = fresh::id(survey, "F");
    let mut photo = json!({ "id": id, "of": of, "file": file });
    put(&mut photo, "caption", caption);
    put_last(survey, List::Photos, survey.photos.len(), &photo, id)
}

/// Adds a remark about an item, or about the whole house.
///
/// # Errors
/// When there is no such item, or the text is too long.
pub fn add_note(survey: &Survey, on: Option<&Id>, text: &str) -> Result<(Edit, Id), Refused> {
    let id = fresh::id(survey, "N");
    let mut note = json!({ "id": id, "text": text.trim() });
    if let Some(on) = on {
        note["on"] = on.as_str().into();
    }
    put_last(survey, List::Notes, survey.notes.len(), &note, id)
}

/// Adds a signature: who signs, as what, when, and the licence number of an electrician (empty: none).
///
/// # Errors
/// When a text is too long.
pub fn add_signature(
    survey: &Survey,
    name: &str,
    role: Role,
    when: DateTime<FixedOffset>,
    licence: &str,
) -> Result<(Edit, Id), Refused> {
    let id = fresh::id(survey, "Z");
    let mut signature = json!({ "id": id, "name": name.trim(), "role": role, "when": when });
    put(&mut signature, "licence", licence);
    put_last(survey, List::Signatures, survey.signatures.len(), &signature, id)
}

/// A text that is left out while it is empty.
fn put(record: &mut Value, field: &str, text: &str) {
    let text = text.trim();
    if !text.is_empty() {
        record[field] = text.into();
    }
}

fn put_last(survey: &Survey, list: List, at: usize, item: &Value, id: Id) -> Result<(Edit, Id), Refused> {
    let mut draft = Draft::new(survey);
    draft.insert(list, at, item)?;
    added(draft, id)
}
