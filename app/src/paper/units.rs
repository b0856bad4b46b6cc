//! Lengths on paper. The origin of a page is its top left corner, x to the right and y downwards.

use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

/// A length in typographic points, 1/72 inch [pt].
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Pt(pub f64);

/// A length in millimetres [mm].
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Mm(pub f64);

/// Points in an inch.
const POINTS_PER_INCH: f64 = 72.0;
/// Millimetres in an inch, exact by definition.
const MILLIMETRES_PER_INCH: f64 = 25.4;

impl Mm {
    /// The same length in points.
    pub const fn to_pt(self) -> Pt {
        Pt(self.0 * POINTS_PER_INCH / MILLIMETRES_PER_INCH)
    }
}

impl From<Mm> for Pt {
    fn from(length: Mm) -> Self {
        length.to_pt()
    }
}

impl Pt {
    /// No length.
    pub const ZERO: Self = Self(0.0);

    /// The larger of two lengths.
    pub fn max(self, other: Self) -> Self {
        Self(self.0.max(other.0))
    }

    /// The smaller of two lengths.
    pub fn min(self, other: Self) -> Self {
        Self(self.0.min(other.0))
    }

    /// The length held between two limits; a length that is no number becomes the lower limit.
    pub fn within(self, low: Self, high: Self) -> Self {
        if self.0.is_nan() {
            return low;
        }
        self.max(low).min(high.max(low))
    }
}

impl Add for Pt {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sub for Pt {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Neg for Pt {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Mul<f64> for Pt {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self(self.0 * factor)
    }
}

impl Div<f64> for Pt {
    type Output = Self;
    fn div(self, divisor: f64) -> Self {
        Self(self.0 / divisor)
    }
}

impl AddAssign for Pt {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl SubAssign for Pt {
    fn sub_assign(&mut self, other: Self) {
        self.0 -= other.0;
    }
}

impl Sum for Pt {
    fn sum<I: Iterator<Item = Self>>(lengths: I) -> Self {
        lengths.fold(Self::ZERO, Add::add)
    }
}

/// A place on a page or in a drawing.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Point {
    /// From the left edge [pt].
    pub x: Pt,
    /// From the top edge [pt].
    pub y: Pt,
}

impl Point {
    /// The place `x` from the left and `y` from the top [pt].
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x: Pt(x), y: Pt(y) }
    }

    pub(super) fn moved(self, dx: Pt, dy: Pt) -> Self {
        Self { x: self.x + dx, y: self.y + dy }
    }
}

/// An upright box on a page or in a drawing.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Rect {
    /// Left edge [pt].
    pub x: Pt,
    /// Top edge [pt].
    pub y: Pt,
    /// Width, not negative [pt].
    pub width: Pt,
    /// Height, not negative [pt].
    pub height: Pt,
}

impl Rect {
    /// A box from its left edge, top edge, width and height [pt].
    pub const fn new(x: Pt, y: Pt, width: Pt, height: Pt) -> Self {
        Self { x, y, width, height }
    }

    /// Right edge [pt].
    pub fn right(&self) -> Pt {
        self.x + self.width
    }

    /// Bottom edge [pt].
    pub fn bottom(&self) -> Pt {
        self.y + self.height
    }

    /// Whether two boxes share more than a border of `slack` [pt].
    pub fn overlaps(&self, other: &Self, slack: Pt) -> bool {
        self.x + slack < other.right()
            && other.x + slack < self.right()
            && self.y + slack < other.bottom()
            && other.y + slack < self.bottom()
    }

    /// Whether `inner` lies in this box, give or take `slack` [pt].
    pub fn holds(&self, inner: &Self, slack: Pt) -> bool {
        inner.x + slack >= self.x
            && inner.y + slack >= self.y
            && inner.right() <= self.right() + slack
            && inner.bottom() <= self.bottom() + slack
    }

    pub(super) fn moved(self, dx: Pt, dy: Pt) -> Self {
        Self { x: self.x + dx, y: self.y + dy, ..self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_inch_is_seventy_two_points() {
        assert!((Mm(25.4).to_pt().0 - 72.0).abs() < 1e-12);
    }

    #[test]
    fn boxes_that_touch_do_not_overlap() {
        let left = Rect::new(Pt(0.0), Pt(0.0), Pt(10.0), Pt(10.0));
        assert!(!left.overlaps(&left.moved(Pt(10.0), Pt(0.0)), Pt::ZERO));
        assert!(left.overlaps(&left.moved(Pt(9.0), Pt(0.0)), Pt::ZERO));
    }
}
