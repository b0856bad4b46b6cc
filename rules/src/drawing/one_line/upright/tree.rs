//! What hangs on a panel as a tree: from each terminal along the runs, each box once.

use super::super::graph::{End, Graph, Key, Kind};

/// A run, the box at its far end, and what goes on from there.
pub(super) struct Branch {
    /// Number of the edge.
    pub(super) edge: usize,
    /// The end that is nearer to the panel.
    pub(super) near: End,
    /// The end that is farther from it.
    pub(super) far: End,
    /// The box at the far end is drawn elsewhere; here is only its name.
    pub(super) named: bool,
    pub(super) children: Vec<Branch>,
}

/// The branches at each terminal of the panel, in the order of their runs.
pub(super) struct Tree {
    pub(super) at: Vec<(Key, Branch)>,
}

impl Tree {
    pub(super) fn of(graph: &Graph, root: usize) -> Self {
        let mut grower = Grower {
            graph,
            root,
            drawn: vec![false; graph.edges.len()],
            met: vec![false; graph.nodes.len()],
        };
        grower.met[root] = true;
        Self { at: grower.branches(root).into_iter().map(|branch| (branch.near.key, branch)).collect() }
    }

    /// The branches at a terminal.
    pub(super) fn on(&self, key: Key) -> Vec<&Branch> {
        self.at.iter().filter(|(own, _)| *own == key).map(|(_, branch)| branch).collect()
    }
}

struct Grower<'a> {
    graph: &'a Graph,
    root: usize,
    drawn: Vec<bool>,
    met: Vec<bool>,
}

impl Grower<'_> {
    fn branches(&mut self, node: usize) -> Vec<Branch> {
        let mut branches = Vec::new();
        for edge in 0..self.graph.edges.len() {
            let item = self.graph.edges[edge];
            let (near, far) = if item.from.node == node {
                (item.from, item.to)
            } else if item.to.node == node {
                (item.to, item.from)
            } else {
                continue;
            };
            // What leads back to the panel stands at its own terminal there.
            if self.drawn[edge] || (node != self.root && far.node == self.root) {
                continue;
            }
            self.drawn[edge] = true;
            branches.push(self.branch(edge, near, far));
        }
        branches
    }

    fn branch(&mut self, edge: usize, near: End, far: End) -> Branch {
        let elsewhere = matches!(self.graph.nodes[far.node], Kind::Elsewhere(_));
        let named = !elsewhere && self.met[far.node];
        self.met[far.node] = true;
        let children = if named || elsewhere { Vec::new() } else { self.branches(far.node) };
        Branch { edge, near, far, named, children }
    }
}
