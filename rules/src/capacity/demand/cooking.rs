//! Household cooking appliances: Table 220.55 with its notes 1, 2 and 3.

use super::dwelling::{Group, Item};
use crate::calc::load_current::range_demand_kw;
use crate::finding::{Facts, from_table, reckoned};
use crate::say;
use crate::si::{Power, kilowatt};
use crate::tables::CellRef;
use crate::tables::us::{DemandId, demand, range_demand};

/// The demand of cooking appliances over 1.75 kW, with the table cells that it rests on: column C
/// for all of them, or columns A and B for the small ones and C for the rest, whichever is less;
/// never above the plates together. Larger ones than the table lists count with their plate.
#[must_use]
pub fn cooking_demand(facts: &mut Facts, group: &Group) -> (Power, Vec<CellRef>) {
    let end = limit(DemandId::CookingColumnCTo);
    let (listed, beyond): (Vec<&Item>, Vec<&Item>) =
        group.items.iter().partition(|item| item.load.get::<kilowatt>() <= end);
    let beyond: Power = beyond.iter().map(|item| item.load).sum();
    let (mut apart, mut together) = (Facts::new(), Facts::new());
    let (small, large): (Vec<&Item>, Vec<&Item>) =
        listed.iter().partition(|item| item.load.get::<kilowatt>() <= limit(DemandId::CookingColumnBTo));
    let by_columns = if small.is_empty() {
        None
    } else {
        let (in_a, in_b) = small_demand(&mut apart, &small, group.unknown);
        Some((in_a + in_b) + column_c(&mut apart, &large, group.unknown))
    };
    let all = column_c(&mut together, &listed, group.unknown);
    let (listed_demand, chosen) = match by_columns {
        Some(demand) if demand < all => (demand, apart),
        _ => (all, together),
    };
    let chosen = chosen.done(Some(()));
    let places = chosen.derivation.steps().filter_map(|step| match step.source {
        crate::finding::Source::Table(place) => Some(place),
        _ => None,
    });
    let places = places.collect();
    facts.take(chosen);
    let demand = listed_demand + beyond;
    if beyond > Power::default() {
        let expression = say!("{} + {} beyond the table, in full", listed_demand, beyond);
        facts.step(reckoned("P_C", "demand of cooking appliances", expression, demand));
    }
    (demand, places)
}

fn limit(id: DemandId) -> f64 {
    demand(id).value.value * (1.0 + 1e-9)
}

/// Columns A and B by note 3: the plates of each group times its percentage. Unknown appliances may
/// be in either and lower its percentage.
fn small_demand(facts: &mut Facts, small: &[&Item], unknown: u16) -> (Power, Power) {
    let below = demand(DemandId::CookingColumnATo).value.value;
    let (a, b): (Vec<&Item>, Vec<&Item>) = small.iter().partition(|item| item.load.get::<kilowatt>() < below);
    (column(facts, &a, unknown, true), column(facts, &b, unknown, false))
}

fn column(facts: &mut Facts, items: &[&Item], unknown: u16, is_a: bool) -> Power {
    let plates: Power = items.iter().map(|item| item.load).sum();
    let Some(row) = range_demand((items.len() as u16).saturating_add(unknown)) else { return plates };
    if items.is_empty() {
        return plates;
    }
    let (percent, label) = if is_a {
        (row.a_percent, "demand in percent, column A")
    } else {
        (row.b_percent, "demand in percent, column B")
    };
    facts.step(from_table("k", label, percent.value, percent.place));
    let demand = plates * (percent.value / 100.0);
    facts.step(reckoned("P", "by note 3", say!("{} × {} %", plates, percent.value), demand));
    demand
}

/// Column C for these appliances, raised by notes 1 and 2 with the average rating in which none
/// counts below 12 kW. Unknown ones lower the average.
fn column_c(facts: &mut Facts, items: &[&Item], unknown: u16) -> Power {
    let plates: Power = items.iter().map(|item| item.load).sum();
    if items.is_empty() {
        return plates;
    }
    let least = Power::new::<kilowatt>(
        crate::tables::us::number(crate::tables::us::ClauseId::RangeColumnCUpTo).value,
    );
    let raised: Power = items.iter().map(|item| if item.load > least { item.load } else { least }).sum();
    let count = items.len() as f64 + f64::from(unknown);
    let average = (raised + least * f64::from(unknown)) / count;
    if items.len() > 1 {
        let label = "average rating, none counting below 12 kW";
        facts.step(reckoned("P_m", label, say!("sum / {}", count), average));
    }
    match range_demand_kw(facts, items.len() as u16, average) {
        Some(demand) if demand < plates => demand,
        _ => plates,
    }
}
