//! Photos: pictures that can be had, pictures under way, small pictures for the screen.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use deadfront_rules::finding::Said;
use deadfront_rules::say;
use deadfront_rules::survey::Id;
use deadfront_ui::Folder;

use super::Visit;
use super::folders::{self, Choice, Usual};
use crate::photo::{CameraFolder, Small, Taken, large, small, take_in};
use crate::store::{Job, Places, Poll, Session};

/// How many pictures are offered.
const OFFERED: usize = 30;

/// A picture being taken in.
#[derive(Debug)]
struct Taking {
    /// What it is of.
    item: Id,
    /// The file it comes from.
    source: PathBuf,
    job: Job<Result<Taken, Said>>,
}

/// What goes on with photos.
#[derive(Debug, Default)]
pub(super) struct Photos {
    camera: Option<CameraFolder>,
    choice: Choice,
    usual: Usual,
    taking: Vec<Taking>,
    /// Small pictures being made.
    making: Vec<(Id, Job<Result<Small, Said>>)>,
    small: BTreeMap<Id, Small>,
    asked: Vec<Id>,
    /// The photo that is being read to fill the window.
    reading: Option<(Id, Job<Result<Small, Said>>)>,
}

impl Photos {
    /// Begins with the photos of a survey.
    pub(super) fn begin(&mut self, session: &Session, places: &Places) {
        self.taking.clear();
        self.making.clear();
        self.small.clear();
        self.asked.clear();
        self.reading = None;
        if self.choice.watched.is_none() {
            self.usual = Usual::of_this_machine();
            self.choice = folders::read(places);
            self.choice.watched = self.choice.watched.take().or_else(|| self.usual.pictures.clone());
            self.look();
        }
        self.follow(Some(session));
    }

    /// Watches a folder from now on; one that was typed stays on offer.
    fn choose(&mut self, folder: &Path) -> Result<(), Said> {
        self.camera = Some(CameraFolder::watch(folder)?);
        if !self.usual.offers(&Choice::default()).iter().any(|usual| Path::new(&usual.path) == folder) {
            self.choice.typed = Some(folder.to_owned());
        }
        self.choice.watched = Some(folder.to_owned());
        Ok(())
    }

    pub(super) fn look(&mut self) {
        match (&mut self.camera, &self.choice.watched) {
            (Some(camera), _) => {
                camera.look();
            }
            // Its card was out when the program began.
            (None, Some(folder)) => self.camera = CameraFolder::watch(folder).ok(),
            (None, None) => {}
        }
    }

    /// Has small pictures made of photos that have none yet.
    pub(super) fn follow(&mut self, session: Option<&Session>) {
        let Some(session) = session else { return };
        for photo in &session.survey().photos {
            if !self.asked.contains(&photo.id) {
                self.asked.push(photo.id.clone());
                self.making.push((photo.id.clone(), small(session.path(), &photo.file)));
            }
        }
    }

    /// The folders that can be watched.
    fn folders(&self) -> Vec<Folder> {
        self.usual.offers(&self.choice)
    }

    /// The pictures that can be had, the newest first: paths and names.
    fn pictures(&mut self) -> Vec<(String, String)> {
        let new = self.camera.as_mut().map(|camera| camera.look().to_vec()).unwrap_or_default();
        let mut files: Vec<(SystemTime, PathBuf)> = self
            .choice
            .watched
            .iter()
            .flat_map(std::fs::read_dir)
            .flatten()
            .flatten()
            .map(|entry| entry.path())
            .filter(|path| is_picture(path))
            .filter_map(|path| Some((changed(&path)?, path)))
            .collect();
        // New ones are found in folders inside it too.
        let deeper = new.iter().filter(|path| path.parent() != self.choice.watched.as_deref());
        files.extend(deeper.filter_map(|path| Some((changed(path)?, path.clone()))));
        files.sort_by(|a, b| b.cmp(a));
        let named = files.into_iter().map(|(_, path)| {
            let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
            let name = if new.contains(&path) { say!("{} (new)", name).to_string() } else { name };
            (path.to_string_lossy().into_owned(), name)
        });
        named.take(OFFERED).collect()
    }
}

fn changed(path: &Path) -> Option<SystemTime> {
    path.metadata().ok()?.modified().ok()
}

fn is_picture(path: &Path) -> bool {
    let extension = path.extension().unwrap_or_default().to_string_lossy().to_ascii_lowercase();
    matches!(extension.as_str(), "jpg" | "jpeg" | "png")
}

impl Visit {
    /// Offers folders and pictures for a photo of an item.
    pub(super) fn offer_photos(&mut self, item: &Id) {
        let (folders, pictures) = (self.photos.folders(), self.photos.pictures());
        self.window.offer_photos(item, folders, pictures);
    }

    /// Watches a folder, also after the next start.
    fn watch_folder(&mut self, folder: &Path) {
        // As it is found from wherever the program is started.
        let folder = std::path::absolute(folder).unwrap_or_else(|_| folder.to_owned());
        let kept = match self.photos.choose(&folder) {
            Ok(()) => folders::keep(&self.places, &self.photos.choice),
            Err(why) => return self.window.say(&why.to_string()),
        };
        if let Err(why) = kept {
            self.window.say(&why.to_string());
        }
    }

    /// Takes a picture in for an item; a folder is watched instead, and its pictures are offered.
    pub(super) fn take_photo(&mut self, item: Id, path: &str, with_place: bool) {
        let path = PathBuf::from(path);
        if path.is_dir() {
            self.watch_folder(&path);
            self.offer_photos(&item);
            return;
        }
        let Some(session) = &self.session else { return };
        // Where a house stands is nobody's business but the owner's: the place is kept only where it is wanted.
        let job = take_in(session.path(), path.clone(), with_place);
        self.photos.taking.push(Taking { item, source: path, job });
    }

    /// Reads a photo to fill the window; one that was under way is let go.
    pub(super) fn view_photo(&mut self, id: Id) {
        let Some(session) = &self.session else { return };
        let Some(photo) = session.survey().photos.iter().find(|photo| photo.id == id) else { return };
        self.photos.reading = Some((id, large(session.path(), &photo.file)));
    }

    fn collect_large(&mut self) {
        let Some((id, job)) = &mut self.photos.reading else { return };
        let id = id.clone();
        match job.poll() {
            Poll::Working => return,
            Poll::Done(Ok(picture)) => {
                let Small { width, height, rgb } = picture;
                self.window.show_large_picture(id, Ok((width, height, &rgb)));
            }
            Poll::Done(Err(why)) => self.window.show_large_picture(id, Err(why.to_string())),
            Poll::Failed => {
                let why = Said::plain("this picture is broken and cannot be read").to_string();
                self.window.show_large_picture(id, Err(why));
            }
        }
        self.photos.reading = None;
    }

    /// Collects pictures that were taken in and small pictures that were made.
    pub(super) fn collect_photos(&mut self) {
        let mut at = 0;
        while at < self.photos.taking.len() {
            match self.photos.taking[at].job.poll() {
                Poll::Working => at += 1,
                done => {
                    let Taking { item, source, .. } = self.photos.taking.remove(at);
                    if let (Poll::Done(Ok(_)), Some(camera)) = (&done, &mut self.photos.camera) {
                        camera.done_with(&source);
                    }
                    self.taken(&item, done);
                }
            }
        }
        self.collect_small();
        self.collect_large();
    }

    fn taken(&mut self, item: &Id, taken: Poll<Result<Taken, Said>>) {
        match taken {
            Poll::Done(Ok(taken)) => self.change_facts(|session| session.attach(item, &taken).map(|_| ())),
            Poll::Done(Err(why)) => self.window.say(&why.to_string()),
            _ => self.window.say(&Said::plain("This picture could not be taken in.").to_string()),
        }
    }

    fn collect_small(&mut self) {
        let before = self.photos.making.len();
        let Photos { making, small, .. } = &mut self.photos;
        making.retain(|(id, job)| match job.poll() {
            Poll::Working => true,
            Poll::Done(Ok(picture)) => {
                small.insert(id.clone(), picture);
                false
            }
            _ => false,
        });
        if making.len() < before {
            let pictures = small
                .iter()
                .map(|(id, picture)| (id.clone(), picture.width, picture.height, picture.rgb.clone()));
            self.window.set_small_pictures(pictures);
        }
    }
}
