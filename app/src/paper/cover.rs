//! The first page: a big title, blocks below it, and blocks at its foot.

use super::document::Cover;
use super::drawing::Stroke;
use super::flow::{Column, Flow};
use super::flow_text::line_strip;
use super::laid::{Item, Role};
use super::lines::wrap;
use super::paginate::paginate;
use super::span::{Span, Text};
use super::strips::{Strip, Tie, stacked_height};
use super::tokens::{BLOCK_GAP, COVER_DROP, Colour, FIGURE_GAP, TextSize};
use super::units::{Pt, Rect};

/// Most of the gaps that may be taken for all to stand on one page.
const MOST_TAKEN: f64 = 0.85;

/// Pages of the cover: one, or more if its blocks do not fit.
pub(super) fn cover_pages(cover: &Cover, flow: &mut Flow<'_>, area: Rect) -> Vec<Vec<Strip>> {
    let column = Column { x: area.x, width: area.width };
    titles(cover, flow, column);
    flow.blocks(&cover.blocks, column);
    flow.finish();
    let upper = std::mem::take(&mut flow.strips);
    flow.blocks(&cover.foot, column);
    flow.finish();
    let lower = std::mem::take(&mut flow.strips);
    // What waits after the cover's last block does not reach the next page.
    flow.forget_gap();
    join(upper, lower, area.height)
}

/// The foot goes down to the lower edge, or follows the blocks if they leave no room.
fn join(mut upper: Vec<Strip>, mut lower: Vec<Strip>, height: Pt) -> Vec<Vec<Strip>> {
    draw_together(&mut upper, height - stacked_height(&lower) - FIGURE_GAP);
    let used = stacked_height(&upper);
    let needed = stacked_height(&lower);
    let spare = height - used - needed;
    let fits = spare >= FIGURE_GAP;
    let mut strips = upper;
    if let (true, Some(first)) = (fits, lower.first_mut()) {
        first.gap = spare;
    }
    strips.append(&mut lower);
    let shares = paginate(&mut strips, height);
    shares.into_iter().map(|share| strips.get(share.strips).unwrap_or_default().to_vec()).collect()
}

/// Takes from the gaps what is too much, so that a cover that nearly fits stands on one page.
fn draw_together(strips: &mut [Strip], room: Pt) {
    let Some((_, below)) = strips.split_first() else { return };
    let gaps: Pt = below.iter().map(|strip| strip.gap).sum();
    let too_much = stacked_height(strips) - room;
    if too_much <= Pt::ZERO || too_much > gaps * MOST_TAKEN {
        return;
    }
    let keep = 1.0 - too_much.0 / gaps.0;
    strips.iter_mut().skip(1).for_each(|strip| strip.gap = strip.gap * keep);
}

fn titles(cover: &Cover, flow: &mut Flow<'_>, column: Column) {
    let start = flow.strips.len();
    title(flow, Span::bold(cover.kind.clone()).coloured(Colour::Soft), TextSize::Body, column);
    accent_rule(flow, column);
    title(flow, Span::bold(cover.title.clone()), TextSize::Title, column);
    title(flow, Span::soft(cover.subtitle.clone()), TextSize::Large, column);
    flow.tie_from(start, Tie::Hard);
    if let Some(first) = flow.strips.get_mut(start) {
        first.pad_top(COVER_DROP);
    }
    flow.gap(FIGURE_GAP * 1.5);
}

fn title(flow: &mut Flow<'_>, span: Span, size: TextSize, column: Column) {
    let known = flow.known;
    for line in wrap(&Text::from(span), size, column.width, &known.anchors) {
        flow.push(line_strip(&line, size, column, Role::Flow));
    }
}

/// A short, thick line between the kind of paper and its title.
fn accent_rule(flow: &mut Flow<'_>, column: Column) {
    let stroke = Stroke::new(2.0, Colour::Accent);
    flow.push(Strip {
        height: BLOCK_GAP + Pt(4.0),
        items: vec![Item::rule(column.x, Pt(5.0), column.width, stroke)],
        ..Strip::default()
    });
}
