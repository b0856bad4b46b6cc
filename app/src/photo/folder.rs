//! The folder of a survey's photos, and the names in it.

use std::fs::File;
use std::io;
use std::path::{Path, PathBuf};

use crate::file::{make_folder, photo_folder, replace};

/// The folder of the photos of the survey in this file: `house-photos` beside `house.json`.
#[must_use]
pub fn folder_of(survey: &Path) -> PathBuf {
    photo_folder(survey)
}

/// Whether a photo's file name stays inside the folder. A survey comes from anywhere and may name
/// anything.
#[must_use]
pub fn is_file_name(name: &str) -> bool {
    !name.is_empty() && name != "." && name != ".." && !name.contains(['/', '\\', ':', '\0'])
}

/// Copies a file so that the new one is whole or not there.
pub(crate) fn copy_whole(from: &Path, to: &Path) -> io::Result<()> {
    let mut old = File::open(from)?;
    replace(to, |new| io::copy(&mut old, new).map(drop))
}

/// Writes a file of the folder, which is made where there is none.
pub(super) fn write(path: &Path, bytes: &[u8]) -> io::Result<()> {
    if let Some(folder) = path.parent() {
        make_folder(folder)?;
    }
    replace(path, |file| io::Write::write_all(file, bytes))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_folder_lies_beside_the_survey_and_names_stay_inside_it() {
        assert_eq!(folder_of(Path::new("/a/My house.json")), Path::new("/a/My house-photos"));
        assert!(is_file_name("0123abcd.jpg"));
        for name in ["", ".", "..", "../x.jpg", "/etc/x", "a\\b.jpg", "c:x.jpg"] {
            assert!(!is_file_name(name), "{name}");
        }
    }
}
