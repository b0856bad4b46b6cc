//! Paper: lays out a document on A4 or Letter sheets and writes it as a PDF.
//!
//! The way is [`Document`] → [`lay_out`] → [`Laid`] (pages with everything in its place) → [`write`] →
//! bytes. Nothing here knows what the document is about; no clock and no file is read, and the same
//! input gives the same bytes.
//!
//! - `tokens` holds every colour, size and distance.
//! - `flow*` turns blocks into strips, which are never cut; `paginate` shares strips out to pages.
//! - `pdf*` turns pages into a PDF. Faces are reduced to the used characters before they are
//!   embedded, because printpdf without its layout engine embeds them whole.
//!
//! ```
//! use deadfront::paper::{Block, Document, Meta, Running, Sheet, Span, Text, lay_out, write};
//!
//! let document = Document {
//!     sheet: Sheet::A4,
//!     running: Running {
//!         house: "Invented house".into(),
//!         revision: "Revision 1".into(),
//!         fingerprint: "7c1f 09ab".into(),
//!         page_pattern: "page {page} of {pages}".into(),
//!     },
//!     cover: None,
//!     blocks: vec![
//!         Block::heading(1, "Load on the busiest leg").anchored("load"),
//!         Block::figure("41.4\u{A0}A", "of 40\u{A0}A allowed: falls short"),
//!         Block::paragraph(Text::from([
//!             Span::new("How it follows is in "),
//!             Span::link("the derivation", "load"),
//!             Span::new(" on page "),
//!             Span::page_of("load"),
//!         ])),
//!     ],
//! };
//! let time = chrono::DateTime::parse_from_rfc3339("2026-01-31T09:30:00-05:00")?;
//! let meta = Meta {
//!     title: "Survey".into(),
//!     author: "Nobody, invented".into(),
//!     subject: String::new(),
//!     creator: "Deadfront".into(),
//!     language: "en-US".into(),
//!     created: time,
//!     modified: time,
//! };
//! let laid = lay_out(&document)?;
//! assert_eq!(laid.pages.len(), 1);
//! let written = write(&laid, &meta)?;
//! assert!(written.bytes.starts_with(b"%PDF-1.7") && written.warnings.is_empty());
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod contents;
mod cover;
mod document;
mod drawing;
mod faces;
mod flow;
mod flow_boxes;
mod flow_drawing;
mod flow_rows;
mod flow_table;
mod flow_text;
mod furniture;
mod jpeg;
mod laid;
mod layout;
mod lines;
mod paginate;
mod pdf;
mod pdf_attach;
mod pdf_content;
mod pdf_faces;
mod pdf_finish;
mod pdf_page;
mod pdf_picture;
mod picture;
mod span;
mod strips;
mod tokens;
mod units;

#[cfg(test)]
pub(crate) mod tests;

#[cfg(test)]
pub(crate) use contents::all_blocks;
pub use contents::headings;
pub use document::{
    Align, Block, BlockKind, Column, ColumnWidth, Cover, Document, Picture, Row, Running, Sheet, SignalWord,
    Signature, Table,
};
pub use drawing::{Drawing, Shape, Stroke};
pub use faces::FaceId;
pub use jpeg::is_bare_jpeg;
pub use laid::{Item, ItemKind, Laid, LaidHeading, LaidPage, PagePlace, PaperWarning, Role, TextRun};
pub use layout::{PaperError, largest_drawing, lay_out, type_area};
pub use lines::{line_count, text_width};
pub use pdf::{Meta, Written, write, write_with};
pub use pdf_attach::{Attachment, Extras};
pub use pdf_finish::is_as_written;
pub use span::{Span, Text, Weight, Words};
pub use tokens::{Colour, TextSize};
pub use units::{Mm, Point, Pt, Rect};
