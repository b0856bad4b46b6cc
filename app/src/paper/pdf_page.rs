//! One laid-out page as the writer's operations. Here, and only here, y turns upwards.

use printpdf::{
    Actions, BorderArray, Color, ColorArray, CurTransMat, Destination, FontId, HighlightingMode, Line,
    LineCapStyle, LineDashPattern, LineJoinStyle, LinePoint, LinkAnnotation, Mm, Op, PaintMode,
    PdfFontHandle, PdfPage, Polygon, PolygonRing, Rgb, TextItem, TextMatrix, WindingOrder, XObjectTransform,
};

use super::drawing::Stroke;
use super::faces::FaceId;
use super::laid::{Item, ItemKind, Laid, LaidPage, TextRun};
use super::tokens::Colour;
use super::units::{Point, Pt, Rect};

/// The operations of a page.
pub(super) fn page(laid: &Laid, page: &LaidPage) -> PdfPage {
    let mut writer = PageWriter::new(page.height);
    for item in &page.items {
        writer.item(item, laid);
    }
    writer.end_text();
    let mut written = PdfPage::new(Mm(0.0), Mm(0.0), writer.ops);
    let sheet = printpdf::Rect::from_wh(length(page.width), length(page.height));
    written.media_box = sheet.clone();
    written.trim_box = sheet.clone();
    written.crop_box = sheet;
    written
}

/// Operations so far, and what is set, so that nothing is set twice.
struct PageWriter {
    height: Pt,
    ops: Vec<Op>,
    in_text: bool,
    face: Option<(FaceId, f32)>,
    fill: Option<Colour>,
    stroke: Option<Stroke>,
}

impl PageWriter {
    fn new(height: Pt) -> Self {
        let ops = vec![
            Op::SetLineCapStyle { cap: LineCapStyle::Butt },
            Op::SetLineJoinStyle { join: LineJoinStyle::Miter },
        ];
        Self { height, ops, in_text: false, face: None, fill: None, stroke: None }
    }

    fn item(&mut self, item: &Item, laid: &Laid) {
        match &item.kind {
            ItemKind::Text(run) => self.text(item.rect.x, run),
            ItemKind::Polyline { points, stroke } => self.polyline(points, *stroke),
            ItemKind::Polygon { points, stroke, fill } => self.polygon(points, *stroke, *fill),
            ItemKind::Picture(index) => self.picture(laid.first_like(*index), item.rect),
            ItemKind::Link { anchor } => self.link(anchor, item.rect, laid),
        }
    }

    fn text(&mut self, x: Pt, run: &TextRun) {
        if run.text.is_empty() {
            return;
        }
        self.fill(run.colour);
        if !self.in_text {
            self.ops.push(Op::StartTextSection);
            self.in_text = true;
        }
        let size = number(run.size.points() * run.scale);
        if self.face != Some((run.face, size)) {
            self.face = Some((run.face, size));
            let font = PdfFontHandle::External(FontId(run.face.resource().to_owned()));
            let size = printpdf::Pt(size);
            self.ops.push(Op::SetFont { font, size });
        }
        let (x, y) = (length(x), length(self.height - run.baseline));
        let matrix = TextMatrix::Translate(x, y);
        self.ops.push(Op::SetTextMatrix { matrix });
        let items = vec![TextItem::Text(run.text.clone())];
        self.ops.push(Op::ShowText { items });
    }

    fn end_text(&mut self) {
        if self.in_text {
            self.ops.push(Op::EndTextSection);
            self.in_text = false;
        }
    }

    fn polyline(&mut self, points: &[Point], stroke: Stroke) {
        self.end_text();
        self.stroke(stroke);
        let line = Line { points: self.points(points), is_closed: false };
        self.ops.push(Op::DrawLine { line });
    }

    fn polygon(&mut self, points: &[Point], stroke: Option<Stroke>, fill: Option<Colour>) {
        let mode = match (stroke, fill) {
            (None, None) => return,
            (Some(_), None) => PaintMode::Stroke,
            (None, Some(_)) => PaintMode::Fill,
            (Some(_), Some(_)) => PaintMode::FillStroke,
        };
        self.end_text();
        if let Some(stroke) = stroke {
            self.stroke(stroke);
        }
        if let Some(fill) = fill {
            self.fill(fill);
        }
        let rings = vec![PolygonRing { points: self.points(points) }];
        let winding_order = WindingOrder::NonZero;
        let polygon = Polygon { rings, mode, winding_order };
        self.ops.push(Op::DrawPolygon { polygon });
    }

    fn picture(&mut self, index: usize, rect: Rect) {
        self.end_text();
        let (x, y) = (number(rect.x), number(self.height - rect.bottom()));
        let (width, height) = (number(rect.width), number(rect.height));
        self.ops.push(Op::SaveGraphicsState);
        self.ops
            .push(Op::SetTransformationMatrix { matrix: CurTransMat::Raw([width, 0.0, 0.0, height, x, y]) });
        self.ops.push(Op::UseXobject {
            id: super::pdf_picture::id(index),
            transform: XObjectTransform { no_auto_scale: true, ..XObjectTransform::default() },
        });
        self.ops.push(Op::RestoreGraphicsState);
    }

    fn link(&mut self, anchor: &str, rect: Rect, laid: &Laid) {
        let Some(place) = laid.anchors.get(anchor) else {
            return;
        };
        let destination = Destination::Xyz {
            page: place.page,
            left: None,
            top: Some(number(self.height - place.y + Pt(6.0))),
            zoom: None,
        };
        let rect = printpdf::Rect::from_xywh(
            length(rect.x),
            length(self.height - rect.bottom()),
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
        self.ops.push(Op::LinkAnnotation { link });
    }

    fn fill(&mut self, colour: Colour) {
        if self.fill != Some(colour) {
            self.fill = Some(colour);
            let col = rgb(colour);
            self.ops.push(Op::SetFillColor { col });
        }
    }

    fn stroke(&mut self, stroke: Stroke) {
        let set = self.stroke;
        if set.map(|set| set.colour) != Some(stroke.colour) {
            let col = rgb(stroke.colour);
            self.ops.push(Op::SetOutlineColor { col });
        }
        if set.map(|set| set.width) != Some(stroke.width) {
            let pt = length(stroke.width);
            self.ops.push(Op::SetOutlineThickness { pt });
        }
        if set.map(|set| set.dash).unwrap_or_default() != stroke.dash {
            let dash = dash(stroke.dash);
            self.ops.push(Op::SetLineDashPattern { dash });
        }
        self.stroke = Some(stroke);
    }

    fn points(&self, points: &[Point]) -> Vec<LinePoint> {
        let upright = |point: &Point| LinePoint {
            p: printpdf::Point { x: length(point.x), y: length(self.height - point.y) },
            bezier: false,
        };
        points.iter().map(upright).collect()
    }
}

fn dash(dash: Option<(Pt, Pt)>) -> LineDashPattern {
    match dash {
        Some((dash, gap)) => LineDashPattern::new(0.0, &[number(dash), number(gap)]),
        None => LineDashPattern::solid(),
    }
}

fn rgb(colour: Colour) -> Color {
    let [r, g, b] = colour.rgb().map(|part| (f32::from(part) / 255.0 * 1000.0).round() / 1000.0);
    Color::Rgb(Rgb { r, g, b, icc_profile: None })
}

/// Hundredths of a point: finer than any printer, and short in the file.
fn number(length: Pt) -> f32 {
    (length.0 * 100.0).round() as f32 / 100.0
}

fn length(length: Pt) -> printpdf::Pt {
    printpdf::Pt(number(length))
}
