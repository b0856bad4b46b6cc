//! Photos with what they show, two beside each other; a line for each that cannot be shown.

use deadfront_rules::house::{Index, describe};
use deadfront_rules::survey::{Photo, Survey};

use super::pictures::{Pictures, Shot};
use crate::paper::{Block, BlockKind, Mm, Picture, Span, Text};

/// Widest picture: two beside each other.
const WIDEST: Mm = Mm(90.0);
/// Highest picture: three rows fit on a page of either sheet.
const HIGHEST: Mm = Mm(58.0);

const ABOUT: &str = "Each photo has below it the item that it shows, and the surveyor's note; a time in it is that of the \
                     camera's clock, where the camera noted one.";

pub(super) fn section(survey: &Survey, pictures: &Pictures) -> Vec<Block> {
    if survey.photos.is_empty() {
        return Vec::new();
    }
    let index = Index::of(survey);
    let caption = |photo: &Photo| {
        let (_, name) = describe(survey, &index, &photo.of);
        let mut spans = vec![Span::bold(name), Span::soft(format!("  {}  {}", photo.of, photo.id))];
        if !photo.caption.trim().is_empty() {
            spans.push(Span::new(format!("  {}", photo.caption.trim())));
        }
        spans
    };
    let (mut shown, mut not_shown) = (Vec::new(), Vec::new());
    for photo in &survey.photos {
        let shot = pictures.get(&photo.file);
        let mut caption = caption(photo);
        match (shot, shot.why()) {
            (Shot::Whole(bytes), _) => {
                let caption = Text::from(caption);
                shown.push(Picture { bytes: bytes.clone(), width: WIDEST, height: HIGHEST, caption });
            }
            (_, why) => {
                caption.push(Span::new("  "));
                caption.push(Span::new(why.unwrap_or_default()));
                not_shown.push(Text::from(caption));
            }
        }
    }
    let mut blocks = vec![Block::heading(1, "Photos"), Block::paragraph(ABOUT)];
    if !shown.is_empty() {
        blocks.push(Block::new(BlockKind::Pictures(shown)));
    }
    if !not_shown.is_empty() {
        blocks.push(Block::heading(2, "Photos that are not shown"));
        blocks.push(Block::bullets(not_shown));
    }
    blocks
}
