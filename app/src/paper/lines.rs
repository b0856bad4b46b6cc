//! Breaks text into lines of a width.

use std::borrow::Cow;
use std::collections::BTreeMap;

use unicode_linebreak::{BreakOpportunity, linebreaks};

use super::document::Align;
use super::faces::{ASCENT, DESCENT, Drawn, Faces, REPLACEMENT};
use super::laid::{Item, ItemKind, Role, TextRun};
use super::span::{Span, Text};
use super::tokens::{Colour, HAIRLINE, TextSize};
use super::units::{Point, Pt, Rect};

/// A line with its runs.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Line {
    pieces: Vec<Piece>,
    pub(super) width: Pt,
}

/// A run of characters in one face and style.
#[derive(Debug, Clone, PartialEq)]
struct Piece {
    run: TextRun,
    width: Pt,
    link: Option<String>,
}

/// A character before it has a line.
struct Glyph {
    drawn: Drawn,
    span: usize,
    /// The character that had to be replaced.
    replaced: Option<char>,
}

/// The numbers of pages that [`Span::page_of`] prints, by anchor.
pub(super) type PageNumbers = BTreeMap<String, usize>;

/// Breaks text into lines no wider than `width`; empty text and mere spaces have no lines.
pub(super) fn wrap(text: &Text, size: TextSize, width: Pt, pages: &PageNumbers) -> Vec<Line> {
    let spans = with_page_numbers(text, pages);
    let glyphs = glyphs_of(&spans);
    if glyphs.iter().all(|glyph| glyph.drawn.character == ' ') {
        return Vec::new();
    }
    // The slack lets text of exactly this width pass in spite of rounding.
    let limit = width.0 * 1000.0 / size.points().0 + 0.01;
    cut_points(&glyphs, limit)
        .into_iter()
        .map(|(from, to)| line_of(glyphs.get(from..to).unwrap_or_default(), &spans, size))
        .collect()
}

/// Lines that a text takes in a width, with no page numbers in it; nothing takes none.
#[must_use]
pub fn line_count(text: &Text, size: TextSize, width: Pt) -> usize {
    wrap(text, size, width, &PageNumbers::new()).len()
}

/// Width of the text on one line.
pub(super) fn natural_width(text: &Text, size: TextSize, pages: &PageNumbers) -> Pt {
    let spans = with_page_numbers(text, pages);
    let glyphs = glyphs_of(&spans);
    let lines = glyphs.split(|glyph| glyph.drawn.character == '\n');
    let widest = lines.map(|line| width_of(trimmed(line))).fold(0.0, f64::max);
    size.points() * (widest / 1000.0)
}

/// Width of the longest word: a line narrower than this breaks it.
pub(super) fn widest_word(text: &Text, size: TextSize, pages: &PageNumbers) -> Pt {
    let spans = with_page_numbers(text, pages);
    let glyphs = glyphs_of(&spans);
    let words = glyphs.split(|glyph| matches!(glyph.drawn.character, ' ' | '\n'));
    size.points() * (words.map(width_of).fold(0.0, f64::max) / 1000.0)
}

/// Width of a text on one line as it is drawn [pt].
#[must_use]
pub fn text_width(text: &str, weight: super::span::Weight, size: TextSize) -> Pt {
    let span = Span { weight, ..Span::default() };
    let glyphs = text.chars().filter_map(printable).map(|character| glyph_of(character, 0, &span));
    let width: f64 = glyphs.map(|glyph| f64::from(glyph.drawn.advance)).sum();
    size.points() * (width / 1000.0)
}

/// One line, cut short with an ellipsis if it is too wide; says whether it was.
pub(super) fn single_line(text: &Text, size: TextSize, width: Pt) -> (Line, bool) {
    let pages = PageNumbers::new();
    let mut lines = wrap(text, size, width, &pages);
    if lines.len() <= 1 {
        return (lines.pop().unwrap_or_default(), false);
    }
    let Some(first) = lines.first() else {
        return (Line::default(), false);
    };
    (cut_short(first, size, width), true)
}

/// The line with an ellipsis at its end, and as many characters fewer as that takes.
pub(super) fn cut_short(line: &Line, size: TextSize, width: Pt) -> Line {
    let style = line.pieces.first().map(|piece| Span {
        colour: piece.run.colour,
        weight: weight_of(piece),
        ..Span::default()
    });
    let style = style.unwrap_or_default();
    let mut words: Vec<char> = line.pieces.iter().flat_map(|piece| piece.run.text.chars()).collect();
    loop {
        let text: String = words.iter().chain(std::iter::once(&'…')).collect();
        let span = Span { text: text.replace(' ', "\u{A0}"), ..style.clone() };
        let mut lines = wrap(&Text(vec![span]), size, width, &PageNumbers::new());
        if lines.len() <= 1 || words.pop().is_none() {
            return lines.pop().unwrap_or_default();
        }
    }
}

fn weight_of(piece: &Piece) -> super::span::Weight {
    use super::span::Weight;
    if piece.run.face == super::faces::FaceId::Bold { Weight::Bold } else { Weight::Regular }
}

/// Page numbers in place of the spans that ask for one.
fn with_page_numbers<'a>(text: &'a Text, pages: &PageNumbers) -> Cow<'a, [Span]> {
    if !text.0.iter().any(|span| span.page_number) {
        return Cow::Borrowed(&text.0);
    }
    let mut spans = text.0.clone();
    for span in spans.iter_mut().filter(|span| span.page_number) {
        let page = span.link.as_ref().and_then(|anchor| pages.get(anchor));
        // Two digits hold the place until the layout knows.
        span.text = page.map_or_else(|| "00".to_owned(), ToString::to_string);
    }
    Cow::Owned(spans)
}

fn glyphs_of(spans: &[Span]) -> Vec<Glyph> {
    let mut glyphs = Vec::new();
    for (index, span) in spans.iter().enumerate() {
        for character in span.text.chars().filter_map(printable) {
            glyphs.push(glyph_of(character, index, span));
        }
    }
    hold_units(&mut glyphs);
    glyphs
}

/// Units that do not begin a line behind their number.
const UNITS: [&str; 34] = [
    "A", "V", "W", "Ω", "%", "s", "h", "ft", "in", "mm", "AWG", "kcmil", "VA", "kVA", "kA", "kV", "kW", "mΩ",
    "kΩ", "Wh", "kWh", "Ah", "hp", "Hz", "°C", "°F", "mm²", "ft²", "kA²s", "A²s", "min", "days", "V/Ω", "m",
];
/// Letters of the longest unit.
const LONGEST_UNIT: usize = 5;

/// A space between a number and its unit is none at which a line may end.
fn hold_units(glyphs: &mut [Glyph]) {
    for at in 1..glyphs.len() {
        let (Some(before), Some(space)) = (glyphs.get(at - 1), glyphs.get(at)) else { continue };
        if space.drawn.character == ' ' && before.drawn.character.is_ascii_digit() && unit_at(glyphs, at + 1)
        {
            // Its width and face stay those of the space.
            if let Some(space) = glyphs.get_mut(at) {
                space.drawn.character = '\u{A0}';
            }
        }
    }
}

/// Whether a unit stands here as a word of its own.
fn unit_at(glyphs: &[Glyph], from: usize) -> bool {
    let goes_on = |character: &char| character.is_alphanumeric() || "%°²/".contains(*character);
    let rest = glyphs.get(from..).unwrap_or_default().iter().map(|glyph| glyph.drawn.character);
    let word: Vec<char> = rest.take_while(goes_on).take(LONGEST_UNIT + 1).collect();
    UNITS.iter().any(|unit| unit.chars().eq(word.iter().copied()))
}

fn glyph_of(character: char, index: usize, span: &Span) -> Glyph {
    let faces = Faces::shared();
    if character == '\n' {
        let drawn = Drawn { character, face: super::faces::FaceId::of(span.weight), advance: 0 };
        return Glyph { drawn, span: index, replaced: None };
    }
    let found = faces.draw(character, span.weight);
    let replaced = found.is_none().then_some(character);
    let drawn = found.or_else(|| faces.draw(REPLACEMENT, span.weight));
    let drawn =
        drawn.unwrap_or(Drawn { character: '?', face: super::faces::FaceId::of(span.weight), advance: 500 });
    Glyph { drawn, span: index, replaced }
}

/// The character as paper knows it: no control characters, no invisible ones.
fn printable(character: char) -> Option<char> {
    match character {
        '\n' | '\u{2028}' | '\u{2029}' => Some('\n'),
        '\t' => Some(' '),
        // Same meaning, and in the face of the running text.
        '\u{2010}' => Some('-'),
        '\u{2007}' | '\u{202F}' => Some('\u{A0}'),
        '\u{2000}'..='\u{200A}' => Some(' '),
        '\u{AD}' | '\u{200B}'..='\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2060}'..='\u{206F}' => None,
        '\u{FE00}'..='\u{FE0F}' | '\u{FEFF}' => None,
        other if other.is_control() => None,
        other => Some(other),
    }
}

/// Where lines begin and end, as places in the list of characters.
fn cut_points(glyphs: &[Glyph], limit: f64) -> Vec<(usize, usize)> {
    let mut cuts = Vec::new();
    let mut start = 0;
    let mut fill = 0.0;
    let mut begin = 0;
    for (end, mandatory) in opportunities(glyphs) {
        let segment = glyphs.get(begin..end).unwrap_or_default();
        let visible = width_of(trimmed(segment));
        if fill + visible > limit && start < begin {
            cuts.push((start, begin));
            start = begin;
            fill = 0.0;
        }
        if visible > limit {
            start = cut_word(glyphs, (start, begin, end), limit, &mut cuts);
            fill = width_of(glyphs.get(start..end).unwrap_or_default());
        } else {
            fill += width_of(segment);
        }
        if mandatory && end < glyphs.len() {
            cuts.push((start, end));
            start = end;
            fill = 0.0;
        }
        begin = end;
    }
    if start < glyphs.len() {
        cuts.push((start, glyphs.len()));
    }
    cuts
}

/// Cuts a word that is wider than a line by characters; gives the start of the last, unfinished line.
fn cut_word(
    glyphs: &[Glyph],
    (start, begin, end): (usize, usize, usize),
    limit: f64,
    cuts: &mut Vec<(usize, usize)>,
) -> usize {
    let word_end = begin + trimmed(glyphs.get(begin..end).unwrap_or_default()).len();
    let mut from = start;
    let mut fill = 0.0;
    for (index, glyph) in glyphs.iter().enumerate().take(word_end).skip(begin) {
        let advance = f64::from(glyph.drawn.advance);
        if fill + advance > limit && index > from {
            cuts.push((from, index));
            from = index;
            fill = 0.0;
        }
        fill += advance;
    }
    from
}

/// Places where a line may or must end, in characters.
fn opportunities(glyphs: &[Glyph]) -> Vec<(usize, bool)> {
    let text: String = glyphs.iter().map(|glyph| glyph.drawn.character).collect();
    let mut index = 0;
    let mut byte = 0;
    let mut found = Vec::new();
    for (at, kind) in linebreaks(&text) {
        while byte < at {
            let Some(glyph) = glyphs.get(index) else {
                break;
            };
            byte += glyph.drawn.character.len_utf8();
            index += 1;
        }
        found.push((index, kind == BreakOpportunity::Mandatory));
    }
    found
}

/// Without the spaces at the end, which hang over the edge.
fn trimmed(glyphs: &[Glyph]) -> &[Glyph] {
    let hangs = |glyph: &Glyph| matches!(glyph.drawn.character, ' ' | '\n');
    let keep = glyphs.iter().rposition(|glyph| !hangs(glyph)).map_or(0, |last| last + 1);
    glyphs.get(..keep).unwrap_or_default()
}

fn width_of(glyphs: &[Glyph]) -> f64 {
    glyphs.iter().map(|glyph| f64::from(glyph.drawn.advance)).sum()
}

fn line_of(glyphs: &[Glyph], spans: &[Span], size: TextSize) -> Line {
    let glyphs = trimmed(glyphs);
    let same = |a: &Glyph, b: &Glyph| a.span == b.span && a.drawn.face == b.drawn.face;
    let pieces: Vec<Piece> = glyphs.chunk_by(same).filter_map(|run| piece_of(run, spans, size)).collect();
    let width = pieces.iter().map(|piece| piece.width).sum();
    Line { pieces, width }
}

fn piece_of(glyphs: &[Glyph], spans: &[Span], size: TextSize) -> Option<Piece> {
    let first = glyphs.first()?;
    let span = spans.get(first.span)?;
    let drawn = |glyph: &Glyph| match glyph.drawn.character {
        '\u{A0}' => ' ',
        other => other,
    };
    let colour = if span.link.is_some() { Colour::Accent } else { span.colour };
    let run = TextRun {
        text: glyphs.iter().map(drawn).collect(),
        face: first.drawn.face,
        size,
        scale: 1.0,
        colour,
        baseline: Pt::ZERO,
        replaced: glyphs.iter().filter_map(|glyph| glyph.replaced).collect(),
    };
    Some(Piece { run, width: size.points() * (width_of(glyphs) / 1000.0), link: span.link.clone() })
}

/// From the top of a line to the line the letters stand on.
pub(super) fn baseline_of(size: TextSize) -> Pt {
    let height = size.points() * ((ASCENT + DESCENT) / 1000.0);
    (size.leading() - height) / 2.0 + size.points() * (ASCENT / 1000.0)
}

impl Line {
    /// The things on this line, placed with its top left corner at `x`, `y` in a column of `width`.
    pub(super) fn items(&self, x: Pt, y: Pt, width: Pt, align: Align, role: Role) -> Vec<Item> {
        let mut left = x + self.start(width, align);
        let mut items = Vec::new();
        for piece in &self.pieces {
            items.extend(piece.items(left, y, role));
            left += piece.width;
        }
        items
    }

    fn start(&self, width: Pt, align: Align) -> Pt {
        let spare = (width - self.width).max(Pt::ZERO);
        match align {
            Align::Left => Pt::ZERO,
            Align::Middle => spare / 2.0,
            Align::Right => spare,
        }
    }
}

impl Piece {
    fn items(&self, x: Pt, y: Pt, role: Role) -> Vec<Item> {
        let size = self.run.size;
        let rect = Rect::new(x, y, self.width, size.leading());
        let baseline = y + baseline_of(size);
        let kind = ItemKind::Text(TextRun { baseline, ..self.run.clone() });
        let mut items = vec![Item { rect, kind, role }];
        if let Some(anchor) = &self.link {
            items.push(underline(x, baseline, self.width));
            let kind = ItemKind::Link { anchor: anchor.clone() };
            items.push(Item { rect, kind, role });
        }
        items
    }
}

/// A link is told by its line as well as by its colour.
fn underline(x: Pt, baseline: Pt, width: Pt) -> Item {
    let stroke = super::drawing::Stroke { width: HAIRLINE, colour: Colour::Accent, dash: None };
    let y = baseline + Pt(1.6);
    let ends = vec![Point { x, y }, Point { x: x + width, y }];
    Item {
        rect: Rect::new(x, y, width, Pt::ZERO),
        kind: ItemKind::Polyline { points: ends, stroke },
        role: Role::Flow,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn broken(text: &str, width: f64) -> Vec<String> {
        let lines = wrap(&Text::from(text.to_owned()), TextSize::Body, Pt(width), &PageNumbers::new());
        let words = |line: &Line| line.pieces.iter().map(|piece| piece.run.text.clone()).collect();
        lines.iter().map(words).collect()
    }

    #[test]
    fn text_breaks_at_spaces_and_no_line_is_too_wide() {
        let text = "Every run from the panel to the load is looked at in turn.";
        let lines = wrap(&Text::from(text), TextSize::Body, Pt(80.0), &PageNumbers::new());
        assert!(lines.len() > 2);
        assert!(lines.iter().all(|line| line.width.0 <= 80.0));
        assert_eq!(broken(text, 80.0).join(" "), text);
    }

    #[test]
    fn a_number_keeps_its_unit() {
        let lines = broken("aaaa aaaa 41.4\u{A0}A", 50.0);
        assert_eq!(lines.last().map(String::as_str), Some("41.4 A"));
    }

    #[test]
    fn a_unit_never_begins_a_line_behind_its_number() {
        assert_eq!(broken("aaaa aaaa 41.4 A, more", 50.0), ["aaaa aaaa", "41.4 A,", "more"]);
        let widest = widest_word(&Text::from("so 10000 AWG on"), TextSize::Body, &PageNumbers::new());
        let whole = natural_width(&Text::from("10000 AWG"), TextSize::Body, &PageNumbers::new());
        assert!((widest.0 - whole.0).abs() < 1e-9);
    }

    #[test]
    fn a_word_wider_than_the_line_is_cut_by_characters() {
        let word = "x".repeat(100);
        let lines = broken(&word, 60.0);
        assert!(lines.len() > 5);
        assert_eq!(lines.concat(), word);
    }

    #[test]
    fn a_long_word_after_a_short_one_loses_nothing() {
        let text = format!("on {} off", "y".repeat(60));
        assert_eq!(broken(&text, 60.0).concat().replace(' ', ""), text.replace(' ', ""));
    }

    #[test]
    fn a_line_feed_ends_a_line_and_an_empty_line_stays() {
        assert_eq!(broken("a\n\nb", 60.0), ["a", "", "b"]);
    }

    #[test]
    fn a_missing_character_is_replaced_and_remembered() {
        let lines = wrap(&Text::from("a中b"), TextSize::Body, Pt(90.0), &PageNumbers::new());
        let pieces = &lines.first().unwrap().pieces;
        let replaced: Vec<char> = pieces.iter().flat_map(|p| p.run.replaced.clone()).collect();
        assert_eq!(replaced, ['中']);
        assert_eq!(broken("a中b", 90.0), ["a\u{FFFD}b"]);
    }

    #[test]
    fn a_line_too_long_for_its_place_ends_in_an_ellipsis() {
        let (line, cut) = single_line(&Text::from("a house with a long name"), TextSize::Small, Pt(50.0));
        assert!(cut && line.width.0 <= 50.0);
        assert!(line.pieces.last().unwrap().run.text.ends_with('…'));
    }
}
