//! The QR code of a signed revision: what a phone needs to compare paper, survey and tablet.

use deadfront_rules::say;
use deadfront_rules::survey::Survey;
use qrcodegen::{QrCode, QrCodeEcc};

use crate::paper::{Colour, Drawing, Pt, Rect, Shape};
use crate::sign::{fingerprint, key_fingerprint};

/// A module's side [pt]; 0.5 mm, which any phone reads from a laser print.
const MODULE: f64 = 1.45;
/// The quiet zone that ISO/IEC 18004 asks for, in modules.
const QUIET: i32 = 4;

/// What the code says, in the letters that codes hold densely: revision, hash, and for each
/// signature with a tablet's key its id and the fingerprint of the key.
pub(super) fn words(survey: &Survey) -> String {
    let mut words =
        say!("DEADFRONT REVISION {} SHA256 {}", survey.revision.to_string(), fingerprint(survey).to_string())
            .to_string();
    for signature in &survey.signatures {
        if let Some(fingerprint) = signature.key.as_ref().and_then(key_fingerprint) {
            words.push_str(&say!(" ID {} KEY {}", &signature.id, fingerprint.to_string()).to_string());
        }
    }
    words.to_uppercase()
}

/// The code of a survey; `None` when its words fit no code.
pub(super) fn code(survey: &Survey) -> Option<Drawing> {
    let code = QrCode::encode_text(&words(survey), QrCodeEcc::Medium).ok()?;
    let side = Pt(f64::from(code.size() + 2 * QUIET) * MODULE);
    let shapes = (0..code.size()).flat_map(|y| bars(&code, y)).collect();
    Some(Drawing { width: side, height: side, shapes })
}

/// The dark modules of a row, neighbours joined to one bar.
fn bars(code: &QrCode, y: i32) -> Vec<Shape> {
    let mut bars = Vec::new();
    let mut from = None;
    for x in 0..=code.size() {
        // Outside the code every module is light.
        match (from, code.get_module(x, y)) {
            (None, true) => from = Some(x),
            (Some(start), false) => {
                bars.push(bar(start, x, y));
                from = None;
            }
            _ => {}
        }
    }
    bars
}

fn bar(from: i32, to: i32, y: i32) -> Shape {
    let at = |module: i32| Pt(f64::from(module + QUIET) * MODULE);
    let rect = Rect::new(at(from), at(y), Pt(f64::from(to - from) * MODULE), Pt(MODULE));
    Shape::rect(rect, None, Some(Colour::Black))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::paper::Point;

    /// Dots a module of a printer.
    const DOTS: f64 = 4.0;

    /// Whether a dot of the printed drawing is dark.
    fn is_dark(drawing: &Drawing, x: usize, y: usize) -> bool {
        let within = |points: &[Point], x: f64, y: f64| {
            let (first, last) = (points[0], points[2]);
            (first.x.0..last.x.0).contains(&x) && (first.y.0..last.y.0).contains(&y)
        };
        let middle = |dot: usize| (dot as f64 + 0.5) / DOTS * MODULE;
        drawing.shapes.iter().any(|shape| match shape {
            Shape::Polygon { points, .. } => within(points, middle(x), middle(y)),
            _ => false,
        })
    }

    #[test]
    fn the_code_is_read_back() {
        let survey = crate::file::read_survey(crate::demo::DEMO.as_bytes()).unwrap();
        let drawing = code(&survey).unwrap();
        let side = (drawing.width.0 / MODULE * DOTS).round() as usize;
        let dot = |x, y| if is_dark(&drawing, x, y) { 0 } else { 255 };
        let mut picture = rqrr::PreparedImage::prepare_from_greyscale(side, side, dot);
        let codes = picture.detect_grids();
        let (_, read) = codes.first().expect("a code is seen").decode().unwrap();
        assert_eq!(read, words(&survey));
        assert!(read.starts_with("DEADFRONT REVISION 1 SHA256 "), "{read}");
    }
}
