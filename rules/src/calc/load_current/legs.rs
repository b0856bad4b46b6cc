//! Several loads on one run: the current of its heavier leg.

use super::voltage::Across;
use crate::finding::{Facts, reckoned};
use crate::house::House;
use crate::say;
use crate::si::Current;
use crate::survey::{Circuit, Leg, Load};

/// The current of a run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RunCurrent {
    /// Of its heavier leg.
    pub current: Current,
    /// What of it comes back over the neutral: all of it where there is one hot, else what the
    /// other leg does not carry.
    pub neutral: Current,
    /// Whether any of it stands on one leg; all of it is between two hots otherwise.
    pub across: Across,
    /// Whether loads without a plate (lighting, outlets) or of unknown current hang on it too: the
    /// current is then at least this, and nothing can be said to be enough for it.
    pub open: bool,
}

/// Sums up loads by leg.
#[derive(Debug)]
pub(super) struct Legs<'a> {
    three_wire: bool,
    pair: Current,
    on_a_leg: Vec<(&'a Load, Current)>,
    open: bool,
    count: usize,
}

impl<'a> Legs<'a> {
    /// Nothing yet, for the loads of this run.
    pub(super) fn of(house: &House<'_>, run: usize) -> Self {
        let three_wire = house.survey.runs[run].circuit.get() == Some(Circuit::TwoHotsNeutral);
        Self { three_wire, pair: Current::default(), on_a_leg: Vec::new(), open: false, count: 0 }
    }

    /// Adds a load.
    pub(super) fn add(&mut self, load: &'a Load, across: Across, current: Current) {
        self.count += 1;
        match across {
            Across::Pair => self.pair += current,
            Across::Leg => self.on_a_leg.push((load, current)),
        }
    }

    /// A load whose current nobody can know hangs on it too.
    pub(super) fn leave_open(&mut self) {
        self.open = true;
    }

    /// The heavier leg; loads of unknown leg are taken as spread as evenly as they can be.
    pub(super) fn heavier(&self, facts: &mut Facts) -> RunCurrent {
        let whole: Current = self.on_a_leg.iter().map(|(_, current)| *current).sum();
        let leg = if self.three_wire { self.heavier_leg(whole, facts) } else { whole };
        let current = self.pair + leg;
        if self.count > 1 {
            let label = "current of the heavier leg";
            facts.step(reckoned("I", label, say!("{} between hots + {} on a leg", self.pair, leg), current));
        }
        let across = if self.on_a_leg.is_empty() && self.count > 0 { Across::Pair } else { Across::Leg };
        RunCurrent { current, neutral: leg - (whole - leg), across, open: self.open }
    }

    fn heavier_leg(&self, whole: Current, facts: &mut Facts) -> Current {
        if let [(_, only)] = self.on_a_leg[..] {
            // It does not matter on which leg one load alone stands.
            return only;
        }
        let nought = Current::default();
        let (mut a, mut b, mut largest_unknown) = (nought, nought, nought);
        for (load, current) in &self.on_a_leg {
            match facts.need(&load.leg, &load.id, "leg") {
                Some(Leg::A) => a += *current,
                Some(Leg::B) => b += *current,
                Some(Leg::Both) | None => largest_unknown = larger(largest_unknown, *current),
            }
        }
        let known = larger(a, b);
        if largest_unknown > nought { larger(larger(known, whole / 2.0), largest_unknown) } else { known }
    }
}

fn larger(a: Current, b: Current) -> Current {
    if a > b { a } else { b }
}
