//! Places and themes as callers name them.

use crate::generated;

/// A place of the window that can be gone to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Place {
    /// Which house is this?
    Site,
    /// What feeds this house?
    Supplies,
    /// What does each panel hold?
    Panels,
    /// Which wire runs where?
    Runs,
    /// What draws power here?
    Loads,
    /// How is each part made dead?
    Isolation,
    /// Will it carry the load?
    Capacity,
    /// What did the check find?
    Findings,
    /// What goes to the electrician?
    Handover,
}

impl Place {
    /// All places, in the order of the bar.
    pub const ALL: [Self; 9] = [
        Self::Site,
        Self::Supplies,
        Self::Panels,
        Self::Runs,
        Self::Loads,
        Self::Isolation,
        Self::Capacity,
        Self::Findings,
        Self::Handover,
    ];
}

macro_rules! places {
    ($($place:ident),+) => {
        impl From<Place> for generated::Place {
            fn from(place: Place) -> Self {
                match place { $(Place::$place => Self::$place),+ }
            }
        }
        impl From<generated::Place> for Place {
            fn from(place: generated::Place) -> Self {
                match place { $(generated::Place::$place => Self::$place),+ }
            }
        }
    };
}
places!(Site, Supplies, Panels, Runs, Loads, Isolation, Capacity, Findings, Handover);

/// For which light the window is drawn.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Theme {
    /// Warm paper, for full sun.
    #[default]
    Daylight,
    /// Dark paper, for a dim basement.
    Dark,
}
