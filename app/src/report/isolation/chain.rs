//! The way from one source to the other as a vertical strip: boxes on a double line, from top to bottom.

use deadfront_rules::finding::Said;
use deadfront_rules::isolation::overview::{ModeOverview, Wrong};
use deadfront_rules::say;
use deadfront_rules::survey::Id;
use deadfront_rules::words::word;

use crate::paper::{
    Align, Colour, Drawing, Point, Pt, Rect, Shape, Stroke, Text, TextSize, Weight, line_count,
};

/// Width of the strip [pt]; no wider than the text of either sheet.
const WIDTH: f64 = 480.0;
/// Least height of one link: two lines of small type and air [pt].
const LINK: f64 = 25.0;
/// Air above and below the lines of a link [pt].
const AIR: f64 = 3.0;
/// Greatest height of one strip [pt]; what is longer goes on in a strip of its own.
const HIGHEST: f64 = 480.0;
/// Where the double line runs [pt].
const SPINE: f64 = 12.0;
/// Half the distance of its two lines [pt].
const HALF: f64 = 1.6;
/// Half the side of a device's box [pt].
const BOX: f64 = 6.5;
/// From where to where the names stand, and the words on how it stands [pt].
const NAMES: (f64, f64) = (30.0, 310.0);
const STANDS: (f64, f64) = (318.0, WIDTH);

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

/// A link with its words and its height.
struct Laid<'a> {
    link: Link<'a>,
    name: Text,
    stands: Text,
    height: f64,
}

/// A way from one source to the other with what stands wrong on it: strips that follow each other.
pub(super) fn drawings(way: &[(Id, Said)], wrong: &[&Wrong], mode: Option<&ModeOverview>) -> Vec<Drawing> {
    let last = way.len().saturating_sub(1);
    let links: Vec<Laid<'_>> = way
        .iter()
        .enumerate()
        .map(|(at, (item, name))| {
            let link = if at == 0 || at == last { Link::Source } else { link(wrong, mode, item) };
            laid(link, name.to_string())
        })
        .collect();
    let parts = parted(&links);
    let count = parts.len();
    let ends = |at: usize| (at == 0, at + 1 == count);
    parts.into_iter().enumerate().map(|(at, links)| strip(links, ends(at))).collect()
}

/// Links by strips, none higher than a strip may be.
fn parted<'a, 'l>(links: &'l [Laid<'a>]) -> Vec<&'l [Laid<'a>]> {
    let (mut parts, mut from, mut height) = (Vec::new(), 0, 0.0);
    for (at, link) in links.iter().enumerate() {
        if at > from && height + link.height > HIGHEST {
            parts.push(&links[from..at]);
            (from, height) = (at, 0.0);
        }
        height += link.height;
    }
    parts.push(&links[from..]);
    parts
}

/// One strip. The double line begins at the first source and ends at the last; elsewhere it goes on.
fn strip(links: &[Laid<'_>], (begins, ends): (bool, bool)) -> Drawing {
    let height: f64 = links.iter().map(|link| link.height).sum();
    let half = |link: Option<&Laid<'_>>, is_end: bool| match link {
        Some(link) if is_end => link.height / 2.0,
        _ => 0.0,
    };
    let (top, bottom) = (half(links.first(), begins), height - half(links.last(), ends));
    let mut shapes: Vec<Shape> = [SPINE - HALF, SPINE + HALF]
        .map(|line| Shape::line(point(line, top), point(line, bottom), Stroke::ink(0.9)))
        .into();
    let mut y = 0.0;
    for one in links {
        symbol(&mut shapes, &one.link, y + one.height / 2.0);
        words(&mut shapes, one, y);
        y += one.height;
    }
    Drawing { width: Pt(WIDTH), height: Pt(height), shapes }
}

fn laid(link: Link<'_>, name: String) -> Laid<'_> {
    let weight = match link {
        Link::Source | Link::Wrong(_) => Weight::Bold,
        Link::Always | Link::Closed => Weight::Regular,
    };
    let name = Text::from(name).in_weight(weight);
    let stands = Text::from(stands(&link)).in_weight(weight);
    let lines = |text: &Text, (from, to): (f64, f64)| line_count(text, TextSize::Small, Pt(to - from));
    let lines = lines(&name, NAMES).max(lines(&stands, STANDS)) as f64;
    let height = (TextSize::Small.leading().0 * lines + AIR).max(LINK);
    Laid { link, name, stands, height }
}

fn link<'a>(wrong: &[&'a Wrong], mode: Option<&ModeOverview>, item: &Id) -> Link<'a> {
    let wrong = wrong.iter().find(|wrong| wrong.stand.device == *item);
    let opens = || mode.is_some_and(|mode| mode.stands.iter().any(|stand| stand.device == *item));
    match wrong {
        Some(wrong) => Link::Wrong(wrong),
        None if opens() => Link::Closed,
        None => Link::Always,
    }
}

fn stands(link: &Link<'_>) -> String {
    match link {
        Link::Source => word("source").to_owned(),
        Link::Always => word("always joined").to_owned(),
        Link::Closed => word("closed in this mode").to_owned(),
        Link::Wrong(wrong) => {
            say!("WRONG: {}; should be {}", wrong.stand.position.clone(), wrong.should_be_words.clone())
                .to_string()
        }
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

fn words(shapes: &mut Vec<Shape>, one: &Laid<'_>, top: f64) {
    for ((from, to), text) in [(NAMES, &one.name), (STANDS, &one.stands)] {
        let rect = Rect::new(Pt(from), Pt(top), Pt(to - from), Pt(one.height));
        shapes.push(Shape::Text { rect, text: text.clone(), size: TextSize::Small, align: Align::Left });
    }
}
