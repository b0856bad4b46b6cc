//! JPEG files that go into a PDF as they are (ISO 32000-1, 7.4.8).

use crate::jpeg::{END, START_OF_SCAN, marker};

/// What a PDF has to say of a JPEG.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Bare {
    pub(super) width: u32,
    pub(super) height: u32,
    pub(super) grey: bool,
}

/// Whether a file is a JPEG that can go into a PDF as it is: grey or of three colours, whole, upright, and
/// with nothing in it but the picture. Whether its pixels can be decoded is not looked at.
#[must_use]
pub fn is_bare_jpeg(bytes: &[u8]) -> bool {
    bare(bytes).is_some()
}

/// Reads the segments of a JPEG (ITU-T T.81, annex B) up to the end marker.
pub(super) fn bare(bytes: &[u8]) -> Option<Bare> {
    if !bytes.starts_with(&[0xff, 0xd8]) {
        return None;
    }
    let (mut at, mut found, mut scanned) = (2, None, false);
    loop {
        let (kind, behind) = marker(bytes, at)?;
        if kind == END {
            // What a camera adds behind the picture would go along.
            return found.filter(|_| scanned && behind == bytes.len());
        }
        let length = bytes.get(behind..behind + 2)?;
        let length = usize::from(u16::from_be_bytes([length[0], length[1]]));
        let segment = bytes.get(behind + 2..behind + length.max(2))?;
        match kind {
            0xc0..=0xc2 => found = Some(frame(segment)?),
            START_OF_SCAN => scanned = true,
            // Tables, JFIF, and Adobe's note on colours belong to the picture; all else is a camera's.
            0xc4 | 0xdb | 0xdd | 0xe0 | 0xee => {}
            _ => return None,
        }
        at = behind + length.max(2);
    }
}

/// Size and colours, from the head of a frame.
fn frame(segment: &[u8]) -> Option<Bare> {
    let [bits, high, low, left, right, components] = *segment.first_chunk::<6>()?;
    let size = |a, b| u32::from(u16::from_be_bytes([a, b]));
    let (height, width) = (size(high, low), size(left, right));
    let fits = bits == 8 && height > 0 && width > 0 && matches!(components, 1 | 3);
    fits.then_some(Bare { width, height, grey: components == 1 })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn jpeg(grey: bool) -> Vec<u8> {
        let image = image::DynamicImage::new_rgb8(30, 20);
        let image = if grey { image.to_luma8().into() } else { image };
        let mut bytes = Vec::new();
        image.write_with_encoder(image::codecs::jpeg::JpegEncoder::new(&mut bytes)).unwrap();
        bytes
    }

    #[test]
    fn a_plain_jpeg_is_told_by_its_frame() {
        assert_eq!(bare(&jpeg(false)), Some(Bare { width: 30, height: 20, grey: false }));
        assert_eq!(bare(&jpeg(true)), Some(Bare { width: 30, height: 20, grey: true }));
    }

    #[test]
    fn what_is_not_whole_or_carries_more_is_none() {
        let whole = jpeg(false);
        for end in 0..whole.len() {
            assert!(!is_bare_jpeg(&whole[..end]), "{end}");
        }
        let mut noted = whole.clone();
        noted.splice(2..2, [0xff, 0xe1, 0, 6, b'E', b'x', b'i', b'f']);
        assert!(!is_bare_jpeg(&noted));
        let mut longer = whole;
        longer.push(7);
        assert!(!is_bare_jpeg(&longer));
        assert!(!is_bare_jpeg(b"no picture"));
    }
}
