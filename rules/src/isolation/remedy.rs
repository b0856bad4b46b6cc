//! Which single addition would keep two sources apart for good. Each one is tried on the model
//! before it is named: nothing is suggested that does not make them never meet.

use super::core::Core;
use super::grid::{PlaceId, SwitchId};
use super::model::{Force, Handle, Model};
use super::search::{Given, Search};
use super::{Isolation, Nearness};
use crate::house::House;

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
    /// A transfer switch where the supply comes in: nothing there opens.
    TransferAt(usize),
}

/// What would keep two supplies apart in every mode; empty where they never meet.
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
    let mut along: Vec<SwitchId> = meeting
        .worst
        .path
        .iter()
        .filter_map(|wire| model.worst.wire(*wire).contact)
        .map(|one| one.switch)
        .collect();
    along.retain(|switch| model.worst.ranges()[*switch as usize].opens());
    let core = Core::of(&model.worst, [from, to]);
    let trial = Trial { core, ends: (from, to) };
    let mut found = Vec::new();
    for (at, &first) in along.iter().enumerate() {
        for &second in along[at + 1..].iter().filter(|second| trial.parts(first, **second)) {
            found.extend(named(house, model, first, second));
        }
    }
    // What stays in the panel is less work than what goes between panels.
    found.sort_by_key(rank);
    found.dedup();
    found.truncate(MOST_REMEDIES);
    if found.is_empty() {
        found.push(Remedy::TransferAt(b));
    }
    found
}

fn rank(remedy: &Remedy) -> u8 {
    match remedy {
        Remedy::MoveTo(..) => 0,
        Remedy::Interlock(..) => 1,
        Remedy::Transfer(..) => 2,
        Remedy::TransferAt(_) => 3,
    }
}

struct Trial {
    core: Core,
    ends: (PlaceId, PlaceId),
}

impl Trial {
    /// Whether the two never meet once at most one of these switches can be closed.
    fn parts(&self, first: SwitchId, second: SwitchId) -> bool {
        let mut locks = self.core.grid.locks().to_vec();
        locks.push(vec![first, second]);
        let grid = self.core.grid.with_locks(locks);
        let state: Vec<u8> = grid.ranges().iter().map(|range| range.lowest).collect();
        let place = |at| self.core.place(at);
        let (Some(from), Some(to)) = (place(self.ends.0), place(self.ends.1)) else { return false };
        let Ok(search) = Search::new(&grid, &state) else { return false };
        matches!(search.nearest(from, to, &Given::default()), Ok(None))
    }
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
pub fn words(house: &House<'_>, model: &Model, remedy: &Remedy) -> String {
    let name = |switch: &SwitchId| model.name(house, *switch);
    match remedy {
        Remedy::Interlock(a, b) => {
            format!("a listed interlock for this panel between {} and {}", name(a), name(b))
        }
        Remedy::Transfer(a, b) => format!("a transfer switch in the place of {} and {}", name(a), name(b)),
        Remedy::MoveTo(from, to) => {
            format!("moving what lands on {} to {}, which an interlock covers already", name(from), name(to))
        }
        Remedy::TransferAt(supply) => {
            format!(
                "a transfer switch where {} comes in: no two devices there can be made to exclude each other",
                house.survey.supplies[*supply].name
            )
        }
    }
}
