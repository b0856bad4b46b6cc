//! One window at a time on one survey. The system's own file lock: it ends with the process that
//! holds it, however that ends, so that a lock left by a killed program is no lock.

use std::fs::{File, TryLockError};
use std::io;
use std::path::Path;

use super::side::Side;
use crate::file::make_folder;

/// Held while a survey is open.
#[derive(Debug)]
pub(super) struct Lock {
    _file: File,
}

/// What came of trying to lock.
#[derive(Debug)]
pub(super) enum Locked {
    /// The survey is ours.
    Ours(Lock),
    /// Another window has it.
    Elsewhere,
    /// Neither folder keeps locks; nothing protects from a second window.
    Impossible,
}

/// Locks the survey that `side` belongs to.
pub(super) fn lock(side: &Side) -> Locked {
    for folder in side.folders() {
        // Where the folder cannot be made, opening fails too.
        let _ = make_folder(folder);
        match open(&folder.join("lock")).map(|file| file.try_lock().map(|()| file)) {
            Ok(Ok(file)) => return Locked::Ours(Lock { _file: file }),
            Ok(Err(TryLockError::WouldBlock)) => return Locked::Elsewhere,
            Ok(Err(TryLockError::Error(_))) | Err(_) => {}
        }
    }
    Locked::Impossible
}

/// A lock can be taken on a file that can only be read, too: the folder may have become read-only
/// while another window has the survey.
fn open(path: &Path) -> io::Result<File> {
    let own = File::options().create(true).truncate(false).write(true).open(path);
    own.or_else(|_| File::open(path))
}
