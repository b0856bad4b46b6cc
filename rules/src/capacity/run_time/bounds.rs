//! The run time in closed form.

use super::day::Day;
use super::energy::Store;
use crate::si::{Power, watt, watt_hour};

/// Run times [h]: nought to a long time; `None` where nothing draws.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Everything on all the time.
    pub all_on: Option<f64>,
    /// The mean of the hardest day.
    pub hardest: Option<f64>,
    /// The mean of a usual day.
    pub usual: Option<f64>,
    /// The mean of a mild day.
    pub mild: Option<f64>,
}

/// Energy between the states of charge over the power out of the battery. It stops at the lowest charge, or
/// before it where the load that stands out most pulls it below the lowest voltage.
#[must_use]
pub fn bounds(store: &Store, day: &Day) -> Bounds {
    let hours = |(output, peak): (Power, Power)| {
        let store = store.stopped_at(store.losses.input(peak));
        let energy = store.bank.energy(store.lowest, store.highest).get::<watt_hour>();
        let input = store.losses.input(output);
        let share = store.share_out(input)?;
        let input = input.get::<watt>();
        (input > 0.0).then(|| energy * share / input)
    };
    Bounds {
        all_on: hours((day.all_on(), day.all_on())),
        hardest: hours((day.mean(2), day.peak(2))),
        usual: hours((day.mean(1), day.peak(1))),
        mild: hours((day.mean(0), day.peak(0))),
    }
}
