//! Evens out the widths of the layers: a box may stand lower than it must, where that makes the drawing narrower.

use super::graph::{Graph, Kind};
use crate::house::House;

/// Width that a passing wire takes [units].
const PASSING: f32 = 48.0;
/// Width above which one more layer is allowed [units].
const TOO_WIDE: f32 = 2600.0;
/// Most moves; each one lowers the sum of the squares.
const MOVES: usize = 40;

/// Moves boxes down. `forward` gives each edge as upper and lower box.
pub(super) fn balance(house: &House<'_>, graph: &Graph, forward: &[(usize, usize)], layer: &mut Vec<usize>) {
    let widths: Vec<f32> = graph.nodes.iter().map(|kind| width(house, graph, *kind)).collect();
    let count = layer.iter().max().map_or(0, |last| last + 1);
    let widest = totals(&widths, forward, layer).into_iter().fold(0.0, f32::max);
    let most = if widest > TOO_WIDE { count + 1 } else { count };
    for _ in 0..MOVES {
        let before = cost(&totals(&widths, forward, layer));
        let Some((better, moved)) = best_move(graph, &widths, forward, layer, most) else { break };
        if better >= before {
            break;
        }
        *layer = moved;
    }
}

/// The widest layer counts most.
fn cost(totals: &[f32]) -> f32 {
    let widest = totals.iter().copied().fold(0.0, f32::max);
    let squares: f32 = totals.iter().map(|width| width * width).sum();
    widest * widest * totals.len() as f32 + squares * 0.2
}

fn best_move(
    graph: &Graph,
    widths: &[f32],
    forward: &[(usize, usize)],
    layer: &[usize],
    most: usize,
) -> Option<(f32, Vec<usize>)> {
    let totals = totals(widths, forward, layer);
    let widest = (0..totals.len()).max_by(|a, b| totals[*a].total_cmp(&totals[*b]))?;
    let nodes = (0..layer.len()).filter(|node| layer[*node] == widest);
    // Sources stay at the top.
    let movable = nodes.filter(|node| !matches!(graph.nodes[*node], Kind::Supply(_)));
    movable
        .filter_map(|node| {
            let moved = moved_down(node, forward, layer);
            let last = moved.iter().max().map_or(0, |last| last + 1);
            (last <= most).then(|| (cost(&self::totals(widths, forward, &moved)), moved))
        })
        .min_by(|a, b| a.0.total_cmp(&b.0))
}

/// The layers with a box one lower, and whatever it pushes.
fn moved_down(node: usize, forward: &[(usize, usize)], layer: &[usize]) -> Vec<usize> {
    let mut moved = layer.to_vec();
    moved[node] += 1;
    let mut pushed = vec![node];
    while let Some(upper) = pushed.pop() {
        for (_, lower) in forward.iter().filter(|(from, _)| *from == upper) {
            if moved[*lower] <= moved[upper] {
                moved[*lower] = moved[upper] + 1;
                pushed.push(*lower);
            }
        }
    }
    moved
}

fn totals(widths: &[f32], forward: &[(usize, usize)], layer: &[usize]) -> Vec<f32> {
    let mut totals = vec![0.0; layer.iter().max().map_or(0, |last| last + 1)];
    for (node, width) in widths.iter().enumerate() {
        totals[layer[node]] += width;
    }
    for (from, to) in forward {
        for passed in totals.iter_mut().take(layer[*to]).skip(layer[*from] + 1) {
            *passed += PASSING;
        }
    }
    totals
}

/// About how wide a box will be [units].
fn width(house: &House<'_>, graph: &Graph, kind: Kind) -> f32 {
    match kind {
        Kind::Panel(at) => {
            let panel = &house.survey.panels[at];
            let units = &graph.panels[at].units;
            let sections = panel.buses.len().max(1);
            let lists = (0..sections)
                .map(|section| {
                    let rows = units.iter().filter(|unit| unit.listed && unit.section == section).count();
                    if rows > 0 { 370.0 } else { 190.0 }
                })
                .sum::<f32>();
            let columns = units.iter().filter(|unit| !unit.listed && !unit.ways.is_empty()).count();
            lists + 118.0 * columns as f32 + 60.0
        }
        Kind::Supply(_) | Kind::Group(_) => 280.0,
        Kind::Transfer(_) => 340.0,
        Kind::Inlet(_) | Kind::Load(_) | Kind::Loose(_) | Kind::Elsewhere(_) => 200.0,
        Kind::Joint(_) => 170.0,
        Kind::Bend => PASSING,
    }
}
