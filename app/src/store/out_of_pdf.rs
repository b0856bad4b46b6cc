//! The survey that a PDF carries, taken out into a file that can be worked on. The PDF itself may be what
//! somebody signed and sent: no byte of it is ever written.

use std::fs;
use std::io::{ErrorKind, Write as _};
use std::path::{Path, PathBuf};

use deadfront_rules::finding::Said;
use deadfront_rules::say;
use deadfront_rules::survey::Survey;

use super::name::candidates;
use super::open::NotOpened;
use super::places::Places;
use super::signed::is_later_state;
use super::trouble::{why, why_not_saved};
use crate::file::{self, FileError};
use crate::photo;
use crate::report::{Pictures, is_content_name, is_name_of};
use crate::sign::{pictures_in, survey_in};

/// The survey file to work on, and what there is to tell; any file but a PDF is that file itself.
pub(super) fn out_of_pdf(path: &Path, places: &Places) -> Result<(PathBuf, Vec<Said>), NotOpened> {
    if !file::begins_as_pdf(path) {
        return Ok((path.to_owned(), Vec::new()));
    }
    let pdf = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let survey = file::open(&pdf).map_err(NotOpened::File)?;
    let bytes = file::read_file(&pdf).map_err(NotOpened::File)?;
    let unreadable = |reason| NotOpened::File(FileError::Pdf { file: Some(pdf.clone()), reason });
    let carried = survey_in(&bytes).map_err(unreadable)?;
    let to = place(&pdf, &survey, &carried, places)?;
    let mut said = vec![say!(
        "The survey in {} is worked on in {}; the PDF stays as it is.",
        pdf.file_name().unwrap_or_default().to_string_lossy().into_owned(),
        to.display().to_string()
    )];
    let pictures = pictures_in(&bytes).map_err(unreadable)?;
    said.extend(photos_beside(&to, &survey, &pictures));
    Ok((to, said))
}

/// A file with this survey: beside the PDF under its name, or else among the person's surveys under the
/// first name that is free. One that goes on from the same PDF is taken up again.
fn place(pdf: &Path, survey: &Survey, carried: &[u8], places: &Places) -> Result<PathBuf, NotOpened> {
    let beside = pdf.with_extension("json");
    if takes(&beside, survey, carried).is_ok_and(|takes| takes) {
        return Ok(beside);
    }
    let cannot = |reason| {
        let folder = places.documents.display().to_string();
        NotOpened::Refused(say!("the survey in the PDF cannot be taken out into {}: {}", folder, reason))
    };
    file::make_folder(&places.documents).map_err(|error| cannot(why(&error)))?;
    let stem = pdf.file_stem().unwrap_or_default().to_string_lossy();
    for path in candidates(&places.documents, &stem) {
        if takes(&path, survey, carried).map_err(|error| cannot(why_not_saved(&error)))? {
            return Ok(path);
        }
    }
    Err(cannot(Said::plain("too many surveys of that name are there already")))
}

/// Writes the survey there, byte for byte, or finds it there. False where something else has that name.
fn takes(path: &Path, survey: &Survey, carried: &[u8]) -> Result<bool, FileError> {
    match file::create_file(path, carried) {
        Ok(()) => Ok(true),
        Err(FileError::System { reason, .. }) if reason.kind() == ErrorKind::AlreadyExists => {
            Ok(!file::begins_as_pdf(path) && file::open(path).is_ok_and(|there| holds(&there, survey)))
        }
        Err(error) => Err(error),
    }
}

/// Whether a file holds all that the PDF carries: nothing that a hand set in the PDF may be out of sight.
fn holds(there: &Survey, survey: &Survey) -> bool {
    is_later_state(survey, there) && survey.answers.iter().all(|answer| there.answers.contains(answer))
}

/// Puts the photos of the PDF into the photo folder; what lies there already is left alone.
fn photos_beside(to: &Path, survey: &Survey, pictures: &Pictures) -> Option<Said> {
    let folder = photo::folder_of(to);
    for (name, bytes) in pictures.shown() {
        let fits = photo::is_file_name(name) && (!is_content_name(name) || is_name_of(name, bytes));
        let path = folder.join(name);
        if !fits || path.exists() {
            continue;
        }
        let put =
            file::make_folder(&folder).and_then(|()| file::replace(&path, |file| file.write_all(bytes)));
        if let Err(error) = put {
            return Some(say!("Not all of its photos could be taken out: {}.", why(&error)));
        }
    }
    let is_there = |name: &str| photo::is_file_name(name) && folder.join(name).is_file();
    let missing = survey.photos.iter().filter(|photo| !is_there(&photo.file)).count();
    (missing > 0).then(|| say!("{} of its photos are not in the PDF.", missing))
}
