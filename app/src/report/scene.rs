//! Drawings of the rules on paper. What the window tells by colour, paper tells by ink, weight, dash and word.

use deadfront_rules::drawing::{
    Anchor, Dash, Letters, Mark, Paint, PathShape, Rect as Frame, Scene, Shape as Drawn, Stroke as Line,
    TextShape, TextSize as Type,
};
use deadfront_rules::finding::Said;

use crate::paper::{
    Align, Colour, Drawing, Point, Pt, Rect, Shape, Stroke, Text, TextSize, Weight, text_width,
};

/// Length of a unit in a drawing as it is asked for [pt]: small type of 14 units is small type of 8 pt.
pub(super) const UNIT: f64 = 8.0 / 14.0;
/// Room beside a text, so that rounding never cuts it [pt].
const SLACK: f64 = 0.3;

/// Calls `draw` with the letters of the paper.
pub(super) fn with_letters<T>(draw: impl FnOnce(Letters<'_>) -> T) -> T {
    let width = |text: &str, size: Type, strong: bool| {
        (text_width(text, weight(strong), type_of(size)).0 / UNIT) as f32
    };
    let said = |said: &Said| said.to_string();
    draw(Letters { width: &width, said: &said })
}

/// A scene in the size of its own type; the page makes it smaller where it has to.
pub(super) fn drawing(scene: &Scene) -> Drawing {
    Drawing {
        width: length(scene.width),
        height: length(scene.height),
        shapes: scene.shapes.iter().flat_map(shapes).collect(),
    }
}

fn length(units: f32) -> Pt {
    Pt(f64::from(units) * UNIT)
}

fn shapes(shape: &Drawn) -> Vec<Shape> {
    match shape {
        Drawn::Line { points, stroke } => {
            vec![Shape::Polyline { points: points.iter().map(point).collect(), stroke: line(*stroke) }]
        }
        Drawn::Rect { rect, radius, stroke, fill } => {
            vec![Shape::Polygon {
                points: corners(rect, *radius),
                stroke: stroke.map(line),
                fill: fill.map(colour),
            }]
        }
        Drawn::Circle { centre, radius, stroke, fill } => {
            vec![Shape::circle(point(centre), length(*radius), stroke.map(line), fill.map(colour))]
        }
        Drawn::Path { path, stroke, fill } => paths(path, *stroke, *fill),
        Drawn::Text(text) => vec![words(text)],
    }
}

fn paths(path: &PathShape, stroke: Option<Line>, fill: Option<Paint>) -> Vec<Shape> {
    let parts = path.flattened().into_iter();
    let parts = parts.map(|part| part.iter().map(point).collect::<Vec<Point>>());
    match fill {
        Some(fill) => parts
            .map(|points| Shape::Polygon { points, stroke: stroke.map(line), fill: Some(colour(fill)) })
            .collect(),
        None => parts
            .filter_map(|points| stroke.map(|stroke| Shape::Polyline { points, stroke: line(stroke) }))
            .collect(),
    }
}

fn point(point: &deadfront_rules::drawing::Point) -> Point {
    Point { x: length(point.x), y: length(point.y) }
}

/// A rectangle with its corners cut where they are round: at this size nobody sees the difference.
fn corners(rect: &Frame, radius: f32) -> Vec<Point> {
    let most = rect.width.min(rect.height) / 2.0;
    let cut = (radius * 0.5).clamp(0.0, most.max(0.0));
    let (left, top, right, bottom) = (rect.x, rect.y, rect.right(), rect.bottom());
    let ends = if cut > 0.0 {
        vec![
            (left + cut, top),
            (right - cut, top),
            (right, top + cut),
            (right, bottom - cut),
            (right - cut, bottom),
            (left + cut, bottom),
            (left, bottom - cut),
            (left, top + cut),
        ]
    } else {
        vec![(left, top), (right, top), (right, bottom), (left, bottom)]
    };
    ends.into_iter().map(|(x, y)| Point { x: length(x), y: length(y) }).collect()
}

/// A text in its box, which grows where the text was allowed to be wider.
fn words(text: &TextShape) -> Shape {
    let size = type_of(text.size);
    let wanted = text_width(&text.text, weight(text.bold), size).0 + SLACK;
    let TextShape { frame, anchor, .. } = text;
    let (x, y, width, height) =
        (length(frame.x).0, length(frame.y).0, length(frame.width).0, length(frame.height).0);
    let more = (wanted - width).max(0.0);
    let (align, shift) = match anchor {
        Anchor::Start => (Align::Left, 0.0),
        Anchor::Middle => (Align::Middle, more / 2.0),
        Anchor::End => (Align::Right, more),
    };
    Shape::Text {
        rect: Rect::new(Pt(x - shift), Pt(y), Pt(width + more), Pt(height)),
        // No space is a place to break: the text was measured as one line.
        text: Text::from(text.text.replace(' ', "\u{A0}"))
            .in_weight(weight(text.bold))
            .in_colour(colour(text.paint)),
        size,
        align,
    }
}

const fn weight(strong: bool) -> Weight {
    if strong { Weight::Bold } else { Weight::Regular }
}

const fn type_of(size: Type) -> TextSize {
    match size {
        Type::Small => TextSize::Small,
        Type::Body => TextSize::Body,
        Type::Large => TextSize::Large,
    }
}

fn line(stroke: Line) -> Stroke {
    let own = Stroke::new(length(stroke.weight.units()).0, colour(stroke.paint));
    match stroke.dash {
        Dash::Solid => own,
        Dash::Dashed => own.dashed(3.0, 2.4),
        Dash::Long => own.dashed(7.0, 2.4),
        // Paper has one dash and one gap: this one is told from the long one by its gap.
        Dash::DashDot => own.dashed(5.0, 5.0),
        Dash::Dotted => own.dashed(1.0, 2.0),
    }
}

fn colour(paint: Paint) -> Colour {
    match paint {
        Paint::Ink | Paint::Live(_) | Paint::Peril => Colour::Ink,
        Paint::SoftInk | Paint::Dead => Colour::Soft,
        Paint::Rule => Colour::Rule,
        Paint::Accent => Colour::Accent,
        Paint::Tint => Colour::Tint,
        Paint::Paper => Colour::Paper,
        Paint::Signal(mark) => fill(mark),
        Paint::OnSignal(mark) => match mark {
            Mark::Danger | Mark::Notice => Colour::Paper,
            Mark::Warning | Mark::Caution => Colour::Black,
            Mark::CannotTell => Colour::Ink,
            // It stands on no fill.
            Mark::Meets => Colour::Meets,
        },
    }
}

fn fill(mark: Mark) -> Colour {
    match mark {
        Mark::Danger => Colour::Danger,
        Mark::Warning => Colour::Warning,
        Mark::Caution => Colour::Caution,
        Mark::Notice => Colour::Notice,
        Mark::CannotTell => Colour::Ink,
        Mark::Meets => Colour::Meets,
    }
}
