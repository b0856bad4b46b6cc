//! Reads a survey file.

use std::fs::File;
use std::io::Read;
use std::marker::PhantomData;
use std::path::Path;

use deadfront_rules::say;
use deadfront_rules::survey::{Fault, PathPart, Survey, validate};
use serde::de::DeserializeSeed;
use serde_path_to_error::{Segment, Track};

use super::error::{Complaint, Doing, FileError, Place, plain};
use super::item::item_and_field;
use super::place::{Step, Trail, offset_in, offset_of, place_of};
use super::shape::Shape;
use super::{syntax, version, words};
use crate::sign::{is_pdf, survey_in};

/// Largest survey file that is read, in bytes.
pub const LARGEST: u64 = 64 * 1024 * 1024;

/// Reads the survey in a file: a survey file, or a PDF that carries one.
///
/// # Errors
/// [`FileError::System`] when the file cannot be read, [`FileError::Pdf`] when it is a PDF with no
/// survey, else as [`read_survey`]; the message names the file.
pub fn open(path: impl AsRef<Path>) -> Result<Survey, FileError> {
    let path = path.as_ref();
    let read = |bytes: Vec<u8>| {
        if is_pdf(&bytes) {
            let survey = survey_in(&bytes).map_err(|reason| FileError::Pdf { file: None, reason })?;
            return read_survey(&survey);
        }
        read_survey(&bytes)
    };
    bytes_of(path).and_then(read).map_err(|error| error.in_file(path))
}

/// The bytes of a file that holds a survey or a PDF.
///
/// # Errors
/// [`FileError::System`] when the file cannot be read, [`FileError::TooLarge`].
pub fn read_file(path: impl AsRef<Path>) -> Result<Vec<u8>, FileError> {
    let path = path.as_ref();
    bytes_of(path).map_err(|error| error.in_file(path))
}

/// A file past the limit is not read, and one that does not tell its size no further than that, so
/// that a wrong file does not fill the memory.
fn bytes_of(path: &Path) -> Result<Vec<u8>, FileError> {
    let refused = |reason| FileError::system(path, Doing::Reading, reason);
    let file = File::open(path).map_err(refused)?;
    let bytes = file.metadata().map_err(refused)?.len();
    if bytes > LARGEST {
        return Err(FileError::TooLarge { file: None, bytes });
    }
    let mut content = Vec::new();
    file.take(LARGEST + 1).read_to_end(&mut content).map_err(refused)?;
    Ok(content)
}

/// Reads a survey: UTF-8 with or without a byte order mark (RFC 8259, section 8.1, permits to
/// ignore one), any kind of line end.
///
/// # Errors
/// [`FileError::TooLarge`], or [`FileError::Broken`] with line, column, item and field of what is
/// wrong: the version first, then the JSON text, then the first value that does not fit, then all
/// ids, references and texts that do not fit each other.
pub fn read_survey(bytes: &[u8]) -> Result<Survey, FileError> {
    if bytes.len() as u64 > LARGEST {
        return Err(FileError::TooLarge { file: None, bytes: bytes.len() as u64 });
    }
    let text = text_of(bytes).map_err(FileError::one)?;
    check_version(text).map_err(FileError::one)?;
    let survey = tracked(text, PhantomData::<Survey>).map_err(FileError::one)?;
    tracked(text, Shape::FILE).map_err(FileError::one)?;
    let faults = validate(&survey);
    if faults.is_empty() { Ok(survey) } else { Err(FileError::many(&faults, |fault| misfit(text, fault))) }
}

/// The bytes as text, without a byte order mark.
fn text_of(bytes: &[u8]) -> Result<&str, Complaint> {
    const MARK: &[u8] = "\u{feff}".as_bytes();
    let (marked, bytes) = bytes.strip_prefix(MARK).map_or((0, bytes), |rest| (MARK.len(), rest));
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let good = String::from_utf8_lossy(&bytes[..error.valid_up_to()]);
        let number = marked + error.valid_up_to() + 1;
        let what = if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
            say!("the file is UTF-16 text; save the file again as UTF-8")
        } else {
            say!("byte {} of the file is not UTF-8 text; save the file again as UTF-8", number.to_string())
        };
        let message = what.to_string();
        bare_complaint(place_of(&good, good.len()), message)
    })?;
    if text.trim().is_empty() {
        let message = say!("the file is empty; take the last whole copy of the survey, or begin a new one");
        return Err(bare_complaint(Place { line: 1, column: 1 }, message.to_string()));
    }
    Ok(text)
}

fn bare_complaint(place: Place, message: String) -> Complaint {
    Complaint { place, item: None, field: None, message }
}

/// The version is judged before all else: a file of a later version may break every other rule.
fn check_version(text: &str) -> Result<(), Complaint> {
    let (found, result) = version::look(text);
    if let Some((at, message)) = found.and_then(|found| Some((found, version::complaint(found)?))) {
        let place = place_of(text, offset_in(text, at).unwrap_or(0));
        let field = Some(version::FIELD.to_owned());
        return Err(Complaint { place, item: None, field, message });
    }
    result.map_err(|error| broken_text(text, &error))?;
    if found.is_some() {
        return Ok(());
    }
    let message = say!(
        "the field \"{}\" is missing, so the version of the file is unknown; this program reads version {}",
        version::FIELD.to_owned(),
        version::reads()
    )
    .to_string();
    Err(bare_complaint(Trail::follow(text, []).place(), message))
}

/// What is wrong with a text that is no JSON, or JSON with no object at the top.
fn broken_text(text: &str, error: &serde_json::Error) -> Complaint {
    let top = Trail::follow(text, []);
    if !top.here().starts_with(['{', '\0']) {
        let start: String = top.here().chars().take(20).collect();
        let message = say!(
            "this is no survey file: it begins with {}, but a survey begins with {}",
            plain(&start),
            format!("{{\"{}\": 1", version::FIELD)
        )
        .to_string();
        return bare_complaint(top.place(), message);
    }
    let offset = offset_of(text, error.line(), error.column());
    bare_complaint(place_of(text, offset), syntax::broken_text(&words::bare(error), text, offset))
}

/// Deserialises the whole text, and finds the way to the value that does not fit.
fn tracked<'t, S: DeserializeSeed<'t>>(text: &'t str, seed: S) -> Result<S::Value, Complaint> {
    let mut track = Track::new();
    let mut json = serde_json::Deserializer::from_str(text);
    let result = seed.deserialize(serde_path_to_error::Deserializer::new(&mut json, &mut track));
    result.map_err(|error| wrong_value(text, &steps_of(&track.path()), &error))
}

/// The steps of a reader's path as far as they are known.
fn steps_of(path: &serde_path_to_error::Path) -> Vec<Step> {
    path.iter()
        .map_while(|segment| match segment {
            Segment::Seq { index } => Some(Step::Index(*index)),
            Segment::Map { key } => Some(Step::Field(key.clone())),
            // A choice is a single text: the file has nothing below it.
            Segment::Enum { .. } | Segment::Unknown => None,
        })
        .collect()
}

fn wrong_value(text: &str, steps: &[Step], error: &serde_json::Error) -> Complaint {
    let trail = Trail::follow(text, steps.iter().cloned());
    let message = words::bare(error);
    let (item, field) = item_and_field(&trail);
    let offset = offset_of(text, error.line(), error.column());
    // "expected value" is how the reader refuses, say, a number for a choice: the text itself has
    // been found whole by now.
    let is_value = error.is_data() || message == "expected value";
    let (place, message) = if !is_value {
        (place_of(text, offset), syntax::broken_text(&message, text, offset))
    } else if let Some(key) = message.strip_prefix("duplicate field `") {
        let key_at = text
            .get(..=offset)
            .and_then(|before| before.rfind(&format!("\"{}\"", key.trim_end_matches('`'))));
        (place_of(text, key_at.unwrap_or(offset)), words::wrong_value(&message, &trail))
    } else if message.starts_with("unknown field `") {
        (trail.key_place(), words::wrong_value(&message, &trail))
    } else {
        (trail.place(), words::wrong_value(&message, &trail))
    };
    Complaint { place, item, field, message }
}

/// A fault between items, found again in the text.
fn misfit(text: &str, fault: &Fault) -> Complaint {
    let steps = fault.path.iter().map(|part| match part {
        PathPart::Key(name) => Step::Field((*name).to_owned()),
        PathPart::Index(at) => Step::Index(*at),
    });
    let trail = Trail::follow(text, steps);
    let (item, field) = item_and_field(&trail);
    Complaint { place: trail.place(), item, field, message: plain(&fault.message) }
}
