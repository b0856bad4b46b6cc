//! The ways in which the house is meant to be used: on the utility, on a standby supply, under
//! repair; each a position of every device that matters.

use super::id::Id;
use super::record::{choice, record};

choice!(
    /// How a device stands.
    DeviceState {
        Open = "open", "open (off, pulled, unplugged)";
        Closed = "closed", "closed (on, put in, plugged in)";
    }
);

record!(
    /// How one device stands in a mode.
    Stand {
        /// The device: a way, a panel for its main, a supply for the device at its output, a
        /// position of a transfer switch, or a cord.
        device: Id,
        /// How it stands. A transfer switch stands at the position that is closed.
        state: DeviceState,
        @facts {}
    }
);

record!(
    /// A way in which the house is meant to be used.
    Mode {
        /// Its id.
        id: Id,
        /// Its name, such as "on the battery".
        name: String,
        /// The supplies that feed in it; none while everything is off.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        feeds: Vec<Id>,
        /// How the devices between the supplies stand.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        devices: Vec<Stand>,
        @facts {}
    }
);
