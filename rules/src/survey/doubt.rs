//! What was entered and could not be read.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::Id;

/// An entry that could not be read. The fact itself stays not seen, so that no check reads it; the
/// text is kept so that nothing a person wrote is lost.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Doubt {
    /// The item it was entered at; `site` for the house.
    pub on: Id,
    /// The fact's name in the file: `size`, `device.rating`.
    pub fact: String,
    /// What was entered.
    pub text: String,
}
