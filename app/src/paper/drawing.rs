//! Drawings in lines and fills: diagrams, plots, ink.

use super::document::Align;
use super::span::{Text, Weight, Words};
use super::tokens::{Colour, TextSize};
use super::units::{Point, Pt, Rect};

/// A drawing of a given size. What lies outside is moved to its border.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Drawing {
    /// Width [pt].
    pub width: Pt,
    /// Height [pt].
    pub height: Pt,
    /// What is drawn, from back to front.
    pub shapes: Vec<Shape>,
}

impl Drawing {
    /// The same drawing without the empty room around what is drawn.
    #[must_use]
    pub fn trimmed(mut self) -> Self {
        /// Room for half a line's width [pt].
        const EDGE: Pt = Pt(3.0);
        let all = || self.shapes.iter().flat_map(Shape::extent);
        let least = |pick: fn(&Point) -> f64| all().map(|point| pick(&point)).reduce(f64::min);
        let most = |pick: fn(&Point) -> f64| all().map(|point| pick(&point)).reduce(f64::max);
        let (Some(left), Some(top)) = (least(|point| point.x.0), least(|point| point.y.0)) else {
            return self;
        };
        let (right, bottom) = (most(|point| point.x.0), most(|point| point.y.0));
        let (width, height) = (right.unwrap_or(left) - left, bottom.unwrap_or(top) - top);
        let (dx, dy) = (EDGE - Pt(left), EDGE - Pt(top));
        self.shapes.iter_mut().for_each(|shape| shape.shift(dx, dy));
        self.width = EDGE * 2.0 + Pt(width);
        self.height = EDGE * 2.0 + Pt(height);
        self
    }
}

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stroke {
    /// Width of the line [pt].
    pub width: Pt,
    /// Its colour.
    pub colour: Colour,
    /// Length of dash and gap [pt]; none is a solid line.
    pub dash: Option<(Pt, Pt)>,
}

impl Stroke {
    /// A solid line in ink.
    pub const fn ink(width: f64) -> Self {
        Self { width: Pt(width), colour: Colour::Ink, dash: None }
    }

    /// A solid line in a colour.
    pub const fn new(width: f64, colour: Colour) -> Self {
        Self { width: Pt(width), colour, dash: None }
    }

    /// The same line, dashed.
    #[must_use]
    pub const fn dashed(mut self, dash: f64, gap: f64) -> Self {
        self.dash = Some((Pt(dash), Pt(gap)));
        self
    }
}

/// A part of a drawing.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// A line through these points.
    Polyline {
        /// Two points or more.
        points: Vec<Point>,
        /// The line.
        stroke: Stroke,
    },
    /// A closed area.
    Polygon {
        /// Three points or more.
        points: Vec<Point>,
        /// Its border.
        stroke: Option<Stroke>,
        /// Its fill.
        fill: Option<Colour>,
    },
    /// Text in a box, from its middle height outwards; what does not fit ends in an ellipsis.
    Text {
        /// The box.
        rect: Rect,
        /// The words.
        text: Text,
        /// Size of the type; [`TextSize::Title`] counts as large.
        size: TextSize,
        /// Where the lines stand in the box.
        align: Align,
    },
}

impl Shape {
    /// Points between which it lies.
    fn extent(&self) -> Vec<Point> {
        match self {
            Self::Polyline { points, .. } | Self::Polygon { points, .. } => points.clone(),
            Self::Text { rect, .. } => {
                vec![Point { x: rect.x, y: rect.y }, Point { x: rect.right(), y: rect.bottom() }]
            }
        }
    }

    fn shift(&mut self, dx: Pt, dy: Pt) {
        match self {
            Self::Polyline { points, .. } | Self::Polygon { points, .. } => {
                points.iter_mut().for_each(|point| *point = point.moved(dx, dy));
            }
            Self::Text { rect, .. } => *rect = rect.moved(dx, dy),
        }
    }

    /// The same shape further down.
    #[must_use]
    pub fn lowered(mut self, by: Pt) -> Self {
        self.shift(Pt::ZERO, by);
        self
    }

    /// A straight line.
    pub fn line(from: Point, to: Point, stroke: Stroke) -> Self {
        Self::Polyline { points: vec![from, to], stroke }
    }

    /// An upright rectangle.
    pub fn rect(rect: Rect, stroke: Option<Stroke>, fill: Option<Colour>) -> Self {
        let points = vec![
            Point { x: rect.x, y: rect.y },
            Point { x: rect.right(), y: rect.y },
            Point { x: rect.right(), y: rect.bottom() },
            Point { x: rect.x, y: rect.bottom() },
        ];
        Self::Polygon { points, stroke, fill }
    }

    /// A circle, as a polygon of 48 sides.
    #[expect(clippy::disallowed_methods, reason = "drawn, and rounded to a hundredth of a point")]
    pub fn circle(centre: Point, radius: Pt, stroke: Option<Stroke>, fill: Option<Colour>) -> Self {
        const SIDES: u8 = 48;
        let points = (0..SIDES)
            .map(|side| {
                let angle = f64::from(side) * std::f64::consts::TAU / f64::from(SIDES);
                centre.moved(radius * angle.cos(), radius * angle.sin())
            })
            .collect();
        Self::Polygon { points, stroke, fill }
    }

    /// A label of one weight, small.
    pub fn label(rect: Rect, text: impl Into<Words>, weight: Weight, align: Align) -> Self {
        let text = Text::from(text.into().0).in_weight(weight);
        Self::Text { rect, text, size: TextSize::Small, align }
    }
}
