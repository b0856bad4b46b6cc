//! A copy of a survey with its photos, in another place.

use std::fs;
use std::path::Path;

use deadfront_rules::finding::Said;
use deadfront_rules::say;
use deadfront_rules::survey::Survey;

use super::trouble::{why, why_not_saved};
use crate::file::{self, FileError};
use crate::photo;

/// Saves the survey as it is now under another name, and its photos beside it. A file that is there is
/// replaced only when `replace` says that the person was asked.
///
/// # Errors
/// When the copy cannot be written, or would take the place of the survey itself; the sentence says why.
pub fn copy_survey(survey: &Survey, from: &Path, to: &Path, replace: bool) -> Result<Said, Said> {
    let is_same = fs::canonicalize(to).is_ok_and(|to| fs::canonicalize(from).is_ok_and(|from| from == to));
    if is_same {
        return Err(Said::plain("this is the survey itself; choose another name or folder for the copy"));
    }
    let written = if replace { file::save(to, survey) } else { file::create(to, survey) };
    written.map_err(|error: FileError| say!("the copy cannot be saved: {}", why_not_saved(&error)))?;
    let missing = copy_photos(survey, &photo::folder_of(from), &photo::folder_of(to))?;
    let place = to.display().to_string();
    Ok(match missing {
        0 => say!("the copy is in {}", place),
        count => say!(
            "the copy is in {}, without {} photos that are not in the survey's photo folder",
            place,
            count
        ),
    })
}

/// Copies what the survey names; tells how many of them are not there.
fn copy_photos(survey: &Survey, from: &Path, to: &Path) -> Result<usize, Said> {
    let mut missing = 0;
    for photo in survey.photos.iter().filter(|photo| photo::is_file_name(&photo.file)) {
        let (old, new) = (from.join(&photo.file), to.join(&photo.file));
        if !old.is_file() {
            missing += 1;
        } else if !new.exists() {
            let copied = file::make_folder(to).and_then(|()| photo::copy_whole(&old, &new));
            copied.map_err(|error| say!("the copy is saved, but not all of its photos: {}", why(&error)))?;
        }
    }
    Ok(missing)
}
