//! The rule sets. Each answers the same questions: ampacity with its corrections, the largest
//! device a run may have, the size of an equipment ground, the limits that advice sets. A check is
//! written once against [`RuleSet`] where the physics is the same.

pub mod us;

use crate::finding::Worked;
use crate::house::House;
use crate::si::{Current, Ratio};
use crate::survey::{RuleSetName, WireSize};

/// What a run can carry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ampacity {
    /// By its insulation, corrected for surroundings, bundling and cable type, all sets together [A].
    pub corrected: Current,
    /// By the temperature of the terminals at its ends, all sets together [A]; none where no
    /// terminal limit applies (cords).
    pub terminal: Option<Current>,
    /// The same by the terminals' 75 °C column or the marked one, to tell whether a better mark helps [A].
    pub sets: u8,
}

impl Ampacity {
    /// What the run can carry with both limits kept [A].
    #[must_use]
    pub fn allowed(&self) -> Current {
        match self.terminal {
            Some(terminal) if terminal < self.corrected => terminal,
            _ => self.corrected,
        }
    }
}

/// The largest overcurrent device a run may have, and why.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DeviceLimit {
    /// The largest rating [A].
    pub largest: Current,
    /// The largest that the conductor's own insulation would let it have, whatever its terminals
    /// stand [A]; never below `largest`.
    pub by_insulation: Current,
    /// The rule that sets it.
    pub rule: LimitRule,
}

/// Which rule sets the largest device.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LimitRule {
    /// The ampacity itself.
    Ampacity,
    /// The next standard rating above the ampacity.
    NextSizeUp,
    /// The limit for small conductors.
    SmallConductor,
    /// The service of a dwelling, whose conductors may have less than its rating.
    DwellingService,
    /// The plate of a motor-compressor, or the motor table.
    Motor,
    /// The ampacity of a flexible cord.
    Cord,
    /// Twice what an arc welder draws or its conductor carries.
    Welder,
}

/// Advice on voltage drop [share of the nominal voltage].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DropAdvice {
    /// In the branch circuit.
    pub branch: Ratio,
    /// In the feeder.
    pub feeder: Ratio,
    /// In all.
    pub total: Ratio,
}

/// A body of rules.
pub trait RuleSet: Sync {
    /// What a run can carry. Missing facts are listed; the best case stands in for them.
    fn ampacity(&self, house: &House<'_>, run: usize) -> Worked<Ampacity>;
    /// What the neutral of a run can carry, its own or the borrowed one. No value where it has
    /// none.
    fn neutral_ampacity(&self, house: &House<'_>, run: usize) -> Worked<Ampacity>;
    /// The largest device that may protect a run.
    fn device_limit(&self, house: &House<'_>, run: usize) -> Worked<DeviceLimit>;
    /// The smallest wire that may serve as equipment ground of a run.
    fn equipment_ground(&self, house: &House<'_>, run: usize) -> Worked<WireSize>;
}

/// The rule set of this name.
#[must_use]
pub fn rule_set(name: RuleSetName) -> &'static dyn RuleSet {
    match name {
        RuleSetName::Us => &us::Us,
    }
}
