//! What the writer is told of a page: its size and its links. Its content follows in `pdf_content`. Here, and only
//! here and there, y turns upwards.

use printpdf::{
    Actions, BorderArray, ColorArray, Destination, FontId, HighlightingMode, LinkAnnotation, Mm, Op,
    PdfFontHandle, PdfPage, TextItem,
};

use super::laid::{ItemKind, Laid, LaidPage};
use super::pdf_faces::EmbeddedFaces;
use super::units::{Pt, Rect};

/// The pages with their links. On the first stands every character of each face, so that the writer embeds them;
/// its content is written anew.
pub(super) fn pages(laid: &Laid, faces: &EmbeddedFaces) -> Vec<PdfPage> {
    let all = laid.pages.iter().enumerate();
    all.map(|(at, page)| {
        let mut ops = if at == 0 { every_character(faces) } else { Vec::new() };
        ops.extend(page.items.iter().filter_map(|item| match &item.kind {
            ItemKind::Link { anchor } => link(anchor, item.rect, page.height, laid),
            _ => None,
        }));
        sized(page, ops)
    })
    .collect()
}

fn sized(page: &LaidPage, ops: Vec<Op>) -> PdfPage {
    let mut written = PdfPage::new(Mm(0.0), Mm(0.0), ops);
    let sheet = printpdf::Rect::from_wh(length(page.width), length(page.height));
    written.media_box = sheet.clone();
    written.trim_box = sheet.clone();
    written.crop_box = sheet;
    written
}

fn every_character(faces: &EmbeddedFaces) -> Vec<Op> {
    let mut ops = vec![Op::StartTextSection];
    for (face, characters) in &faces.used {
        let font = PdfFontHandle::External(FontId(face.resource().to_owned()));
        ops.push(Op::SetFont { font, size: printpdf::Pt(1.0) });
        ops.push(Op::ShowText { items: vec![TextItem::Text(characters.iter().collect())] });
    }
    ops.push(Op::EndTextSection);
    ops
}

fn link(anchor: &str, rect: Rect, height: Pt, laid: &Laid) -> Option<Op> {
    let place = laid.anchors.get(anchor)?;
    let destination = Destination::Xyz {
        page: place.page,
        left: None,
        top: Some(number(height - place.y + Pt(6.0))),
        zoom: None,
    };
    let rect = printpdf::Rect::from_xywh(
        length(rect.x),
        length(height - rect.bottom()),
        length(rect.width),
        length(rect.height),
    );
    let link = LinkAnnotation::new(
        rect,
        Actions::Goto(destination),
        Some(BorderArray::Solid([0.0, 0.0, 0.0])),
        Some(ColorArray::Transparent),
        Some(HighlightingMode::Invert),
    );
    Some(Op::LinkAnnotation { link })
}

/// Hundredths of a point: finer than any printer, and short in the file.
fn number(length: Pt) -> f32 {
    (length.0 * 100.0).round() as f32 / 100.0
}

fn length(length: Pt) -> printpdf::Pt {
    printpdf::Pt(number(length))
}
