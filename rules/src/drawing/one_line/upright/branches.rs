//! The wires beside a panel and the boxes at their ends: to the right while there is room, then below.

use super::super::Drawing;
use super::super::graph::{End, Key, Kind};
use super::super::{mark_width, narrow_mark};
use super::told::Told;
use super::tree::Branch;
use super::{ENTRY, GAP};
use crate::drawing::canvas::Style;
use crate::drawing::mark::Mark;
use crate::drawing::scene::{Paint, Rect, TextSize};
use crate::drawing::words::{method_and_length, wire};

/// Height of a line of words [units].
const LINE: f32 = TextSize::Small.line();
/// From the start of a wire to its words [units].
const BEFORE: f32 = 14.0;
/// Least room for a box beside its wire [units].
const LEAST_BOX: f32 = 170.0;
/// From the left edge of a box to the wires below it [units].
const TRUNK: f32 = 14.0;
/// From there to the box below [units].
const STEP: f32 = 18.0;

/// Draws branches, or only measures them.
pub(super) struct Pen<'d, 'a> {
    pub(super) drawing: &'d mut Drawing<'a>,
    /// Right edge of the page [units].
    pub(super) right: f32,
    pub(super) draws: bool,
}

/// What is said of a run.
struct Words {
    id: String,
    at: String,
    mark: Option<Mark>,
    lines: Vec<String>,
}

/// Where a wire begins, where its words do, and where its box stands.
#[derive(Clone, Copy)]
struct Way {
    from: f32,
    words: f32,
    to: f32,
    y: f32,
}

impl Pen<'_, '_> {
    /// Branches of one terminal, one below the other. The wires begin at `from`, their words at `words`, the boxes
    /// stand at `to`; returns the lower edge.
    pub(super) fn stack(&mut self, branches: &[&Branch], from: f32, words: f32, to: f32, y: f32) -> f32 {
        let (mut bottom, mut last) = (y, y);
        for (at, branch) in branches.iter().enumerate() {
            let own = if at == 0 { y } else { bottom + GAP + ENTRY };
            if self.draws && at > 0 {
                let stroke = self.drawing.sheet.wire(self.run(branch));
                self.drawing.canvas.line(&[(from, last), (from, own)], stroke);
            }
            bottom = self.branch(branch, Way { from, words, to, y: own });
            last = own;
        }
        bottom
    }

    /// The run of a branch.
    fn run(&self, branch: &Branch) -> usize {
        self.drawing.plan.graph.edges[branch.edge].run
    }

    /// Width of the words of a run beside its wire [units].
    pub(super) fn beside(&self, branch: &Branch, most: f32) -> f32 {
        let words = self.words(branch, most);
        let letters = &self.drawing.sheet.letters;
        let small = |text: &str, strong| letters.width(text, TextSize::Small, strong);
        let mark = words.mark.map_or(0.0, |mark| mark_width(letters, mark));
        let head = small(&words.id, true) + small(&words.at, false) + mark + 12.0;
        let lines = words.lines.iter().map(|line| small(line, false));
        (lines.fold(head, f32::max) + 2.0 * BEFORE).min(most.max(head + 2.0 * BEFORE))
    }

    fn words(&self, branch: &Branch, room: f32) -> Words {
        let (sheet, run) = (&self.drawing.sheet, self.run(branch));
        let (letters, item) = (sheet.letters, &sheet.house.survey.runs[run]);
        let told = [wire(item, &letters), method_and_length(item, &letters)];
        let told: Vec<String> = told.into_iter().filter(|line| !line.is_empty()).collect();
        let whole = told.join(" · ");
        let fits = letters.width(&whole, TextSize::Small, false) <= room - 2.0 * BEFORE;
        let positions = [branch.near, branch.far].map(|end| self.position(end));
        Words {
            id: item.id.to_string(),
            at: positions.into_iter().flatten().collect::<Vec<_>>().join(", "),
            mark: sheet.marks.get(&item.id).copied().filter(|mark| *mark != Mark::Meets),
            lines: if fits { vec![whole] } else { told },
        }
    }

    /// The position of a transfer switch at which a wire ends.
    fn position(&self, end: End) -> Option<String> {
        match (self.drawing.plan.graph.nodes[end.node], end.key) {
            (Kind::Transfer(at), Key::Position(position)) => {
                let positions = &self.drawing.sheet.house.survey.transfers[at].positions;
                positions.get(position).map(|position| position.name.clone())
            }
            _ => None,
        }
    }

    /// A wire with its words, its box, and what goes on from there; returns the lower edge.
    fn branch(&mut self, branch: &Branch, way: Way) -> f32 {
        let Way { from, words: x, to, y } = way;
        let run = self.run(branch);
        let words = self.words(branch, to - x + BEFORE);
        let told = Told::of(self.drawing, branch, self.right - to);
        let frame = Rect::new(to, y - told.entry(), told.width, told.height);
        if self.draws {
            let stroke = self.drawing.sheet.wire(run);
            self.drawing.canvas.line(&[(from, y), (to, y)], stroke);
            let room = to - x - 4.0;
            self.write_head(&words, x, y - LINE - 2.0, room);
            let row = Rect::new(x, y + 2.0, room, LINE);
            self.drawing.canvas.lines(row, Style::SMALL, &words.lines);
            self.place_run(run, Rect::new(from, y - ENTRY, to - from, 2.0 * ENTRY));
            self.put(&told, frame, run);
        }
        let told_below = y + 4.0 + words.lines.len() as f32 * LINE;
        self.children(branch, frame, told.is_dot(), y, told_below.max(frame.bottom()))
    }

    fn put(&mut self, told: &Told, frame: Rect, run: usize) {
        if self.draws {
            told.draw(self.drawing, frame, run);
        }
    }

    fn place_run(&mut self, run: usize, rect: Rect) {
        let id = self.drawing.sheet.house.survey.runs[run].id.clone();
        let placed = self.drawing.canvas.scene.places.iter().any(|place| place.item == id);
        if !placed {
            self.drawing.canvas.place(&id, rect);
        }
    }

    /// Id, position and verdict of a run in a line; returns their width.
    fn write_head(&mut self, words: &Words, x: f32, y: f32, room: f32) {
        let canvas = &mut self.drawing.canvas;
        let row = Rect::new(x, y, room, LINE);
        let mut width = canvas.text(row, Style::SMALL.bold().in_paint(Paint::Ink), &words.id) + 6.0;
        if !words.at.is_empty() {
            let rest = Rect::new(x + width, y, (room - width).max(0.0), LINE);
            width += canvas.text(rest, Style::SMALL.in_paint(Paint::Ink), &words.at) + 6.0;
        }
        if let Some(mark) = words.mark {
            narrow_mark(canvas, mark, x + width, y + LINE / 2.0 - 1.0);
        }
    }

    /// What goes on from a box: the only wire to the right where it has room, everything else below.
    fn children(&mut self, branch: &Branch, frame: Rect, dot: bool, y: f32, bottom: f32) -> f32 {
        if let [only] = &branch.children[..] {
            let words = self.beside(only, 150.0);
            if frame.right() + words + LEAST_BOX <= self.right {
                let from = if dot { frame.centre().x } else { frame.right() };
                let to = frame.right() + words;
                let way = Way { from, words: frame.right() + BEFORE, to, y };
                return bottom.max(self.branch(only, way));
            }
        }
        let (mut bottom, count) = (bottom, branch.children.len());
        for (at, child) in branch.children.iter().enumerate() {
            // Each wire has its own way down, so that contacts of a switch are not joined; the first is the outermost.
            let trunk =
                if dot { frame.centre().x } else { frame.x + TRUNK + (count - 1 - at) as f32 * TRUNK };
            let start = if dot { y } else { frame.bottom() };
            let left = frame.x + TRUNK * count as f32 + STEP;
            bottom = self.below(child, (trunk, start), left, bottom);
        }
        bottom
    }

    /// A box below another, its wire down and in from the left, its words above it.
    fn below(&mut self, branch: &Branch, (trunk, start): (f32, f32), left: f32, above: f32) -> f32 {
        let run = self.run(branch);
        let room = (self.right - left).max(120.0);
        let words = self.words(branch, room);
        let told = Told::of(self.drawing, branch, room);
        let top = above + 8.0 + (1 + words.lines.len()) as f32 * LINE;
        let frame = Rect::new(left, top, told.width, told.height);
        let y = top + told.entry();
        if self.draws {
            let stroke = self.drawing.sheet.wire(run);
            self.drawing.canvas.line(&[(trunk, start), (trunk, y), (left, y)], stroke);
            self.write_head(&words, left, above + 6.0, room);
            let row = Rect::new(left, above + 6.0 + LINE, room, LINE);
            self.drawing.canvas.lines(row, Style::SMALL, &words.lines);
            self.place_run(run, Rect::new(trunk, above, room, top - above));
            self.put(&told, frame, run);
        }
        self.children(branch, frame, told.is_dot(), y, frame.bottom())
    }
}
