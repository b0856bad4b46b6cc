//! The checks: one file each, grouped in folders. File and name are the thing found wrong.
//!
//! The doc comment in a check's file is the user's explanation, shown by `deadfront explain` and
//! in the window. The registry has one line a check.

pub mod conductors;
pub mod devices;
pub mod grounding;
pub mod isolation;
pub mod old_house;
pub mod records;
pub mod service;
pub mod supply;

use crate::words::phrase;
use serde::Serialize;

use crate::finding::{Binding, Citation, Finding, Severity};
use crate::house::House;

/// The groups of checks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Folder {
    /// Conductors and what protects them.
    Conductors,
    /// Breakers and fuses themselves.
    Devices,
    /// Service, panels and buses.
    Service,
    /// Supplies of one's own: what they carry, start and keep running.
    Supply,
    /// How sources can meet, and what has to be open to work.
    Isolation,
    /// Neutral, ground and electrodes.
    Grounding,
    /// What older houses hold.
    OldHouse,
    /// What was entered and what was measured.
    Records,
}

impl Folder {
    /// The group in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        crate::words::word(match self {
            Self::Conductors => "conductors",
            Self::Devices => "devices",
            Self::Service => "service",
            Self::Supply => "supply",
            Self::Isolation => "isolation",
            Self::Grounding => "grounding",
            Self::OldHouse => "old house",
            Self::Records => "entries and readings",
        })
    }
}

/// What a check declares about itself.
#[derive(Debug, Serialize)]
pub struct CheckInfo {
    /// The thing found wrong; also the name of its file.
    pub name: &'static str,
    /// Its group.
    pub folder: Folder,
    /// Usual severity.
    pub severity: Severity,
    /// Whether the hazard stands by itself.
    pub binding: Binding,
    /// Clauses.
    pub citations: &'static [Citation],
    /// Usual caution.
    pub caution: &'static str,
    /// Usual next step.
    pub next_step: &'static str,
    /// The explanation: what it checks, why, a worked example, limits, references.
    pub explanation: &'static str,
    /// Looks through a house.
    #[serde(skip)]
    pub find: fn(&House<'_>, &mut Vec<Finding>),
}

impl PartialEq for CheckInfo {
    fn eq(&self, other: &Self) -> bool {
        self.name == other.name
    }
}

impl CheckInfo {
    /// The name in words: `device larger than conductor`.
    #[must_use]
    pub fn title(&self) -> String {
        phrase(self.name.replace('_', " "))
    }
}

/// Declares the check of a file as `CHECK`. The doc comment becomes the explanation; the function
/// `find` beside it does the work.
macro_rules! check {
    ($(#[doc = $doc:literal])+ $name:ident {
        folder: $folder:ident,
        severity: $severity:ident,
        binding: $binding:ident,
        citations: [$($standard:literal $clause:literal),* $(,)?],
        caution: $caution:literal,
        next_step: $next_step:literal $(,)?
    }) => {
        $(#[doc = $doc])+
        pub static CHECK: $crate::checks::CheckInfo = $crate::checks::CheckInfo {
            name: stringify!($name),
            folder: $crate::checks::Folder::$folder,
            severity: $crate::finding::Severity::$severity,
            binding: $crate::finding::Binding::$binding,
            citations: &[$($crate::finding::Citation { standard: $standard, clause: $clause }),*],
            caution: $caution,
            next_step: $next_step,
            explanation: concat!($($doc, "\n"),+),
            find,
        };
    };
}
pub(crate) use check;

/// The checks by folder; each folder's `CHECKS` has one line a check, in the order in which
/// findings are told: what kills the one who trusts a dead line before what burns later.
static REGISTRY: &[&[&CheckInfo]] = &[
    isolation::CHECKS,
    conductors::CHECKS,
    devices::CHECKS,
    service::CHECKS,
    supply::CHECKS,
    grounding::CHECKS,
    old_house::CHECKS,
    records::CHECKS,
];

/// Every check.
pub fn registry() -> impl Iterator<Item = &'static CheckInfo> {
    REGISTRY.iter().flat_map(|folder| folder.iter().copied())
}

/// The check of this name.
#[must_use]
pub fn named(name: &str) -> Option<&'static CheckInfo> {
    registry().find(|check| check.name == name)
}
