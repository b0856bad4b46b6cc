//! From a document to pages.

use std::collections::BTreeMap;

use super::contents::{all_blocks, heading_anchor, headings_of};
use super::cover::cover_pages;
use super::document::{BlockKind, Document};
use super::flow::{Column, Flow, Known};
use super::furniture::{body, furniture};
use super::laid::{Item, ItemKind, Laid, LaidHeading, LaidPage, PagePlace, PaperWarning, TextRun};
use super::paginate::paginate;
use super::picture::{PreparedPicture, prepare};
use super::strips::{Strip, stack};
use super::units::{Pt, Rect};

/// Why a document cannot be printed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PaperError {
    /// Links lead to anchors that no block carries, or two blocks carry the same name.
    #[error("links without their place: {missing:?}; names used twice: {doubled:?}")]
    Anchors {
        /// Names that links lead to and no block carries.
        missing: Vec<String>,
        /// Names that more than one block carries.
        doubled: Vec<String>,
    },
    /// A face of the paper cannot be made ready.
    #[error("a face cannot be embedded: {0}")]
    Face(String),
    /// The file cannot be put together.
    #[error("the PDF cannot be written: {0}")]
    Write(String),
}

/// Passes after which page numbers in the text count as settled.
const MOST_PASSES: usize = 5;

/// Gives every part of the document its place.
///
/// # Errors
/// [`PaperError::Anchors`] when links and anchors do not match.
pub fn lay_out(document: &Document) -> Result<Laid, PaperError> {
    let pictures = prepare_pictures(document);
    let mut known = Known { anchors: BTreeMap::new(), headings: headings_of(document) };
    let mut draft = pass(document, &known, &pictures);
    for _ in 1..MOST_PASSES {
        let found = draft.known();
        if found == known {
            break;
        }
        known = found;
        draft = pass(document, &known, &pictures);
    }
    check_anchors(&draft)?;
    Ok(draft.into_laid(document, pictures))
}

fn prepare_pictures(document: &Document) -> Vec<Result<PreparedPicture, String>> {
    let pictures = all_blocks(document).into_iter().flat_map(|block| match &block.kind {
        BlockKind::Picture(picture) => std::slice::from_ref(picture),
        BlockKind::Pictures(pictures) => pictures,
        _ => &[],
    });
    pictures.map(prepare).collect()
}

/// One layout, with page numbers as the pass before found them.
fn pass(document: &Document, known: &Known, pictures: &[Result<PreparedPicture, String>]) -> Draft {
    let area = body(document.sheet);
    let mut draft = Draft::default();
    let mut flow = Flow::new(known, area.height, pictures);
    if let Some(cover) = &document.cover {
        for mut page in cover_pages(cover, &mut flow, area) {
            draft.add(&mut page, area.y, true, true);
        }
        flow.strips.clear();
    }
    let column = Column { x: area.x, width: area.width };
    flow.blocks(&document.blocks, column);
    flow.finish();
    let mut strips = std::mem::take(&mut flow.strips);
    for share in paginate(&mut strips, area.height) {
        let forced = share.forced || share.strips.start == 0;
        let strips = strips.get_mut(share.strips).unwrap_or_default();
        draft.add(strips, area.y, false, forced);
    }
    draft.warnings = flow.warnings;
    draft
}

/// A layout without head and foot.
#[derive(Debug, Default)]
struct Draft {
    pages: Vec<DraftPage>,
    headings: Vec<LaidHeading>,
    anchors: BTreeMap<String, PagePlace>,
    doubled: Vec<String>,
    warnings: Vec<PaperWarning>,
}

#[derive(Debug)]
struct DraftPage {
    items: Vec<Item>,
    cover: bool,
    forced: bool,
}

impl Draft {
    fn add(&mut self, strips: &mut [Strip], top: Pt, cover: bool, forced: bool) {
        let (items, tops) = stack(strips, top);
        let page = self.pages.len() + 1;
        for (strip, y) in strips.iter().zip(tops) {
            self.note_places(strip, PagePlace { page, y });
        }
        self.pages.push(DraftPage { items, cover, forced });
    }

    fn note_places(&mut self, strip: &Strip, place: PagePlace) {
        let own = strip.heading.as_ref().map(|_| heading_anchor(self.headings.len()));
        for name in strip.anchors.iter().cloned().chain(own) {
            if self.anchors.insert(name.clone(), place).is_some() {
                self.doubled.push(name);
            }
        }
        if let Some((level, text)) = strip.heading.clone() {
            self.headings.push(LaidHeading { level, text, place });
        }
    }

    fn known(&self) -> Known {
        let page = |(name, place): (&String, &PagePlace)| (name.clone(), place.page);
        Known { anchors: self.anchors.iter().map(page).collect(), headings: self.headings.clone() }
    }

    fn into_laid(mut self, document: &Document, pictures: Vec<Result<PreparedPicture, String>>) -> Laid {
        if self.pages.is_empty() {
            self.add(&mut [], Pt::ZERO, false, true);
        }
        let (width, height) = document.sheet.size();
        let count = self.pages.len();
        let finish = |(index, page): (usize, DraftPage)| {
            let numbers = (index + 1, count);
            let mut items = furniture(&document.running, document.sheet, numbers);
            items.extend(page.items);
            LaidPage { width, height, cover: page.cover, forced: page.forced, items }
        };
        let pages: Vec<LaidPage> = self.pages.into_iter().enumerate().map(finish).collect();
        let mut warnings = missing_glyphs(&pages);
        warnings.append(&mut self.warnings);
        Laid {
            pages,
            headings: self.headings,
            anchors: self.anchors,
            warnings,
            pictures: pictures.into_iter().map(Result::unwrap_or_default).collect(),
        }
    }
}

fn missing_glyphs(pages: &[LaidPage]) -> Vec<PaperWarning> {
    let mut warnings = Vec::new();
    for (index, page) in pages.iter().enumerate() {
        for run in page.items.iter().filter_map(text_run) {
            if !run.replaced.is_empty() {
                warnings.push(PaperWarning::NoGlyph {
                    characters: run.replaced.clone(),
                    page: index + 1,
                    near: line_around(page, run),
                });
            }
        }
    }
    warnings
}

fn text_run(item: &Item) -> Option<&TextRun> {
    match &item.kind {
        ItemKind::Text(run) => Some(run),
        _ => None,
    }
}

/// All text on the line of a run.
fn line_around(page: &LaidPage, run: &TextRun) -> String {
    let runs = page.items.iter().filter_map(text_run);
    runs.filter(|other| other.baseline == run.baseline).map(|other| other.text.as_str()).collect()
}

fn check_anchors(draft: &Draft) -> Result<(), PaperError> {
    let links = draft.pages.iter().flat_map(|page| &page.items);
    let mut missing: Vec<String> = links
        .filter_map(|item| match &item.kind {
            ItemKind::Link { anchor } => Some(anchor.clone()),
            _ => None,
        })
        .filter(|anchor| !draft.anchors.contains_key(anchor))
        .collect();
    missing.sort();
    missing.dedup();
    if missing.is_empty() && draft.doubled.is_empty() {
        return Ok(());
    }
    Err(PaperError::Anchors { missing, doubled: draft.doubled.clone() })
}

/// The box inside the margins of a sheet, in which everything stands.
pub fn type_area(sheet: super::document::Sheet) -> Rect {
    super::furniture::type_area(sheet)
}

/// Width and height of the largest drawing that is not made smaller between a heading and a line of words.
pub fn largest_drawing(sheet: super::document::Sheet) -> (Pt, Pt) {
    let body = body(sheet);
    (body.width, body.height - super::tokens::BESIDE_DRAWING)
}
