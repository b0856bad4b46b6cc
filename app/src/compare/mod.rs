//! What changed between two states of a house: facts, and what the checks say of them.
//!
//! Items are matched by their ids. Signatures, answers and kept revisions are no facts of the house
//! and are left out.

mod facts;
mod items;
mod verdicts;

use deadfront_rules::assess;
use deadfront_rules::assess::Counts;
use deadfront_rules::survey::Survey;
use serde::Serialize;

pub use facts::{Change, FactChange};
pub use verdicts::{Told, VerdictChange};

/// The differences between an older and a newer survey.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Comparison {
    /// The older house's name and revision.
    pub before: Side,
    /// The newer one's.
    pub after: Side,
    /// Facts added, removed and changed, in the order of the survey.
    pub facts: Vec<FactChange>,
    /// Verdicts that changed: first what is new or worse, then what is gone or better.
    pub verdicts: Vec<VerdictChange>,
}

/// One of the two surveys.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Side {
    /// The house.
    pub house: String,
    /// The revision.
    pub revision: u32,
    /// How many findings there are of each kind.
    pub counts: Counts,
}

impl Comparison {
    /// Whether nothing changed.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.facts.is_empty() && self.verdicts.is_empty()
    }
}

/// Compares two surveys.
#[must_use]
pub fn compare(old: &Survey, new: &Survey) -> Comparison {
    let (before, after) = (assess(old), assess(new));
    let side =
        |survey: &Survey, counts| Side { house: survey.site.name.clone(), revision: survey.revision, counts };
    Comparison {
        before: side(old, before.counts),
        after: side(new, after.counts),
        facts: facts::changes(old, new),
        verdicts: verdicts::changes(&before, &after),
    }
}

#[cfg(test)]
mod tests {
    use deadfront_rules::survey::Fact;

    use super::*;
    use crate::file::read_survey;

    fn demo() -> Survey {
        read_survey(crate::demo::DEMO.as_bytes()).unwrap()
    }

    #[test]
    fn a_survey_is_like_itself() {
        assert!(compare(&demo(), &demo()).is_empty());
    }

    #[test]
    fn a_changed_fact_is_told_with_both_values_and_its_label() {
        let (old, mut new) = (demo(), demo());
        let run = new.runs.iter_mut().find(|run| run.length.known().is_some()).unwrap();
        let before = run.length.worded();
        run.length = serde_json::from_str("\"2 ft\"").unwrap();
        let id = run.id.clone();
        let found = compare(&old, &new).facts;
        let [change] = found.as_slice() else { panic!("{found:?}") };
        assert_eq!((&change.id, change.what), (&id, "run"));
        let Change::Changed { fact, before: was, after: is } = &change.change else { panic!("{change:?}") };
        assert_eq!((fact.as_str(), is.as_str()), ("length one way", "2 ft"));
        assert_eq!(Fact::Known(was.clone()), before);
    }

    #[test]
    fn unknown_is_told_as_not_seen_in_both_directions() {
        let (old, mut new) = (demo(), demo());
        new.panels[0].kind = Fact::NotSeen;
        let there = compare(&old, &new);
        let back = compare(&new, &old);
        let told = |comparison: &Comparison| match &comparison.facts[0].change {
            Change::Changed { before, after, .. } => (before.clone(), after.clone()),
            other => panic!("{other:?}"),
        };
        assert_eq!(told(&there).1, "not seen");
        assert_eq!(told(&back), (told(&there).1, told(&there).0));
    }

    #[test]
    fn added_and_removed_items_are_told_once() {
        let (old, mut new) = (demo(), demo());
        let load = new.loads.remove(0);
        let gone = compare(&old, &new);
        assert_eq!(gone.facts.len(), 1);
        assert_eq!((&gone.facts[0].id, &gone.facts[0].change), (&load.id, &Change::Removed));
        assert_eq!(compare(&new, &old).facts[0].change, Change::Added);
    }

    #[test]
    fn verdicts_that_turn_are_told_and_the_rest_is_not() {
        let (old, mut new) = (demo(), demo());
        // Larger fuses on every way: some checks that meet now fall short.
        for way in new.panels.iter_mut().flat_map(|panel| &mut panel.ways) {
            if way.device.rating.known().is_some() {
                way.device.rating = serde_json::from_str("\"200 A\"").unwrap();
            }
        }
        let found = compare(&old, &new).verdicts;
        let worse = found.iter().find(|change| {
            change.before.as_ref().is_some_and(|told| told.verdict == "meets")
                && change.after.as_ref().is_some_and(|told| told.verdict == "falls_short")
        });
        assert!(worse.is_some(), "{found:?}");
        for change in &found {
            assert_ne!(change.before, change.after, "{change:?}");
        }
    }
}
