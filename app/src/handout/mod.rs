//! Everything that is handed out with a survey, as one folder or one archive: the PDF, the survey, its
//! photos, and tables for spreadsheets.

mod archive;
mod name;

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use chrono::{DateTime, FixedOffset};
use deadfront_rules::assess;
use deadfront_rules::survey::Survey;

use crate::file::{self, to_json};
use crate::paper::{PaperError, PaperWarning, Sheet};
use crate::photo;
use crate::report::Report;
use crate::sheet;

pub use name::stem;

/// A file of the hand-out, by its path inside it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    /// Path with `/`: `photos/1f3a.jpg`.
    pub path: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// What is handed out.
#[derive(Debug, Clone, PartialEq)]
pub struct Handout {
    /// The files, the PDF first.
    pub parts: Vec<Part>,
    /// Photos that the survey names and that are not to be had, with the reason.
    pub missing_photos: Vec<String>,
    /// What the paper reports.
    pub warnings: Vec<PaperWarning>,
    /// When it was made: the time in the PDF and of the files in an archive.
    pub made: DateTime<FixedOffset>,
}

/// Gathers everything of a survey; `photos` is the folder that holds its pictures.
///
/// # Errors
/// When the PDF cannot be made.
pub fn gather(
    survey: &Survey,
    photos: &Path,
    sheet: Sheet,
    made: DateTime<FixedOffset>,
) -> Result<Handout, PaperError> {
    let assessment = assess(survey);
    let pictures = photo::pictures(survey, photos);
    let pdf = Report { survey, assessment: &assessment, made, sheet, pictures: &pictures }.pdf()?;
    let stem = stem(survey);
    let part = |path: String, bytes: Vec<u8>| Part { path, bytes };
    let mut parts = vec![
        part(format!("{stem}.pdf"), pdf.bytes),
        part(format!("{stem}.json"), to_json(survey).into_bytes()),
        part("panels.csv".to_owned(), sheet::panels_csv(survey)),
        part("runs.csv".to_owned(), sheet::runs_csv(survey)),
        part("loads.csv".to_owned(), sheet::loads_csv(survey)),
        part("cables.csv".to_owned(), sheet::cable_csv(survey)),
    ];
    let mut missing_photos = Vec::new();
    for photo in &survey.photos {
        let path = format!("photos/{}", photo.file);
        if parts.iter().any(|part| part.path == path) {
            continue;
        }
        match picture(photos, &photo.file) {
            Ok(bytes) => parts.push(part(path, bytes)),
            Err(reason) => missing_photos.push(format!("photo {} ({}): {reason}", photo.id, photo.file)),
        }
    }
    Ok(Handout { parts, missing_photos, warnings: pdf.warnings, made })
}

/// A survey from elsewhere must not fetch other files of this computer into what is handed out.
fn picture(folder: &Path, file: &str) -> Result<Vec<u8>, String> {
    if !name::is_plain(file) {
        return Err("its name leads out of the folder of photos".to_owned());
    }
    let path = folder.join(file);
    let is_file = fs::symlink_metadata(&path).is_ok_and(|about| about.is_file());
    if !is_file {
        return Err("there is no such picture beside the survey".to_owned());
    }
    file::read_file(&path).map_err(|error| error.to_string())
}

/// Writes the parts into a folder, which is made where there is none. Files of the same name are
/// replaced.
///
/// # Errors
/// When the system refuses; the error names the file.
pub fn to_folder(handout: &Handout, folder: &Path) -> Result<(), (PathBuf, io::Error)> {
    for part in &handout.parts {
        let path = folder.join(&part.path);
        let written = || {
            fs::create_dir_all(path.parent().unwrap_or(folder))?;
            file::replace(&path, |file| io::Write::write_all(file, &part.bytes))
        };
        written().map_err(|error| (path.clone(), error))?;
    }
    Ok(())
}

/// Writes the parts into one archive. The same parts and the same time give the same bytes.
///
/// # Errors
/// When the system refuses.
pub fn to_archive(handout: &Handout, path: &Path) -> io::Result<()> {
    let bytes = archive::pack(handout)?;
    file::replace(path, |file| io::Write::write_all(file, &bytes))
}
