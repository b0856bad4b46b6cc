//! A rehearsal: devices are switched in the picture, not in the house, and it shows what would be live
//! then, from which sources, and which of them would meet.

use std::collections::HashMap;

use super::grid::{CLOSED, Move, OPEN, obeys};
use super::model::{Force, Handle, Origin};
use super::rule::{Rule, is_ac, rule};
use super::words;
use crate::finding::Said;
use crate::house::{House, Item};
use crate::network::NodeId;
use crate::survey::Id;

/// How every device stands in the picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Positions {
    /// By switch of the model.
    stands: Vec<u8>,
    /// The supplies that are meant to feed.
    feeds: Vec<usize>,
}

impl Positions {
    /// As in a mode of [`super::Isolation::modes`]; everything open where there is no such mode.
    #[must_use]
    pub fn of_mode(house: &House<'_>, mode: usize) -> Self {
        let isolation = house.isolation();
        match isolation.modes.get(mode) {
            Some(mode) => Self { stands: mode.worst.to_vec(), feeds: mode.feeds.clone() },
            None => {
                let ranges = isolation.model.worst.ranges();
                Self { stands: ranges.iter().map(|range| range.lowest).collect(), feeds: Vec::new() }
            }
        }
    }

    /// How a device stands: `open`, `closed`, or the id of the position of a transfer switch. `None`
    /// for an item that nothing switches.
    #[must_use]
    pub fn stand<'h>(&self, house: &House<'h>, device: &Id) -> Option<&'h str> {
        let (switch, _) = switch_of(house, device)?;
        let to = *self.stands.get(switch as usize)?;
        Some(house.isolation().model.stand_id(house, Move { switch, to }))
    }

    /// Switches a device to its other position, a transfer switch to its next one or to the position
    /// that is named. `false` for an item that nothing switches.
    pub fn switch(&mut self, house: &House<'_>, device: &Id) -> bool {
        let Some((switch, position)) = switch_of(house, device) else { return false };
        let (lowest, highest) = match house.isolation().model.handle(switch) {
            Handle::Transfer(transfer) => (1, house.survey.transfers[transfer].positions.len()),
            _ => (OPEN, usize::from(CLOSED)),
        };
        let Some(stands) = self.stands.get_mut(switch as usize) else { return false };
        *stands = match position {
            Some(position) => position,
            None if usize::from(*stands) >= highest => lowest,
            None => *stands + 1,
        };
        true
    }

    /// Puts a device into a position, named as [`Positions::stand`] names it. `false` where no device or
    /// no such position is known; nothing is changed then.
    pub fn put(&mut self, house: &House<'_>, device: &Id, state: &str) -> bool {
        let Some((switch, _)) = switch_of(house, device) else { return false };
        let model = &house.isolation().model;
        let Some(range) = model.worst.ranges().get(switch as usize) else { return false };
        let mut reached = range.lowest..=range.highest;
        let to = reached.find(|to| model.stand_id(house, Move { switch, to: *to }) == state);
        let (Some(to), Some(stands)) = (to, self.stands.get_mut(switch as usize)) else { return false };
        *stands = to;
        true
    }

    /// Every device that can be switched, with how it stands.
    #[must_use]
    pub fn all<'h>(&self, house: &House<'h>) -> Vec<(&'h Id, &'h str)> {
        let model = &house.isolation().model;
        let stands = self.stands.iter().enumerate().map(|(at, to)| Move { switch: at as u32, to: *to });
        stands.map(|one| (model.id(house, one.switch), model.stand_id(house, one))).collect()
    }
}

fn switch_of(house: &House<'_>, device: &Id) -> Option<(u32, Option<u8>)> {
    let model = &house.isolation().model;
    let handle = match house.index.get(device)? {
        Item::Way(panel, way) => Handle::Way(panel, way),
        Item::Panel(panel) => Handle::Main(panel),
        Item::Supply(supply) => Handle::Output(supply),
        Item::Run(run) => Handle::Plug(run),
        Item::Transfer(transfer) => Handle::Transfer(transfer),
        Item::Position(transfer, position) => {
            let to = u8::try_from(position + 1).ok()?;
            return Some((model.switch(Handle::Transfer(transfer))?, Some(to)));
        }
        _ => return None,
    };
    Some((model.switch(handle)?, None))
}

/// An item and the supplies that would make it live.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Live {
    /// The item.
    pub item: Id,
    /// The supplies, in the survey's order, whether they are meant to feed or not; none: nothing
    /// reaches it in the picture. That is no proof that it is dead.
    pub from: Vec<Id>,
}

/// Two supplies that are joined and must not be, or perhaps must not.
#[derive(Debug, Clone, PartialEq)]
pub struct Joined {
    /// The one.
    pub a: Id,
    /// The other.
    pub b: Id,
    /// The way from the one to the other, by name.
    pub path: Vec<Said>,
    /// The items along that way.
    pub along: Vec<Id>,
}

/// What the picture shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Rehearsal {
    /// Every supply, panel, bus section, way, run, load, transfer switch, position and inlet, in that
    /// order.
    pub items: Vec<Live>,
    /// By node of the network: the supplies, by their places in the survey's list, that reach it.
    pub nodes: Vec<Vec<usize>>,
    /// Supplies that would meet.
    pub joined: Vec<Joined>,
    /// Interlocks that would not let it come to this.
    pub forbidden_by: Vec<Id>,
}

/// What would be live from which sources if the devices stood so. Every source counts, whether it
/// is meant to feed or not; a device of unknown kind counts as never opening.
#[must_use]
pub fn rehearse(house: &House<'_>, positions: &Positions) -> Rehearsal {
    let model = &house.isolation().model;
    let mut nodes: Vec<Vec<usize>> = vec![Vec::new(); house.network.nodes().len()];
    for source in &model.sources {
        let (Origin::Supply(supply) | Origin::DcInput(supply) | Origin::BatteryOf(supply)) = source.origin;
        let live = model.worst.live(&[source.place], &positions.stands);
        for (node, from) in nodes.iter_mut().enumerate() {
            if live.has(node as NodeId) && !from.contains(&supply) {
                from.push(supply);
            }
        }
    }
    nodes.iter_mut().for_each(|from| from.sort_unstable());
    let items = items(house, &nodes);
    Rehearsal { items, joined: joined(house, positions), forbidden_by: forbidding(house, positions), nodes }
}

fn forbidding(house: &House<'_>, positions: &Positions) -> Vec<Id> {
    let plates = house.isolation().model.plates.iter();
    let broken =
        plates.filter(|plate| plate.force != Force::Void && !obeys(&plate.switches, &positions.stands));
    broken.map(|plate| house.survey.interlocks[plate.interlock].id.clone()).collect()
}

fn joined(house: &House<'_>, positions: &Positions) -> Vec<Joined> {
    let (survey, model) = (house.survey, &house.isolation().model);
    let ac: Vec<usize> = (0..survey.supplies.len()).filter(|at| is_ac(survey.supplies[*at].kind)).collect();
    let mut all = Vec::new();
    for (at, &a) in ac.iter().enumerate() {
        let Some(from) = model.supply(a) else { continue };
        let live = model.worst.live(&[from], &positions.stands);
        for &b in &ac[at + 1..] {
            let Some(to) = model.supply(b).filter(|to| live.has(*to)) else { continue };
            if rule(survey, a, b, &positions.feeds) == Rule::MayMeet {
                continue;
            }
            let wires = live.path(&model.worst, to);
            let named: Vec<(Said, Id, _)> =
                wires.iter().filter_map(|wire| words::wire(house, model, *wire)).collect();
            all.push(Joined {
                a: survey.supplies[a].id.clone(),
                b: survey.supplies[b].id.clone(),
                path: named.iter().map(|(name, ..)| name.clone()).collect(),
                along: named.into_iter().map(|(_, item, _)| item).collect(),
            });
        }
    }
    all
}

fn items(house: &House<'_>, nodes: &[Vec<usize>]) -> Vec<Live> {
    let (survey, network) = (house.survey, &house.network);
    let mut items = Vec::new();
    let mut add = |item: &Id, at: &[NodeId]| {
        let mut from: Vec<usize> = at.iter().flat_map(|node| nodes[*node as usize].iter().copied()).collect();
        from.sort_unstable();
        from.dedup();
        let from = from.into_iter().map(|supply| survey.supplies[supply].id.clone()).collect();
        items.push(Live { item: item.clone(), from });
    };
    for (at, supply) in survey.supplies.iter().enumerate() {
        add(&supply.id, &[network.supply(at), network.dc_input(at)]);
    }
    for (at, panel) in house.panels() {
        add(&panel.id, &[network.line(at)]);
        for (bus, item) in panel.buses.iter().enumerate().filter(|(_, item)| item.id != panel.id) {
            add(&item.id, &[network.bus(at, bus)]);
        }
        for (way, item) in panel.ways.iter().enumerate() {
            add(&item.id, &[network.way(at, way)]);
        }
    }
    for (at, run) in house.runs() {
        add(&run.id, &[network.edge(network.run_edge(at)).a, network.run_end(at)]);
    }
    let ends: HashMap<&Id, usize> = house.runs().map(|(at, run)| (&run.id, at)).collect();
    for load in &survey.loads {
        if let Some(run) = ends.get(&load.on) {
            add(&load.id, &[network.run_end(*run)]);
        }
    }
    for (at, transfer) in survey.transfers.iter().enumerate() {
        add(&transfer.id, &[network.transfer_output(at)]);
        for (position, item) in transfer.positions.iter().enumerate() {
            add(&item.id, &[network.transfer_input(at, position)]);
        }
    }
    for (at, inlet) in survey.inlets.iter().enumerate() {
        add(&inlet.id, &[network.inlet(at)]);
    }
    items
}

#[cfg(test)]
mod tests {
    use super::super::sketch;
    use super::*;
    use crate::isolation;
    use crate::survey::Survey;

    fn from(rehearsal: &Rehearsal, item: &str) -> String {
        let live = rehearsal.items.iter().find(|live| live.item.as_str() == item).expect("an item");
        live.from.iter().map(Id::as_str).collect::<Vec<_>>().join(" ")
    }

    fn switched(survey: &Survey, mode: usize, devices: &[&str]) -> Rehearsal {
        let house = House::new(survey);
        let mut positions = Positions::of_mode(&house, mode);
        for device in devices {
            assert!(positions.switch(&house, &Id::new(device).expect("an id")), "{device}");
        }
        rehearse(&house, &positions)
    }

    /// NFPA 70-2023 702.5(A): what one tap would do in a house whose generator has an interlock.
    #[test]
    fn one_tap_shows_what_would_be_live() {
        let survey = sketch::survey(
            "utility U
            generator G
            panel P breaker bonded service
            way P.1 breaker
            way P.2 breaker
            inlet I
            run U P
            run G I cord
            run I P.2
            run P.1 -
            load L R4 120
            interlock K plate P P.2",
        );
        let on_utility = switched(&survey, 0, &[]);
        assert_eq!(from(&on_utility, "L"), "U");
        assert_eq!(from(&on_utility, "I"), "");
        assert!(on_utility.joined.is_empty() && on_utility.forbidden_by.is_empty());
        let closed = switched(&survey, 0, &["P.2"]);
        assert_eq!(from(&closed, "I"), "U");
        assert_eq!(closed.forbidden_by, [Id::new("K").expect("an id")]);
        let both = switched(&survey, 0, &["P.2", "R2"]);
        assert_eq!(from(&both, "L"), "U G");
        let [joined] = &both.joined[..] else { panic!("one pair") };
        assert_eq!((joined.a.as_str(), joined.b.as_str()), ("U", "G"));
        let path: Vec<String> = joined.path.iter().map(ToString::to_string).collect();
        assert_eq!(path, ["run R1", "main of P", "way P.2 of P", "run R3", "run R2"]);
        let back = switched(&survey, 0, &["P.2", "P.2"]);
        assert_eq!(back, on_utility);
    }

    /// Every witness that the search tells of does join its sources when it is put into the picture.
    #[test]
    fn what_a_witness_says_comes_about_in_the_picture() {
        let survey = sketch::survey(
            "utility U
            generator G
            generator H
            panel P breaker bonded service
            panel C breaker
            way P.1 breaker
            way P.2 breaker
            way P.3 breaker
            transfer T house standby
            run U P
            run G P.1
            run P.2 T.house
            run H T.standby
            run T C",
        );
        let house = House::new(&survey);
        let overview = isolation::overview(&house);
        let mut tried = 0;
        for (at, mode) in overview.modes.iter().enumerate() {
            for meeting in overview.meetings.iter().filter(|meeting| meeting.mode == mode.id) {
                for witness in meeting.witnesses.iter().filter(|_| meeting.may_meet != Some(true)) {
                    let mut positions = Positions::of_mode(&house, at);
                    for wrong in witness {
                        assert!(positions.put(&house, &wrong.stand.device, &wrong.stand.state));
                    }
                    let joined = rehearse(&house, &positions).joined;
                    let pair = |joined: &Joined| (joined.a == meeting.a) && (joined.b == meeting.b);
                    assert!(joined.iter().any(pair), "{}: {}", mode.name, meeting.told);
                    tried += 1;
                }
            }
        }
        assert!(tried >= 4, "{tried}");
    }

    #[test]
    fn a_device_is_not_put_where_it_cannot_stand() {
        let survey = sketch::survey("utility U\npanel P breaker\nrun U P");
        let house = House::new(&survey);
        let mut positions = Positions::of_mode(&house, 0);
        let before = positions.clone();
        let id = |text| Id::new(text).expect("an id");
        assert!(!positions.put(&house, &id("P"), "sideways"));
        assert!(!positions.put(&house, &id("P.bus"), "open"));
        assert_eq!(positions, before);
        assert!(positions.put(&house, &id("P"), "open"));
        assert_eq!(positions.stand(&house, &id("P")), Some("open"));
    }

    #[test]
    fn a_transfer_switch_moves_to_the_position_that_is_tapped() {
        let survey = sketch::survey(
            "utility U
            generator G
            panel C breaker
            transfer T house standby
            run U T.house
            run G T.standby
            run T C",
        );
        let house = House::new(&survey);
        let mut positions = Positions::of_mode(&house, 0);
        let id = |text| Id::new(text).expect("an id");
        assert_eq!(positions.stand(&house, &id("T")), Some("T.house"));
        assert_eq!(from(&rehearse(&house, &positions), "C"), "U");
        assert!(positions.switch(&house, &id("T.standby")));
        assert_eq!(positions.stand(&house, &id("T")), Some("T.standby"));
        assert_eq!(from(&rehearse(&house, &positions), "C"), "G");
        assert!(positions.switch(&house, &id("T")));
        assert_eq!(positions.stand(&house, &id("T")), Some("T.house"));
        assert!(!positions.switch(&house, &id("C.bus")));
        assert_eq!(positions.all(&house).len(), 2);
    }
}
