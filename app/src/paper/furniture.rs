//! Head and foot of every page, and the place that is left for the text.

use super::document::{Align, Running, Sheet};
use super::drawing::Stroke;
use super::laid::{Item, Role};
use super::lines::single_line;
use super::span::{Span, Text};
use super::tokens::{Colour, FURNITURE_GAP, HAIRLINE, MARGIN, TextSize};
use super::units::{Pt, Rect};

/// Between the running line and its hairline.
const RULE_GAP: Pt = Pt(3.0);

/// The box inside the margins.
pub(super) fn type_area(sheet: Sheet) -> Rect {
    let (width, height) = sheet.size();
    Rect::new(MARGIN, MARGIN, width - MARGIN * 2.0, height - MARGIN * 2.0)
}

/// The box for the text, between head and foot.
pub(super) fn body(sheet: Sheet) -> Rect {
    let area = type_area(sheet);
    let used = TextSize::Small.leading() + RULE_GAP + FURNITURE_GAP;
    Rect::new(area.x, area.y + used, area.width, area.height - used * 2.0)
}

/// Head and foot of page `page` of `pages`.
pub(super) fn furniture(running: &Running, sheet: Sheet, (page, pages): (usize, usize)) -> Vec<Item> {
    let area = type_area(sheet);
    let line = TextSize::Small.leading();
    let mut items = pair(&running.house, &running.revision, area, area.y);
    items.push(hairline(area, area.y + line + RULE_GAP));
    let number =
        running.page_pattern.replace("{pages}", &pages.to_string()).replace("{page}", &page.to_string());
    let foot = area.bottom() - line;
    items.extend(pair(&running.fingerprint, &number, area, foot));
    items.push(hairline(area, foot - RULE_GAP));
    items.iter().map(as_furniture).collect()
}

fn as_furniture(item: &Item) -> Item {
    Item { role: Role::Furniture, ..item.clone() }
}

fn hairline(area: Rect, y: Pt) -> Item {
    let stroke = Stroke::new(HAIRLINE.0, Colour::Rule);
    Item::rule(area.x, y, area.width, stroke)
}

/// Words at the left and the right edge of one line; the left gives way.
fn pair(left: &str, right: &str, area: Rect, y: Pt) -> Vec<Item> {
    let soft = |words: &str| Text::from(Span::soft(words.replace('\n', " ")));
    let (right, _) = single_line(&soft(right), TextSize::Small, area.width * 0.45);
    let room = area.width - right.width - FURNITURE_GAP;
    let (left, _) = single_line(&soft(left), TextSize::Small, room);
    let mut items = left.items(area.x, y, room, Align::Left, Role::Furniture);
    items.extend(right.items(area.x, y, area.width, Align::Right, Role::Furniture));
    items
}
