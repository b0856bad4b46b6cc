//! What a place may carry: the smallest of device, bus and conductors. A device may be larger than what
//! its conductors carry (240.4(B)); the demand may not (215.2(A)(1), 230.42(A)).

use super::place::Place;
use crate::codes::LimitRule;
use crate::finding::{Facts, Worked, reckoned};
use crate::house::{Guard, House};
use crate::network::Link;
use crate::say;
use crate::si::Current;
use crate::survey::{Fact, Id, SupplyKind};

/// The largest demand that a place may have; a missing rating stands at the best case.
#[must_use]
pub fn limit_of(house: &House<'_>, place: &Place) -> Worked<Current> {
    let mut facts = Facts::new();
    let mut limits = Vec::new();
    let panel = &house.survey.panels[place.panel];
    let mut protected = None;
    if place.bus.is_none() {
        let main = House::guard_of_main(panel);
        protected = facts.need(&main.device.kind, main.at, main.kind_fact()).map(|kind| kind.protects());
        if protected == Some(true) {
            limits.extend(rating(&mut facts, "rating of the main", main));
        }
    }
    // Of a bus section this is the way that feeds it.
    let ahead = house.guard_ahead(place.node);
    if let Some(guard) = ahead
        && facts.need(&guard.device.kind, guard.at, guard.kind_fact()).is_some()
    {
        limits.extend(rating(&mut facts, "rating of the device ahead", guard));
    }
    limits.extend(bus_rating(house, place, &mut facts));
    if place.bus.is_none() {
        let (runs, guarded) = incoming(house, place);
        let several_mains = !guarded && protected == Some(false);
        for run in runs {
            limits.extend(conductors(house, run, several_mains, &mut facts));
        }
    }
    let least = limits.iter().copied().min_by(|a, b| a.value.total_cmp(&b.value));
    if let Some(least) = least.filter(|_| limits.len() > 1) {
        facts.step(reckoned("I_max", "the smallest of these", say!("min"), least));
    }
    facts.done(least)
}

fn rating(facts: &mut Facts, label: &'static str, guard: Guard<'_>) -> Option<Current> {
    let rating = facts.need(&guard.device.rating, guard.at, guard.rating_fact())?.quantity();
    facts.seen("I_n", say!("{} ({})", label, guard.at), rating, guard.at, guard.rating_fact());
    Some(rating)
}

fn bus_rating(house: &House<'_>, place: &Place, facts: &mut Facts) -> Option<Current> {
    let panel = &house.survey.panels[place.panel];
    let bus = match place.bus {
        Some(bus) => panel.buses.get(bus),
        None => panel.buses.iter().find(|bus| bus.fed_by.is_none()),
    };
    let Some(bus) = bus else {
        return facts.miss(&panel.id, "buses", false);
    };
    need(facts, &bus.rating, &bus.id)
}

fn need(facts: &mut Facts, fact: &Fact<crate::survey::quantity::EnteredCurrent>, id: &Id) -> Option<Current> {
    let rating = facts.need(fact, id, "rating")?.quantity();
    facts.seen("I_bus", "rating of the bus", rating, id, "rating");
    Some(rating)
}

/// The runs from the device ahead, or from the supply, to the place, and whether there is such a device: a
/// switch is none. Of a service in several pieces the one that begins at the supply is left out: the
/// drop is the utility's.
fn incoming(house: &House<'_>, place: &Place) -> (Vec<usize>, bool) {
    let (mut node, mut runs) = (place.node, Vec::new());
    while let Some(edge) = house.feeds.up_edge(node) {
        let edge = house.network.edge(edge);
        if house.guard_of(edge.link).is_some_and(protects) {
            return (runs, true);
        }
        if let Link::Run(run) = edge.link {
            runs.push(run);
        }
        node = edge.other(node);
    }
    let is_drop = |run: usize| {
        let supply = house.supply_of(&house.survey.runs[run]);
        supply.is_some_and(|supply| supply.kind == SupplyKind::Utility)
    };
    if runs.len() > 1 && runs.last().is_some_and(|run| is_drop(*run)) {
        runs.pop();
    }
    (runs, false)
}

/// A device of a kind that nobody has seen is taken for one that protects: it bounds by its rating.
fn protects(guard: Guard<'_>) -> bool {
    guard.device.kind.get().is_none_or(|kind| kind.protects())
}

/// What a run may carry: its ampacity; behind one main, of a whole dwelling, the rating that 310.12
/// allows. With several mains nothing but the calculated load keeps it from more than its ampacity
/// (230.90(A) Exception 3).
fn conductors(house: &House<'_>, run: usize, several_mains: bool, facts: &mut Facts) -> Option<Current> {
    let id = house.survey.runs[run].id.to_string();
    let limit = house.device_limit(run);
    let whole_dwelling = limit.value.filter(|limit| limit.rule == LimitRule::DwellingService);
    if let Some(largest) = whole_dwelling.filter(|_| !several_mains).map(|limit| limit.largest) {
        facts.take(limit.clone());
        let label = say!("rating of a service that run {} may serve", id);
        facts.step(reckoned("I_R", label, say!("the last step"), largest));
        return Some(largest);
    }
    let allowed = facts.take(house.ampacity(run).clone())?.allowed();
    facts.step(reckoned("I_R", say!("what run {} carries", id), say!("the smaller limit"), allowed));
    Some(allowed)
}
