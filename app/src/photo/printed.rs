//! Pictures for paper, read from the photo folder.

use std::fs;
use std::path::Path;

use deadfront_rules::survey::Survey;

use super::decode;
use super::folder::is_file_name;
use crate::file;
use crate::paper::is_bare_jpeg;
use crate::report::{Pictures, Shot, is_content_name, is_name_of};

/// Longest side of a picture that has to be made anew [pixels].
const LONGEST: u32 = 2000;

/// The pictures of a survey's photos from its photo folder. What cannot be had is told in the result, which
/// never fails.
#[must_use]
pub fn pictures(survey: &Survey, folder: &Path) -> Pictures {
    Pictures::of(survey, |file| {
        // A decoder that breaks off on a broken file is one more way of not reading it.
        std::panic::catch_unwind(|| shot(folder, file)).unwrap_or(Shot::Broken)
    })
}

fn shot(folder: &Path, file: &str) -> Shot {
    if !is_file_name(file) {
        return Shot::Outside;
    }
    let path = folder.join(file);
    // A link could lead to any file of this computer.
    if !fs::symlink_metadata(&path).is_ok_and(|about| about.is_file()) {
        return Shot::Missing;
    }
    let Ok(bytes) = file::read_file(&path) else { return Shot::Broken };
    if is_content_name(file) && !is_name_of(file, &bytes) {
        return Shot::Swapped;
    }
    ready(file, bytes).map_or(Shot::Broken, |bytes| Shot::Whole(bytes.into()))
}

/// The JPEG for paper: the file itself where it holds nothing but a picture. One that bears the name of its
/// content was written by this program, whole and with nothing else in it; any other is decoded to see that it
/// can be.
fn ready(file: &str, bytes: Vec<u8>) -> Option<Vec<u8>> {
    let bare = is_bare_jpeg(&bytes);
    if is_content_name(file) {
        return Some(bytes).filter(|_| bare);
    }
    let picture = decode::read(&bytes, LONGEST).ok()?;
    if bare { Some(bytes) } else { decode::encode(&picture.pixels).ok() }
}
