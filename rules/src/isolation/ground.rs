//! The equipment ground followed back: from the joint of neutral and ground outwards over every
//! grounding wire, raceway and armor, to see which enclosures it reaches.
//!
//! A transfer switch does not open grounds. Armor without its strip is no ground (NFPA 70-2023 250.118(8)).
//! The earth itself is none either (250.4(A)(5)).

use std::collections::VecDeque;

use crate::finding::Missing;
use crate::house::House;
use crate::network::{Bond, Edge, Island, Link, Node, NodeId, Place};
use crate::survey::{Fact, GroundPath, Id, PanelKind};

/// Whether an enclosure finds back to the joint of neutral and ground.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Back {
    /// It does.
    Holds,
    /// Nothing leads back: these runs on the way have no ground.
    Broken(Vec<usize>),
    /// It hangs on these facts.
    Unknown(Vec<Missing>),
}

/// One enclosure in an island.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ground {
    /// The panel or supply.
    pub item: Id,
    /// Whether its ground finds back.
    pub back: Back,
}

/// Every enclosure of an island, followed back to its joints; empty where there is none to follow to.
#[must_use]
pub fn grounds(house: &House<'_>, island: &Island, bonds: &[Bond]) -> Vec<Ground> {
    if bonds.is_empty() {
        return Vec::new();
    }
    let reached = reached(house, bonds);
    let panels = island.members(house).into_iter().filter_map(|member| match member.place {
        Place::Panel(at) if house.survey.panels[at].kind.get() != Some(PanelKind::DcCombiner) => {
            Some((house.network.line(at), &house.survey.panels[at].id))
        }
        _ => None,
    });
    let own = &house.survey.supplies[island.mode.supply];
    let is_utility = own.kind == crate::survey::SupplyKind::Utility;
    let source = (!is_utility).then(|| (house.network.supply(island.mode.supply), &own.id));
    panels
        .chain(source)
        .map(|(node, item)| Ground { item: item.clone(), back: back(house, &reached, node) })
        .collect()
}

fn back(house: &House<'_>, reached: &[Option<Vec<Missing>>], node: NodeId) -> Back {
    match &reached[node as usize] {
        Some(missing) if missing.is_empty() => Back::Holds,
        Some(missing) => Back::Unknown(missing.clone()),
        None => Back::Broken(broken(house, reached, node)),
    }
}

/// Runs without a ground on the way from a node towards what the joint reaches.
fn broken(house: &House<'_>, reached: &[Option<Vec<Missing>>], node: NodeId) -> Vec<usize> {
    let mut runs = Vec::new();
    let mut here = node;
    while reached[here as usize].is_none() {
        let Some(number) = house.feeds.up_edge(here) else { break };
        let edge = house.network.edge(number);
        if let (Link::Run(run), Grounded::No) = (edge.link, grounded(house, edge)) {
            runs.push(run);
        }
        here = edge.other(here);
    }
    runs
}

/// What the grounds reach from the joints, with the facts on which that hangs: what is certain first.
fn reached(house: &House<'_>, bonds: &[Bond]) -> Vec<Option<Vec<Missing>>> {
    let network = &house.network;
    let mut reached: Vec<Option<Vec<Missing>>> = vec![None; network.nodes().len()];
    let mut perhaps: VecDeque<(NodeId, Vec<Missing>)> = bonds
        .iter()
        .map(|bond| {
            let node = match bond.place {
                Place::Panel(at) => network.line(at),
                Place::Supply(at) => network.supply(at),
            };
            (node, bond.missing.clone())
        })
        .collect();
    perhaps.make_contiguous().sort_by_key(|(_, missing)| missing.len());
    while let Some((start, missing)) = perhaps.pop_front() {
        if reached[start as usize].is_some() {
            continue;
        }
        reached[start as usize] = Some(missing.clone());
        let mut open = vec![start];
        while let Some(node) = open.pop() {
            for edge in network.edges_at(node).iter().map(|edge| network.edge(*edge)) {
                let other = edge.other(node);
                if reached[other as usize].is_some() {
                    continue;
                }
                match grounded(house, edge) {
                    Grounded::Yes => {
                        reached[other as usize] = Some(missing.clone());
                        open.push(other);
                    }
                    Grounded::Perhaps(fact) => {
                        let all = [&missing[..], &[fact]].concat();
                        // What hangs on fewer facts comes first.
                        let at = perhaps.partition_point(|(_, other)| other.len() <= all.len());
                        perhaps.insert(at, (other, all));
                    }
                    Grounded::No => {}
                }
            }
        }
    }
    reached
}

enum Grounded {
    Yes,
    No,
    Perhaps(Missing),
}

/// Whether an edge joins the grounds of its ends: enclosures do, runs by their ground.
fn grounded(house: &House<'_>, edge: Edge) -> Grounded {
    let Link::Run(number) = edge.link else { return Grounded::Yes };
    let run = &house.survey.runs[number];
    if matches!(house.network.node(edge.b), Node::DcInput(_)) {
        return Grounded::No;
    }
    match run.equipment_ground {
        Fact::Known(GroundPath::None | GroundPath::ArmorOnly) => Grounded::No,
        Fact::Known(_) => Grounded::Yes,
        Fact::NotSeen | Fact::CannotBeSeen => Grounded::Perhaps(Missing {
            item: run.id.clone(),
            fact: "equipment_ground",
            cannot_be_seen: matches!(run.equipment_ground, Fact::CannotBeSeen),
        }),
    }
}
