//! Pictures made ready for paper: as they are, or upright, no finer than paper shows, without what a camera notes
//! about place and owner.

use std::io::Cursor;
use std::sync::Arc;

use image::codecs::jpeg::JpegEncoder;
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, imageops::FilterType};

use super::document::Picture;
use super::jpeg::{Bare, bare};
use super::tokens::PICTURE_DOTS_PER_INCH;
use super::units::Mm;

/// Quality of the JPEG that photographs become, 1 to 100.
const JPEG_QUALITY: u8 = 80;
/// Widest and highest picture that is read [pixels].
const LARGEST_SIDE: u32 = 20_000;

/// A picture as it goes into the PDF.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct PreparedPicture {
    pub(super) width: u32,
    pub(super) height: u32,
    pub(super) grey: bool,
    /// JPEG, otherwise plain bytes of 8 bits a colour.
    pub(super) jpeg: bool,
    pub(super) bytes: Arc<[u8]>,
}

impl PreparedPicture {
    /// Width over height.
    pub(super) fn aspect(&self) -> f64 {
        f64::from(self.width.max(1)) / f64::from(self.height.max(1))
    }
}

/// Reads a picture and makes it ready. A JPEG that holds nothing but an upright picture stays as it is: it
/// loses nothing, and whoever has the paper can compare it with the file.
pub(super) fn prepare(picture: &Picture) -> Result<PreparedPicture, String> {
    if let Some(Bare { width, height, grey }) = bare(&picture.bytes) {
        return Ok(PreparedPicture { width, height, grey, jpeg: true, bytes: picture.bytes.clone() });
    }
    let (image, format, orientation) = read(&picture.bytes).map_err(|error| error.to_string())?;
    let image = no_finer_than_paper(image, orientation, picture);
    let grey = !image.color().has_color();
    let (width, height) = (image.width(), image.height());
    let flat = flatten(&image, grey);
    let jpeg = format == ImageFormat::Jpeg;
    let bytes = if jpeg { encode_jpeg(&flat).map_err(|error| error.to_string())? } else { flat.into_bytes() };
    Ok(PreparedPicture { width, height, grey, jpeg, bytes: bytes.into() })
}

fn read(bytes: &[u8]) -> image::ImageResult<(DynamicImage, ImageFormat, Orientation)> {
    let mut reader = ImageReader::new(Cursor::new(bytes)).with_guessed_format()?;
    let mut limits = image::Limits::default();
    limits.max_image_width = Some(LARGEST_SIDE);
    limits.max_image_height = Some(LARGEST_SIDE);
    reader.limits(limits);
    let format = reader.format().unwrap_or(ImageFormat::Png);
    let mut decoder = reader.into_decoder()?;
    let orientation = decoder.orientation()?;
    Ok((DynamicImage::from_decoder(decoder)?, format, orientation))
}

fn no_finer_than_paper(image: DynamicImage, orientation: Orientation, picture: &Picture) -> DynamicImage {
    let mut image = image;
    image.apply_orientation(orientation);
    let (width, height) = (dots(picture.width), dots(picture.height));
    if image.width() <= width && image.height() <= height {
        return image;
    }
    image.resize(width, height, FilterType::Triangle)
}

fn dots(length: Mm) -> u32 {
    const LARGEST: f64 = 10_000.0;
    let dots = (length.to_pt().0 / 72.0 * PICTURE_DOTS_PER_INCH).ceil();
    // A length that is no number becomes one dot.
    dots.clamp(1.0, LARGEST).max(1.0) as u32
}

/// Without transparency: what shines through is the white sheet.
fn flatten(image: &DynamicImage, grey: bool) -> DynamicImage {
    let mut pixels = image.to_rgba8();
    for pixel in pixels.pixels_mut() {
        let [red, green, blue, alpha] = pixel.0;
        let on_white = |part: u8| {
            let (part, alpha) = (u32::from(part), u32::from(alpha));
            u8::try_from((part * alpha + 255 * (255 - alpha)) / 255).unwrap_or(u8::MAX)
        };
        pixel.0 = [on_white(red), on_white(green), on_white(blue), u8::MAX];
    }
    let flat = DynamicImage::ImageRgba8(pixels);
    if grey { DynamicImage::ImageLuma8(flat.to_luma8()) } else { DynamicImage::ImageRgb8(flat.to_rgb8()) }
}

fn encode_jpeg(image: &DynamicImage) -> image::ImageResult<Vec<u8>> {
    let mut bytes = Vec::new();
    image.write_with_encoder(JpegEncoder::new_with_quality(&mut bytes, JPEG_QUALITY))?;
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn png(width: u32, height: u32, colour: [u8; 4]) -> Vec<u8> {
        let image = image::RgbaImage::from_pixel(width, height, image::Rgba(colour));
        let mut bytes = Vec::new();
        let mut cursor = Cursor::new(&mut bytes);
        image.write_to(&mut cursor, ImageFormat::Png).unwrap();
        bytes
    }

    fn picture(bytes: Vec<u8>) -> Picture {
        Picture { bytes: bytes.into(), width: Mm(50.8), height: Mm(50.8), caption: "".into() }
    }

    #[test]
    fn a_picture_is_no_finer_than_paper() {
        let prepared = prepare(&picture(png(800, 400, [9, 99, 9, 255]))).unwrap();
        assert_eq!((prepared.width, prepared.height), (400, 200));
        assert_eq!(prepared.bytes.len(), 400 * 200 * 3);
    }

    #[test]
    fn what_shines_through_is_white() {
        let prepared = prepare(&picture(png(2, 2, [0, 0, 255, 0]))).unwrap();
        assert!(prepared.bytes.iter().all(|byte| *byte == 255));
    }

    #[test]
    fn bytes_that_are_no_picture_are_an_error() {
        assert!(prepare(&picture(b"no picture".to_vec())).is_err());
        let mut half = png(40, 40, [9, 9, 9, 255]);
        half.truncate(half.len() / 2);
        assert!(prepare(&picture(half)).is_err());
    }
}
