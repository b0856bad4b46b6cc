//! Turns blocks into strips.

use super::document::{Block, BlockKind};
use super::laid::{LaidHeading, PaperWarning};
use super::lines::PageNumbers;
use super::picture::PreparedPicture;
use super::strips::{Frame, FrameLook, Framed, Strip, Tie};
use super::tokens::WIDEST_GAP;
use super::units::Pt;

/// Where strips stand between left and right.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Column {
    pub(super) x: Pt,
    pub(super) width: Pt,
}

impl Column {
    pub(super) fn indented(self, by: Pt) -> Self {
        Self { x: self.x + by, width: self.width - by }
    }

    pub(super) fn at_most(self, width: Pt) -> Self {
        Self { width: self.width.min(width), ..self }
    }
}

/// What the layout before knew, for page numbers in the text.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Known {
    pub(super) anchors: PageNumbers,
    pub(super) headings: Vec<LaidHeading>,
}

/// Lines of a paragraph up to which it goes over whole with what it leads to.
const MOST_LEADING: usize = 8;

/// Whether a block is the paragraph that says what the table, list or drawing behind it shows. The two stay
/// together.
fn leads_in(blocks: &[Block], at: usize) -> bool {
    let shown = |block: &Block| {
        matches!(
            block.kind,
            BlockKind::Table(_)
                | BlockKind::List { .. }
                | BlockKind::Drawing(_)
                | BlockKind::Diagram(_)
                | BlockKind::KeyValues { .. }
        )
    };
    let leads = |block: &Block| matches!(block.kind, BlockKind::Paragraph(_));
    blocks.get(at).is_some_and(leads) && blocks.get(at + 1).is_some_and(shown)
}

/// The strips so far.
pub(super) struct Flow<'a> {
    pub(super) known: &'a Known,
    /// Height of the text on a page.
    pub(super) body_height: Pt,
    /// The pictures of the document in reading order.
    pub(super) pictures: &'a [Result<PreparedPicture, String>],
    /// The picture that comes next.
    pub(super) next_picture: usize,
    pub(super) strips: Vec<Strip>,
    pub(super) warnings: Vec<PaperWarning>,
    next_frame: usize,
    gap: Pt,
    /// Overrides the gap: what follows a heading stays close to it.
    close: Option<Pt>,
    break_next: bool,
    anchors: Vec<String>,
}

impl<'a> Flow<'a> {
    pub(super) fn new(
        known: &'a Known,
        body_height: Pt,
        pictures: &'a [Result<PreparedPicture, String>],
    ) -> Self {
        Self {
            known,
            body_height,
            pictures,
            next_picture: 0,
            strips: Vec::new(),
            warnings: Vec::new(),
            next_frame: 0,
            gap: Pt::ZERO,
            close: None,
            break_next: false,
            anchors: Vec::new(),
        }
    }

    pub(super) fn blocks(&mut self, blocks: &[Block], column: Column) {
        for (at, block) in blocks.iter().enumerate() {
            let start = self.strips.len();
            self.block(block, column);
            if leads_in(blocks, at) && self.strips.len() > start {
                if self.strips.len() - start <= MOST_LEADING {
                    self.tie_from(start, Tie::Hard);
                }
                self.tie_last(Tie::Hard);
            }
        }
    }

    fn block(&mut self, block: &Block, column: Column) {
        let start = self.strips.len();
        self.anchors.extend(block.anchor.clone());
        self.kind(&block.kind, column);
        if block.keep_with_next && self.strips.len() > start {
            self.tie_last(Tie::Hard);
        }
    }

    fn kind(&mut self, kind: &BlockKind, column: Column) {
        match kind {
            BlockKind::Heading { level, text } => self.heading(*level, text, column),
            BlockKind::Paragraph(text) => self.paragraph(text, column),
            BlockKind::List { numbered, items } => self.list(*numbered, items, column),
            BlockKind::KeyValues { columns, pairs } => self.key_values(*columns, pairs, column),
            BlockKind::Table(table) => self.table(table, column),
            BlockKind::Signal { word, title, blocks } => self.signal(*word, title, blocks, column),
            BlockKind::Figure { figure, words } => self.figure(figure, words, column),
            BlockKind::Note(blocks) => self.note(blocks, column),
            BlockKind::Signatures(places) => self.signatures(places, column),
            BlockKind::Space(height) => self.space(*height),
            BlockKind::PageBreak => self.break_next = true,
            BlockKind::Together(blocks) => self.together(blocks, column),
            BlockKind::Drawing(drawing) => self.drawing(drawing, column),
            BlockKind::Diagram(drawing) => self.diagram(drawing, column),
            BlockKind::Picture(picture) => self.picture(picture, column),
            BlockKind::Pictures(pictures) => self.pictures_in_pairs(pictures, column),
            BlockKind::Contents { deepest, from } => self.contents(*deepest, *from, column),
        }
    }

    fn space(&mut self, height: Pt) {
        let before = self.close.take().unwrap_or(self.gap);
        self.gap = (before + height.within(Pt::ZERO, WIDEST_GAP)).min(WIDEST_GAP);
    }

    fn together(&mut self, blocks: &[Block], column: Column) {
        let start = self.strips.len();
        self.blocks(blocks, column);
        // Where one page cannot hold it, the groups in it stay whole.
        let has_groups = |block: &Block| matches!(block.kind, BlockKind::Together(_) | BlockKind::Table(_));
        let tie = if blocks.iter().any(has_groups) { Tie::Loose } else { Tie::Group };
        self.tie_from(start, tie);
    }

    /// At least this much empty height before the next strip.
    pub(super) fn gap(&mut self, height: Pt) {
        self.gap = self.gap.max(height);
    }

    /// Adds a strip below the last.
    pub(super) fn push(&mut self, mut strip: Strip) {
        strip.gap += self.close.take().unwrap_or(self.gap);
        self.gap = Pt::ZERO;
        strip.break_before |= std::mem::take(&mut self.break_next);
        strip.anchors.append(&mut self.anchors);
        self.strips.push(strip);
    }

    /// Exactly this much empty height before the next strip, whatever it asks for.
    pub(super) fn close_gap(&mut self, height: Pt) {
        self.close = Some(height);
    }

    /// Drops the empty height that waits for the next strip.
    pub(super) fn forget_gap(&mut self) {
        self.gap = Pt::ZERO;
        self.close = None;
    }

    /// Anchors of blocks that printed nothing lead to the last strip.
    pub(super) fn finish(&mut self) {
        let left = std::mem::take(&mut self.anchors);
        if left.is_empty() {
            return;
        }
        match self.strips.last_mut() {
            Some(strip) => strip.anchors.extend(left),
            None => self.strips.push(Strip { anchors: left, ..Strip::default() }),
        }
    }

    pub(super) fn tie_last(&mut self, tie: Tie) {
        if let Some(strip) = self.strips.last_mut() {
            strip.tie_at_least(tie);
        }
    }

    /// Ties the strips from `start` to each other, not the last to what follows.
    pub(super) fn tie_from(&mut self, start: usize, tie: Tie) {
        let end = self.strips.len().saturating_sub(1);
        if let Some(strips) = self.strips.get_mut(start..end) {
            strips.iter_mut().for_each(|strip| strip.tie_at_least(tie));
        }
    }

    /// Puts a frame around the strips from `start`, with room at top and bottom.
    pub(super) fn frame(&mut self, start: usize, column: Column, look: FrameLook, pad: Pt) {
        let frame = Frame { id: self.next_frame, x: column.x, width: column.width, look };
        self.next_frame += 1;
        let count = self.strips.len().saturating_sub(start);
        for (index, strip) in self.strips.iter_mut().skip(start).enumerate() {
            let (first, last) = (index == 0, index + 1 == count);
            if first {
                strip.pad_top(pad);
            }
            if last {
                strip.height += pad;
            }
            let framed = Framed { frame: frame.clone(), first, last };
            strip.frames.insert(0, framed);
        }
    }
}
