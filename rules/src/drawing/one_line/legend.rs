//! The symbols of a one-line with their trade names.

use std::collections::BTreeSet;

use super::symbols::{self, Symbol};
use crate::drawing::canvas::{Canvas, Style};
use crate::drawing::letters::Letters;
use crate::drawing::mark::Mark;
use crate::drawing::path::PathShape;
use crate::drawing::scene::{Dash, Paint, Point, Rect, Scene, Stroke, TextSize, Weight};

/// Width of an entry [units].
const ENTRY: f32 = 330.0;
/// Height of an entry [units].
const ROW: f32 = 64.0;
/// Width of a symbol [units].
const SYMBOL: f32 = 76.0;
/// Edge around the legend [units].
const EDGE: f32 = 16.0;
/// Entries beside each other.
const COLUMNS: usize = 3;

/// What a legend explains.
enum Entry {
    Symbol(Symbol),
    CannotTell,
    Meets,
}

/// Draws the legend.
pub(super) fn draw(used: &BTreeSet<Symbol>, letters: Letters<'_>) -> Scene {
    let mut canvas = Canvas::new(letters);
    let symbols = Symbol::ALL.iter().copied().filter(|symbol| used.contains(symbol)).map(Entry::Symbol);
    let shown: Vec<Entry> = symbols.chain([Entry::CannotTell, Entry::Meets]).collect();
    let rows = shown.len().div_ceil(COLUMNS).max(1);
    for (at, shown) in shown.iter().enumerate() {
        let (column, row) = (at / rows, at % rows);
        let (x, y) = (EDGE + column as f32 * ENTRY, EDGE + row as f32 * ROW);
        let centre = Point::new(x + SYMBOL / 2.0, y + ROW / 2.0);
        let frame = Rect::new(x + SYMBOL + 8.0, y, ENTRY - SYMBOL - 16.0, ROW);
        let words = match shown {
            Entry::Symbol(symbol) => {
                entry(&mut canvas, *symbol, centre);
                symbol.words()
            }
            Entry::CannotTell => {
                canvas.mark_shape(Mark::CannotTell, centre.x - 8.0, centre.y - 8.0, 16.0, false);
                "cannot tell: a fact is missing"
            }
            Entry::Meets => {
                canvas.mark_shape(Mark::Meets, centre.x - 8.0, centre.y - 8.0, 16.0, false);
                "meets every check"
            }
        };
        let words = letters.word(words);
        let lines = letters.wrapped(&words, TextSize::Small, false, frame.width, 2);
        let line = TextSize::Small.line();
        let top = frame.centre().y - lines.len() as f32 * line / 2.0;
        let rows = Rect { y: top, height: line, ..frame };
        canvas.lines(rows, Style::SMALL.in_paint(Paint::Ink), &lines);
    }
    let width = 2.0 * EDGE + COLUMNS as f32 * ENTRY;
    canvas.finish(width, 2.0 * EDGE + rows as f32 * ROW)
}

fn entry(canvas: &mut Canvas<'_>, symbol: Symbol, centre: Point) {
    let Point { x, y } = centre;
    match symbol {
        Symbol::Breaker
        | Symbol::Fuse
        | Symbol::PullOut
        | Symbol::Switch
        | Symbol::FusedSwitch
        | Symbol::UnknownDevice => symbols::device(canvas, symbol, centre, false, Stroke::INK),
        Symbol::Bus => canvas.line(&[(x - 32.0, y), (x + 32.0, y)], Stroke::new(Paint::Ink, Weight::Bus)),
        Symbol::Earth => symbols::earth(canvas, x, y, Stroke::INK),
        Symbol::Bond | Symbol::BondUnknown => symbols::bond(canvas, x, y, symbol == Symbol::Bond),
        Symbol::Interlock | Symbol::Label => {
            let ties = symbol == Symbol::Interlock;
            let link = Stroke::INK.dashed(if ties { Dash::Dashed } else { Dash::Dotted });
            canvas.line(
                &[(x - 26.0, y + 12.0), (x - 26.0, y - 10.0), (x + 26.0, y - 10.0), (x + 26.0, y + 12.0)],
                link,
            );
        }
        Symbol::Planned => canvas.line(&[(x - 30.0, y), (x + 30.0, y)], Stroke::INK.dashed(Dash::Dashed)),
        Symbol::Hop => {
            canvas.line(&[(x, y - 22.0), (x, y + 22.0)], Stroke::INK);
            let path = PathShape::from(x - 28.0, y).line(x - 5.0, y).half_turn(x + 5.0, y, -5.0);
            canvas.path(path.line(x + 28.0, y), Some(Stroke::INK), None);
        }
        Symbol::Transfer => symbols::transfer(canvas, x, y),
        Symbol::List => {
            let body = Rect::new(x - 26.0, y - 14.0, 52.0, 34.0);
            canvas.line(&[(x - 16.0, y - 26.0), (x - 16.0, y - 14.0)], Stroke::INK);
            canvas.rect(body, 3.0, Some(Stroke::new(Paint::Ink, Weight::Hair)), Some(Paint::Paper));
            for row in 1..3 {
                let y = body.y + row as f32 * body.height / 3.0;
                canvas.line(&[(body.x, y), (body.right(), y)], Stroke::HAIR);
            }
        }
        _ => symbols::source(canvas, symbol, x, y, Stroke::INK),
    }
}
