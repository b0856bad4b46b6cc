//! The way from one source to the other as a vertical strip: boxes on a double line, from top to bottom.

use deadfront_rules::isolation::overview::{MeetingOverview, ModeOverview, Wrong};
use deadfront_rules::say;
use deadfront_rules::survey::Id;

use crate::paper::{Align, Colour, Drawing, Point, Pt, Rect, Shape, Stroke, Weight};

/// Width of the strip [pt]; no wider than the text of either sheet.
const WIDTH: f64 = 480.0;
/// Height of one link: two lines of small type and air [pt].
const LINK: f64 = 25.0;
/// Where the double line runs [pt].
const SPINE: f64 = 12.0;
/// Half the distance of its two lines [pt].
const HALF: f64 = 1.6;
/// Half the side of a device's box [pt].
const BOX: f64 = 6.5;
/// Where the names begin, and the words on how it stands [pt].
const NAMES: f64 = 30.0;
const STANDS: f64 = 318.0;

/// What a link of the chain is.
enum Link<'a> {
    Source,
    /// Something that does not open.
    Always,
    /// A device that is closed as the mode wants it.
    Closed,
    /// A device that stands wrong.
    Wrong(&'a Wrong),
}

/// The path of a meeting, with what stands wrong in its first witness.
pub(super) fn drawing(meeting: &MeetingOverview, mode: Option<&ModeOverview>) -> Drawing {
    let last = meeting.path.len().saturating_sub(1);
    let mut shapes = vec![];
    for line in [SPINE - HALF, SPINE + HALF] {
        let ends = [point(line, LINK / 2.0), point(line, LINK * (last as f64 + 0.5))];
        shapes.push(Shape::line(ends[0], ends[1], Stroke::ink(0.9)));
    }
    for (at, (item, name)) in meeting.path.iter().enumerate() {
        let link = if at == 0 || at == last { Link::Source } else { link(meeting, mode, item) };
        let middle = LINK * (at as f64 + 0.5);
        symbol(&mut shapes, &link, middle);
        words(&mut shapes, &link, name.to_string(), middle);
    }
    Drawing { width: Pt(WIDTH), height: Pt(LINK * meeting.path.len() as f64), shapes }
}

fn link<'a>(meeting: &'a MeetingOverview, mode: Option<&ModeOverview>, item: &Id) -> Link<'a> {
    let wrong = meeting.witnesses.first().into_iter().flatten().find(|wrong| wrong.stand.device == *item);
    let opens = || mode.is_some_and(|mode| mode.stands.iter().any(|stand| stand.device == *item));
    match wrong {
        Some(wrong) => Link::Wrong(wrong),
        None if opens() => Link::Closed,
        None => Link::Always,
    }
}

const fn point(x: f64, y: f64) -> Point {
    Point { x: Pt(x), y: Pt(y) }
}

fn symbol(shapes: &mut Vec<Shape>, link: &Link<'_>, middle: f64) {
    let square = Rect::new(Pt(SPINE - BOX), Pt(middle - BOX), Pt(BOX * 2.0), Pt(BOX * 2.0));
    match link {
        Link::Source => {
            let ring = Some(Stroke::ink(1.4));
            shapes.push(Shape::circle(point(SPINE, middle), Pt(BOX + 1.0), ring, Some(Colour::Paper)));
        }
        Link::Always => {}
        Link::Closed => {
            shapes.push(Shape::rect(square, Some(Stroke::ink(1.0)), Some(Colour::Paper)));
            shapes.push(Shape::line(
                point(SPINE, middle - BOX),
                point(SPINE, middle + BOX),
                Stroke::ink(1.6),
            ));
        }
        Link::Wrong(_) => {
            shapes.push(Shape::rect(square, Some(Stroke::ink(1.0)), Some(Colour::Ink)));
            let (arm, white) = (BOX - 2.2, Stroke::new(1.6, Colour::Paper));
            for slope in [1.0, -1.0] {
                let from = point(SPINE - arm, middle - arm * slope);
                let to = point(SPINE + arm, middle + arm * slope);
                shapes.push(Shape::line(from, to, white));
            }
        }
    }
}

fn words(shapes: &mut Vec<Shape>, link: &Link<'_>, name: String, middle: f64) {
    let weight = match link {
        Link::Source | Link::Wrong(_) => Weight::Bold,
        Link::Always | Link::Closed => Weight::Regular,
    };
    let stands = match link {
        Link::Source => "source".to_owned(),
        Link::Always => "always joined".to_owned(),
        Link::Closed => "closed in this mode".to_owned(),
        Link::Wrong(wrong) => {
            say!("WRONG: {}; should be {}", wrong.stand.position.clone(), wrong.should_be_words.clone())
                .to_string()
        }
    };
    let mut label = |from: f64, to: f64, text: String| {
        let rect = Rect::new(Pt(from), Pt(middle - LINK / 2.0), Pt(to - from), Pt(LINK));
        shapes.push(Shape::label(rect, text, weight, Align::Left));
    };
    label(NAMES, STANDS - 8.0, name);
    label(STANDS, WIDTH, stands);
}
