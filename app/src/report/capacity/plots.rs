//! Plots as drawings: ink, one tint, and dashes that tell lines apart in grey.

use deadfront_rules::capacity::series::{Axis, Bar, Bars, Chart, Curve, Series};
use deadfront_rules::finding::{Verdict, fixed};
use deadfront_rules::words::word;

use super::super::words::sentence;
use crate::paper::{Align, Colour, Drawing, Point, Pt, Rect, Shape, Stroke, Weight};

/// Width of every plot [pt]; no wider than the text of either sheet.
const WIDTH: f64 = 470.0;
/// Height of a line of small type [pt].
const LINE: f64 = 12.0;

/// Draws a plot.
pub(super) fn drawing(series: &Series) -> Drawing {
    match series {
        Series::Bars(bars) => of_bars(bars),
        Series::Chart(chart) => Frame::new(chart).drawn(chart),
    }
}

fn label(
    shapes: &mut Vec<Shape>,
    (x, y, width): (f64, f64, f64),
    text: String,
    weight: Weight,
    align: Align,
) {
    let rect = Rect::new(Pt(x), Pt(y), Pt(width), Pt(LINE));
    shapes.push(Shape::label(rect, text, weight, align));
}

const fn point(x: f64, y: f64) -> Point {
    Point { x: Pt(x), y: Pt(y) }
}

/// Height of a row of bars, and where the bars begin and their limit lies [pt].
const ROW: f64 = 20.0;
const BARS_FROM: f64 = 190.0;
const LIMIT_AT: f64 = 310.0;
/// Where the longest bar ends, and the words beside it begin [pt].
const BARS_TO: f64 = 350.0;

/// Bars against one limit: what is beyond it is filled with ink, what is not known is an open dashed box.
fn of_bars(bars: &Bars) -> Drawing {
    let mut shapes = Vec::new();
    let height = ROW * bars.bars.len() as f64 + LINE + 4.0;
    for (at, bar) in bars.bars.iter().enumerate() {
        one_bar(&mut shapes, bar, LINE + 4.0 + ROW * at as f64);
    }
    let limit = Stroke::ink(1.0);
    shapes.push(Shape::line(point(LIMIT_AT, LINE + 2.0), point(LIMIT_AT, height), limit));
    label(
        &mut shapes,
        (LIMIT_AT - 60.0, 0.0, 120.0),
        word("What it gives").to_owned(),
        Weight::Regular,
        Align::Middle,
    );
    Drawing { width: Pt(WIDTH), height: Pt(height), shapes }
}

fn one_bar(shapes: &mut Vec<Shape>, bar: &Bar, top: f64) {
    const HEIGHT: f64 = 11.0;
    let weight = if bar.verdict == Verdict::Meets { Weight::Regular } else { Weight::Bold };
    label(
        shapes,
        (0.0, top, BARS_FROM - 8.0),
        sentence(&bar.label.to_string()),
        Weight::Regular,
        Align::Right,
    );
    let mark = match bar.verdict {
        Verdict::FallsShort => "✕ ",
        Verdict::CannotTell { .. } => "? ",
        _ => "",
    };
    label(
        shapes,
        (BARS_TO + 6.0, top, WIDTH - BARS_TO - 6.0),
        format!("{mark}{}", bar.words),
        weight,
        Align::Left,
    );
    let rect = |from: f64, to: f64| Rect::new(Pt(from), Pt(top + 0.5), Pt((to - from).max(0.5)), Pt(HEIGHT));
    let place = |share: f64| (BARS_FROM + (LIMIT_AT - BARS_FROM) * share).min(BARS_TO);
    match bar.share {
        None => {
            let dashed = Stroke::ink(0.8).dashed(3.0, 2.0);
            shapes.push(Shape::rect(rect(BARS_FROM, LIMIT_AT), Some(dashed), None));
        }
        Some(share) => {
            let within = rect(BARS_FROM, place(share.min(1.0)));
            shapes.push(Shape::rect(within, Some(Stroke::ink(0.6)), Some(Colour::Rule)));
            if share > 1.0 {
                shapes.push(Shape::rect(
                    rect(LIMIT_AT, place(share)),
                    Some(Stroke::ink(0.6)),
                    Some(Colour::Ink),
                ));
            }
        }
    }
}

/// Where a chart's axes lie.
struct Frame<'a> {
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
    x: &'a Axis,
    y: &'a Axis,
}

impl<'a> Frame<'a> {
    fn new(chart: &'a Chart) -> Self {
        Self { left: 46.0, right: WIDTH - 10.0, top: LINE + 6.0, bottom: 170.0, x: &chart.x, y: &chart.y }
    }

    fn at(&self, (x, y): (f64, f64)) -> Point {
        let share = |value: f64, axis: &Axis| {
            let width = axis.high - axis.low;
            if width > 0.0 { ((value - axis.low) / width).clamp(0.0, 1.0) } else { 0.0 }
        };
        point(
            self.left + (self.right - self.left) * share(x, self.x),
            self.bottom - (self.bottom - self.top) * share(y, self.y),
        )
    }

    fn drawn(&self, chart: &Chart) -> Drawing {
        let mut shapes = Vec::new();
        for band in &chart.bands {
            let lower = band.points.iter().map(|(x, low, _)| self.at((*x, *low)));
            let upper = band.points.iter().rev().map(|(x, _, high)| self.at((*x, *high)));
            let points = lower.chain(upper).collect();
            let edge = Some(Stroke::new(0.6, Colour::Soft));
            shapes.push(Shape::Polygon { points, stroke: edge, fill: Some(Colour::Tint) });
        }
        self.axes(&mut shapes);
        for limit in &chart.limits {
            let ends = [self.at((self.x.low, limit.value)), self.at((self.x.high, limit.value))];
            shapes.extend(double_line(ends));
            let words = sentence(&format!("{}, {} {}", limit.label, fixed(limit.value, 0), self.y.unit));
            let place = (self.right - 220.0, ends[0].y.0 - LINE - 1.0, 218.0);
            label(&mut shapes, place, words, Weight::Bold, Align::Right);
        }
        for (at, curve) in chart.curves.iter().enumerate() {
            let points = curve.points.iter().map(|point| self.at(*point)).collect();
            shapes.push(Shape::Polyline { points, stroke: line_of(at) });
        }
        self.names(chart, &mut shapes);
        let bottom = self.legend(chart, &mut shapes);
        Drawing { width: Pt(WIDTH), height: Pt(bottom), shapes }
    }

    /// The name of each curve at its middle: above it, or below where the name of another one stands there.
    fn names(&self, chart: &Chart, shapes: &mut Vec<Shape>) {
        const WIDTH: f64 = 180.0;
        let middle = |curve: &Curve| curve.points.get(curve.points.len() / 2).map(|point| self.at(*point));
        let mut places: Vec<(Point, &Curve)> =
            chart.curves.iter().filter_map(|curve| Some((middle(curve)?, curve))).collect();
        places.sort_by(|(a, _), (b, _)| a.y.0.total_cmp(&b.y.0));
        let mut free_from = f64::MIN;
        for (at, curve) in places {
            let above = at.y.0 - LINE - 1.0;
            let top = if above >= free_from { above } else { (at.y.0 + 2.0).max(free_from) };
            free_from = top + LINE;
            let name = sentence(&curve.label.to_string());
            label(shapes, (at.x.0 - WIDTH / 2.0, top, WIDTH), name, Weight::Regular, Align::Middle);
        }
    }

    fn axes(&self, shapes: &mut Vec<Shape>) {
        const STEPS: u8 = 4;
        let title = sentence(&format!("{} [{}]", self.y.label, self.y.unit));
        label(shapes, (0.0, 0.0, 200.0), title, Weight::Regular, Align::Left);
        for step in 0..=STEPS {
            let share = f64::from(step) / f64::from(STEPS);
            let y = self.y.low + (self.y.high - self.y.low) * share;
            let x = self.x.low + (self.x.high - self.x.low) * share;
            let left = self.at((self.x.low, y));
            let right = self.at((self.x.high, y));
            shapes.push(Shape::line(left, right, Stroke::new(0.4, Colour::Rule)));
            label(
                shapes,
                (0.0, left.y.0 - LINE / 2.0, self.left - 6.0),
                format!("{y:.0}"),
                Weight::Regular,
                Align::Right,
            );
            let foot = self.at((x, self.y.low));
            shapes.push(Shape::line(foot, point(foot.x.0, foot.y.0 + 3.0), Stroke::ink(0.6)));
            // The last figure would stand out of the drawing.
            let middle = foot.x.0.min(WIDTH - 20.0);
            label(
                shapes,
                (middle - 20.0, foot.y.0 + 4.0, 40.0),
                self.figure(x),
                Weight::Regular,
                Align::Middle,
            );
        }
        let corners = [
            self.at((self.x.low, self.y.high)),
            self.at((self.x.low, self.y.low)),
            self.at((self.x.high, self.y.low)),
        ];
        shapes.push(Shape::Polyline { points: corners.to_vec(), stroke: Stroke::ink(0.8) });
        let middle = f64::midpoint(self.left, self.right);
        let title = sentence(&format!("{} [{}]", self.x.label, self.x.unit));
        label(shapes, (middle - 100.0, self.bottom + 16.0, 200.0), title, Weight::Regular, Align::Middle);
    }

    /// A figure at the level axis; hours begin again at midnight.
    fn figure(&self, x: f64) -> String {
        if self.x.unit == "h" { format!("{:02.0}:00", x % 24.0) } else { format!("{x:.0}") }
    }

    /// The lines and areas with what they show; gives where the drawing ends.
    fn legend(&self, chart: &Chart, shapes: &mut Vec<Shape>) -> f64 {
        let mut top = self.bottom + 34.0;
        for band in &chart.bands {
            let rect = Rect::new(Pt(self.left), Pt(top + 1.0), Pt(28.0), Pt(LINE - 3.0));
            shapes.push(Shape::rect(rect, Some(Stroke::new(0.6, Colour::Soft)), Some(Colour::Tint)));
            label(
                shapes,
                (self.left + 36.0, top, 380.0),
                sentence(&band.label.to_string()),
                Weight::Regular,
                Align::Left,
            );
            top += LINE + 2.0;
        }
        for (at, curve) in chart.curves.iter().enumerate() {
            let y = top + LINE / 2.0;
            shapes.push(Shape::line(point(self.left, y), point(self.left + 28.0, y), line_of(at)));
            label(
                shapes,
                (self.left + 36.0, top, 380.0),
                sentence(&curve.label.to_string()),
                Weight::Regular,
                Align::Left,
            );
            top += LINE + 2.0;
        }
        top
    }
}

/// A limit is two thin lines, so that no dash is taken for it.
fn double_line([from, to]: [Point; 2]) -> [Shape; 2] {
    const HALF: f64 = 1.1;
    [-HALF, HALF].map(|by| {
        let ends = [from, to].map(|end| point(end.x.0, end.y.0 + by));
        Shape::line(ends[0], ends[1], Stroke::ink(0.7))
    })
}

/// Lines that differ by their dash and weight, not by a colour.
const fn line_of(at: usize) -> Stroke {
    match at % 3 {
        0 => Stroke::ink(1.6),
        1 => Stroke::ink(1.2).dashed(7.0, 3.0),
        _ => Stroke::ink(1.2).dashed(1.5, 2.0),
    }
}
