//! One archive (ZIP, deflate), with fixed times so that the same hand-out has the same bytes.

use std::io::{self, Cursor, Write};

use chrono::{Datelike, Timelike};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

use super::{Handout, Part};

pub(super) fn pack(handout: &Handout) -> io::Result<Vec<u8>> {
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    for part in &handout.parts {
        archive.start_file(part.path.as_str(), options(part, handout))?;
        archive.write_all(&part.bytes)?;
    }
    Ok(archive.finish()?.into_inner())
}

fn options(part: &Part, handout: &Handout) -> SimpleFileOptions {
    // Pictures and PDFs are packed already.
    let packed = [".pdf", ".jpg", ".jpeg", ".png"].iter().any(|end| part.path.ends_with(end));
    let method = if packed { CompressionMethod::Stored } else { CompressionMethod::Deflated };
    SimpleFileOptions::default()
        .compression_method(method)
        .last_modified_time(time(handout))
        .unix_permissions(0o644)
}

/// The time on the wall where it was made: the archive knows no zones and no years before 1980.
fn time(handout: &Handout) -> DateTime {
    let made = handout.made;
    let part = |number: u32| u8::try_from(number).unwrap_or_default();
    let time = u16::try_from(made.year()).ok().and_then(|year| {
        let (day, clock) = ((part(made.month()), part(made.day())), (part(made.hour()), part(made.minute())));
        DateTime::from_date_and_time(year, day.0, day.1, clock.0, clock.1, part(made.second())).ok()
    });
    time.unwrap_or_default()
}
