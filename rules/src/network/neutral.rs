//! What hangs together by its neutral in one mode, and where neutral and ground are joined in it.
//!
//! A neutral is not opened by breakers and mains: its bars are solid. It is opened by a transfer
//! switch that switches it, and by a cord that is not plugged in. Facts that are missing make a
//! place a possible member of the island instead of a certain one, and a bond a possible one.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

use super::{Edge, EdgeId, Link, Node, NodeId};
use crate::finding::Missing;
use crate::house::{House, Item};
use crate::survey::{Circuit, Fact, GroundPath, Id, Method, Run, Supply, SupplyKind};

/// How the house stands: which supply feeds, and where each transfer switch stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mode {
    /// The supply that feeds, by its place in the survey's list.
    pub supply: usize,
    /// The position in which each transfer switch stands, by its place in the survey's list.
    pub positions: Vec<Option<usize>>,
    /// Cords of other standby supplies, by run, that are plugged in all the same.
    pub plugged_in: Vec<usize>,
}

impl Mode {
    /// One mode for each supply that can hold up an island by itself and is tied in.
    #[must_use]
    pub fn all(house: &House<'_>) -> Vec<Self> {
        let feeds = |kind| matches!(kind, SupplyKind::Utility | SupplyKind::Inverter | SupplyKind::Generator);
        let supplies = house.survey.supplies.iter().enumerate();
        supplies
            .filter(|(at, supply)| {
                feeds(supply.kind) && !house.network.edges_at(house.network.supply(*at)).is_empty()
            })
            .map(|(at, _)| Self::on(house, at))
            .collect()
    }

    /// The mode in which `supply` feeds: each transfer switch stands towards it, or, where it is not
    /// on its way, towards the root of the tree.
    #[must_use]
    pub fn on(house: &House<'_>, supply: usize) -> Self {
        let transfers = 0..house.survey.transfers.len();
        let mut positions: Vec<Option<usize>> =
            transfers.map(|transfer| towards_root(house, transfer)).collect();
        for (transfer, position) in crossed(house, supply) {
            positions[transfer] = Some(position);
        }
        Self { supply, positions, plugged_in: Vec::new() }
    }
}

/// The positions of transfer switches on the way from a supply to the root of its tree.
fn crossed(house: &House<'_>, supply: usize) -> Vec<(usize, usize)> {
    let mut crossed = Vec::new();
    let mut node = house.network.supply(supply);
    while let Some(edge) = house.feeds.up_edge(node) {
        let edge = house.network.edge(edge);
        // Past its output the way leads out through another input: the first crossing counts.
        if let Link::Position(transfer, position) = edge.link
            && crossed.iter().all(|(known, _)| *known != transfer)
        {
            crossed.push((transfer, position));
        }
        node = edge.other(node);
    }
    crossed
}

fn towards_root(house: &House<'_>, transfer: usize) -> Option<usize> {
    let edge = house.feeds.up_edge(house.network.transfer_output(transfer))?;
    match house.network.edge(edge).link {
        Link::Position(_, position) => Some(position),
        _ => None,
    }
}

/// A place where neutral and ground may be joined.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Place {
    /// A panel, by its place in the survey's list.
    Panel(usize),
    /// A supply of one's own, by its place in the survey's list. The utility's bond is in the
    /// service equipment.
    Supply(usize),
}

/// A place in an island.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Member {
    /// The place.
    pub place: Place,
    /// The facts on which its being in the island hangs; none when it is in it for certain.
    pub missing: Vec<Missing>,
}

/// What hangs together by its neutral in one mode.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Island {
    /// The mode.
    pub mode: Mode,
    /// The groups of [`Neutrals`] in it, by number, each with the facts on which that hangs.
    groups: Vec<(u32, Vec<Missing>)>,
}

/// Whether an edge joins the neutrals of its ends.
enum Joint {
    Yes,
    No,
    Perhaps(Missing),
}

impl Island {
    /// The island of the supply that feeds in a mode.
    #[must_use]
    pub fn of(house: &House<'_>, mode: Mode) -> Self {
        let groups = walk(house, &mode);
        Self { mode, groups }
    }

    /// The facts on which a node's being in it hangs: none where it is in it for certain; `None` where it
    /// is not.
    #[must_use]
    pub fn reach(&self, house: &House<'_>, node: NodeId) -> Option<&[Missing]> {
        let group = house.neutrals().group(node);
        let at = self.groups.binary_search_by_key(&group, |(group, _)| *group).ok()?;
        Some(&self.groups[at].1)
    }

    /// The places in it, in the survey's order: panels, then supplies with a joint of their own.
    #[must_use]
    pub fn members(&self, house: &House<'_>) -> Vec<Member> {
        self.places(house, |places| &places.all)
    }

    /// The member at a place.
    #[must_use]
    pub fn member(&self, house: &House<'_>, place: Place) -> Option<Member> {
        let node = match place {
            Place::Panel(at) => house.network.line(at),
            Place::Supply(at) => house.network.supply(at),
        };
        Some(Member { place, missing: self.reach(house, node)?.to_vec() })
    }

    /// Where neutral and ground are joined in it, and where they may be.
    #[must_use]
    pub fn bonds(&self, house: &House<'_>) -> Vec<Bond> {
        let members = self.places(house, |places| &places.bonded);
        members.iter().filter_map(|member| self.bond(house, member)).collect()
    }

    fn places(&self, house: &House<'_>, of: impl Fn(&Group) -> &Vec<Place>) -> Vec<Member> {
        let neutrals = house.neutrals();
        let members = self.groups.iter().flat_map(|(group, missing)| {
            let places = of(&neutrals.groups[*group as usize]).iter();
            places.map(|place| Member { place: *place, missing: missing.clone() })
        });
        let mut members: Vec<Member> = members.collect();
        members.sort_unstable_by_key(|member| member.place);
        members
    }

    fn bond(&self, house: &House<'_>, member: &Member) -> Option<Bond> {
        let mut missing = member.missing.clone();
        let (item, fact) = match member.place {
            Place::Panel(at) => {
                let panel = &house.survey.panels[at];
                (&panel.id, (&panel.neutral_bond, self.has_ground_of_its_own(house, at)))
            }
            Place::Supply(at) => {
                let supply = &house.survey.supplies[at];
                (&supply.id, (&supply.neutral_bond, self.bond_opens(supply, at)))
            }
        };
        let (bonded, lifted) = fact;
        match bonded.get() {
            Some(false) => return None,
            Some(true) => match lifted {
                Ok(true) => return None,
                Ok(false) => {}
                Err(unknown) => missing.extend(unknown),
            },
            None => missing.push(lacking(bonded, item, "neutral_bond")),
        }
        Some(Bond { item: item.clone(), place: member.place, missing })
    }

    /// Whether the supply's own bond opens while another source feeds.
    fn bond_opens(&self, supply: &Supply, at: usize) -> Result<bool, Vec<Missing>> {
        if at == self.mode.supply || supply.kind != SupplyKind::Inverter {
            return Ok(false);
        }
        supply.bond_relay.get().ok_or_else(|| vec![lacking(&supply.bond_relay, &supply.id, "bond_relay")])
    }

    /// Whether a panel in another building keeps its grounds apart from those of the building that
    /// feeds it: an old 3-wire feeder, where the bond in the panel is no second path (250.32(B)).
    fn has_ground_of_its_own(&self, house: &House<'_>, at: usize) -> Result<bool, Vec<Missing>> {
        let panel = &house.survey.panels[at];
        let Some((feeder, upstream)) = self.feeder(house, at) else { return Ok(false) };
        let answers = [
            answer(&panel.detached_building, &panel.id, "detached_building", |detached| detached),
            answer(&panel.service_equipment, &panel.id, "service_equipment", |service| !service),
            answer(&feeder.equipment_ground, &feeder.id, "equipment_ground", |path| path == GroundPath::None),
            if upstream.is_empty() { Ok(true) } else { Err(upstream) },
        ];
        if answers.contains(&Ok(false)) {
            return Ok(false);
        }
        let missing: Vec<Missing> = answers.into_iter().filter_map(Result::err).flatten().collect();
        if missing.is_empty() { Ok(true) } else { Err(missing) }
    }

    /// The feeder of a panel from another panel of this island, with what its being in it hangs on.
    fn feeder<'a>(&self, house: &House<'a>, panel: usize) -> Option<(&'a Run, Vec<Missing>)> {
        house.neutrals().feeders[panel].iter().find_map(|&(run, upstream)| {
            let missing = self.member(house, Place::Panel(upstream))?.missing;
            Some((&house.survey.runs[run], missing))
        })
    }
}

/// A bond of neutral and ground in an island.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bond {
    /// The panel or supply.
    pub item: Id,
    /// The same as a place.
    pub place: Place,
    /// The facts on which it hangs; none when it is there for certain.
    pub missing: Vec<Missing>,
}

impl Bond {
    /// Whether it is there, whatever is missing.
    #[must_use]
    pub fn is_certain(&self) -> bool {
        self.missing.is_empty()
    }
}

fn has_own_bond(supply: &Supply) -> bool {
    matches!(supply.kind, SupplyKind::Inverter | SupplyKind::Generator | SupplyKind::Solar)
}

/// The neutrals of a house: what hangs together in every mode, walked once, and the edges that join
/// such groups in some modes only.
#[derive(Debug)]
pub struct Neutrals {
    /// The group of each node.
    of_node: Vec<u32>,
    groups: Vec<Group>,
    /// By panel: the runs that feed it from another panel, each with that panel.
    feeders: Vec<Vec<(usize, usize)>>,
}

/// What hangs together by its neutral whatever the mode.
#[derive(Debug, Default)]
struct Group {
    /// Its places.
    all: Vec<Place>,
    /// Those where neutral and ground are joined or may be.
    bonded: Vec<Place>,
    /// Edges that lead out of it in some modes.
    edges: Vec<EdgeId>,
}

impl Neutrals {
    /// Walks a house.
    #[must_use]
    pub fn of(house: &House<'_>) -> Self {
        let mut in_some_modes = Vec::new();
        let of_node = grouped(house, &mut in_some_modes);
        let count = of_node.iter().max().map_or(0, |last| last + 1);
        let mut groups: Vec<Group> = (0..count).map(|_| Group::default()).collect();
        for edge in in_some_modes {
            let ends = house.network.edge(edge);
            let (a, b) = (of_node[ends.a as usize], of_node[ends.b as usize]);
            if a != b {
                groups[a as usize].edges.push(edge);
                groups[b as usize].edges.push(edge);
            }
        }
        for (at, panel) in house.panels() {
            let group = &mut groups[of_node[house.network.line(at) as usize] as usize];
            group.add(Place::Panel(at), &panel.neutral_bond);
        }
        for (at, supply) in house.survey.supplies.iter().enumerate().filter(|(_, item)| has_own_bond(item)) {
            let group = &mut groups[of_node[house.network.supply(at) as usize] as usize];
            group.add(Place::Supply(at), &supply.neutral_bond);
        }
        Self { of_node, groups, feeders: feeders(house) }
    }

    fn group(&self, node: NodeId) -> u32 {
        self.of_node[node as usize]
    }
}

impl Group {
    fn add(&mut self, place: Place, bond: &Fact<bool>) {
        self.all.push(place);
        if bond.get() != Some(false) {
            self.bonded.push(place);
        }
    }
}

/// By panel: the runs that end at it and begin at another.
fn feeders(house: &House<'_>) -> Vec<Vec<(usize, usize)>> {
    let mut feeders = vec![Vec::new(); house.survey.panels.len()];
    for (number, run) in house.runs() {
        let Some(Item::Panel(panel)) = run.to.as_ref().and_then(|to| house.index.get(to)) else { continue };
        let behind = house.panel_behind(number).and_then(|upstream| house.index.get(&upstream.id));
        if let Some(Item::Panel(upstream)) = behind {
            feeders[panel].push((number, upstream));
        }
    }
    feeders
}

/// The group of each node; edges that join in some modes only are listed.
fn grouped(house: &House<'_>, in_some_modes: &mut Vec<EdgeId>) -> Vec<u32> {
    const NONE: u32 = u32::MAX;
    let network = &house.network;
    let joints: Vec<Always> = network.edges().iter().map(|edge| always(house, *edge)).collect();
    in_some_modes
        .extend((0..joints.len() as EdgeId).filter(|edge| joints[*edge as usize] == Always::Depends));
    let mut of_node = vec![NONE; network.nodes().len()];
    let mut groups = 0;
    for start in 0..network.nodes().len() as NodeId {
        if of_node[start as usize] != NONE {
            continue;
        }
        of_node[start as usize] = groups;
        let mut open = vec![start];
        while let Some(node) = open.pop() {
            let along = network.edges_at(node).iter().filter(|edge| joints[**edge as usize] == Always::Joins);
            let others = along.map(|edge| network.edge(*edge).other(node));
            for other in others.chain(neutral_bar(house, node)) {
                if of_node[other as usize] == NONE {
                    of_node[other as usize] = groups;
                    open.push(other);
                }
            }
        }
        groups += 1;
    }
    of_node
}

/// Whether an edge joins the neutrals of its ends whatever the mode.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Always {
    Joins,
    Parts,
    Depends,
}

fn always(house: &House<'_>, edge: Edge) -> Always {
    match edge.link {
        Link::Main(_) | Link::Way(..) | Link::BusFeed(..) => Always::Joins,
        Link::Position(transfer, _) => match house.survey.transfers[transfer].switches_neutral.get() {
            Some(false) => Always::Joins,
            _ => Always::Depends,
        },
        Link::Run(run) => match house.survey.runs[run].circuit.get() {
            Some(Circuit::TwoHots | Circuit::DcPair) => Always::Parts,
            Some(_) if !may_be_unplugged(house, run) => Always::Joins,
            _ => Always::Depends,
        },
    }
}

/// The groups that hang on the feeding supply by their neutral, each with the facts on which that
/// hangs: certain joints are walked first, so a group that is reached for certain lists none.
fn walk(house: &House<'_>, mode: &Mode) -> Vec<(u32, Vec<Missing>)> {
    let neutrals = house.neutrals();
    let mut reached: BTreeMap<u32, Vec<Missing>> = BTreeMap::new();
    let start = neutrals.group(house.network.supply(mode.supply));
    reached.insert(start, Vec::new());
    let mut certain = vec![start];
    let mut perhaps: Vec<(u32, Vec<Missing>)> = Vec::new();
    loop {
        let Some(group) = certain.pop() else {
            match perhaps.pop() {
                Some((group, missing)) => {
                    if let Entry::Vacant(place) = reached.entry(group) {
                        place.insert(missing);
                        certain.push(group);
                    }
                    continue;
                }
                None => return reached.into_iter().collect(),
            }
        };
        let here = reached.get(&group).cloned().unwrap_or_default();
        for &number in &neutrals.groups[group as usize].edges {
            let edge = house.network.edge(number);
            let (a, b) = (neutrals.group(edge.a), neutrals.group(edge.b));
            let other = if a == group { b } else { a };
            if reached.contains_key(&other) {
                continue;
            }
            match joint(house, mode, edge) {
                Joint::Yes => {
                    reached.insert(other, here.clone());
                    certain.push(other);
                }
                Joint::Perhaps(missing) => perhaps.push((other, [&here[..], &[missing]].concat())),
                Joint::No => {}
            }
        }
    }
}

/// The nodes of a panel that share its neutral bar: its lugs and every bus section, joined by their
/// hots or not. From its lugs, so that a walk goes through them once.
fn neutral_bar<'h>(house: &'h House<'_>, node: NodeId) -> impl Iterator<Item = NodeId> + use<'h> {
    let (panel, buses) = match house.network.node(node) {
        Node::Line(panel) => (Some(panel), house.survey.panels[panel].buses.len().max(1)),
        Node::Bus(panel, _) | Node::Way(panel, _) => (Some(panel), 0),
        _ => (None, 0),
    };
    panel.into_iter().flat_map(move |panel| {
        (0..buses).map(move |bus| house.network.bus(panel, bus)).chain([house.network.line(panel)])
    })
}

fn joint(house: &House<'_>, mode: &Mode, edge: Edge) -> Joint {
    match edge.link {
        Link::Main(_) | Link::Way(..) | Link::BusFeed(..) => Joint::Yes,
        Link::Position(transfer, position) => {
            if mode.positions.get(transfer).copied().flatten() == Some(position) {
                return Joint::Yes;
            }
            let transfer = &house.survey.transfers[transfer];
            told(&transfer.switches_neutral, &transfer.id, "switches_neutral", |opens| !opens)
        }
        Link::Run(run) => run_joint(house, mode, run),
    }
}

fn run_joint(house: &House<'_>, mode: &Mode, number: usize) -> Joint {
    let run = &house.survey.runs[number];
    let neutral = told(&run.circuit, &run.id, "circuit", |circuit| {
        !matches!(circuit, Circuit::TwoHots | Circuit::DcPair)
    });
    match neutral {
        Joint::Yes => plugged_in(house, mode, number),
        other => other,
    }
}

/// The standby supply whose cord a run is or may be, one end of which is a plug.
fn supply_on_cord<'a>(house: &House<'a>, number: usize) -> Option<&'a Supply> {
    let first = house.runs_back_from(number).last()?;
    let supply = house.supply_of(first)?;
    matches!(supply.kind, SupplyKind::Inverter | SupplyKind::Generator).then_some(supply)
}

fn may_be_unplugged(house: &House<'_>, number: usize) -> bool {
    let is_fixed = |method| !matches!(method, Method::Cord | Method::PowerCable);
    supply_on_cord(house, number).is_some()
        && (matches!(house.network.node(house.network.run_end(number)), Node::Inlet(_))
            || !house.survey.runs[number].method.get().is_some_and(is_fixed))
}

/// A cord from a supply is plugged in only while that supply feeds, or where the mode says so.
fn plugged_in(house: &House<'_>, mode: &Mode, number: usize) -> Joint {
    let Some(supply) = supply_on_cord(house, number) else { return Joint::Yes };
    if house.survey.supplies[mode.supply].id == supply.id || mode.plugged_in.contains(&number) {
        return Joint::Yes;
    }
    let run = &house.survey.runs[number];
    if matches!(house.network.node(house.network.run_end(number)), Node::Inlet(_)) {
        return Joint::No;
    }
    told(&run.method, &run.id, "method", |method| !matches!(method, Method::Cord | Method::PowerCable))
}

fn told<T: Copy>(fact: &Fact<T>, item: &Id, name: &'static str, joins: impl Fn(T) -> bool) -> Joint {
    match fact.get() {
        Some(value) if joins(value) => Joint::Yes,
        Some(_) => Joint::No,
        None => Joint::Perhaps(lacking(fact, item, name)),
    }
}

fn answer<T: Copy>(
    fact: &Fact<T>,
    item: &Id,
    name: &'static str,
    yes: impl Fn(T) -> bool,
) -> Result<bool, Vec<Missing>> {
    fact.get().map(yes).ok_or_else(|| vec![lacking(fact, item, name)])
}

fn lacking<T>(fact: &Fact<T>, item: &Id, name: &'static str) -> Missing {
    Missing { item: item.clone(), fact: name, cannot_be_seen: matches!(fact, Fact::CannotBeSeen) }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;
    use crate::fixture::{standby, survey, with};

    /// Each mode as `G: T=Standby`, and the panels and supplies in its island, `?` behind possible ones.
    fn islands(house: &Value) -> Vec<(String, Vec<String>)> {
        let survey = survey(house);
        let house = House::new(&survey);
        let islands = house.neutral_islands().iter();
        islands.map(|island| (mode(&survey, &island.mode), members(&house, island))).collect()
    }

    fn mode(survey: &crate::survey::Survey, mode: &Mode) -> String {
        let positions = mode.positions.iter().zip(&survey.transfers).map(|(position, transfer)| {
            let name = position.map_or("none", |position| transfer.positions[position].name.as_str());
            format!(" {}={name}", transfer.id)
        });
        format!("{}:{}", survey.supplies[mode.supply].id, positions.collect::<String>())
    }

    fn members(house: &House<'_>, island: &Island) -> Vec<String> {
        let named = |member: &Member| {
            let id = match member.place {
                Place::Panel(at) => &house.survey.panels[at].id,
                Place::Supply(at) => &house.survey.supplies[at].id,
            };
            format!("{id}{}", if member.missing.is_empty() { "" } else { "?" })
        };
        island.members(house).iter().map(named).collect()
    }

    #[test]
    fn a_switched_neutral_parts_the_islands() {
        let told = |neutral| islands(&with(standby(), &[("/transfers/0/switches_neutral", neutral)]));
        let on = |utility: &[&str], generator: &[&str]| {
            let list = |ids: &[&str]| ids.iter().map(|id| (*id).to_owned()).collect::<Vec<_>>();
            vec![("U: T=Utility".to_owned(), list(utility)), ("G: T=Standby".to_owned(), list(generator))]
        };
        assert_eq!(told(json!(true)), on(&["P", "P2"], &["P2", "G"]));
        assert_eq!(told(json!(false)), on(&["P", "P2"], &["P", "P2", "G"]));
        assert_eq!(told(json!(null)), on(&["P", "P2"], &["P?", "P2", "G"]));
    }

    #[test]
    fn transfer_switches_in_series_stand_towards_the_supply_that_feeds() {
        let second = json!({
            "id": "T2", "name": "Second switch", "kind": "manual_switch", "rating": "60 A", "switches_neutral": true,
            "positions": [{ "id": "T2.house", "name": "House" }, { "id": "T2.inverter", "name": "Inverter" }]
        });
        let run = |id: &str, from: &str, to: &str| json!({ "id": id, "from": from, "to": to, "circuit": "two_hots_and_neutral", "method": "raceway" });
        let inverter =
            json!({ "id": "V", "name": "Inverter", "kind": "battery_inverter", "neutral_bond": true });
        let house = with(
            standby(),
            &[
                ("/transfers/0/switches_neutral", json!(true)),
                ("/transfers/-", second),
                ("/supplies/-", inverter),
                ("/panels/-", json!({ "id": "P3", "name": "Critical panel" })),
                ("/runs/-", run("A", "P2", "T2.house")),
                ("/runs/-", run("B", "V", "T2.inverter")),
                ("/runs/-", run("C", "T2", "P3")),
            ],
        );
        let told: Vec<String> =
            islands(&house).iter().map(|(mode, members)| format!("{mode} {}", members.join(" "))).collect();
        assert_eq!(
            told,
            [
                "U: T=Utility T2=House P P2 P3",
                "G: T=Standby T2=House P2 P3 G",
                "V: T=Utility T2=Inverter P3 V"
            ]
        );
    }

    #[test]
    fn a_panel_has_one_neutral_bar_for_all_its_bus_sections() {
        let house = with(
            standby(),
            &[
                ("/panels/0/buses/-", json!({ "id": "P.lower", "name": "lower section" })),
                ("/panels/0/ways/1/bus", json!("P.lower")),
            ],
        );
        assert_eq!(islands(&house)[0].1, ["P", "P2"]);
    }
}
