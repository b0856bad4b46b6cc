//! The last 20 saved states of a survey, compressed.

use std::fs::{self, File};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

use chrono::{DateTime, NaiveDateTime, Utc};
use deadfront_rules::finding::Said;
use deadfront_rules::say;
use deadfront_rules::survey::Survey;
use flate2::Compression;
use flate2::read::GzDecoder;
use flate2::write::GzEncoder;

use super::trouble::why;
use crate::file::{FileError, LARGEST, make_folder, read_survey, replace};

/// How many states are kept.
const KEPT: usize = 20;
/// Ending of a kept state; any tool opens it.
const ENDING: &str = ".json.gz";
/// How the time stands in the name.
const TIME: &str = "%Y-%m-%dT%H-%M-%SZ";

/// An earlier state of the survey.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptState {
    path: PathBuf,
    number: u64,
    /// When it was saved.
    pub saved: DateTime<Utc>,
}

impl KeptState {
    /// The survey as it was.
    ///
    /// # Errors
    /// When the state cannot be read; the sentence says why.
    pub fn survey(&self) -> Result<Survey, Said> {
        let read = || {
            let mut text = Vec::new();
            GzDecoder::new(File::open(&self.path)?).take(LARGEST + 1).read_to_end(&mut text)?;
            Ok(text)
        };
        let text =
            read().map_err(|error: io::Error| say!("this earlier state cannot be read: {}", why(&error)))?;
        read_survey(&text)
            .map_err(|error: FileError| say!("this earlier state cannot be read: {}", error.to_string()))
    }

    /// Its file.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }
}

/// The kept states in `folder`, the newest first.
pub(super) fn states(folder: &Path) -> Vec<KeptState> {
    let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
    let mut states: Vec<KeptState> = entries.flatten().filter_map(|entry| named(&entry.path())).collect();
    states.sort_by_key(|state| std::cmp::Reverse(state.number));
    states
}

fn named(path: &Path) -> Option<KeptState> {
    let (number, time) = path.file_name()?.to_str()?.strip_suffix(ENDING)?.split_once(' ')?;
    let saved = NaiveDateTime::parse_from_str(time, TIME).ok()?.and_utc();
    Some(KeptState { path: path.to_owned(), number: number.parse().ok()?, saved })
}

/// Keeps a state and takes away what is older than the last 20; `first`, the state with which the session
/// began, stays among them.
pub(super) fn keep(folder: &Path, survey: &Survey, first: Option<&Path>) -> io::Result<PathBuf> {
    make_folder(folder)?;
    let old = states(folder);
    // Counted, so that a clock that was set back does not mix up what is old and what is new.
    let number = old.first().map_or(1, |newest| newest.number + 1);
    let path = folder.join(format!("{number:06} {}{ENDING}", Utc::now().format(TIME)));
    replace(&path, |file| {
        let mut packed = GzEncoder::new(Vec::new(), Compression::fast());
        serde_json::to_writer(&mut packed, survey)?;
        file.write_all(&packed.finish()?)
    })?;
    let spare = old.iter().filter(|state| first != Some(&state.path));
    let room = KEPT - 1 - usize::from(first.is_some_and(|first| old.iter().any(|state| state.path == first)));
    for state in spare.skip(room) {
        let _ = fs::remove_file(&state.path);
    }
    Ok(path)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn twenty_states_are_kept_and_the_first_of_the_session_among_them() {
        let folder = tempfile::tempdir().unwrap();
        let mut survey = read_survey(crate::demo::DEMO.as_bytes()).unwrap();
        let first = keep(folder.path(), &survey, None).unwrap();
        for number in 1..=30 {
            survey.site.purpose = format!("state {number}");
            keep(folder.path(), &survey, Some(&first)).unwrap();
        }
        let states = states(folder.path());
        assert_eq!(states.len(), KEPT);
        assert_eq!(states[0].survey().unwrap().site.purpose, "state 30");
        assert_eq!(states[18].survey().unwrap().site.purpose, "state 12");
        assert_eq!(states[19].path, first);
        let bytes = fs::metadata(&first).unwrap().len();
        let share = 8;
        assert!(bytes * share < crate::demo::DEMO.len() as u64, "{bytes} bytes are no small state");
    }

    #[test]
    fn a_broken_state_is_told_and_other_files_are_no_states() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("notes.txt"), "x").unwrap();
        fs::write(folder.path().join("000001 2026-11-25T10-00-00Z.json.gz"), "x").unwrap();
        let states = states(folder.path());
        assert_eq!(states.len(), 1);
        assert!(states[0].survey().unwrap_err().to_string().contains("cannot be read"));
    }
}
