//! Saves a survey file so that the old one is whole until the new one is.

use std::fs::{self, File};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

use deadfront_rules::survey::Survey;
use tempfile::{Builder, NamedTempFile};

use super::error::{Doing, FileError};
use crate::sign::{PdfError, is_pdf};

/// What the name of a file begins and ends with while it is being written.
const BEFORE: &str = ".deadfront-";
const BEHIND: &str = ".part";

/// The survey as it is written to a file: JSON with two spaces a level and a line end at the end.
#[must_use]
pub fn to_json(survey: &Survey) -> String {
    let mut text = serde_json::to_string_pretty(survey)
        .expect("a survey has only texts as keys and is written to memory");
    text.push('\n');
    text
}

/// Writes the survey to a temporary file in the same folder, brings it to the disk, and puts it in
/// the place of the old one in one step. A link is followed; the permissions of an old file are kept.
///
/// # Errors
/// [`FileError::System`] when the folder is missing, the disk is full or the system refuses,
/// [`FileError::Pdf`] when the old file is a PDF; the old file is then unchanged, and nothing is left
/// beside it.
pub fn save(path: impl AsRef<Path>, survey: &Survey) -> Result<(), FileError> {
    let path = path.as_ref();
    if begins_as_pdf(path) {
        return Err(FileError::Pdf { file: Some(path.to_owned()), reason: PdfError::NoPlace });
    }
    let text = to_json(survey);
    replace(path, |file| file.write_all(text.as_bytes()))
        .map_err(|reason| FileError::system(path, Doing::Saving, reason))
}

/// As [`save`], but only where nothing has that name yet.
///
/// # Errors
/// [`FileError::System`]; its reason is [`io::ErrorKind::AlreadyExists`] when there is such a file.
pub fn create(path: impl AsRef<Path>, survey: &Survey) -> Result<(), FileError> {
    create_file(path.as_ref(), to_json(survey).as_bytes())
}

/// Writes these bytes where nothing has that name yet.
pub(crate) fn create_file(path: &Path, bytes: &[u8]) -> Result<(), FileError> {
    let created = || {
        let folder = folder_of(path);
        let mut new = temporary(&folder)?;
        new.write_all(bytes)?;
        new.as_file().sync_all()?;
        new.persist_noclobber(path).map_err(|error| error.error)?;
        sync_folder(&folder)
    };
    created().map_err(|reason| FileError::system(path, Doing::Saving, reason))
}

/// Whether a PDF stands there: a survey may have been opened from it.
pub(crate) fn begins_as_pdf(path: &Path) -> bool {
    let mut start = [0; 5];
    File::open(path).and_then(|mut file| file.read_exact(&mut start)).is_ok() && is_pdf(&start)
}

/// Puts what `write` writes in the place of the file, or leaves the file as it was.
pub(crate) fn replace(path: &Path, write: impl FnOnce(&mut File) -> io::Result<()>) -> io::Result<()> {
    let target = match fs::canonicalize(path) {
        Ok(target) => target,
        Err(error) if error.kind() == io::ErrorKind::NotFound => path.to_owned(),
        Err(error) => return Err(error),
    };
    if target.is_dir() {
        return Err(io::ErrorKind::IsADirectory.into());
    }
    let folder = folder_of(&target);
    let mut new = temporary(&folder)?;
    write(new.as_file_mut())?;
    if let Ok(old) = fs::metadata(&target) {
        new.as_file().set_permissions(old.permissions())?;
    }
    new.as_file().sync_all()?;
    new.persist(&target).map_err(|error| error.error)?;
    sync_folder(&folder)
}

/// The folder beside a survey file that holds its photos: `house-photos` for `house.json`.
#[must_use]
pub fn photo_folder(path: impl AsRef<Path>) -> PathBuf {
    let path = path.as_ref();
    let mut name = path.file_stem().unwrap_or_default().to_owned();
    name.push("-photos");
    path.with_file_name(name)
}

/// Removes files that a killed program left half written in this folder, and tells how many. One
/// that is being written now is locked by its writer and stays.
pub(crate) fn clear_half_written(folder: &Path) -> usize {
    let Ok(entries) = fs::read_dir(folder) else { return 0 };
    let names = entries.flatten().filter(|entry| is_half_written(&entry.file_name().to_string_lossy()));
    names.filter(|entry| remove_unless_locked(&entry.path()).is_ok()).count()
}

fn is_half_written(name: &str) -> bool {
    name.starts_with(BEFORE) && name.ends_with(BEHIND)
}

fn remove_unless_locked(path: &Path) -> io::Result<()> {
    // A link or a folder of that name is not ours.
    if !fs::symlink_metadata(path)?.is_file() {
        return Err(io::ErrorKind::InvalidInput.into());
    }
    let file = File::options().write(true).open(path)?;
    file.try_lock().map_err(io::Error::from)?;
    fs::remove_file(path)
}

/// The folder of a file.
pub(crate) fn folder_of(path: &Path) -> PathBuf {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder.to_owned(),
        _ => PathBuf::from("."),
    }
}

/// Makes a folder and those it lies in where there are none, and brings their names to the disk.
pub(crate) fn make_folder(folder: &Path) -> io::Result<()> {
    if folder.is_dir() {
        return Ok(());
    }
    let above = folder_of(folder);
    make_folder(&above)?;
    match fs::create_dir(folder) {
        // Another window may make it at the same moment.
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists && folder.is_dir() => {}
        made => made?,
    }
    sync_folder(&above)
}

/// A new file that is removed again unless it is put in place.
fn temporary(folder: &Path) -> io::Result<NamedTempFile> {
    let mut builder = Builder::new();
    builder.prefix(BEFORE).suffix(BEHIND);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // As for any new file of a person; the system takes off what their mask forbids.
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    let file = builder.tempfile_in(folder)?;
    // Says that it is being written. Where the system has no locks it is not cleared either.
    let _ = file.as_file().try_lock();
    Ok(file)
}

/// Brings the new name itself to the disk.
#[cfg(unix)]
pub(crate) fn sync_folder(folder: &Path) -> io::Result<()> {
    File::open(folder)?.sync_all()
}

/// Elsewhere a folder cannot be opened as a file; the rename is as durable as the system makes it.
#[cfg(not(unix))]
pub(crate) fn sync_folder(_: &Path) -> io::Result<()> {
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let entries = fs::read_dir(folder).unwrap();
        entries.map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned()).collect()
    }

    #[test]
    fn a_disk_that_fills_up_leaves_the_old_file_whole() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("house.json");
        fs::write(&path, "old").unwrap();
        let full = replace(&path, |file| {
            file.write_all(b"half of the n")?;
            Err(io::ErrorKind::StorageFull.into())
        });
        assert_eq!(full.unwrap_err().kind(), io::ErrorKind::StorageFull);
        assert_eq!(fs::read_to_string(&path).unwrap(), "old");
        assert_eq!(names(folder.path()), ["house.json"]);
    }

    #[test]
    fn the_old_file_is_whole_while_the_new_one_is_written() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("house.json");
        fs::write(&path, "old").unwrap();
        replace(&path, |file| {
            file.write_all(b"new")?;
            assert_eq!(fs::read_to_string(&path).unwrap(), "old");
            Ok(())
        })
        .unwrap();
        assert_eq!(fs::read_to_string(&path).unwrap(), "new");
        assert_eq!(names(folder.path()), ["house.json"]);
    }

    #[test]
    fn what_a_killed_program_left_is_cleared_and_what_is_being_written_stays() {
        let folder = tempfile::tempdir().unwrap();
        let being_written = temporary(folder.path()).unwrap();
        for name in [".deadfront-abc.part", "house.json", ".deadfront-notes", "other.part"] {
            fs::write(folder.path().join(name), "x").unwrap();
        }
        assert_eq!(clear_half_written(folder.path()), 1);
        assert!(being_written.path().exists());
        assert_eq!(names(folder.path()).len(), 4);
    }

    #[test]
    fn a_new_file_never_takes_the_place_of_another() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("house.json");
        let survey = crate::file::read_survey(crate::demo::DEMO.as_bytes()).unwrap();
        create(&path, &survey).unwrap();
        fs::write(&path, "mine").unwrap();
        assert!(create(&path, &survey).is_err());
        assert_eq!(fs::read_to_string(&path).unwrap(), "mine");
        assert_eq!(names(folder.path()), ["house.json"]);
    }

    #[cfg(unix)]
    #[test]
    fn a_link_stays_a_link_and_permissions_stay() {
        use std::os::unix::fs::{PermissionsExt, symlink};
        let folder = tempfile::tempdir().unwrap();
        let (path, link) = (folder.path().join("house.json"), folder.path().join("link.json"));
        fs::write(&path, "old").unwrap();
        fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
        symlink(&path, &link).unwrap();
        replace(&link, |file| file.write_all(b"new")).unwrap();
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
        assert_eq!(fs::read_to_string(&path).unwrap(), "new");
        assert_eq!(fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o640);
    }
}
