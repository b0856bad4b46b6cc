//! One household range on its own branch circuit: Table 220.55 with its notes 1 and 4.

use crate::finding::{Facts, from_table, reckoned};
use crate::say;
use crate::si::{Current, Power, Voltage, amperes, kilowatt};
use crate::tables::us::{ClauseId, number, range_demand};

/// Demand of a number of alike ranges of this rating each: column C, and by note 1 an addition for
/// each kilowatt, or major fraction, above its end. Never above the ratings together. `None` for
/// no range.
#[must_use]
pub(crate) fn range_demand_kw(facts: &mut Facts, ranges: u16, rating: Power) -> Option<Power> {
    let base = range_demand(ranges)?.c;
    facts.step(from_table("P_C", "range demand, column C", base.value, base.place));
    let end = number(ClauseId::RangeColumnCUpTo);
    let above = rating.get::<kilowatt>() - end.value;
    let mut demand = base.value;
    // Rounds half up: a half is a major fraction. The small slack is for the noise of floating point.
    let steps = (above + 0.5 + 1e-9).floor();
    if steps > 0.0 {
        let each = number(ClauseId::RangeColumnCAdded);
        facts.step(from_table("", "column C holds up to, in kW", end.value, end.place));
        facts.step(from_table("", "percent added for each kW above", each.value, each.place));
        demand = base.value * (1.0 + each.value / 100.0 * steps);
        let expression = say!("{} × (1 + {} % × {})", base.value, each.value, steps);
        facts.step(reckoned("P_C", "range demand by note 1", expression, demand));
    }
    let all = rating * f64::from(ranges);
    Some(if demand < all { demand } else { all })
}

/// The current that the circuit of one range must carry: its demand, and at least the smallest
/// circuit that a large range may have (210.19(C)).
pub(super) fn circuit_current(facts: &mut Facts, rating: Power, voltage: Voltage) -> Option<Current> {
    let demand = range_demand_kw(facts, 1, rating)?;
    let current = demand / voltage;
    facts.step(reckoned("I_B", "current of the demand", say!("{} / {}", demand, voltage), current));
    let from = number(ClauseId::RangeCircuitFrom);
    if rating.get::<kilowatt>() < from.value * (1.0 - 1e-9) {
        return Some(current);
    }
    let smallest = number(ClauseId::RangeCircuitSmallest);
    facts.step(from_table("", "smallest circuit of such a range", amperes(smallest.value), smallest.place));
    Some(if current > amperes(smallest.value) { current } else { amperes(smallest.value) })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NFPA 70-2005 Annex D: example D2(b) 12 kW range 8 kW; D5 and D6 show note 1 with 5 % steps: 14
    /// kW is 2 steps, 8.8 kW; 16 kW four, 9.6 kW; 12.4 kW none, 12.5 kW one (major fraction).
    #[test]
    fn demand_of_one_range() {
        let demand = |rating| {
            let found = range_demand_kw(&mut Facts::new(), 1, Power::new::<kilowatt>(rating));
            found.unwrap().get::<kilowatt>()
        };
        for (rating, wanted) in
            [(7.0, 7.0), (8.5, 8.0), (12.0, 8.0), (12.4, 8.0), (12.5, 8.4), (14.0, 8.8), (16.0, 9.6)]
        {
            assert!((demand(rating) - wanted).abs() < 1e-9, "{rating}: {}", demand(rating));
        }
    }

    /// NFPA 70-2023 210.19(C): ranges of 8.75 kW or more need at least a 40 A circuit.
    #[test]
    fn circuit_of_one_range() {
        let current = |rating| {
            let rating = Power::new::<kilowatt>(rating);
            circuit_current(&mut Facts::new(), rating, crate::si::volts(240.0)).unwrap()
        };
        let amps = |current: Current| current.get::<crate::si::ampere>();
        assert!((amps(current(12.0)) - 40.0).abs() < 1e-9);
        assert!((amps(current(8.75)) - 40.0).abs() < 1e-9);
        assert!((amps(current(8.7)) - 8000.0 / 240.0).abs() < 1e-9);
        assert!((amps(current(20.0)) - 8000.0 * 1.4 / 240.0).abs() < 1e-9);
    }
}
