//! The order of boxes in their layers and of terminals in their boxes, with few crossings: sweeps
//! by the mean place of the neighbours, a fixed number of rounds, the best order kept.

use super::columns::{Column, Part, Port};
use super::layers::Layers;

/// Rounds of sweeps. More changed nothing in the houses we drew.
const ROUNDS: usize = 10;

/// Boxes from left to right in each layer, and the terminals in each.
#[derive(Debug, Clone)]
pub(super) struct Order {
    pub(super) layers: Vec<Vec<usize>>,
    pub(super) parts: Vec<Vec<Part>>,
    rank: Vec<f32>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Side {
    Tops,
    Bottoms,
}

impl Order {
    /// The best order found.
    pub(super) fn of(layers: &Layers, parts: Vec<Vec<Part>>) -> Self {
        let mut order = Self { layers: first_order(layers), parts, rank: vec![0.0; 2 * layers.pieces.len()] };
        order.rank_all();
        order.settle(Side::Bottoms);
        let mut best = order.clone();
        let mut fewest = order.crossings(layers);
        for round in 0..ROUNDS {
            order.sweep_down();
            order.sweep_up();
            if round % 2 == 1 {
                order.swap_neighbours();
            }
            let crossings = order.crossings(layers);
            if crossings < fewest {
                (best, fewest) = (order.clone(), crossings);
            }
            if fewest == 0 {
                break;
            }
        }
        best
    }

    fn rank_all(&mut self) {
        for layer in 0..self.layers.len() {
            self.rank_layer(layer);
        }
    }

    /// Numbers the terminals of a layer from left to right, upper and lower ones apart.
    fn rank_layer(&mut self, layer: usize) {
        for side in [Side::Tops, Side::Bottoms] {
            let mut next = 0.0;
            for node in &self.layers[layer] {
                for part in &self.parts[*node] {
                    for port in columns(part, side).iter().flat_map(|column| &column.ports) {
                        self.rank[*port] = next;
                        next += 1.0;
                    }
                    // A little room, so that boxes without a wire count too.
                    next += 0.25;
                }
            }
        }
    }

    fn sweep_down(&mut self) {
        for layer in 1..self.layers.len() {
            self.sort_layer(layer, Side::Tops);
        }
        self.settle(Side::Bottoms);
    }

    fn sweep_up(&mut self) {
        for layer in (0..self.layers.len().saturating_sub(1)).rev() {
            self.sort_layer(layer, Side::Bottoms);
        }
        self.settle(Side::Tops);
    }

    /// Sorts boxes, and the terminals of this side, by where their neighbours stand.
    fn sort_layer(&mut self, layer: usize, side: Side) {
        let mut keyed: Vec<(f32, usize)> = Vec::new();
        let mut last = 0.0;
        for node in &self.layers[layer] {
            // What has no neighbour stays beside the one before it.
            last = self.mean_of_node(*node, side).unwrap_or(last);
            keyed.push((last, *node));
        }
        keyed.sort_by(|a, b| a.0.total_cmp(&b.0));
        self.layers[layer] = keyed.into_iter().map(|(_, node)| node).collect();
        for node in self.layers[layer].clone() {
            self.sort_columns(node, side);
        }
        self.rank_layer(layer);
    }

    /// Sorts the terminals of one side everywhere.
    fn settle(&mut self, side: Side) {
        for node in 0..self.parts.len() {
            self.sort_columns(node, side);
        }
        self.rank_all();
    }

    fn mean_of_node(&self, node: usize, side: Side) -> Option<f32> {
        let columns = self.parts[node].iter().flat_map(|part| columns(part, side));
        mean(columns.flat_map(|column| &column.ports).filter_map(|port| self.opposite(*port, node)))
    }

    /// Where the other end of a wire stands; none for a wire back to the same box.
    fn opposite(&self, port: Port, node: usize) -> Option<f32> {
        let own = |column: &Column| column.ports.contains(&(port ^ 1));
        let back = self.parts[node].iter().any(|part| part.bottoms.iter().any(own))
            && self.parts[node].iter().any(|part| part.bottoms.iter().any(|c| c.ports.contains(&port)));
        (!back).then(|| self.rank[port ^ 1])
    }

    fn sort_columns(&mut self, node: usize, side: Side) {
        let mut parts = std::mem::take(&mut self.parts[node]);
        for part in &mut parts {
            let list = match side {
                Side::Tops => &mut part.tops,
                Side::Bottoms => &mut part.bottoms,
            };
            for column in list.iter_mut() {
                column.ports.sort_by(|a, b| self.rank[a ^ 1].total_cmp(&self.rank[b ^ 1]).then(a.cmp(b)));
            }
            let key = |column: &Column| mean(column.ports.iter().map(|port| self.rank[port ^ 1]));
            list.sort_by(|a, b| match (key(a), key(b)) {
                (Some(a), Some(b)) => a.total_cmp(&b),
                // What has no wire stands at the right.
                (a, b) => b.is_some().cmp(&a.is_some()),
            });
        }
        self.parts[node] = parts;
    }

    /// Swaps neighbours wherever that takes a crossing away.
    fn swap_neighbours(&mut self) {
        for layer in 0..self.layers.len() {
            let mut changed = false;
            for at in 1..self.layers[layer].len() {
                let (left, right) = (self.layers[layer][at - 1], self.layers[layer][at]);
                if self.crossings_between(left, right) > self.crossings_between(right, left) {
                    self.layers[layer].swap(at - 1, at);
                    changed = true;
                }
            }
            if changed {
                self.rank_layer(layer);
            }
        }
    }

    /// Crossings between the wires of two boxes of a layer that stand in this order.
    fn crossings_between(&self, left: usize, right: usize) -> usize {
        let places = |node: usize, side: Side| {
            let parts = self.parts[node].iter().flat_map(move |part| columns(part, side));
            parts.flat_map(|column| &column.ports).map(|port| self.rank[port ^ 1])
        };
        let mut count = 0;
        for side in [Side::Tops, Side::Bottoms] {
            for one in places(left, side) {
                count += places(right, side).filter(|other| one > *other).count();
            }
        }
        count
    }

    /// Crossings of all wires between neighbouring layers.
    fn crossings(&self, layers: &Layers) -> usize {
        let mut between: Vec<Vec<(f32, f32)>> = vec![Vec::new(); layers.count];
        for (at, piece) in layers.pieces.iter().enumerate().filter(|(_, piece)| !piece.is_loop()) {
            let ends = (self.rank[2 * at], self.rank[2 * at + 1]);
            between[layers.layer[piece.upper.node]].push(ends);
        }
        let count = |wires: &Vec<(f32, f32)>| {
            let pairs = wires.iter().enumerate();
            let crossed = |a: &(f32, f32), b: &(f32, f32)| (a.0 - b.0) * (a.1 - b.1) < 0.0;
            pairs.map(|(at, a)| wires[at + 1..].iter().filter(|b| crossed(a, b)).count()).sum::<usize>()
        };
        between.iter().map(count).sum()
    }
}

fn columns(part: &Part, side: Side) -> &[Column] {
    match side {
        Side::Tops => &part.tops,
        Side::Bottoms => &part.bottoms,
    }
}

fn mean(values: impl Iterator<Item = f32>) -> Option<f32> {
    let (sum, count) = values.fold((0.0, 0.0), |(sum, count), value| (sum + value, count + 1.0));
    (count > 0.0).then(|| sum / count)
}

/// Boxes as a walk down from each source meets them.
fn first_order(layers: &Layers) -> Vec<Vec<usize>> {
    let count = layers.kinds.len();
    let mut below = vec![Vec::new(); count];
    for piece in layers.pieces.iter().filter(|piece| !piece.is_loop()) {
        below[piece.upper.node].push(piece.lower.node);
    }
    let mut order = vec![Vec::new(); layers.count];
    let mut seen = vec![false; count];
    let mut starts: Vec<usize> = (0..count).collect();
    starts.sort_by_key(|node| (layers.layer[*node], *node));
    for start in starts {
        let mut stack = vec![start];
        while let Some(node) = stack.pop() {
            if std::mem::replace(&mut seen[node], true) {
                continue;
            }
            order[layers.layer[node]].push(node);
            stack.extend(below[node].iter().rev());
        }
    }
    order
}
