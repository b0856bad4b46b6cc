//! What the file says about itself: bookmarks, title, dates and a name made from its content.

use chrono::{DateTime, FixedOffset};
use lopdf::{Dictionary, Document as File, Object, ObjectId, StringFormat, dictionary, text_string};
use sha2::{Digest, Sha256};

use super::laid::{Laid, LaidHeading};
use super::layout::PaperError;
use super::pdf::Meta;

/// Bytes of a file's name; ISO 32000-1, 14.4 suggests a digest of 16.
const NAME_BYTES: usize = 16;

/// Puts bookmarks, title and dates into the file.
pub(super) fn finish(file: &mut File, laid: &Laid, meta: &Meta) -> Result<(), PaperError> {
    file.version = "1.7".to_owned();
    own_annotations(file);
    let outline = outline(file, laid);
    let root = reference(file, b"Root")?;
    let catalog = file
        .get_object_mut(root)
        .and_then(Object::as_dict_mut)
        .map_err(|error| PaperError::Write(error.to_string()))?;
    catalog.set("Lang", text_string(&meta.language));
    catalog.set("ViewerPreferences", dictionary! { "DisplayDocTitle" => true });
    if let Some(outline) = outline {
        catalog.set("Outlines", outline);
        catalog.set("PageMode", "UseOutlines");
    }
    let info = reference(file, b"Info")?;
    file.objects.insert(info, Object::Dictionary(info_of(meta)));
    let blank = Object::String(vec![0; NAME_BYTES], StringFormat::Hexadecimal);
    file.trailer.set("ID", vec![blank.clone(), blank]);
    Ok(())
}

/// Each link becomes an object of its own, as ISO 32000-1, 7.7.3.3 asks.
fn own_annotations(file: &mut File) {
    for page in file.get_pages().into_values() {
        let links = file.get_dictionary_mut(page).ok().and_then(|page| page.remove(b"Annots"));
        let Some(Object::Array(links)) = links else {
            continue;
        };
        if links.is_empty() {
            continue;
        }
        let own: Vec<Object> =
            links.into_iter().map(|link| Object::Reference(file.add_object(link))).collect();
        if let Ok(page) = file.get_dictionary_mut(page) {
            page.set("Annots", own);
        }
    }
}

pub(super) fn reference(file: &File, key: &[u8]) -> Result<ObjectId, PaperError> {
    file.trailer.get(key).and_then(Object::as_reference).map_err(|error| PaperError::Write(error.to_string()))
}

/// Only what we know; no standard is claimed that no validator has confirmed.
fn info_of(meta: &Meta) -> Dictionary {
    dictionary! {
        "Title" => text_string(&meta.title),
        "Author" => text_string(&meta.author),
        "Subject" => text_string(&meta.subject),
        "Creator" => text_string(&meta.creator),
        "Producer" => text_string(&meta.creator),
        "CreationDate" => Object::string_literal(pdf_date(meta.created)),
        "ModDate" => Object::string_literal(pdf_date(meta.modified)),
    }
}

/// A date as in ISO 32000-1, 7.9.4: `D:20260131093000-05'00'`.
pub(super) fn pdf_date(time: DateTime<FixedOffset>) -> String {
    let minutes = time.offset().local_minus_utc() / 60;
    let sign = if minutes < 0 { '-' } else { '+' };
    let minutes = minutes.abs();
    let stamp = time.format("D:%Y%m%d%H%M%S");
    format!("{stamp}{sign}{:02}'{:02}'", minutes / 60, minutes % 60)
}

/// Bookmarks in the order of the text, each below the last one of a higher level.
fn outline(file: &mut File, laid: &Laid) -> Option<Object> {
    if laid.headings.is_empty() {
        return None;
    }
    let pages = file.get_pages();
    let root = file.new_object_id();
    let ids: Vec<ObjectId> = laid.headings.iter().map(|_| file.new_object_id()).collect();
    let parents = parents(&laid.headings);
    for (index, heading) in laid.headings.iter().enumerate() {
        let id = ids.get(index)?;
        let mut entry = dictionary! { "Title" => text_string(&heading.text) };
        let number = u32::try_from(heading.place.page).ok()?;
        let page = pages.get(&number)?;
        let height = laid.pages.get(heading.place.page - 1)?.height;
        let top = (height - heading.place.y).0.round() as i64 + 6;
        let parent = parents.get(index).copied().flatten();
        let above = parent.and_then(|parent| ids.get(parent)).unwrap_or(&root);
        entry.set("Parent", *above);
        entry.set("Dest", vec![Object::from(*page), "XYZ".into(), Object::Null, top.into(), Object::Null]);
        set_neighbours(&mut entry, &parents, parent, index, &ids);
        set_children(&mut entry, &children(&parents, Some(index)), &ids, false);
        file.objects.insert(*id, Object::Dictionary(entry));
    }
    let mut top = dictionary! { "Type" => "Outlines" };
    set_children(&mut top, &children(&parents, None), &ids, true);
    file.objects.insert(root, Object::Dictionary(top));
    Some(Object::Reference(root))
}

/// For each heading the nearest one before it of a higher level.
fn parents(headings: &[LaidHeading]) -> Vec<Option<usize>> {
    let above = |(index, heading): (usize, &LaidHeading)| {
        let before = headings.get(..index).unwrap_or_default();
        before.iter().rposition(|other| other.level < heading.level)
    };
    headings.iter().enumerate().map(above).collect()
}

fn children(parents: &[Option<usize>], parent: Option<usize>) -> Vec<usize> {
    let own = |(_, above): &(usize, &Option<usize>)| **above == parent;
    let list = parents.iter().enumerate().filter(own);
    list.map(|(index, _)| index).collect()
}

fn set_neighbours(
    entry: &mut Dictionary,
    parents: &[Option<usize>],
    parent: Option<usize>,
    index: usize,
    ids: &[ObjectId],
) {
    let siblings = children(parents, parent);
    let before = siblings.iter().rev().find(|other| **other < index);
    let after = siblings.iter().find(|other| **other > index);
    for (key, other) in [("Prev", before), ("Next", after)] {
        if let Some(id) = other.and_then(|other| ids.get(*other)) {
            entry.set(key, *id);
        }
    }
}

/// First and last child and their count, negative where the branch is shown closed.
fn set_children(entry: &mut Dictionary, own: &[usize], ids: &[ObjectId], open: bool) {
    let ends = own.first().zip(own.last());
    let ends = ends.and_then(|(first, last)| Some((ids.get(*first)?, ids.get(*last)?)));
    let Some((first, last)) = ends else { return };
    let count = i64::try_from(own.len()).unwrap_or(i64::MAX);
    entry.set("First", *first);
    entry.set("Last", *last);
    entry.set("Count", if open { count } else { -count });
}

/// Gives the file a name made from its content, in place of the blank one at its end.
pub(super) fn seal(bytes: &mut [u8]) -> Result<(), PaperError> {
    let name = name_of(bytes);
    if put(bytes, &blank(), &name) == 2 {
        return Ok(());
    }
    Err(PaperError::Write("the file has no place for its name".to_owned()))
}

/// Whether a file still is what [`write`](super::write) made: its name is that of its content.
/// `None` when it bears no such name. Any byte changed, added or lost breaks it.
#[must_use]
pub fn is_as_written(bytes: &[u8]) -> Option<bool> {
    let file = File::load_mem(bytes).ok()?;
    let Object::Array(names) = file.trailer.get(b"ID").ok()? else { return None };
    let name = names.first()?.as_str().ok()?;
    if name.len() != NAME_BYTES {
        return None;
    }
    let name: String = name.iter().map(|byte| format!("{byte:02X}")).collect();
    let mut unnamed = bytes.to_vec();
    let places = put(&mut unnamed, &name, &blank());
    Some(places == 2 && name_of(&unnamed) == name)
}

fn blank() -> String {
    "0".repeat(NAME_BYTES * 2)
}

fn name_of(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().take(NAME_BYTES).map(|byte| format!("{byte:02X}")).collect()
}

/// Puts `new` in each place of `old`, a text of the same length, behind the last cross references.
fn put(bytes: &mut [u8], old: &str, new: &str) -> usize {
    let mut places = 0;
    let mut from = last_trailer(bytes);
    while let Some(at) = find(bytes, old.as_bytes(), from) {
        if let Some(place) = bytes.get_mut(at..at + new.len()) {
            place.copy_from_slice(new.as_bytes());
        }
        places += 1;
        from = at + new.len();
    }
    places
}

/// Where the last cross references begin, in whose dictionary the name stands: the file ends with the number of
/// that byte (ISO 32000-1, 7.5.5). Without it the whole file is looked through.
fn last_trailer(bytes: &[u8]) -> usize {
    let mark = b"startxref";
    let number = || {
        let at = bytes.windows(mark.len()).rposition(|window| window == mark)?;
        let digits = bytes.get(at + mark.len()..)?.trim_ascii_start();
        let end = digits.iter().position(|byte| !byte.is_ascii_digit()).unwrap_or(digits.len());
        std::str::from_utf8(digits.get(..end)?).ok()?.parse().ok()
    };
    number().filter(|at| *at < bytes.len()).unwrap_or(0)
}

fn find(bytes: &[u8], wanted: &[u8], from: usize) -> Option<usize> {
    let rest = bytes.get(from..)?;
    let at = rest.windows(wanted.len()).position(|window| window == wanted)?;
    Some(from + at)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_date_carries_its_offset() {
        let time = DateTime::parse_from_rfc3339("2026-01-31T09:30:00-05:30").unwrap();
        assert_eq!(pdf_date(time), "D:20260131093000-05'30'");
    }
}
