//! What moves the house between supplies: transfer switches, interlocks, inlets.

use super::id::Id;
use super::quantity::{EnteredCurrent, EnteredVoltage};
use super::record::{choice, record};

choice!(
    /// What moves the load from one supply to another.
    TransferKind {
        Manual = "manual_switch", "manual transfer switch";
        Automatic = "automatic_switch", "automatic transfer switch";
        InsideInverter = "inverter_relay", "relay inside an inverter";
    }
);

choice!(
    /// What is meant to keep two devices from being closed together.
    InterlockKind {
        SlidingPlate = "sliding_plate", "sliding plate between two handles";
        Key = "key", "key interlock";
        Label = "label", "a label only";
        Promise = "promise", "somebody's promise only";
    }
);

record!(
    /// One input of a transfer switch.
    Position {
        /// The id of its terminal; runs end at it.
        id: Id,
        /// Its name on the handle.
        name: String,
        @facts {}
    }
);

record!(
    /// A transfer switch: its inputs, and one output under its own id.
    Transfer {
        /// Its id, at which the run to the load begins.
        id: Id,
        /// Its name in this survey.
        name: String,
        /// Its inputs; at most one is joined to the output at a time.
        positions: Vec<Position>,
        @facts {
            /// What it is.
            kind: TransferKind,
            /// Its ampere rating.
            rating: EnteredCurrent,
            /// Whether it opens the neutral too.
            switches_neutral: bool,
        }
    }
);

record!(
    /// Something between two or more ways that forbids them to be closed together.
    Interlock {
        /// Its id.
        id: Id,
        /// Its name in this survey.
        name: String,
        /// The ways of which at most one may be closed; a panel stands for its main.
        ways: Vec<Id>,
        @facts {
            /// What it is.
            kind: InterlockKind,
            /// Whether it is listed for this panel and complete, with the cover on.
            intact: bool,
        }
    }
);

record!(
    /// An inlet: recessed male contacts for a generator's cord.
    Inlet {
        /// Its id; a cord ends at it, the run to the panel begins at it.
        id: Id,
        /// Its name in this survey.
        name: String,
        @facts {
            /// Its ampere rating.
            rating: EnteredCurrent,
            /// Its voltage.
            voltage: EnteredVoltage,
            /// Whether its sign tells bonded or floating neutral.
            neutral_sign: bool,
        }
    }
);
