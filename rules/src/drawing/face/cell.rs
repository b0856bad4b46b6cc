//! What stands beside a device: number, what it feeds, wire, verdict.

use super::super::canvas::{Canvas, Style};
use super::super::mark::Mark;
use super::super::names::{fed_by_run, name, run_name};
use super::super::path::PathShape;
use super::super::scene::{Paint, Rect, TextSize};
use super::super::words::{unknown, wire, wire_and_method};
use super::{Face, Look, whole};
use crate::say;
use crate::survey::{DeviceKind, Way};

/// The words of a way.
pub(super) struct Words {
    pub(super) number: String,
    /// What it feeds, as the directory says; without one, as the survey says.
    pub(super) title: String,
    /// Its wire, empty where none begins or ends here: in full, and without the wiring method.
    pub(super) wire: [String; 2],
    /// What it feeds as surveyed, where the directory says something else.
    pub(super) feeds: String,
    /// Whether it brings power in.
    pub(super) inward: bool,
    pub(super) mark: Option<Mark>,
}

impl Words {
    pub(super) fn of(face: &Face<'_>, at: usize, way: &Way, canvas: &Canvas<'_>) -> Self {
        let (house, letters) = (face.house, &canvas.letters);
        let ending = face.ending_at(&way.id);
        let leaving: Vec<usize> = face.leaving(at).collect();
        let fed = fed(face, way, &leaving, ending, canvas);
        let wires = ending.iter().chain(&leaving).map(|run| &house.survey.runs[*run]);
        let (full, short): (Vec<String>, Vec<String>) =
            wires.map(|run| (wire_and_method(run, letters), wire(run, letters))).unzip();
        let (title, feeds) = match (way.label.trim(), fed) {
            ("", fed) if !fed.is_empty() => (fed, String::new()),
            ("", _) => (nothing(way, canvas), String::new()),
            (label, fed) if label == fed => (label.to_owned(), String::new()),
            (label, fed) => (label.to_owned(), fed),
        };
        Self {
            number: if way.spaces.is_empty() { String::new() } else { way.number() },
            title,
            wire: [full.join(" + "), short.join(" + ")],
            feeds,
            inward: !ending.is_empty(),
            mark: face.mark_of(way),
        }
    }
}

/// What a way feeds, or is fed by, as surveyed.
fn fed(face: &Face<'_>, way: &Way, leaving: &[usize], ending: &[usize], canvas: &Canvas<'_>) -> String {
    let (house, letters) = (face.house, &canvas.letters);
    let from = |run: &usize| {
        let run = &house.survey.runs[*run];
        letters.say(&say!("fed from {}", name(house, &run.from, letters)))
    };
    let sections = face.panel.buses.iter().filter(|bus| bus.fed_by.as_ref() == Some(&way.id));
    let sections =
        sections.map(|bus| if bus.name.is_empty() { bus.id.to_string() } else { bus.name.clone() });
    let feeds = leaving.iter().map(|run| {
        let fed = fed_by_run(house, *run, letters);
        if fed.is_empty() { run_name(&house.survey.runs[*run]) } else { fed }
    });
    ending.iter().map(from).chain(sections).chain(feeds).collect::<Vec<_>>().join(", ")
}

/// What is said of a way with no label and no wire.
fn nothing(way: &Way, canvas: &Canvas<'_>) -> String {
    let letters = &canvas.letters;
    match way.device.kind.get() {
        Some(DeviceKind::Spare) => letters.word("spare, nothing connected"),
        Some(_) => letters.word("no label, no wire entered"),
        None => letters.say(&say!("device {}", crate::finding::Arg::Word(unknown(&way.device.kind)))),
    }
}

/// Room that a cell needs for one more line, besides its two [units].
const ONE_MORE: f32 = 74.0;
/// Room for two more [units].
const TWO_MORE: f32 = 96.0;

/// Writes the words into a box, the verdict at its lower right.
pub(super) fn write(canvas: &mut Canvas<'_>, frame: Rect, words: &Words, look: Look) {
    if look.paper {
        whole::write(canvas, frame, words);
    } else {
        fitted(canvas, frame, words);
    }
}

/// For the screen: what has no room is cut.
fn fitted(canvas: &mut Canvas<'_>, frame: Rect, words: &Words) {
    let (title_line, line) = (TextSize::Body.line(), TextSize::Small.line());
    let plate_room = words.mark.map_or(0.0, |mark| canvas.plate_width(mark) + 8.0);
    let feeds = !words.feeds.is_empty() && frame.height >= ONE_MORE;
    let room_for_two = frame.height >= if feeds { TWO_MORE } else { ONE_MORE };
    let most = if room_for_two { 2 } else { 1 };
    let title = canvas.letters.wrapped(&words.title, TextSize::Body, false, frame.width, most);
    let last = line + 3.0;
    let height = title_line * title.len() as f32 + if feeds { line } else { 0.0 } + last;
    let mut y = frame.y + (frame.height - height) / 2.0;
    y += canvas.lines(Rect::new(frame.x, y, frame.width, title_line), Style::BODY, &title);
    if feeds {
        canvas.text(Rect::new(frame.x, y, frame.width, line), Style::SMALL, &words.feeds);
        y += line;
    }
    let [full, short] = &words.wire;
    let wire_room = frame.width - plate_room;
    let fits = canvas.letters.width(full, TextSize::Small, false) <= wire_room;
    canvas.text(Rect::new(frame.x, y, wire_room, last), Style::SMALL, if fits { full } else { short });
    if let Some(mark) = words.mark {
        canvas.plate(mark, frame.right(), y + last / 2.0 + 1.0);
    }
}

/// An arrow head that points to the bus: power comes in here.
pub(super) fn arrow(canvas: &mut Canvas<'_>, x: f32, y: f32, to_the_right: bool) {
    let tip = if to_the_right { x + 12.0 } else { x - 12.0 };
    let head = PathShape::from(x, y - 8.0).line(tip, y).line(x, y + 8.0).close();
    canvas.path(head, None, Some(Paint::Accent));
}
