//! Taking a picture into the survey's photo folder.

use std::fs::File;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use deadfront_rules::finding::Said;
use deadfront_rules::say;
use sha2::{Digest, Sha256};

use super::decode;
use super::folder::{folder_of, write};
use crate::store::{Job, hexadecimal, why};

/// Longest side of a kept picture [pixels]: a nameplate stays readable, a house of photos stays small.
const LONGEST: u32 = 2000;
/// Largest file that is read [bytes].
const LARGEST: u64 = 200 * 1024 * 1024;

/// A picture in the photo folder, ready to become a photo of an item.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Taken {
    /// Its name in the photo folder: the first half of the SHA-256 of its content.
    pub file: String,
    /// When it was taken, by the camera's clock, and where if that was asked for; empty if not noted.
    pub caption: String,
    /// Width and height [pixels].
    pub size: (u32, u32),
}

/// Takes the picture in `source` into the photo folder of a survey, in another thread. `with_place`
/// writes the place where it was taken, if the camera noted it, into the caption; the kept
/// picture never holds it.
///
/// The result is an error with a plain sentence when the file is no whole picture, is too large, or the
/// folder cannot be written.
#[must_use]
pub fn take_in(survey: &Path, source: PathBuf, with_place: bool) -> Job<Result<Taken, Said>> {
    let folder = folder_of(survey);
    Job::start(move || {
        // A decoder that breaks off on a broken file is one more way of not reading it.
        std::panic::catch_unwind(|| take(&folder, &source, with_place)).unwrap_or_else(|_| {
            Err(Said::plain("this picture is broken and cannot be read; copy it from the camera again"))
        })
    })
}

fn take(folder: &Path, source: &Path, with_place: bool) -> Result<Taken, Said> {
    let bytes = read(source).map_err(|error| say!("this file cannot be read: {}", why(&error)))?;
    if bytes.len() as u64 > LARGEST {
        return Err(say!(
            "this file has more than {} MB; choose a smaller picture",
            (LARGEST >> 20) as usize
        ));
    }
    let picture = decode::read(&bytes, LONGEST)?;
    drop(bytes);
    let jpeg = decode::encode(&picture.pixels)?;
    let file = format!("{}.jpg", hexadecimal(&Sha256::digest(&jpeg)[..16]));
    let path = folder.join(&file);
    if !path.is_file() {
        write(&path, &jpeg).map_err(|error| say!("the photo cannot be kept: {}", why(&error)))?;
    }
    let caption = picture.notes.caption(with_place);
    Ok(Taken { file, caption, size: picture.pixels.dimensions() })
}

fn read(source: &Path) -> io::Result<Vec<u8>> {
    let file = File::open(source)?;
    let mut bytes = Vec::new();
    // Read no further than it takes to know that it is too much.
    file.take(LARGEST + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}
