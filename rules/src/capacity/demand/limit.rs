//! What a place may carry: the smallest of device, bus and, where no single main stands ahead,
//! conductors.

use super::place::{Place, PlaceKind};
use crate::finding::{Facts, Worked, reckoned};
use crate::house::{Guard, House};
use crate::network::Link;
use crate::say;
use crate::si::Current;
use crate::survey::{Fact, Id};

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
    if ahead.is_none() && protected == Some(false) && place.kind == PlaceKind::Service {
        limits.extend(conductors(house, place, &mut facts));
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

/// The largest device that the incoming conductors may stand behind.
fn conductors(house: &House<'_>, place: &Place, facts: &mut Facts) -> Option<Current> {
    let edge = house.feeds.up_edge(place.node)?;
    let Link::Run(run) = house.network.edge(edge).link else { return None };
    let limit = facts.take(house.device_limit(run).clone())?;
    let label = "largest device for the incoming conductors";
    facts.step(reckoned("I_c", label, say!("the last step"), limit.largest));
    Some(limit.largest)
}
