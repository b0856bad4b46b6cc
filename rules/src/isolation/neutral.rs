//! For each mode and each supply that feeds in it: what hangs together by its neutral, where neutral and
//! ground are joined in it, and whether every enclosure finds back to that joint. There must be exactly
//! one joint (NFPA 70-2023 250.24(B), 250.30(A)(1)); without it a fault trips nothing, with two of them
//! the grounds carry current.

use super::ground::{Ground, grounds};
use super::model::Handle;
use super::words::{Join, listed};
use super::{Isolation, Mode};
use crate::finding::{Missing, Said, Verdict};
use crate::house::House;
use crate::network::{self, Bond, Island, Link, Place};
use crate::say;
use crate::survey::{Fact, Output, SupplyKind};

/// Most joints that are named one by one.
const MOST_TOLD: usize = 8;

/// Whether the neutral of a supply of one's own is joined to the utility's.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Own {
    /// It is a system of its own: nothing joins its neutral to the utility's (a separately derived system).
    Separate,
    /// Its neutral stays joined to the utility's: the joint at the service counts for it.
    Joined,
    /// It is the utility.
    Utility,
    /// It hangs on these facts.
    Unknown(Vec<Missing>),
}

/// What one supply feeds in one mode.
#[derive(Debug, Clone, PartialEq)]
pub struct Neutral {
    /// The mode, by its place in the list.
    pub mode: usize,
    /// What hangs together.
    pub island: Island,
    /// Whether its neutral is one of its own.
    pub own: Own,
    /// Where neutral and ground are joined in it, and where they may be.
    pub bonds: Vec<Bond>,
    /// Whether there is exactly one joint.
    pub verdict: Verdict,
    /// Transfer switches in it, each with whether it opens the neutral.
    pub transfers: Vec<(usize, Option<bool>)>,
    /// What that means, one sentence each.
    pub told: Vec<Said>,
    /// Each enclosure, followed back to the joint.
    pub grounds: Vec<Ground>,
}

/// The islands of every mode. A supply whose neutral hangs on that of one named before is not told of twice.
#[must_use]
pub fn neutrals(house: &House<'_>, isolation: &Isolation) -> Vec<Neutral> {
    let mut all: Vec<Neutral> = Vec::new();
    for (number, mode) in isolation.modes.iter().enumerate() {
        let first = all.len();
        for &supply in mode.feeds.iter().filter(|supply| holds_up(house, **supply)) {
            let node = house.network.supply(supply);
            let is_told = |one: &Neutral| one.island.reach(house, node).is_some_and(<[_]>::is_empty);
            if !all[first..].iter().any(is_told) {
                all.push(neutral(house, isolation, number, supply));
            }
        }
    }
    all
}

/// Whether a supply forms a voltage that others follow.
fn holds_up(house: &House<'_>, supply: usize) -> bool {
    matches!(
        house.survey.supplies[supply].kind,
        SupplyKind::Utility | SupplyKind::Inverter | SupplyKind::Generator
    )
}

fn neutral(house: &House<'_>, isolation: &Isolation, number: usize, supply: usize) -> Neutral {
    let mode = network_mode(house, isolation, &isolation.modes[number], supply);
    let island = Island::of(house, mode);
    let bonds = island.bonds(house);
    let own = own(house, &island);
    let verdict = verdict(house, supply, &bonds);
    let mut told = vec![count_told(house, supply, &bonds)];
    told.extend(why(house, supply, &bonds, &own));
    told.extend(currents(house, &bonds));
    let grounds = grounds(house, &island, &bonds);
    let transfers = transfers(house, &island);
    Neutral { mode: number, island, own, bonds, verdict, transfers, told, grounds }
}

fn network_mode(house: &House<'_>, isolation: &Isolation, mode: &Mode, supply: usize) -> network::Mode {
    let model = &isolation.model;
    let stands = |transfer| {
        let switch = model.switch(Handle::Transfer(transfer))?;
        usize::from(mode.worst[switch as usize]).checked_sub(1)
    };
    let positions = (0..house.survey.transfers.len()).map(stands).collect();
    let plugged = model.switches().filter(|(switch, _)| mode.worst[*switch as usize] == super::grid::CLOSED);
    let plugged_in = plugged.filter_map(|(_, handle)| match handle {
        Handle::Plug(run) => Some(run),
        _ => None,
    });
    network::Mode { supply, positions, plugged_in: plugged_in.collect() }
}

fn own(house: &House<'_>, island: &Island) -> Own {
    let survey = house.survey;
    if survey.supplies[island.mode.supply].kind == SupplyKind::Utility {
        return Own::Utility;
    }
    let utilities = (0..survey.supplies.len()).filter(|at| survey.supplies[*at].kind == SupplyKind::Utility);
    let reached = utilities.filter_map(|at| island.reach(house, house.network.supply(at)));
    match reached.min_by_key(|missing| missing.len()) {
        None => Own::Separate,
        Some([]) => Own::Joined,
        Some(missing) => Own::Unknown(missing.to_vec()),
    }
}

fn verdict(house: &House<'_>, supply: usize, bonds: &[Bond]) -> Verdict {
    let item = &house.survey.supplies[supply];
    let least = bonds.iter().filter(|bond| bond.is_certain()).count();
    match &item.output {
        Fact::Known(Output::Two240 | Output::Dc) => {
            return Verdict::NotApplicable { why: say!("{} gives no neutral.", &item.name) };
        }
        Fact::Known(_) => {}
        unknown => {
            let cannot_be_seen = matches!(unknown, Fact::CannotBeSeen);
            let missing = Missing { item: item.id.clone(), fact: "output", cannot_be_seen };
            return Verdict::CannotTell { missing: vec![missing] };
        }
    }
    match (least, bonds.len()) {
        (1, 1) => Verdict::Meets,
        (2.., _) | (_, 0) => Verdict::FallsShort,
        _ => {
            let mut missing: Vec<Missing> = bonds.iter().flat_map(|bond| bond.missing.clone()).collect();
            missing.sort();
            missing.dedup();
            Verdict::CannotTell { missing }
        }
    }
}

fn count_told(house: &House<'_>, supply: usize, bonds: &[Bond]) -> Said {
    let name = &house.survey.supplies[supply].name;
    let certain: Vec<&Bond> = bonds.iter().filter(|bond| bond.is_certain()).collect();
    let place = |bond: &Bond| house.subject(&bond.item).name;
    let places = |bonds: &[&Bond]| {
        let first = bonds.iter().take(MOST_TOLD).map(|bond| say!("{}", place(bond)));
        listed(first, Join::Semicolon)
    };
    match (certain.as_slice(), bonds.len() - certain.len()) {
        ([], 0) => say!("While {} feeds, neutral and ground are joined nowhere.", name),
        ([one], 0) => say!("While {} feeds, neutral and ground are joined once: at {}.", name, place(one)),
        (several, 0) => {
            let places = places(several);
            say!(
                "While {} feeds, neutral and ground are joined in {} places: {}.",
                name,
                several.len(),
                places
            )
        }
        ([], open) => say!(
            "While {} feeds, it is not known whether neutral and ground are joined; {} places are in question.",
            name,
            open
        ),
        (several, open) => say!(
            "While {} feeds, neutral and ground are joined in at least {} places: {}; of {} more it is not known.",
            name,
            several.len(),
            places(several),
            open
        ),
    }
}

fn has_utility(house: &House<'_>) -> bool {
    house.survey.supplies.iter().any(|supply| supply.kind == SupplyKind::Utility)
}

/// Why a joint is lacking, or one too many.
fn why(house: &House<'_>, supply: usize, bonds: &[Bond], own: &Own) -> Vec<Said> {
    let name = &house.survey.supplies[supply].name;
    let mut told = Vec::new();
    match own {
        Own::Separate if bonds.is_empty() && !has_utility(house) => {}
        Own::Separate if bonds.is_empty() => told.push(say!(
            "Its neutral is opened from the utility's, and with it the joint at the service is lost."
        )),
        Own::Separate => told.push(say!("Its neutral is its own: a separately derived system.")),
        Own::Joined => told.push(say!(
            "Its neutral stays joined to the utility's, also with the utility's hots open: the joint at the service counts for it."
        )),
        Own::Unknown(_) => {
            told.push(say!("Whether its neutral stays joined to the utility's is not known."));
        }
        Own::Utility => {}
    }
    let certain = || bonds.iter().filter(|bond| bond.is_certain());
    if certain().count() > 1 {
        let of_own = certain().find_map(|bond| match bond.place {
            Place::Supply(at) => Some(at),
            Place::Panel(_) => None,
        });
        match of_own {
            Some(at) if at == supply => {
                told.push(say!("The joint inside {} doubles the one that is there already.", name));
            }
            Some(at) => told.push(say!(
                "The joint inside {} stays while {} feeds, and doubles the one that is there already.",
                &house.survey.supplies[at].name,
                name
            )),
            None => {}
        }
    }
    told
}

/// Between two joints the neutral's current divides.
fn currents(house: &House<'_>, bonds: &[Bond]) -> Vec<Said> {
    let certain: Vec<&Bond> = bonds.iter().filter(|bond| bond.is_certain()).collect();
    let name = |bond: &Bond| house.subject(&bond.item).name;
    let between = |pair: &[&Bond]| {
        say!(
            "Between {} and {} the neutral's current divides: grounding wires, pipes and armor carry a share of it all the time.",
            name(pair[0]),
            name(pair[1])
        )
    };
    certain.windows(2).map(between).collect()
}

/// Transfer switches whose output hangs on the island.
fn transfers(house: &House<'_>, island: &Island) -> Vec<(usize, Option<bool>)> {
    let all = house.survey.transfers.iter().enumerate();
    all.filter(|(at, _)| {
        let output = house.network.transfer_output(*at);
        let inputs = house.network.edges_at(output).iter().map(|edge| house.network.edge(*edge));
        let mut inputs = inputs.filter(|edge| matches!(edge.link, Link::Position(..)));
        island.reach(house, output).is_some()
            || inputs.any(|edge| island.reach(house, edge.other(output)).is_some())
    })
    .map(|(at, item)| (at, item.switches_neutral.get()))
    .collect()
}
