//! Pages with everything in its place: the result of the layout, before it becomes a PDF.

use std::collections::BTreeMap;

use super::drawing::Stroke;
use super::faces::FaceId;
use super::picture::PreparedPicture;
use super::tokens::{Colour, TextSize};
use super::units::{Point, Pt, Rect};

/// A laid-out document.
#[derive(Debug, Clone, PartialEq)]
pub struct Laid {
    /// The pages in order.
    pub pages: Vec<LaidPage>,
    /// The headings, for the bookmarks.
    pub headings: Vec<LaidHeading>,
    /// Where each anchor stands.
    pub anchors: BTreeMap<String, PagePlace>,
    /// What went onto paper otherwise than it was asked for.
    pub warnings: Vec<PaperWarning>,
    pub(super) pictures: Vec<PreparedPicture>,
}

/// A place in a laid-out document.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PagePlace {
    /// Number of the page, from 1.
    pub page: usize,
    /// Distance from the top edge of the page [pt].
    pub y: Pt,
}

/// A heading in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct LaidHeading {
    /// 1 is the highest.
    pub level: u8,
    /// The words.
    pub text: String,
    /// Where it stands.
    pub place: PagePlace,
}

/// A page with everything in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct LaidPage {
    /// Width of the sheet [pt].
    pub width: Pt,
    /// Height of the sheet [pt].
    pub height: Pt,
    /// Whether this is the cover.
    pub cover: bool,
    /// Whether the document asked for a new page here, or begins here.
    pub forced: bool,
    /// Everything on it, from back to front.
    pub items: Vec<Item>,
}

/// A thing on a page.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// The box that holds it. Text has the height of its line.
    pub rect: Rect,
    /// What it is.
    pub kind: ItemKind,
    /// What it belongs to.
    pub role: Role,
}

/// What a thing on a page belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// A heading of this level.
    Heading(u8),
    /// The text of the document.
    Flow,
    /// The inside of a drawing, which its maker arranges.
    Drawing,
    /// Head and foot of the page.
    Furniture,
}

/// The things that can be on a page.
#[derive(Debug, Clone, PartialEq)]
pub enum ItemKind {
    /// A stretch of text on one line.
    Text(TextRun),
    /// A line through points.
    Polyline {
        /// Two points or more.
        points: Vec<Point>,
        /// The line.
        stroke: Stroke,
    },
    /// A closed area.
    Polygon {
        /// Three points or more.
        points: Vec<Point>,
        /// Its border.
        stroke: Option<Stroke>,
        /// Its fill.
        fill: Option<Colour>,
    },
    /// A picture, by its number in the document.
    Picture(usize),
    /// A place to touch that leads to an anchor.
    Link {
        /// Name of the anchor.
        anchor: String,
    },
}

/// A stretch of text in one face, size and colour.
#[derive(Debug, Clone, PartialEq)]
pub struct TextRun {
    /// The characters as they are drawn.
    pub text: String,
    /// The face they are drawn in.
    pub face: FaceId,
    /// The size of the type.
    pub size: TextSize,
    /// Shrinks the type in a drawing that was too large for its page; otherwise 1.
    pub scale: f64,
    /// The colour.
    pub colour: Colour,
    /// The line the letters stand on, from the top edge of the page [pt].
    pub baseline: Pt,
    /// Characters that no face has; U+FFFD is drawn in their place.
    pub replaced: Vec<char>,
}

/// What went onto paper otherwise than it was asked for.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PaperWarning {
    /// No face has these characters; U+FFFD stands in their place.
    #[error("no glyph for {characters:?} on page {page}, in \"{near}\"")]
    NoGlyph {
        /// The characters.
        characters: Vec<char>,
        /// Number of the page, from 1.
        page: usize,
        /// The text around, as drawn.
        near: String,
    },
    /// Text does not fit its box in a drawing and ends in an ellipsis.
    #[error("text cut short to fit its place: \"{text}\"")]
    CutShort {
        /// The whole text.
        text: String,
    },
    /// A drawing was larger than its page and was made smaller.
    #[error("drawing shrunk to {percent:.0} % to fit the page")]
    Shrunk {
        /// Size in percent of what was asked for.
        percent: f64,
    },
    /// A picture cannot be read; an empty frame says so in its place.
    #[error("picture cannot be read: {reason}")]
    UnreadablePicture {
        /// Why.
        reason: String,
    },
    /// The writer of the PDF reports something.
    #[error("while writing the PDF: {0}")]
    Writer(String),
}

impl Laid {
    /// The first picture that is the same as this one: it is in the file once.
    pub(super) fn first_like(&self, index: usize) -> usize {
        let Some(own) = self.pictures.get(index) else { return index };
        self.pictures.iter().position(|other| other == own).unwrap_or(index)
    }
}

impl Item {
    pub(super) fn moved(mut self, dx: Pt, dy: Pt) -> Self {
        self.shift(dx, dy);
        self
    }

    /// Moves it where it is, so that nothing is copied.
    pub(super) fn shift(&mut self, dx: Pt, dy: Pt) {
        self.rect = self.rect.moved(dx, dy);
        self.kind.shift(dx, dy);
    }

    /// A horizontal line.
    pub(super) fn rule(x: Pt, y: Pt, width: Pt, stroke: Stroke) -> Self {
        let ends = vec![Point { x, y }, Point { x: x + width, y }];
        Self {
            rect: Rect::new(x, y, width, Pt::ZERO),
            kind: ItemKind::Polyline { points: ends, stroke },
            role: Role::Flow,
        }
    }

    /// A filled box.
    pub(super) fn filled(rect: Rect, stroke: Option<Stroke>, fill: Option<Colour>) -> Self {
        let corner = |x, y| Point { x, y };
        let points = vec![
            corner(rect.x, rect.y),
            corner(rect.right(), rect.y),
            corner(rect.right(), rect.bottom()),
            corner(rect.x, rect.bottom()),
        ];
        Self { rect, kind: ItemKind::Polygon { points, stroke, fill }, role: Role::Flow }
    }
}

impl ItemKind {
    fn shift(&mut self, dx: Pt, dy: Pt) {
        match self {
            Self::Text(run) => run.baseline += dy,
            Self::Polyline { points, .. } | Self::Polygon { points, .. } => {
                points.iter_mut().for_each(|point| *point = point.moved(dx, dy));
            }
            Self::Picture(_) | Self::Link { .. } => {}
        }
    }
}
