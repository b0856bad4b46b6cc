//! What the neutral of a feeder can see: the 120 V loads of one leg while the other leg rests.

use super::load_current::Across;
use crate::finding::{Facts, Worked, reckoned};
use crate::house::{House, Item};
use crate::network::Link;
use crate::say;
use crate::si::Current;
use crate::survey::{Leg, Load, Way};

/// The loads from hot to neutral beyond a run, by leg.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LegLoads {
    /// Sum on the heavier leg as far as known; a load of unknown leg counts by itself.
    pub heavier: Current,
    /// Whether loads of no known current hang there too.
    pub open: bool,
}

/// The heavier leg's loads from hot to neutral beyond a run, all running at once. What is missing
/// is listed, outlets without a load too: the value is then the best case.
#[must_use]
pub fn leg_loads_beyond(house: &House<'_>, run: usize) -> Worked<LegLoads> {
    let mut facts = Facts::new();
    let nought = Current::default();
    let (mut a, mut b, mut largest_unknown, mut open) = (nought, nought, nought, false);
    let beyond = loads_beyond(house, run);
    for number in beyond {
        let load = &house.survey.loads[number];
        let found = house.drawn(number);
        facts.include(&found.missing, &crate::finding::Derivation::default());
        let drawn = match found.value {
            Some(Some(drawn)) => drawn,
            Some(None) => {
                open = true;
                facts.need(&load.power, &load.id, "power");
                continue;
            }
            None => {
                open = true;
                continue;
            }
        };
        if drawn.across == Across::Pair {
            continue;
        }
        match leg_of(house, load, &mut facts) {
            Some(Leg::A) => a += drawn.current,
            Some(Leg::B) => b += drawn.current,
            Some(Leg::Both) | None if drawn.current > largest_unknown => largest_unknown = drawn.current,
            Some(Leg::Both) | None => {}
        }
    }
    let known = if a > b { a } else { b };
    let heavier = if known > largest_unknown { known } else { largest_unknown };
    let expression = say!("leg A {}, leg B {}", a, b);
    facts.step(reckoned(
        "I_N",
        "loads from hot to neutral on the heavier leg, the other at rest (220.61 takes the legs as balanced)",
        expression,
        heavier,
    ));
    facts.done(Some(LegLoads { heavier, open }))
}

/// Numbers of the loads that are fed through a run from its tree's root.
fn loads_beyond(house: &House<'_>, run: usize) -> Vec<usize> {
    let nodes = house.network.nodes().len();
    let mut below = vec![false; nodes];
    let edge = house.network.run_edge(run);
    for &node in house.feeds.order() {
        let Some(up) = house.feeds.up_edge(node) else { continue };
        let parent = house.network.edge(up).other(node);
        let second_hot = house.network.edge(up).link == Link::Run(run);
        below[node as usize] = up == edge || second_hot || below[parent as usize];
    }
    let numbered = house.survey.loads.iter().enumerate();
    let is_below =
        |load: &Load| house.run_number(&load.on).is_some_and(|on| below[house.network.run_end(on) as usize]);
    numbered.filter(|(_, load)| is_below(load)).map(|(at, _)| at).collect()
}

/// The leg of a load: its own on a three-wire run, else that of the way where its circuit begins.
fn leg_of(house: &House<'_>, load: &Load, facts: &mut Facts) -> Option<Leg> {
    if let Some(leg) = load.leg.get() {
        return Some(leg);
    }
    match way_of(house, load) {
        Some(way) => match facts.need(&way.leg, &way.id, "leg") {
            Some(Leg::Both) => facts.need(&load.leg, &load.id, "leg"),
            leg => leg,
        },
        None => facts.need(&load.leg, &load.id, "leg"),
    }
}

fn way_of<'a>(house: &House<'a>, load: &Load) -> Option<&'a Way> {
    let mut run = house.run_number(&load.on)?;
    for _ in 0..house.survey.runs.len() {
        match house.index.get(&house.survey.runs[run].from)? {
            Item::Way(panel, way) => return Some(&house.survey.panels[panel].ways[way]),
            Item::Run(before) => run = before,
            _ => return None,
        }
    }
    None
}
