//! The quantities and units the project speaks, re-exported once from uom.
//!
//! Nobody else names a uom path. Ambient temperature ([`Temperature`]) and a difference of
//! temperatures ([`TemperatureDifference`]) are different types:
//!
//! ```compile_fail
//! use deadfront_rules::si::{Temperature, celsius};
//! let twice = Temperature::new::<celsius>(20.0) + Temperature::new::<celsius>(20.0);
//! ```

pub use uom::si::angle::{degree, radian};
pub use uom::si::area::{circular_mil, square_foot, square_meter, square_millimeter};
pub use uom::si::electric_charge::ampere_hour;
pub use uom::si::electric_current::{ampere, kiloampere};
pub use uom::si::electric_potential::volt;
pub use uom::si::electrical_resistance::{milliohm, ohm};
pub use uom::si::energy::{kilowatt_hour, watt_hour};
pub use uom::si::length::{foot, inch, meter, millimeter};
pub use uom::si::power::{horsepower_electric, kilowatt, watt};
pub use uom::si::ratio::{percent, ratio};
pub use uom::si::thermodynamic_temperature::{degree_celsius as celsius, degree_fahrenheit as fahrenheit};
pub use uom::si::time::{hour, millisecond, minute, second};

/// Angle, a latitude [rad].
pub type Angle = uom::si::f64::Angle;
/// Cross-section or floor area [m²].
pub type Area = uom::si::f64::Area;
/// Electric charge, a battery's capacity [C].
pub type Charge = uom::si::f64::ElectricCharge;
/// Current [A].
pub type Current = uom::si::f64::ElectricCurrent;
/// Energy [J].
pub type Energy = uom::si::f64::Energy;
/// Length [m].
pub type Length = uom::si::f64::Length;
/// Active power [W]. Apparent power [VA] has the same dimension; names say which is meant.
pub type Power = uom::si::f64::Power;
/// A number without unit.
pub type Ratio = uom::si::f64::Ratio;
/// Resistance, reactance or magnitude of an impedance [Ω].
pub type Resistance = uom::si::f64::ElectricalResistance;
/// Resistance of a conductor by length and area, the K of the circular-mil form [Ω m].
pub type Resistivity = uom::si::f64::ElectricalResistivity;
/// Absolute temperature [K].
pub type Temperature = uom::si::f64::ThermodynamicTemperature;
/// Difference of two temperatures [K].
pub type TemperatureDifference = uom::si::f64::TemperatureInterval;
/// Time [s].
pub type Time = uom::si::f64::Time;
/// Voltage [V].
pub type Voltage = uom::si::f64::ElectricPotential;

/// `number` amperes as a [`Current`] [A].
pub fn amperes(number: f64) -> Current {
    Current::new::<ampere>(number)
}

/// `number` volts as a [`Voltage`] [V].
pub fn volts(number: f64) -> Voltage {
    Voltage::new::<volt>(number)
}
