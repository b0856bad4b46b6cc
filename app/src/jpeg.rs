//! Segments of a JPEG (ITU-T T.81, annex B), for whoever takes a photo in or prints one.

/// Start of a scan: coded data follows its head.
pub(crate) const START_OF_SCAN: u8 = 0xda;
/// End of the picture.
pub(crate) const END: u8 = 0xd9;

/// The next marker at or behind `at`, and where it ends. In coded data a marker's first byte is followed by
/// nought or a restart count; those are no segments.
pub(crate) fn marker(bytes: &[u8], at: usize) -> Option<(u8, usize)> {
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
