//! A drawing on several sheets: cut where few wires pass, with a mark at each wire that goes on.

use super::scene::{
    Anchor, Hit, Paint, Place, Point, Rect, Scene, Shape, Stroke, TextShape, TextSize, Weight,
};

/// Room at each edge of a sheet for the marks [units].
const MARGIN: f32 = 22.0;
/// The last share of a sheet in which a cut is looked for.
const SEARCH: f32 = 0.65;
/// Distance between the places that are tried [units].
const STEP: f32 = 4.0;
/// Radius of a continuation mark [units].
const MARK: f32 = 11.0;
/// How far from an even cut costs as much as one wire [units].
const AWAY: f32 = 120.0;
/// What it costs to need one sheet more, counted in wires.
const ONE_MORE: usize = 20;
/// What it costs to cut a box, counted in wires.
const SOLID: usize = 25;
/// What it costs to cut a text: it would stand out of its sheet.
const WORDS: usize = 90;

/// A wire that goes on over a cut.
struct Passing {
    at: f32,
    number: usize,
    stroke: Stroke,
}

/// One sheet of a drawing that was cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// The sheet.
    pub scene: Scene,
    /// The part of the whole drawing that it shows [units of the whole].
    pub window: Rect,
    /// Numbers of the marks at its edges; each stands on the sheet where the wire goes on as well.
    pub joints: Vec<usize>,
}

/// Cuts a drawing into sheets of this size [units], row by row; one sheet where it fits. A size too
/// small to hold anything gives the drawing whole.
#[must_use]
pub fn pages(scene: &Scene, width: f32, height: f32) -> Vec<Scene> {
    cut(scene, width, height).into_iter().map(|cut| cut.scene).collect()
}

/// As [`pages`], and of each sheet what it shows and where its wires go on.
#[must_use]
pub fn cut(scene: &Scene, width: f32, height: f32) -> Vec<Cut> {
    let fits = scene.width <= width && scene.height <= height;
    let (room_x, room_y) = (width - 2.0 * MARGIN, height - 2.0 * MARGIN);
    if fits || !(room_x >= 4.0 * MARGIN && room_y >= 4.0 * MARGIN) {
        let window = Rect::new(0.0, 0.0, scene.width, scene.height);
        return vec![Cut { scene: scene.clone(), window, joints: Vec::new() }];
    }
    let rows = cuts(scene, room_y, scene.height, Along::Y);
    let mut next = 1;
    let down = numbered(scene, &rows, Along::Y, &mut next);
    let mut sheets = Vec::new();
    for (at, row) in rows.windows(2).enumerate() {
        // Each row of sheets is cut by itself: what is a gap in one may be a box in another.
        let strip = Rect::new(0.0, row[0], scene.width, row[1] - row[0]);
        let part = Scene {
            width: scene.width,
            height: scene.height,
            shapes: within(scene, strip),
            ..Scene::default()
        };
        let columns = cuts(&part, room_x, scene.width, Along::X);
        let across = numbered(&part, &columns, Along::X, &mut next);
        for (number, column) in columns.windows(2).enumerate() {
            let window = Rect::new(column[0], row[0], column[1] - column[0], row[1] - row[0]);
            let mut sheet = Cut { scene: sheet(scene, window), window, joints: Vec::new() };
            let before = number.checked_sub(1).map(|cut| &across[cut]);
            mark_sides(&mut sheet, before, across.get(number), Along::X);
            mark_sides(&mut sheet, at.checked_sub(1).map(|cut| &down[cut]), down.get(at), Along::Y);
            sheets.push(sheet);
        }
    }
    sheets.retain(|sheet| sheet.scene.shapes.iter().any(|shape| !matches!(shape, Shape::Rect { .. })));
    sheets
}

/// The shapes in a strip, where they are.
fn within(scene: &Scene, strip: Rect) -> Vec<Shape> {
    scene.shapes.iter().flat_map(|shape| clipped(shape, strip, 0.0, 0.0)).collect()
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Along {
    X,
    Y,
}

impl Along {
    fn of(self, point: &Point) -> f32 {
        if self == Self::X { point.x } else { point.y }
    }

    fn other(self) -> Self {
        if self == Self::X { Self::Y } else { Self::X }
    }

    fn span(self, rect: &Rect) -> (f32, f32) {
        if self == Self::X { (rect.x, rect.right()) } else { (rect.y, rect.bottom()) }
    }
}

/// Where to cut, from one edge of the drawing to the other: sheets of about the same size, moved to where
/// little is cut.
fn cuts(scene: &Scene, room: f32, size: f32, along: Along) -> Vec<f32> {
    let solids = solids(scene, along);
    let wires = wires(scene);
    let mut cuts = vec![0.0];
    let mut start = 0.0;
    while size - start > room {
        let left = size - start;
        let even = left / (left / room).ceil();
        let tries = ((room * SEARCH) / STEP) as usize;
        let best = (0..=tries)
            .map(|back| start + room - back as f32 * STEP)
            .min_by_key(|at| {
                let away = ((at - start - even).abs() / AWAY) as usize;
                let more = 1.0 + ((size - at) / room).ceil() > (left / room).ceil();
                price(&solids, &wires, *at, along) + away + if more { ONE_MORE } else { 0 }
            })
            .unwrap_or(start + room);
        cuts.push(best);
        start = best;
    }
    cuts.push(size);
    cuts
}

/// Texts, boxes and symbols by where they begin and end.
fn solids(scene: &Scene, along: Along) -> Vec<(f32, f32, usize)> {
    let priced = |(from, to): (f32, f32), price| Some((from, to, price));
    let boxes = scene.shapes.iter().filter_map(|shape| match shape {
        Shape::Text(text) => priced(along.span(&text.frame), WORDS),
        Shape::Rect { rect, .. } => priced(along.span(rect), SOLID),
        Shape::Circle { centre, radius, .. } => {
            priced((along.of(centre) - radius, along.of(centre) + radius), SOLID)
        }
        Shape::Path { fill: Some(_), .. } | Shape::Path { .. } | Shape::Line { .. } => None,
    });
    boxes.collect()
}

/// Lines and paths in straight pieces.
fn wires(scene: &Scene) -> Vec<(Vec<Point>, Stroke)> {
    let mut wires = Vec::new();
    for shape in &scene.shapes {
        match shape {
            Shape::Line { points, stroke } => wires.push((points.clone(), *stroke)),
            Shape::Path { path, stroke: Some(stroke), .. } => {
                wires.extend(path.flattened().into_iter().map(|points| (points, *stroke)));
            }
            _ => {}
        }
    }
    wires
}

fn price(solids: &[(f32, f32, usize)], wires: &[(Vec<Point>, Stroke)], at: f32, along: Along) -> usize {
    let cut = solids.iter().filter(|(from, to, _)| *from < at && at < *to);
    let solid: usize = cut.map(|(.., price)| price).sum();
    let crossed = |points: &Vec<Point>| {
        points.windows(2).filter(|pair| (along.of(&pair[0]) - at) * (along.of(&pair[1]) - at) < 0.0).count()
    };
    solid + wires.iter().map(|(points, _)| crossed(points)).sum::<usize>()
}

/// The wires over each inner cut, numbered through.
fn numbered(scene: &Scene, cuts: &[f32], along: Along, next: &mut usize) -> Vec<Vec<Passing>> {
    let wires = wires(scene);
    let inner = &cuts[1..cuts.len() - 1];
    inner
        .iter()
        .map(|cut| {
            let mut passing: Vec<Passing> = Vec::new();
            for (points, stroke) in &wires {
                for pair in points.windows(2) {
                    let (from, to) = (along.of(&pair[0]), along.of(&pair[1]));
                    // A border or a tint is no wire that somebody follows.
                    if (from - cut) * (to - cut) >= 0.0 || stroke.weight == Weight::Hair {
                        continue;
                    }
                    let share = (cut - from) / (to - from);
                    let (a, b) = (along.other().of(&pair[0]), along.other().of(&pair[1]));
                    passing.push(Passing { at: a + share * (b - a), number: 0, stroke: *stroke });
                }
            }
            passing.sort_by(|a, b| a.at.total_cmp(&b.at));
            passing.dedup_by(|a, b| (a.at - b.at).abs() < 1.0);
            for item in &mut passing {
                item.number = *next;
                *next += 1;
            }
            passing
        })
        .collect()
}

/// What lies in a window, moved to a sheet of its own.
fn sheet(scene: &Scene, window: Rect) -> Scene {
    let (dx, dy) = (MARGIN - window.x, MARGIN - window.y);
    let shapes = scene.shapes.iter().flat_map(|shape| clipped(shape, window, dx, dy)).collect();
    let inside = |rect: &Rect| {
        let centre = rect.centre();
        let (x, y) = ((window.x..window.right()), (window.y..window.bottom()));
        x.contains(&centre.x) && y.contains(&centre.y)
    };
    let hits = scene.hits.iter().filter(|hit| inside(&hit.rect));
    let places = scene.places.iter().filter(|place| inside(&place.rect));
    Scene {
        width: window.width + 2.0 * MARGIN,
        height: window.height + 2.0 * MARGIN,
        shapes,
        hits: hits.map(|hit| Hit { item: hit.item.clone(), rect: hit.rect.moved(dx, dy) }).collect(),
        places: places
            .map(|place| Place { item: place.item.clone(), rect: place.rect.moved(dx, dy) })
            .collect(),
    }
}

/// The part of a shape in a window. Texts and small symbols stay whole with their middle; lines and boxes are cut.
fn clipped(shape: &Shape, window: Rect, dx: f32, dy: f32) -> Vec<Shape> {
    let moved = |point: &Point| Point::new(point.x + dx, point.y + dy);
    let holds = |point: Point| {
        (window.x..window.right()).contains(&point.x) && (window.y..window.bottom()).contains(&point.y)
    };
    match shape {
        Shape::Text(text) if holds(text.frame.centre()) => {
            vec![Shape::Text(TextShape { frame: text.frame.moved(dx, dy), ..text.clone() })]
        }
        Shape::Circle { centre, radius, stroke, fill } if holds(*centre) => {
            vec![Shape::Circle { centre: moved(centre), radius: *radius, stroke: *stroke, fill: *fill }]
        }
        Shape::Rect { rect, radius, stroke, fill } => {
            let whole = window.holds(rect, 0.0);
            let (left, top) = (rect.x.max(window.x), rect.y.max(window.y));
            let (right, bottom) = (rect.right().min(window.right()), rect.bottom().min(window.bottom()));
            if right <= left || bottom <= top {
                return vec![];
            }
            let cut = Rect::new(left, top, right - left, bottom - top).moved(dx, dy);
            let radius = if whole { *radius } else { 0.0 };
            vec![Shape::Rect { rect: cut, radius, stroke: *stroke, fill: *fill }]
        }
        Shape::Line { points, stroke } => lines(points, *stroke, window, dx, dy),
        Shape::Path { path, stroke, fill } => {
            let flat = path.flattened();
            let all = || flat.iter().flatten();
            if all().all(|point| holds(*point)) {
                return vec![Shape::Path { path: path.moved(dx, dy), stroke: *stroke, fill: *fill }];
            }
            match stroke {
                Some(stroke) if fill.is_none() => {
                    flat.iter().flat_map(|points| lines(points, *stroke, window, dx, dy)).collect()
                }
                _ => vec![],
            }
        }
        Shape::Text(_) | Shape::Circle { .. } => vec![],
    }
}

/// The pieces of a line in a window.
fn lines(points: &[Point], stroke: Stroke, window: Rect, dx: f32, dy: f32) -> Vec<Shape> {
    let mut pieces: Vec<Vec<Point>> = Vec::new();
    for pair in points.windows(2) {
        let Some((from, to)) = in_window(pair[0], pair[1], window) else { continue };
        let (from, to) = (Point::new(from.x + dx, from.y + dy), Point::new(to.x + dx, to.y + dy));
        match pieces.last_mut() {
            Some(piece) if piece.last() == Some(&from) => piece.push(to),
            _ => pieces.push(vec![from, to]),
        }
    }
    pieces.into_iter().map(|points| Shape::Line { points, stroke }).collect()
}

/// The part of a straight line in a window (by the Liang-Barsky method).
fn in_window(from: Point, to: Point, window: Rect) -> Option<(Point, Point)> {
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    let (mut enter, mut leave) = (0.0_f32, 1.0_f32);
    for (step, room) in [
        (-dx, from.x - window.x),
        (dx, window.right() - from.x),
        (-dy, from.y - window.y),
        (dy, window.bottom() - from.y),
    ] {
        if step == 0.0 {
            if room < 0.0 {
                return None;
            }
        } else if step < 0.0 {
            enter = enter.max(room / step);
        } else {
            leave = leave.min(room / step);
        }
    }
    let at = |share: f32| Point::new(from.x + share * dx, from.y + share * dy);
    (enter < leave).then(|| (at(enter), at(leave)))
}

/// Marks where wires go on, at the two sides of a sheet.
fn mark_sides(sheet: &mut Cut, before: Option<&Vec<Passing>>, after: Option<&Vec<Passing>>, along: Along) {
    let window = sheet.window;
    let (from, to) = along.other().span(&window);
    let start = along.other().span(&Rect::new(window.x, window.y, 0.0, 0.0)).0;
    let (low, high) =
        (MARK + 1.0, if along == Along::X { sheet.scene.width } else { sheet.scene.height } - MARK - 1.0);
    for (passing, side) in [(before, low), (after, high)] {
        for wire in passing.into_iter().flatten().filter(|wire| from <= wire.at && wire.at < to) {
            let away = wire.at - start + MARGIN;
            let centre = if along == Along::X { Point::new(side, away) } else { Point::new(away, side) };
            sheet.joints.push(wire.number);
            continuation(&mut sheet.scene, centre, wire.number, wire.stroke.paint);
        }
    }
}

/// A circle with the number of the wire that goes on.
pub(super) fn continuation(sheet: &mut Scene, centre: Point, number: usize, paint: Paint) {
    let edge = Stroke::new(paint, Weight::Hair);
    sheet.shapes.push(Shape::Circle { centre, radius: MARK, stroke: Some(edge), fill: Some(Paint::Paper) });
    sheet.shapes.push(Shape::Text(TextShape {
        frame: Rect::new(centre.x - MARK, centre.y - MARK, 2.0 * MARK, 2.0 * MARK),
        anchor: Anchor::Middle,
        size: TextSize::Small,
        bold: true,
        paint: Paint::Ink,
        text: number.to_string(),
    }));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assess;
    use crate::drawing::checked::{demo, letters};
    use crate::drawing::{Emphasis, marks, one_line};
    use crate::house::House;

    fn drawn() -> Scene {
        let survey = demo();
        one_line(&House::new(&survey), &marks(&assess(&survey)), &Emphasis::new(), letters()).scene
    }

    #[test]
    fn what_fits_stays_whole() {
        let scene = drawn();
        assert_eq!(pages(&scene, scene.width, scene.height), std::slice::from_ref(&scene));
        // A sheet too small to hold anything.
        assert_eq!(pages(&scene, 10.0, f32::NAN).len(), 1);
    }

    #[test]
    fn nothing_is_lost_and_nothing_is_too_large() {
        let scene = drawn();
        let sheets = pages(&scene, 1600.0, 1100.0);
        assert!(sheets.len() > 2);
        for sheet in &sheets {
            assert!(sheet.width <= 1600.0 && sheet.height <= 1100.0);
        }
        let texts = |scene: &Scene| {
            let mut texts: Vec<String> = scene.texts().map(|text| text.text.clone()).collect();
            texts.retain(|text| text.parse::<u32>().is_err());
            texts.sort();
            texts
        };
        let mut on_sheets: Vec<String> = sheets.iter().flat_map(texts).collect();
        on_sheets.sort();
        assert_eq!(on_sheets, texts(&scene));
        let places: usize = sheets.iter().map(|sheet| sheet.places.len()).sum();
        assert_eq!(places, scene.places.len());
    }

    #[test]
    fn a_wire_that_goes_on_has_its_mark_on_both_sheets() {
        let mut scene = Scene { width: 1000.0, height: 200.0, ..Scene::default() };
        let points = vec![Point::new(10.0, 50.0), Point::new(990.0, 50.0)];
        scene.shapes.push(Shape::Line { points, stroke: Stroke::INK });
        let sheets = pages(&scene, 600.0, 300.0);
        assert_eq!(sheets.len(), 2);
        for sheet in &sheets {
            let marks: Vec<&TextShape> = sheet.texts().collect();
            assert_eq!(marks.len(), 1);
            assert_eq!(marks[0].text, "1");
            assert!((marks[0].frame.centre().y - (50.0 + MARGIN)).abs() < 0.1);
        }
    }

    #[test]
    fn a_cut_avoids_boxes() {
        let mut scene = Scene { width: 1000.0, height: 200.0, ..Scene::default() };
        for x in [10.0, 400.0, 690.0] {
            let rect = Rect::new(x, 20.0, 280.0, 100.0);
            scene.shapes.push(Shape::Rect { rect, radius: 0.0, stroke: Some(Stroke::INK), fill: None });
            let across = vec![Point::new(x, 40.0), Point::new(x + 280.0, 40.0)];
            scene.shapes.push(Shape::Line { points: across, stroke: Stroke::INK });
        }
        let sheets = pages(&scene, 600.0, 300.0);
        let whole = sheets
            .iter()
            .flat_map(|sheet| &sheet.shapes)
            .filter(|shape| matches!(shape, Shape::Rect { rect, .. } if (rect.width - 280.0).abs() < 0.1));
        assert_eq!(whole.count(), 3);
    }
}
