//! The surveys opened last, the built-in house among them.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

use super::open::DEMO_FILE;
use super::places::Places;
use crate::file::replace;

/// How many are remembered.
const REMEMBERED: usize = 20;
/// How many others of the folder are listed, the newest first.
const LISTED: usize = 200;

/// One survey of the list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Recent {
    /// A survey file.
    Survey {
        /// Its file.
        file: PathBuf,
        /// The house's name when it was opened.
        name: String,
        /// When it was opened last; of one that never was, when it was written.
        opened: DateTime<Utc>,
        /// The file is not there now: moved, deleted, or on a stick that is not in.
        missing: bool,
    },
    /// The built-in invented house, opened with [`Session::demo`](super::Session::demo).
    Demo,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
struct Entry {
    file: PathBuf,
    name: String,
    opened: DateTime<Utc>,
}

/// The list, the last opened first, then what else lies in the folder of surveys, the built-in house
/// always at its end.
#[must_use]
pub fn recents(places: &Places) -> Vec<Recent> {
    let demo = demo_file(places);
    let mut files: Vec<Entry> = read(places).into_iter().filter(|entry| entry.file != demo).collect();
    let others = in_folder(places).into_iter();
    let others: Vec<Entry> = others
        .filter(|other| other.file != demo && !files.iter().any(|entry| entry.file == other.file))
        .collect();
    files.extend(others);
    let surveys = files.into_iter().map(|Entry { file, name, opened }| {
        let missing = !file.is_file();
        Recent::Survey { file, name, opened, missing }
    });
    surveys.chain([Recent::Demo]).collect()
}

/// Files that were opened here and are still there, the last opened first.
#[must_use]
pub fn opened_before(places: &Places) -> Vec<PathBuf> {
    let demo = demo_file(places);
    let files = read(places).into_iter().map(|entry| entry.file);
    files.filter(|file| *file != demo && file.is_file()).collect()
}

/// Copies, and surveys that were carried here: nothing in the folder of surveys is out of reach.
fn in_folder(places: &Places) -> Vec<Entry> {
    let folder = fs::canonicalize(&places.documents).unwrap_or_else(|_| places.documents.clone());
    let Ok(files) = fs::read_dir(folder) else { return Vec::new() };
    let mut entries: Vec<Entry> = files.filter_map(|file| entry(&file.ok()?.path())).collect();
    entries.sort_by(|a, b| b.opened.cmp(&a.opened).then_with(|| a.file.cmp(&b.file)));
    entries.truncate(LISTED);
    entries
}

/// A file is named as it is called: what is in it is read when it is opened.
fn entry(file: &Path) -> Option<Entry> {
    let is_survey = file.extension().is_some_and(|ending| ending == "json");
    let written = fs::metadata(file).ok().filter(|about| is_survey && about.is_file())?.modified().ok()?;
    let name = file.file_stem()?.to_string_lossy().into_owned();
    Some(Entry { file: file.to_owned(), name, opened: written.into() })
}

/// Takes a survey off the list; its file stays.
pub fn forget(places: &Places, file: &Path) {
    change(places, |entries| entries.retain(|entry| entry.file != file));
}

/// Puts a survey at the head of the list.
pub(super) fn note_opened(places: &Places, file: &Path, name: &str) {
    change(places, |entries| {
        entries.retain(|entry| entry.file != file);
        entries.insert(0, Entry { file: file.to_owned(), name: name.to_owned(), opened: Utc::now() });
        entries.truncate(REMEMBERED);
    });
}

/// As a session names it, links resolved.
fn demo_file(places: &Places) -> PathBuf {
    let file = places.documents.join(DEMO_FILE);
    fs::canonicalize(&file).unwrap_or(file)
}

fn list(places: &Places) -> PathBuf {
    places.data.join("recent.json")
}

/// A list that cannot be read is an empty one: it is a convenience, and no survey depends on it.
fn read(places: &Places) -> Vec<Entry> {
    fs::read(list(places)).ok().and_then(|text| serde_json::from_slice(&text).ok()).unwrap_or_default()
}

/// Changes the list; where it cannot be written it stays as it was.
fn change(places: &Places, change: impl FnOnce(&mut Vec<Entry>)) {
    let write = || -> io::Result<()> {
        fs::create_dir_all(&places.data)?;
        // Two windows may open surveys at the same moment.
        let lock = File::create(places.data.join("recent.lock"))?;
        let _ = lock.lock();
        let mut entries = read(places);
        change(&mut entries);
        let text = serde_json::to_vec_pretty(&entries)?;
        replace(&list(places), |file| file.write_all(&text))
    };
    let _ = write();
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_opened_comes_first_and_a_missing_one_is_shown_as_missing() {
        let folder = tempfile::tempdir().unwrap();
        let places = Places::below(folder.path());
        assert_eq!(recents(&places), [Recent::Demo]);
        let [one, two] = ["one.json", "two.json"].map(|name| folder.path().join(name));
        fs::write(&two, "").unwrap();
        for (file, name) in [(&one, "One"), (&two, "Two"), (&one, "One again")] {
            note_opened(&places, file, name);
        }
        let list: Vec<_> = recents(&places)
            .into_iter()
            .map(|recent| match recent {
                Recent::Survey { name, missing, .. } => (name, missing),
                Recent::Demo => ("demo".to_owned(), false),
            })
            .collect();
        let expected = [("One again", true), ("Two", false), ("demo", false)];
        assert_eq!(list, expected.map(|(name, missing)| (name.to_owned(), missing)));
        forget(&places, &one);
        assert_eq!(recents(&places).len(), 2);
    }

    #[test]
    fn what_lies_in_the_folder_of_surveys_can_be_opened_though_it_never_was() {
        let folder = tempfile::tempdir().unwrap();
        let places = Places::below(folder.path());
        fs::create_dir_all(&places.documents).unwrap();
        for name in ["carried.json", "notes.txt", DEMO_FILE, "opened.json"] {
            fs::write(places.documents.join(name), "").unwrap();
        }
        let opened = fs::canonicalize(places.documents.join("opened.json")).unwrap();
        note_opened(&places, &opened, "Opened");
        let names: Vec<_> = recents(&places)
            .into_iter()
            .map(|recent| match recent {
                Recent::Survey { name, .. } => name,
                Recent::Demo => "demo".to_owned(),
            })
            .collect();
        assert_eq!(names, ["Opened", "carried", "demo"]);
    }

    #[test]
    fn no_more_than_twenty_are_remembered_and_a_broken_list_is_empty() {
        let folder = tempfile::tempdir().unwrap();
        let places = Places::below(folder.path());
        for number in 0..30 {
            note_opened(&places, &folder.path().join(format!("{number}.json")), "house");
        }
        assert_eq!(recents(&places).len(), REMEMBERED + 1);
        fs::write(list(&places), "{").unwrap();
        assert_eq!(recents(&places), [Recent::Demo]);
    }
}
