//! A folder into which a camera or telephone puts its pictures: what is new since the session began.

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use deadfront_rules::finding::Said;
use deadfront_rules::say;

use crate::store::{Job, Poll, why};

/// How many folders deep pictures are looked for: cameras make `DCIM/100ABCDE`.
const DEEP: usize = 3;
/// Most files that are looked at.
const MOST: usize = 50_000;
/// Endings of pictures that can be taken in.
const ENDINGS: [&str; 3] = ["jpg", "jpeg", "png"];

/// A watched folder. Nothing runs on its own: each [`look`](Self::look) collects the last search and starts the
/// next in another thread.
#[derive(Debug)]
pub struct CameraFolder {
    folder: PathBuf,
    search: Job<io::Result<Listing>>,
    /// What lay there at the first look.
    before: Option<Listing>,
    last: Listing,
    new: Vec<PathBuf>,
}

type Listing = BTreeMap<PathBuf, Stand>;

/// By which it shows that a picture is still being written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Stand {
    bytes: u64,
    changed: Option<SystemTime>,
}

impl CameraFolder {
    /// Begins to watch.
    ///
    /// # Errors
    /// When there is no such folder.
    pub fn watch(folder: &Path) -> Result<Self, Said> {
        fs::read_dir(folder).map_err(|error| say!("this folder cannot be watched: {}", why(&error)))?;
        let folder = folder.to_owned();
        let search = search(&folder);
        Ok(Self { folder, search, before: None, last: Listing::new(), new: Vec::new() })
    }

    /// The pictures that came since watching began and are written to their end, the oldest first. Returns at
    /// once with what is known; to be called every two seconds or so. A folder that is gone for a while (a card
    /// that is out) keeps its list.
    pub fn look(&mut self) -> &[PathBuf] {
        match self.search.poll() {
            Poll::Working => return &self.new,
            Poll::Done(Ok(listing)) => self.take(listing),
            Poll::Done(Err(_)) | Poll::Failed => {}
        }
        self.search = search(&self.folder);
        &self.new
    }

    /// Takes a picture off the list, when it was attached or is not wanted.
    pub fn done_with(&mut self, picture: &Path) {
        self.new.retain(|path| path != picture);
        if let (Some(before), Some(stand)) = (&mut self.before, self.last.get(picture)) {
            before.insert(picture.to_owned(), *stand);
        }
    }

    fn take(&mut self, listing: Listing) {
        let Some(before) = &self.before else {
            self.last.clone_from(&listing);
            self.before = Some(listing);
            return;
        };
        let is_new = |path: &Path, stand: &Stand| {
            before.get(path) != Some(stand) && self.last.get(path) == Some(stand) && stand.bytes > 0
        };
        let mut new: Vec<_> = listing.iter().filter(|(path, stand)| is_new(path, stand)).collect();
        new.sort_by(|a, b| (a.1.changed, a.0).cmp(&(b.1.changed, b.0)));
        self.new = new.into_iter().map(|(path, _)| path.clone()).collect();
        self.last = listing;
    }
}

fn search(folder: &Path) -> Job<io::Result<Listing>> {
    let folder = folder.to_owned();
    Job::start(move || {
        let mut listing = Listing::new();
        list(&folder, DEEP, &mut listing)?;
        Ok(listing)
    })
}

fn list(folder: &Path, deep: usize, listing: &mut Listing) -> io::Result<()> {
    for entry in fs::read_dir(folder)? {
        let Ok(entry) = entry else { continue };
        let (path, Ok(kind)) = (entry.path(), entry.file_type()) else { continue };
        // Links are not followed: they may lead in a circle.
        if kind.is_dir() && deep > 1 {
            let _ = list(&path, deep - 1, listing);
        } else if kind.is_file() && is_picture(&path) && listing.len() < MOST {
            let Ok(found) = entry.metadata() else { continue };
            listing.insert(path, Stand { bytes: found.len(), changed: found.modified().ok() });
        }
    }
    Ok(())
}

/// By its ending; hidden files are what a program is still writing.
fn is_picture(path: &Path) -> bool {
    let hidden = path.file_name().is_none_or(|name| name.to_string_lossy().starts_with('.'));
    let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase());
    !hidden && ending.is_some_and(|ending| ENDINGS.contains(&ending.as_str()))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One search and one look.
    fn look(camera: &mut CameraFolder) -> Vec<String> {
        let mut listing = Listing::new();
        if list(&camera.folder, DEEP, &mut listing).is_ok() {
            camera.take(listing);
        }
        let names = camera.new.iter();
        names.map(|path| path.file_name().unwrap().to_string_lossy().into_owned()).collect()
    }

    #[test]
    fn looking_never_waits_and_finds_the_picture_in_the_end() {
        let folder = tempfile::tempdir().unwrap();
        let mut camera = CameraFolder::watch(folder.path()).unwrap();
        while camera.before.is_none() {
            camera.look();
        }
        fs::write(folder.path().join("a.png"), "picture").unwrap();
        let begun = std::time::Instant::now();
        while camera.look().is_empty() {
            assert!(begun.elapsed().as_secs() < 20, "the picture was never seen");
        }
        assert_eq!(camera.look(), [folder.path().join("a.png")]);
    }

    #[test]
    fn only_new_and_finished_pictures_are_listed() {
        let folder = tempfile::tempdir().unwrap();
        let deep = folder.path().join("DCIM/100AAAAA");
        fs::create_dir_all(&deep).unwrap();
        fs::write(deep.join("old.jpg"), "old").unwrap();
        let mut camera = CameraFolder::watch(folder.path()).unwrap();
        assert_eq!(look(&mut camera), [""; 0]);
        fs::write(deep.join("new.JPG"), "half").unwrap();
        fs::write(deep.join("notes.txt"), "x").unwrap();
        fs::write(deep.join(".hidden.jpg"), "x").unwrap();
        look(&mut camera);
        fs::write(deep.join("new.JPG"), "whole picture").unwrap();
        let still_growing = look(&mut camera);
        assert_eq!(still_growing, [""; 0]);
        look(&mut camera);
        look(&mut camera);
        assert_eq!(look(&mut camera), ["new.JPG"]);
        camera.done_with(&deep.join("new.JPG"));
        assert_eq!(look(&mut camera), [""; 0]);
        assert_eq!(look(&mut camera), [""; 0]);
    }

    #[test]
    fn a_card_that_is_out_for_a_while_brings_nothing_old_back() {
        let place = tempfile::tempdir().unwrap();
        let folder = place.path().join("card");
        fs::create_dir(&folder).unwrap();
        fs::write(folder.join("old.jpg"), "old").unwrap();
        let mut camera = CameraFolder::watch(&folder).unwrap();
        look(&mut camera);
        let out = place.path().join("out");
        fs::rename(&folder, &out).unwrap();
        look(&mut camera);
        look(&mut camera);
        fs::rename(&out, &folder).unwrap();
        for _ in 0..4 {
            assert_eq!(look(&mut camera), [""; 0]);
        }
        assert!(CameraFolder::watch(Path::new("/no/such/folder")).is_err());
    }
}
