//! A panel's face as it is on the wall with its door open: main at the top, odd ways left, even
//! ways right; a fused panel as its holders.

mod cell;
mod columns;
mod device;
mod head;
mod holders;
#[cfg(test)]
mod tests;
mod whole;

use std::collections::BTreeMap;

use super::about::{About, about, mark_of};
use super::canvas::Canvas;
use super::letters::Letters;
use super::mark::{Mark, Marks};
use super::scene::Scene;
use crate::house::House;
use crate::survey::{Id, Panel, PanelKind, Way};

/// How a face is drawn.
#[derive(Debug, Clone, Copy)]
struct Look {
    /// It stands on paper: nobody can tap on a text to read it whole, so none is cut and rows grow with their words.
    paper: bool,
    /// Edge around the drawing [units].
    edge: f32,
    /// Height of the box of the main [units].
    main: f32,
    /// Least height of a space [units].
    space: f32,
    /// Least height of a holder with its words [units].
    holder: f32,
}

impl Look {
    const SCREEN: Self = Self { paper: false, edge: 24.0, main: 92.0, space: 58.0, holder: 84.0 };
    const PAPER: Self = Self { paper: true, edge: 4.0, main: 80.0, space: 46.0, holder: 60.0 };
}

/// A panel with what its face tells.
struct Face<'a> {
    look: Look,
    house: &'a House<'a>,
    panel_at: usize,
    panel: &'a Panel,
    marks: &'a Marks,
    about: About,
    /// Runs that end at each item.
    ending: BTreeMap<&'a Id, Vec<usize>>,
}

/// Draws the face of a panel, by its place in the survey's list; an empty scene where there is none. `marks`
/// gives the worst verdict of each item.
#[must_use]
pub fn panel_face(house: &House<'_>, panel: usize, marks: &Marks, letters: Letters<'_>) -> Scene {
    draw(house, panel, marks, letters, Look::SCREEN)
}

/// The same for paper: every text whole, close rows, no name above it, where a heading stands.
#[must_use]
pub fn panel_face_on_paper(house: &House<'_>, panel: usize, marks: &Marks, letters: Letters<'_>) -> Scene {
    draw(house, panel, marks, letters, Look::PAPER)
}

fn draw(house: &House<'_>, panel: usize, marks: &Marks, letters: Letters<'_>, look: Look) -> Scene {
    let Some(item) = house.survey.panels.get(panel) else { return Scene::default() };
    let mut ending: BTreeMap<&Id, Vec<usize>> = BTreeMap::new();
    for (at, run) in house.survey.runs.iter().enumerate() {
        if let Some(to) = &run.to {
            ending.entry(to).or_default().push(at);
        }
    }
    let about = about(house.survey);
    let face = Face { look, house, panel_at: panel, panel: item, marks, about, ending };
    let mut canvas = Canvas::new(letters);
    let (width, height) = if face.has_columns() {
        columns::draw(&face, &mut canvas)
    } else {
        holders::draw(&face, &mut canvas)
    };
    canvas.finish(width, height)
}

impl<'a> Face<'a> {
    /// Whether its ways stand in two numbered columns.
    fn has_columns(&self) -> bool {
        match self.panel.kind.get() {
            Some(PanelKind::Breaker | PanelKind::SplitBus | PanelKind::LoadSideSubpanel) => true,
            Some(
                PanelKind::PlugFuse
                | PanelKind::CartridgePullOut
                | PanelKind::Disconnect
                | PanelKind::DcCombiner,
            ) => false,
            None => {
                !self.panel.ways.iter().any(|way| way.device.kind.get().is_some_and(|kind| kind.is_fuse()))
            }
        }
    }

    /// Runs that begin at a way.
    fn leaving(&self, way: usize) -> impl Iterator<Item = usize> {
        self.house.runs_from_way(self.panel_at, way)
    }

    /// Runs that end at an item.
    fn ending_at(&self, item: &Id) -> &[usize] {
        self.ending.get(item).map_or(&[], Vec::as_slice)
    }

    /// The worst that is said about the panel: it is no better than its worst way.
    fn worst(&self) -> Option<Mark> {
        mark_of(self.marks, &self.about, &self.panel.id)
    }

    /// The worst that is said about a way and all that it stands for.
    fn mark_of(&self, way: &Way) -> Option<Mark> {
        mark_of(self.marks, &self.about, &way.id)
    }
}
