//! Whether a JPEG is there to its end. The decoder fills what is missing with grey, and a photo that
//! is half grey is no evidence.

use crate::jpeg::{END, START_OF_SCAN, marker};

/// Follows the segments of a JPEG (ITU-T T.81, annex B) to the end marker; what a camera adds behind it
/// does not count.
pub(super) fn is_complete(bytes: &[u8]) -> bool {
    let mut at = 2;
    loop {
        match marker(bytes, at) {
            Some((END, _)) => return true,
            Some((kind, behind)) => match segment_end(bytes, kind, behind) {
                Some(end) => at = end,
                None => return false,
            },
            None => return false,
        }
    }
}

fn segment_end(bytes: &[u8], kind: u8, behind: usize) -> Option<usize> {
    let length = bytes.get(behind..behind + 2)?;
    let length = usize::from(u16::from_be_bytes([length[0], length[1]]));
    // Coded data of the scan follows its head; the search for the next marker passes over it.
    let end = behind + if kind == START_OF_SCAN { length.max(2) } else { length };
    (length >= 2 && end <= bytes.len()).then_some(end)
}
