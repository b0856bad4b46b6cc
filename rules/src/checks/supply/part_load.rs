//! The losses of an inverter at part load while its best efficiency is not known.

use crate::capacity::run_time::{Store, Stores};
use crate::finding::Facts;
use crate::survey::{Fact, Supply};

/// A figure that hangs on the losses: with the most where it holds even so, else with the least; where
/// only the least would hold, the best efficiency is a missing fact.
pub(super) fn with_losses(
    supply: &Supply,
    stores: &Stores,
    figure: impl Fn(&Store) -> f64,
    falls_short: impl Fn(f64) -> bool,
    facts: &mut Facts,
) -> f64 {
    let (least, most) = (figure(&stores.longest), figure(&stores.careful));
    if !falls_short(most) {
        return most;
    }
    if !falls_short(least) {
        let unseen = supply.peak_efficiency == Fact::CannotBeSeen;
        let _: Option<()> = facts.miss(&supply.id, "peak_efficiency", unseen);
    }
    least
}
