//! What a service, feeder or bus feeds, in plain numbers.

use std::sync::Arc;

use crate::si::{Area, Power, watt};

/// One appliance, heater or motor.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// Its name.
    pub name: Arc<str>,
    /// What its plate says, at the voltage of its circuit [VA].
    pub load: Power,
    /// Whether it takes from a hot and the neutral.
    pub on_neutral: bool,
    /// Whether a motor or compressor is what takes it.
    pub motor: bool,
    /// Whether it is fastened in place and large enough to count among the four appliances of 220.53.
    pub counts: bool,
    /// Electric heat: whether it supplements a heat pump; `None` while unknown.
    pub supplement: Option<bool>,
}

impl Item {
    /// A load of this many volt-amperes between two hots: no motor, fastened in place.
    #[must_use]
    pub fn new(name: &str, volt_amperes: f64) -> Self {
        Self {
            name: name.into(),
            load: Power::new::<watt>(volt_amperes),
            on_neutral: false,
            motor: false,
            counts: true,
            supplement: Some(false),
        }
    }

    /// The same from a hot to the neutral, or with a neutral (ranges, dryers).
    #[must_use]
    pub fn with_neutral(mut self) -> Self {
        self.on_neutral = true;
        self
    }

    /// The same as a motor.
    #[must_use]
    pub fn motor(mut self) -> Self {
        self.motor = true;
        self
    }

    /// The same as electric heat that supplements a heat pump.
    #[must_use]
    pub fn supplementing(mut self) -> Self {
        self.supplement = Some(true);
        self
    }
}

/// Items of one kind, and how many more there are whose plate nobody has read.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Group {
    /// The items.
    pub items: Vec<Item>,
    /// How many more there are, of unknown load. They add nothing, and the factor of a demand table
    /// that falls with the number is taken with them: the result is the best case.
    pub unknown: u16,
}

impl Group {
    /// The loads of all items together [VA].
    #[must_use]
    pub fn sum(&self) -> Power {
        self.items.iter().map(|item| item.load).sum()
    }

    /// How many there are, the unknown ones included.
    #[must_use]
    pub fn count(&self) -> u16 {
        (self.items.len() as u16).saturating_add(self.unknown)
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.count() == 0
    }
}

impl From<Vec<Item>> for Group {
    fn from(items: Vec<Item>) -> Self {
        Self { items, unknown: 0 }
    }
}

/// Lighting or outlets that no floor area covers.
#[derive(Debug, Clone, PartialEq)]
pub struct Uncovered {
    /// Its name.
    pub name: Arc<str>,
    /// What it counts [VA].
    pub load: Power,
    /// Outlets without a plate: how many there are, each with what the Code counts for one.
    pub outlets: Option<u16>,
}

impl Dwelling {
    /// Lighting and outlets that no floor area covers, together [VA].
    #[must_use]
    pub fn load_elsewhere(&self) -> Power {
        self.elsewhere.iter().map(|one| one.load).sum()
    }
}

/// What a service, feeder or bus feeds. Everything is as connected, before any demand factor.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Dwelling {
    /// Floor area by outside measures whose lighting and outlets hang on it.
    pub floor_area: Area,
    /// Number of small-appliance circuits.
    pub small_appliance_circuits: u16,
    /// Number of laundry circuits.
    pub laundry_circuits: u16,
    /// Lighting and outlets that no floor area covers (outbuildings).
    pub elsewhere: Vec<Uncovered>,
    /// Ranges, ovens and cooktops.
    pub cooking: Group,
    /// Electric clothes dryers.
    pub dryers: Group,
    /// Other appliances and motors.
    pub appliances: Group,
    /// Vehicle supply equipment.
    pub vehicles: Group,
    /// Fixed electric heat.
    pub heat: Group,
    /// Heat pumps: they heat and cool.
    pub heat_pumps: Group,
    /// Air conditioning that only cools.
    pub cooling: Group,
    /// Whether heat, heat pump or air conditioning is new (220.83(B)).
    pub new_heat_or_cooling: bool,
}
