//! The loads of an island together, by leg, with the current of the neutral.

use super::island::{Carried, Island};
use crate::finding::Missing;
use crate::si::{Current, Power};

/// What some loads draw together.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Totals {
    /// Current of leg A; with one hot everything.
    pub a: Current,
    /// Current of leg B.
    pub b: Current,
    /// Current of the neutral: what one leg carries more than the other by loads from a hot to the
    /// neutral; with one hot everything.
    pub neutral: Current,
    /// Apparent power [VA].
    pub apparent: Power,
    /// Active power.
    pub power: Power,
    /// Facts without which currents and apparent power are only the least that they can be.
    pub missing: Vec<Missing>,
    /// Facts without which the legs are.
    pub missing_legs: Vec<Missing>,
    /// Facts without which the active power is.
    pub missing_power: Vec<Missing>,
}

/// What these loads of an island draw together. On a supply with one hot, loads between two hots get
/// no voltage and draw nothing.
#[must_use]
pub fn totals<'a>(island: &Island, loads: impl Iterator<Item = &'a Carried>) -> Totals {
    let one_hot = island.one_hot();
    let mut totals = Totals::default();
    for load in loads.filter(|load| !(one_hot && is_pair(load))) {
        totals.a += load.a;
        totals.b += load.b;
        totals.apparent += load.apparent;
        totals.power += load.power;
        totals.missing.extend_from_slice(&load.missing);
        totals.missing_legs.extend(load.missing_leg.clone());
        totals.missing_power.extend_from_slice(&load.missing_power);
    }
    // Loads between the hots are the same on both legs and leave the neutral alone.
    let unbalance = if totals.a > totals.b { totals.a - totals.b } else { totals.b - totals.a };
    totals.neutral = if one_hot { totals.a } else { unbalance };
    totals
}

pub(crate) fn is_pair(load: &Carried) -> bool {
    load.across == Some(crate::calc::load_current::Across::Pair)
}
