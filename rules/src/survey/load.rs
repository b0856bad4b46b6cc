//! Loads and their nameplates, in whatever form the plate gives.

use super::id::Id;
use super::panel::{Leg, Room};
use super::quantity::{
    EnteredApparentPower, EnteredCurrent, EnteredHorsepower, EnteredPercent, EnteredPower, EnteredTime,
    EnteredVoltage,
};
use super::record::{choice, record};

choice!(
    /// What a load is.
    LoadKind {
        Lighting = "lighting", "lighting";
        Receptacles = "receptacles", "receptacle outlets";
        SmallAppliance = "small_appliance", "kitchen receptacles (small appliances)";
        Laundry = "laundry", "laundry receptacle";
        Range = "range", "range";
        Oven = "oven", "wall oven";
        Cooktop = "cooktop", "cooktop";
        Dryer = "dryer", "clothes dryer";
        WaterHeater = "water_heater", "storage water heater";
        Dishwasher = "dishwasher", "dishwasher";
        Disposer = "disposer", "waste disposer";
        Refrigerator = "refrigerator", "refrigerator or freezer";
        Microwave = "microwave", "microwave oven";
        HeatPump = "heat_pump", "heat pump";
        AirConditioner = "air_conditioner", "central air conditioner";
        RoomAirConditioner = "room_air_conditioner", "room air conditioner";
        Furnace = "furnace", "furnace blower and controls";
        SpaceHeat = "space_heat", "fixed electric heat";
        WellPump = "well_pump", "well pump";
        SumpPump = "sump_pump", "sump pump";
        Motor = "motor", "motor";
        VehicleCharger = "vehicle_charger", "vehicle supply equipment";
        Other = "other", "other fixed load";
    }
);

impl LoadKind {
    /// Whether motor rules (Article 430 or 440) govern its circuit.
    #[must_use]
    pub fn is_motor(self) -> bool {
        matches!(self, Self::WellPump | Self::SumpPump | Self::Motor) || self.is_hermetic()
    }

    /// Whether it holds a hermetic compressor with MCA/MOCP or RLA/LRA on its plate.
    #[must_use]
    pub fn is_hermetic(self) -> bool {
        matches!(self, Self::HeatPump | Self::AirConditioner | Self::RoomAirConditioner)
    }

    /// Whether outlets for cord-and-plug loads hang on it.
    #[must_use]
    pub fn is_receptacles(self) -> bool {
        matches!(self, Self::Receptacles | Self::SmallAppliance | Self::Laundry)
    }
}

choice!(
    /// The outlets a load stands for.
    OutletKind {
        HardWired = "hard_wired", "hard-wired, no outlet";
        TwoSlot = "two_slot", "two-slot outlets";
        ThreeSlot = "three_slot", "three-slot outlets";
        Mixed = "two_and_three_slot", "two-slot and three-slot outlets";
    }
);

choice!(
    /// What the metal frame of a range or dryer is grounded on.
    FrameGround {
        EquipmentGround = "equipment_ground", "a grounding wire (4-wire)";
        Neutral = "neutral", "its neutral (3-wire)";
        None = "none", "nothing";
    }
);

choice!(
    /// What an arc welder is made of.
    WelderKind {
        Nonmotor = "no_motor", "a transformer or inverter";
        MotorGenerator = "motor_generator", "a motor and a generator";
    }
);

choice!(
    /// NEMA code letter of locked-rotor kVA per horsepower.
    CodeLetter {
        A = "A", "A"; B = "B", "B"; C = "C", "C"; D = "D", "D"; E = "E", "E"; F = "F", "F";
        G = "G", "G"; H = "H", "H"; J = "J", "J"; K = "K", "K"; L = "L", "L"; M = "M", "M";
        N = "N", "N"; P = "P", "P"; R = "R", "R"; S = "S", "S"; T = "T", "T"; U = "U", "U"; V = "V", "V";
    }
);

record!(
    /// One line of a plate that gives several voltages (208 V and 240 V).
    Rating {
        /// The voltage of this line.
        voltage: EnteredVoltage,
        @facts {
            /// Power at this voltage.
            power: EnteredPower,
            /// Current at this voltage.
            current: EnteredCurrent,
        }
    }
);

record!(
    /// A load.
    Load {
        /// Its id.
        id: Id,
        /// Its name in this survey.
        name: String,
        /// The run that feeds it.
        on: Id,
        /// What it is.
        kind: LoadKind,
        /// The lines of a plate that gives several voltages.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        ratings: Vec<Rating>,
        @facts {
            /// Voltage it works at.
            voltage: EnteredVoltage,
            /// Plate: power.
            power: EnteredPower,
            /// Plate: apparent power.
            apparent_power: EnteredApparentPower,
            /// Plate: current.
            current: EnteredCurrent,
            /// Plate: shaft power of a motor.
            horsepower: EnteredHorsepower,
            /// Plate: minimum circuit ampacity.
            mca: EnteredCurrent,
            /// Plate: maximum overcurrent device.
            mocp: EnteredCurrent,
            /// Plate: rated-load amperes of a compressor.
            rla: EnteredCurrent,
            /// Plate: locked-rotor amperes.
            lra: EnteredCurrent,
            /// Plate: code letter.
            code_letter: CodeLetter,
            /// Arc welder: what it is made of. Nothing is asked of a load that is none.
            welder: WelderKind,
            /// Arc welder: duty cycle at its rated current.
            duty_cycle: EnteredPercent,
            /// Power factor while running.
            power_factor: EnteredPercent,
            /// Power factor at the start.
            start_power_factor: EnteredPercent,
            /// Whether a soft starter limits its start.
            soft_starter: bool,
            /// Starting current with its soft starter, as its maker states.
            start_current: EnteredCurrent,
            /// How long its start lasts.
            start_time: EnteredTime,
            /// Whether it runs three hours or more at a time.
            continuous: bool,
            /// Hours of a day in which it is in use (24 h for what switches itself).
            hours_of_use: EnteredTime,
            /// Share of that time in which it draws its power, on a mild day.
            runs_low: EnteredPercent,
            /// The same on a usual day.
            runs_likely: EnteredPercent,
            /// The same on the hardest day.
            runs_high: EnteredPercent,
            /// The leg it takes from, where a three-wire run feeds several 120 V loads.
            leg: Leg,
            /// Where it stands.
            room: Room,
            /// The outlets it stands for.
            outlets: OutletKind,
            /// How many outlets.
            outlet_count: u16,
            /// Whether a ground-fault interrupter protects it, at the panel or at an outlet before it.
            gfci_protected: bool,
            /// Whether its outlets carry the "No Equipment Ground" label.
            no_ground_label: bool,
            /// Range or dryer: what its frame is grounded on.
            frame_ground: FrameGround,
            /// Electric heat: whether it supplements a heat pump, and can run together with it.
            supplements_heat_pump: bool,
        }
    }
);
