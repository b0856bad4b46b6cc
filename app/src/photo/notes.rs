//! What a camera notes in a picture: when, and where. Nothing else of it is looked at.

use exif::{Exif, In, Rational, Reader, Tag, Value};

/// When and where a picture was taken, as far as the camera noted it.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Notes {
    /// Day and time by the camera's clock: `2026-11-25 14:03`.
    pub(super) taken: Option<String>,
    /// Latitude and longitude: `40.71280° N 74.00600° W`.
    pub(super) place: Option<String>,
}

impl Notes {
    /// Reads an EXIF block; what cannot be read was not noted.
    pub(super) fn read(block: Vec<u8>) -> Self {
        match Reader::new().read_raw(block) {
            Ok(exif) => Self { taken: taken(&exif), place: place(&exif) },
            Err(_) => Self::default(),
        }
    }

    /// As a caption, the same in every language.
    pub(super) fn caption(&self, with_place: bool) -> String {
        let place = self.place.as_deref().filter(|_| with_place);
        [self.taken.as_deref(), place].into_iter().flatten().collect::<Vec<_>>().join(", ")
    }
}

fn taken(exif: &Exif) -> Option<String> {
    let field = exif.get_field(Tag::DateTimeOriginal, In::PRIMARY)?;
    let Value::Ascii(texts) = &field.value else { return None };
    let time = exif::DateTime::from_ascii(texts.first()?).ok()?;
    // A clock that was never set gives day nought, or a day that is none.
    let day = chrono::NaiveDate::from_ymd_opt(time.year.into(), time.month.into(), time.day.into())?;
    let moment = day.and_hms_opt(time.hour.into(), time.minute.into(), 0)?;
    (time.year > 0).then(|| moment.format("%Y-%m-%d %H:%M").to_string())
}

fn place(exif: &Exif) -> Option<String> {
    let latitude = angle(exif, Tag::GPSLatitude, Tag::GPSLatitudeRef, [b'N', b'S'], 90.0)?;
    let longitude = angle(exif, Tag::GPSLongitude, Tag::GPSLongitudeRef, [b'E', b'W'], 180.0)?;
    Some(format!("{latitude} {longitude}"))
}

fn angle(exif: &Exif, tag: Tag, side: Tag, sides: [u8; 2], most: f64) -> Option<String> {
    let Value::Rational(parts) = &exif.get_field(tag, In::PRIMARY)?.value else { return None };
    let Value::Ascii(texts) = &exif.get_field(side, In::PRIMARY)?.value else { return None };
    let side = *texts.first()?.first()?;
    let part = |nth: usize| parts.get(nth).map_or(0.0, Rational::to_f64);
    let degrees = part(0) + part(1) / 60.0 + part(2) / 3600.0;
    let sensible = sides.contains(&side) && (0.0..=most).contains(&degrees);
    sensible.then(|| format!("{degrees:.5}° {}", char::from(side)))
}
