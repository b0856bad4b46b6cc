//! Interlocks that forbid nothing, and what they would forbid if they held.

use super::grid::obeys;
use super::meeting::Joint;
use super::model::{Force, Model};
use super::modes::Mode;
use crate::house::House;
use crate::survey::Id;

/// The interlock that forbids nothing and, in order, would forbid every way in which two places are joined
/// in a mode; none where a way leads past all of them.
#[must_use]
pub fn void_one<'a>(house: &House<'a>, model: &Model, mode: &Mode, joint: &Joint) -> Option<&'a Id> {
    let states: Vec<Vec<u8>> = joint
        .witnesses
        .iter()
        .map(|moves| {
            let mut state = mode.worst.to_vec();
            for one in moves {
                state[one.switch as usize] = one.to;
            }
            state
        })
        .collect();
    let mut void = model.plates.iter().filter(|plate| plate.force == Force::Void);
    let forbids_all =
        |switches: &[u32]| !states.is_empty() && states.iter().all(|state| !obeys(switches, state));
    let plate = void.find(|plate| forbids_all(&plate.switches))?;
    Some(&house.survey.interlocks[plate.interlock].id)
}
