//! The load of the neutral: 220.61.

use super::by_standard::{appliance_rule, by_table, dryer_load};
use super::cooking::cooking_demand;
use super::dwelling::{Dwelling, Group};
use super::general;
use super::sheet::Sheet;
use crate::finding::Facts;
use crate::si::{Current, Power, Voltage, amperes};
use crate::tables::us::{DemandId, demand, demand_through, dryer_percent};

/// The largest unbalance that the neutral must carry [VA], by the standard method whichever method
/// the hots were reckoned by, and the current with the reduction above 200 A: general load and what
/// stands on a hot and the neutral, ranges and dryers at 70 %.
#[must_use]
pub fn neutral_demand(dwelling: &Dwelling, voltage: Voltage) -> (Power, Current) {
    let mut sheet = Sheet::new();
    let general = general::connected(&mut sheet, dwelling);
    sheet.in_steps(
        general,
        &[DemandId::LightingFirstStep, DemandId::LightingSecondStep, DemandId::LightingThirdStep],
    );
    let (listed, small) = by_table(dwelling);
    let with_neutral = Group {
        items: listed.items.into_iter().filter(|item| item.on_neutral).collect(),
        unknown: listed.unknown,
    };
    let (cooking, _) = cooking_demand(&mut Facts::new(), &with_neutral);
    let dryers = Group {
        items: dwelling.dryers.items.iter().filter(|item| item.on_neutral).cloned().collect(),
        unknown: 0,
    };
    let share = dryer_percent(dwelling.dryers.count()).map_or(1.0, |percent| percent.value / 100.0);
    let factor = demand(DemandId::NeutralOfRangesAndDryers).value.value;
    let mut load = sheet.total() + dwelling.load_elsewhere();
    load += (cooking + dryer_load(&dryers) * share) * factor;
    let fixed = demand(appliance_rule(dwelling)).value.value;
    for item in dwelling.appliances.items.iter().chain(&small).filter(|item| item.on_neutral) {
        load += if item.counts { item.load * fixed } else { item.load };
    }
    load += on_neutral(&dwelling.vehicles);
    let heat = on_neutral(&dwelling.heat) + on_neutral(&dwelling.heat_pumps);
    let cool = on_neutral(&dwelling.cooling) + on_neutral(&dwelling.heat_pumps);
    load += if heat > cool { heat } else { cool };
    (load, reduced(load, voltage))
}

fn on_neutral(group: &Group) -> Power {
    group.items.iter().filter(|item| item.on_neutral).map(|item| item.load).sum()
}

/// What is above 200 A counts 70 % (220.61(B)).
fn reduced(load: Power, voltage: Voltage) -> Current {
    if voltage <= Voltage::default() {
        return Current::default();
    }
    let current = load / voltage;
    let rule = DemandId::NeutralAbove200A;
    let full = demand_through(rule).map_or(current, |cell| amperes(cell.value));
    if current > full { full + (current - full) * demand(rule).value.value } else { current }
}
