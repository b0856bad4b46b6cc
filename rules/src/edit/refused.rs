//! Why an edit is not made.

use std::fmt;

use crate::finding::Said;
use crate::say;
use crate::survey::Id;

/// Why an edit is not made: one plain sentence. The survey is as it was.
#[derive(Debug, Clone, PartialEq)]
pub struct Refused(pub Said);

impl Refused {
    /// The survey is not in the state from which the edit starts.
    pub(super) fn changed() -> Self {
        Self(say!("The survey has changed since; this step does not fit it any more."))
    }

    pub(super) fn no_item(id: &Id) -> Self {
        Self(say!("\"{}\" names no item of this survey.", id))
    }

    /// Nothing that can be told to a person: a value that its own type does not take.
    pub(super) fn unfit(reason: String) -> Self {
        Self(say!("This cannot be entered: {}.", reason))
    }

    /// A sentence without its capital and full stop, as the readers of entries write it.
    pub(super) fn sentence(text: &str) -> Self {
        Self(say!("{}.", capital(text)))
    }
}

/// With a capital at its beginning.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl std::error::Error for Refused {}
