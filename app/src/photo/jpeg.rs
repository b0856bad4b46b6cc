//! Whether a JPEG is there to its end. The decoder fills what is missing with grey, and a photo that
//! is half grey is no evidence.

const START_OF_SCAN: u8 = 0xda;
const END: u8 = 0xd9;

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

/// The next marker at or behind `at`, and where its segment goes on. In coded data a marker's first
/// byte is followed by nought or a restart count; those are no segments.
fn marker(bytes: &[u8], at: usize) -> Option<(u8, usize)> {
    let mut at = at;
    loop {
        at += bytes.get(at..)?.iter().position(|byte| *byte == 0xff)? + 1;
        match *bytes.get(at)? {
            0x00 | 0x01 | 0xd0..=0xd7 => at += 1,
            0xff => {}
            kind => return Some((kind, at + 1)),
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
