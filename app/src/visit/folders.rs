//! The folders in which a camera or telephone may put its pictures. The one that is watched is kept from
//! visit to visit.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use deadfront_rules::finding::Said;
use deadfront_rules::say;
use deadfront_ui::Folder;
use directories::UserDirs;
use serde::{Deserialize, Serialize};

use crate::file::replace;
use crate::store::Places;

/// What cameras, telephones and their programs call the folder inside the pictures, in lower case.
const CAMERA: [&str; 4] = ["camera", "camera roll", "dcim", "cámara"];

/// What was chosen, as it stands in the file.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Choice {
    /// The folder that is watched.
    pub(super) watched: Option<PathBuf>,
    /// The folder that was typed last; it stays on offer.
    pub(super) typed: Option<PathBuf>,
}

fn file(places: &Places) -> PathBuf {
    places.data.join("camera.json")
}

/// What was chosen the last time; nothing where there is no file yet or it cannot be read.
pub(super) fn read(places: &Places) -> Choice {
    let text = fs::read_to_string(file(places)).unwrap_or_default();
    serde_json::from_str(&text).unwrap_or_default()
}

/// Keeps what is chosen.
///
/// # Errors
/// When the folder of the program's data cannot be written.
pub(super) fn keep(places: &Places, choice: &Choice) -> io::Result<()> {
    use std::io::Write as _;
    fs::create_dir_all(&places.data)?;
    let text = serde_json::to_string_pretty(choice)?;
    replace(&file(places), |file| file.write_all(text.as_bytes()))
}

/// The folders of this person on this machine.
#[derive(Debug, Default)]
pub(super) struct Usual {
    pub(super) pictures: Option<PathBuf>,
    pub(super) downloads: Option<PathBuf>,
}

impl Usual {
    pub(super) fn of_this_machine() -> Self {
        let Some(user) = UserDirs::new() else { return Self::default() };
        Self {
            pictures: user.picture_dir().map(Path::to_owned),
            downloads: user.download_dir().map(Path::to_owned),
        }
    }

    /// The folders that are there and can be watched: pictures, the camera's inside them, downloads, and
    /// last the one that was typed.
    pub(super) fn offers(&self, choice: &Choice) -> Vec<Folder> {
        let camera = self.pictures.as_deref().and_then(camera_in);
        let usual = [
            (&self.pictures, say!("Pictures")),
            (&camera, say!("Camera")),
            (&self.downloads, say!("Downloads")),
        ];
        let there = |(path, name): (&Option<PathBuf>, Said)| {
            let path = path.clone().filter(|path| path.is_dir())?;
            Some((path, name.to_string()))
        };
        let mut named: Vec<(PathBuf, String)> = usual.into_iter().filter_map(there).collect();
        // One whose card is out for a while is offered too.
        for path in [&choice.typed, &choice.watched].into_iter().flatten() {
            if named.iter().all(|(other, _)| other != path) {
                named.push((path.clone(), path.to_string_lossy().into_owned()));
            }
        }
        let folder = |(path, name): (PathBuf, String)| Folder {
            is_watched: choice.watched.as_ref() == Some(&path),
            path: path.to_string_lossy().into_owned(),
            name,
        };
        named.into_iter().map(folder).collect()
    }
}

/// The folder of a camera inside the pictures.
fn camera_in(pictures: &Path) -> Option<PathBuf> {
    let folders = fs::read_dir(pictures).ok()?.flatten().map(|entry| entry.path());
    let is_camera = |path: &PathBuf| {
        let name = path.file_name().map(|name| name.to_string_lossy().to_lowercase());
        name.is_some_and(|name| CAMERA.contains(&name.as_str())) && path.is_dir()
    };
    // Of several, always the same.
    folders.filter(is_camera).min()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(usual: &Usual, watched: &Path, typed: Option<&str>) -> Vec<(String, bool)> {
        let choice = Choice { watched: Some(watched.to_owned()), typed: typed.map(PathBuf::from) };
        usual.offers(&choice).into_iter().map(|folder| (folder.name, folder.is_watched)).collect()
    }

    #[test]
    fn what_was_chosen_is_there_the_next_time_and_a_broken_file_gives_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let places = Places::below(folder.path());
        assert_eq!(read(&places), Choice::default());
        let choice = Choice { watched: Some("/media/card/DCIM".into()), typed: Some("/media/stick".into()) };
        keep(&places, &choice).unwrap();
        assert_eq!(read(&places), choice);
        fs::write(file(&places), "[").unwrap();
        assert_eq!(read(&places), Choice::default());
    }

    #[test]
    fn folders_that_are_there_are_offered_once_with_the_watched_one_marked() {
        let home = tempfile::tempdir().unwrap();
        let (pictures, downloads) = (home.path().join("Bilder"), home.path().join("Downloads"));
        let usual = Usual { pictures: Some(pictures.clone()), downloads: Some(downloads.clone()) };
        assert_eq!(usual.offers(&Choice::default()), []);
        fs::create_dir_all(pictures.join("Camera Roll")).unwrap();
        fs::create_dir_all(pictures.join("Holiday")).unwrap();
        fs::create_dir(&downloads).unwrap();
        let marked = |at: usize| -> Vec<(String, bool)> {
            let all = ["Pictures", "Camera", "Downloads"].into_iter().enumerate();
            all.map(|(nth, name)| (name.to_owned(), nth == at)).collect()
        };
        assert_eq!(names(&usual, &pictures, None), marked(0));
        assert_eq!(names(&usual, &pictures.join("Camera Roll"), None), marked(1));
        assert_eq!(names(&usual, &downloads, downloads.to_str()), marked(2));
    }

    #[test]
    fn a_typed_folder_stays_on_offer_even_while_its_card_is_out() {
        let home = tempfile::tempdir().unwrap();
        let usual = Usual { pictures: Some(home.path().to_owned()), downloads: None };
        let card = || "/media/card".to_owned();
        assert_eq!(
            names(&usual, home.path(), Some("/media/card")),
            [("Pictures".into(), true), (card(), false)]
        );
        let watched = names(&usual, Path::new("/media/card"), Some("/media/card"));
        assert_eq!(watched, [("Pictures".into(), false), (card(), true)]);
    }
}
