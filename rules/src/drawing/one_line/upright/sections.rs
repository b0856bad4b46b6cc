//! The bus sections of a panel from top to bottom, and what is told of each in lines.

use super::super::columns;
use super::super::graph::{Graph, Key, Unit};
use super::super::head::{self, Ground, Row};
use super::super::{Sheet, links};
use crate::drawing::mark::Mark;
use crate::survey::Panel;

/// A bus section.
pub(super) struct Section {
    /// Its number in the panel's list.
    pub(super) number: usize,
    /// The unit that feeds it.
    pub(super) feeder: Option<usize>,
    /// That unit stands right above it, between the two buses.
    pub(super) inline: bool,
    pub(super) title: Vec<String>,
    pub(super) notes: Vec<String>,
    pub(super) mark: Option<Mark>,
    pub(super) rows: Vec<Row>,
}

/// What stands in a line of the drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum What {
    /// A wire to the incoming lugs, by its place among them.
    Incoming(usize),
    /// Name, verdict and feed of a section, by its place.
    Head,
    /// A way that is drawn by itself: its unit.
    Way(usize),
    /// The feed-through lugs.
    Through,
    /// A circuit of the list, by its place there.
    Circuit(usize),
    /// A joint of neutral and ground, or an electrode.
    Ground(usize),
    /// An interlock, by its place among those of the panel.
    Link(usize),
}

/// A line and its height.
#[derive(Debug, Clone, Copy)]
pub(super) struct Line {
    pub(super) what: What,
    /// The place of its section.
    pub(super) section: usize,
    pub(super) height: f32,
}

/// The panel as it is told.
pub(super) struct Inside {
    pub(super) sections: Vec<Section>,
    pub(super) grounds: Vec<Ground>,
    /// Interlocks and the units that each ties.
    pub(super) links: Vec<(usize, Vec<usize>)>,
}

impl Inside {
    /// `has_wires` tells at which units a run begins or ends.
    pub(super) fn of(sheet: &Sheet<'_>, graph: &Graph, at: usize, has_wires: impl Fn(Key) -> bool) -> Self {
        let panel = &sheet.house.survey.panels[at];
        let units = &graph.panels[at].units;
        let order = order(panel, graph, at);
        let sections = order.iter().enumerate().map(|(place, &number)| {
            let feeder = columns::feeder(panel, graph, at, number);
            let above = place.checked_sub(1).map(|above| order[above]);
            let inline = feeder.is_some_and(|feeder| {
                let unit = &units[feeder];
                unit.feeds == Some(number) && Some(unit.section) == above && !has_wires(Key::Unit(feeder))
            });
            let first = place == 0;
            Section {
                number,
                feeder,
                inline,
                title: Vec::new(),
                notes: Vec::new(),
                mark: if first { sheet.panel_mark(at) } else { None },
                rows: head::rows(sheet, graph, at, number),
            }
        });
        Self {
            sections: sections.collect(),
            grounds: head::grounds(sheet, panel),
            links: links::of_panel(sheet, graph, at),
        }
    }

    /// The units of a section that are drawn by themselves, in the order of their numbers.
    pub(super) fn ways(&self, panel: &Panel, units: &[Unit], section: usize) -> Vec<usize> {
        let inline =
            |unit: usize| self.sections.iter().any(|section| section.inline && section.feeder == Some(unit));
        let number = self.sections[section].number;
        let own = |at: &usize| {
            let unit = &units[*at];
            unit.section == number && !unit.listed && !unit.ways.is_empty() && !inline(*at)
        };
        let mut ways: Vec<usize> = (0..units.len()).filter(own).collect();
        let space = |unit: &usize| {
            let spaces = units[*unit].ways.iter().flat_map(|way| &panel.ways[*way].spaces);
            spaces.min().copied().unwrap_or(u16::MAX)
        };
        ways.sort_by_key(|unit| (space(unit), *unit));
        ways
    }
}

/// Sections from the first one on, each above those that it feeds; those that nothing feeds last.
fn order(panel: &Panel, graph: &Graph, at: usize) -> Vec<usize> {
    let first = panel.buses.iter().position(|bus| bus.fed_by.is_none()).unwrap_or(0);
    let above = |section: usize| {
        let unit = columns::feeder(panel, graph, at, section)?;
        Some(graph.panels[at].units[unit].section)
    };
    let mut order = Vec::new();
    let mut next = vec![first];
    while let Some(section) = next.pop() {
        if !order.contains(&section) {
            order.push(section);
            next.extend((0..panel.buses.len()).rev().filter(|fed| above(*fed) == Some(section)));
        }
    }
    let rest: Vec<usize> = (0..panel.buses.len()).filter(|section| !order.contains(section)).collect();
    order.extend(rest);
    order
}

/// How many lines each sheet of this height takes: whole sections where that leaves no sheet nearly empty. Where there
/// are several sheets, each keeps room for the marks of a bus that goes on.
pub(super) fn split(lines: &[Line], height: f32, marks: f32) -> Vec<usize> {
    /// A sheet ends with a section from this share of its height on.
    const FULL: f32 = 0.35;
    let sum = |lines: &[Line]| lines.iter().map(|line| line.height).sum::<f32>();
    let mut counts = Vec::new();
    let mut rest = lines;
    while sum(rest) > height - if counts.is_empty() { 0.0 } else { marks } {
        let (mut used, mut fits, mut whole) = (0.0, 0, None);
        for (at, line) in rest.iter().enumerate() {
            if line.what == What::Head && at > 0 && used >= height * FULL {
                whole = Some(at);
            }
            if used + line.height > height - marks {
                break;
            }
            used += line.height;
            fits = at + 1;
        }
        let count = whole.unwrap_or(fits).max(1);
        counts.push(count);
        rest = &rest[count..];
    }
    counts.push(rest.len());
    counts.retain(|count| *count > 0);
    counts
}
