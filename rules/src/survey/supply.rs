//! Supplies: the utility, battery inverters, generators, solar.

use super::device::Device;
use super::fact::Fact;
use super::id::Id;
use super::quantity::{
    EnteredApparentPower, EnteredCharge, EnteredCurrent, EnteredEnergy, EnteredPercent, EnteredPower,
    EnteredResistance, EnteredTemperature, EnteredTime, EnteredVoltage,
};
use super::record::{choice, record};

choice!(
    /// What a supply is.
    SupplyKind {
        Utility = "utility", "utility";
        Inverter = "battery_inverter", "battery inverter";
        Battery = "battery", "battery bank (its DC terminals)";
        Generator = "generator", "generator";
        Solar = "solar", "solar with its own inverter";
    }
);

choice!(
    /// The conductors a supply gives.
    Output {
        Split = "120/240 V", "120/240 V, two legs and a neutral";
        Single120 = "120 V", "120 V, one hot and a neutral";
        Single230 = "230 V", "230 V, one hot and a neutral, as in Europe";
        Both120 = "120 V on both legs", "one 120 V output joined to both legs";
        Two240 = "240 V", "240 V, two hots, no neutral";
        Wye = "120/208 V", "two legs and the neutral of a 208Y/120 V system";
        Dc = "DC", "direct current";
    }
);

impl Output {
    /// Whether one hot carries everything, so that nothing stands between two of them.
    #[must_use]
    pub fn is_one_hot(self) -> bool {
        matches!(self, Self::Single120 | Self::Single230 | Self::Both120)
    }
}

choice!(
    /// Battery chemistry.
    Chemistry {
        LithiumIronPhosphate = "lifepo4", "lithium iron phosphate";
        LithiumNickel = "lithium_nmc", "lithium nickel manganese cobalt";
        LeadFlooded = "lead_flooded", "flooded lead-acid";
        LeadSealed = "lead_sealed", "sealed lead-acid (AGM, gel)";
    }
);

impl Chemistry {
    /// Whether it is a lead-acid battery, whose capacity falls with current and cold.
    #[must_use]
    pub fn is_lead_acid(self) -> bool {
        matches!(self, Self::LeadFlooded | Self::LeadSealed)
    }
}

record!(
    /// What a supply can give for a short time.
    Surge {
        /// How long.
        duration: EnteredTime,
        @facts {
            /// Power for that time.
            power: EnteredPower,
            /// Current for that time.
            current: EnteredCurrent,
        }
    }
);

/// Points that a curve of a supply holds; nobody states more.
pub const MOST_POINTS: usize = 12;

record!(
    /// A point of an inverter's efficiency over its load, as its maker states it.
    EfficiencyAt {
        /// At this output.
        power: EnteredPower,
        @facts {
            /// Efficiency at that output.
            efficiency: EnteredPercent,
        }
    }
);

record!(
    /// A point of the resting voltage of a battery over its state of charge, as its maker states it.
    RestingAt {
        /// At this state of charge.
        charge: EnteredPercent,
        @facts {
            /// Voltage of the whole battery at rest, nothing drawn.
            voltage: EnteredVoltage,
        }
    }
);

record!(
    /// The battery behind an inverter.
    #[derive(Default)]
    Battery {
        @facts {
            /// Chemistry.
            chemistry: Chemistry,
            /// Nominal voltage.
            voltage: EnteredVoltage,
            /// Lowest working voltage.
            lowest_voltage: EnteredVoltage,
            /// Capacity.
            capacity: EnteredCharge,
            /// Hours of discharge for which a lead-acid battery's capacity is stated.
            capacity_hours: EnteredTime,
            /// The coldest that it gets.
            coldest: EnteredTemperature,
            /// Usable energy.
            energy: EnteredEnergy,
            /// Largest continuous discharge current.
            discharge_current: EnteredCurrent,
            /// Current that it gives for a short time, such as the start of a motor.
            surge_current: EnteredCurrent,
            /// How long it gives that current.
            surge_time: EnteredTime,
            /// Largest continuous charge current.
            charge_current: EnteredCurrent,
            /// Internal resistance, the joints between its cells included.
            internal_resistance: EnteredResistance,
            /// Voltage by which it sags at a stated current; with that current in place of the resistance.
            sag_voltage: EnteredVoltage,
            /// The current at which it sags by that.
            sag_current: EnteredCurrent,
            /// State of charge down to which it is used.
            lowest_charge: EnteredPercent,
            /// State of charge up to which it is filled.
            highest_charge: EnteredPercent,
            /// Short-circuit current at its terminals.
            short_circuit_current: EnteredCurrent,
        }
    }
);

record!(
    /// A source of power.
    Supply {
        /// Its id; runs begin at it.
        id: Id,
        /// Its name in this survey.
        name: String,
        /// What it is.
        kind: SupplyKind,
        /// What it can give for a short time, shortest first.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        surges: Vec<Surge>,
        /// Efficiency of an inverter at several outputs; in place of its efficiency at rated load and the best one.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        efficiencies: Vec<EfficiencyAt>,
        /// Resting voltage of the battery at several states of charge; in place of what its chemistry tells.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        resting_voltages: Vec<RestingAt>,
        /// Hours of full sun of an average day in each month, January first: twelve figures or none.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        sun_hours: Vec<EnteredTime>,
        /// The battery behind it.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        battery: Option<Battery>,
        /// Its own overcurrent device at its AC output (none for a utility).
        #[serde(default, skip_serializing_if = "Device::is_blank")]
        output_device: Device,
        @facts {
            /// The conductors it gives.
            output: Output,
            /// Voltage between its hots (or hot and neutral where there is one hot), as nominal.
            voltage: EnteredVoltage,
            /// Largest continuous power.
            continuous_power: EnteredPower,
            /// Largest continuous apparent power.
            continuous_apparent_power: EnteredApparentPower,
            /// Largest continuous current of one leg.
            continuous_current: EnteredCurrent,
            /// Whether neutral and frame are joined inside it.
            neutral_bond: bool,
            /// Inverter: whether that joint opens by itself while another source feeds it (bonding relay).
            bond_relay: bool,
            /// Fault current at its terminals, as stated by the utility or maker.
            fault_current: EnteredCurrent,
            /// Inverter, generator: the least that its maker guarantees of that current.
            least_fault_current: EnteredCurrent,
            /// Share of resistance in the impedance behind that fault current.
            fault_resistance_share: EnteredPercent,
            /// Rating of the utility's transformer.
            transformer_rating: EnteredApparentPower,
            /// Impedance of that transformer.
            transformer_impedance: EnteredPercent,
            /// Resistive part of that impedance.
            transformer_resistance: EnteredPercent,
            /// Efficiency of an inverter at its rated load.
            efficiency: EnteredPercent,
            /// Best efficiency of an inverter, at part load.
            peak_efficiency: EnteredPercent,
            /// What an inverter draws itself with nothing switched on.
            idle_power: EnteredPower,
            /// Time without power while it takes over from the utility.
            transfer_time: EnteredTime,
            /// How long it is wanted to carry its loads without utility and sun.
            wanted_run_time: EnteredTime,
            /// Whether it is listed to stop when the utility is gone (anti-islanding).
            anti_islanding: bool,
            /// Peak power of a solar array.
            array_power: EnteredPower,
            /// Whether a sign at the service names it and where it is.
            source_label: bool,
        }
    }
);

impl Supply {
    /// The voltage of its battery and the fact's name in the file; of a bank entered as a supply of
    /// its own, the voltage of the supply.
    #[must_use]
    pub fn battery_voltage(&self) -> (&Fact<EnteredVoltage>, &'static str) {
        match &self.battery {
            Some(battery) => (&battery.voltage, "battery.voltage"),
            None => (&self.voltage, "voltage"),
        }
    }
}
