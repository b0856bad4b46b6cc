//! The pictures of a survey's photos, given to a report: it opens no file itself.

use std::collections::BTreeMap;
use std::sync::Arc;

use deadfront_rules::survey::Survey;

use crate::sign::sha256;

/// What became of a photo's picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Shot {
    /// Its JPEG as it goes onto paper, byte for byte.
    Whole(Arc<[u8]>),
    /// No such file is in the photo folder.
    Missing,
    /// It cannot be read as a picture.
    Broken,
    /// Its name is that of another content: the file is not the picture that was attached.
    Swapped,
    /// Its name leads out of the photo folder.
    Outside,
}

impl Shot {
    pub(super) const WITHOUT: [Self; 4] = [Self::Missing, Self::Broken, Self::Swapped, Self::Outside];

    /// Why there is nothing to see; none for a picture.
    #[must_use]
    pub fn why(&self) -> Option<&'static str> {
        match self {
            Self::Whole(_) => None,
            Self::Missing => Some("This photo was not in the photo folder when the paper was made."),
            Self::Broken => Some("This photo is broken and cannot be read."),
            Self::Swapped => Some("This file is not the picture that was attached: its content was changed."),
            Self::Outside => Some("The survey names a photo outside of its photo folder; it was not opened."),
        }
    }

    /// What stands for it in the PDF's information.
    fn mark(&self) -> String {
        match self {
            Self::Whole(bytes) => sha256(bytes),
            Self::Missing => "missing".to_owned(),
            Self::Broken => "broken".to_owned(),
            Self::Swapped => "swapped".to_owned(),
            Self::Outside => "outside".to_owned(),
        }
    }
}

/// Pictures by the file names that the survey's photos bear.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Pictures(BTreeMap<String, Shot>);

impl Pictures {
    /// No picture at all: every photo counts as missing.
    pub const NONE: &'static Self = &Self(BTreeMap::new());

    /// Asks `shot` for the picture of each photo of a survey, once for each file.
    pub fn of(survey: &Survey, mut shot: impl FnMut(&str) -> Shot) -> Self {
        let mut pictures = BTreeMap::new();
        for photo in &survey.photos {
            if !pictures.contains_key(&photo.file) {
                pictures.insert(photo.file.clone(), shot(&photo.file));
            }
        }
        Self(pictures)
    }

    /// The picture of a file.
    #[must_use]
    pub fn get(&self, file: &str) -> &Shot {
        self.0.get(file).unwrap_or(&Shot::Missing)
    }

    /// The list of a survey's pictures for the PDF's information: of each file the SHA-256 of the bytes that
    /// are in the PDF, or a word for why it is not there.
    pub(super) fn entry(&self, survey: &Survey) -> String {
        let marks: BTreeMap<&str, String> =
            survey.photos.iter().map(|photo| (photo.file.as_str(), self.get(&photo.file).mark())).collect();
        serde_json::to_string(&marks).unwrap_or_default()
    }

    /// The pictures that such a list names, taken from `found` by their SHA-256; and the files whose picture
    /// is not found there. `None` where it is no such list.
    pub(crate) fn listed(entry: &str, found: &BTreeMap<String, Arc<[u8]>>) -> Option<(Self, Vec<String>)> {
        let marks: BTreeMap<String, String> = serde_json::from_str(entry).ok()?;
        let (mut pictures, mut lost) = (BTreeMap::new(), Vec::new());
        for (file, mark) in marks {
            let without = Shot::WITHOUT.into_iter().find(|shot| shot.mark() == mark);
            match (without, found.get(&mark)) {
                (Some(shot), _) => drop(pictures.insert(file, shot)),
                (None, Some(bytes)) => drop(pictures.insert(file, Shot::Whole(bytes.clone()))),
                (None, None) => lost.push(file),
            }
        }
        Some((Self(pictures), lost))
    }

    /// The pictures that are here, by file.
    pub(crate) fn shown(&self) -> impl Iterator<Item = (&str, &[u8])> {
        self.0.iter().filter_map(|(file, shot)| match shot {
            Shot::Whole(bytes) => Some((file.as_str(), bytes.as_ref())),
            _ => None,
        })
    }
}

/// Digits of a name made from the content: the first half of a SHA-256.
const NAME_DIGITS: usize = 32;

/// Whether a file name was made from a content: digits in hexadecimal and the ending `.jpg`.
#[must_use]
pub fn is_content_name(file: &str) -> bool {
    let stem = file.strip_suffix(".jpg").unwrap_or_default();
    stem.len() == NAME_DIGITS && stem.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'a'..=b'f'))
}

/// Whether a file name was made from this content.
#[must_use]
pub fn is_name_of(file: &str, bytes: &[u8]) -> bool {
    is_content_name(file) && sha256(bytes).starts_with(file.strip_suffix(".jpg").unwrap_or_default())
}
