//! Plots that read in grey: lines by their dash with their names at their ends, bands as a tint with an edge,
//! bars with hatching against a limit.

use super::canvas::{Canvas, Style};
use super::letters::Letters;
use super::path::PathShape;
use super::scene::{Anchor, Dash, Paint, Rect, Scene, Stroke, TextSize, Weight};
use crate::finding::rounded;
use crate::say;

/// One point of a series: where, and the value with its range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// Along the lower axis.
    pub at: f64,
    /// What one in ten falls short of.
    pub p10: f64,
    /// The middle.
    pub p50: f64,
    /// What one in ten goes beyond.
    pub p90: f64,
}

/// A line with a band around it.
#[derive(Debug, Clone, PartialEq)]
pub struct Series {
    /// Its name, written at its end.
    pub name: String,
    /// Its points from left to right.
    pub samples: Vec<Sample>,
}

/// One bar.
#[derive(Debug, Clone, PartialEq)]
pub struct Bar {
    /// Its name.
    pub name: String,
    /// Its length.
    pub value: f64,
    /// What it may be; a line across the bar.
    pub limit: Option<f64>,
}

/// A level across the plot, such as the least charge of a battery.
#[derive(Debug, Clone, PartialEq)]
pub struct Level {
    /// Its name.
    pub name: String,
    /// Where it lies.
    pub value: f64,
}

/// What is plotted.
#[derive(Debug, Clone, PartialEq)]
pub enum Plot {
    /// Values over time or another quantity.
    Lines {
        /// Name and unit of the lower axis.
        across: String,
        /// Name and unit of the left axis.
        up: String,
        /// The lines.
        series: Vec<Series>,
        /// Levels across.
        levels: Vec<Level>,
    },
    /// Values against their limits.
    Bars {
        /// Name and unit of the axis.
        along: String,
        /// Name of the limit.
        limit: String,
        /// The bars from top to bottom.
        bars: Vec<Bar>,
    },
}

/// Space above the axes [units].
const TOP: f32 = 44.0;
/// Space below them [units].
const BOTTOM: f32 = 62.0;
/// Space left of them [units].
const LEFT: f32 = 72.0;
/// Space right of them, for the names of lines [units].
const RIGHT: f32 = 150.0;
/// Height of a bar with its space [units].
const BAR: f32 = 46.0;
/// Width for the names of bars [units].
const NAMES: f32 = 230.0;
/// Width for the figures of bars [units].
const FIGURES: f32 = 130.0;
/// About this far from tick to tick [units].
const TICK: f32 = 84.0;

/// Draws a plot of this width and height [units]; bars take the height that they need. Values that are no numbers
/// are passed over.
#[must_use]
pub fn plot(plot: &Plot, width: f32, height: f32, letters: Letters<'_>) -> Scene {
    let mut canvas = Canvas::new(letters);
    let (width, height) = (width.max(NAMES + FIGURES + 160.0), height.max(TOP + BOTTOM + 80.0));
    match plot {
        Plot::Lines { across, up, series, levels } => {
            lines(&mut canvas, across, up, series, levels, width, height);
            canvas.finish(width, height)
        }
        Plot::Bars { along, limit, bars } => {
            let height = TOP + BOTTOM + BAR * bars.len().max(1) as f32;
            draw_bars(&mut canvas, along, limit, bars, width, height);
            canvas.finish(width, height)
        }
    }
}

/// A scale from values to units.
#[derive(Debug, Clone, Copy)]
struct Scale {
    low: f64,
    high: f64,
    from: f32,
    to: f32,
    step: f64,
}

impl Scale {
    /// A scale with round ticks around the values.
    fn around(values: impl Iterator<Item = f64>, from: f32, to: f32, from_nought: bool) -> Self {
        let (mut low, mut high) = (f64::MAX, f64::MIN);
        for value in values.filter(|value| value.is_finite()) {
            (low, high) = (low.min(value), high.max(value));
        }
        if low > high {
            (low, high) = (0.0, 1.0);
        }
        if from_nought {
            (low, high) = (low.min(0.0), high.max(0.0));
        }
        if high - low < 1e-9 * high.abs().max(1e-9) {
            high = low + low.abs().max(1.0);
        }
        let count = f64::from(((to - from).abs() / TICK).max(1.0));
        let step = round_step((high - low) / count);
        let (low, high) = ((low / step).floor() * step, (high / step).ceil() * step);
        Self { low, high, from, to, step }
    }

    fn place(&self, value: f64) -> f32 {
        let share = (value - self.low) / (self.high - self.low);
        self.from + share.clamp(0.0, 1.0) as f32 * (self.to - self.from)
    }

    fn ticks(&self) -> Vec<f64> {
        let count = ((self.high - self.low) / self.step).round().clamp(1.0, 60.0) as u32;
        (0..=count).map(|tick| self.low + f64::from(tick) * self.step).collect()
    }

    fn words(&self, tick: f64) -> String {
        let decimals = if self.step >= 1.0 {
            0
        } else if self.step >= 0.1 {
            1
        } else {
            3
        };
        rounded(tick, decimals)
    }
}

/// 1, 2, 2.5 or 5 times a power of ten, no smaller than the wish.
fn round_step(wish: f64) -> f64 {
    let mut power = 1.0;
    while power * 10.0 <= wish && power < 1e12 {
        power *= 10.0;
    }
    while power > wish && power > 1e-12 {
        power /= 10.0;
    }
    let factors = [1.0, 2.0, 2.5, 5.0, 10.0];
    factors.iter().map(|factor| factor * power).find(|step| *step >= wish).unwrap_or(power * 10.0)
}

fn lines(
    canvas: &mut Canvas<'_>,
    across: &str,
    up: &str,
    series: &[Series],
    levels: &[Level],
    width: f32,
    height: f32,
) {
    let area = Rect::new(LEFT, TOP, width - LEFT - RIGHT, height - TOP - BOTTOM);
    let samples = || series.iter().flat_map(|line| &line.samples);
    let x = Scale::around(samples().map(|sample| sample.at), area.x, area.right(), false);
    let values = samples().flat_map(|sample| [sample.p10, sample.p50, sample.p90]);
    let values = values.chain(levels.iter().map(|level| level.value));
    let y = Scale::around(values, area.bottom(), area.y, true);
    axes(canvas, area, &x, &y, across, up);
    for line in series {
        band(canvas, line, &x, &y);
    }
    let mut names: Vec<(f32, String, Paint)> = Vec::new();
    for level in levels.iter().filter(|level| level.value.is_finite()) {
        let at = y.place(level.value);
        let stroke = Stroke::new(Paint::Ink, Weight::Line).dashed(Dash::Dashed);
        canvas.line(&[(area.x, at), (area.right(), at)], stroke);
        names.push((at, level.name.clone(), Paint::Ink));
    }
    let dashes = [Dash::Solid, Dash::Long, Dash::DashDot, Dash::Dotted];
    for (number, line) in series.iter().enumerate() {
        let points = points_of(line, |sample| sample.p50, &x, &y);
        let Some(last) = points.last().copied() else { continue };
        let weight = if number == 0 { Weight::Strong } else { Weight::Line };
        if points.len() > 1 {
            canvas.line(&points, Stroke::new(Paint::Ink, weight).dashed(dashes[number % dashes.len()]));
        } else {
            canvas.circle(last.0, last.1, 4.0, None, Some(Paint::Ink));
        }
        names.push((last.1, line.name.clone(), Paint::Ink));
    }
    names_at_ends(canvas, names, area, width);
}

/// The names of lines and levels, moved apart where they would meet.
fn names_at_ends(canvas: &mut Canvas<'_>, mut names: Vec<(f32, String, Paint)>, area: Rect, width: f32) {
    names.sort_by(|a, b| a.0.total_cmp(&b.0));
    let line = TextSize::Small.line();
    let mut free = TOP - line;
    for (wanted, name, paint) in names {
        let y = wanted.max(free + line / 2.0);
        let frame = Rect::new(area.right() + 16.0, y - line / 2.0, width - area.right() - 20.0, line);
        canvas.line(&[(area.right() + 2.0, wanted), (area.right() + 13.0, y)], Stroke::HAIR);
        canvas.text(frame, Style::SMALL.in_paint(paint), &name);
        free = frame.bottom();
    }
}

fn points_of(line: &Series, value: impl Fn(&Sample) -> f64, x: &Scale, y: &Scale) -> Vec<(f32, f32)> {
    let finite = |sample: &&Sample| sample.at.is_finite() && value(sample).is_finite();
    line.samples.iter().filter(finite).map(|sample| (x.place(sample.at), y.place(value(sample)))).collect()
}

/// The band from one in ten to nine in ten: a tint with thin edges.
fn band(canvas: &mut Canvas<'_>, line: &Series, x: &Scale, y: &Scale) {
    let lower = points_of(line, |sample| sample.p10, x, y);
    let upper = points_of(line, |sample| sample.p90, x, y);
    let Some(first) = upper.first().filter(|_| upper.len() > 1 && lower.len() > 1) else { return };
    let mut path = PathShape::from(first.0, first.1);
    for (x, y) in upper[1..].iter().chain(lower.iter().rev()) {
        path = path.line(*x, *y);
    }
    canvas.path(path.close(), None, Some(Paint::Tint));
    for edge in [lower, upper] {
        canvas.line(&edge, Stroke::new(Paint::SoftInk, Weight::Hair));
    }
}

/// Axes with ticks, their values, and what they tell.
fn axes(canvas: &mut Canvas<'_>, area: Rect, x: &Scale, y: &Scale, across: &str, up: &str) {
    let line = TextSize::Small.line();
    for tick in y.ticks() {
        let at = y.place(tick);
        canvas.line(&[(area.x, at), (area.right(), at)], Stroke::HAIR);
        let frame = Rect::new(4.0, at - line / 2.0, area.x - 12.0, line);
        canvas.text(frame, Style::SMALL.at(Anchor::End), &y.words(tick));
    }
    for tick in x.ticks() {
        let at = x.place(tick);
        canvas.line(&[(at, area.bottom()), (at, area.bottom() + 6.0)], Stroke::INK);
        let frame = Rect::new(at - TICK / 2.0, area.bottom() + 8.0, TICK, line);
        canvas.text(frame, Style::SMALL.at(Anchor::Middle), &x.words(tick));
    }
    canvas.line(&[(area.x, area.y), (area.x, area.bottom()), (area.right(), area.bottom())], Stroke::INK);
    let frame = Rect::new(8.0, 10.0, area.right() - 8.0, line);
    canvas.text(frame, Style::SMALL.bold().in_paint(Paint::Ink), up);
    let frame = Rect::new(area.x, area.bottom() + 8.0 + line, area.width, line);
    canvas.text(frame, Style::SMALL.bold().in_paint(Paint::Ink).at(Anchor::Middle), across);
}

/// Bars from left to right, each with its limit.
fn draw_bars(canvas: &mut Canvas<'_>, along: &str, limit: &str, bars: &[Bar], width: f32, height: f32) {
    let area = Rect::new(NAMES, TOP, width - NAMES - FIGURES, height - TOP - BOTTOM);
    let values = bars.iter().flat_map(|bar| [Some(bar.value), bar.limit]).flatten();
    let x = Scale::around(values, area.x, area.right(), true);
    let line = TextSize::Small.line();
    for tick in x.ticks() {
        let at = x.place(tick);
        canvas.line(&[(at, area.y), (at, area.bottom())], Stroke::HAIR);
        let frame = Rect::new(at - TICK / 2.0, area.bottom() + 6.0, TICK, line);
        canvas.text(frame, Style::SMALL.at(Anchor::Middle), &x.words(tick));
    }
    for (number, bar) in bars.iter().enumerate().filter(|(_, bar)| bar.value.is_finite()) {
        let row = Rect::new(area.x, area.y + number as f32 * BAR, area.width, BAR);
        let name = Rect::new(8.0, row.y, NAMES - 20.0, BAR);
        canvas.text(name, Style::SMALL.in_paint(Paint::Ink).at(Anchor::End), &bar.name);
        draw_bar(canvas, bar, &x, row);
    }
    canvas.line(&[(x.place(0.0), area.y), (x.place(0.0), area.bottom())], Stroke::INK);
    let frame = Rect::new(area.x, area.bottom() + 8.0 + line, area.width, line);
    canvas.text(frame, Style::SMALL.bold().in_paint(Paint::Ink).at(Anchor::Middle), along);
    if bars.iter().any(|bar| bar.limit.is_some()) {
        // What the heavy upright is.
        canvas.line(&[(area.x, 14.0), (area.x, 32.0)], Stroke::new(Paint::Ink, Weight::Strong));
        let frame = Rect::new(area.x + 10.0, 12.0, area.width, line);
        canvas.text(frame, Style::SMALL.in_paint(Paint::Ink), limit);
    }
}

fn draw_bar(canvas: &mut Canvas<'_>, bar: &Bar, x: &Scale, row: Rect) {
    let (zero, end) = (x.place(0.0), x.place(bar.value));
    let body = Rect::new(zero.min(end), row.y + 10.0, (end - zero).abs(), BAR - 20.0);
    canvas.rect(body, 0.0, None, Some(Paint::Tint));
    let limit = bar.limit.filter(|limit| limit.is_finite());
    if let Some(limit) = limit.filter(|limit| bar.value > *limit) {
        // What goes beyond the limit is hatched.
        hatch(canvas, Rect { x: x.place(limit), width: body.right() - x.place(limit), ..body });
    }
    canvas.rect(body, 0.0, Some(Stroke::INK), None);
    let words = match limit {
        Some(limit) => {
            let at = x.place(limit);
            let stroke = Stroke::new(Paint::Ink, Weight::Strong);
            canvas.line(&[(at, row.y + 4.0), (at, row.bottom() - 4.0)], stroke);
            canvas.letters.say(&say!("{} of {}", rounded(bar.value, 1), rounded(limit, 1)))
        }
        None => rounded(bar.value, 1),
    };
    let frame = Rect::new(row.right() + 12.0, row.y, FIGURES - 16.0, BAR);
    canvas.text(frame, Style::SMALL.bold().in_paint(Paint::Ink), &words);
}

/// Lines aslant over an area.
fn hatch(canvas: &mut Canvas<'_>, area: Rect) {
    let stroke = Stroke::new(Paint::Ink, Weight::Hair);
    let mut at = 6.0;
    while at < area.width + area.height {
        let (x0, y0) =
            if at <= area.width { (area.x + at, area.y) } else { (area.right(), area.y + at - area.width) };
        let (x1, y1) = if at <= area.height {
            (area.x, area.y + at)
        } else {
            (area.x + at - area.height, area.bottom())
        };
        canvas.line(&[(x0, y0), (x1, y1)], stroke);
        at += 6.0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn width(text: &str, size: TextSize, _: bool) -> f32 {
        text.chars().count() as f32 * size.units() * 0.55
    }

    fn day() -> Plot {
        let sample = |hour: u32| {
            let at = f64::from(hour);
            Sample { at, p10: 10.0 - at * 0.4, p50: 11.0 - at * 0.35, p90: 12.0 - at * 0.3 }
        };
        let line = |name: &str| Series { name: name.into(), samples: (0..25).map(sample).collect() };
        Plot::Lines {
            across: "Hours without the utility (h)".into(),
            up: "Energy left (kWh)".into(),
            series: vec![line("as surveyed")],
            levels: vec![Level { name: "least charge".into(), value: 1.3 }],
        }
    }

    #[test]
    fn everything_lies_in_the_plot() {
        let bars = Plot::Bars {
            along: "A".into(),
            limit: "allowed".into(),
            bars: vec![
                Bar { name: "Feeder".into(), value: 82.0, limit: Some(65.0) },
                Bar { name: "Service".into(), value: 130.0, limit: Some(200.0) },
                Bar { name: "Nothing".into(), value: 0.0, limit: None },
            ],
        };
        for plotted in [day(), bars] {
            let scene = plot(&plotted, 640.0, 320.0, Letters::new(&width));
            let all = Rect::new(0.0, 0.0, scene.width, scene.height);
            for text in scene.texts() {
                assert!(all.holds(&text.frame, 0.5), "{text:?}");
            }
        }
    }

    #[test]
    fn ticks_are_round() {
        for (wish, step) in [(0.9, 1.0), (1.1, 2.0), (2.2, 2.5), (3.0, 5.0), (7.0, 10.0), (0.03, 0.05)] {
            assert!((round_step(wish) - step).abs() < 1e-9, "{wish}: {}", round_step(wish));
        }
        let scale = Scale::around([3.0, 97.0].into_iter(), 0.0, 500.0, true);
        assert_eq!((scale.low, scale.high, scale.step), (0.0, 100.0, 20.0));
    }

    #[test]
    fn a_line_keeps_its_shape() {
        let scene = plot(&day(), 640.0, 320.0, Letters::new(&width));
        let strong = scene.shapes.iter().find_map(|shape| match shape {
            crate::drawing::Shape::Line { points, stroke } if stroke.weight == Weight::Strong => Some(points),
            _ => None,
        });
        let points = strong.unwrap();
        assert_eq!(points.len(), 25);
        assert!(points.windows(2).all(|pair| pair[1].x > pair[0].x && pair[1].y > pair[0].y));
    }

    #[test]
    fn what_is_no_number_is_passed_over() {
        let mut plotted = day();
        if let Plot::Lines { series, levels, .. } = &mut plotted {
            series[0].samples[3].p50 = f64::NAN;
            series[0].samples[4].at = f64::INFINITY;
            levels[0].value = f64::NAN;
            series.push(Series { name: "empty".into(), samples: vec![] });
        }
        let scene = plot(&plotted, f32::NAN, 0.0, Letters::new(&width));
        assert!(scene.width.is_finite() && !scene.shapes.is_empty());
    }
}
