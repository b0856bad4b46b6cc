//! What a sizing answers.

use super::cable_list::Purchase;
use super::need::Needed;
use super::request::Condition;
use crate::codes::{Ampacity, DeviceLimit, LimitRule};
use crate::finding::{Derivation, Missing, Said};
use crate::si::{Current, Power, Ratio, Voltage};
use crate::survey::{GroundPath, Material, Survey, WireSize};
use crate::words::phrase;
use crate::words::word;

/// The answer to a request, for copper and for aluminium.
#[derive(Debug, Clone)]
pub struct Answer {
    /// Every condition it was computed for.
    pub conditions: Vec<Condition>,
    /// What the load asks for; nothing where no size can be given at all.
    pub needed: Option<Needed>,
    /// In copper.
    pub copper: Choice,
    /// In aluminium.
    pub aluminium: Choice,
}

impl Answer {
    /// The choices with their metals.
    pub fn choices(&self) -> [(Material, &Choice); 2] {
        [(Material::Copper, &self.copper), (Material::Aluminium, &self.aluminium)]
    }

    /// Whether a conductor was found.
    #[must_use]
    pub fn fits(&self) -> bool {
        self.choices().iter().any(|(_, choice)| choice.fit().is_some())
    }

    /// Facts that must be given before any answer, each once.
    #[must_use]
    pub fn missing(&self) -> Vec<&Missing> {
        let mut all: Vec<&Missing> = self
            .choices()
            .into_iter()
            .flat_map(|(_, choice)| match choice {
                Choice::CannotTell { missing } => missing.iter(),
                _ => [].iter(),
            })
            .collect();
        all.sort();
        all.dedup();
        all
    }
}

/// The answer for one metal.
#[derive(Debug, Clone)]
pub enum Choice {
    /// The smallest conductor that does.
    Fits(Box<Fit>),
    /// None does.
    NoneFits(Refusal),
    /// A condition that matters was not given.
    CannotTell {
        /// What must be given.
        missing: Vec<Missing>,
    },
}

impl Choice {
    /// The conductor, where one was found.
    #[must_use]
    pub fn fit(&self) -> Option<&Fit> {
        match self {
            Self::Fits(fit) => Some(fit),
            _ => None,
        }
    }
}

/// Why no size can be given.
#[derive(Debug, Clone, PartialEq)]
pub struct Refusal {
    /// The reason.
    pub why: Said,
    /// What to change.
    pub change: Said,
}

impl Refusal {
    pub(super) fn new(why: Said, change: Said) -> Self {
        Self { why, change }
    }
}

/// The smallest conductor that does, with all that belongs to it.
#[derive(Debug, Clone)]
pub struct Fit {
    /// Trade size of the hots.
    pub size: WireSize,
    /// Number of hots (or of poles of a DC pair).
    pub hots: u8,
    /// Trade size of the neutral, where the circuit has one.
    pub neutral: Option<WireSize>,
    /// What serves as equipment ground; nothing for service conductors.
    pub ground: Option<GroundPath>,
    /// Trade size of the grounding wire, where a wire serves.
    pub ground_size: Option<WireSize>,
    /// Rating of the overcurrent device [A].
    pub device: Current,
    /// What the conductor can carry.
    pub ampacity: Ampacity,
    /// The largest device it may have.
    pub limit: DeviceLimit,
    /// Voltage drop at the running current.
    pub drop: Drop,
    /// The smallest size that carries the current, whatever its drop: the ground grows from it.
    pub carrying_size: WireSize,
    /// What makes it as large as it is.
    pub governs: Governs,
    /// Smaller sizes and why each was refused, smallest first.
    pub refused: Vec<Refused>,
    /// The next two larger sizes.
    pub larger: Vec<Larger>,
    /// What to buy for the length of the run.
    pub purchases: Vec<Purchase>,
    /// Remarks.
    pub notes: Vec<Said>,
    /// Checks of the finished run that wait for facts that a sizing does not know.
    pub unanswered: Vec<Unanswered>,
    /// How the figures came about.
    pub derivation: Derivation,
    /// The small survey in which the run was checked; its run has the id `run`.
    pub survey: Survey,
}

/// A check that cannot be told before the house is known.
#[derive(Debug, Clone, PartialEq)]
pub struct Unanswered {
    /// Name of the check.
    pub check: &'static str,
    /// The facts that it waits for.
    pub missing: Vec<Missing>,
}

/// A voltage drop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drop {
    /// In volts.
    pub volts: Voltage,
    /// As a share of the nominal voltage.
    pub share: Ratio,
    /// The largest share allowed.
    pub allowed: Ratio,
    /// Heat lost in the conductors.
    pub loss: Power,
}

impl Drop {
    /// Whether it is within what is allowed.
    #[must_use]
    pub fn within(&self) -> bool {
        // Slack for the noise of floating point: 7.2 V of 240 V are 3 %.
        self.share <= self.allowed * (1.0 + 1e-9)
    }
}

/// What makes a conductor as large as it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Governs {
    /// Its corrected ampacity.
    Ampacity,
    /// The temperature of the terminals.
    Terminals,
    /// The limit of devices ahead of small conductors.
    SmallConductor,
    /// The rating of the device.
    Device,
    /// The voltage drop.
    Drop,
    /// The smallest size in which the method is sold.
    SmallestSold,
    /// Another check of the finished run.
    Check(&'static str),
}

impl Governs {
    /// The reason in words.
    #[must_use]
    pub fn words(self) -> String {
        match self {
            Self::Ampacity => word("ampacity").to_owned(),
            Self::Terminals => word("temperature of the terminals").to_owned(),
            Self::SmallConductor => word("limit for small conductors").to_owned(),
            Self::Device => word("overcurrent device").to_owned(),
            Self::Drop => word("voltage drop").to_owned(),
            Self::SmallestSold => word("smallest size usually sold").to_owned(),
            Self::Check(name) => phrase(name.replace('_', " ")),
        }
    }

    /// The reason that a check of the finished run stands for.
    pub(super) fn of_check(name: &'static str) -> Self {
        match name {
            "terminal_runs_too_hot" => Self::Terminals,
            "device_larger_than_conductor" => Self::Device,
            "load_larger_than_conductor" => Self::Ampacity,
            "voltage_drop_over_advice" | "motor_start_sags_voltage" => Self::Drop,
            other => Self::Check(other),
        }
    }

    pub(super) fn of_limit(rule: LimitRule) -> Self {
        match rule {
            LimitRule::SmallConductor => Self::SmallConductor,
            _ => Self::Device,
        }
    }
}

/// A size that does not do.
#[derive(Debug, Clone, PartialEq)]
pub struct Refused {
    /// The size.
    pub size: WireSize,
    /// Every reason.
    pub reasons: Vec<(Governs, Said)>,
}

/// A larger size than needed, with what it gains. No price: metal and heat.
#[derive(Debug, Clone, PartialEq)]
pub struct Larger {
    /// The size.
    pub size: WireSize,
    /// Its grounding wire, where a wire serves.
    pub ground_size: Option<WireSize>,
    /// Its drop.
    pub drop: Drop,
    /// Metal in its hots against that of the size needed.
    pub metal: Ratio,
    /// What to buy for the length of the run.
    pub purchases: Vec<Purchase>,
}
