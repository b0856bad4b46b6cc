//! Findings that come from one cause: the first of them stands for all.

use std::collections::HashMap;

use deadfront_rules::checks::{Folder, named};
use deadfront_rules::finding::{Cause, Severity};

use super::Numbered;

/// The findings of each cause, in the order of their numbers.
pub(super) struct Causes<'a> {
    groups: HashMap<&'a Cause, Vec<Numbered<'a>>>,
}

impl<'a> Causes<'a> {
    pub(super) fn of(numbered: &[Numbered<'a>]) -> Self {
        let mut groups: HashMap<&Cause, Vec<Numbered<'_>>> = HashMap::new();
        for one in numbered {
            if let Some(cause) = &one.finding.cause {
                groups.entry(cause).or_default().push(*one);
            }
        }
        Self { groups }
    }

    fn group(&self, one: Numbered<'a>) -> &[Numbered<'a>] {
        one.finding.cause.as_ref().and_then(|cause| self.groups.get(cause)).map_or(&[], Vec::as_slice)
    }

    /// The first finding of the same cause, where that is another one.
    pub(super) fn head(&self, one: Numbered<'a>) -> Option<Numbered<'a>> {
        self.group(one).first().filter(|head| head.number != one.number).copied()
    }

    /// Whether a finding is told with the first one of its cause: another check has told of the same thing
    /// before, and its caution and next step hold for this one too. What can make a dead line live is told in
    /// full wherever it is found.
    pub(super) fn is_told_before(&self, one: Numbered<'a>) -> bool {
        let is_isolation = named(one.finding.check).is_some_and(|check| check.folder == Folder::Isolation);
        !is_isolation && self.head(one).is_some_and(|head| head.finding.check != one.finding.check)
    }

    /// The numbers of the findings that are told with this one.
    pub(super) fn told_with(&self, one: Numbered<'a>) -> Vec<Numbered<'a>> {
        if self.head(one).is_some() {
            return Vec::new();
        }
        self.group(one).iter().copied().filter(|other| self.is_told_before(*other)).collect()
    }

    /// How many causes there are behind the findings of a severity that are not behind a worse one.
    pub(super) fn count(&self, numbered: &[Numbered<'a>], severity: Severity) -> usize {
        let of_it = numbered.iter().filter(|one| one.finding.severity == severity);
        of_it.filter(|one| self.head(**one).is_none()).count()
    }
}
