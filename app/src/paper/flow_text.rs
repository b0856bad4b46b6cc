//! Headings, paragraphs, lists and the figure that matters, as strips.

use super::document::Align;
use super::drawing::Stroke;
use super::flow::{Column, Flow};
use super::laid::{Item, Role};
use super::lines::{Line, baseline_of, natural_width, wrap};
use super::span::{Span, Text, Weight};
use super::strips::{Strip, Tie};
use super::tokens::{
    BLOCK_GAP, COLUMN_GAP, Colour, HEADING_AFTER, HEADING_GAPS, INDENT, ITEM_GAP, MEASURE, RULE, TextSize,
};
use super::units::Pt;

impl Flow<'_> {
    pub(super) fn heading(&mut self, level: u8, text: &Text, column: Column) {
        let level = level.clamp(1, 3);
        let size = if level == 1 { TextSize::Large } else { TextSize::Body };
        let colour = if level == 3 { Colour::Soft } else { Colour::Ink };
        let styled = text.in_weight(Weight::Bold).in_colour(colour);
        let lines = wrap(&styled, size, column.width, &self.known.anchors);
        let before = HEADING_GAPS.get(usize::from(level) - 1);
        self.gap(before.copied().unwrap_or(BLOCK_GAP));
        let start = self.strips.len();
        for line in &lines {
            self.push(line_strip(line, size, column, Role::Heading(level)));
        }
        self.finish_heading(start, level, text, column);
    }

    fn finish_heading(&mut self, start: usize, level: u8, text: &Text, column: Column) {
        let Some(first) = self.strips.get_mut(start) else {
            return;
        };
        first.heading = Some((level, text.plain()));
        self.tie_from(start, Tie::Heading);
        self.tie_last(Tie::Heading);
        if let (1, Some(last)) = (level, self.strips.last_mut()) {
            let stroke = Stroke::new(RULE.0, Colour::Accent);
            last.height += Pt(2.0);
            let rule = Item::rule(column.x, last.height, column.width, stroke);
            last.items.push(rule);
        }
        self.close_gap(if level == 1 { HEADING_AFTER * 2.0 } else { HEADING_AFTER });
    }

    pub(super) fn paragraph(&mut self, text: &Text, column: Column) {
        let column = column.at_most(MEASURE);
        let lines = wrap(text, TextSize::Body, column.width, &self.known.anchors);
        self.gap(BLOCK_GAP);
        self.lines(&lines, TextSize::Body, column);
        self.gap(BLOCK_GAP);
    }

    /// Lines of one paragraph: at least two stay together at either end.
    pub(super) fn lines(&mut self, lines: &[Line], size: TextSize, column: Column) {
        let count = lines.len();
        for (index, line) in lines.iter().enumerate() {
            let mut strip = line_strip(line, size, column, Role::Flow);
            if (index == 0 && count > 1) || index + 2 == count {
                strip.tie = Tie::Hard;
            }
            self.push(strip);
        }
    }

    pub(super) fn list(&mut self, numbered: bool, items: &[Text], column: Column) {
        self.gap(BLOCK_GAP);
        let indent = if numbered { self.number_indent(items.len()) } else { INDENT };
        for (index, item) in items.iter().enumerate() {
            let marker = if numbered { format!("{}.", index + 1) } else { "•".to_owned() };
            self.item(&marker, item, column, indent);
            self.gap(ITEM_GAP);
        }
        self.gap(BLOCK_GAP);
    }

    fn number_indent(&self, count: usize) -> Pt {
        let widest = Text::from(format!("{count}."));
        let width = natural_width(&widest, TextSize::Body, &self.known.anchors);
        INDENT.max(width + ITEM_GAP * 2.0)
    }

    fn item(&mut self, marker: &str, text: &Text, column: Column, indent: Pt) {
        let body = column.indented(indent).at_most(MEASURE);
        let mut lines = wrap(text, TextSize::Body, body.width, &self.known.anchors);
        if lines.is_empty() {
            lines.push(Line::default());
        }
        let start = self.strips.len();
        self.lines(&lines, TextSize::Body, body);
        let marker = Text::from(Span::new(marker.to_owned()));
        let room = indent - ITEM_GAP * 2.0;
        let marks = wrap(&marker, TextSize::Body, room, &self.known.anchors);
        if let (Some(mark), Some(strip)) = (marks.first(), self.strips.get_mut(start)) {
            let marks = mark.items(column.x, Pt::ZERO, room, Align::Right, Role::Flow);
            strip.items.extend(marks);
            strip.lines = strip.lines.max(1);
        }
    }

    pub(super) fn figure(&mut self, figure: &str, words: &Text, column: Column) {
        let figure = Text::from(Span::bold(figure.to_owned()));
        let width = natural_width(&figure, TextSize::Large, &self.known.anchors);
        self.gap(BLOCK_GAP);
        if width > column.width * 0.6 {
            let lines = wrap(&figure, TextSize::Large, column.width, &self.known.anchors);
            let start = self.strips.len();
            self.lines(&lines, TextSize::Large, column);
            if self.strips.len() > start {
                self.tie_last(Tie::Hard);
            }
            let column = column.at_most(MEASURE);
            let lines = wrap(words, TextSize::Body, column.width, &self.known.anchors);
            self.lines(&lines, TextSize::Body, column);
        } else {
            self.figure_line(&figure, width, words, column);
        }
        self.gap(BLOCK_GAP);
    }

    fn figure_line(&mut self, figure: &Text, width: Pt, words: &Text, column: Column) {
        let beside = column.indented(width + COLUMN_GAP * 0.6).at_most(MEASURE);
        let figures = wrap(figure, TextSize::Large, column.width, &self.known.anchors);
        let lines = wrap(words, TextSize::Body, beside.width, &self.known.anchors);
        let Some(line) = figures.first() else {
            return self.lines(&lines, TextSize::Body, column.at_most(MEASURE));
        };
        let mut strip = line_strip(line, TextSize::Large, column, Role::Flow);
        let drop = baseline_of(TextSize::Large) - baseline_of(TextSize::Body);
        if let Some((first, rest)) = lines.split_first() {
            let items = first.items(beside.x, drop, beside.width, Align::Left, Role::Flow);
            strip.items.extend(items);
            if !rest.is_empty() {
                strip.tie = Tie::Hard;
            }
        }
        self.push(strip);
        self.lines(lines.get(1..).unwrap_or_default(), TextSize::Body, beside);
    }
}

/// A strip with one line.
pub(super) fn line_strip(line: &Line, size: TextSize, column: Column, role: Role) -> Strip {
    let items = line.items(column.x, Pt::ZERO, column.width, Align::Left, role);
    Strip { height: size.leading(), lines: usize::from(!items.is_empty()), items, ..Strip::default() }
}
