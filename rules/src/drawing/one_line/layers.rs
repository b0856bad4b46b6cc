//! In which layer each box stands: sources at the top, everything below what feeds it.

use super::balance::balance;
use super::graph::{End, Graph, Key, Kind};
use crate::house::House;
use crate::survey::SupplyKind;

/// A piece of a wire between two neighbouring layers, or from a box back to itself.
#[derive(Debug, Clone, Copy)]
pub(super) struct Piece {
    /// Number of the edge.
    pub(super) edge: usize,
    /// Its end at the lower side of the upper box.
    pub(super) upper: End,
    /// Its end at the upper side of the lower box; at its lower side where both are one box.
    pub(super) lower: End,
}

impl Piece {
    pub(super) fn is_loop(&self) -> bool {
        self.upper.node == self.lower.node
    }
}

/// Boxes in layers, with a bend wherever a wire passes one.
#[derive(Debug, Clone, Default)]
pub(super) struct Layers {
    pub(super) kinds: Vec<Kind>,
    pub(super) layer: Vec<usize>,
    pub(super) pieces: Vec<Piece>,
    pub(super) count: usize,
}

impl Layers {
    pub(super) fn of(house: &House<'_>, graph: &Graph) -> Self {
        let backward = backward_edges(house, graph);
        let forward = forward_edges(graph, &backward);
        let mut layer = longest_paths(graph, &forward);
        balance(house, graph, &forward, &mut layer);
        let mut layers = Self { kinds: graph.nodes.clone(), layer, pieces: Vec::new(), count: 0 };
        for (edge, item) in graph.edges.iter().enumerate() {
            let (upper, lower) = if layers.layer[item.from.node] <= layers.layer[item.to.node] {
                (item.from, item.to)
            } else {
                (item.to, item.from)
            };
            layers.split(edge, upper, lower);
        }
        layers.count = layers.layer.iter().max().map_or(0, |last| last + 1);
        layers
    }

    /// Cuts a wire into pieces from layer to layer.
    fn split(&mut self, edge: usize, upper: End, lower: End) {
        let mut above = upper;
        for layer in self.layer[upper.node] + 1..self.layer[lower.node] {
            let bend = End { node: self.kinds.len(), key: Key::Plain };
            self.kinds.push(Kind::Bend);
            self.layer.push(layer);
            self.pieces.push(Piece { edge, upper: above, lower: bend });
            above = bend;
        }
        self.pieces.push(Piece { edge, upper: above, lower });
    }
}

/// Where a search of the house begins: utilities, other supplies, then whatever is left.
fn beginnings(house: &House<'_>, graph: &Graph) -> Vec<usize> {
    let rank = |kind: &Kind| match kind {
        Kind::Supply(at) => match house.survey.supplies[*at].kind {
            SupplyKind::Utility => 0,
            SupplyKind::Generator | SupplyKind::Solar => 1,
            SupplyKind::Battery => 2,
            SupplyKind::Inverter => 3,
        },
        _ => 4,
    };
    let mut order: Vec<usize> = (0..graph.nodes.len()).collect();
    order.sort_by_key(|node| (rank(&graph.nodes[*node]), *node));
    order
}

/// Edges that would close a circle.
fn backward_edges(house: &House<'_>, graph: &Graph) -> Vec<bool> {
    let mut leaving = vec![Vec::new(); graph.nodes.len()];
    for (edge, item) in graph.edges.iter().enumerate() {
        leaving[item.from.node].push(edge);
    }
    let mut backward = vec![false; graph.edges.len()];
    // 0: not met yet, 1: on the way down from it, 2: done.
    let mut state = vec![0_u8; graph.nodes.len()];
    for start in beginnings(house, graph) {
        let mut stack = vec![(start, 0)];
        if state[start] != 0 {
            continue;
        }
        state[start] = 1;
        while let Some((node, next)) = stack.last_mut() {
            let Some(&edge) = leaving[*node].get(*next) else {
                state[*node] = 2;
                stack.pop();
                continue;
            };
            *next += 1;
            let to = graph.edges[edge].to.node;
            match state[to] {
                0 => {
                    state[to] = 1;
                    stack.push((to, 0));
                }
                1 => backward[edge] = true,
                _ => {}
            }
        }
    }
    backward
}

/// Edges as upper and lower box, without those that lead back to their own box.
fn forward_edges(graph: &Graph, backward: &[bool]) -> Vec<(usize, usize)> {
    let ends = graph.edges.iter().zip(backward).map(|(edge, backward)| {
        let (from, to) = (edge.from.node, edge.to.node);
        if *backward { (to, from) } else { (from, to) }
    });
    ends.filter(|(from, to)| from != to).collect()
}

/// The layer of each box: one below the lowest box that feeds it.
fn longest_paths(graph: &Graph, forward: &[(usize, usize)]) -> Vec<usize> {
    let count = graph.nodes.len();
    let mut below = vec![Vec::new(); count];
    let mut waiting = vec![0_usize; count];
    for &(from, to) in forward {
        below[from].push(to);
        waiting[to] += 1;
    }
    let mut layer = vec![0; count];
    let mut ready: Vec<usize> = (0..count).filter(|node| waiting[*node] == 0).collect();
    let mut next = 0;
    while let Some(&node) = ready.get(next) {
        next += 1;
        for &to in &below[node] {
            layer[to] = layer[to].max(layer[node] + 1);
            waiting[to] -= 1;
            if waiting[to] == 0 {
                ready.push(to);
            }
        }
    }
    layer
}
