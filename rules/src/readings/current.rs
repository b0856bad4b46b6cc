//! A current beside the device ahead, what the run carries, and what the loads explain.

use super::compared::{Compared, agrees};
use super::place::{panel_at, run_at};
use crate::calc::load_current::{loads_from, running_current_of_run};
use crate::finding::{
    Arg, Derivation, Facts, Said, Severity, Verdict, Worked, from_table, judge, reckoned, surveyed,
};
use crate::house::{Guard, House, Item, Protection};
use crate::say;
use crate::si::{Current, Ratio, percent};
use crate::survey::{DeviceKind, Reading};
use crate::tables::us::{PracticeId, practice};

const DEVICE: &str = "the rating of the device";
const RUN: &str = "what the run may carry";
const LOADS: &str = "what the loads entered here draw together";
const DEMAND: &str = "the largest current entered for the panel";

/// Beside the rating of its device and beside what the run may carry.
pub(crate) fn with_ratings(house: &House<'_>, reading: &Reading) -> Vec<Compared> {
    let Some(read) = current(reading) else { return Vec::new() };
    let rating = guard_at(house, reading).map(|guard| {
        let mut facts = Facts::new();
        let rating = guard.rating(&mut facts);
        facts.done(rating)
    });
    let run = run_at(house, &reading.at).map(|run| house.ampacity(run).clone().map(|found| found.allowed()));
    let compared = |against, limit: Worked<Current>| over(reading, read, against, limit);
    let all = [rating.map(|rating| compared(DEVICE, rating)), run.map(|allowed| compared(RUN, allowed))];
    all.into_iter().flatten().collect()
}

/// Beside what the loads of a circuit draw together, or the largest current entered for a panel.
pub(crate) fn with_loads(house: &House<'_>, reading: &Reading) -> Vec<Compared> {
    let Some(read) = current(reading) else { return Vec::new() };
    let explained = match (circuit_current(house, reading), demand(house, reading)) {
        (Some(loads), _) => Some((LOADS, loads)),
        (None, Some(demand)) => Some((DEMAND, demand)),
        (None, None) => None,
    };
    explained.map(|(against, explained)| beyond(reading, read, against, explained)).into_iter().collect()
}

fn current(reading: &Reading) -> Option<Current> {
    reading.current.known().map(|current| current.quantity())
}

/// The one device that the current passes.
fn guard_at<'a>(house: &House<'a>, reading: &Reading) -> Option<Guard<'a>> {
    let guard = match house.index.get(&reading.at)? {
        Item::Way(panel, way) => House::guard_of_way(&house.survey.panels[panel].ways[way]),
        Item::Panel(panel) => House::guard_of_main(&house.survey.panels[panel]),
        _ => match house.protection(run_at(house, &reading.at)?) {
            Protection::Ahead(guard) => guard,
            Protection::AtEnd(guards) => match guards[..] {
                [only] => only,
                _ => return None,
            },
            Protection::None => return None,
        },
    };
    guard.device.kind.get().is_none_or(DeviceKind::protects).then_some(guard)
}

/// What hangs on the circuit of a point draws together. `None` where no load hangs there, or outlets whose
/// load nobody can know.
fn circuit_current(house: &House<'_>, reading: &Reading) -> Option<Worked<Current>> {
    let run = run_at(house, &reading.at)?;
    if loads_from(house, run).is_empty() {
        return None;
    }
    let found = running_current_of_run(house, run);
    let is_open = found.missing.is_empty() && found.value.is_some_and(|current| current.open);
    (!is_open).then(|| found.map(|current| current.current))
}

fn demand(house: &House<'_>, reading: &Reading) -> Option<Worked<Current>> {
    let panel = panel_at(house, &reading.at)?;
    let mut facts = Facts::new();
    let demand = facts.need(&panel.demand, &panel.id, "demand").map(|demand| demand.quantity());
    if let Some(demand) = demand {
        facts.seen("I_D", "largest current of the panel", demand, &panel.id, "demand");
    }
    Some(facts.done(demand))
}

/// More than a limit allows: certain even where the limit is only known at its best.
fn over(reading: &Reading, read: Current, against: &'static str, limit: Worked<Current>) -> Compared {
    let measured = read_as_worked(reading, read);
    let verdict = match judge(&measured, &limit, |read, limit| read > limit) {
        Verdict::Meets => agrees(),
        other => other,
    };
    told(
        reading,
        read,
        Judged { against, most: limit.value, beside: limit, verdict, severity: Severity::Warning },
    )
}

/// More than what is entered explains, by more than meters and plates differ.
fn beyond(
    reading: &Reading,
    read: Current,
    against: &'static str,
    mut explained: Worked<Current>,
) -> Compared {
    let margin = practice(PracticeId::ReadingMargin);
    let share = Ratio::new::<percent>(margin.value);
    let certain = explained.certain().map(|explained| *explained * (Ratio::new::<percent>(100.0) + share));
    let verdict = match certain {
        Some(limit) if read > limit => Verdict::FallsShort,
        Some(_) => agrees(),
        None => Verdict::CannotTell { missing: explained.missing.clone() },
    };
    if let (Some(limit), Some(value)) = (certain, explained.value) {
        let share = || Arg::Quantity(margin.value, 0, "%");
        let expression = say!("{} + {} of it", value, share());
        explained.derivation.extend(vec![
            from_table("m", "by which meters and plates differ", share(), margin.place),
            reckoned("I_max", "explained at most", expression, limit),
        ]);
    }
    told(
        reading,
        read,
        Judged { against, most: certain, beside: explained, verdict, severity: Severity::Caution },
    )
}

fn read_as_worked(reading: &Reading, read: Current) -> Worked<Current> {
    let mut facts = Facts::new();
    facts.seen("I", "current read", read, &reading.id, "current");
    facts.done(Some(read))
}

fn said(verdict: &Verdict, read: Current, against: &'static str, beside: Option<Current>) -> Said {
    let against = Arg::Word(against);
    match (verdict, beside) {
        (Verdict::FallsShort, Some(beside)) => {
            say!("{} was read here, more than {}, {}.", read, against, beside)
        }
        (Verdict::CannotTell { .. }, _) | (_, None) => {
            say!("{} was read here; {} cannot be told yet.", read, against)
        }
        (_, Some(beside)) => say!("{} was read here, within {}, {}.", read, against, beside),
    }
}

/// How a current stands against one figure.
struct Judged {
    against: &'static str,
    /// The figure with how it came about.
    beside: Worked<Current>,
    /// What is allowed or explained at most, if it can be told.
    most: Option<Current>,
    verdict: Verdict,
    severity: Severity,
}

fn told(reading: &Reading, read: Current, judged: Judged) -> Compared {
    let Judged { against, beside, most, verdict, severity } = judged;
    let step = surveyed("I", "current read", read, &reading.id, "current");
    let mut derivation = Derivation::new(vec![step]);
    derivation.include(&beside.derivation);
    let is_told = !matches!(verdict, Verdict::CannotTell { .. });
    Compared {
        at: reading.at.clone(),
        label: "current",
        measured: read.into(),
        against,
        computed: beside.value.filter(|_| is_told).map(Arg::from),
        figure: most.filter(|_| verdict == Verdict::FallsShort).map(|most| (read.into(), most.into())),
        message: said(&verdict, read, against, beside.value),
        verdict,
        severity,
        derivation,
    }
}
