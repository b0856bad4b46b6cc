//! The head of a face: name, place, verdict, main and feed; and its foot.

use super::super::canvas::{Canvas, Style};
use super::super::names::{fed_by_run, run_name};
use super::super::scene::{Anchor, Dash, Paint, Rect, Stroke, TextSize, Weight};
use super::super::words::{unknown, wire_and_method};
use super::{Face, Look, device};
use crate::finding::Arg;
use crate::say;
use crate::survey::{Bus, DeviceKind, Fact};

/// Draws the head over a width; returns where the ways begin.
pub(super) fn draw(face: &Face<'_>, canvas: &mut Canvas<'_>, width: f32) -> f32 {
    let panel = face.panel;
    let Look { paper, edge, main: main_height, .. } = face.look;
    let inner = width - 2.0 * edge;
    let mut y = edge;
    let mut room = inner;
    if let Some(mark) = face.worst() {
        room -= canvas.plate(mark, width - edge, y + TextSize::Large.line() / 2.0) + 12.0;
    }
    if !paper {
        let name = if panel.name.is_empty() { panel.id.as_str() } else { panel.name.as_str() };
        canvas.text(Rect::new(edge, y, room, TextSize::Large.line()), Style::TITLE, name);
        y += TextSize::Large.line();
        room = inner;
    }
    for line in [kind_line(face, canvas), facts_line(face, canvas)] {
        canvas.text(Rect::new(edge, y, room, TextSize::Small.line()), Style::SMALL, &line);
        y += TextSize::Small.line();
    }
    // The feed comes in from above.
    y += 12.0;
    let id = &panel.id;
    canvas.scene.hits.push(super::super::scene::Hit {
        item: id.clone(),
        rect: Rect::new(edge, edge, inner, y - edge).at_least(super::super::canvas::TARGET),
    });
    main(face, canvas, Rect::new(edge, y, inner, main_height));
    y + main_height
}

/// Kind and place.
fn kind_line(face: &Face<'_>, canvas: &Canvas<'_>) -> String {
    let (panel, letters) = (face.panel, &canvas.letters);
    let kind = match panel.kind.get() {
        Some(kind) => letters.word(kind.words()),
        None => letters.say(&say!("kind {}", Arg::Word(unknown(&panel.kind)))),
    };
    let room = match panel.room.get() {
        Some(room) => letters.word(room.words()),
        None => letters.say(&say!("place {}", Arg::Word(unknown(&panel.room)))),
    };
    let mut parts = vec![kind, room];
    if panel.service_equipment.get() == Some(true) {
        parts.push(letters.word("service equipment"));
    }
    parts.join(" · ")
}

/// Rating of the bus, and where the neutral is joined to ground.
fn facts_line(face: &Face<'_>, canvas: &Canvas<'_>) -> String {
    let (panel, letters) = (face.panel, &canvas.letters);
    let mut parts = Vec::new();
    if let [bus] = &panel.buses[..] {
        parts.push(bus_rating(bus, canvas));
    }
    parts.push(match panel.neutral_bond {
        Fact::Known(true) => letters.word("neutral and enclosure joined here"),
        Fact::Known(false) => letters.word("neutral and enclosure not joined here"),
        ref fact => letters.say(&say!("joint of neutral and enclosure {}", Arg::Word(unknown(fact)))),
    });
    parts.join(" · ")
}

/// `bus 200 A`.
pub(super) fn bus_rating(bus: &Bus, canvas: &Canvas<'_>) -> String {
    let letters = &canvas.letters;
    match bus.rating.known() {
        Some(rating) => letters.say(&say!("bus {}", rating.text().to_owned())),
        None => letters.say(&say!("bus rating {}", Arg::Word(unknown(&bus.rating)))),
    }
}

/// A section's name, rating and what feeds it.
pub(super) fn section_title(face: &Face<'_>, bus: &Bus, canvas: &Canvas<'_>) -> String {
    let letters = &canvas.letters;
    let mut parts = Vec::new();
    if !bus.name.is_empty() {
        parts.push(bus.name.clone());
    }
    parts.push(bus_rating(bus, canvas));
    if let Some(fed_by) = &bus.fed_by {
        let way = face.panel.ways.iter().find(|way| way.id == *fed_by);
        let number = way.map_or_else(|| fed_by.to_string(), crate::survey::Way::number);
        parts.push(letters.say(&say!("fed by way {}", number)));
    }
    parts.join(" · ")
}

/// The main with the feed above it and the bus below it.
fn main(face: &Face<'_>, canvas: &mut Canvas<'_>, frame: Rect) {
    let panel = face.panel;
    let body_width = 190.0_f32.min(frame.width * 0.3);
    let body =
        Rect::new(frame.centre().x - body_width / 2.0, frame.y + 12.0, body_width, frame.height - 24.0);
    let feed = Stroke::new(Paint::Ink, Weight::Strong);
    canvas.line(&[(body.centre().x, frame.y - 12.0), (body.centre().x, frame.bottom())], feed);
    if panel.main.kind.get() == Some(DeviceKind::Lugs) {
        canvas.rect(body, 4.0, Some(Stroke::HAIR), Some(Paint::Paper));
    }
    device::draw_main(canvas, body, &panel.main);
    canvas.place(&panel.id, frame);
    let side = Rect::new(frame.x + 12.0, body.y, body.x - frame.x - 24.0, body.height);
    let title = canvas.letters.word("Main");
    lines_beside(canvas, side, &title, &[main_words(face, canvas)]);
    let side = Rect::new(body.right() + 12.0, body.y, frame.right() - body.right() - 24.0, body.height);
    let title = canvas.letters.word("Fed by");
    let words = feed_words(face, canvas);
    lines_beside(canvas, side, &title, &words);
}

fn lines_beside(canvas: &mut Canvas<'_>, frame: Rect, title: &str, words: &[String]) {
    let (head, line) = (TextSize::Body.line(), TextSize::Small.line());
    let mut lines: Vec<String> = Vec::new();
    for text in words {
        let most = if words.len() > 1 { 1 } else { 2 };
        lines.extend(canvas.letters.wrapped(text, TextSize::Small, false, frame.width, most));
    }
    lines.truncate(2);
    let height = head + line * lines.len() as f32;
    let y = frame.y + (frame.height - height) / 2.0;
    canvas.text(Rect::new(frame.x, y, frame.width, head), Style::BODY.bold(), title);
    canvas.lines(Rect::new(frame.x, y + head, frame.width, line), Style::SMALL, &lines);
}

fn main_words(face: &Face<'_>, canvas: &Canvas<'_>) -> String {
    let (main, letters) = (&face.panel.main, &canvas.letters);
    match main.kind.get() {
        Some(DeviceKind::Lugs) => letters.word("none: incoming lugs only"),
        Some(kind) => {
            let kind = letters.word(kind.words());
            match main.poles.get() {
                Some(poles) => letters.say(&say!("{}, {} poles", kind, poles)),
                None => kind,
            }
        }
        None => letters.word(unknown(&main.kind)),
    }
}

fn feed_words(face: &Face<'_>, canvas: &Canvas<'_>) -> Vec<String> {
    let (house, letters) = (face.house, &canvas.letters);
    let runs = face.ending_at(&face.panel.id);
    match runs {
        [] => vec![letters.word("no feeder entered")],
        [run] => {
            let run = &house.survey.runs[*run];
            vec![run_name(run), wire_and_method(run, letters)]
        }
        several => several.iter().map(|run| run_name(&house.survey.runs[*run])).collect(),
    }
}

/// A line across that names what follows.
pub(super) fn strip(canvas: &mut Canvas<'_>, frame: Rect, text: &str) {
    canvas.rect(frame, 0.0, Some(Stroke::HAIR), Some(Paint::Tint));
    let inner = Rect::new(frame.x + 10.0, frame.y, frame.width - 20.0, frame.height);
    canvas.text(inner, Style::SMALL.bold().in_paint(Paint::Ink), text);
}

/// Feed-through lugs and other runs that begin at the panel itself; returns where they end.
pub(super) fn foot(face: &Face<'_>, canvas: &mut Canvas<'_>, x: f32, y: f32, width: f32) -> f32 {
    let house = face.house;
    let through: Vec<usize> =
        house.runs().filter(|(_, run)| run.from == face.panel.id).map(|(at, _)| at).collect();
    let mut y = y;
    for run in through {
        let letters = &canvas.letters;
        let fed = fed_by_run(house, run, letters);
        let wire = wire_and_method(&house.survey.runs[run], letters);
        let text = letters.say(&say!("Feed-through lugs to {} ({})", fed, wire));
        let frame = Rect::new(x, y, width, 30.0);
        canvas.rect(frame, 0.0, Some(Stroke::HAIR), None);
        let inner = Rect::new(x + 10.0, y, width - 20.0, 30.0);
        canvas.text(inner, Style::SMALL.at(Anchor::Start), &text);
        canvas.place(&house.survey.runs[run].id, frame);
        y += 30.0;
    }
    y
}

/// The frame of the enclosure.
pub(super) fn enclosure(canvas: &mut Canvas<'_>, rect: Rect) {
    canvas.rect(rect, super::super::canvas::CORNER, Some(Stroke::INK), None);
}

/// A space of which nothing was entered.
pub(super) fn blank(canvas: &mut Canvas<'_>, frame: Rect, text: &str) {
    let inner = frame.inset(5.0);
    canvas.rect(inner, 3.0, Some(Stroke::HAIR.dashed(Dash::Dotted)), None);
    canvas.text(inner, Style::SMALL.at(Anchor::Middle), text);
}
