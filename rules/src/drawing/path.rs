//! Lines and curves in steps.

use super::scene::Point;

/// One step of a path.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Step {
    /// Begin here.
    Move(Point),
    /// A straight line to here.
    Line(Point),
    /// A cubic Bézier curve: two handles and its end.
    Curve(Point, Point, Point),
    /// Back to where it began.
    Close,
}

/// A path.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PathShape {
    /// Its steps; the first is a [`Step::Move`].
    pub steps: Vec<Step>,
}

/// Handle of a quarter circle as a share of its radius, by which a cubic curve is within 0.03 % of it.
const QUARTER: f32 = 0.552_285;

/// Straight pieces into which a curve is flattened.
const PIECES: u8 = 8;

impl PathShape {
    /// A path that begins here.
    #[must_use]
    pub fn from(x: f32, y: f32) -> Self {
        Self { steps: vec![Step::Move(Point::new(x, y))] }
    }

    /// A straight line through points.
    #[must_use]
    pub fn through(points: &[Point]) -> Self {
        let step =
            |(at, point): (usize, &Point)| if at == 0 { Step::Move(*point) } else { Step::Line(*point) };
        Self { steps: points.iter().enumerate().map(step).collect() }
    }

    /// A straight line to here.
    #[must_use]
    pub fn line(mut self, x: f32, y: f32) -> Self {
        self.steps.push(Step::Line(Point::new(x, y)));
        self
    }

    /// Begins again here.
    #[must_use]
    pub fn jump(mut self, x: f32, y: f32) -> Self {
        self.steps.push(Step::Move(Point::new(x, y)));
        self
    }

    /// Back to where it began.
    #[must_use]
    pub fn close(mut self) -> Self {
        self.steps.push(Step::Close);
        self
    }

    /// A half circle, or half an ellipse: from where the path stands to here, along the horizontal or the
    /// vertical; it bulges by `bulge` [units] to the right of or below that line, to the left of or above it
    /// where negative.
    #[must_use]
    pub fn half_turn(mut self, x: f32, y: f32, bulge: f32) -> Self {
        let (start, end) = (self.end(), Point::new(x, y));
        let middle = Point::new((start.x + x) / 2.0, (start.y + y) / 2.0);
        let (dx, dy) = ((x - start.x) / 2.0 * QUARTER, (y - start.y) / 2.0 * QUARTER);
        let out = if (y - start.y).abs() > (x - start.x).abs() {
            Point::new(bulge, 0.0)
        } else {
            Point::new(0.0, bulge)
        };
        let top = Point::new(middle.x + out.x, middle.y + out.y);
        let lifted = |point: Point| Point::new(point.x + out.x * QUARTER, point.y + out.y * QUARTER);
        self.steps.push(Step::Curve(lifted(start), Point::new(top.x - dx, top.y - dy), top));
        self.steps.push(Step::Curve(Point::new(top.x + dx, top.y + dy), lifted(end), end));
        self
    }

    /// The path moved by a distance [units].
    #[must_use]
    pub fn moved(&self, x: f32, y: f32) -> Self {
        let by = |point: &Point| Point::new(point.x + x, point.y + y);
        let steps = self.steps.iter().map(|step| match step {
            Step::Move(point) => Step::Move(by(point)),
            Step::Line(point) => Step::Line(by(point)),
            Step::Curve(a, b, point) => Step::Curve(by(a), by(b), by(point)),
            Step::Close => Step::Close,
        });
        Self { steps: steps.collect() }
    }

    fn end(&self) -> Point {
        match self.steps.last() {
            Some(Step::Move(point) | Step::Line(point) | Step::Curve(_, _, point)) => *point,
            Some(Step::Close) | None => Point::default(),
        }
    }

    /// The path in straight lines, for a renderer without curves: one list of points for each
    /// beginning.
    #[must_use]
    pub fn flattened(&self) -> Vec<Vec<Point>> {
        let mut lines: Vec<Vec<Point>> = Vec::new();
        for step in &self.steps {
            match (step, lines.last_mut()) {
                (Step::Move(point), _) => lines.push(vec![*point]),
                (Step::Line(point), Some(line)) => line.push(*point),
                (Step::Curve(a, b, end), Some(line)) => {
                    let start = line.last().copied().unwrap_or(*end);
                    line.extend((1..=PIECES).map(|piece| on_curve(start, *a, *b, *end, piece)));
                }
                (Step::Close, Some(line)) => line.extend(line.first().copied()),
                (_, None) => {}
            }
        }
        lines
    }
}

/// A point of a cubic curve.
fn on_curve(start: Point, a: Point, b: Point, end: Point, piece: u8) -> Point {
    let t = f32::from(piece) / f32::from(PIECES);
    let s = 1.0 - t;
    let blend = |p: f32, q: f32, r: f32, u: f32| {
        s * s * s * p + 3.0 * s * s * t * q + 3.0 * s * t * t * r + t * t * t * u
    };
    Point::new(blend(start.x, a.x, b.x, end.x), blend(start.y, a.y, b.y, end.y))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_half_turn_keeps_to_its_circle() {
        let path = PathShape::from(-5.0, 0.0).half_turn(5.0, 0.0, -5.0);
        let lines = path.flattened();
        for point in &lines[0] {
            let radius = (point.x * point.x + point.y * point.y).sqrt();
            assert!((radius - 5.0).abs() < 0.01, "{point:?}");
            assert!(point.y <= 0.0, "it bulges upwards");
        }
        assert_eq!(lines[0].last(), Some(&Point::new(5.0, 0.0)));
    }

    #[test]
    fn closing_leads_back() {
        let path = PathShape::from(1.0, 2.0).line(3.0, 4.0).line(5.0, 0.0).close();
        assert_eq!(path.flattened()[0].last(), Some(&Point::new(1.0, 2.0)));
    }
}
