//! What is to be printed: blocks in reading order, with no place on paper yet.

use std::sync::Arc;

use super::drawing::Drawing;
use super::span::{Text, Words};
use super::units::{Mm, Pt};

/// Size of the sheet, upright.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Sheet {
    /// ISO 216 A4, 210 mm by 297 mm.
    #[default]
    A4,
    /// US Letter, 8.5 in by 11 in.
    Letter,
}

impl Sheet {
    /// Width and height of the sheet [pt].
    pub const fn size(self) -> (Pt, Pt) {
        match self {
            Self::A4 => (Mm(210.0).to_pt(), Mm(297.0).to_pt()),
            Self::Letter => (Pt(612.0), Pt(792.0)),
        }
    }
}

/// What stands on every page above and below the text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Running {
    /// Head of the page, left: the house.
    pub house: String,
    /// Head of the page, right: the revision.
    pub revision: String,
    /// Foot of the page, left: the fingerprint of what is printed.
    pub fingerprint: String,
    /// Foot of the page, right. `{page}` and `{pages}` become numbers.
    pub page_pattern: String,
}

/// The first page.
#[derive(Debug, Clone, PartialEq)]
pub struct Cover {
    /// Small line above the title: what kind of paper this is.
    pub kind: String,
    /// The big title.
    pub title: String,
    /// Line below the title.
    pub subtitle: String,
    /// Blocks below the title, in reading order.
    pub blocks: Vec<Block>,
    /// Blocks that stand at the foot of the cover if there is room.
    pub foot: Vec<Block>,
}

/// A whole document.
#[derive(Debug, Clone, PartialEq)]
pub struct Document {
    /// Size of the sheets.
    pub sheet: Sheet,
    /// Head and foot of every page.
    pub running: Running,
    /// The first page, if the document has a cover.
    pub cover: Option<Cover>,
    /// The blocks after the cover, in reading order.
    pub blocks: Vec<Block>,
}

/// A block, where links find it and how it holds on to the next one.
#[derive(Debug, Clone, PartialEq)]
pub struct Block {
    /// What is printed.
    pub kind: BlockKind,
    /// The name by which links lead here.
    pub anchor: Option<String>,
    /// The page is not broken between this block and the next one.
    pub keep_with_next: bool,
}

/// The kinds of block.
#[derive(Debug, Clone, PartialEq)]
pub enum BlockKind {
    /// A heading of level 1 to 3 (others are held to that range); it becomes a bookmark.
    Heading {
        /// 1 is the highest.
        level: u8,
        /// The heading.
        text: Text,
    },
    /// Running text.
    Paragraph(Text),
    /// A list with bullets or numbers.
    List {
        /// Numbers from 1 in place of bullets.
        numbered: bool,
        /// The items.
        items: Vec<Text>,
    },
    /// Labels with their values, as the fields of a form.
    KeyValues {
        /// Fields side by side, 1 to 4 (others are held to that range).
        columns: usize,
        /// Label and value.
        pairs: Vec<(String, Text)>,
    },
    /// A table; its head repeats on each page.
    Table(Table),
    /// A signal word with its bar at the left edge.
    Signal {
        /// The word.
        word: SignalWord,
        /// What it is about, beside the word.
        title: Text,
        /// What stands beside the bar.
        blocks: Vec<Block>,
    },
    /// The figure that matters, large, and the words around it: `41.4 A` `of 40 A allowed`.
    Figure {
        /// The figure with its unit.
        figure: String,
        /// Limit and verdict.
        words: Text,
    },
    /// Blocks in a box.
    Note(Vec<Block>),
    /// Places to sign, two beside each other.
    Signatures(Vec<Signature>),
    /// Empty height, up to 36 pt; it vanishes at the top of a page. For room to write in, take a drawing.
    Space(Pt),
    /// The next block begins a page.
    PageBreak,
    /// Blocks that stand on one page if one page can hold them.
    Together(Vec<Block>),
    /// A drawing in lines and fills.
    Drawing(Drawing),
    /// A drawing that may be made smaller to fit its place.
    Diagram(Drawing),
    /// A picture.
    Picture(Picture),
    /// Pictures, two beside each other.
    Pictures(Vec<Picture>),
    /// The headings up to a level, with their pages.
    Contents {
        /// The deepest level listed.
        deepest: u8,
        /// So many headings at the beginning have no entry: those of the cover, and the list's own.
        from: usize,
    },
}

/// The signal words of ANSI Z535 and ISO 3864.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SignalWord {
    /// Death or serious injury will result.
    Danger,
    /// Death or serious injury could result.
    Warning,
    /// Lesser injury could result.
    Caution,
    /// Damage to things, or what must be known.
    Notice,
}

/// A table.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Table {
    /// The columns with their heads.
    pub columns: Vec<Column>,
    /// The rows.
    pub rows: Vec<Row>,
    /// Rows closer below each other, for long lists that are looked up rather than read.
    pub dense: bool,
}

/// A column of a table.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Words in the head.
    pub head: String,
    /// Width of the column.
    pub width: ColumnWidth,
    /// Where the text stands in the column.
    pub align: Align,
}

impl Column {
    /// A column of text.
    pub fn text(head: impl Into<Words>, width: ColumnWidth) -> Self {
        Self { head: head.into().0, width, align: Align::Left }
    }

    /// A column of numbers, flush right.
    pub fn number(head: impl Into<Words>, width: ColumnWidth) -> Self {
        Self { align: Align::Right, ..Self::text(head, width) }
    }
}

/// How wide a column is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ColumnWidth {
    /// This wide.
    Fixed(Mm),
    /// As wide as its widest cell, narrower when the table would not fit.
    Auto,
    /// This share of what the other columns leave.
    Fraction(f64),
}

/// Where text stands between left and right.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Align {
    /// Flush left.
    #[default]
    Left,
    /// In the middle.
    Middle,
    /// Flush right.
    Right,
}

/// A row of a table.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Row {
    /// One cell a column; missing cells are empty, surplus ones join the last.
    pub cells: Vec<Text>,
    /// Sums and other rows that must be found at once.
    pub strong: bool,
    /// The name by which links lead here.
    pub anchor: Option<String>,
}

impl Row {
    /// A plain row.
    pub fn new(cells: Vec<Text>) -> Self {
        Self { cells, ..Self::default() }
    }

    /// A row in bold.
    pub fn strong(cells: Vec<Text>) -> Self {
        Self { strong: true, ..Self::new(cells) }
    }
}

/// A place to sign.
#[derive(Debug, Clone, PartialEq)]
pub struct Signature {
    /// Who signs here, as a role.
    pub role: String,
    /// Name, if it is known.
    pub name: String,
    /// Time of signing, if it was signed.
    pub signed: String,
    /// The ink, drawn to fit above the line.
    pub ink: Option<Drawing>,
}

/// A picture with its caption.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// The file's bytes, PNG or JPEG. The same bytes twice are in the file once.
    pub bytes: Arc<[u8]>,
    /// Widest it may be; never wider than the text [mm].
    pub width: Mm,
    /// Highest it may be; never as high as a page [mm].
    pub height: Mm,
    /// Words below it.
    pub caption: Text,
}

impl Block {
    /// A block of this kind, with no anchor.
    pub fn new(kind: BlockKind) -> Self {
        Self { kind, anchor: None, keep_with_next: false }
    }

    /// A heading of level 1 to 3.
    pub fn heading(level: u8, text: impl Into<Text>) -> Self {
        Self::new(BlockKind::Heading { level, text: text.into() })
    }

    /// Running text.
    pub fn paragraph(text: impl Into<Text>) -> Self {
        Self::new(BlockKind::Paragraph(text.into()))
    }

    /// A list with bullets.
    pub fn bullets(items: Vec<Text>) -> Self {
        Self::new(BlockKind::List { numbered: false, items })
    }

    /// A list numbered from 1.
    pub fn numbered(items: Vec<Text>) -> Self {
        Self::new(BlockKind::List { numbered: true, items })
    }

    /// Labels with their values, this many side by side.
    pub fn key_values(columns: usize, pairs: Vec<(String, Text)>) -> Self {
        Self::new(BlockKind::KeyValues { columns, pairs })
    }

    /// A table.
    pub fn table(columns: Vec<Column>, rows: Vec<Row>) -> Self {
        Self::new(BlockKind::Table(Table { columns, rows, dense: false }))
    }

    /// A table whose rows are close below each other.
    pub fn dense_table(columns: Vec<Column>, rows: Vec<Row>) -> Self {
        Self::new(BlockKind::Table(Table { columns, rows, dense: true }))
    }

    /// A signal word, its title, and what stands beside its bar.
    pub fn signal(word: SignalWord, title: impl Into<Text>, blocks: Vec<Self>) -> Self {
        Self::new(BlockKind::Signal { word, title: title.into(), blocks })
    }

    /// The figure that matters and the words around it.
    pub fn figure(figure: impl Into<Words>, words: impl Into<Text>) -> Self {
        Self::new(BlockKind::Figure { figure: figure.into().0, words: words.into() })
    }

    /// Blocks in a box.
    pub fn note(blocks: Vec<Self>) -> Self {
        Self::new(BlockKind::Note(blocks))
    }

    /// Blocks on one page.
    pub fn together(blocks: Vec<Self>) -> Self {
        Self::new(BlockKind::Together(blocks))
    }

    /// The next block begins a page.
    pub fn page_break() -> Self {
        Self::new(BlockKind::PageBreak)
    }

    /// The same block, found by links under this name.
    #[must_use]
    pub fn anchored(mut self, name: impl Into<String>) -> Self {
        self.anchor = Some(name.into());
        self
    }

    /// The same block, never parted from the next one.
    #[must_use]
    pub fn kept_with_next(mut self) -> Self {
        self.keep_with_next = true;
        self
    }
}
