//! A survey that lies elsewhere: folders to look through, and a path that was typed or pasted.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use deadfront_rules::finding::Said;
use deadfront_rules::say;
use deadfront_ui::{Browsed, Entry};
use directories::UserDirs;

use super::Visit;
use crate::store::{Places, why};

/// Endings of files that hold a survey, in lower case.
const ENDINGS: [&str; 2] = ["json", "pdf"];
/// Where systems put sticks, cards and other drives.
const MOUNTS: [&str; 4] = ["/media", "/run/media", "/mnt", "/Volumes"];
/// Entries of one folder that are listed; one with more is no folder of surveys.
const MOST: usize = 500;

impl Visit {
    /// Looks into a folder, or opens the file that has this path. What is wrong is said at the field.
    pub(super) fn go_elsewhere(&mut self, typed: &str) {
        let path = meant(typed, home().as_deref());
        if typed.trim().is_empty() {
            self.browse(&self.begin(), say!("Type the path of a survey, or choose a folder below."));
        } else if path.is_dir() {
            self.browse(&path, Said::plain(""));
        } else {
            self.open_elsewhere(&path);
        }
    }

    fn open_elsewhere(&mut self, path: &Path) {
        if let Err(why) = self.open_path(path) {
            let folder = path.parent().filter(|folder| folder.is_dir()).map(Path::to_owned);
            let folder = folder.unwrap_or_else(|| self.begin());
            self.browse(&folder, why);
        }
    }

    fn browse(&self, folder: &Path, problem: Said) {
        let mut browsed = browsed(folder, &self.places);
        if !problem.to_string().is_empty() {
            browsed.problem = problem.to_string();
        }
        self.window.set_browsed(&browsed);
    }

    /// The folder of the surveys, before anybody has chosen another one.
    pub(super) fn browse_documents(&self) {
        self.browse(&self.begin(), Said::plain(""));
    }

    /// Where looking begins. Before the first survey its folder is not there.
    fn begin(&self) -> PathBuf {
        let documents = &self.places.documents;
        let home = || home().filter(|_| !documents.is_dir());
        home().unwrap_or_else(|| documents.clone())
    }
}

/// What was typed as a path: without blanks and quotes around it, `~` for the home folder, and as a file manager
/// pastes it (`file:///home/...`).
fn meant(typed: &str, home: Option<&Path>) -> PathBuf {
    let text = typed.trim().trim_matches(['"', '\'']).trim();
    if let Some(address) = text.strip_prefix("file://") {
        return PathBuf::from(unescaped(address));
    }
    match (text.strip_prefix('~'), home) {
        (Some(""), Some(home)) => home.to_owned(),
        (Some(rest), Some(home)) if rest.starts_with(['/', '\\']) => home.join(&rest[1..]),
        _ => PathBuf::from(text),
    }
}

/// `%20` in an address is a blank (RFC 3986).
fn unescaped(address: &str) -> String {
    let mut bytes = Vec::new();
    let mut rest = address.as_bytes();
    while let [first, after @ ..] = rest {
        let code =
            (*first == b'%').then(|| after.get(..2).and_then(|two| std::str::from_utf8(two).ok())).flatten();
        match code.and_then(|code| u8::from_str_radix(code, 16).ok()) {
            Some(byte) => {
                bytes.push(byte);
                rest = &after[2..];
            }
            None => {
                bytes.push(*first);
                rest = after;
            }
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

fn home() -> Option<PathBuf> {
    UserDirs::new().map(|user| user.home_dir().to_owned())
}

/// What a folder holds, folders first; what is hidden is left out.
fn browsed(folder: &Path, places: &Places) -> Browsed {
    let (entries, problem) = match entries(folder) {
        Ok(entries) => (entries, String::new()),
        Err(error) => (Vec::new(), say!("This folder cannot be read: {}.", why(&error)).to_string()),
    };
    Browsed {
        folder: shown(folder),
        above: folder.parent().map_or_else(String::new, shown),
        roots: roots(places),
        entries,
        problem,
    }
}

fn shown(path: &Path) -> String {
    path.to_string_lossy().into_owned()
}

fn entries(folder: &Path) -> io::Result<Vec<Entry>> {
    let mut found: Vec<Entry> =
        fs::read_dir(folder)?.flatten().filter_map(|entry| of_file(&entry.path())).collect();
    found.sort_by_key(|entry| (!entry.is_folder, entry.name.to_lowercase()));
    found.truncate(MOST);
    Ok(found)
}

fn of_file(path: &Path) -> Option<Entry> {
    let name = path.file_name()?.to_string_lossy().into_owned();
    if name.starts_with('.') {
        return None;
    }
    let is_folder = path.is_dir();
    let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase());
    let may_hold = ending.is_some_and(|ending| ENDINGS.contains(&ending.as_str()));
    (is_folder || may_hold).then(|| Entry { path: shown(path), name, is_folder })
}

/// Where looking begins: the surveys' folder, home, and every drive that is there.
fn roots(places: &Places) -> Vec<Entry> {
    let root = |path: PathBuf, name: String| Entry { path: shown(&path), name, is_folder: true };
    let mut roots = Vec::new();
    if places.documents.is_dir() {
        roots.push(root(places.documents.clone(), say!("Surveys").to_string()));
    }
    if let Some(user) = UserDirs::new() {
        roots.push(root(user.home_dir().to_owned(), say!("Home").to_string()));
        let downloads = user.download_dir().filter(|folder| folder.is_dir());
        roots.extend(downloads.map(|folder| root(folder.to_owned(), say!("Downloads").to_string())));
    }
    let drives = MOUNTS.iter().flat_map(|mount| drives_in(Path::new(mount)));
    roots.extend(drives.chain(letters()).map(|path| {
        let name = path.file_name().map_or_else(|| shown(&path), |name| name.to_string_lossy().into_owned());
        root(path, name)
    }));
    roots
}

/// Drives below a folder of mounts: `/media/stick`, or `/media/ann/stick` below a folder of the person.
fn drives_in(mount: &Path) -> Vec<PathBuf> {
    let inside = |folder: &Path| -> Vec<PathBuf> {
        let entries = fs::read_dir(folder).into_iter().flatten().flatten();
        let mut folders: Vec<PathBuf> =
            entries.map(|entry| entry.path()).filter(|path| path.is_dir()).collect();
        folders.sort();
        folders
    };
    let user = home().and_then(|home| home.file_name().map(std::ffi::OsStr::to_owned));
    let below = |path: PathBuf| {
        if path.file_name() == user.as_deref() { inside(&path) } else { vec![path] }
    };
    inside(mount).into_iter().flat_map(below).collect()
}

/// The letters of drives, where the system has them.
fn letters() -> Vec<PathBuf> {
    if !cfg!(windows) {
        return Vec::new();
    }
    ('A'..='Z').map(|letter| PathBuf::from(format!("{letter}:\\"))).filter(|drive| drive.is_dir()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_is_read_as_it_was_meant() {
        let home = Path::new("/home/ann");
        for (typed, path) in [
            ("  /a/house.json ", "/a/house.json"),
            ("\"/a/my house.json\"", "/a/my house.json"),
            ("~/house.json", "/home/ann/house.json"),
            ("~", "/home/ann"),
            ("file:///a/my%20house.json", "/a/my house.json"),
            ("~ann", "~ann"),
            ("100%", "100%"),
        ] {
            assert_eq!(meant(typed, Some(home)), Path::new(path), "{typed}");
        }
        assert_eq!(unescaped("/a%zz%2"), "/a%zz%2");
    }

    #[test]
    fn a_folder_shows_its_folders_and_what_may_hold_a_survey() {
        let folder = tempfile::tempdir().unwrap();
        let places = Places::below(folder.path());
        for name in ["b.json", "A.PDF", "notes.txt", ".hidden.json"] {
            fs::write(folder.path().join(name), "").unwrap();
        }
        fs::create_dir(folder.path().join("zoo")).unwrap();
        fs::create_dir(folder.path().join(".git")).unwrap();
        fs::create_dir(&places.documents).unwrap();
        let browsed = browsed(folder.path(), &places);
        let names: Vec<&str> = browsed.entries.iter().map(|entry| entry.name.as_str()).collect();
        assert_eq!(names, ["Deadfront surveys", "zoo", "A.PDF", "b.json"]);
        assert!(browsed.entries[0].is_folder && browsed.problem.is_empty());
        assert_eq!(browsed.above, shown(folder.path().parent().unwrap()));
        assert_eq!(browsed.roots[0].path, shown(&places.documents));
    }

    #[test]
    fn a_folder_that_cannot_be_read_is_said() {
        let folder = tempfile::tempdir().unwrap();
        let gone = browsed(&folder.path().join("gone"), &Places::below(folder.path()));
        assert!(gone.entries.is_empty() && gone.problem.starts_with("This folder cannot be read"));
    }
}
