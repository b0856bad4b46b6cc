//! Why something cannot be written, in plain words.

use std::io::{self, ErrorKind};

use deadfront_rules::finding::Said;
use deadfront_rules::say;

use crate::file::FileError;

/// The system's reason as half a sentence: `the disk is full`.
#[must_use]
pub(crate) fn why(reason: &io::Error) -> Said {
    match reason.kind() {
        // A file may grow no further: a limit that was set, or the file system's own.
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded | ErrorKind::FileTooLarge => {
            Said::plain("the disk is full")
        }
        ErrorKind::ReadOnlyFilesystem => Said::plain("the disk can only be read"),
        ErrorKind::PermissionDenied => Said::plain("its folder may not be written"),
        ErrorKind::NotFound => {
            Said::plain("its folder is not there; a stick or drive may have been taken out")
        }
        ErrorKind::AlreadyExists => Said::plain("there is a file of that name already"),
        ErrorKind::IsADirectory => Said::plain("a folder has that name"),
        _ => say!("the system says: {}", reason.to_string()),
    }
}

/// Why a survey file could not be saved.
pub(super) fn why_not_saved(error: &FileError) -> Said {
    match error {
        FileError::System { reason, .. } => why(reason),
        other => say!("{}", other.to_string()),
    }
}
