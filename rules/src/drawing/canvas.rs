//! The pen with which scenes are drawn.

use super::letters::Letters;
use super::mark::Mark;
use super::path::PathShape;
use super::scene::{
    Anchor, Dash, Hit, Paint, Place, Point, Rect, Scene, Shape, Stroke, TextShape, TextSize, Weight,
};
use crate::survey::Id;

/// Smallest side of what can be tapped [units].
pub(super) const TARGET: f32 = 48.0;
/// Radius of corners [units].
pub(super) const CORNER: f32 = 6.0;
/// Height of a verdict with its word [units].
pub(super) const PLATE: f32 = 22.0;
/// Side of a verdict's shape [units].
const SHAPE: f32 = 16.0;
/// Space left and right of a word on its plate [units].
const PAD: f32 = 6.0;

/// How a line of text looks.
#[derive(Debug, Clone, Copy)]
pub(super) struct Style {
    pub(super) anchor: Anchor,
    pub(super) size: TextSize,
    pub(super) bold: bool,
    pub(super) paint: Paint,
}

impl Style {
    pub(super) const SMALL: Self =
        Self { anchor: Anchor::Start, size: TextSize::Small, bold: false, paint: Paint::SoftInk };
    pub(super) const BODY: Self =
        Self { anchor: Anchor::Start, size: TextSize::Body, bold: false, paint: Paint::Ink };
    pub(super) const TITLE: Self =
        Self { anchor: Anchor::Start, size: TextSize::Large, bold: true, paint: Paint::Ink };

    pub(super) const fn at(mut self, anchor: Anchor) -> Self {
        self.anchor = anchor;
        self
    }

    pub(super) const fn bold(mut self) -> Self {
        self.bold = true;
        self
    }

    pub(super) const fn in_paint(mut self, paint: Paint) -> Self {
        self.paint = paint;
        self
    }
}

/// A scene in the making.
pub(super) struct Canvas<'a> {
    pub(super) scene: Scene,
    pub(super) letters: Letters<'a>,
}

impl<'a> Canvas<'a> {
    pub(super) fn new(letters: Letters<'a>) -> Self {
        Self { scene: Scene::default(), letters }
    }

    pub(super) fn finish(mut self, width: f32, height: f32) -> Scene {
        (self.scene.width, self.scene.height) = (width, height);
        self.scene
    }

    pub(super) fn push(&mut self, shape: Shape) {
        self.scene.shapes.push(shape);
    }

    pub(super) fn line(&mut self, points: &[(f32, f32)], stroke: Stroke) {
        let points = points.iter().map(|(x, y)| Point::new(*x, *y)).collect();
        self.push(Shape::Line { points, stroke });
    }

    pub(super) fn rect(&mut self, rect: Rect, radius: f32, stroke: Option<Stroke>, fill: Option<Paint>) {
        self.push(Shape::Rect { rect, radius, stroke, fill });
    }

    pub(super) fn circle(
        &mut self,
        x: f32,
        y: f32,
        radius: f32,
        stroke: Option<Stroke>,
        fill: Option<Paint>,
    ) {
        self.push(Shape::Circle { centre: Point::new(x, y), radius, stroke, fill });
    }

    pub(super) fn path(&mut self, path: PathShape, stroke: Option<Stroke>, fill: Option<Paint>) {
        self.push(Shape::Path { path, stroke, fill });
    }

    /// A line of text, shortened to its box; returns the width it takes.
    pub(super) fn text(&mut self, frame: Rect, style: Style, text: &str) -> f32 {
        let text = self.letters.fitted(text, style.size, style.bold, frame.width);
        if text.is_empty() {
            return 0.0;
        }
        let width = self.letters.width(&text, style.size, style.bold);
        let Style { anchor, size, bold, paint } = style;
        self.push(Shape::Text(TextShape { frame, anchor, size, bold, paint, text }));
        width
    }

    /// Lines of text from the top of a box; returns the height they take.
    pub(super) fn lines(&mut self, frame: Rect, style: Style, lines: &[String]) -> f32 {
        let step = style.size.line();
        for (at, line) in lines.iter().enumerate() {
            self.text(Rect::new(frame.x, frame.y + at as f32 * step, frame.width, step), style, line);
        }
        lines.len() as f32 * step
    }

    pub(super) fn place(&mut self, item: &Id, rect: Rect) {
        self.scene.places.push(Place { item: item.clone(), rect });
    }

    /// A place that can be tapped.
    pub(super) fn control(&mut self, item: &Id, rect: Rect) {
        self.place(item, rect);
        self.scene.hits.push(Hit { item: item.clone(), rect: rect.at_least(TARGET) });
    }

    /// How wide a verdict with its word is.
    pub(super) fn plate_width(&self, mark: Mark) -> f32 {
        let word = self.letters.word(mark.word());
        2.0 * pad(mark) + SHAPE + 5.0 + self.letters.width(&word, TextSize::Small, true)
    }

    /// A verdict: shape and word, right-aligned at `right`, around the height `middle`. Returns its
    /// width.
    pub(super) fn plate(&mut self, mark: Mark, right: f32, middle: f32) -> f32 {
        let width = self.plate_width(mark);
        let rect = Rect::new(right - width, middle - PLATE / 2.0, width, PLATE);
        let (stroke, fill) = match mark {
            Mark::CannotTell => {
                (Some(Stroke::new(Paint::Ink, Weight::Line).dashed(Dash::Dashed)), Some(Paint::Paper))
            }
            Mark::Meets => (None, None),
            _ => (None, Some(Paint::Signal(mark))),
        };
        self.rect(rect, 3.0, stroke, fill);
        let paint = match mark {
            Mark::CannotTell => Paint::Ink,
            // It has no fill to stand on.
            Mark::Meets => Paint::Signal(mark),
            _ => Paint::OnSignal(mark),
        };
        self.mark_shape(mark, rect.x + pad(mark), middle - SHAPE / 2.0, SHAPE, true);
        let left = rect.x + pad(mark) + SHAPE + 5.0;
        let frame = Rect::new(left, rect.y, rect.right() - pad(mark) + 1.0 - left, PLATE);
        let word = self.letters.word(mark.word());
        self.text(frame, Style::SMALL.bold().in_paint(paint), &word);
        width
    }

    /// The shape of a verdict in a square: a triangle with "!" for what falls short, "?" in a dashed frame,
    /// a tick in a circle. On its own fill (`on_fill`) the two inks change places.
    pub(super) fn mark_shape(&mut self, mark: Mark, x: f32, y: f32, side: f32, on_fill: bool) {
        match mark {
            Mark::CannotTell => {
                if !on_fill {
                    let frame = Stroke::new(Paint::Ink, Weight::Hair).dashed(Dash::Dotted);
                    self.rect(Rect::new(x, y, side, side), 2.0, Some(frame), Some(Paint::Paper));
                }
                let frame = Rect::new(x - 2.0, y, side + 4.0, side);
                self.text(frame, Style::SMALL.bold().at(Anchor::Middle).in_paint(Paint::Ink), "?");
            }
            Mark::Meets => {
                let stroke = Stroke::new(Paint::Signal(mark), Weight::Line);
                let (cx, cy, r) = (x + side / 2.0, y + side / 2.0, side / 2.0 - 1.0);
                self.circle(cx, cy, r, Some(stroke), None);
                let tick = PathShape::from(cx - r * 0.5, cy).line(cx - r * 0.1, cy + r * 0.42);
                self.path(tick.line(cx + r * 0.52, cy - r * 0.4), Some(stroke), None);
            }
            _ => {
                let (outer, inner) = if on_fill {
                    (Paint::OnSignal(mark), Paint::Signal(mark))
                } else {
                    (Paint::Signal(mark), Paint::OnSignal(mark))
                };
                let triangle = PathShape::from(x + side / 2.0, y + side * 0.06)
                    .line(x + side, y + side * 0.94)
                    .line(x, y + side * 0.94)
                    .close();
                let edge = (!on_fill).then_some(Stroke::new(Paint::Ink, Weight::Hair));
                self.path(triangle, edge, Some(outer));
                let bar = (side / 8.0).max(1.5);
                let left = x + (side - bar) / 2.0;
                self.rect(Rect::new(left, y + side * 0.36, bar, side * 0.28), 0.0, None, Some(inner));
                self.rect(Rect::new(left, y + side * 0.73, bar, bar), 0.0, None, Some(inner));
            }
        }
    }
}

/// Space left and right on the plate of a verdict [units]; the one without a fill stands flush.
fn pad(mark: Mark) -> f32 {
    if mark == Mark::Meets { 1.0 } else { PAD }
}
