//! The photo that lies large over the page.

use deadfront_rules::survey::{Id, Photo};
use slint::{ComponentHandle as _, Image, SharedString};

use crate::generated::{DeadfrontWindow, Viewer};
use crate::models::row_number;
use crate::shown::Shown;
use crate::words::capital;

/// What is shown, and what has been read for it.
#[derive(Default)]
pub(crate) struct Viewing {
    photo: Option<Id>,
    /// The large picture of one photo, or why there is none.
    read: Option<(Id, Result<Image, String>)>,
}

impl Viewing {
    /// Opens a photo; whether its large picture must be read first.
    pub(crate) fn open(&mut self, photo: Id) -> bool {
        let to_read = self.read.as_ref().is_none_or(|(id, _)| *id != photo);
        self.photo = Some(photo);
        to_read
    }

    pub(crate) fn close(&mut self) {
        // A large picture takes megabytes; it is read again when it is wanted again.
        *self = Self::default();
    }

    /// The photo so many places further among those of its item; none past an end.
    pub(crate) fn turned(&self, shown: &Shown, by: i32) -> Option<Id> {
        let (all, at) = self.among(shown)?;
        let wanted = at.checked_add_signed(isize::try_from(by).ok()?)?;
        all.get(wanted).map(|photo| photo.id.clone())
    }

    /// A picture was read, or not. One that is no longer wanted is let go.
    pub(crate) fn take(&mut self, photo: Id, picture: Result<Image, String>) {
        if self.photo.as_ref() == Some(&photo) {
            self.read = Some((photo, picture));
        }
    }

    /// The photos of the item, and which of them is shown.
    fn among<'a>(&self, shown: &'a Shown) -> Option<(Vec<&'a Photo>, usize)> {
        let photos = &shown.survey.photos;
        let wanted = self.photo.as_ref()?;
        let of = &photos.iter().find(|photo| photo.id == *wanted)?.of;
        let all: Vec<&Photo> = photos.iter().filter(|photo| photo.of == *of).collect();
        let at = all.iter().position(|photo| photo.id == *wanted)?;
        Some((all, at))
    }

    /// Fills the sheet; a photo that is gone closes it. Until the large picture is read the small one stands in.
    pub(crate) fn fill(
        &mut self,
        window: &DeadfrontWindow,
        shown: &Shown,
        small: impl Fn(&Id) -> Option<Image>,
    ) {
        let viewer = window.global::<Viewer>();
        let Some((all, at)) = self.among(shown) else {
            self.close();
            viewer.set_open(false);
            return;
        };
        let photo = all[at];
        let read = self.read.as_ref().filter(|(id, _)| *id == photo.id).map(|(_, read)| read);
        let (picture, problem) = match read {
            Some(Ok(picture)) => (picture.clone(), SharedString::new()),
            Some(Err(why)) => (Image::default(), sentence(why)),
            None => (small(&photo.id).unwrap_or_default(), SharedString::new()),
        };
        viewer.set_id(photo.id.as_str().into());
        viewer.set_item(shown.described(&photo.of).1.into());
        viewer.set_caption(photo.caption.as_str().into());
        viewer.set_at(row_number(at + 1));
        viewer.set_count(row_number(all.len()));
        viewer.set_picture(picture);
        viewer.set_problem(problem);
        viewer.set_open(true);
    }
}

/// A reason as it stands alone.
fn sentence(why: &str) -> SharedString {
    let end = if why.ends_with('.') { "" } else { "." };
    format!("{}{end}", capital(why)).into()
}
