//! Why a set is refused, in words and figures.

use super::search::{Heavy, Limits, NOISE, Reason};
use crate::finding::{Arg, Said};
use crate::house::House;
use crate::say;

/// The loads of a search, with their names.
pub(super) struct Told<'a> {
    pub(super) house: &'a House<'a>,
    /// Places in the survey's list of loads.
    pub(super) names: &'a [usize],
    pub(super) loads: &'a [Heavy],
    pub(super) limits: &'a Limits,
}

impl Told<'_> {
    /// Why this set is refused; its numbers are places in the list of the search.
    pub(super) fn why(&self, set: &[usize], reason: Reason) -> Said {
        let limits = self.limits;
        let all = |of: &dyn Fn(&Heavy) -> f64| set.iter().map(|at| of(&self.loads[*at])).sum::<f64>();
        match reason {
            Reason::Leg(leg) => {
                let on = |leg: usize| limits.base[leg] + all(&|load| load.legs[leg]);
                // Where both carry too much, the heavier one is told.
                let leg = if on(1 - leg) > on(leg) { 1 - leg } else { leg };
                let asked = on(leg);
                let (asked, most) = pair(asked, limits.leg, amperes);
                let leg = if leg == 0 { "A" } else { "B" };
                say!("more than leg {} gives continuously: {} of {}", leg, asked, most)
            }
            Reason::Apparent => {
                let asked = limits.base_apparent + all(&|load| load.apparent);
                let (asked, most) = pair(asked, limits.apparent, volt_amperes);
                say!("more volt-amperes than it gives continuously: {} of {}", asked, most)
            }
            Reason::Power => {
                let (asked, most) = pair(limits.base_power + all(&|load| load.power), limits.power, watts);
                say!("more watts than supply or battery give continuously: {} of {}", asked, most)
            }
            Reason::Start(at) => self.start(set, at),
        }
    }

    /// No load of the set can start last; told of the one that was found, on top of all others.
    fn start(&self, set: &[usize], at: usize) -> Said {
        let (load, limits) = (&self.loads[at], self.limits);
        let name = &self.house.survey.loads[self.names[at]].name;
        let others = |of: &dyn Fn(&Heavy) -> f64| {
            set.iter().filter(|other| **other != at).map(|other| of(&self.loads[*other])).sum::<f64>()
        };
        let on_leg = |leg: usize| limits.base[leg] + others(&|load| load.legs[leg]) + load.start[leg];
        let heavier = [0, 1].into_iter().filter(|leg| load.start[*leg] > 0.0).map(on_leg).fold(0.0, f64::max);
        if heavier > load.start_limit * NOISE {
            let (asked, most) = pair(heavier, load.start_limit, amperes);
            return say!(
                "no order of starting fits: on top of what runs then, the start of {} asks a leg for {} of {}",
                name,
                asked,
                most
            );
        }
        let asked = limits.base_power + others(&|load| load.power) + load.start_power;
        let (asked, most) = pair(asked, load.start_power_limit, watts);
        say!(
            "no order of starting fits: on top of what runs then, the start of {} asks the battery for {} of {}",
            name,
            asked,
            most
        )
    }
}

/// What is asked and what is given, with decimals enough to tell them apart.
fn pair(asked: f64, most: f64, of: fn(f64) -> Arg) -> (Arg, Arg) {
    (of(asked).told_from(&of(most)), of(most))
}

fn amperes(amperes: f64) -> Arg {
    Arg::Quantity(amperes, 1, "A")
}

fn watts(watts: f64) -> Arg {
    Arg::Quantity(watts, 0, "W")
}

fn volt_amperes(volt_amperes: f64) -> Arg {
    Arg::Quantity(volt_amperes, 0, "VA")
}
