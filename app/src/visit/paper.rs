//! Where a PDF goes, and what is to be told of it: a PDF that somebody may have signed or sent is no place for
//! another.

use std::collections::BTreeSet;
use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use deadfront_rules::finding::Said;
use deadfront_rules::say;
use deadfront_rules::survey::Survey;

use crate::file;
use crate::paper::PaperWarning;

/// Most names that are tried.
const MOST: usize = 1000;
/// How many notes are told one by one.
const TOLD: usize = 3;

/// A name for a PDF.
pub(super) struct Place {
    /// The file.
    pub(super) path: PathBuf,
    /// Told where another PDF has the first name.
    pub(super) spared: Option<Said>,
}

/// The name for the PDF of the survey in this file: `house.pdf`, `house-2.pdf` and so on, the first that is
/// free or has an unsigned PDF of just this survey.
pub(super) fn place(file: &Path, survey: &Survey) -> Option<Place> {
    let first = file.with_extension("pdf");
    let stem = file.file_stem()?.to_string_lossy().into_owned();
    let further = (2..MOST).map(|number| file.with_file_name(format!("{stem}-{number}.pdf")));
    let path = std::iter::once(first.clone()).chain(further).find(|path| may_take(path, survey))?;
    let name = first.file_name()?.to_string_lossy().into_owned();
    let spared =
        (path != first).then(|| say!("{} is signed or of another state and was left as it is.", name));
    Some(Place { path, spared })
}

fn may_take(path: &Path, survey: &Survey) -> bool {
    match fs::symlink_metadata(path) {
        Err(error) => error.kind() == ErrorKind::NotFound,
        Ok(_) => {
            survey.signatures.is_empty()
                && file::begins_as_pdf(path)
                && file::open(path).is_ok_and(|carried| carried == *survey)
        }
    }
}

/// What the paper could not show as it was entered, in sentences.
pub(super) fn notes(warnings: &[PaperWarning]) -> Vec<Said> {
    let (mut lacking, mut pages, mut others) = (BTreeSet::new(), BTreeSet::new(), Vec::new());
    for warning in warnings {
        match warning {
            PaperWarning::NoGlyph { characters, page, .. } => {
                lacking.extend(characters);
                pages.insert(*page);
            }
            other => others.push(other.to_string()),
        }
    }
    let mut said = Vec::new();
    if !lacking.is_empty() {
        let pages: Vec<String> = pages.iter().map(usize::to_string).collect();
        said.push(say!(
            "The PDF cannot draw these characters and shows another mark in their place: {} (pages: {}). Write these names in other letters as well.",
            lacking.into_iter().map(|c: char| c.to_string()).collect::<Vec<_>>().join(" "),
            pages.join(", ")
        ));
    }
    if !others.is_empty() {
        let more = if others.len() > TOLD { "; …" } else { "" };
        let told = others.iter().take(TOLD).cloned().collect::<Vec<_>>().join("; ");
        said.push(say!("On the paper: {}.", format!("{told}{more}")));
    }
    said
}
