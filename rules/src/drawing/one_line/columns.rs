//! What stands side by side in each box: sections with their terminals at the top and at the bottom.

use super::graph::{Graph, Key, Kind};
use super::layers::Layers;
use crate::survey::Panel;

/// Number of a terminal: twice the piece, and one more for the piece's lower end.
pub(super) type Port = usize;

/// Terminals of one device or contact.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Column {
    pub(super) key: Key,
    pub(super) ports: Vec<Port>,
    /// The device stands elsewhere in the box; here is only a way to its terminal.
    pub(super) second: bool,
}

/// A part of a box with its own bus: a section of a panel, or the whole of any other box.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Part {
    /// Number of the bus section.
    pub(super) section: usize,
    /// It lies behind the main.
    pub(super) root: bool,
    pub(super) tops: Vec<Column>,
    pub(super) bottoms: Vec<Column>,
    /// The unit that joins this section to the part before it.
    pub(super) coupler: Option<Coupler>,
}

/// A device between two bus sections.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Coupler {
    pub(super) unit: usize,
    /// The other section does not stand beside it: a mark names it.
    pub(super) open: bool,
    /// The device was drawn already.
    pub(super) again: bool,
}

/// The parts of every box.
pub(super) fn parts(panels: &[Panel], graph: &Graph, layers: &Layers) -> Vec<Vec<Part>> {
    let mut all: Vec<Vec<Part>> = layers
        .kinds
        .iter()
        .map(|kind| match kind {
            Kind::Panel(panel) => panel_parts(&panels[*panel], graph, *panel),
            _ => vec![Part::default()],
        })
        .collect();
    for (at, piece) in layers.pieces.iter().enumerate() {
        add_port(&mut all[piece.upper.node], graph, layers, piece.upper, 2 * at, false);
        add_port(&mut all[piece.lower.node], graph, layers, piece.lower, 2 * at + 1, !piece.is_loop());
    }
    for (node, kind) in layers.kinds.iter().enumerate() {
        if let Kind::Panel(panel) = kind {
            add_devices(&mut all[node], graph, *panel);
        }
    }
    all
}

/// As [`parts`], for boxes without an inside: one part, and a terminal for each wire.
pub(super) fn plain(layers: &Layers) -> Vec<Vec<Part>> {
    let mut all = vec![vec![Part::default()]; layers.kinds.len()];
    for (at, piece) in layers.pieces.iter().enumerate() {
        let column = |key, port| Column { key, ports: vec![port], second: false };
        all[piece.upper.node][0].bottoms.push(column(piece.upper.key, 2 * at));
        let lower = &mut all[piece.lower.node][0];
        let side = if piece.is_loop() { &mut lower.bottoms } else { &mut lower.tops };
        side.push(column(piece.lower.key, 2 * at + 1));
    }
    all
}

/// Sections of a panel, each beside the one that feeds it where two have room for that.
fn panel_parts(panel: &Panel, graph: &Graph, at: usize) -> Vec<Part> {
    let first = panel.buses.iter().position(|bus| bus.fed_by.is_none()).unwrap_or(0);
    let mut parts = vec![Part { section: first, root: true, ..Part::default() }];
    let mut drawn_units: Vec<usize> = Vec::new();
    let mut seen = vec![first];
    let mut next = 0;
    while next < seen.len() {
        let parent = seen[next];
        next += 1;
        for section in 0..panel.buses.len() {
            let Some(unit) = feeder(panel, graph, at, section) else { continue };
            if seen.contains(&section) || graph.panels[at].units[unit].section != parent {
                continue;
            }
            seen.push(section);
            let again = drawn_units.contains(&unit);
            drawn_units.push(unit);
            join(&mut parts, parent, section, unit, again);
        }
    }
    for section in (0..panel.buses.len()).filter(|section| !seen.contains(section)) {
        let unit = feeder(panel, graph, at, section);
        let coupler = unit.map(|unit| {
            let again = drawn_units.contains(&unit);
            drawn_units.push(unit);
            Coupler { unit, open: true, again }
        });
        parts.push(Part { section, coupler, ..Part::default() });
    }
    parts
}

/// The unit whose way a section names as its feeder.
pub(super) fn feeder(panel: &Panel, graph: &Graph, at: usize, section: usize) -> Option<usize> {
    let way = panel.buses.get(section)?.fed_by.as_ref()?;
    let way = panel.ways.iter().position(|own| own.id == *way)?;
    Some(graph.panels[at].unit_of(way))
}

fn join(parts: &mut Vec<Part>, parent: usize, section: usize, unit: usize, again: bool) {
    let part = Part { section, ..Part::default() };
    let is = |part: Option<&Part>| part.is_some_and(|part| part.section == parent);
    if is(parts.last()) {
        parts.push(Part { coupler: Some(Coupler { unit, open: false, again }), ..part });
    } else if is(parts.first()) {
        parts[0].coupler = Some(Coupler { unit, open: false, again });
        parts.insert(0, part);
    } else {
        parts.push(Part { coupler: Some(Coupler { unit, open: true, again }), ..part });
    }
}

/// Adds a terminal to its column.
fn add_port(
    parts: &mut [Part],
    graph: &Graph,
    layers: &Layers,
    end: super::graph::End,
    port: Port,
    top: bool,
) {
    let part = match (layers.kinds[end.node], end.key) {
        (Kind::Panel(panel), Key::Unit(unit)) => part_of(parts, &graph.panels[panel].units[unit]),
        (Kind::Panel(_), _) => parts.iter().position(|part| part.root).unwrap_or(0),
        _ => 0,
    };
    let side = if top { &mut parts[part].tops } else { &mut parts[part].bottoms };
    let shared = matches!(layers.kinds[end.node], Kind::Panel(_) | Kind::Transfer(_));
    match side.iter_mut().find(|column| shared && column.key == end.key) {
        Some(column) => column.ports.push(port),
        None => side.push(Column { key: end.key, ports: vec![port], second: false }),
    }
}

/// The part in which a unit's terminal lies: its own section's, or the one that it feeds.
fn part_of(parts: &[Part], unit: &super::graph::Unit) -> usize {
    let section = unit.feeds.unwrap_or(unit.section);
    parts.iter().position(|part| part.section == section).unwrap_or(0)
}

/// Adds what stands in a panel without a wire, and marks what would be drawn twice.
fn add_devices(parts: &mut [Part], graph: &Graph, at: usize) {
    let units = &graph.panels[at].units;
    for (number, unit) in units.iter().enumerate() {
        let part = part_of(parts, unit);
        let key = Key::Unit(number);
        let coupled = parts.iter().any(|part| part.coupler.is_some_and(|coupler| coupler.unit == number));
        let has = |columns: &[Column]| columns.iter().any(|column| column.key == key);
        let (top, bottom) = (has(&parts[part].tops), has(&parts[part].bottoms));
        if coupled {
            for column in parts[part].tops.iter_mut().chain(&mut parts[part].bottoms) {
                column.second |= column.key == key;
            }
        } else if top && bottom {
            set_second(&mut parts[part].tops, key);
        } else if !top && !bottom && !unit.listed && !unit.ways.is_empty() {
            parts[part].bottoms.push(Column { key, ports: vec![], second: false });
        }
    }
    let main = parts.iter().position(|part| part.root).unwrap_or(0);
    let has = |columns: &[Column]| columns.iter().any(|column| column.key == Key::Line);
    let (top, bottom) = (has(&parts[main].tops), has(&parts[main].bottoms));
    if top && bottom {
        set_second(&mut parts[main].bottoms, Key::Line);
    } else if !top && !bottom {
        parts[main].tops.push(Column { key: Key::Line, ports: vec![], second: false });
    }
}

fn set_second(columns: &mut [Column], key: Key) {
    for column in columns.iter_mut().filter(|column| column.key == key) {
        column.second = true;
    }
}
