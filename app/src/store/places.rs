//! Where this computer keeps a person's documents and the program's own data.

use std::path::{Path, PathBuf};

use directories::{ProjectDirs, UserDirs};

/// The folder of surveys in the person's documents.
const SURVEYS: &str = "Deadfront surveys";

/// The two folders that the program uses unless it is told otherwise.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Places {
    /// New surveys, unless another folder is named.
    pub documents: PathBuf,
    /// The recents list, and journals of surveys whose own folder cannot be written.
    pub data: PathBuf,
}

impl Places {
    /// The platform's own folders; `None` when the system names no home folder for this person.
    #[must_use]
    pub fn of_this_computer() -> Option<Self> {
        let user = UserDirs::new()?;
        let own = ProjectDirs::from("", "", "Deadfront")?;
        // Not every Linux desktop names a document folder.
        let documents = user.document_dir().unwrap_or_else(|| user.home_dir());
        Some(Self { documents: documents.join(SURVEYS), data: own.data_dir().to_owned() })
    }

    /// Both below one folder, for a portable installation and for tests.
    #[must_use]
    pub fn below(folder: &Path) -> Self {
        Self { documents: folder.join(SURVEYS), data: folder.join("data") }
    }
}
