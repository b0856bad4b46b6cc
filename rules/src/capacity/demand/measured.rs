//! The measured demand of an existing service or feeder: 220.87.

use super::dwelling::Item;
use super::inputs;
use super::sheet::{Method, Sheet, Worksheet};
use crate::finding::{from_table, reckoned};
use crate::say;
use crate::si::{Current, Power, Voltage};
use crate::tables::us::{DemandId, demand};

/// What 220.87 needs.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// The largest current of a year, or of 30 days recorded.
    pub largest: Current,
    /// What is added.
    pub new_load: Vec<Item>,
}

/// The demand by 220.87: 125 % of the largest measured one, and the new load.
#[must_use]
pub fn measured(measured: &Measured, voltage: Voltage) -> Worksheet {
    let mut sheet = Sheet::new();
    let factor = demand(DemandId::MeasuredLoad);
    let load = measured.largest * voltage;
    sheet.facts().step(from_table("k", factor.quantity, factor.value.value, factor.value.place));
    let expression = say!("{} × {}", measured.largest, voltage);
    sheet.facts().step(reckoned("S_m", "largest measured demand", expression.clone(), load));
    sheet.counted("largest measured demand", None, load, factor.value);
    sheet.worked_out(expression);
    let new_load: Power = measured.new_load.iter().map(|item| item.load).sum();
    if new_load > Power::default() {
        sheet.in_full("new load", None, new_load);
        sheet.worked_out(inputs::of_plates(&measured.new_load));
    }
    sheet.done(Method::Measured, voltage)
}
