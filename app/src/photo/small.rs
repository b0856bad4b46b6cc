//! Small pictures for lists, made once and kept; and a photo as it is kept, for the whole window.

use std::fs;
use std::path::{Path, PathBuf};

use deadfront_rules::finding::Said;
use deadfront_rules::say;

use super::decode::{self, Picture};
use super::folder::{folder_of, is_file_name, write};
use crate::store::{Job, why};

/// Longest side of a small picture [pixels].
const LONGEST: u32 = 256;
/// The folder of small pictures in the photo folder.
const FOLDER: &str = ".small";

/// Longest side of a picture that fills the window [pixels]; as large as it is kept.
const LARGE: u32 = 2000;

/// A picture ready for the screen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Small {
    /// Width [pixels].
    pub width: u32,
    /// Height [pixels].
    pub height: u32,
    /// Red, green, blue, row by row from the top.
    pub rgb: Vec<u8>,
}

/// The small picture of a photo of the survey in this file, at most 256 pixels, made in another thread.
///
/// The result is an error with a plain sentence when the photo is not there or is no picture.
#[must_use]
pub fn small(survey: &Path, file: &str) -> Job<Result<Small, Said>> {
    start(survey, file, make)
}

/// The picture of a photo as large as it is kept, read in another thread; errors as for [`small`].
#[must_use]
pub fn large(survey: &Path, file: &str) -> Job<Result<Small, Said>> {
    start(survey, file, |folder, file| {
        may_open(file)?;
        decode::read(&read(folder, file)?, LARGE).map(Small::from)
    })
}

fn start(
    survey: &Path,
    file: &str,
    make: fn(&Path, &str) -> Result<Small, Said>,
) -> Job<Result<Small, Said>> {
    let (folder, file) = (folder_of(survey), file.to_owned());
    Job::start(move || {
        let made = std::panic::catch_unwind(|| make(&folder, &file));
        made.unwrap_or_else(|_| Err(Said::plain("this picture is broken and cannot be read")))
    })
}

fn may_open(file: &str) -> Result<(), Said> {
    if is_file_name(file) {
        return Ok(());
    }
    Err(Said::plain("the survey names a photo outside of its photo folder; it is not opened"))
}

fn read(folder: &Path, file: &str) -> Result<Vec<u8>, Said> {
    fs::read(folder.join(file)).map_err(|error| match error.kind() {
        std::io::ErrorKind::NotFound => Said::plain("this photo is not in the survey's photo folder"),
        _ => say!("this photo cannot be read: {}", why(&error)),
    })
}

fn make(folder: &Path, file: &str) -> Result<Small, Said> {
    may_open(file)?;
    let cached = cached(folder, file);
    if let Some(small) = fs::read(&cached).ok().and_then(|bytes| decode::read(&bytes, LONGEST).ok()) {
        return Ok(small.into());
    }
    let small = decode::read(&read(folder, file)?, LONGEST)?;
    if let Ok(jpeg) = decode::encode(&small.pixels) {
        // Where it cannot be kept it is made again the next time.
        let _ = write(&cached, &jpeg);
    }
    Ok(small.into())
}

fn cached(folder: &Path, file: &str) -> PathBuf {
    let mut name = file.to_owned();
    if !name.ends_with(".jpg") {
        name.push_str(".jpg");
    }
    folder.join(FOLDER).join(name)
}

impl From<Picture> for Small {
    fn from(picture: Picture) -> Self {
        let (width, height) = picture.pixels.dimensions();
        Self { width, height, rgb: picture.pixels.into_raw() }
    }
}
