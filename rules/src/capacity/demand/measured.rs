//! The measured demand of an existing service or feeder: 220.87.

use super::sheet::{Method, Sheet, Worksheet};
use crate::finding::{from_table, reckoned};
use crate::say;
use crate::si::{Current, Power, Voltage};
use crate::tables::us::{DemandId, demand};

/// What 220.87 needs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    /// The largest current of a year, or of 30 days recorded.
    pub largest: Current,
    /// What is added [VA].
    pub new_load: Power,
}

/// The demand by 220.87: 125 % of the largest measured one, and the new load.
#[must_use]
pub fn measured(measured: Measured, voltage: Voltage) -> Worksheet {
    let mut sheet = Sheet::new();
    let factor = demand(DemandId::MeasuredLoad);
    let load = measured.largest * voltage;
    sheet.facts().step(from_table("k", factor.quantity, factor.value.value, factor.value.place));
    let expression = say!("{} × {}", measured.largest, voltage);
    sheet.facts().step(reckoned("S_m", "largest measured demand", expression, load));
    sheet.counted("largest measured demand", None, load, factor.value);
    if measured.new_load > Power::default() {
        sheet.in_full("new load", None, measured.new_load);
    }
    sheet.done(Method::Measured, voltage)
}
