//! One set of heavy loads that somebody tries on a supply: whether it carries them together, besides
//! lighting and outlets, and in which order they can be started.
//!
//! A missing fact is never good news: with one, nothing is said to run. It does not hide bad news either:
//! a set is refused where it is too much with whatever is unknown at its best.

use super::of_island::{heavy, is_heavy, limits_of};
use super::reason::Told;
use super::search::{Heavy, Limits, Search};
use crate::capacity::carry::{Carried, Island, ability, start_on, totals};
use crate::finding::{Facts, Missing, Said};
use crate::house::House;
use crate::isolation::{Positions, rehearse};
use crate::say;
use crate::si::watt;

/// A load that was chosen and could not be counted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftOut {
    /// Its place in the survey's list of loads.
    pub load: usize,
    /// The facts that are missing.
    pub missing: Vec<Missing>,
}

/// What comes of a set.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer {
    /// By the entered figures it is carried and can be started in this order; places in the survey's list.
    Runs(Vec<usize>),
    /// It is too much, or finds no order; why.
    Refused(Said),
    /// A fact is missing.
    CannotTell,
}

/// What runs, and what the supply gives continuously. While facts are missing, as far as they are known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figures {
    /// Current of each leg [A].
    pub legs: [f64; 2],
    /// Apparent power [VA].
    pub apparent: f64,
    /// Active power [W].
    pub power: f64,
    /// What it gives, and what runs anyway.
    pub limits: Limits,
}

/// A set that was tried.
#[derive(Debug, Clone, PartialEq)]
pub struct Tried {
    /// What comes of it.
    pub answer: Answer,
    /// The sums; none while it is not known what the supply gives.
    pub figures: Option<Figures>,
    /// Chosen loads that are not in the sums.
    pub left_out: Vec<LeftOut>,
    /// Facts that are missing of the supply, of what runs anyway, and of watts.
    pub missing: Vec<Missing>,
}

/// The same supply with only those loads that it reaches in a mode of [`House::isolation`]. A device of
/// which the mode says nothing counts as closed, so that no load is forgotten.
#[must_use]
pub fn in_mode(house: &House<'_>, island: &Island, mode: usize) -> Island {
    let reached = rehearse(house, &Positions::of_mode(house, mode)).nodes;
    let is_reached = |carried: &&Carried| {
        let run = house.run_number(&house.survey.loads[carried.load].on);
        let node = run.map(|run| house.network.run_end(run) as usize);
        node.and_then(|node| reached.get(node)).is_some_and(|from| from.contains(&island.supply))
    };
    Island { loads: island.loads.iter().filter(is_reached).cloned().collect(), ..island.clone() }
}

/// The loads that can be chosen; places in the survey's list.
#[must_use]
pub fn choices(house: &House<'_>, island: &Island) -> Vec<usize> {
    island.loads.iter().filter(|carried| is_heavy(house, carried)).map(|carried| carried.load).collect()
}

/// Tries these loads together. What is not on the supply, or runs anyway, is not counted twice.
#[must_use]
pub fn try_set(house: &House<'_>, island: &Island, chosen: &[usize]) -> Tried {
    let ability = ability(house, island.supply);
    let mut facts = Facts::new();
    let limits = limits_of(house, island, &ability, &mut facts);
    let (mut known, mut left_out, mut needs_two_hots) = (Vec::new(), Vec::new(), None);
    let wanted = |carried: &&Carried| is_heavy(house, carried) && chosen.contains(&carried.load);
    for carried in island.loads.iter().filter(wanted) {
        let mut own = Facts::new();
        let heavy = heavy(house, island, &ability, carried, &mut own);
        let missing = own.done(Some(())).missing;
        match heavy {
            Some(heavy) => {
                // What the battery gives for a start may be unknown, and is told with the supply.
                for one in &missing {
                    let _: Option<()> = facts.miss(&one.item, one.fact, one.cannot_be_seen);
                }
                known.push((carried, heavy));
            }
            None if missing.is_empty() => needs_two_hots = Some(carried.load),
            None => left_out.push(LeftOut { load: carried.load, missing }),
        }
    }
    let missing = facts.done(Some(())).missing;
    let Some(limits) = limits else {
        return Tried { answer: Answer::CannotTell, figures: None, left_out, missing };
    };
    let trial = Trial { house, island, known, limits };
    let figures = Some(trial.figures());
    if let Some(load) = needs_two_hots {
        let answer = Answer::Refused(say!(
            "this supply has one hot, and it needs two: {}",
            &house.survey.loads[load].name
        ));
        return Tried { answer, figures, left_out, missing };
    }
    let (answer, watts) = trial.answer();
    let is_open = matches!(answer, Answer::Runs(_)) && !(left_out.is_empty() && missing.is_empty());
    let answer = if is_open { Answer::CannotTell } else { answer };
    Tried { answer, figures, left_out, missing: [missing, watts].concat() }
}

struct Trial<'a> {
    house: &'a House<'a>,
    island: &'a Island,
    known: Vec<(&'a Carried, Heavy)>,
    limits: Limits,
}

impl Trial<'_> {
    fn figures(&self) -> Figures {
        let sum = |of: &dyn Fn(&Heavy) -> f64| self.known.iter().map(|(_, heavy)| of(heavy)).sum::<f64>();
        let limits = self.limits;
        Figures {
            legs: [0, 1].map(|leg| limits.base[leg] + sum(&|heavy| heavy.legs[leg])),
            apparent: limits.base_apparent + sum(&|heavy| heavy.apparent),
            power: limits.base_power + sum(&|heavy| heavy.power),
            limits,
        }
    }

    /// The answer, and the missing facts of watts that leave it open.
    fn answer(&self) -> (Answer, Vec<Missing>) {
        let worst: Vec<Heavy> = self.known.iter().map(|(_, heavy)| *heavy).collect();
        let answer = self.search(&worst, self.limits);
        let watts = self.missing_watts();
        if watts.is_empty() || !matches!(answer, Answer::Refused(_)) {
            return (answer, Vec::new());
        }
        // Volt-amperes stood in for watts: it is refused only if it is so with none of them.
        let best: Vec<Heavy> =
            self.known.iter().map(|(carried, heavy)| self.at_best(carried, *heavy)).collect();
        let base = self.base();
        let limits = Limits { base_power: base.power.get::<watt>(), ..self.limits };
        match self.search(&best, limits) {
            Answer::Runs(_) => (Answer::CannotTell, watts),
            certain => (certain, Vec::new()),
        }
    }

    fn search(&self, loads: &[Heavy], limits: Limits) -> Answer {
        let search = Search::new(loads, limits);
        let Some(whole) = search.whole() else { return Answer::CannotTell };
        let names: Vec<usize> = self.known.iter().map(|(carried, _)| carried.load).collect();
        let all: Vec<usize> = (0..loads.len()).collect();
        let told = Told { house: self.house, names: &names, loads, limits: &limits };
        if let Some(why) = search.refusal(whole) {
            return Answer::Refused(told.why(&all, why));
        }
        match search.order(whole) {
            Ok(order) => Answer::Runs(order.into_iter().map(|at| names[at]).collect()),
            Err(why) => Answer::Refused(told.why(&all, why)),
        }
    }

    fn base(&self) -> crate::capacity::carry::Totals {
        totals(self.island, self.island.loads.iter().filter(|carried| !is_heavy(self.house, carried)))
    }

    fn missing_watts(&self) -> Vec<Missing> {
        let mut watts = self.base().missing_power;
        for (carried, _) in &self.known {
            watts.extend_from_slice(&carried.missing_power);
            if let Some(starting) = start_on(self.house, carried) {
                watts.extend(starting.missing_power);
            }
        }
        watts.sort();
        watts.dedup();
        watts
    }

    /// The load with the watts that are not known left out.
    fn at_best(&self, carried: &Carried, heavy: Heavy) -> Heavy {
        let power = carried.power.get::<watt>().min(heavy.power);
        let start = start_on(self.house, carried).filter(|starting| !starting.missing_power.is_empty());
        let start_power = match start {
            Some(starting) => starting.power.get::<watt>().min(heavy.start_power),
            None => heavy.start_power,
        };
        Heavy { power, start_power: start_power.max(power), ..heavy }
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;
    use crate::fixture::{survey, with, with_battery};

    fn heater(watts: &str) -> (&'static str, Value) {
        let heater = json!({
            "id": "LH", "name": "Heater", "on": "RW", "kind": "water_heater", "voltage": "240 V", "power": watts
        });
        ("/loads/-", heater)
    }

    /// The answer for loads by id, with what was left out and what is missing.
    fn told(changes: &[(&str, Value)], chosen: &[&str]) -> String {
        let survey = survey(&with(with_battery(), changes));
        let house = House::new(&survey);
        let island = &house.islands()[0];
        let number = |id: &&str| survey.loads.iter().position(|load| load.id.as_str() == *id).unwrap();
        let tried = try_set(&house, island, &chosen.iter().map(number).collect::<Vec<_>>());
        let mut told = match &tried.answer {
            Answer::Runs(order) => {
                order.iter().map(|at| survey.loads[*at].id.to_string()).collect::<Vec<_>>().join(" then ")
            }
            Answer::Refused(why) => why.to_string(),
            Answer::CannotTell => "cannot tell".to_owned(),
        };
        for out in &tried.left_out {
            let facts: Vec<_> = out.missing.iter().map(|missing| missing.fact).collect();
            told.push_str(&format!("; out {} {}", survey.loads[out.load].id, facts.join(" ")));
        }
        for missing in &tried.missing {
            told.push_str(&format!("; {} {}", missing.item, missing.fact));
        }
        told
    }

    /// By hand: kitchen outlets run anyway, 10 A on leg A; the pump runs with 8 A. With 33 A a leg 15 A are
    /// left for a heater: 3600 W on 240 V.
    #[test]
    fn a_set_runs_up_to_the_edge_of_a_leg() {
        assert_eq!(told(&[heater("3600 W")], &["LW", "LH"]), "LW then LH");
        assert_eq!(
            told(&[heater("3601 W")], &["LW", "LH"]),
            "more than leg A gives continuously: 33.004 A of 33 A"
        );
        assert_eq!(told(&[heater("3601 W")], &["LH"]), "LH");
        assert_eq!(told(&[heater("3601 W")], &["LW"]), "LW");
        assert_eq!(told(&[heater("3601 W")], &[]), "");
    }

    /// The pump starts with 48 A on top of 10 A: 58 A of 60 A. After a heater of 2.01 A it would be 60.01 A, so it
    /// comes first, whatever the order in which they were ticked.
    #[test]
    fn the_order_is_the_one_in_which_they_start() {
        assert_eq!(told(&[heater("482 W")], &["LH", "LW"]), "LW then LH");
        let weak = ("/supplies/1/surges/0/current", json!("57.9 A"));
        let refused = told(&[heater("482 W"), weak], &["LH", "LW"]);
        assert!(refused.ends_with("the start of Well pump asks a leg for 60 A of 57.9 A"), "{refused}");
    }

    #[test]
    fn a_missing_fact_of_a_load_never_lets_the_set_run() {
        let no_start = ("/loads/2/start_time", json!(null));
        assert_eq!(told(std::slice::from_ref(&no_start), &["LW"]), "cannot tell; out LW start_time");
        assert_eq!(
            told(&[heater("3600 W"), no_start.clone()], &["LW", "LH"]),
            "cannot tell; out LW start_time"
        );
        // Too much without it is too much with it.
        assert_eq!(
            told(&[heater("8 kW"), no_start], &["LW", "LH"]),
            "more than leg A gives continuously: 43.3 A of 33 A; out LW start_time"
        );
    }

    #[test]
    fn a_missing_fact_of_the_supply_never_lets_the_set_run() {
        for (path, fact) in [
            ("/supplies/1/continuous_current", "continuous_current"),
            ("/supplies/1/battery/discharge_current", "battery.discharge_current"),
        ] {
            let told = told(&[heater("2 kW"), (path, json!(null))], &["LH"]);
            assert!(told.starts_with("cannot tell") && told.contains(fact), "{told}");
        }
    }

    /// 130 A × 46 V × 0.93 = 5561.4 W, of which outlets take 1200 W. The pump without a power factor draws 1920 VA:
    /// a heater of 2441 W goes with it whatever the factor, 2442 W hang on the factor, 4362 W are too much even if
    /// the pump took no watts.
    #[test]
    fn unknown_watts_leave_open_what_hangs_on_them() {
        let told = |watts: &str| {
            let changes = [
                heater(watts),
                ("/loads/2/power_factor", json!(null)),
                ("/supplies/1/battery/discharge_current", json!("130 A")),
                ("/supplies/1/continuous_current", json!("40 A")),
            ];
            told(&changes, &["LW", "LH"])
        };
        assert_eq!(told("2441 W"), "LW then LH");
        assert_eq!(told("2442 W"), "cannot tell; LW power_factor");
        assert_eq!(told("4361 W"), "cannot tell; LW power_factor");
        assert_eq!(told("4362 W"), "more watts than supply or battery give continuously: 5562 W of 5561 W");
    }

    #[test]
    fn a_load_on_two_hots_is_refused_where_there_is_one() {
        let one = ("/supplies/1/output", json!("120 V"));
        assert!(told(&[heater("1 kW"), one], &["LH"]).starts_with("this supply has one hot"));
    }

    /// In the mode on the utility nothing of the inverter is left to try.
    #[test]
    fn a_mode_leaves_only_what_the_supply_reaches_in_it() {
        let survey = survey(&with_battery());
        let house = House::new(&survey);
        let island = &house.islands()[0];
        let of = |feeds: usize| {
            let modes = &house.isolation().modes;
            let mode = modes.iter().position(|mode| mode.feeds == [feeds]).expect("such a mode");
            choices(&house, &in_mode(&house, island, mode))
        };
        assert_eq!(of(1), choices(&house, island));
        assert!(of(0).is_empty(), "{:?}", of(0));
    }
}
