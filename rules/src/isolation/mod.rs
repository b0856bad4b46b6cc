//! How sources can meet, what has to be open to work, and in which order to switch.
//!
//! The house's network becomes a switching model: every device that opens is a switch, an interlock
//! is a forbidden combination. On it the searches are exact, and proved against brute force over
//! every state of random grids. What is unknown is searched twice, for the worse and for the better,
//! and is never good news.

pub mod blocks;
pub mod card;
pub mod core;
pub mod cut;
pub mod field;
pub mod grid;
pub mod ground;
pub mod meeting;
pub mod model;
pub mod modes;
pub mod neutral;
pub mod order;
pub mod orders;
pub mod overview;
pub mod part;
pub mod plates;
pub mod rehearse;
pub mod relay;
pub mod remedy;
pub mod rule;
pub mod search;
pub mod tied_legs;
pub mod words;
pub mod work;

#[cfg(test)]
mod house_tests;
#[cfg(test)]
mod random_tests;
#[cfg(test)]
pub(crate) mod sketch;

pub use self::grid::{Move, SwitchId};
use self::meeting::{Concerned, Fields, meetings};
pub use self::meeting::{Joint, Meeting, Nearness};
pub use self::model::{Handle, Model, Origin};
pub use self::modes::Mode;
pub use self::overview::{Overview, cut, cuts, overview};
pub use self::rehearse::{Positions, Rehearsal, rehearse};
pub use self::rule::Rule;
use crate::house::House;

/// What the searches say about a house.
#[derive(Debug, Clone)]
pub struct Isolation {
    /// The switching model.
    pub model: Model,
    /// Its grids between the sources.
    pub fields: Fields,
    /// The modes: as surveyed, or derived.
    pub modes: Vec<Mode>,
    /// Which modes concern which sources.
    pub concerned: Concerned,
    /// Every pair of sources in every mode; of very many sources, those on one side of the service.
    pub meetings: Vec<Meeting>,
    /// The switches that can matter between the sources.
    pub between: Vec<SwitchId>,
}

impl Isolation {
    /// Searches a house.
    #[must_use]
    pub fn of(house: &House<'_>) -> Self {
        let model = Model::of(house);
        let fields = Fields::of(house, &model);
        let between = fields.best().switches();
        let modes = modes::modes(house, &model, fields.best(), &between);
        let concerned = Concerned::of(house, &model, &fields, &modes);
        let meetings = meetings(house, &model, &fields, &modes, &concerned);
        Self { model, fields, modes, concerned, meetings, between }
    }

    /// Whether the surveyor wrote the modes.
    #[must_use]
    pub fn is_surveyed(&self) -> bool {
        self.modes.iter().any(|mode| mode.surveyed)
    }
}
