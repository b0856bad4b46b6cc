//! One line of the journal: checksum, blank, JSON.

use deadfront_rules::edit::Edit;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use super::state::hexadecimal;

/// The version of the journal that this program writes.
const FORMAT: u32 = 1;
/// Length of the checksum: the first 64 bits of SHA-256 in hexadecimal.
const CHECKSUM: usize = 16;

/// The first line of a journal.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct Head {
    deadfront_journal: u32,
}

/// What was done.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Deed {
    /// A new edit; what had been undone is gone.
    Edit(Edit),
    /// The last step that stood was taken back.
    Undo,
    /// The last step that was taken back stands again.
    Redo,
}

/// A deed and the states around it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct Line {
    /// Fingerprint of the survey before.
    pub(super) from: String,
    /// Fingerprint of the survey after.
    pub(super) to: String,
    /// What was done.
    pub(super) deed: Deed,
}

impl Line {
    /// As it stands in the file, with its line end.
    pub(super) fn written(&self) -> String {
        sealed(self)
    }

    /// Reads a line without its line end; `None` when it is torn or not of this kind.
    pub(super) fn read(text: &[u8]) -> Option<Self> {
        serde_json::from_slice(unsealed(text)?).ok()
    }
}

/// The first line of a new journal.
pub(super) fn head() -> String {
    sealed(&Head { deadfront_journal: FORMAT })
}

/// Whether this first line promises lines that this program reads.
pub(super) fn is_head(text: &[u8]) -> bool {
    let head = unsealed(text).and_then(|json| serde_json::from_slice::<Head>(json).ok());
    head.is_some_and(|head| head.deadfront_journal == FORMAT)
}

/// Whether a line is whole, whatever stands in it.
pub(super) fn is_whole(text: &[u8]) -> bool {
    unsealed(text).is_some()
}

fn sealed(value: &impl Serialize) -> String {
    // JSON without spaces holds no line end.
    let json = serde_json::to_string(value).unwrap_or_default();
    format!("{} {json}\n", checksum(json.as_bytes()))
}

fn unsealed(text: &[u8]) -> Option<&[u8]> {
    let (sum, rest) = text.split_at_checked(CHECKSUM)?;
    let json = rest.strip_prefix(b" ")?;
    (checksum(json).as_bytes() == sum).then_some(json)
}

fn checksum(bytes: &[u8]) -> String {
    hexadecimal(&Sha256::digest(bytes)[..CHECKSUM / 2])
}
