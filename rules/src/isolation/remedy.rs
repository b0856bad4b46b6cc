//! Which single addition would keep two sources apart for good. Each one is tried on the model
//! before it is named: nothing is suggested that does not make them never meet.

use super::field::Field;
use super::grid::{Grid, PlaceId, SwitchId, WireId};
use super::model::{Force, Handle, Model, Part};
use super::modes::own_switches;
use super::search::{Given, Search};
use super::words::{Join, listed};
use super::{Isolation, Nearness};
use crate::finding::Said;
use crate::house::House;
use crate::network::EdgeId;
use crate::say;

/// Most additions that are named for one pair.
const MOST_REMEDIES: usize = 4;

/// An addition, or a move of one circuit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Remedy {
    /// A listed interlock between two devices of one panel.
    Interlock(SwitchId, SwitchId),
    /// A transfer switch in the place of two devices that stand in different boxes.
    Transfer(SwitchId, SwitchId),
    /// Moving what lands on a way to another way of the same section, which an interlock covers.
    MoveTo(SwitchId, SwitchId),
    /// A transfer switch where the supply joins what it is to feed.
    TransferAt(usize),
}

/// What would keep two supplies apart in every mode; empty where they never meet, and where no single
/// addition does.
#[must_use]
pub fn remedies(house: &House<'_>, isolation: &Isolation, a: usize, b: usize) -> Vec<Remedy> {
    let model = &isolation.model;
    let (Some(from), Some(to)) = (model.supply(a), model.supply(b)) else { return Vec::new() };
    let Some(meeting) = isolation
        .meetings
        .iter()
        .find(|one| (one.a, one.b) == (a, b) && matches!(one.worst.nearness, Nearness::Moves(_)))
    else {
        return Vec::new();
    };
    let along = along(model, &meeting.worst.path);
    let own = own(house, model, (a, b));
    let trial = Trial { model, field: &isolation.fields.worst, ends: (from, to) };
    let mut found = Vec::new();
    for (at, &first) in along.iter().enumerate() {
        // Both sources still have to reach what they are to feed: one device of each.
        let splits =
            |second: &&SwitchId| own.as_ref().is_none_or(|own| own.contains(&first) != own.contains(second));
        for &second in along[at + 1..].iter().filter(splits).filter(|second| trial.parts(first, **second)) {
            found.extend(named(house, model, first, second));
        }
    }
    found.extend(at_the_supply(house, &trial, b));
    // What stays in the panel is less work than what goes between panels.
    found.sort_by_key(rank);
    found.dedup();
    found.truncate(MOST_REMEDIES);
    found
}

/// The switches by which the standby one of two supplies comes in; none where neither is one.
fn own(house: &House<'_>, model: &Model, (a, b): (usize, usize)) -> Option<Vec<SwitchId>> {
    let feed = |supply| house.feeds.standby().iter().find(|feed| feed.supply == supply);
    feed(b).or_else(|| feed(a)).map(|feed| own_switches(house, model, feed))
}

/// The switches along a path that an interlock or transfer switch can take the place of: no plugs,
/// no transfer switches.
fn along(model: &Model, path: &[WireId]) -> Vec<SwitchId> {
    let contacts = path.iter().filter_map(|wire| model.worst.wire(*wire).contact);
    let switches = contacts.map(|contact| contact.switch);
    switches
        .filter(|switch| {
            model.worst.ranges()[*switch as usize].opens()
                && !matches!(model.handle(*switch), Handle::Plug(_))
        })
        .collect()
}

/// A transfer switch where a standby supply joins what it feeds, if that parts the two: the way towards
/// the root becomes one of its inputs, the supply's own way the other.
fn at_the_supply(house: &House<'_>, trial: &Trial<'_>, supply: usize) -> Option<Remedy> {
    let feed = house.feeds.standby().iter().find(|feed| feed.supply == supply)?;
    let up = house.feeds.up_edge(feed.top)?;
    let own = *house.feeds.edges_up(&house.network, house.network.supply(supply), feed.top).last()?;
    let parted = trial.never_without(up) && trial.never_without(own);
    parted.then_some(Remedy::TransferAt(supply))
}

fn rank(remedy: &Remedy) -> u8 {
    match remedy {
        Remedy::MoveTo(..) => 0,
        Remedy::Interlock(..) => 1,
        Remedy::TransferAt(_) => 2,
        Remedy::Transfer(..) => 3,
    }
}

struct Trial<'m> {
    model: &'m Model,
    field: &'m Field,
    ends: (PlaceId, PlaceId),
}

impl Trial<'_> {
    /// Whether the two never meet once at most one of these switches can be closed.
    fn parts(&self, first: SwitchId, second: SwitchId) -> bool {
        parted(self.field, self.ends, &[first, second], &Given::default())
    }

    /// Whether nothing at all joins the two once this edge is taken away.
    fn never_without(&self, edge: EdgeId) -> bool {
        let (from, to) = self.ends;
        let stays = |wire: WireId, _| self.model.parts[wire as usize] != Part::Edge(edge);
        from != to && self.model.worst.way(to, from, stays).is_empty()
    }
}

/// Whether two kept places never meet once at most one switch of this lock can be closed.
pub(super) fn parted(field: &Field, ends: (PlaceId, PlaceId), lock: &[SwitchId], given: &Given) -> bool {
    let Some((grid, from, to)) = field.between(ends.0, ends.1) else { return false };
    let mut locks = grid.locks().to_vec();
    locks.push(lock.to_vec());
    never(&grid.with_locks(locks), from, to, given)
}

fn never(grid: &Grid, from: PlaceId, to: PlaceId, given: &Given) -> bool {
    let state: Vec<u8> = grid.ranges().iter().map(|range| range.lowest).collect();
    let Ok(search) = Search::new(grid, &state) else { return false };
    matches!(search.nearest(from, to, given), Ok(None))
}

/// The addition that keeps two switches from being closed together.
fn named(house: &House<'_>, model: &Model, first: SwitchId, second: SwitchId) -> Vec<Remedy> {
    let panel = |switch| match model.handle(switch) {
        Handle::Main(panel) | Handle::Way(panel, _) => Some(panel),
        _ => None,
    };
    if panel(first).is_none() || panel(first) != panel(second) {
        return vec![Remedy::Transfer(first, second)];
    }
    let mut all = vec![Remedy::Interlock(first, second)];
    all.extend(covered(house, model, first, second));
    all.extend(covered(house, model, second, first));
    all
}

/// A way beside `landing` that an interlock with `partner` covers already.
fn covered(house: &House<'_>, model: &Model, landing: SwitchId, partner: SwitchId) -> Option<Remedy> {
    let Handle::Way(panel, way) = model.handle(landing) else { return None };
    let item = &house.survey.panels[panel];
    let bus = item.bus_of(&item.ways[way]);
    let plates =
        model.plates.iter().filter(|plate| plate.force == Force::Holds && plate.switches.contains(&partner));
    let mut others = plates.flat_map(|plate| plate.switches.iter().copied());
    others
        .find(|other| match model.handle(*other) {
            Handle::Way(there, at) => {
                there == panel && *other != landing && item.bus_of(&item.ways[at]) == bus && *other != partner
            }
            _ => false,
        })
        .map(|other| Remedy::MoveTo(landing, other))
}

/// A remedy in words, without the full stop.
#[must_use]
pub fn words(house: &House<'_>, model: &Model, remedy: &Remedy) -> Said {
    let name = |switch: &SwitchId| model.name(house, *switch);
    match remedy {
        Remedy::Interlock(a, b) => {
            say!("a listed interlock for this panel between {} and {}", name(a), name(b))
        }
        Remedy::Transfer(a, b) => say!("a transfer switch in the place of {} and {}", name(a), name(b)),
        Remedy::MoveTo(from, to) => {
            say!("moving what lands on {} to {}, which an interlock covers already", name(from), name(to))
        }
        Remedy::TransferAt(supply) => {
            let supply = &house.survey.supplies[*supply];
            say!("a transfer switch where {} joins what it is to feed", &supply.name)
        }
    }
}

/// Several remedies in words; that there is no single one where there is none.
#[must_use]
pub fn all_words(house: &House<'_>, model: &Model, remedies: &[Remedy]) -> Said {
    if remedies.is_empty() {
        return say!("no single addition that was tried parts them; the circuits have to be laid out anew");
    }
    listed(remedies.iter().map(|remedy| words(house, model, remedy)), Join::Semicolon)
}
