//! Undo and redo to the start of the session, each step with its name.

use deadfront_rules::edit::Edit;
use deadfront_rules::finding::Said;
use deadfront_rules::survey::Id;

/// One step of the history.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// What it did: `Main panel, way 4: rating 20 A (was 15 A)`.
    pub name: Said,
    /// The items it changed, the main one first.
    pub touches: Vec<Id>,
}

/// The edits of a session, and how many of them stand.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct History {
    edits: Vec<Edit>,
    standing: usize,
}

impl History {
    /// A new edit was made; what had been taken back is forgotten.
    pub(super) fn push(&mut self, edit: Edit) {
        self.edits.truncate(self.standing);
        self.edits.push(edit);
        self.standing = self.edits.len();
    }

    /// The edit that undo takes back.
    pub(super) fn last(&self) -> Option<&Edit> {
        self.edits.get(self.standing.checked_sub(1)?)
    }

    /// The edit that redo makes again.
    pub(super) fn next(&self) -> Option<&Edit> {
        self.edits.get(self.standing)
    }

    /// The last edit was taken back.
    pub(super) fn step_back(&mut self) {
        self.standing = self.standing.saturating_sub(1);
    }

    /// The next edit stands again.
    pub(super) fn step_on(&mut self) {
        self.standing = (self.standing + 1).min(self.edits.len());
    }

    /// The names of all steps, and how many of them stand.
    pub(super) fn names(&self) -> (Vec<Said>, usize) {
        (self.edits.iter().map(Edit::described).collect(), self.standing)
    }
}

impl From<&Edit> for Step {
    fn from(edit: &Edit) -> Self {
        Self { name: edit.described(), touches: edit.touches() }
    }
}
