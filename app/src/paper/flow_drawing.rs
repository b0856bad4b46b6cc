//! Drawings and pictures, as strips.

use super::document::{Align, Picture};
use super::drawing::{Drawing, Shape, Stroke};
use super::flow::{Column, Flow};
use super::flow_rows::{Cell, RowLook, row_strips};
use super::laid::{Item, ItemKind, PaperWarning, Role, TextRun};
use super::lines::{Line, PageNumbers, cut_short, wrap};
use super::span::{Span, Text};
use super::strips::{Strip, Tie};
use super::tokens::{BLOCK_GAP, COLUMN_GAP, Colour, FIGURE_GAP, FIGURE_RESERVE, HAIRLINE, MEASURE, TextSize};
use super::units::{Point, Pt, Rect};

impl Flow<'_> {
    pub(super) fn drawing(&mut self, drawing: &Drawing, column: Column) {
        let scale = self.drawn(drawing, column, self.highest_figure());
        if scale < 1.0 {
            let percent = scale * 100.0;
            self.warnings.push(PaperWarning::Shrunk { percent });
        }
    }

    /// A drawing in the size that fits; returns its scale.
    pub(super) fn diagram(&mut self, drawing: &Drawing, column: Column) {
        let highest = self.body_height - self.tied_above() - FIGURE_GAP;
        self.drawn(drawing, column, highest.max(self.body_height / 3.0));
    }

    fn drawn(&mut self, drawing: &Drawing, column: Column, highest: Pt) -> f64 {
        let across = column.width.0 / drawing.width.0.max(1.0);
        let down = highest.0 / drawing.height.0.max(1.0);
        let scale = across.min(down).min(1.0);
        let (items, warnings) = drawing_items(drawing, scale);
        self.warnings.extend(warnings);
        self.gap(FIGURE_GAP);
        let height = drawing.height.within(Pt::ZERO, highest / scale) * scale;
        self.push(Strip {
            height,
            solid: true,
            items: items.into_iter().map(|item| item.moved(column.x, Pt::ZERO)).collect(),
            ..Strip::default()
        });
        self.gap(FIGURE_GAP);
        scale
    }

    /// Pictures in rows of two, each row with its captions.
    pub(super) fn pictures_in_pairs(&mut self, pictures: &[Picture], column: Column) {
        let width = (column.width - COLUMN_GAP) / 2.0;
        let columns = [column.x, column.x + width + COLUMN_GAP].map(|x| Column { x, width });
        for pair in pictures.chunks(2) {
            let (mut row, mut captions) = (Strip { solid: true, ..Strip::default() }, Vec::new());
            for (picture, column) in pair.iter().zip(columns) {
                let strip = self.picture_or_why(picture, column);
                row.height = row.height.max(strip.height);
                row.lines = row.lines.max(strip.lines);
                row.items.extend(strip.items);
                let lines = wrap(&picture.caption, TextSize::Small, width, &self.known.anchors);
                let lines = lines.into_iter().map(|line| (line, TextSize::Small)).collect();
                captions.push(Cell { column, align: Align::Left, lines });
            }
            row.tie = Tie::Hard;
            self.gap(FIGURE_GAP);
            self.push(row);
            let look = RowLook { pad: Pt(3.0), rule: None, highest: self.body_height / 4.0 };
            row_strips(&captions, look).into_iter().for_each(|strip| self.push(strip));
            self.gap(FIGURE_GAP);
        }
    }

    pub(super) fn picture(&mut self, picture: &Picture, column: Column) {
        let caption_column = column.at_most(MEASURE);
        let styled = picture.caption.in_colour(Colour::Soft);
        let caption = wrap(&styled, TextSize::Small, caption_column.width, &self.known.anchors);
        self.gap(FIGURE_GAP);
        let strip = self.picture_or_why(picture, column);
        self.push(strip);
        if !caption.is_empty() {
            self.tie_last(Tie::Hard);
        }
        self.gap(Pt(4.0));
        self.lines(&caption, TextSize::Small, caption_column);
        self.gap(FIGURE_GAP);
    }

    /// The next picture of the document, or a frame that says that it cannot be read.
    fn picture_or_why(&mut self, picture: &Picture, column: Column) -> Strip {
        let index = self.next_picture;
        self.next_picture += 1;
        match self.pictures.get(index) {
            Some(Ok(prepared)) => {
                let size = self.picture_size(picture, prepared.aspect(), column);
                picture_strip(index, size, column)
            }
            Some(Err(reason)) => self.unreadable(reason.clone(), column),
            None => self.unreadable("not prepared".to_owned(), column),
        }
    }

    /// What a page leaves for a drawing below the headings that are tied to it.
    fn highest_figure(&self) -> Pt {
        let reserve = FIGURE_RESERVE.max(self.tied_above() + FIGURE_RESERVE / 2.0);
        (self.body_height - reserve).max(self.body_height / 3.0)
    }

    /// Height of the headings and lines that are tied to what comes next.
    fn tied_above(&self) -> Pt {
        let held = |strip: &&Strip| strip.tie >= Tie::Hard;
        let tied = self.strips.iter().rev().take_while(held);
        tied.map(|strip| strip.gap + strip.height).sum()
    }

    /// Width and height in which the picture fits its limits.
    fn picture_size(&self, picture: &Picture, aspect: f64, column: Column) -> (Pt, Pt) {
        let highest = self.highest_figure();
        let width = picture.width.to_pt().within(Pt(1.0), column.width);
        let height = picture.height.to_pt().within(Pt(1.0), highest);
        let width = width.min(height * aspect);
        (width, width / aspect)
    }

    fn unreadable(&mut self, reason: String, column: Column) -> Strip {
        self.warnings.push(PaperWarning::UnreadablePicture { reason });
        let column = column.at_most(MEASURE);
        let words = Text::from(Span::new("This picture cannot be read."));
        let lines = wrap(&words, TextSize::Small, column.width, &self.known.anchors);
        let rect = Rect::new(column.x, Pt::ZERO, column.width, BLOCK_GAP * 5.0);
        let frame = Stroke::new(HAIRLINE.0, Colour::Ink).dashed(3.0, 2.0);
        let mut items = vec![Item::filled(rect, Some(frame), None)];
        let y = (rect.height - TextSize::Small.leading()) / 2.0;
        for line in lines.iter().take(1) {
            items.extend(line.items(column.x, y, column.width, Align::Middle, Role::Flow));
        }
        Strip { height: rect.height, solid: true, lines: 1, items, ..Strip::default() }
    }
}

fn picture_strip(index: usize, (width, height): (Pt, Pt), column: Column) -> Strip {
    Strip {
        height,
        solid: true,
        items: vec![Item {
            rect: Rect::new(column.x, Pt::ZERO, width, height),
            kind: ItemKind::Picture(index),
            role: Role::Flow,
        }],
        ..Strip::default()
    }
}

/// The things of a drawing with its top left corner at 0, 0.
pub(super) fn drawing_items(drawing: &Drawing, scale: f64) -> (Vec<Item>, Vec<PaperWarning>) {
    let paper =
        DrawingPaper { width: drawing.width.max(Pt::ZERO), height: drawing.height.max(Pt::ZERO), scale };
    let mut warnings = Vec::new();
    let items = drawing.shapes.iter().flat_map(|shape| paper.shape(shape, &mut warnings)).collect();
    (items, warnings)
}

struct DrawingPaper {
    width: Pt,
    height: Pt,
    scale: f64,
}

impl DrawingPaper {
    fn shape(&self, shape: &Shape, warnings: &mut Vec<PaperWarning>) -> Vec<Item> {
        match shape {
            Shape::Polyline { points, stroke } if points.len() > 1 => {
                let points = self.points(points);
                let stroke = self.stroke(*stroke);
                vec![self.item(points.clone(), ItemKind::Polyline { points, stroke })]
            }
            Shape::Polygon { points, stroke, fill } if points.len() > 2 => {
                let points = self.points(points);
                let kind = ItemKind::Polygon {
                    points: points.clone(),
                    stroke: stroke.map(|stroke| self.stroke(stroke)),
                    fill: *fill,
                };
                vec![self.item(points, kind)]
            }
            Shape::Text { rect, text, size, align } => self.text(*rect, text, *size, *align, warnings),
            _ => Vec::new(),
        }
    }

    fn item(&self, points: Vec<Point>, kind: ItemKind) -> Item {
        Item { rect: bounds(&points), kind, role: Role::Drawing }
    }

    fn points(&self, points: &[Point]) -> Vec<Point> {
        let inside = |point: &Point| Point {
            x: point.x.within(Pt::ZERO, self.width) * self.scale,
            y: point.y.within(Pt::ZERO, self.height) * self.scale,
        };
        points.iter().map(inside).collect()
    }

    fn stroke(&self, stroke: Stroke) -> Stroke {
        Stroke { width: stroke.width.within(Pt::ZERO, Pt(20.0)) * self.scale.max(0.5), ..stroke }
    }

    fn text(
        &self,
        rect: Rect,
        text: &Text,
        size: TextSize,
        align: Align,
        warnings: &mut Vec<PaperWarning>,
    ) -> Vec<Item> {
        let size = if size == TextSize::Title { TextSize::Large } else { size };
        let rect = self.inside(rect);
        let lines = self.fitting(rect, text, size, warnings);
        let height = size.leading() * lines.len() as f64;
        let lowest = (self.height - height).max(Pt::ZERO);
        let mut y = (rect.y + (rect.height - height) / 2.0).within(Pt::ZERO, lowest);
        let mut items = Vec::new();
        for line in &lines {
            items.extend(line.items(rect.x, y, rect.width, align, Role::Drawing));
            y += size.leading();
        }
        items.iter().map(|item| scaled(item, self.scale)).collect()
    }

    fn inside(&self, rect: Rect) -> Rect {
        let x = rect.x.within(Pt::ZERO, self.width);
        let y = rect.y.within(Pt::ZERO, self.height);
        let right = rect.right().within(x, self.width);
        let bottom = rect.bottom().within(y, self.height);
        Rect::new(x, y, right - x, bottom - y)
    }

    /// As many lines as the box holds, at least one; the last ends in an ellipsis if some are left.
    fn fitting(
        &self,
        rect: Rect,
        text: &Text,
        size: TextSize,
        warnings: &mut Vec<PaperWarning>,
    ) -> Vec<Line> {
        let mut lines = wrap(text, size, rect.width, &PageNumbers::new());
        let spare = size.leading() - size.points();
        let room = ((rect.height + spare).0 / size.leading().0).floor().max(1.0) as usize;
        let too_wide = lines.iter().any(|line| line.width > rect.width + Pt(0.1));
        if lines.len() <= room && !too_wide {
            return lines;
        }
        lines.truncate(room);
        if let Some(last) = lines.last_mut() {
            *last = cut_short(last, size, rect.width);
        }
        lines.retain(|line| line.width <= rect.width + Pt(0.1));
        warnings.push(PaperWarning::CutShort { text: text.plain() });
        lines
    }
}

fn bounds(points: &[Point]) -> Rect {
    let Some(first) = points.first() else {
        return Rect::default();
    };
    let (mut low, mut high) = (*first, *first);
    for point in points {
        low = Point { x: low.x.min(point.x), y: low.y.min(point.y) };
        high = Point { x: high.x.max(point.x), y: high.y.max(point.y) };
    }
    Rect::new(low.x, low.y, high.x - low.x, high.y - low.y)
}

fn scaled(item: &Item, scale: f64) -> Item {
    let rect = Rect::new(
        item.rect.x * scale,
        item.rect.y * scale,
        item.rect.width * scale,
        item.rect.height * scale,
    );
    let scale_points = |points: &[Point]| -> Vec<Point> {
        let scale_one = |point: &Point| Point { x: point.x * scale, y: point.y * scale };
        points.iter().map(scale_one).collect()
    };
    let kind = match &item.kind {
        ItemKind::Text(run) => {
            ItemKind::Text(TextRun { baseline: run.baseline * scale, scale, ..run.clone() })
        }
        ItemKind::Polyline { points, stroke } => {
            ItemKind::Polyline { points: scale_points(points), stroke: *stroke }
        }
        other => other.clone(),
    };
    Item { rect, kind, role: item.role }
}
