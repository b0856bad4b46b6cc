//! What stands beside a device on paper: every text whole, the verdict clear of all of them.

use super::super::canvas::{Canvas, PLATE, Style};
use super::super::scene::{Paint, Rect, TextSize};
use super::cell::Words;

/// Height of a line of words [units].
const LINE: f32 = TextSize::Small.line();
/// Height of the line of the verdict [units].
const LAST: f32 = PLATE + 2.0;
/// Above and below the words [units].
const PAD: f32 = 2.0;

/// The words in lines of a width.
struct Lines {
    title: Vec<String>,
    feeds: Vec<String>,
    /// The wire, in a line of its own where the verdict leaves it no room.
    wire: Vec<String>,
    beside: bool,
}

impl Lines {
    fn of(canvas: &Canvas<'_>, words: &Words, width: f32) -> Self {
        let letters = &canvas.letters;
        let wrapped = |text: &str, strong| {
            let mut lines = letters.wrapped(text, TextSize::Small, strong, width, usize::MAX);
            lines.retain(|line| !line.is_empty());
            lines
        };
        let plate = words.mark.map_or(0.0, |mark| canvas.plate_width(mark) + 8.0);
        let [full, short] = &words.wire;
        let fits = |text: &&String| letters.width(text, TextSize::Small, false) <= width - plate;
        let beside = [full, short].into_iter().find(fits);
        Self {
            title: wrapped(&words.title, true),
            feeds: wrapped(&words.feeds, false),
            wire: beside.map_or_else(|| wrapped(full, false), |line| vec![line.clone()]),
            beside: beside.is_some(),
        }
    }

    fn height(&self, words: &Words, feeds: bool) -> f32 {
        let above = self.title.len() + if feeds { self.feeds.len() } else { 0 };
        let wire = if self.beside { 0.0 } else { self.wire.len() as f32 * LINE };
        let last =
            if words.mark.is_some() || (self.beside && !words.wire[0].is_empty()) { LAST } else { 0.0 };
        above as f32 * LINE + wire + last + 2.0 * PAD
    }
}

/// The height that the words need in this width; `feeds` where what the survey says of the way stands there too.
pub(super) fn height(canvas: &Canvas<'_>, words: &Words, width: f32, feeds: bool) -> f32 {
    Lines::of(canvas, words, width).height(words, feeds)
}

pub(super) fn write(canvas: &mut Canvas<'_>, frame: Rect, words: &Words) {
    let lines = Lines::of(canvas, words, frame.width);
    let feeds = lines.height(words, true) <= frame.height + 0.5;
    let height = lines.height(words, feeds);
    let mut row = Rect { y: frame.y + (frame.height - height).max(0.0) / 2.0 + PAD, height: LINE, ..frame };
    row.y += canvas.lines(row, Style::SMALL.bold().in_paint(Paint::Ink), &lines.title);
    if feeds {
        row.y += canvas.lines(row, Style::SMALL.in_paint(Paint::Ink), &lines.feeds);
    }
    let last = Rect { y: row.y + if lines.beside { (LAST - LINE) / 2.0 } else { 0.0 }, ..row };
    let wire = canvas.lines(last, Style::SMALL, &lines.wire);
    if let Some(mark) = words.mark {
        let top = if lines.beside { row.y } else { row.y + wire };
        canvas.plate(mark, frame.right(), top + LAST / 2.0);
    }
}
