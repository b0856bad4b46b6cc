//! Faces reduced to the characters that are used. The rest of a face would be most of the file.

use std::collections::{BTreeMap, BTreeSet};

use printpdf::{FontMetrics, FontType, ParsedFont, PdfFont, PdfFontMetricsStub};
use subsetter::GlyphRemapper;
use ttf_parser::Face;

use super::faces::{FaceId, Faces, advance};
use super::laid::{ItemKind, Laid};
use super::layout::PaperError;

/// The used faces as the writer takes them, and what they are used for.
pub(super) struct EmbeddedFaces {
    pub(super) fonts: BTreeMap<FaceId, PdfFont>,
    /// Every character that is drawn in each.
    pub(super) used: BTreeMap<FaceId, BTreeSet<char>>,
    pub(super) codes: Codes,
}

/// The number under which a face draws a character.
#[derive(Debug, Default)]
pub(super) struct Codes(BTreeMap<FaceId, Vec<u16>>);

impl Codes {
    fn add(&mut self, face: FaceId, character: char, code: u16) {
        let codes = self.0.entry(face).or_default();
        let at = character as usize;
        if codes.len() <= at {
            codes.resize(at + 1, 0);
        }
        codes[at] = code;
    }

    /// The glyph's number; 0 is the one that stands for a missing glyph.
    pub(super) fn code(&self, face: FaceId, character: char) -> u16 {
        let codes = self.0.get(&face).map(Vec::as_slice).unwrap_or_default();
        codes.get(character as usize).copied().unwrap_or(0)
    }
}

/// Thousandths of the size, the unit of every measure in a PDF's faces.
const PDF_UNITS: u16 = 1000;

/// Reduces every used face.
pub(super) fn embed(laid: &Laid) -> Result<EmbeddedFaces, PaperError> {
    let used = used_characters(laid);
    let (mut fonts, mut codes) = (BTreeMap::new(), Codes::default());
    for (id, characters) in &used {
        let face = Faces::shared().face(*id).ok_or_else(|| PaperError::Face(id.pdf_name().to_owned()))?;
        fonts.insert(*id, PdfFont::new(reduced(*id, face, characters, &mut codes)?));
    }
    Ok(EmbeddedFaces { fonts, used, codes })
}

fn used_characters(laid: &Laid) -> BTreeMap<FaceId, BTreeSet<char>> {
    let mut used: BTreeMap<FaceId, BTreeSet<char>> = BTreeMap::new();
    for item in laid.pages.iter().flat_map(|page| &page.items) {
        if let ItemKind::Text(run) = &item.kind {
            used.entry(run.face).or_default().extend(run.text.chars());
        }
    }
    used
}

fn reduced(
    id: FaceId,
    face: &Face<'_>,
    characters: &BTreeSet<char>,
    codes: &mut Codes,
) -> Result<ParsedFont, PaperError> {
    let mut mapper = GlyphRemapper::new();
    let mut glyphs = BTreeMap::new();
    let mut widths = BTreeMap::new();
    for character in characters {
        let Some(glyph) = face.glyph_index(*character) else {
            continue;
        };
        let new = mapper.remap(glyph.0);
        glyphs.insert(u32::from(*character), new);
        codes.add(id, *character, new);
        widths.insert(new, advance(face, glyph));
    }
    let bytes = subsetter::subset(id.bytes(), 0, &mapper)
        .map_err(|error| PaperError::Face(format!("{}: {error}", id.pdf_name())))?;
    Ok(ParsedFont {
        original_bytes: bytes,
        font_index: 0,
        font_name: Some(id.pdf_name().to_owned()),
        codepoint_to_glyph: glyphs,
        glyph_widths: widths,
        units_per_em: PDF_UNITS,
        font_metrics: FontMetrics {
            ascent: in_pdf_units(face, face.ascender()),
            descent: in_pdf_units(face, face.descender()),
        },
        font_type: FontType::TrueType,
        pdf_font_metrics: bounding_box(face),
    })
}

fn bounding_box(face: &Face<'_>) -> PdfFontMetricsStub {
    let bounds = face.global_bounding_box();
    PdfFontMetricsStub {
        units_per_em: PDF_UNITS,
        x_min: in_pdf_units(face, bounds.x_min),
        y_min: in_pdf_units(face, bounds.y_min),
        x_max: in_pdf_units(face, bounds.x_max),
        y_max: in_pdf_units(face, bounds.y_max),
        us_weight_class: face.weight().to_number(),
        ..PdfFontMetricsStub::default()
    }
}

fn in_pdf_units(face: &Face<'_>, own: i16) -> i16 {
    let units = i32::from(face.units_per_em().max(1));
    i16::try_from(i32::from(own) * i32::from(PDF_UNITS) / units).unwrap_or(i16::MAX)
}
