//! Drawings of the rules as the window draws them.

use std::fmt::Write as _;

use deadfront_rules::drawing::{
    Anchor, Letters, Mark, Paint, Point, Rect, Scene, Shape, Step, Stroke, TextSize,
};
use slint::SharedString;

use crate::generated::{self, Drawing, Lettering, Spot};
use crate::models::fixed;
use crate::shown::Shown;
use crate::words::tell;

/// Calls `draw` with the letters of the window: its font, its language.
pub(crate) fn with_letters<T>(draw: impl FnOnce(Letters<'_>) -> T) -> T {
    let plain = ttf_parser::Face::parse(ttf_noto_sans::REGULAR, 0).ok();
    let bold = ttf_parser::Face::parse(ttf_noto_sans::BOLD, 0).ok();
    let width = |text: &str, size: TextSize, strong: bool| {
        let face = if strong { bold.as_ref() } else { plain.as_ref() };
        face.map_or(0.0, |face| width_in(face, text) * size.units())
    };
    let said = |said: &_| tell(said).to_string();
    draw(Letters { width: &width, said: &said })
}

/// Width of a text in units of its size.
fn width_in(face: &ttf_parser::Face<'_>, text: &str) -> f32 {
    let advance = |c: char| {
        let glyph = face.glyph_index(c).unwrap_or_default();
        f32::from(face.glyph_hor_advance(glyph).unwrap_or_default())
    };
    text.chars().map(advance).sum::<f32>() / f32::from(face.units_per_em().max(1))
}

/// A drawing for the window. What can be tapped is named as in the lists.
pub(crate) fn drawing(scene: &Scene, shown: &Shown) -> Drawing {
    let mut sheet = Sheet::default();
    for shape in &scene.shapes {
        sheet.add(shape);
    }
    let spots = scene.hits.iter().map(|hit| Spot {
        id: hit.item.as_str().into(),
        label: shown.name_of(&hit.item).into(),
        x: hit.rect.x,
        y: hit.rect.y,
        width: hit.rect.width,
        height: hit.rect.height,
    });
    sheet.drawn(scene, spots.collect())
}

/// A drawing that nothing in it can be tapped.
pub(crate) fn picture(scene: &Scene) -> Drawing {
    let mut sheet = Sheet::default();
    scene.shapes.iter().for_each(|shape| sheet.add(shape));
    sheet.drawn(scene, Vec::new())
}

/// What lines have in common that are drawn at once.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Style {
    ink: i32,
    fill: i32,
    width: f32,
}

/// What is drawn at once: its style, its commands, and the box around its points.
struct Drawn {
    style: Style,
    commands: String,
    around: Rect,
}

/// What a path of its own costs, as the area that the processor fills in the same time [square units].
const PATH_COST: f32 = 4000.0;
/// Room around the points for the width of a line, which is never thinner than a pixel however small the
/// drawing is shown [units].
const EDGE: f32 = 4.0;

#[derive(Default)]
struct Sheet {
    strokes: Vec<Drawn>,
    letters: Vec<Lettering>,
}

impl Sheet {
    fn drawn(self, scene: &Scene, spots: Vec<Spot>) -> Drawing {
        let strokes = self.strokes.into_iter().map(|drawn| {
            let around = drawn.around.inset(-EDGE - drawn.style.width);
            generated::Stroke {
                commands: drawn.commands.into(),
                ink: drawn.style.ink,
                fill: drawn.style.fill,
                width: drawn.style.width,
                left: around.x,
                top: around.y,
                wide: around.width,
                high: around.height,
            }
        });
        let sizes = self.letters.iter().map(|letter| letter.size);
        Drawing {
            width: scene.width,
            height: scene.height,
            finest: sizes.reduce(f32::min).unwrap_or(TextSize::Small.units()),
            strokes: fixed(strokes),
            letters: fixed(self.letters),
            spots: fixed(spots),
        }
    }

    fn add(&mut self, shape: &Shape) {
        match shape {
            Shape::Line { points, stroke } => self.line(points, *stroke),
            Shape::Rect { rect, radius, stroke, fill } => {
                self.area(&rect_commands(rect, *radius), *rect, &[corners(rect)], *stroke, *fill);
            }
            Shape::Circle { centre, radius, stroke, fill } => {
                let around = Rect::new(centre.x, centre.y, 0.0, 0.0).inset(-*radius);
                self.area(&circle_commands(*centre, *radius), around, &[], *stroke, *fill);
            }
            Shape::Path { path, stroke, fill } => {
                let outlines = path.flattened();
                let around = box_of(outlines.iter().flatten());
                self.area(&path_commands(&path.steps), around, &outlines, *stroke, *fill);
            }
            Shape::Text(text) => self.letters.push(Lettering {
                x: text.frame.x,
                y: text.frame.y,
                width: text.frame.width,
                height: text.frame.height,
                text: SharedString::from(&text.text),
                ink: code(text.paint),
                size: text.size.units(),
                strong: text.bold,
                align: match text.anchor {
                    Anchor::Start => 0,
                    Anchor::Middle => 1,
                    Anchor::End => 2,
                },
            }),
        }
    }

    fn line(&mut self, points: &[Point], stroke: Stroke) {
        let style = Style { ink: code(stroke.paint), fill: 0, width: stroke.weight.units() };
        let pattern = stroke.dash.pattern();
        if pattern.is_empty() {
            self.draw(style, box_of(points), &through(points));
        } else {
            let dashes = dashes(points, pattern);
            dashes.iter().for_each(|dash| self.draw(style, box_of(dash), &through(dash)));
        }
    }

    /// A fill, and its border broken where it is.
    fn area(
        &mut self,
        commands: &str,
        around: Rect,
        outlines: &[Vec<Point>],
        stroke: Option<Stroke>,
        fill: Option<Paint>,
    ) {
        let fill = fill.map_or(0, code);
        match stroke {
            Some(stroke) if !stroke.dash.pattern().is_empty() => {
                if fill != 0 {
                    self.draw(Style { fill, ..Style::default() }, around, commands);
                }
                outlines.iter().for_each(|outline| self.line(outline, stroke));
            }
            Some(stroke) => {
                let style = Style { ink: code(stroke.paint), fill, width: stroke.weight.units() };
                self.draw(style, around, commands);
            }
            None => self.draw(Style { fill, ..Style::default() }, around, commands),
        }
    }

    /// Lines of one style that follow each other and lie near each other are one path: neither many paths
    /// nor large empty ones.
    fn draw(&mut self, style: Style, around: Rect, commands: &str) {
        let area = |rect: &Rect| (rect.width + 2.0 * EDGE) * (rect.height + 2.0 * EDGE);
        if let Some(last) = self.strokes.last_mut().filter(|last| last.style == style) {
            let both = last.around.around(&around);
            if area(&both) <= area(&last.around) + area(&around) + PATH_COST {
                last.commands.push(' ');
                last.commands.push_str(commands);
                last.around = both;
                return;
            }
        }
        self.strokes.push(Drawn { style, commands: commands.to_owned(), around });
    }
}

/// The box around points.
fn box_of<'a>(points: impl IntoIterator<Item = &'a Point>) -> Rect {
    let boxes = points.into_iter().map(|point| Rect::new(point.x, point.y, 0.0, 0.0));
    boxes.reduce(|all, one| all.around(&one)).unwrap_or_default()
}

/// The number of an ink, as `Paint` in drawing.slint reads it.
fn code(paint: Paint) -> i32 {
    const LIVE: i32 = 10;
    const MOST_LIVE: u8 = 9;
    const SIGNAL: i32 = 20;
    const ON_SIGNAL: i32 = 30;
    match paint {
        Paint::Ink => 1,
        Paint::SoftInk => 2,
        Paint::Rule => 3,
        Paint::Accent => 4,
        Paint::Tint => 5,
        Paint::Paper => 6,
        Paint::Dead => 7,
        Paint::Peril => 8,
        Paint::Live(source) => LIVE + i32::from(source.min(MOST_LIVE)),
        Paint::Signal(mark) => SIGNAL + mark_code(mark),
        Paint::OnSignal(mark) => ON_SIGNAL + mark_code(mark),
    }
}

fn mark_code(mark: Mark) -> i32 {
    Mark::ALL.iter().position(|known| *known == mark).map_or(0, crate::models::row_number)
}

fn through(points: &[Point]) -> String {
    let mut commands = String::new();
    for (at, point) in points.iter().enumerate() {
        let _ = write!(commands, "{} {:.2} {:.2} ", if at == 0 { 'M' } else { 'L' }, point.x, point.y);
    }
    commands
}

fn corners(rect: &Rect) -> Vec<Point> {
    let (left, top, right, bottom) = (rect.x, rect.y, rect.right(), rect.bottom());
    [(left, top), (right, top), (right, bottom), (left, bottom), (left, top)]
        .into_iter()
        .map(|(x, y)| Point::new(x, y))
        .collect()
}

fn rect_commands(rect: &Rect, radius: f32) -> String {
    let r = radius.min(rect.width / 2.0).min(rect.height / 2.0);
    if r <= 0.0 {
        return format!("{}Z", through(&corners(rect)[..4]));
    }
    let (x, y, right, bottom) = (rect.x, rect.y, rect.right(), rect.bottom());
    format!(
        "M {} {y} L {} {y} A {r} {r} 0 0 1 {right} {} L {right} {} A {r} {r} 0 0 1 {} {bottom} L {} {bottom} \
         A {r} {r} 0 0 1 {x} {} L {x} {} A {r} {r} 0 0 1 {} {y} Z",
        x + r,
        right - r,
        y + r,
        bottom - r,
        right - r,
        x + r,
        bottom - r,
        y + r,
        x + r,
    )
}

fn circle_commands(centre: Point, r: f32) -> String {
    let (left, right, y) = (centre.x - r, centre.x + r, centre.y);
    format!("M {left} {y} A {r} {r} 0 1 1 {right} {y} A {r} {r} 0 1 1 {left} {y} Z")
}

fn path_commands(steps: &[Step]) -> String {
    let mut commands = String::new();
    for step in steps {
        let _ = match step {
            Step::Move(p) => write!(commands, "M {} {} ", p.x, p.y),
            Step::Line(p) => write!(commands, "L {} {} ", p.x, p.y),
            Step::Curve(a, b, p) => write!(commands, "C {} {} {} {} {} {} ", a.x, a.y, b.x, b.y, p.x, p.y),
            Step::Close => write!(commands, "Z "),
        };
    }
    commands
}

/// The dashes of a broken line.
fn dashes(points: &[Point], pattern: &[f32]) -> Vec<Vec<Point>> {
    let mut dashes: Vec<Vec<Point>> = Vec::new();
    let (mut at, mut left, mut drawn) = (0, pattern[0], true);
    for pair in points.windows(2) {
        let (mut from, to) = (pair[0], pair[1]);
        if drawn {
            begin(&mut dashes, from);
        }
        loop {
            let (dx, dy) = (to.x - from.x, to.y - from.y);
            let length = (dx * dx + dy * dy).sqrt();
            if length <= left {
                left -= length;
                if let Some(dash) = dashes.last_mut().filter(|_| drawn) {
                    dash.push(to);
                }
                break;
            }
            from = Point::new(from.x + dx * left / length, from.y + dy * left / length);
            if let Some(dash) = dashes.last_mut().filter(|_| drawn) {
                dash.push(from);
            }
            drawn = !drawn;
            at = (at + 1) % pattern.len();
            left = pattern[at];
            if drawn {
                dashes.push(vec![from]);
            }
        }
    }
    dashes
}

/// A dash goes on round a corner.
fn begin(dashes: &mut Vec<Vec<Point>>, point: Point) {
    if dashes.last().is_none_or(|dash| dash.last() != Some(&point)) {
        dashes.push(vec![point]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_broken_into_its_dashes() {
        let line = [Point::new(0.0, 0.0), Point::new(20.0, 0.0)];
        let dashes = dashes(&line, &[6.0, 4.0]);
        let ends: Vec<(f32, f32)> = dashes.iter().map(|dash| (dash[0].x, dash[dash.len() - 1].x)).collect();
        assert_eq!(ends, [(0.0, 6.0), (10.0, 16.0)]);
    }

    #[test]
    fn a_dash_goes_on_round_a_corner() {
        let line = [Point::new(0.0, 0.0), Point::new(3.0, 0.0), Point::new(3.0, 3.0)];
        assert_eq!(dashes(&line, &[6.0, 4.0]), [line.to_vec()]);
    }

    #[test]
    fn lines_of_one_style_are_one_path() {
        let mut sheet = Sheet::default();
        let line = |y: f32| Shape::Line {
            points: vec![Point::new(0.0, y), Point::new(9.0, y)],
            stroke: Stroke::INK,
        };
        sheet.add(&line(0.0));
        sheet.add(&line(5.0));
        assert_eq!(sheet.strokes.len(), 1);
        sheet.add(&Shape::Line { points: vec![Point::default()], stroke: Stroke::HAIR });
        assert_eq!(sheet.strokes.len(), 2);
    }

    #[test]
    fn what_lies_far_apart_is_no_large_empty_path() {
        let mut sheet = Sheet::default();
        for corner in [0.0, 900.0] {
            let points = vec![Point::new(corner, corner), Point::new(corner + 9.0, corner)];
            sheet.add(&Shape::Line { points, stroke: Stroke::INK });
        }
        assert_eq!(sheet.strokes.len(), 2);
        let scene = Scene { width: 909.0, height: 900.0, ..Scene::default() };
        let drawing = sheet.drawn(&scene, Vec::new());
        let far = slint::Model::row_data(&drawing.strokes, 1).unwrap();
        assert!(
            far.left < 900.0 && far.left + far.wide > 909.0 && far.wide < 30.0 && far.high < 30.0,
            "{far:?}"
        );
    }

    #[test]
    fn wider_words_take_more_room() {
        with_letters(|letters| {
            let short = letters.width("20 A", TextSize::Body, false);
            assert!(short > 20.0 && short < 60.0, "{short}");
            assert!(letters.width("20 A", TextSize::Body, true) > short);
            assert!(letters.width("20 A, 2 poles", TextSize::Body, false) > short);
        });
    }
}
