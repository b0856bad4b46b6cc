//! Photos: pictures that can be had, pictures under way, small pictures for the screen.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use deadfront_rules::finding::Said;
use deadfront_rules::survey::Id;
use directories::UserDirs;

use super::Visit;
use crate::photo::{CameraFolder, Small, Taken, small, take_in};
use crate::store::{Job, Poll, Session};

/// How many pictures are offered.
const OFFERED: usize = 30;

/// What goes on with photos.
#[derive(Debug, Default)]
pub(super) struct Photos {
    camera: Option<CameraFolder>,
    folder: Option<PathBuf>,
    /// Pictures being taken in, with the items they are of.
    taking: Vec<(Id, Job<Result<Taken, Said>>)>,
    /// Small pictures being made.
    making: Vec<(Id, Job<Result<Small, Said>>)>,
    small: BTreeMap<Id, Small>,
    asked: Vec<Id>,
}

impl Photos {
    /// Begins with the photos of a survey.
    pub(super) fn begin(&mut self, session: &Session) {
        self.taking.clear();
        self.making.clear();
        self.small.clear();
        self.asked.clear();
        if self.folder.is_none() {
            let pictures = UserDirs::new().and_then(|user| user.picture_dir().map(Path::to_owned));
            pictures.into_iter().for_each(|folder| self.watch(&folder));
        }
        self.follow(Some(session));
    }

    /// Watches a folder; one that is not there is not watched.
    fn watch(&mut self, folder: &Path) {
        self.camera = CameraFolder::watch(folder).ok();
        self.folder = Some(folder.to_owned());
    }

    pub(super) fn look(&mut self) {
        if let Some(camera) = &mut self.camera {
            camera.look();
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

    /// The pictures that can be had, the newest first: paths and names.
    pub(super) fn offers(&mut self) -> Vec<(String, String)> {
        let new = self.camera.as_mut().map(|camera| camera.look().to_vec()).unwrap_or_default();
        let mut files: Vec<(SystemTime, PathBuf)> = self
            .folder
            .iter()
            .flat_map(std::fs::read_dir)
            .flatten()
            .flatten()
            .map(|entry| entry.path())
            .filter(|path| is_picture(path))
            .filter_map(|path| Some((path.metadata().ok()?.modified().ok()?, path)))
            .collect();
        files.sort_by(|a, b| b.cmp(a));
        let files = files.into_iter().map(|(_, path)| path).take(OFFERED);
        let is_new = |path: &PathBuf| new.contains(path);
        files
            .map(|path| {
                let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
                let name = if is_new(&path) { format!("{name} (new)") } else { name };
                (path.to_string_lossy().into_owned(), name)
            })
            .collect()
    }
}

fn is_picture(path: &Path) -> bool {
    let extension = path.extension().unwrap_or_default().to_string_lossy().to_ascii_lowercase();
    matches!(extension.as_str(), "jpg" | "jpeg" | "png")
}

impl Visit {
    /// Takes a picture in for an item; a folder is watched instead, and its pictures are offered.
    pub(super) fn take_photo(&mut self, item: Id, path: &str) {
        let path = PathBuf::from(path);
        if path.is_dir() {
            self.photos.watch(&path);
            let offers = self.photos.offers();
            self.window.offer_photos(&item, offers);
            return;
        }
        let Some(session) = &self.session else { return };
        self.photos.taking.push((item, take_in(session.path(), path, false)));
    }

    /// Collects pictures that were taken in and small pictures that were made.
    pub(super) fn collect_photos(&mut self) {
        let mut at = 0;
        while at < self.photos.taking.len() {
            match self.photos.taking[at].1.poll() {
                Poll::Working => at += 1,
                done => {
                    let (item, _) = self.photos.taking.remove(at);
                    self.taken(&item, done);
                }
            }
        }
        self.collect_small();
    }

    fn taken(&mut self, item: &Id, taken: Poll<Result<Taken, Said>>) {
        match taken {
            Poll::Done(Ok(taken)) => self.change(|session| session.attach(item, &taken).map(|_| ())),
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
