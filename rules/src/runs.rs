//! Every run in one line: what protects it, what it can carry, how much voltage is lost up to its end.
//!
//! The figures are those of the checks; nothing is worked out anew.

use std::ops::Not as _;

use crate::calc::Impedance;
use crate::calc::drop_parts::DropParts;
use crate::calc::fault::runs_on;
use crate::calc::path_drop::{DropRange, PathDrop, path_drop};
use crate::calc::voltage::system_voltage;
use crate::finding::{Derivation, Said, Worked};
use crate::house::{Guard, House, Protection, Seat};
use crate::isolation::words::{Join, listed};
use crate::say;
use crate::si::{Current, Voltage, percent};
use crate::survey::{Circuit, DeviceKind, Id};

/// A run in one line.
#[derive(Debug, Clone, PartialEq)]
pub struct RunOverview {
    /// The run.
    pub run: Id,
    /// What protects it, in words.
    pub protection: Said,
    /// Whether something does; `None` where the kind of the device is not known.
    pub is_protected: Option<bool>,
    /// What it can carry [A].
    pub ampacity: Bound,
    /// The largest device that may protect it [A].
    pub largest_device: Bound,
    /// What is lost from each supply to the loads on it; empty where no loads hang on it directly.
    pub drops: Vec<Drop>,
}

/// A current that is known, or known to be no larger.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bound {
    /// Every fact is known [A].
    Is(Current),
    /// With what is missing taken for the best: it is this or less [A].
    AtMost(Current),
    /// Nothing can be told.
    Unknown,
}

/// The voltage drop from one supply.
#[derive(Debug, Clone, PartialEq)]
pub struct Drop {
    /// The supply.
    pub supply: Id,
    /// The drop; `None` where it cannot be told.
    pub range: Option<DropRange>,
    /// That in words, with its unit.
    pub words: Said,
    /// The runs that it passes, from the supply on.
    pub over: Vec<Id>,
    /// The nominal voltage of which it is a share; `None` where it cannot be told.
    pub nominal: Option<Voltage>,
    /// The figures that it rests on; `None` where it cannot be told.
    pub parts: Option<DropParts>,
    /// Each step to it.
    pub derivation: Derivation,
}

/// What is lost on a service, a feeder or a battery run by itself while the device that protects it carries
/// all that it may.
#[derive(Debug, Clone, PartialEq)]
pub struct AtRating {
    /// The run.
    pub run: Id,
    /// The rating of the device.
    pub current: Current,
    /// The device.
    pub device: Id,
    /// Out over one conductor and back over another.
    pub whole: Impedance,
    /// The voltage between the two.
    pub nominal: Voltage,
    /// What is lost.
    pub drop: Voltage,
}

impl Bound {
    fn of<T>(worked: &Worked<T>, current: impl Fn(&T) -> Current) -> Self {
        match (worked.certain(), &worked.value) {
            (Some(value), _) => Self::Is(current(value)),
            (None, Some(best)) => Self::AtMost(current(best)),
            (None, None) => Self::Unknown,
        }
    }

    /// In words.
    #[must_use]
    pub fn words(self) -> Said {
        match self {
            Self::Is(current) => say!("{}", current),
            Self::AtMost(current) => say!("at most {}", current),
            Self::Unknown => say!("not known"),
        }
    }
}

/// Every run of a house, in the order of the survey.
#[must_use]
pub fn overview(house: &House<'_>) -> Vec<RunOverview> {
    house
        .runs()
        .map(|(number, run)| RunOverview {
            run: run.id.clone(),
            protection: protection(house, number),
            is_protected: is_protected(&house.protection(number)),
            ampacity: Bound::of(house.ampacity(number), |found| found.allowed()),
            largest_device: Bound::of(house.device_limit(number), |limit| limit.largest),
            drops: drops(house, number),
        })
        .collect()
}

fn protection(house: &House<'_>, run: usize) -> Said {
    match house.protection(run) {
        Protection::Ahead(guard) => guard_words(&guard),
        Protection::AtEnd(guards) => {
            say!("at its end: {}", listed(guards.iter().map(guard_words), Join::Semicolon))
        }
        Protection::None => say!("none"),
    }
}

fn is_protected(protection: &Protection<'_>) -> Option<bool> {
    let opens = |guard: &Guard<'_>| guard.device.kind.get().map(DeviceKind::protects);
    match protection {
        Protection::None => Some(false),
        Protection::Ahead(guard) => opens(guard),
        // Each of them has to; one that does not decides, known or not what the others are.
        Protection::AtEnd(guards) => {
            let all: Vec<Option<bool>> = guards.iter().map(opens).collect();
            if all.contains(&Some(false)) { Some(false) } else { all.contains(&None).not().then_some(true) }
        }
    }
}

fn guard_words(guard: &Guard<'_>) -> Said {
    // By its id, which the schedules and drawings bear too: a name takes half a page in a column.
    let (device, id) = (guard.device.to_string(), guard.at.to_string());
    match guard.seat {
        Seat::Way => say!("{}, {}", device, id),
        Seat::Main => say!("{}, main of {}", device, id),
        Seat::Output => say!("{}, at the output of {}", device, id),
    }
}

fn drops(house: &House<'_>, number: usize) -> Vec<Drop> {
    let run = &house.survey.runs[number];
    let ends_at_loads = run.to.is_none() && !house.load_numbers_on(number).is_empty();
    if !ends_at_loads || run.circuit.get() == Some(Circuit::DcPair) {
        return Vec::new();
    }
    let paths = house.feeds.paths_to(&house.network, house.network.run_end(number));
    let drop = |(supply, path): (usize, Vec<_>)| {
        let found = path_drop(house, supply, &path)?;
        let range = found.value.as_ref().map(PathDrop::total);
        let over = runs_on(house, &path).into_iter().map(|run| house.survey.runs[run].id.clone());
        Some(Drop {
            supply: house.survey.supplies[supply].id.clone(),
            words: range_words(range),
            range,
            over: over.collect(),
            nominal: found.value.as_ref().map(|drop| drop.nominal),
            parts: found.value.map(|drop| drop.parts),
            derivation: found.derivation,
        })
    };
    paths.into_iter().filter_map(drop).collect()
}

/// What is lost on each service, feeder and battery run at the rating of its device, where all that takes is
/// known.
#[must_use]
pub fn at_rating(house: &House<'_>) -> Vec<AtRating> {
    house.runs().filter_map(|(number, _)| run_at_rating(house, number)).collect()
}

fn run_at_rating(house: &House<'_>, number: usize) -> Option<AtRating> {
    let run = &house.survey.runs[number];
    let direct = run.circuit.get() == Some(Circuit::DcPair);
    if run.to.is_none() && !direct {
        return None;
    }
    let (current, device) = match house.protection(number) {
        Protection::Ahead(guard) => (guard.device.rating.known()?.quantity(), guard.at.clone()),
        Protection::AtEnd(guards) => match &guards[..] {
            [only] => (only.device.rating.known()?.quantity(), only.at.clone()),
            _ => return None,
        },
        Protection::None => return None,
    };
    let found = house.impedance(number);
    let hot = *found.hot.certain()?;
    let whole = match run.circuit.get()? {
        Circuit::HotNeutral => hot + *found.neutral.certain()?,
        Circuit::TwoHots | Circuit::TwoHotsNeutral | Circuit::DcPair => hot * 2.0,
    };
    let nominal = if direct {
        let supply = house.supply_of(run).or_else(|| house.only_battery())?;
        supply.battery.as_ref()?.voltage.known()?.quantity()
    } else {
        let supply = house.feeds.root(house.network.run_end(number))?;
        system_voltage(&house.survey.supplies[supply]).value?.of_circuit(run.circuit.get()?)?
    };
    let drop = current * whole.magnitude();
    Some(AtRating { run: run.id.clone(), current, device, whole, nominal, drop })
}

fn range_words(range: Option<DropRange>) -> Said {
    let Some(range) = range else { return say!("not known") };
    let shown = |share: crate::si::Ratio| crate::finding::rounded(share.get::<percent>(), 1);
    let least = shown(range.least);
    match range.most.map(shown) {
        Some(most) if most == least => say!("{} %", least),
        Some(most) => say!("{} to {} %", least, most),
        None => say!("at least {} %", least),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::isolation::sketch;

    fn told(house: &str) -> Vec<String> {
        let survey = serde_json::from_value(sketch::house(house)).unwrap();
        let house = House::new(&survey);
        let line = |run: &RunOverview| {
            let drops: Vec<String> = run.drops.iter().map(|drop| drop.words.to_string()).collect();
            format!("{}: {} | {} | {}", run.run, run.protection, run.ampacity.words(), drops.join(", "))
        };
        overview(&house).iter().map(line).collect()
    }

    /// Nothing invented stands where a fact is missing, and each run is told once.
    #[test]
    fn each_run_is_told_with_what_protects_it() {
        let lines = told(
            "utility U
            panel P breaker bonded service
            way P.1 breaker 20
            run U P
            run P.1 -",
        );
        assert_eq!(lines.len(), 2, "{lines:?}");
        assert!(lines[0].starts_with("R1: at its end: "), "{lines:?}");
        assert!(lines[1].contains("20 A breaker") && lines[1].contains("P.1"), "{lines:?}");
    }

    #[test]
    fn without_a_device_it_says_none() {
        let lines = told("utility U\n panel P lugs\n run U P");
        assert!(lines[0].starts_with("R1: none"), "{lines:?}");
    }

    /// By hand, NFPA 70-2023 Chapter 9 Table 9: 40 ft of 4 AWG copper at 0.31 + j0.048 Ω per 1000 ft are 12.4 + j1.92 mΩ,
    /// out and back √(24.8² + 3.84²) = 25.096 mΩ. The branch circuit has loads of its own and is not among them.
    #[test]
    fn a_service_loses_most_at_the_rating_of_its_device() {
        let survey = crate::fixture::survey(&crate::fixture::one_circuit());
        let house = House::new(&survey);
        let all = at_rating(&house);
        assert_eq!(all.len(), 1);
        let service = &all[0];
        assert_eq!(service.run.as_str(), "RS");
        let amperes = service.current.get::<crate::si::ampere>();
        assert!(amperes > 0.0);
        let volts = service.drop.get::<crate::si::volt>();
        assert!((volts - amperes * 0.025_096).abs() < amperes * 1e-6, "{volts} V at {amperes} A");
        assert_eq!(service.nominal, crate::si::volts(240.0));
    }

    /// Without its length or the rating of its device nothing is told.
    #[test]
    fn what_is_missing_is_not_taken_for_nought() {
        for fact in ["/runs/0/length", "/panels/0/main/rating", "/supplies/0/voltage"] {
            let changes = [(fact, serde_json::json!(null))];
            let survey =
                crate::fixture::survey(&crate::fixture::with(crate::fixture::one_circuit(), &changes));
            assert!(at_rating(&House::new(&survey)).is_empty(), "{fact}");
        }
    }
}
