//! The survey that a PDF carries, and what the PDF says about itself.

use std::collections::BTreeMap;
use std::fmt;
use std::sync::Arc;

use chrono::{DateTime, FixedOffset};
use deadfront_rules::say;
use lopdf::{Dictionary, Document, Object, Stream, decode_text_string};

use super::canonical::sha256;
use crate::file::LARGEST;
use crate::report::Pictures;

/// Name of the attached survey.
pub const ATTACHED: &str = "deadfront-survey.json";

/// Entries of the PDF's information.
pub(crate) const FINGERPRINT_ENTRY: &str = "DeadfrontFingerprint";
pub(crate) const REVISION_ENTRY: &str = "DeadfrontRevision";
pub(crate) const SHEET_ENTRY: &str = "DeadfrontSheet";
pub(crate) const MADE_ENTRY: &str = "DeadfrontMade";
pub(crate) const LANGUAGE_ENTRY: &str = "DeadfrontLanguage";
pub(crate) const PHOTOS_ENTRY: &str = "DeadfrontPhotos";

/// Deepest tree of attachment names that is followed.
const DEEPEST: usize = 8;

/// Why nothing could be read from a PDF.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PdfError {
    /// It is no PDF, or a damaged one.
    Broken,
    /// It carries no survey.
    NoSurvey,
    /// The survey in it cannot be unpacked, or is beyond all measure.
    DamagedSurvey,
    /// A survey is not written over a PDF.
    NoPlace,
}

impl fmt::Display for PdfError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let said = match self {
            Self::Broken => say!("this is no whole PDF; fetch it again from where it came"),
            Self::NoSurvey => say!(
                "this PDF carries no survey; only a PDF made by Deadfront does, and printing it anew loses it"
            ),
            Self::DamagedSurvey => {
                say!("the survey inside this PDF is damaged; fetch the PDF again from where it came")
            }
            Self::NoPlace => {
                say!("a survey cannot be saved into a PDF; save it under a name of its own")
            }
        };
        said.fmt(f)
    }
}

impl std::error::Error for PdfError {}

/// Whether these are the first bytes of a PDF.
#[must_use]
pub fn is_pdf(bytes: &[u8]) -> bool {
    bytes.starts_with(b"%PDF-")
}

/// The survey file that a PDF carries, as bytes.
///
/// # Errors
/// See [`PdfError`].
pub fn survey_in(pdf: &[u8]) -> Result<Vec<u8>, PdfError> {
    Carrier::open(pdf)?.survey()
}

/// The photos that a PDF shows, byte for byte; those that it lists and does not hold are not among them.
pub(crate) fn pictures_in(pdf: &[u8]) -> Result<Pictures, PdfError> {
    let carrier = Carrier::open(pdf)?;
    let list = carrier.entry(PHOTOS_ENTRY).and_then(|entry| Pictures::listed(&entry, &carrier.pictures()));
    Ok(list.map(|(pictures, _)| pictures).unwrap_or_default())
}

/// An opened PDF.
pub(super) struct Carrier(Document);

impl Carrier {
    pub(super) fn open(pdf: &[u8]) -> Result<Self, PdfError> {
        if !is_pdf(pdf) {
            return Err(PdfError::Broken);
        }
        Document::load_mem(pdf).map(Self).map_err(|_| PdfError::Broken)
    }

    pub(super) fn survey(&self) -> Result<Vec<u8>, PdfError> {
        let file = self.attached().ok_or(PdfError::NoSurvey)?;
        let Ok(stream) = file.as_stream() else { return Err(PdfError::NoSurvey) };
        let limit = usize::try_from(LARGEST).unwrap_or(usize::MAX);
        stream.get_plain_content_with_limit(limit).map_err(|_| PdfError::DamagedSurvey)
    }

    fn attached(&self) -> Option<&Object> {
        let catalog = self.0.catalog().ok()?;
        let names = self.dictionary(catalog.get(b"Names").ok()?)?;
        let tree = self.dictionary(names.get(b"EmbeddedFiles").ok()?)?;
        let specification = self.find(tree, DEEPEST)?;
        let content = self.dictionary(specification.get(b"EF").ok()?)?;
        self.resolved(content.get(b"F").ok()?)
    }

    /// The attachment of our name in a tree of names (ISO 32000-1, 7.9.6).
    fn find<'a>(&'a self, node: &'a Dictionary, deepest: usize) -> Option<&'a Dictionary> {
        if let Some(Object::Array(names)) = node.get(b"Names").ok().and_then(|names| self.resolved(names)) {
            for pair in names.chunks_exact(2) {
                let named = decode_text_string(&pair[0]).is_ok_and(|name| name == ATTACHED);
                if named {
                    return self.dictionary(&pair[1]);
                }
            }
        }
        let Some(Object::Array(kids)) = node.get(b"Kids").ok().and_then(|kids| self.resolved(kids)) else {
            return None;
        };
        let next = deepest.checked_sub(1)?;
        kids.iter().filter_map(|kid| self.dictionary(kid)).find_map(|kid| self.find(kid, next))
    }

    fn resolved<'a>(&'a self, object: &'a Object) -> Option<&'a Object> {
        self.0.dereference(object).ok().map(|(_, object)| object)
    }

    fn dictionary<'a>(&'a self, object: &'a Object) -> Option<&'a Dictionary> {
        self.resolved(object)?.as_dict().ok()
    }

    /// A text of the PDF's information.
    pub(super) fn entry(&self, name: &str) -> Option<String> {
        let info = self.dictionary(self.0.trailer.get(b"Info").ok()?)?;
        decode_text_string(info.get(name.as_bytes()).ok()?).ok()
    }

    /// The JPEG pictures in it, as they are, by the SHA-256 of their bytes.
    pub(super) fn pictures(&self) -> BTreeMap<String, Arc<[u8]>> {
        let named = |stream: &&Stream, key: &[u8], name: &[u8]| {
            stream.dict.get(key).and_then(Object::as_name).is_ok_and(|found| found == name)
        };
        let streams = self.0.objects.values().filter_map(|object| object.as_stream().ok());
        let jpegs = streams
            .filter(|stream| named(stream, b"Subtype", b"Image") && named(stream, b"Filter", b"DCTDecode"));
        jpegs.map(|stream| (sha256(&stream.content), stream.content.as_slice().into())).collect()
    }

    /// When it was made.
    pub(super) fn made(&self) -> Option<DateTime<FixedOffset>> {
        DateTime::parse_from_rfc3339(&self.entry(MADE_ENTRY)?).ok()
    }

    /// The pages on which a text does not stand, and how many there are; spaces do not count.
    pub(super) fn pages_without(&self, wanted: &str) -> (Vec<u32>, usize) {
        let pages: Vec<u32> = self.0.get_pages().into_keys().collect();
        let joined = |text: &str| text.split_whitespace().collect::<String>();
        let wanted = joined(wanted);
        let lacks =
            |page: &&u32| !self.0.extract_text(&[**page]).is_ok_and(|text| joined(&text).contains(&wanted));
        (pages.iter().filter(lacks).copied().collect(), pages.len())
    }
}
