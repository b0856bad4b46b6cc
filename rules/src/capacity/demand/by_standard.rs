//! The standard method: Article 220 Part III.

use super::cooking::cooking_demand;
use super::dwelling::{Dwelling, Group, Item};
use super::sheet::{Method, Sheet, Worksheet, va};
use super::{general, inputs};
use crate::finding::{from_table, reckoned};
use crate::say;
use crate::si::{Power, Voltage, kilowatt, watt};
use crate::tables::us::{DemandId, demand, demand_from, dryer_percent};

/// The demand by the standard method at this voltage (between the hots of a three-wire service).
#[must_use]
pub fn standard(dwelling: &Dwelling, voltage: Voltage) -> Worksheet {
    let mut sheet = Sheet::new();
    let general = general::connected(&mut sheet, dwelling);
    sheet.in_steps(
        general,
        &[DemandId::LightingFirstStep, DemandId::LightingSecondStep, DemandId::LightingThirdStep],
    );
    let elsewhere = dwelling.load_elsewhere();
    if elsewhere > Power::default() {
        sheet.in_full("lighting and outlets of outbuildings", None, elsewhere);
        inputs::tell_elsewhere(&mut sheet, dwelling);
    }
    appliances(&mut sheet, dwelling);
    cooking(&mut sheet, dwelling);
    dryers(&mut sheet, dwelling);
    vehicles(&mut sheet, &dwelling.vehicles);
    heat_or_cooling(&mut sheet, dwelling);
    sheet.done(Method::Standard, voltage)
}

/// Cooking appliances that Table 220.55 lists, and the small ones that count as appliances.
pub(super) fn by_table(dwelling: &Dwelling) -> (Group, Vec<Item>) {
    let least = demand(DemandId::CookingAbove).value.value;
    let (listed, small): (Vec<Item>, Vec<Item>) =
        dwelling.cooking.items.iter().cloned().partition(|item| item.load.get::<kilowatt>() > least);
    (Group { items: listed, unknown: dwelling.cooking.unknown }, small)
}

/// The factor of 220.53, by how many fixed appliances there are; unknown ones may make up the four.
pub(super) fn appliance_rule(dwelling: &Dwelling) -> DemandId {
    let (_, small) = by_table(dwelling);
    let count = dwelling.appliances.items.iter().chain(&small).filter(|item| item.counts).count() as f64;
    let unknown = f64::from(dwelling.appliances.unknown) + f64::from(dwelling.cooking.unknown);
    let four = demand_from(DemandId::FourOrMoreAppliances).map_or(f64::INFINITY, |cell| cell.value);
    if count + unknown >= four { DemandId::FourOrMoreAppliances } else { DemandId::FewerAppliances }
}

fn appliances(sheet: &mut Sheet, dwelling: &Dwelling) {
    let (_, small) = by_table(dwelling);
    let all = dwelling.appliances.items.iter().chain(&small);
    let (fixed, other): (Vec<&Item>, Vec<&Item>) = all.partition(|item| item.counts);
    let sum = |items: &[&Item]| -> Power { items.iter().map(|item| item.load).sum() };
    if !fixed.is_empty() {
        for item in &fixed {
            sheet.plate(item_label(item), None, item.load);
        }
        let rule = appliance_rule(dwelling);
        sheet.counted("fixed appliances", Some(fixed.len() as u16), sum(&fixed), demand(rule).value);
    }
    for item in other {
        sheet.in_full(item_label(item), None, item.load);
    }
}

fn item_label(item: &Item) -> crate::finding::Said {
    say!("{}", item.name.clone())
}

fn cooking(sheet: &mut Sheet, dwelling: &Dwelling) {
    let (listed, _) = by_table(dwelling);
    if listed.items.is_empty() {
        return;
    }
    let (demand, places) = cooking_demand(sheet.facts(), &listed);
    sheet.by_table(
        "ranges, ovens and cooktops",
        Some(listed.items.len() as u16),
        listed.sum(),
        demand,
        places,
    );
    sheet.worked_out(inputs::of_plates(&listed.items));
}

/// Each dryer with its plate, or the least that one counts.
pub(super) fn dryer_load(group: &Group) -> Power {
    at_least(group, DemandId::DryerSmallest)
}

/// Vehicle supply equipment with its plate, or the least that one counts.
pub(super) fn vehicle_load(group: &Group) -> Power {
    at_least(group, DemandId::VehicleSupplySmallest)
}

fn at_least(group: &Group, rule: DemandId) -> Power {
    let least = Power::new::<watt>(demand(rule).value.value);
    let known: Power = group.items.iter().map(|item| if item.load > least { item.load } else { least }).sum();
    // One with an unknown plate counts at least this much too.
    known + least * f64::from(group.unknown)
}

fn dryers(sheet: &mut Sheet, dwelling: &Dwelling) {
    let count = dwelling.dryers.count();
    let Some(percent) = dryer_percent(count) else { return };
    let least = demand(DemandId::DryerSmallest);
    sheet.facts().step(from_table("", least.quantity, least.value.value, least.value.place));
    let load = dryer_load(&dwelling.dryers);
    sheet.counted("clothes dryers", Some(count), load, percent.map(|percent| percent / 100.0));
    sheet.worked_out(inputs::at_least(&dwelling.dryers, DemandId::DryerSmallest));
}

fn vehicles(sheet: &mut Sheet, group: &Group) {
    if group.is_empty() {
        return;
    }
    let least = demand(DemandId::VehicleSupplySmallest);
    sheet.facts().step(from_table("", least.quantity, least.value.value, least.value.place));
    sheet.in_full("vehicle supply equipment", Some(group.count()), vehicle_load(group));
    sheet.worked_out(inputs::at_least(group, DemandId::VehicleSupplySmallest));
}

/// Heating or cooling, whichever with its motors makes more (220.60, 220.50).
fn heat_or_cooling(sheet: &mut Sheet, dwelling: &Dwelling) {
    let rule = demand(DemandId::SpaceHeat).value;
    let heating = dwelling.heat.sum() * rule.value + dwelling.heat_pumps.sum();
    let cooling = dwelling.cooling.sum() + dwelling.heat_pumps.sum();
    let motor_heating = largest_motor(dwelling, &[&dwelling.heat, &dwelling.heat_pumps]);
    let motor_cooling = largest_motor(dwelling, &[&dwelling.cooling, &dwelling.heat_pumps]);
    let extra = demand(DemandId::LargestMotor);
    let load_of = |motor: Option<&Item>| motor.map_or_else(Power::default, |item| item.load);
    let all = |side: Power, motor| side + load_of(motor) * extra.value.value;
    let heats = all(heating, motor_heating) >= all(cooling, motor_cooling);
    let (load, left_out, motor) =
        if heats { (heating, cooling, motor_heating) } else { (cooling, heating, motor_cooling) };
    if load > Power::default() {
        let word = if heats { "heating" } else { "cooling" };
        let other = if heats { "cooling" } else { "heating" };
        let label = say!("{}; {} of {} left out (220.60)", word, va(left_out), other);
        let label = if left_out > Power::default() { label } else { say!("{}", word) };
        sheet.in_full(label, None, load);
        let side = if heats { &dwelling.heat } else { &dwelling.cooling };
        sheet.worked_out(inputs::of_plates(side.items.iter().chain(&dwelling.heat_pumps.items)));
    }
    if let Some(motor) = motor {
        let label = say!("largest motor, {}", motor.name.clone());
        sheet.facts().step(reckoned("", label.clone(), say!("its load"), va(motor.load)));
        sheet.counted(label, None, motor.load, extra.value);
    }
}

fn largest_motor<'a>(dwelling: &'a Dwelling, sides: &[&'a Group]) -> Option<&'a Item> {
    let groups = [&dwelling.appliances].into_iter().chain(sides.iter().copied());
    let motors = groups.flat_map(|group| &group.items).filter(|item| item.motor);
    motors.max_by(|a, b| a.load.value.total_cmp(&b.load.value))
}
