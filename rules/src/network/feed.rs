//! Which supply feeds what, along which path.
//!
//! The house is read as trees: each utility is a root, and a supply that no root reaches is a root
//! of its own. A standby supply feeds what hangs below the first point on its way towards the
//! root at which other loads join: the bus section it is fed back into, or the output of the
//! transfer switch. That is the reach intended; every other way in which two sources can meet is
//! the matter of the isolation search, not of this reading.

use std::collections::BTreeMap;

use super::{EdgeId, Network, Node, NodeId};
use crate::survey::{SupplyKind, Survey};

/// No edge: the node is a root, or nothing reaches it.
const NONE: EdgeId = EdgeId::MAX;

/// A supply that feeds a node.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Feed {
    /// The supply's place in the survey's list.
    pub supply: usize,
    /// The node below which it feeds.
    pub top: NodeId,
}

/// The trees of the house.
#[derive(Debug, Clone)]
pub struct Feeds {
    /// The edge towards the root, by node.
    up: Vec<EdgeId>,
    /// Nodes in the order in which they were reached: parents before children.
    order: Vec<NodeId>,
    /// The root supply of each tree, by node.
    root: Vec<u32>,
    /// Standby supplies and the node below which each feeds.
    standby: Vec<Feed>,
    /// The same by that node.
    standby_at: BTreeMap<NodeId, Vec<usize>>,
}

impl Feeds {
    /// Reads the trees of a network.
    #[must_use]
    pub fn of(network: &Network, survey: &Survey) -> Self {
        let count = network.nodes().len();
        let mut feeds = Self {
            up: vec![NONE; count],
            order: Vec::with_capacity(count),
            root: vec![u32::MAX; count],
            standby: Vec::new(),
            standby_at: BTreeMap::new(),
        };
        let utilities = supplies_that(survey, |kind| kind == SupplyKind::Utility);
        for supply in &utilities {
            feeds.grow(network, *supply);
        }
        for supply in supplies_that(survey, |kind| kind != SupplyKind::Utility) {
            if feeds.root[network.supply(supply) as usize] == u32::MAX {
                feeds.grow(network, supply);
            }
        }
        let has_loads = feeds.nodes_with_loads(network, survey);
        for supply in
            supplies_that(survey, |kind| matches!(kind, SupplyKind::Inverter | SupplyKind::Generator))
        {
            let start = network.supply(supply);
            if feeds.root[start as usize] != supply as u32 {
                let top = feeds.climb(network, start, &has_loads);
                feeds.standby_at.entry(top).or_default().push(supply);
                feeds.standby.push(Feed { supply, top });
            }
        }
        feeds
    }

    fn grow(&mut self, network: &Network, supply: usize) {
        let start = network.supply(supply);
        if self.root[start as usize] != u32::MAX {
            return;
        }
        self.root[start as usize] = supply as u32;
        let mut next = self.order.len();
        self.order.push(start);
        while let Some(&node) = self.order.get(next) {
            next += 1;
            for &edge in network.edges_at(node) {
                let other = network.edge(edge).other(node);
                if self.root[other as usize] == u32::MAX {
                    self.root[other as usize] = supply as u32;
                    self.up[other as usize] = edge;
                    self.order.push(other);
                }
            }
        }
    }

    /// How many runs with loads end at or below each node.
    fn nodes_with_loads(&self, network: &Network, survey: &Survey) -> Vec<u32> {
        let mut loads = vec![0_u32; network.nodes().len()];
        for (run, item) in survey.runs.iter().enumerate() {
            // A run that goes nowhere else ends at its loads.
            loads[network.run_end(run) as usize] += u32::from(item.to.is_none());
        }
        for &node in self.order.iter().rev() {
            if let Some(parent) = self.parent(network, node) {
                loads[parent as usize] += loads[node as usize];
            }
        }
        loads
    }

    /// The first node towards the root at which other loads join. Where none were entered yet, it is the
    /// last bus or transfer output before the root: never the utility's own side of it.
    fn climb(&self, network: &Network, start: NodeId, loads: &[u32]) -> NodeId {
        let own = loads[start as usize];
        let (mut node, mut joint) = (start, None);
        while loads[node as usize] == own {
            if matches!(network.node(node), Node::Bus(..) | Node::TransferOutput(_)) {
                joint = Some(node);
            }
            match self.parent(network, node) {
                Some(parent) => node = parent,
                None => return joint.unwrap_or(node),
            }
        }
        node
    }

    /// The node one step nearer to the root.
    #[must_use]
    pub fn parent(&self, network: &Network, node: NodeId) -> Option<NodeId> {
        let edge = self.up_edge(node)?;
        Some(network.edge(edge).other(node))
    }

    /// The edge towards the root.
    #[must_use]
    pub fn up_edge(&self, node: NodeId) -> Option<EdgeId> {
        Some(self.up[node as usize]).filter(|edge| *edge != NONE)
    }

    /// Nodes that a root reaches, parents before children.
    #[must_use]
    pub fn order(&self) -> &[NodeId] {
        &self.order
    }

    /// The root supply that reaches a node.
    #[must_use]
    pub fn root(&self, node: NodeId) -> Option<usize> {
        Some(self.root[node as usize]).filter(|root| *root != u32::MAX).map(|root| root as usize)
    }

    /// The standby supplies and where each joins.
    #[must_use]
    pub fn standby(&self) -> &[Feed] {
        &self.standby
    }

    /// Every supply that feeds a node, the root first, each with the edges from the supply to it.
    #[must_use]
    pub fn paths_to(&self, network: &Network, node: NodeId) -> Vec<(usize, Vec<EdgeId>)> {
        let Some(root) = self.root(node) else { return Vec::new() };
        let mut upward = Vec::new();
        let mut here = node;
        let mut passed = vec![node];
        while let Some(edge) = self.up_edge(here) {
            upward.push(edge);
            here = network.edge(edge).other(here);
            passed.push(here);
        }
        let mut paths = vec![(root, upward.iter().rev().copied().collect())];
        let joining =
            passed.iter().enumerate().filter_map(|(below, top)| Some((below, self.standby_at.get(top)?)));
        for (below, supplies) in joining {
            for &supply in supplies {
                let start = network.supply(supply);
                if passed[..below].contains(&start) {
                    continue;
                }
                let mut path = self.edges_up(network, start, passed[below]);
                path.extend(upward[..below].iter().rev());
                paths.push((supply, path));
            }
        }
        paths
    }

    /// Edges from a node up to one of its ancestors.
    #[must_use]
    pub fn edges_up(&self, network: &Network, from: NodeId, to: NodeId) -> Vec<EdgeId> {
        let mut edges = Vec::new();
        let mut here = from;
        while here != to {
            let Some(edge) = self.up_edge(here) else { break };
            edges.push(edge);
            here = network.edge(edge).other(here);
        }
        edges
    }
}

fn supplies_that(survey: &Survey, wanted: impl Fn(SupplyKind) -> bool) -> Vec<usize> {
    let numbered = survey.supplies.iter().enumerate();
    numbered.filter(|(_, supply)| wanted(supply.kind)).map(|(at, _)| at).collect()
}
