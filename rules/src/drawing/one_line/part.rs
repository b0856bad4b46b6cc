//! The one-line in parts, one a panel: what feeds it, what is in it, what hangs on it. Other panels are
//! named, and their own drawing tells the rest.

use std::collections::BTreeSet;

use super::graph::Graph;
use super::{Drawing, EDGE, Emphasis, OneLine, Plan, Sheet, items, labels, upright};
use crate::drawing::about::about;
use crate::drawing::letters::Letters;
use crate::drawing::mark::Marks;
use crate::drawing::pages::{Cut, cut};
use crate::house::House;
use crate::survey::Id;

/// A part of the one-line on paper.
#[derive(Debug, Clone, PartialEq)]
pub struct PartDrawn {
    /// The panel that it shows; none for what no panel is joined to.
    pub panel: Option<Id>,
    /// The drawing in sheets, one where it fits.
    pub sheets: Vec<Cut>,
}

/// Draws the one-line panel by panel for pages of this width and height [units], with the id of each item before its
/// name.
#[must_use]
pub fn one_line_in_parts(
    house: &House<'_>,
    marks: &Marks,
    letters: Letters<'_>,
    (width, height): (f32, f32),
) -> Vec<PartDrawn> {
    let (about, emphasis) = (about(house.survey), Emphasis::new());
    let sheet =
        Sheet { house, marks, about: &about, emphasis: &emphasis, letters, ids: true, list_columns: 1 };
    let graph = Graph::of(house);
    let mut parts: Vec<PartDrawn> = Vec::new();
    let mut placed: BTreeSet<Id> = BTreeSet::new();
    for (at, panel) in house.survey.panels.iter().enumerate() {
        let own = graph.around(Some(at));
        let mut sheets = upright::draw(sheet, own.clone(), at, (width, height));
        if sheets.iter().any(|sheet| sheet.scene.width > width || sheet.scene.height > height) {
            // What hangs on one way needs more than a page by itself.
            sheets = cut(&part(sheet, own, None).scene, width, height);
        }
        let places = sheets.iter().flat_map(|sheet| &sheet.scene.places);
        placed.extend(places.map(|place| place.item.clone()));
        parts.push(PartDrawn { panel: Some(panel.id.clone()), sheets });
    }
    let rest = graph.around(None);
    let left = items(house).into_iter().any(|id| !placed.contains(&id));
    if left || !rest.nodes.is_empty() {
        let sheets = cut(&part(sheet, rest, Some(&placed)).scene, width, height);
        parts.push(PartDrawn { panel: None, sheets });
    }
    parts
}

/// The part of one panel for a screen: what is to be brought out, and names without ids. None for a panel
/// that is not in the survey.
#[must_use]
pub fn one_line_of_panel(
    house: &House<'_>,
    panel: &Id,
    marks: &Marks,
    emphasis: &Emphasis,
    letters: Letters<'_>,
) -> Option<OneLine> {
    let at = house.survey.panels.iter().position(|other| other.id == *panel)?;
    let about = about(house.survey);
    let sheet = Sheet { house, marks, about: &about, emphasis, letters, ids: false, list_columns: 1 };
    Some(part(sheet, Graph::of(house).around(Some(at)), None))
}

/// A part; where `placed` tells what the others hold, with a list of what hangs on nothing.
fn part(sheet: Sheet<'_>, graph: Graph, placed: Option<&BTreeSet<Id>>) -> OneLine {
    let mut drawing = Drawing::of(sheet, Plan::full(&sheet, graph));
    drawing.wires();
    labels::draw(&mut drawing);
    drawing.boxes();
    let bottom = match placed {
        Some(placed) => drawing.left_over(placed),
        None => drawing.plan.wiring.bottom,
    };
    drawing.finish(bottom + EDGE, sheet.letters)
}
