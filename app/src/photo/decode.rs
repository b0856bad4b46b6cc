//! Reads a picture within limits, turns it upright and makes it small enough.

use std::io::Cursor;

use deadfront_rules::finding::Said;
use deadfront_rules::say;
use image::codecs::jpeg::JpegEncoder;
use image::imageops::{self, FilterType};
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, RgbImage};

use super::jpeg;
use super::notes::Notes;

/// Most pixels that are read; cameras of telephones reach 50 to 200 million by joining four to one.
const MOST_PIXELS: u64 = 120_000_000;
/// Most memory for a picture as it is decoded [bytes].
const MOST_BYTES: u64 = 512 * 1024 * 1024;
/// Qualities of the JPEG that is kept, 1 to 100, the best first.
const QUALITIES: [u8; 4] = [85, 78, 70, 62];
/// What a picture may take [bytes]: 60 of them stay below 15 MB on paper.
const MOST_KEPT: usize = 235_000;
/// Longest side of a picture that takes more in every quality [pixels]. Letters of 2 mm on a nameplate 200 mm
/// wide are still 16 pixels high.
const SHORTER: u32 = 1600;

/// A picture that was read.
pub(super) struct Picture {
    /// Upright, no larger than asked.
    pub(super) pixels: RgbImage,
    /// What the camera noted.
    pub(super) notes: Notes,
}

/// Reads a JPEG or PNG; `longest` is the longest side of what comes out [pixels].
pub(super) fn read(bytes: &[u8], longest: u32) -> Result<Picture, Said> {
    let mut decoder = decoder(bytes)?;
    let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let notes = decoder.exif_metadata().ok().flatten().map_or_else(Notes::default, Notes::read);
    let image = DynamicImage::from_decoder(decoder).map_err(|_| broken())?;
    let mut image = smaller(image, longest);
    image.apply_orientation(orientation);
    Ok(Picture { pixels: on_white(&image), notes })
}

/// The picture as JPEG, with nothing in it but the picture.
///
/// The best quality is taken that keeps it small; one that is too rich in detail for every quality is made
/// smaller, and kept as it then is.
pub(super) fn encode(pixels: &RgbImage) -> Result<Vec<u8>, Said> {
    for quality in QUALITIES {
        let bytes = encoded(pixels, quality)?;
        if bytes.len() <= MOST_KEPT {
            return Ok(bytes);
        }
    }
    let shorter = smaller(DynamicImage::from(pixels.clone()), SHORTER).into_rgb8();
    let [.., least] = QUALITIES;
    encoded(&shorter, least)
}

fn encoded(pixels: &RgbImage, quality: u8) -> Result<Vec<u8>, Said> {
    let mut bytes = Vec::new();
    let encoder = JpegEncoder::new_with_quality(&mut bytes, quality);
    pixels.write_with_encoder(encoder).map_err(|_| broken())?;
    Ok(bytes)
}

/// Size and kind are judged before a pixel is read: a small file may claim a picture that fills the memory.
fn decoder(bytes: &[u8]) -> Result<impl ImageDecoder, Said> {
    let format = format_of(bytes)?;
    if format == ImageFormat::Jpeg && !jpeg::is_complete(bytes) {
        return Err(Said::plain(
            "this picture is not whole: its end is missing; copy it from the camera again",
        ));
    }
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    let mut limits = image::Limits::default();
    limits.max_alloc = Some(MOST_BYTES);
    reader.limits(limits);
    let decoder = reader.into_decoder().map_err(|_| broken())?;
    let (width, height) = decoder.dimensions();
    let pixels = u64::from(width) * u64::from(height);
    if pixels == 0 {
        return Err(broken());
    }
    if pixels > MOST_PIXELS || decoder.total_bytes() > MOST_BYTES {
        return Err(say!(
            "this picture claims {} by {} pixels; at most {} million are read",
            width as usize,
            height as usize,
            (MOST_PIXELS / 1_000_000) as usize
        ));
    }
    Ok(decoder)
}

fn format_of(bytes: &[u8]) -> Result<ImageFormat, Said> {
    if bytes.is_empty() {
        return Err(Said::plain("this file is empty"));
    }
    match image::guess_format(bytes) {
        Ok(format @ (ImageFormat::Jpeg | ImageFormat::Png)) => Ok(format),
        _ if bytes.get(4..8) == Some(b"ftyp") => Err(Said::plain(
            "this is a picture or film in a form that is not read here; set the camera to JPEG, or save the picture as JPEG",
        )),
        Ok(_) => Err(Said::plain("this form of picture is not read here; save it as JPEG or PNG")),
        Err(_) => Err(Said::plain("this file is no picture")),
    }
}

fn broken() -> Said {
    Said::plain("this picture is broken and cannot be read; copy it from the camera again")
}

fn smaller(image: DynamicImage, longest: u32) -> DynamicImage {
    let side = image.width().max(image.height());
    if side <= longest {
        return image;
    }
    // Far down, each new pixel is the mean of the old ones it covers: fast, in little memory, without
    // moiré. Near by, that would be coarse.
    if side >= 2 * longest {
        return image.thumbnail(longest, longest);
    }
    image.resize(longest, longest, FilterType::CatmullRom)
}

/// Without transparency: what shines through is a white sheet.
fn on_white(image: &DynamicImage) -> RgbImage {
    if !image.color().has_alpha() {
        return image.to_rgb8();
    }
    let mut sheet = image::RgbaImage::from_pixel(image.width(), image.height(), image::Rgba([u8::MAX; 4]));
    imageops::overlay(&mut sheet, &image.to_rgba8(), 0, 0);
    DynamicImage::ImageRgba8(sheet).to_rgb8()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A picture with this much noise in each pixel, of 0 to 255.
    fn noisy(range: u32) -> RgbImage {
        let mut state = 7_u32;
        RgbImage::from_fn(2000, 1500, |x, _| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            let shade = 40 + (x / 20) as u8 % 60;
            image::Rgb([shade + ((state >> 16) % range) as u8; 3])
        })
    }

    fn kept(pixels: &RgbImage) -> (usize, (u32, u32)) {
        let bytes = encode(pixels).unwrap();
        let read = image::load_from_memory(&bytes).unwrap();
        (bytes.len(), (read.width(), read.height()))
    }

    #[test]
    fn a_picture_keeps_its_pixels_and_the_best_quality_that_keeps_it_small() {
        let plain = noisy(1);
        assert_eq!(encode(&plain).unwrap(), encoded(&plain, QUALITIES[0]).unwrap());
        let rich = noisy(12);
        assert!(encoded(&rich, QUALITIES[0]).unwrap().len() > MOST_KEPT);
        let (bytes, size) = kept(&rich);
        assert!(bytes <= MOST_KEPT, "{bytes}");
        assert_eq!(size, (2000, 1500));
    }

    #[test]
    fn a_picture_too_rich_for_every_quality_is_made_smaller() {
        assert_eq!(kept(&noisy(150)).1, (1600, 1200));
    }
}
