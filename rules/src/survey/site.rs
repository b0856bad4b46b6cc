//! The house as a whole, its grounding electrodes, and what was noted on the way.

use chrono::{DateTime, FixedOffset, NaiveDate};

use super::id::Id;
use super::quantity::{
    EnteredCurrent, EnteredFloorArea, EnteredLatitude, EnteredLength, EnteredPower, EnteredResistance,
    EnteredTemperature, EnteredVoltage,
};
use super::record::{choice, record};
use super::run::Material;
use super::size::EnteredSize;

choice!(
    /// The body of rules that a survey is checked against.
    RuleSetName {
        Us = "us", "NFPA 70 (2023)";
    }
);

choice!(
    /// What kind of electrode it is.
    ElectrodeKind {
        Rod = "rod", "driven rod or pipe";
        Plate = "plate", "buried plate";
        WaterPipe = "water_pipe", "metal water pipe in earth";
        ConcreteEncased = "concrete_encased", "concrete-encased steel or copper";
        Ring = "ring", "ground ring";
    }
);

record!(
    /// The house.
    Site {
        /// Name of the house, as on the cover.
        name: String,
        /// Address or place, as much as the owner wants written.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        place: String,
        /// Who surveys.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        surveyor: String,
        /// Day of the survey.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schemars(with = "Option<String>")]
        date: Option<NaiveDate>,
        /// What the owner wants to tie in.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        purpose: String,
        /// The rules to check against.
        rules: RuleSetName,
        /// Said on the cover when the survey is an invented example.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        invented: bool,
        @facts {
            /// Latitude, south negative; it tells how much sun a cloudless day gives.
            latitude: EnteredLatitude,
            /// Floor area by outside measures.
            floor_area: EnteredFloorArea,
            /// Year it was built.
            built: u16,
            /// Whether it is a one-family dwelling.
            one_family: bool,
            /// Whether any grounding electrode was found.
            electrode_found: bool,
            /// Whether a readily reached disconnect stands outdoors.
            outdoor_disconnect: bool,
            /// Whether a directory or plaque names every source and its disconnect.
            source_directory: bool,
        }
    }
);

record!(
    /// A grounding electrode and its conductor.
    Electrode {
        /// Its id.
        id: Id,
        /// The panel where its conductor ends.
        at: Id,
        @facts {
            /// What it is.
            kind: ElectrodeKind,
            /// Size of its conductor.
            conductor_size: EnteredSize,
            /// Metal of its conductor.
            conductor_material: Material,
            /// Length of a rod.
            length: EnteredLength,
            /// Measured resistance to earth.
            resistance: EnteredResistance,
            /// Whether it is bonded to the other electrodes.
            bonded_to_others: bool,
        }
    }
);

record!(
    /// A value measured on the spot.
    Reading {
        /// Its id.
        id: Id,
        /// The item it was taken at.
        at: Id,
        /// When.
        #[schemars(with = "String")]
        when: DateTime<FixedOffset>,
        /// With which instrument.
        instrument: String,
        /// Who took it.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        taken_by: String,
        @facts {
            /// A current.
            current: EnteredCurrent,
            /// A voltage.
            voltage: EnteredVoltage,
            /// A temperature.
            temperature: EnteredTemperature,
            /// A resistance.
            resistance: EnteredResistance,
            /// A power.
            power: EnteredPower,
        }
    }
);

record!(
    /// A photo; the picture lies beside the survey in a folder, named by its content.
    Photo {
        /// Its id.
        id: Id,
        /// The item it shows.
        of: Id,
        /// File name in the photo folder.
        file: String,
        /// What it shows.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        caption: String,
        @facts {}
    }
);

record!(
    /// A remark.
    Note {
        /// Its id.
        id: Id,
        /// The item it is about; none for the whole house.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        on: Option<Id>,
        /// The remark.
        text: String,
        @facts {}
    }
);
