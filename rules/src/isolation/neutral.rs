//! For each mode and each supply that feeds in it: what hangs together by its neutral, and where
//! neutral and ground are joined in it. There must be exactly one joint (NFPA 70-2023 250.24(B),
//! 250.30(A)(1)).

use super::Isolation;
use super::model::Handle;
use crate::house::House;
use crate::network::{self, Bond, Island};

/// What one supply feeds in one mode.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Neutral {
    /// The mode, by its place in the list.
    pub mode: usize,
    /// What hangs together.
    pub island: Island,
    /// Where neutral and ground are joined in it, and where they may be.
    pub bonds: Vec<Bond>,
}

/// The islands of every mode.
#[must_use]
pub fn neutrals(house: &House<'_>, isolation: &Isolation) -> Vec<Neutral> {
    let modes = isolation.modes.iter().enumerate();
    let fed = modes.flat_map(|(at, mode)| mode.feeds.iter().map(move |supply| (at, *supply)));
    fed.map(|(mode, supply)| {
        let island =
            Island::of(house, network::Mode { supply, positions: positions(house, isolation, mode) });
        let bonds = island.bonds(house);
        Neutral { mode, island, bonds }
    })
    .collect()
}

fn positions(house: &House<'_>, isolation: &Isolation, mode: usize) -> Vec<Option<usize>> {
    let state = &isolation.modes[mode].worst;
    let stands = |transfer| {
        let switch = isolation.model.switch(Handle::Transfer(transfer))?;
        usize::from(state[switch as usize]).checked_sub(1)
    };
    (0..house.survey.transfers.len()).map(stands).collect()
}
