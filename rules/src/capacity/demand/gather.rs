//! What a place feeds, read from the survey.

use super::dwelling::{Dwelling, Group, Item, Uncovered};
use super::place::Place;
use crate::calc::load_current::Across;
use crate::finding::{Facts, Missing};
use crate::house::{House, site_id};
use crate::si::{Area, Power, horsepower_electric, watt};
use crate::survey::{Circuit, Leg, Load, LoadKind, OutletKind};
use crate::tables::us::{DemandId, demand};

/// What a place feeds, with the facts that are missing; those stand at their best case.
#[derive(Debug, Clone, PartialEq)]
pub struct Gathered {
    /// What it feeds.
    pub dwelling: Dwelling,
    /// The largest floor area that its lighting can belong to, where `dwelling` holds the smallest;
    /// none where that is not bounded, or where the area is known.
    pub most_area: Option<Area>,
    /// Loads on planned runs.
    pub new_load: Vec<Item>,
    /// The facts of those that are missing.
    pub new_missing: Vec<Missing>,
    /// The facts that are missing, but for the floor area.
    pub missing: Vec<Missing>,
    /// The missing floor area.
    pub missing_area: Option<Missing>,
}

/// Reads what a place feeds.
#[must_use]
pub fn gather(house: &House<'_>, place: &Place) -> Gathered {
    let mut gathering = Gathering {
        house,
        facts: Facts::new(),
        dwelling: Dwelling::default(),
        new_load: Vec::new(),
        new_missing: Vec::new(),
        has_general: !(place.open_runs.is_empty() && place.open_ways.is_empty()),
    };
    let pump_known = place.loads.iter().any(|load| house.survey.loads[*load].kind == LoadKind::HeatPump);
    for load in &place.loads {
        gathering.add(*load, pump_known);
    }
    gathering.circuits(place);
    for run in &place.open_runs {
        let item = &house.survey.runs[*run];
        let _: Option<()> = gathering.facts.miss(&item.id, "loads", false);
        if house.runs_back_from(*run).any(|run| run.planned) {
            let missing = Missing { item: item.id.clone(), fact: "loads", cannot_be_seen: false };
            gathering.new_missing.push(missing);
        }
    }
    for (panel, way) in &place.open_ways {
        let way = &house.survey.panels[*panel].ways[*way];
        let _: Option<()> = gathering.facts.miss(&way.id, "run", false);
    }
    gathering.done(place)
}

struct Gathering<'a> {
    house: &'a House<'a>,
    facts: Facts,
    dwelling: Dwelling,
    new_load: Vec<Item>,
    new_missing: Vec<Missing>,
    has_general: bool,
}

impl Gathering<'_> {
    fn add(&mut self, number: usize, has_heat_pump: bool) {
        use LoadKind::{
            AirConditioner, Cooktop, Dryer, HeatPump, Laundry, Lighting, Oven, Range, Receptacles,
            RoomAirConditioner, SmallAppliance, SpaceHeat, VehicleCharger,
        };
        let load = &self.house.survey.loads[number];
        match load.kind {
            Lighting | Receptacles => self.general(number),
            SmallAppliance | Laundry => {}
            Range | Oven | Cooktop => self.put(number, |dwelling| &mut dwelling.cooking),
            Dryer if self.is_gas_dryer(load) => self.put(number, |dwelling| &mut dwelling.appliances),
            Dryer => self.put(number, |dwelling| &mut dwelling.dryers),
            VehicleCharger => self.put(number, |dwelling| &mut dwelling.vehicles),
            HeatPump => self.put(number, |dwelling| &mut dwelling.heat_pumps),
            AirConditioner | RoomAirConditioner => self.put(number, |dwelling| &mut dwelling.cooling),
            SpaceHeat => self.heat(number, has_heat_pump),
            _ => self.put(number, |dwelling| &mut dwelling.appliances),
        }
    }

    /// A dryer on a hot and the neutral only turns its drum.
    fn is_gas_dryer(&self, load: &Load) -> bool {
        let run = self.house.run_number(&load.on).map(|run| &self.house.survey.runs[run]);
        run.and_then(|run| run.circuit.get()) == Some(Circuit::HotNeutral)
    }

    fn put(&mut self, number: usize, group: impl Fn(&mut Dwelling) -> &mut Group) {
        match self.item(number) {
            Some(item) => group(&mut self.dwelling).items.push(item),
            None => group(&mut self.dwelling).unknown += 1,
        }
    }

    fn item(&mut self, number: usize) -> Option<Item> {
        let load = &self.house.survey.loads[number];
        let drawn = self.house.drawn(number);
        self.facts.include(&drawn.missing, &crate::finding::Derivation::default());
        let planned = self.is_planned(load);
        if planned {
            self.new_missing.extend_from_slice(&drawn.missing);
            self.dwelling.new_heat_or_cooling |= load.kind.is_hermetic() || load.kind == LoadKind::SpaceHeat;
        }
        let drawn = drawn.value.flatten()?;
        let volt_amperes = drawn.current * drawn.voltage;
        let has_neutral =
            matches!(load.kind, LoadKind::Range | LoadKind::Oven | LoadKind::Cooktop | LoadKind::Dryer);
        let item = Item {
            name: load.name.as_str().into(),
            load: volt_amperes,
            on_neutral: drawn.across == Across::Leg || has_neutral,
            motor: is_motor(load.kind),
            counts: self.counts(load, volt_amperes),
            supplement: Some(false),
        };
        if planned {
            self.new_load.push(item.clone());
        }
        Some(item)
    }

    fn is_planned(&self, load: &Load) -> bool {
        let Some(run) = self.house.run_number(&load.on) else { return false };
        self.house.runs_back_from(run).any(|run| run.planned)
    }

    /// Whether it counts among the four appliances of 220.53; while nobody knows, it does.
    fn counts(&mut self, load: &Load, volt_amperes: Power) -> bool {
        use LoadKind::{Dishwasher, Disposer, Furnace, SumpPump, WaterHeater, WellPump};
        let least = |id| demand(id).value.value;
        let horsepower = load.horsepower.known().map(|hp| hp.quantity().get::<horsepower_electric>());
        let large = volt_amperes.get::<watt>() >= least(DemandId::CountedApplianceFrom)
            || horsepower.is_some_and(|horsepower| horsepower >= least(DemandId::CountedMotorFrom));
        if !large {
            return false;
        }
        if matches!(load.kind, WaterHeater | Dishwasher | Disposer | Furnace | WellPump | SumpPump) {
            return true;
        }
        let outlets = self.facts.or_best(&load.outlets, &load.id, "outlets", OutletKind::HardWired);
        outlets == OutletKind::HardWired
    }

    fn heat(&mut self, number: usize, has_heat_pump: bool) {
        let load = &self.house.survey.loads[number];
        let supplement = if has_heat_pump {
            self.facts.need(&load.supplements_heat_pump, &load.id, "supplements_heat_pump")
        } else {
            Some(false)
        };
        match self.item(number) {
            Some(item) => self.dwelling.heat.items.push(Item { supplement, ..item }),
            None => self.dwelling.heat.unknown += 1,
        }
    }

    /// Lighting and outlets: covered by the floor area, but in an outbuilding.
    fn general(&mut self, number: usize) {
        let load = &self.house.survey.loads[number];
        let panel = self.house.run_number(&load.on).and_then(|run| self.house.panel_behind(run));
        let detached = panel.map_or(Some(false), |panel| {
            self.facts.need(&panel.detached_building, &panel.id, "detached_building")
        });
        if detached != Some(true) {
            self.has_general = true;
            return;
        }
        if load.kind == LoadKind::Receptacles {
            let count = self.facts.or_best(&load.outlet_count, &load.id, "outlet_count", 0);
            let each = demand(DemandId::OutletElsewhere).value.value;
            let volt_amperes = Power::new::<watt>(f64::from(count) * each);
            let name = load.name.as_str().into();
            self.dwelling.elsewhere.push(Uncovered { name, load: volt_amperes, outlets: Some(count) });
            return;
        }
        match self.item(number) {
            Some(Item { name, load, .. }) => {
                self.dwelling.elsewhere.push(Uncovered { name, load, outlets: None });
            }
            None => drop(self.facts.need(&load.power, &load.id, "power")),
        }
    }

    /// Small-appliance and laundry circuits, and the least that a dwelling has of them.
    fn circuits(&mut self, place: &Place) {
        let least = |id| demand(id).value.value as u16;
        let kitchen = self.count(place, LoadKind::SmallAppliance);
        let laundry = self.count(place, LoadKind::Laundry);
        let (kitchen_least, laundry_least) = if place.whole {
            (least(DemandId::SmallApplianceCircuitsLeast), least(DemandId::LaundryCircuitsLeast))
        } else {
            (0, 0)
        };
        self.dwelling.small_appliance_circuits = kitchen.max(kitchen_least);
        self.dwelling.laundry_circuits = laundry.max(laundry_least);
    }

    fn count(&mut self, place: &Place, kind: LoadKind) -> u16 {
        let house = self.house;
        let mut by_circuit: Vec<(&str, Vec<&Load>)> = Vec::new();
        for load in place.loads.iter().map(|load| &house.survey.loads[*load]).filter(|load| load.kind == kind)
        {
            let run = house.run_number(&load.on);
            let Some(first) = run.and_then(|run| house.runs_back_from(run).last()) else { continue };
            match by_circuit.iter_mut().find(|(id, _)| *id == first.id.as_str()) {
                Some((_, loads)) => loads.push(load),
                None => by_circuit.push((first.id.as_str(), vec![load])),
            }
        }
        by_circuit.iter().map(|(run, loads)| self.circuits_of(run, loads)).sum()
    }

    /// A shared-neutral run is two circuits where loads hang on both of its legs.
    fn circuits_of(&mut self, run: &str, loads: &[&Load]) -> u16 {
        let run = self.house.survey.runs.iter().find(|candidate| candidate.id.as_str() == run);
        let Some(run) = run.filter(|_| loads.len() > 1) else { return 1 };
        if self.facts.need(&run.circuit, &run.id, "circuit") != Some(Circuit::TwoHotsNeutral) {
            return 1;
        }
        let legs: Vec<Option<Leg>> =
            loads.iter().map(|load| self.facts.need(&load.leg, &load.id, "leg")).collect();
        let on = |leg| u16::from(legs.contains(&Some(leg)) || legs.contains(&Some(Leg::Both)));
        (on(Leg::A) + on(Leg::B)).max(1)
    }

    fn done(mut self, place: &Place) -> Gathered {
        let (missing_area, most_area) = if self.has_general { self.area(place) } else { (None, None) };
        let missing = self.facts.done(Some(())).missing;
        Gathered {
            dwelling: self.dwelling,
            most_area,
            new_load: self.new_load,
            new_missing: self.new_missing,
            missing,
            missing_area,
        }
    }

    /// The floor area of the place, or its bounds.
    fn area(&mut self, place: &Place) -> (Option<Missing>, Option<Area>) {
        let site = &self.house.survey.site;
        let whole = site.floor_area.known().map(|area| area.quantity());
        let panel = &self.house.survey.panels[place.panel];
        let (fact, item) = match place.bus {
            _ if place.whole => (&site.floor_area, site_id()),
            Some(bus) => (&panel.buses[bus].area_served, panel.buses[bus].id.clone()),
            None => (&panel.area_served, panel.id.clone()),
        };
        if let Some(area) = fact.known() {
            self.dwelling.floor_area = area.quantity();
            return (None, None);
        }
        let name = if place.whole { "floor_area" } else { "area_served" };
        let cannot_be_seen = *fact == crate::survey::Fact::CannotBeSeen;
        (Some(Missing { item, fact: name, cannot_be_seen }), whole.filter(|_| !place.whole))
    }
}

/// Loads whose motor takes nearly all that their plate says.
fn is_motor(kind: LoadKind) -> bool {
    kind.is_motor() || matches!(kind, LoadKind::Disposer | LoadKind::Furnace | LoadKind::Refrigerator)
}
