//! The look of the paper: every colour, size of type and distance. No other file holds one.

use super::units::{Mm, Pt};

/// What a mark on paper is for, and so its colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Colour {
    /// Text and drawings.
    #[default]
    Ink,
    /// Labels, units, what may be read second.
    Soft,
    /// Headings' rules and links.
    Accent,
    /// Hairlines; never alone to tell.
    Rule,
    /// The one tint behind notes and in plots.
    Tint,
    /// What meets its limit.
    Meets,
    /// Fill of the signal word DANGER.
    Danger,
    /// Fill of the signal word WARNING.
    Warning,
    /// Fill of the signal word CAUTION.
    Caution,
    /// Fill of the signal word NOTICE.
    Notice,
    /// The sheet itself: white text on a dark fill.
    Paper,
    /// Black text on a bright signal fill.
    Black,
}

impl Colour {
    /// Red, green and blue of sRGB, 0 to 255.
    pub const fn rgb(self) -> [u8; 3] {
        match self {
            Self::Ink => [0x12, 0x18, 0x1C],
            Self::Soft => [0x3A, 0x45, 0x4D],
            Self::Accent => [0x0B, 0x4F, 0x4A],
            Self::Rule => [0x8A, 0x94, 0x9B],
            Self::Tint => [0xEE, 0xF1, 0xF0],
            Self::Meets => [0x0F, 0x51, 0x32],
            Self::Danger => [0xA4, 0x00, 0x1D],
            Self::Warning => [0xF2, 0x8C, 0x28],
            Self::Caution => [0xFF, 0xD1, 0x00],
            Self::Notice => [0x0A, 0x4A, 0x8C],
            Self::Paper => [0xFF, 0xFF, 0xFF],
            Self::Black => [0x00, 0x00, 0x00],
        }
    }
}

/// The sizes of type. A page besides the cover has the first three only.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum TextSize {
    /// Tables, labels, head and foot of the page.
    Small,
    /// Running text.
    #[default]
    Body,
    /// Headings of the first level and the figure that matters.
    Large,
    /// The title on the cover.
    Title,
}

impl TextSize {
    /// Height of the type [pt].
    pub const fn points(self) -> Pt {
        match self {
            Self::Small => Pt(8.0),
            Self::Body => Pt(9.5),
            Self::Large => Pt(14.0),
            Self::Title => Pt(30.0),
        }
    }

    /// Distance from line to line [pt].
    pub const fn leading(self) -> Pt {
        match self {
            Self::Small => Pt(11.0),
            Self::Body => Pt(13.5),
            Self::Large => Pt(19.5),
            Self::Title => Pt(42.0),
        }
    }
}

/// Empty border of every page.
pub(super) const MARGIN: Pt = Mm(18.0).to_pt();
/// Widest line of running text: about 70 characters of the body size.
pub(super) const MEASURE: Pt = Pt(352.0);
/// A hairline.
pub(super) const HAIRLINE: Pt = Pt(0.4);
/// The rule under a table's head, around a note.
pub(super) const RULE: Pt = Pt(0.8);
/// Between the running head or foot and the text.
pub(super) const FURNITURE_GAP: Pt = Pt(16.0);
/// Between two blocks.
pub(super) const BLOCK_GAP: Pt = Pt(8.0);
/// Before and after tables, drawings, notes.
pub(super) const FIGURE_GAP: Pt = Pt(12.0);
/// Between two items of a list.
pub(super) const ITEM_GAP: Pt = Pt(3.0);
/// Before a heading of level 1, 2, 3.
pub(super) const HEADING_GAPS: [Pt; 3] = [Pt(26.0), Pt(18.0), Pt(12.0)];
/// Between a heading and what follows.
pub(super) const HEADING_AFTER: Pt = Pt(5.0);
/// Step of a list's indent.
pub(super) const INDENT: Pt = Pt(16.0);
/// Between two columns of a table or grid.
pub(super) const COLUMN_GAP: Pt = Pt(10.0);
/// Above and below the text of a table's row.
pub(super) const ROW_PAD: Pt = Pt(3.0);
/// The same where rows are close below each other.
pub(super) const DENSE_PAD: Pt = Pt(1.0);
/// Inside a note, left and right of the text of a signal bar.
pub(super) const BOX_PAD: Pt = Pt(8.0);
/// How far an open box reaches beyond its text; less than the gap to head and foot.
pub(super) const OPEN_REACH: Pt = Pt(5.0);
/// Width of the bar at the left edge of a signal.
pub(super) const BAR_WIDTH: Pt = Pt(5.0);
/// Room for ink above a signature's line.
pub(super) const SIGNATURE_HEIGHT: Pt = Pt(40.0);
/// Room kept under a drawing or picture as high as a page, for its headings.
pub(super) const FIGURE_RESERVE: Pt = Pt(124.0);
/// What the largest drawing of a page leaves: a heading, the room around the drawing, a line below it.
pub(super) const BESIDE_DRAWING: Pt = Pt(98.0);
/// Most empty height between two blocks; less than the room kept under a drawing.
pub(super) const WIDEST_GAP: Pt = Pt(36.0);
/// Narrowest column of a table.
pub(super) const NARROWEST_COLUMN: Pt = Pt(24.0);
/// Where the title stands on the cover, from the top of the text.
pub(super) const COVER_DROP: Pt = Pt(14.0);
/// Most dots an inch of a placed picture.
pub(super) const PICTURE_DOTS_PER_INCH: f64 = 200.0;
