//! How far the voltage dips at a motor while it starts.

use super::island::Carried;
use super::totals::is_pair;
use crate::calc::fault::runs_on;
use crate::calc::source::Extreme;
use crate::finding::{Facts, Worked};
use crate::house::House;
use crate::si::{Current, Ratio, Resistance};

/// The dip in the conductors from a supply to a load, and behind the supply's terminals where an
/// impedance is known there, as a share of the circuit's voltage. Magnitudes are added without
/// their angles, which gives the most that it can be. While facts are missing, the least.
///
/// The electronics of an inverter hold its voltage until its surge is used up: nothing is added for it.
#[must_use]
pub fn start_dip(house: &House<'_>, supply: usize, carried: &Carried, start: Current) -> Worked<Ratio> {
    let mut facts = Facts::new();
    let load = &house.survey.loads[carried.load];
    let Some(run) = house.run_number(&load.on) else { return facts.done(None) };
    let paths = house.feeds.paths_to(&house.network, house.network.run_end(run));
    let Some((_, path)) = paths.into_iter().find(|(from, _)| *from == supply) else {
        return facts.done(None);
    };
    let pair = is_pair(carried);
    let mut whole = Resistance::default();
    for run in runs_on(house, &path) {
        let impedance = house.impedance(run);
        let found = if pair { impedance.between_hots() } else { impedance.leg_loop() };
        whole += facts.take(found).map_or_else(Resistance::default, |loop_of| loop_of.magnitude());
    }
    let source = house.source(supply, Extreme::Smallest);
    facts.include(&source.missing, &source.derivation);
    let behind = source.value.as_ref().and_then(|source| {
        let all = if pair { &source.between_hots } else { &source.to_neutral };
        all.first().copied()
    });
    let Some(behind) = behind else { return facts.done(None) };
    if !behind.limited {
        whole += behind.voltage / behind.terminals;
    }
    facts.done(Some(start * whole / behind.voltage))
}
