//! The two folders that may hold what belongs to a survey beside its file.

use std::ffi::OsString;
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};

use super::places::Places;
use super::state::hexadecimal;
use crate::file::folder_of;

/// The side folders of one survey.
#[derive(Debug, Clone)]
pub(super) struct Side {
    folders: [PathBuf; 2],
}

impl Side {
    /// Of the survey in the file `survey`, which must be its one true path (no links in it).
    pub(super) fn of(survey: &Path, places: &Places) -> Self {
        let mut name = OsString::from(".");
        name.push(survey.file_name().unwrap_or_default());
        name.push(".deadfront");
        let digest = Sha256::digest(survey.as_os_str().as_encoded_bytes());
        let own = places.data.join("surveys").join(hexadecimal(&digest[..16]));
        Self { folders: [folder_of(survey).join(name), own] }
    }

    /// Beside the survey first, then in the platform's data folder.
    pub(super) fn folders(&self) -> &[PathBuf; 2] {
        &self.folders
    }

    /// The folder of the last saved states, beside the survey.
    pub(super) fn states(&self) -> PathBuf {
        self.folders[0].join("states")
    }
}
