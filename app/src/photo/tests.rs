//! Pictures as cameras make them, and files that are none.

use std::fs;
use std::io::Cursor;
use std::path::PathBuf;

use exif::experimental::Writer;
use exif::{Field, In, Rational, Tag, Value};
use image::codecs::jpeg::JpegEncoder;
use image::{DynamicImage, ImageEncoder, ImageFormat, Rgb, RgbImage};
use tempfile::TempDir;

use super::*;

struct Desk {
    folder: TempDir,
}

impl Desk {
    fn new() -> Self {
        Self { folder: tempfile::tempdir().unwrap() }
    }

    fn survey(&self) -> PathBuf {
        self.folder.path().join("house.json")
    }

    fn photos(&self) -> PathBuf {
        folder_of(&self.survey())
    }

    fn take_from(&self, bytes: &[u8], with_place: bool) -> Result<Taken, String> {
        let source = self.folder.path().join("source");
        fs::write(&source, bytes).unwrap();
        take_in(&self.survey(), source, with_place).wait().unwrap().map_err(|said| said.to_string())
    }

    fn kept(&self, taken: &Taken) -> RgbImage {
        image::open(self.photos().join(&taken.file)).unwrap().to_rgb8()
    }
}

/// Red on the left, blue on the right.
fn halves(width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(
        width,
        height,
        |x, _| if x < width / 2 { Rgb([220, 20, 20]) } else { Rgb([20, 20, 220]) },
    )
}

fn jpeg(pixels: &RgbImage, exif: Option<Vec<u8>>) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = JpegEncoder::new_with_quality(&mut bytes, 80);
    if let Some(exif) = exif {
        encoder.set_exif_metadata(exif).unwrap();
    }
    pixels.write_with_encoder(encoder).unwrap();
    bytes
}

fn png(image: &DynamicImage) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    image.write_to(&mut bytes, ImageFormat::Png).unwrap();
    bytes.into_inner()
}

fn notes(orientation: u16) -> Vec<u8> {
    let ascii = |text: &str| Value::Ascii(vec![text.as_bytes().to_vec()]);
    let degrees = |parts: [u32; 3]| {
        let [degrees, minutes, seconds] = parts;
        Value::Rational(vec![(degrees, 1).into(), (minutes, 1).into(), Rational { num: seconds, denom: 100 }])
    };
    let fields = [
        (Tag::Orientation, Value::Short(vec![orientation])),
        (Tag::Make, ascii("Owner's secret camera")),
        (Tag::DateTimeOriginal, ascii("2026:11:25 14:03:59")),
        (Tag::GPSLatitudeRef, ascii("N")),
        (Tag::GPSLatitude, degrees([40, 30, 0])),
        (Tag::GPSLongitudeRef, ascii("W")),
        (Tag::GPSLongitude, degrees([74, 0, 3600])),
    ]
    .map(|(tag, value)| Field { tag, ifd_num: In::PRIMARY, value });
    let mut writer = Writer::new();
    fields.iter().for_each(|field| writer.push_field(field));
    let mut bytes = Cursor::new(Vec::new());
    writer.write(&mut bytes, false).unwrap();
    bytes.into_inner()
}

impl From<(u32, u32)> for Half {
    fn from((x, y): (u32, u32)) -> Self {
        Self { x, y }
    }
}

/// A place in a picture.
struct Half {
    x: u32,
    y: u32,
}

fn is_red(pixels: &RgbImage, at: Half) -> bool {
    let Rgb([red, _, blue]) = *pixels.get_pixel(at.x, at.y);
    red > 150 && blue < 100
}

#[test]
fn a_picture_is_turned_upright_by_each_orientation() {
    let desk = Desk::new();
    // Where the red half of the stored picture belongs, by TIFF 6.0, tag 274.
    let left_top_right_bottom = [(3, 10), (20, 3), (36, 10), (20, 36)];
    for (orientation, red_at) in [(1, 0), (2, 2), (3, 2), (4, 0), (5, 1), (6, 1), (7, 3), (8, 3)] {
        let taken = desk.take_from(&jpeg(&halves(40, 20), Some(notes(orientation))), false).unwrap();
        let stands = orientation >= 5;
        assert_eq!(taken.size, if stands { (20, 40) } else { (40, 20) }, "{orientation}");
        let (x, y) = left_top_right_bottom[red_at];
        let at = if stands { Half { x: x.min(10), y } } else { Half { x, y } };
        assert!(is_red(&desk.kept(&taken), at), "{orientation}");
    }
}

#[test]
fn what_a_camera_notes_is_gone_except_the_time_and_the_place_when_it_is_wanted() {
    let desk = Desk::new();
    let source = jpeg(&halves(40, 20), Some(notes(1)));
    assert!(source.windows(6).any(|bytes| bytes == b"secret"));
    let taken = desk.take_from(&source, false).unwrap();
    assert_eq!(taken.caption, "2026-11-25 14:03");
    let kept = fs::read(desk.photos().join(&taken.file)).unwrap();
    assert!(!kept.windows(6).any(|bytes| bytes == b"secret" || bytes == b"Exif\0\0"));
    let with_place = desk.take_from(&source, true).unwrap();
    assert_eq!(with_place.caption, "2026-11-25 14:03, 40.50000° N 74.01000° W");
    assert_eq!(with_place.file, taken.file);
    let without = desk.take_from(&jpeg(&halves(40, 20), None), true).unwrap();
    assert_eq!(without.caption, "");
}

#[test]
fn broken_notes_of_a_camera_hinder_nothing() {
    let desk = Desk::new();
    let whole = notes(6);
    for length in (0..whole.len()).step_by(7) {
        assert!(desk.take_from(&jpeg(&halves(8, 8), Some(whole[..length].to_vec())), true).is_ok());
    }
    let mut unset = notes(1);
    let at = unset.windows(4).position(|bytes| bytes == b"2026").unwrap();
    unset[at..at + 10].copy_from_slice(b"0000:00:00");
    assert_eq!(desk.take_from(&jpeg(&halves(8, 8), Some(unset)), false).unwrap().caption, "");
}

#[test]
fn a_large_picture_is_made_smaller_and_a_small_one_is_not_made_larger() {
    let desk = Desk::new();
    assert_eq!(desk.take_from(&jpeg(&halves(2500, 100), None), false).unwrap().size, (2000, 80));
    assert_eq!(desk.take_from(&jpeg(&halves(100, 4400), None), false).unwrap().size, (45, 2000));
    assert_eq!(desk.take_from(&jpeg(&halves(30, 10), None), false).unwrap().size, (30, 10));
}

#[test]
fn the_same_picture_is_kept_once_and_a_transparent_one_on_white() {
    let desk = Desk::new();
    let bytes = jpeg(&halves(40, 20), None);
    let [one, two] = [(); 2].map(|()| desk.take_from(&bytes, false).unwrap());
    assert_eq!(one, two);
    assert_eq!(one.file.len(), 32 + ".jpg".len());
    let clear = desk.take_from(&png(&DynamicImage::new_rgba8(9, 9)), false).unwrap();
    assert!(desk.kept(&clear).pixels().all(|pixel| pixel.0.iter().all(|part| *part > 250)));
    let sixteen = DynamicImage::ImageRgb16(DynamicImage::ImageRgb8(halves(9, 9)).to_rgb16());
    assert!(is_red(&desk.kept(&desk.take_from(&png(&sixteen), false).unwrap()), (1, 1).into()));
    assert_eq!(fs::read_dir(desk.photos()).unwrap().count(), 3, "nothing half written stays");
}

#[test]
fn what_is_no_whole_picture_is_refused_with_a_plain_sentence() {
    let desk = Desk::new();
    let whole = jpeg(&halves(200, 200), Some(notes(6)));
    let drawn = png(&DynamicImage::ImageRgb8(halves(200, 200)));
    let heic = [&[0, 0, 0, 24][..], b"ftypheic", &[0; 40]].concat();
    for (bytes, words) in [
        (&b""[..], "this file is empty"),
        (b"no picture at all", "this file is no picture"),
        (&whole[..whole.len() / 2], "its end is missing"),
        (&whole[..whole.len() - 2], "its end is missing"),
        (&whole[..3], "its end is missing"),
        (&drawn[..drawn.len() / 2], "is broken"),
        (b"GIF89a.............", "save it as JPEG or PNG"),
        (&heic, "set the camera to JPEG"),
    ] {
        let refused = desk.take_from(bytes, false).unwrap_err();
        assert!(refused.contains(words), "{refused}");
    }
    assert!(!desk.photos().exists(), "nothing is kept of them");
    let missing = take_in(&desk.survey(), "/no/such/picture.jpg".into(), false).wait().unwrap();
    assert!(missing.unwrap_err().to_string().starts_with("this file cannot be read: "));
}

#[test]
fn what_a_camera_adds_behind_the_picture_does_not_hinder() {
    let desk = Desk::new();
    let mut bytes = jpeg(&halves(40, 20), None);
    bytes.extend_from_slice(b"a film of the moment, or a second picture");
    assert!(desk.take_from(&bytes, false).is_ok());
}

#[test]
fn a_small_file_that_claims_a_huge_picture_is_refused_before_memory_is_filled() {
    let desk = Desk::new();
    let mut claims = png(&DynamicImage::ImageRgb8(halves(8, 8)));
    // Width and height stand behind the signature and the head of the first chunk.
    claims[16..24].copy_from_slice(&[0, 0, 0xea, 0x60, 0, 0, 0xea, 0x60]);
    let sum = crc32(&claims[12..29]);
    claims[29..33].copy_from_slice(&sum.to_be_bytes());
    let refused = desk.take_from(&claims, false).unwrap_err();
    assert_eq!(refused, "this picture claims 60000 by 60000 pixels; at most 120 million are read");
    let mut claims = jpeg(&halves(8, 8), None);
    let frame = claims.windows(2).position(|bytes| bytes == [0xff, 0xc0]).unwrap();
    claims[frame + 5..frame + 9].copy_from_slice(&[0xea, 0x60, 0xea, 0x60]);
    let refused = desk.take_from(&claims, false).unwrap_err();
    assert!(refused.contains("60000 by 60000") || refused.contains("is broken"), "{refused}");
}

/// As PNG counts it (ISO 15948, annex D).
fn crc32(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0, |sum: u32, byte| {
        (0..8).fold(
            sum ^ u32::from(*byte),
            |sum, _| if sum & 1 == 1 { 0xedb8_8320 ^ (sum >> 1) } else { sum >> 1 },
        )
    })
}

#[test]
fn random_changes_of_a_picture_never_break_the_program() {
    let desk = Desk::new();
    let whole = jpeg(&halves(64, 48), Some(notes(6)));
    let mut number: u64 = 1;
    for _ in 0..150 {
        let mut changed = whole.clone();
        for _ in 0..3 {
            number = number.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            let at = (number >> 33) as usize % changed.len();
            changed[at] = (number >> 24) as u8;
        }
        if let Err(said) = desk.take_from(&changed, true) {
            assert!(said.starts_with("this "), "{said}");
        }
    }
}

#[test]
fn a_small_picture_is_made_once_and_names_stay_in_the_folder() {
    let desk = Desk::new();
    let taken = desk.take_from(&jpeg(&halves(800, 400), None), false).unwrap();
    let first = small(&desk.survey(), &taken.file).wait().unwrap().unwrap();
    assert_eq!((first.width, first.height, first.rgb.len()), (256, 128, 256 * 128 * 3));
    let kept = desk.photos().join(".small").join(&taken.file);
    let made = fs::metadata(&kept).unwrap().modified().unwrap();
    let again = small(&desk.survey(), &taken.file).wait().unwrap().unwrap();
    assert_eq!((again.width, again.height), (256, 128));
    assert_eq!(fs::metadata(&kept).unwrap().modified().unwrap(), made);
    fs::write(&kept, "broken").unwrap();
    assert_eq!(small(&desk.survey(), &taken.file).wait().unwrap().unwrap(), first);
    let missing = small(&desk.survey(), "00.jpg").wait().unwrap().unwrap_err();
    assert_eq!(missing.to_string(), "this photo is not in the survey's photo folder");
    let outside = small(&desk.survey(), "../source").wait().unwrap().unwrap_err();
    assert!(outside.to_string().contains("outside of its photo folder"));
}

/// A grey picture of any size in no time: each block of the scan says "as before", and four squares of three
/// such blocks fill seven bytes (codes of ITU-T T.81, annex K).
fn large_jpeg(width: u16, height: u16) -> Vec<u8> {
    const FOUR_SQUARES: [u8; 7] = [0x28, 0x00, 0xa0, 0x02, 0x80, 0x0a, 0x00];
    let mut bytes = jpeg(&RgbImage::from_pixel(8, 8, Rgb([128; 3])), Some(notes(6)));
    let frame = bytes.windows(2).position(|bytes| bytes == [0xff, 0xc0]).unwrap();
    bytes[frame + 5..frame + 7].copy_from_slice(&height.to_be_bytes());
    bytes[frame + 7..frame + 9].copy_from_slice(&width.to_be_bytes());
    let scan = bytes.windows(2).position(|bytes| bytes == [0xff, 0xda]).unwrap();
    bytes.truncate(scan + 14);
    let squares = usize::from(width.div_ceil(8)) * usize::from(height.div_ceil(8));
    bytes.extend(FOUR_SQUARES.repeat(squares.div_ceil(4)));
    bytes.extend([0xff, 0xd9]);
    bytes
}

#[test]
fn a_picture_of_fifty_megapixels_is_taken_in() {
    let desk = Desk::new();
    let bytes = large_jpeg(8660, 5774);
    let begun = std::time::Instant::now();
    let taken = desk.take_from(&bytes, false).unwrap();
    println!("50 megapixels taken in within {:?}", begun.elapsed());
    assert_eq!(taken.size, (1333, 2000));
    assert!(desk.kept(&taken).pixels().all(|pixel| pixel.0.iter().all(|part| part.abs_diff(128) < 3)));
}

/// A survey with photos of these file names.
fn with_photos(files: &[&str]) -> deadfront_rules::survey::Survey {
    let mut survey = crate::file::read_survey(crate::demo::DEMO.as_bytes()).unwrap();
    for (number, file) in files.iter().enumerate() {
        let photo = serde_json::json!({ "id": format!("F{number}"), "of": "P1", "file": file });
        survey.photos.push(serde_json::from_value(photo).unwrap());
    }
    survey
}

#[test]
fn on_paper_a_picture_is_the_file_and_what_cannot_be_had_is_told() {
    use crate::report::Shot;

    let desk = Desk::new();
    let taken = desk.take_from(&jpeg(&halves(60, 40), None), false).unwrap();
    let swapped = desk.take_from(&jpeg(&halves(50, 40), None), false).unwrap();
    let put = |name: &str, bytes: &[u8]| fs::write(desk.photos().join(name), bytes).unwrap();
    put(&swapped.file, &fs::read(desk.photos().join(&taken.file)).unwrap());
    put("bare.jpg", &jpeg(&halves(30, 20), None));
    put("noted.jpg", &jpeg(&halves(30, 20), Some(notes(6))));
    put("drawn.png", &png(&DynamicImage::ImageRgb8(halves(30, 20))));
    put("broken.jpg", b"no picture");
    let half = jpeg(&halves(90, 90), None);
    put("half.jpg", &half[..half.len() / 2]);
    let files = [
        &taken.file,
        &swapped.file,
        "bare.jpg",
        "noted.jpg",
        "drawn.png",
        "broken.jpg",
        "half.jpg",
        "none.jpg",
        "../house.json",
    ];
    let survey = with_photos(&files);
    let pictures = pictures(&survey, &desk.photos());
    let shot = |file: &str| pictures.get(file).clone();
    for whole in [taken.file.as_str(), "bare.jpg"] {
        assert_eq!(shot(whole), Shot::Whole(fs::read(desk.photos().join(whole)).unwrap().into()), "{whole}");
    }
    for (anew, size) in [("noted.jpg", (20, 30)), ("drawn.png", (30, 20))] {
        let Shot::Whole(bytes) = shot(anew) else { panic!("{anew}: {:?}", shot(anew)) };
        assert!(crate::paper::is_bare_jpeg(&bytes), "{anew}");
        assert_eq!(image::load_from_memory(&bytes).unwrap().to_rgb8().dimensions(), size, "{anew} upright");
    }
    assert_eq!(shot(&swapped.file), Shot::Swapped);
    assert_eq!(shot("broken.jpg"), Shot::Broken);
    assert_eq!(shot("half.jpg"), Shot::Broken);
    assert_eq!(shot("none.jpg"), Shot::Missing);
    assert_eq!(shot("../house.json"), Shot::Outside);
}
