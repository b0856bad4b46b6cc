//! Which supply feeds what, along which path.
//!
//! The house is read as trees: each utility is a root, and a supply that no root reaches is a root
//! of its own. A standby supply feeds what hangs below the first point on its way towards the
//! root at which other loads join: the bus section it is fed back into, or the output of the
//! transfer switch. That is the reach intended; every other way in which two sources can meet is
//! the matter of the isolation search, not of this reading.
//!
//! A tree goes through every position of a transfer switch, so that each part of the house has a way
//! towards a root; but no supply feeds anything in by one position and out by another.

use std::collections::BTreeMap;

use super::{EdgeId, Link, Network, Node, NodeId};
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
        feeds.own_sides(network);
        feeds
    }

    /// What lies behind another position than the root's is of the supply that feeds it from there.
    /// Where none was entered yet, the root stands for the voltage that is to come.
    fn own_sides(&mut self, network: &Network) {
        let mut behind = vec![false; network.nodes().len()];
        for at in 0..self.order.len() {
            let node = self.order[at];
            let Some(parent) = self.parent(network, node) else { continue };
            behind[node as usize] = behind[parent as usize] || self.leaves_by_other(network, node);
            if behind[node as usize]
                && let Some((supply, _)) = self.paths_to(network, node).first()
            {
                self.root[node as usize] = *supply as u32;
            }
        }
    }

    /// Whether a node is the input of a transfer switch that the root reaches by another one: it and what
    /// lies behind it are fed from there.
    #[must_use]
    pub fn leaves_by_other(&self, network: &Network, node: NodeId) -> bool {
        let Some(up) = self.up_edge(node) else { return false };
        let output = network.edge(up).other(node);
        self.up_edge(output).is_some_and(|next| same_transfer(network, up, next))
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
    ///
    /// Loads ahead of a transfer switch of which the root has another position are the supply's alone: what
    /// it feeds begins at the output.
    fn climb(&self, network: &Network, start: NodeId, loads: &[u32]) -> NodeId {
        if let Some(output) = self.last_output(network, start) {
            return output;
        }
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

    /// The output nearest to the root of a switch with one position towards it and another towards here.
    fn last_output(&self, network: &Network, start: NodeId) -> Option<NodeId> {
        let (mut node, mut found) = (start, None);
        while let Some(parent) = self.parent(network, node) {
            if self.leaves_by_other(network, node) {
                found = Some(parent);
            }
            node = parent;
        }
        found
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
        let mut upward = Vec::new();
        let mut here = node;
        let mut passed = vec![node];
        while let Some(edge) = self.up_edge(here) {
            upward.push(edge);
            here = network.edge(edge).other(here);
            passed.push(here);
        }
        let mut paths = Vec::new();
        if let Node::Supply(root) = network.node(here) {
            paths.push((root, upward.iter().rev().copied().collect()));
        }
        let joining = passed.iter().enumerate().filter_map(|(at, top)| Some((at, self.standby_at.get(top)?)));
        for (top, supplies) in joining {
            for &supply in supplies {
                let start = network.supply(supply);
                paths.push((supply, self.way_down(network, start, &passed[..=top], &upward)));
            }
        }
        paths.retain(|(_, path)| !path.windows(2).any(|next| same_transfer(network, next[0], next[1])));
        paths
    }

    /// The edges from a supply to a node, with the nodes and edges from it upward. They go no higher than
    /// where the two ways meet.
    fn way_down(
        &self,
        network: &Network,
        start: NodeId,
        passed: &[NodeId],
        upward: &[EdgeId],
    ) -> Vec<EdgeId> {
        let (mut here, mut path) = (start, Vec::new());
        loop {
            if let Some(below) = passed.iter().position(|node| *node == here) {
                path.extend(upward[..below].iter().rev());
                return path;
            }
            let Some(edge) = self.up_edge(here) else { return path };
            path.push(edge);
            here = network.edge(edge).other(here);
        }
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

/// Whether two edges are positions of one transfer switch.
fn same_transfer(network: &Network, one: EdgeId, other: EdgeId) -> bool {
    match (network.edge(one).link, network.edge(other).link) {
        (Link::Position(one, _), Link::Position(other, _)) => one == other,
        _ => false,
    }
}

fn supplies_that(survey: &Survey, wanted: impl Fn(SupplyKind) -> bool) -> Vec<usize> {
    let numbered = survey.supplies.iter().enumerate();
    numbered.filter(|(_, supply)| wanted(supply.kind)).map(|(at, _)| at).collect()
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use crate::calc::fault::runs_on;
    use crate::fixture::{backed_up, survey, with};
    use crate::house::{House, Item};
    use crate::network::NodeId;
    use crate::survey::Id;

    /// Each supply that feeds an item, with the runs from it on.
    fn told(house: &Value, item: &str) -> Vec<String> {
        let survey = survey(house);
        let house = House::new(&survey);
        let paths = house.feeds.paths_to(&house.network, node(&house, item));
        let path = |(supply, path): (usize, Vec<_>)| {
            let runs = runs_on(&house, &path);
            let ids = std::iter::once(survey.supplies[supply].id.as_str())
                .chain(runs.iter().map(|run| survey.runs[*run].id.as_str()));
            ids.collect::<Vec<_>>().join(" ")
        };
        paths.into_iter().map(path).collect()
    }

    fn node(house: &House<'_>, item: &str) -> NodeId {
        match house.index.get(&Id::new(item).unwrap()) {
            Some(Item::Panel(panel)) => house.network.line(panel),
            Some(Item::Run(run)) => house.network.run_end(run),
            other => panic!("{item}: {other:?}"),
        }
    }

    /// The house of [`backed_up`] whose inverter has a panel of its own ahead of the transfer switch.
    fn own_panel(with_load: bool) -> Value {
        let base = backed_up();
        let (mut panel, mut load) = (base["panels"][1].clone(), base["runs"][5].clone());
        (panel["id"], panel["buses"][0]["id"]) = (json!("D"), json!("D.bus"));
        (panel["ways"][0]["id"], panel["ways"][1]["id"]) = (json!("D.1"), json!("D.2"));
        let mut feeder = base["runs"][3].clone();
        (feeder["id"], feeder["from"]) = (json!("RD"), json!("D.1"));
        (load["id"], load["from"]) = (json!("RX"), json!("D.2"));
        let mut changes = vec![("/panels/-", panel), ("/runs/-", feeder), ("/runs/3/to", json!("D"))];
        if with_load {
            changes.push(("/runs/-", load));
        }
        with(base, &changes)
    }

    #[test]
    fn no_supply_feeds_back_out_of_another_position_of_a_transfer_switch() {
        assert_eq!(told(&own_panel(false), "D"), ["B RB"]);
        assert_eq!(told(&own_panel(false), "RD"), ["B RB RD"]);
        assert_eq!(told(&backed_up(), "RK"), ["U RS RF RT RK", "B RB RT RK"]);
    }

    #[test]
    fn loads_ahead_of_the_switch_do_not_keep_a_supply_from_those_behind_it() {
        let house = own_panel(true);
        assert_eq!(told(&house, "RX"), ["B RB RX"]);
        assert_eq!(told(&house, "RK"), ["U RS RF RT RK", "B RB RD RT RK"]);
    }

    /// While nobody has entered what the inverter feeds behind its switch, it is not the utility's side.
    #[test]
    fn a_supply_without_loads_behind_its_switch_feeds_nothing_ahead_of_it() {
        let house = with(backed_up(), &[("/runs/4/to", json!(null)), ("/loads", json!([]))]);
        assert_eq!(told(&house, "R"), ["U RS R"]);
    }

    #[test]
    fn what_lies_on_its_own_side_has_the_supply_as_its_root() {
        let survey = survey(&own_panel(true));
        let house = House::new(&survey);
        let root = |item| house.feeds.root(node(&house, item)).map(|at| survey.supplies[at].id.as_str());
        assert_eq!(
            [root("D"), root("RX"), root("Q"), root("P")],
            [Some("B"), Some("B"), Some("U"), Some("U")]
        );
    }
}
