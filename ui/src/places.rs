//! Places and themes as callers name them.

use crate::generated;

/// A place of the window that can be gone to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
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
    /// What did the check find?
    Findings,
}

impl Place {
    /// All places, in the order of the bar.
    pub const ALL: [Self; 6] =
        [Self::Site, Self::Supplies, Self::Panels, Self::Runs, Self::Loads, Self::Findings];
}

impl From<Place> for generated::Place {
    fn from(place: Place) -> Self {
        match place {
            Place::Site => Self::Site,
            Place::Supplies => Self::Supplies,
            Place::Panels => Self::Panels,
            Place::Runs => Self::Runs,
            Place::Loads => Self::Loads,
            Place::Findings => Self::Findings,
        }
    }
}

/// For which light the window is drawn.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Theme {
    /// Warm paper, for full sun.
    #[default]
    Daylight,
    /// Dark paper, for a dim basement.
    Dark,
}
