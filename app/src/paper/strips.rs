//! Strips: what blocks become before they are shared out to pages. A strip is never cut.

use std::rc::Rc;

use super::drawing::Stroke;
use super::laid::{Item, ItemKind};
use super::tokens::{Colour, HAIRLINE, OPEN_REACH};
use super::units::{Point, Pt, Rect};

/// How a strip holds on to the next one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub(super) enum Tie {
    /// The page may end here.
    #[default]
    Free,
    /// The page ends here only if the groups that are told together are higher than a page.
    Loose,
    /// The page ends here only if the group is higher than a page.
    Group,
    /// The page ends here only if what is tied is higher than a page.
    Hard,
    /// A heading: the page does not end here.
    Heading,
}

/// A strip across the column. x counts from the sheet's left edge, y from the strip's top.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Strip {
    /// Empty height above, unless the strip begins a page.
    pub(super) gap: Pt,
    pub(super) height: Pt,
    pub(super) items: Vec<Item>,
    pub(super) tie: Tie,
    /// Lines of text.
    pub(super) lines: usize,
    /// A drawing or a picture, which may stand alone on a page.
    pub(super) solid: bool,
    pub(super) break_before: bool,
    /// Stands above the strip when the strip begins a page.
    pub(super) head: Option<Rc<Head>>,
    pub(super) frames: Vec<Framed>,
    pub(super) anchors: Vec<String>,
    pub(super) heading: Option<(u8, String)>,
}

/// The head of a table, to be repeated.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Head {
    pub(super) height: Pt,
    pub(super) items: Vec<Item>,
    pub(super) lines: usize,
}

impl Head {
    /// This one with another one below it.
    pub(super) fn above(&self, below: &Self) -> Self {
        let lower = below.items.iter().map(|item| item.clone().moved(Pt::ZERO, self.height));
        Self {
            height: self.height + below.height,
            items: self.items.iter().cloned().chain(lower).collect(),
            lines: self.lines + below.lines,
        }
    }
}

/// A frame around strips that follow each other; it may be parted by the end of a page.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Frame {
    /// Tells frames apart.
    pub(super) id: usize,
    pub(super) x: Pt,
    pub(super) width: Pt,
    pub(super) look: FrameLook,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum FrameLook {
    /// A bar at the left edge.
    Bar(Colour),
    /// A box; where the page ends inside it stays open.
    Box,
}

/// A strip's part in a frame.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Framed {
    pub(super) frame: Frame,
    pub(super) first: bool,
    pub(super) last: bool,
}

impl Strip {
    /// More room above the strip's things.
    pub(super) fn pad_top(&mut self, room: Pt) {
        self.items.iter_mut().for_each(|item| item.shift(Pt::ZERO, room));
        self.height += room;
    }

    pub(super) fn tie_at_least(&mut self, tie: Tie) {
        self.tie = self.tie.max(tie);
    }
}

/// Height of strips on a page of their own.
pub(super) fn stacked_height(strips: &[Strip]) -> Pt {
    let Some((first, rest)) = strips.split_first() else {
        return Pt::ZERO;
    };
    let head = first.head.as_ref().map_or(Pt::ZERO, |head| head.height);
    let below: Pt = rest.iter().map(|strip| strip.gap + strip.height).sum();
    head + first.height + below
}

/// Lines of text that strips have on a page of their own; a drawing counts as many.
pub(super) fn stacked_lines(strips: &[Strip]) -> usize {
    const MANY: usize = 9;
    let head = strips.first().and_then(|strip| strip.head.as_ref()).map_or(0, |head| head.lines);
    let own = |strip: &Strip| strip.lines + if strip.solid { MANY } else { 0 };
    head + strips.iter().map(own).sum::<usize>()
}

/// Puts what is on strips below each other from `top`, off the strips; frames come first, so that they lie behind.
pub(super) fn stack(strips: &mut [Strip], top: Pt) -> (Vec<Item>, Vec<Pt>) {
    let mut items = Vec::new();
    let mut tops = Vec::new();
    let mut extents: Vec<Extent> = Vec::new();
    let mut y = top;
    for (index, strip) in strips.iter_mut().enumerate() {
        let upper = if index == 0 { y } else { y + strip.gap };
        y = upper;
        if let (0, Some(head)) = (index, &strip.head) {
            items.extend(head.items.iter().map(|item| item.clone().moved(Pt::ZERO, y)));
            y += head.height;
        }
        let own = std::mem::take(&mut strip.items);
        items.extend(own.into_iter().map(|item| item.moved(Pt::ZERO, y)));
        tops.push(y);
        y += strip.height;
        for framed in &strip.frames {
            extend(&mut extents, framed, upper, y);
        }
    }
    let mut all: Vec<Item> = extents.iter().flat_map(Extent::items).collect();
    all.append(&mut items);
    (all, tops)
}

/// A frame as far as it reaches on one page.
struct Extent {
    frame: Frame,
    top: Pt,
    bottom: Pt,
    begins: bool,
    ends: bool,
}

fn extend(extents: &mut Vec<Extent>, framed: &Framed, top: Pt, bottom: Pt) {
    let known = extents.iter_mut().find(|extent| extent.frame.id == framed.frame.id);
    if let Some(extent) = known {
        extent.bottom = bottom;
        extent.ends |= framed.last;
        return;
    }
    extents.push(Extent {
        frame: framed.frame.clone(),
        top,
        bottom,
        begins: framed.first,
        ends: framed.last,
    });
}

impl Extent {
    fn items(&self) -> Vec<Item> {
        let rect = Rect::new(self.frame.x, self.top, self.frame.width, self.bottom - self.top);
        match self.frame.look {
            FrameLook::Bar(colour) => {
                let outline = Stroke::new(HAIRLINE.0, Colour::Ink);
                vec![Item::filled(rect, Some(outline), Some(colour))]
            }
            FrameLook::Box => self.box_items(rect),
        }
    }

    /// Where the box is open it reaches into the gap to the head or foot of the page.
    fn opened(&self, rect: Rect) -> Rect {
        let reach = |closed: bool| if closed { Pt::ZERO } else { OPEN_REACH };
        let (above, below) = (reach(self.begins), reach(self.ends));
        Rect::new(rect.x, rect.y - above, rect.width, rect.height + above + below)
    }

    fn box_items(&self, rect: Rect) -> Vec<Item> {
        let rect = self.opened(rect);
        let stroke = Stroke::new(HAIRLINE.0, Colour::Soft);
        let side = |x: Pt| Item {
            rect: Rect::new(x, rect.y, Pt::ZERO, rect.height),
            kind: ItemKind::Polyline {
                points: vec![Point { x, y: rect.y }, Point { x, y: rect.bottom() }],
                stroke,
            },
            role: super::laid::Role::Flow,
        };
        let mut items = vec![Item::filled(rect, None, Some(Colour::Tint)), side(rect.x), side(rect.right())];
        if self.begins {
            items.push(Item::rule(rect.x, rect.y, rect.width, stroke));
        }
        if self.ends {
            items.push(Item::rule(rect.x, rect.bottom(), rect.width, stroke));
        }
        items
    }
}
