//! The survey model: what is in the house, as far as it was seen.
//!
//! Ids are stable and unique, references are by id, every fact may be unknown, and a quantity
//! stays as it was entered. The bond of neutral and ground is a fact of each place where it can
//! be (panel, supply) instead of an item of its own: so its absence is asked for and answered,
//! and a place nobody looked at stays a question.

mod device;
mod doubt;
mod empty;
mod fact;
pub mod form;
mod id;
mod ink;
pub(crate) mod layout;
mod load;
mod mode;
mod panel;
pub(crate) mod picks;
pub(crate) mod place;
pub mod quantity;
pub mod questions;
mod record;
mod run;
mod signing;
mod site;
mod size;
mod supply;
mod transfer;
mod validate;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

pub use device::*;
pub use doubt::Doubt;
pub use fact::{CANNOT_BE_SEEN, Fact, Worded};
pub use id::Id;
pub use ink::{INK_UNITS, Ink, InkPoint, LONGEST_INK, Stroke};
pub use load::*;
pub use mode::*;
pub use panel::*;
pub use quantity::{Entered, QuantityError};
pub use run::*;
pub use signing::*;
pub use site::*;
pub use size::*;
pub use supply::*;
pub use transfer::*;
pub use validate::{Fault, ItemKind, PathPart, validate};
pub(crate) use validate::{LONGEST_ENTRY, LONGEST_NAME, LONGEST_TEXT, fault_after_facts, is_plain_fact};

/// The version of the survey file that this program writes.
pub const FORMAT: u32 = 1;

/// A survey of one house.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Survey {
    /// Version of the file format.
    pub deadfront_survey: u32,
    /// Which revision it is: 1, and one more for each time that a signed survey was taken up again.
    #[serde(default = "first_revision", skip_serializing_if = "is_first_revision")]
    pub revision: u32,
    /// The house.
    pub site: Site,
    /// Its sources of power.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub supplies: Vec<Supply>,
    /// Its panels.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub panels: Vec<Panel>,
    /// Its conductors.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub runs: Vec<Run>,
    /// Its loads.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub loads: Vec<Load>,
    /// Its transfer switches.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub transfers: Vec<Transfer>,
    /// Its interlocks.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub interlocks: Vec<Interlock>,
    /// Its generator inlets.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub inlets: Vec<Inlet>,
    /// The ways in which it is meant to be used.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub modes: Vec<Mode>,
    /// Its grounding electrodes.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub electrodes: Vec<Electrode>,
    /// What was measured.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub readings: Vec<Reading>,
    /// Photos.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub photos: Vec<Photo>,
    /// Remarks.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<Note>,
    /// Signatures under this revision; the first one freezes it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub signatures: Vec<Signature>,
    /// What was entered and could not be read.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub in_doubt: Vec<Doubt>,
    /// What the licensed electrician answers to the findings of this revision.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub answers: Vec<Answer>,
    /// The signed revisions before this one, oldest first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub revisions: Vec<Revision>,
}

fn first_revision() -> u32 {
    1
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "the signature that serde asks for")]
fn is_first_revision(revision: &u32) -> bool {
    *revision == first_revision()
}

impl Survey {
    /// The signature that froze this revision; none while it may be edited.
    #[must_use]
    pub fn frozen_by(&self) -> Option<&Signature> {
        self.signatures.first()
    }

    /// The electrician's signature of acceptance; it freezes the answers too.
    #[must_use]
    pub fn accepted_by(&self) -> Option<&Signature> {
        self.signatures.iter().find(|signature| !signature.answers_hash.is_empty())
    }

    /// The last signed revision before this one, as it was signed, where it has been kept.
    #[must_use]
    pub fn last_signed(&self) -> Option<&Self> {
        self.revisions.iter().rev().find_map(|revision| revision.state.as_deref())
    }

    /// The answer given to a finding, by its check and item.
    #[must_use]
    pub fn answer_to(&self, check: &str, item: &Id) -> Option<&Answer> {
        self.answers.iter().find(|answer| answer.check == check && answer.item == *item)
    }
}
