//! General lighting, small-appliance and laundry circuits: 220.41, 220.52.

use super::dwelling::Dwelling;
use super::sheet::{Sheet, va};
use crate::finding::{Arg, from_table, reckoned};
use crate::say;
use crate::si::{Power, square_foot, watt};
use crate::tables::us::{Clause, DemandId, demand};

/// Adds the connected lines and gives their sum [VA].
pub(super) fn connected(sheet: &mut Sheet, dwelling: &Dwelling) -> Power {
    let area = dwelling.floor_area.get::<square_foot>();
    let unit = demand(DemandId::LightingLoad);
    let lighting = Power::new::<watt>(area * unit.value.value);
    if area > 0.0 {
        write_lighting(sheet, area, unit, lighting);
    }
    let rule = DemandId::SmallApplianceCircuit;
    let kitchen = circuits(sheet, "small-appliance circuits", dwelling.small_appliance_circuits, rule);
    let laundry = circuits(sheet, "laundry circuits", dwelling.laundry_circuits, DemandId::LaundryCircuit);
    lighting + kitchen + laundry
}

fn write_lighting(sheet: &mut Sheet, area: f64, unit: &Clause, lighting: Power) {
    sheet.facts().step(from_table("", unit.quantity, unit.value.value, unit.value.place));
    let square_feet = Arg::Quantity(area, 0, "ft²");
    let expression = say!("{} × {} VA/ft²", square_feet.clone(), unit.value.value);
    let told = expression.clone();
    sheet.facts().step(reckoned("S_l", "general lighting and outlets", told, va(lighting)));
    let label = say!("general lighting and outlets, {}", square_feet);
    sheet.connected(label, None, lighting, Some(unit.value.place));
    sheet.worked_out(expression);
}

fn circuits(sheet: &mut Sheet, label: &'static str, count: u16, rule: DemandId) -> Power {
    let each = demand(rule).value;
    let load = Power::new::<watt>(f64::from(count) * each.value);
    if count > 0 {
        sheet.facts().step(from_table("", demand(rule).quantity, each.value, each.place));
        let expression = say!("{} × {} VA", count, each.value);
        sheet.facts().step(reckoned("S", label, expression.clone(), va(load)));
        sheet.connected(label, Some(count), load, Some(each.place));
        sheet.worked_out(expression);
    }
    load
}
