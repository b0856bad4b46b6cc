//! Writes laid-out pages as a PDF.

use chrono::{DateTime, FixedOffset};
use lopdf::{Document as File, SaveOptions, Stream, dictionary};
use printpdf::{PdfDocument, PdfSaveOptions, PdfWarnMsg};

use super::laid::{Laid, PaperWarning};
use super::layout::PaperError;
use super::pdf_attach::{Extras, attach};
use super::pdf_content::contents;
use super::pdf_faces::{EmbeddedFaces, embed};
use super::pdf_finish::{finish, seal};
use super::pdf_page::pages;
use super::pdf_picture::external;

/// What the file says about itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Meta {
    /// Title, shown by viewers.
    pub title: String,
    /// Who wrote it.
    pub author: String,
    /// What it is about.
    pub subject: String,
    /// The program that made it.
    pub creator: String,
    /// Language of the text, as in BCP 47: `en-US`.
    pub language: String,
    /// Time of making; no clock is read.
    pub created: DateTime<FixedOffset>,
    /// Time of the last change.
    pub modified: DateTime<FixedOffset>,
}

/// Small objects that are compressed together; more shrink better, and each is found less directly.
const OBJECTS_TOGETHER: usize = 400;

/// A written PDF.
#[derive(Debug, Clone, PartialEq)]
pub struct Written {
    /// The file.
    pub bytes: Vec<u8>,
    /// What layout and writer report.
    pub warnings: Vec<PaperWarning>,
}

/// Writes pages as a PDF. The same pages and the same meta give the same bytes.
///
/// # Errors
/// [`PaperError::Face`] when a face cannot be reduced to its used characters, [`PaperError::Write`] when
/// the file cannot be put together.
pub fn write(laid: &Laid, meta: &Meta) -> Result<Written, PaperError> {
    write_with(laid, meta, &Extras::default())
}

/// Writes pages as a PDF that carries files and entries of our own.
///
/// # Errors
/// As [`write`].
pub fn write_with(laid: &Laid, meta: &Meta, extras: &Extras) -> Result<Written, PaperError> {
    let faces = embed(laid)?;
    let mut pdf = PdfDocument::new(&meta.title);
    add_resources(&mut pdf, laid, &faces);
    pdf.pages = pages(laid, &faces);
    let mut reports = Vec::new();
    let mut file = pdf.to_lopdf_document(&options(), &mut reports);
    fill(&mut file, contents(laid, &faces.codes))?;
    finish(&mut file, laid, meta)?;
    attach(&mut file, extras, meta.modified)?;
    file.compress();
    let mut bytes = Vec::new();
    // Links and bookmarks are small objects by the thousand: packed together they shrink by far.
    let packed = SaveOptions::builder()
        .use_object_streams(true)
        .use_xref_streams(true)
        .max_objects_per_stream(OBJECTS_TOGETHER)
        .compression_level(9)
        .build();
    file.save_with_options(&mut bytes, packed).map_err(|error| PaperError::Write(error.to_string()))?;
    seal(&mut bytes)?;
    let mut warnings = laid.warnings.clone();
    warnings.extend(reports.iter().map(as_warning));
    Ok(Written { bytes, warnings })
}

/// Puts the compressed contents into the pages.
fn fill(file: &mut File, contents: Vec<Vec<u8>>) -> Result<(), PaperError> {
    let missing = || PaperError::Write("a page has no place for its content".to_owned());
    for (page, content) in file.get_pages().into_values().zip(contents) {
        let place = file.get_dictionary(page).and_then(|page| page.get(b"Contents")?.as_reference());
        let place = place.map_err(|_| missing())?;
        let packed = Stream::new(dictionary! { "Filter" => "FlateDecode" }, content);
        file.set_object(place, packed);
    }
    Ok(())
}

fn add_resources(pdf: &mut PdfDocument, laid: &Laid, faces: &EmbeddedFaces) {
    for (id, font) in &faces.fonts {
        let id = printpdf::FontId(id.resource().to_owned());
        pdf.resources.fonts.map.insert(id, font.clone());
    }
    for (index, picture) in laid.pictures.iter().enumerate() {
        if picture.bytes.is_empty() || laid.first_like(index) != index {
            continue;
        }
        pdf.resources.xobjects.map.insert(super::pdf_picture::id(index), external(picture));
    }
}

fn options() -> PdfSaveOptions {
    PdfSaveOptions {
        // The faces come reduced already.
        subset_fonts: false,
        image_optimization: None,
        ..PdfSaveOptions::default()
    }
}

fn as_warning(report: &PdfWarnMsg) -> PaperWarning {
    PaperWarning::Writer(report.msg.clone())
}
