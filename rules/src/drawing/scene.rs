//! What a drawing is made of.

use super::mark::Mark;
use super::path::PathShape;
use crate::survey::Id;

/// A point [units], from the left and from the top.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Point {
    /// From the left [units].
    pub x: f32,
    /// From the top [units].
    pub y: f32,
}

impl Point {
    /// A point.
    #[must_use]
    pub const fn new(x: f32, y: f32) -> Self {
        Self { x, y }
    }
}

/// An upright rectangle [units].
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Rect {
    /// Left edge [units].
    pub x: f32,
    /// Upper edge [units].
    pub y: f32,
    /// Width [units].
    pub width: f32,
    /// Height [units].
    pub height: f32,
}

impl Rect {
    /// A rectangle.
    #[must_use]
    pub const fn new(x: f32, y: f32, width: f32, height: f32) -> Self {
        Self { x, y, width, height }
    }

    /// Right edge.
    #[must_use]
    pub fn right(&self) -> f32 {
        self.x + self.width
    }

    /// Lower edge.
    #[must_use]
    pub fn bottom(&self) -> f32 {
        self.y + self.height
    }

    /// Its middle.
    #[must_use]
    pub fn centre(&self) -> Point {
        Point::new(self.x + self.width / 2.0, self.y + self.height / 2.0)
    }

    /// The rectangle with its edges moved inwards.
    #[must_use]
    pub fn inset(&self, by: f32) -> Self {
        Self::new(
            self.x + by,
            self.y + by,
            (self.width - 2.0 * by).max(0.0),
            (self.height - 2.0 * by).max(0.0),
        )
    }

    /// The smallest rectangle around both.
    #[must_use]
    pub fn around(&self, other: &Self) -> Self {
        let (x, y) = (self.x.min(other.x), self.y.min(other.y));
        Self::new(x, y, self.right().max(other.right()) - x, self.bottom().max(other.bottom()) - y)
    }

    /// Whether both share an area, by more than `slack`.
    #[must_use]
    pub fn overlaps(&self, other: &Self, slack: f32) -> bool {
        self.x + slack < other.right()
            && other.x + slack < self.right()
            && self.y + slack < other.bottom()
            && other.y + slack < self.bottom()
    }

    /// Whether the other lies inside, by no more than `slack` outside.
    #[must_use]
    pub fn holds(&self, other: &Self, slack: f32) -> bool {
        other.x >= self.x - slack
            && other.y >= self.y - slack
            && other.right() <= self.right() + slack
            && other.bottom() <= self.bottom() + slack
    }

    /// Grown around its middle to a width and a height of at least `side`.
    #[must_use]
    pub fn at_least(&self, side: f32) -> Self {
        let (width, height) = (self.width.max(side), self.height.max(side));
        let centre = self.centre();
        Self::new(centre.x - width / 2.0, centre.y - height / 2.0, width, height)
    }

    /// Moved by a distance.
    #[must_use]
    pub fn moved(&self, x: f32, y: f32) -> Self {
        Self::new(self.x + x, self.y + y, self.width, self.height)
    }
}

/// What a line or fill is for. The window and the paper choose the colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Paint {
    /// Text and what counts.
    Ink,
    /// Labels, units, what may be read second.
    SoftInk,
    /// Hairlines; never alone to tell.
    Rule,
    /// What can be tapped, where you are.
    Accent,
    /// The one quiet tint.
    Tint,
    /// The sheet.
    Paper,
    /// Live from the source of this number; the dash and the weight tell it too.
    Live(u8),
    /// Dead in the mode that is shown.
    Dead,
    /// Part of a path to danger.
    Peril,
    /// Fill or line of a verdict.
    Signal(Mark),
    /// Text on the fill of a verdict.
    OnSignal(Mark),
}

/// How heavy a line is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Weight {
    /// A hairline.
    Hair,
    /// A wire, a symbol.
    Line,
    /// What stands out: live wires, paths to danger.
    Strong,
    /// A bus bar.
    Bus,
}

impl Weight {
    /// Width of the line [units].
    #[must_use]
    pub const fn units(self) -> f32 {
        match self {
            Self::Hair => 1.0,
            Self::Line => 2.0,
            Self::Strong => 4.0,
            Self::Bus => 6.0,
        }
    }
}

/// How a line is broken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Dash {
    /// Not broken.
    #[default]
    Solid,
    /// Planned, unknown, or a mechanical link.
    Dashed,
    /// Long dashes.
    Long,
    /// Dash and dot in turn.
    DashDot,
    /// Dots.
    Dotted,
}

impl Dash {
    /// Lengths of dash and gap in turn [units]; none for a line that is not broken.
    #[must_use]
    pub const fn pattern(self) -> &'static [f32] {
        match self {
            Self::Solid => &[],
            Self::Dashed => &[6.0, 5.0],
            Self::Long => &[14.0, 5.0],
            Self::DashDot => &[12.0, 4.0, 2.0, 4.0],
            Self::Dotted => &[2.0, 4.0],
        }
    }
}

/// A line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Stroke {
    /// What it is for.
    pub paint: Paint,
    /// How heavy it is.
    pub weight: Weight,
    /// How it is broken.
    pub dash: Dash,
}

impl Stroke {
    /// An unbroken line in ink.
    pub const INK: Self = Self::new(Paint::Ink, Weight::Line);
    /// A hairline.
    pub const HAIR: Self = Self::new(Paint::Rule, Weight::Hair);

    /// An unbroken line.
    #[must_use]
    pub const fn new(paint: Paint, weight: Weight) -> Self {
        Self { paint, weight, dash: Dash::Solid }
    }

    /// The same, broken.
    #[must_use]
    pub const fn dashed(mut self, dash: Dash) -> Self {
        self.dash = dash;
        self
    }
}

/// Where a text stands in its box; it is always at half height.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Anchor {
    /// At the left edge.
    Start,
    /// In the middle.
    Middle,
    /// At the right edge.
    End,
}

/// Size of type; a drawing has these three.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TextSize {
    /// Wires, units, figures at axes.
    Small,
    /// Labels.
    Body,
    /// Titles and ratings of mains.
    Large,
}

impl TextSize {
    /// Height of the type [units].
    #[must_use]
    pub const fn units(self) -> f32 {
        match self {
            Self::Small => 14.0,
            Self::Body => 18.0,
            Self::Large => 24.0,
        }
    }

    /// Distance from line to line [units].
    #[must_use]
    pub const fn line(self) -> f32 {
        match self {
            Self::Small => 19.0,
            Self::Body => 24.0,
            Self::Large => 32.0,
        }
    }
}

/// A line of text in a box, at half its height. It was measured and fits.
#[derive(Debug, Clone, PartialEq)]
pub struct TextShape {
    /// The box.
    pub frame: Rect,
    /// Where it stands in the box.
    pub anchor: Anchor,
    /// Size of type.
    pub size: TextSize,
    /// Whether it is bold.
    pub bold: bool,
    /// Its ink.
    pub paint: Paint,
    /// The words, shortened with an ellipsis where they had no room.
    pub text: String,
}

/// A part of a drawing.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// A line through points.
    Line {
        /// Two points or more.
        points: Vec<Point>,
        /// The line.
        stroke: Stroke,
    },
    /// An upright rectangle.
    Rect {
        /// The rectangle.
        rect: Rect,
        /// Radius of its corners [units].
        radius: f32,
        /// Its border.
        stroke: Option<Stroke>,
        /// Its fill.
        fill: Option<Paint>,
    },
    /// A circle.
    Circle {
        /// Its middle.
        centre: Point,
        /// Its radius [units].
        radius: f32,
        /// Its border.
        stroke: Option<Stroke>,
        /// Its fill.
        fill: Option<Paint>,
    },
    /// Lines and curves, open or closed: arcs, hops, bands, triangles.
    Path {
        /// Its steps.
        path: PathShape,
        /// Its line.
        stroke: Option<Stroke>,
        /// Its fill.
        fill: Option<Paint>,
    },
    /// A line of text.
    Text(TextShape),
}

/// Where a finger lands on an item: at least 48 units wide and high.
#[derive(Debug, Clone, PartialEq)]
pub struct Hit {
    /// The item.
    pub item: Id,
    /// Where.
    pub rect: Rect,
}

/// Where an item is drawn, to highlight it.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// The item.
    pub item: Id,
    /// Where.
    pub rect: Rect,
}

/// A drawing.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Scene {
    /// Its width [units].
    pub width: f32,
    /// Its height [units].
    pub height: f32,
    /// What is drawn, from back to front.
    pub shapes: Vec<Shape>,
    /// Where taps land, from back to front: the last that holds a point has it.
    pub hits: Vec<Hit>,
    /// Where each item is.
    pub places: Vec<Place>,
}

impl Scene {
    /// The item under a point.
    #[must_use]
    pub fn item_at(&self, point: Point) -> Option<&Id> {
        let inside = |rect: &Rect| {
            (rect.x..=rect.right()).contains(&point.x) && (rect.y..=rect.bottom()).contains(&point.y)
        };
        self.hits.iter().rev().find(|hit| inside(&hit.rect)).map(|hit| &hit.item)
    }

    /// Where an item is drawn.
    #[must_use]
    pub fn place_of(&self, item: &str) -> Option<Rect> {
        self.places.iter().find(|place| place.item.as_str() == item).map(|place| place.rect)
    }

    /// Its texts.
    pub fn texts(&self) -> impl Iterator<Item = &TextShape> {
        self.shapes.iter().filter_map(|shape| match shape {
            Shape::Text(text) => Some(text),
            _ => None,
        })
    }
}
