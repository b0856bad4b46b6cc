//! The faces of the paper: Noto Sans regular and bold, and DejaVu Sans for what Noto lacks.

use std::sync::OnceLock;

use ttf_parser::Face;

use super::span::Weight;

/// A face of the paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FaceId {
    /// Noto Sans Regular.
    Regular,
    /// Noto Sans Bold.
    Bold,
    /// DejaVu Sans, in both weights, for characters that Noto Sans lacks.
    Fallback,
}

impl FaceId {
    pub(super) const ALL: [Self; 3] = [Self::Regular, Self::Bold, Self::Fallback];

    pub(super) const fn of(weight: Weight) -> Self {
        match weight {
            Weight::Regular => Self::Regular,
            Weight::Bold => Self::Bold,
        }
    }

    pub(super) fn bytes(self) -> &'static [u8] {
        match self {
            Self::Regular => ttf_noto_sans::REGULAR,
            Self::Bold => ttf_noto_sans::BOLD,
            Self::Fallback => dejavu::sans::regular(),
        }
    }

    /// Name in the PDF, with the tag that ISO 32000-1, 9.6.4 asks of a subset.
    pub(super) const fn pdf_name(self) -> &'static str {
        match self {
            Self::Regular => "DFPAPR+NotoSans-Regular",
            Self::Bold => "DFPAPB+NotoSans-Bold",
            Self::Fallback => "DFPAPF+DejaVuSans",
        }
    }

    /// Name among the page's resources.
    pub(super) const fn resource(self) -> &'static str {
        match self {
            Self::Regular => "Regular",
            Self::Bold => "Bold",
            Self::Fallback => "Fallback",
        }
    }
}

/// Drawn in place of a character that no face has.
pub(super) const REPLACEMENT: char = '\u{FFFD}';

/// Height above the baseline and depth below it in thousandths of the size: Noto Sans, table hhea.
pub(super) const ASCENT: f64 = 1069.0;
/// Depth below the baseline in thousandths of the size: Noto Sans, table hhea.
pub(super) const DESCENT: f64 = 293.0;

/// A character with its face and advance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Drawn {
    pub(super) character: char,
    pub(super) face: FaceId,
    /// Advance in thousandths of the size.
    pub(super) advance: u16,
}

/// The parsed faces.
#[derive(Debug)]
pub(super) struct Faces {
    faces: Vec<(FaceId, Face<'static>)>,
    /// The most used characters, found once, by their number and their weight.
    common: Vec<[Option<Drawn>; 2]>,
}

/// Characters that are found once: Latin, with the letters of Spanish.
const COMMON: u32 = 0x180;

impl Faces {
    /// The faces, parsed once.
    pub(super) fn shared() -> &'static Self {
        static FACES: OnceLock<Faces> = OnceLock::new();
        FACES.get_or_init(|| {
            let parsed = |id: FaceId| Some((id, Face::parse(id.bytes(), 0).ok()?));
            let mut faces =
                Self { faces: FaceId::ALL.into_iter().filter_map(parsed).collect(), common: Vec::new() };
            let both =
                |character: char| [Weight::Regular, Weight::Bold].map(|weight| faces.find(character, weight));
            let common = (0..COMMON).map(|code| char::from_u32(code).map_or([None; 2], both)).collect();
            faces.common = common;
            faces
        })
    }

    pub(super) fn face(&self, id: FaceId) -> Option<&Face<'static>> {
        let (_, face) = self.faces.iter().find(|(face, _)| *face == id)?;
        Some(face)
    }

    /// The character as it can be drawn: in the weight asked for, from the fallback, or not at all.
    pub(super) fn draw(&self, character: char, weight: Weight) -> Option<Drawn> {
        match self.common.get(character as usize) {
            Some([regular, bold]) => match weight {
                Weight::Regular => *regular,
                Weight::Bold => *bold,
            },
            None => self.find(character, weight),
        }
    }

    fn find(&self, character: char, weight: Weight) -> Option<Drawn> {
        let own = FaceId::of(weight);
        self.in_face(character, own).or_else(|| {
            if needs_shaping(character) {
                return None;
            }
            self.in_face(character, FaceId::Fallback)
        })
    }

    fn in_face(&self, character: char, id: FaceId) -> Option<Drawn> {
        let face = self.face(id)?;
        let glyph = face.glyph_index(character)?;
        Some(Drawn { character, face: id, advance: advance(face, glyph) })
    }
}

/// Advance of a glyph in thousandths of the size, rounded as the PDF's table of widths holds it.
pub(super) fn advance(face: &Face<'_>, glyph: ttf_parser::GlyphId) -> u16 {
    let units = u32::from(face.units_per_em().max(1));
    let own = u32::from(face.glyph_hor_advance(glyph).unwrap_or(0));
    u16::try_from((own * 1000 + units / 2) / units).unwrap_or(u16::MAX)
}

/// Scripts that are written from right to left or joined: glyph by glyph they would be wrong, so
/// they count as missing.
fn needs_shaping(character: char) -> bool {
    matches!(character,
        '\u{0590}'..='\u{08FF}' | '\u{FB1D}'..='\u{FDFF}' | '\u{FE70}'..='\u{FEFE}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_faces_have_the_trades_characters() {
        for character in "≥≤²³Ω−Δ°µ×·√φ½′″→".chars() {
            for weight in [Weight::Regular, Weight::Bold] {
                let drawn = Faces::shared().draw(character, weight).unwrap();
                assert_eq!(drawn.face, FaceId::of(weight), "{character}");
            }
        }
    }

    #[test]
    fn a_subscript_comes_from_the_fallback() {
        let drawn = Faces::shared().draw('₂', Weight::Bold).unwrap();
        assert_eq!(drawn.face, FaceId::Fallback);
    }

    #[test]
    fn joined_scripts_and_ideographs_count_as_missing() {
        for character in ['ش', 'א', '中'] {
            assert_eq!(Faces::shared().draw(character, Weight::Regular), None);
        }
    }

    #[test]
    fn line_metrics_are_those_of_the_font() {
        let face = Faces::shared().face(FaceId::Regular).unwrap();
        let units = f64::from(face.units_per_em());
        assert!((f64::from(face.ascender()) * 1000.0 / units - ASCENT).abs() < 0.6);
        assert!((f64::from(-face.descender()) * 1000.0 / units - DESCENT).abs() < 0.6);
    }
}
