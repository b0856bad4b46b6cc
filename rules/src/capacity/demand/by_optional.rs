//! The optional methods: 220.82 for one dwelling, 220.83 for an existing one.

use super::by_standard::vehicle_load;
use super::dwelling::{Dwelling, Group, Item};
use super::sheet::{Method, Sheet, Worksheet};
use super::{general, inputs};
use crate::finding::fixed;
use crate::say;
use crate::si::{Power, Voltage, watt};
use crate::tables::us::{DemandId, demand, demand_from};

/// The demand by 220.82. The plates of ranges and dryers count as they are; heating and cooling
/// are added to the general load, heat pump and its supplement together.
#[must_use]
pub fn optional(dwelling: &Dwelling, voltage: Voltage) -> Worksheet {
    let mut sheet = Sheet::new();
    let general = everything_else(&mut sheet, dwelling);
    sheet.in_steps(general, &[DemandId::OptionalFirstStep, DemandId::OptionalRemainder]);
    let heating = Heating::of(dwelling);
    let cooling = dwelling.cooling.sum() + dwelling.heat_pumps.sum();
    if heating.counted() > cooling {
        heating.write(&mut sheet, dwelling);
    } else if cooling > Power::default() {
        sheet.counted("cooling", None, cooling, demand(DemandId::OptionalCooling).value);
        sheet.worked_out(inputs::of_plates(cooling_items(dwelling)));
    }
    sheet.done(Method::Optional, voltage)
}

/// General lighting, circuits, appliances and motors by their plates [VA].
fn everything_else(sheet: &mut Sheet, dwelling: &Dwelling) -> Power {
    let mut load = general::connected(sheet, dwelling);
    let elsewhere = dwelling.load_elsewhere();
    if elsewhere > Power::default() {
        sheet.plate("lighting and outlets of outbuildings", None, elsewhere);
        inputs::tell_elsewhere(sheet, dwelling);
        load += elsewhere;
    }
    for item in &dwelling.appliances.items {
        sheet.plate(say!("{}", item.name.clone()), None, item.load);
    }
    let appliances = dwelling.appliances.sum();
    load += plates(sheet, "ranges, ovens and cooktops", &dwelling.cooking);
    load += plates(sheet, "clothes dryers", &dwelling.dryers);
    let vehicles = vehicle_load(&dwelling.vehicles);
    if vehicles > Power::default() {
        sheet.plate("vehicle supply equipment", Some(dwelling.vehicles.count()), vehicles);
        sheet.worked_out(inputs::at_least(&dwelling.vehicles, DemandId::VehicleSupplySmallest));
    }
    load + appliances + vehicles
}

/// A line for the plates of a group; gives their sum [VA].
fn plates(sheet: &mut Sheet, label: &'static str, group: &Group) -> Power {
    let load = group.sum();
    if load > Power::default() {
        sheet.plate(label, Some(group.count()), load);
        sheet.worked_out(inputs::of_plates(&group.items));
    }
    load
}

fn cooling_items(dwelling: &Dwelling) -> impl Iterator<Item = &Item> {
    dwelling.cooling.items.iter().chain(&dwelling.heat_pumps.items)
}

fn heating_items(dwelling: &Dwelling) -> impl Iterator<Item = &Item> {
    dwelling.heat.items.iter().chain(&dwelling.heat_pumps.items)
}

/// Heat by 220.82(C): heat pumps in full, their supplement and few units at 65 %, four or more
/// separately controlled units at 40 %. Heat that may or may not be a supplement counts as a unit,
/// which never asks for more.
struct Heating {
    pumps: Power,
    supplement: Power,
    units: Power,
    unit_rule: DemandId,
}

impl Heating {
    fn of(dwelling: &Dwelling) -> Self {
        let of = |supplement: bool| -> Power {
            let items = &dwelling.heat.items;
            let items = items.iter().filter(|item| (item.supplement == Some(true)) == supplement);
            items.map(|item| item.load).sum()
        };
        let four = four_units(&dwelling.heat) != Some(false);
        let unit_rule = if four { DemandId::OptionalHeatFourUnits } else { DemandId::OptionalHeatFewUnits };
        Self { pumps: dwelling.heat_pumps.sum(), supplement: of(true), units: of(false), unit_rule }
    }

    /// What the heat that may supplement a heat pump counts if it does; `None` where it is all
    /// known, or counts alike.
    fn doubtful(&self, dwelling: &Dwelling) -> Option<Power> {
        let doubtful = dwelling.heat.items.iter().filter(|item| item.supplement.is_none());
        let load: Power = doubtful.map(|item| item.load).sum();
        let rule = demand(DemandId::OptionalHeatPumpSupplement).value;
        let differs = demand(self.unit_rule).value.value != rule.value;
        (load > Power::default() && differs).then(|| load * rule.value)
    }

    fn counted(&self) -> Power {
        let factor = |rule| demand(rule).value.value;
        self.pumps
            + self.supplement * factor(DemandId::OptionalHeatPumpSupplement)
            + self.units * factor(self.unit_rule)
    }

    fn write(&self, sheet: &mut Sheet, dwelling: &Dwelling) {
        let nought = Power::default();
        if self.pumps > nought {
            let beside = self.supplement > nought;
            let rule = if beside { DemandId::OptionalHeatPumpBeside } else { DemandId::OptionalHeatPump };
            let rule = demand(rule).value;
            sheet.counted("heat pump", Some(dwelling.heat_pumps.count()), self.pumps, rule);
            sheet.worked_out(inputs::of_plates(&dwelling.heat_pumps.items));
        }
        if self.supplement > nought {
            let rule = demand(DemandId::OptionalHeatPumpSupplement).value;
            sheet.counted("heat that supplements the heat pump", None, self.supplement, rule);
            let items = dwelling.heat.items.iter().filter(|item| item.supplement == Some(true));
            sheet.worked_out(inputs::of_plates(items));
        }
        if self.units > nought {
            let units = dwelling.heat.items.iter().filter(|item| item.supplement != Some(true));
            let rule = demand(self.unit_rule).value;
            let label = match self.doubtful(dwelling) {
                Some(more) => say!(
                    "separately controlled heating units, the least; those not known to be units would count {} VA in \
                     all as the supplement of the heat pump (220.82(C)(3))",
                    fixed(more.get::<watt>(), 0)
                ),
                None => say!("separately controlled heating units"),
            };
            sheet.counted(label, Some(units.clone().count() as u16), self.units, rule);
            sheet.worked_out(inputs::of_plates(units));
        }
    }
}

/// Whether there are four or more separately controlled heating units; `None` where that hangs on
/// what nobody knows.
fn four_units(heat: &Group) -> Option<bool> {
    let certain = heat.items.iter().filter(|item| item.supplement == Some(false)).count();
    let possible = heat.items.iter().filter(|item| item.supplement.is_none()).count();
    let four = demand_from(DemandId::FourOrMoreAppliances).map_or(f64::INFINITY, |cell| cell.value);
    let most = (certain + possible) as f64 + f64::from(heat.unknown);
    match (certain as f64 >= four, most >= four) {
        (true, _) => Some(true),
        (false, false) => Some(false),
        (false, true) => None,
    }
}

/// The demand of an existing dwelling by 220.83: (B) where heating or cooling is new, else (A).
#[must_use]
pub fn existing(dwelling: &Dwelling, voltage: Voltage) -> Worksheet {
    if !dwelling.new_heat_or_cooling {
        return existing_a(dwelling, voltage);
    }
    match four_units(&dwelling.heat) {
        Some(four) => existing_b(dwelling, voltage, four),
        None => {
            let [few, many] = [false, true].map(|four| existing_b(dwelling, voltage, four));
            if few.total < many.total { few } else { many }
        }
    }
}

fn existing_a(dwelling: &Dwelling, voltage: Voltage) -> Worksheet {
    let mut sheet = Sheet::new();
    let other = everything_else(&mut sheet, dwelling);
    let (label, hvac) = larger_of_heating_and_cooling(dwelling, dwelling.heat.sum());
    if hvac > Power::default() {
        sheet.plate(label, None, hvac);
        sheet.worked_out(hvac_inputs(dwelling, dwelling.heat.sum()));
    }
    sheet.in_steps(other + hvac, &[DemandId::ExistingFirstStep, DemandId::ExistingRemainder]);
    sheet.done(Method::Existing, voltage)
}

fn existing_b(dwelling: &Dwelling, voltage: Voltage, four: bool) -> Worksheet {
    let mut sheet = Sheet::new();
    let mut other = everything_else(&mut sheet, dwelling);
    let heat = dwelling.heat.sum();
    // Four or more separately controlled heating units are among the other load.
    if four && heat > Power::default() {
        sheet.plate("four or more heating units", None, heat);
        sheet.worked_out(inputs::of_plates(&dwelling.heat.items));
        other += heat;
    }
    let rules = [DemandId::ExistingNewHvacFirstStep, DemandId::ExistingNewHvacRemainder];
    sheet.in_steps(other, &rules);
    let heat = if four { Power::default() } else { heat };
    let (label, hvac) = larger_of_heating_and_cooling(dwelling, heat);
    if hvac > Power::default() {
        sheet.counted(label, None, hvac, demand(DemandId::ExistingNewHvac).value);
        sheet.worked_out(hvac_inputs(dwelling, heat));
    }
    sheet.done(Method::Existing, voltage)
}

/// The larger of heating and cooling (220.60), and which it is.
fn larger_of_heating_and_cooling(dwelling: &Dwelling, heat: Power) -> (&'static str, Power) {
    let pumps = dwelling.heat_pumps.sum();
    let (heating, cooling) = (heat + pumps, dwelling.cooling.sum() + pumps);
    if heating > cooling {
        ("heating; cooling left out", heating)
    } else {
        ("cooling; heating left out", cooling)
    }
}

/// The plates of the larger of heating, with this much heat besides heat pumps, and cooling.
fn hvac_inputs(dwelling: &Dwelling, heat: Power) -> Option<crate::finding::Said> {
    // Heat pumps stand on both sides.
    if heat > dwelling.cooling.sum() {
        inputs::of_plates(heating_items(dwelling))
    } else {
        inputs::of_plates(cooling_items(dwelling))
    }
}
