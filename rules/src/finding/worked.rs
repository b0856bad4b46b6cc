//! A result that may lack facts, and the verdict that follows from it.

use super::derivation::{Derivation, Source, Step};
use super::said::{Arg, Said};
use super::{Missing, Verdict};
use crate::survey::{Fact, Id};

/// A result worked out from facts of the house.
///
/// Where facts are missing, the most favourable value stands in for each, and they are listed: the
/// value is then the best case. A figure that falls short at its best is certain to fall short; a
/// figure that would do is not known to.
#[derive(Debug, Clone, PartialEq)]
pub struct Worked<T> {
    /// The value; `None` when not even a best case can be worked out.
    pub value: Option<T>,
    /// The facts that are missing.
    pub missing: Vec<Missing>,
    /// How it came about.
    pub derivation: Derivation,
}

impl<T> Worked<T> {
    /// The value if every fact is known.
    pub fn certain(&self) -> Option<&T> {
        self.value.as_ref().filter(|_| self.missing.is_empty())
    }

    /// The same facts and derivation with another value.
    pub fn map<U>(self, change: impl FnOnce(T) -> U) -> Worked<U> {
        Worked { value: self.value.map(change), missing: self.missing, derivation: self.derivation }
    }
}

/// The verdict on a figure against its limit; `exceeds` compares best case with best case.
///
/// Falls short when it does so even at its best; cannot be told when a fact is missing; meets
/// only when every fact is known.
pub fn judge<V, L>(value: &Worked<V>, limit: &Worked<L>, exceeds: impl FnOnce(&V, &L) -> bool) -> Verdict {
    let (Some(v), Some(l)) = (&value.value, &limit.value) else {
        return cannot_tell(&value.missing, &limit.missing);
    };
    if exceeds(v, l) {
        Verdict::FallsShort
    } else if value.missing.is_empty() && limit.missing.is_empty() {
        Verdict::Meets
    } else {
        cannot_tell(&value.missing, &limit.missing)
    }
}

fn cannot_tell(some: &[Missing], others: &[Missing]) -> Verdict {
    let mut missing = [some, others].concat();
    missing.sort();
    missing.dedup();
    Verdict::CannotTell { missing }
}

/// Collects the facts of a calculation: known ones become steps, missing ones are listed.
#[derive(Debug, Default)]
pub struct Facts {
    missing: Vec<Missing>,
    steps: Vec<Step>,
    included: Derivation,
}

impl Facts {
    /// Starts with nothing.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// A fact that is needed and has no best case: `None` stops the calculation.
    pub fn need<T: Clone>(&mut self, fact: &Fact<T>, item: &Id, name: &'static str) -> Option<T> {
        match fact {
            Fact::Known(value) => Some(value.clone()),
            Fact::NotSeen => self.miss(item, name, false),
            Fact::CannotBeSeen => self.miss(item, name, true),
        }
    }

    /// A fact that is needed; while it is missing, `best` stands in.
    pub fn or_best<T: Clone>(&mut self, fact: &Fact<T>, item: &Id, name: &'static str, best: T) -> T {
        self.need(fact, item, name).unwrap_or(best)
    }

    /// Lists a missing fact; always `None`, so that `?` can follow.
    pub fn miss<T>(&mut self, item: &Id, fact: &'static str, cannot_be_seen: bool) -> Option<T> {
        let missing = Missing { item: item.clone(), fact, cannot_be_seen };
        if !self.missing.contains(&missing) {
            self.missing.push(missing);
        }
        None
    }

    /// Whether this fact of this item has been found missing.
    #[must_use]
    pub fn lacks(&self, item: &Id, fact: &str) -> bool {
        self.missing.iter().any(|missing| missing.fact == fact && missing.item == *item)
    }

    /// Whether nothing is missing so far.
    #[must_use]
    pub fn complete(&self) -> bool {
        self.missing.is_empty()
    }

    /// Adds a step.
    pub fn step(&mut self, step: Step) {
        self.steps.push(step);
    }

    /// Adds the step of a surveyed value, or of the best case in its place while it is missing.
    pub fn seen(
        &mut self,
        symbol: &'static str,
        label: impl Into<Said>,
        value: impl Into<Arg>,
        item: &Id,
        fact: &'static str,
    ) {
        let source = if self.lacks(item, fact) {
            Source::BestCase { item: item.clone(), fact }
        } else {
            Source::Surveyed { item: item.clone(), fact }
        };
        let (label, value) = (label.into(), value.into());
        self.steps.push(Step { symbol, label, expression: Said::plain(""), value, source });
    }

    /// Takes over facts and steps of another result and gives its value.
    pub fn take<T>(&mut self, other: Worked<T>) -> Option<T> {
        self.include(&other.missing, &other.derivation);
        other.value
    }

    /// Takes over the facts and steps of another result.
    pub fn include(&mut self, missing: &[Missing], derivation: &Derivation) {
        for missing in missing {
            if !self.missing.contains(missing) {
                self.missing.push(missing.clone());
            }
        }
        self.included.extend(std::mem::take(&mut self.steps));
        self.included.include(derivation);
    }

    /// The verdict on a question whose answer is yes or no: `wrong` is `Some(true)` when it is certain
    /// to fall short whatever is missing, `Some(false)` when nothing seen speaks against it, `None`
    /// when it hangs on a missing fact.
    #[must_use]
    pub fn conclude(self, wrong: Option<bool>) -> (Verdict, Derivation) {
        let worked = self.done(wrong);
        let limit = Self::new().done(Some(false));
        (judge(&worked, &limit, |wrong, _| *wrong), worked.derivation)
    }

    /// The result.
    #[must_use]
    pub fn done<T>(mut self, value: Option<T>) -> Worked<T> {
        self.included.extend(self.steps);
        Worked { value, missing: self.missing, derivation: self.included }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn worked(value: Option<f64>, known: bool) -> Worked<f64> {
        let mut facts = Facts::new();
        if !known {
            let _: Option<()> = facts.miss(&Id::new("R1").unwrap(), "size", false);
        }
        facts.done(value)
    }

    #[test]
    fn a_yes_or_no_meets_only_when_nothing_is_missing() {
        let conclude = |wrong, known: bool| {
            let mut facts = Facts::new();
            if !known {
                let _: Option<()> = facts.miss(&Id::new("R1").unwrap(), "size", false);
            }
            facts.conclude(wrong).0.name()
        };
        assert_eq!(conclude(Some(false), true), "meets");
        assert_eq!(conclude(Some(true), true), "falls_short");
        assert_eq!(conclude(Some(true), false), "falls_short");
        assert_eq!(conclude(Some(false), false), "cannot_tell");
        assert_eq!(conclude(None, false), "cannot_tell");
    }

    #[test]
    fn nothing_meets_while_a_fact_is_missing() {
        let exceeds = |v: &f64, l: &f64| v > l;
        let tell = |v, l| judge(&v, &l, exceeds).name();
        assert_eq!(tell(worked(Some(10.0), true), worked(Some(10.0), true)), "meets");
        assert_eq!(tell(worked(Some(10.1), true), worked(Some(10.0), true)), "falls_short");
        assert_eq!(tell(worked(Some(10.0), true), worked(Some(10.0), false)), "cannot_tell");
        assert_eq!(tell(worked(Some(10.1), true), worked(Some(10.0), false)), "falls_short");
        assert_eq!(tell(worked(None, false), worked(Some(10.0), true)), "cannot_tell");
    }
}
