//! A voltage beside the lowest that the supply's band and the drop on the way explain.

use super::compared::{Compared, agrees};
use super::place::run_at;
use crate::calc::path_drop::{fine, in_percent, path_drop};
use crate::calc::voltage::system_voltage;
use crate::finding::{
    Arg, Derivation, Facts, Said, Severity, Verdict, Worked, from_table, reckoned, surveyed,
};
use crate::house::{House, Item};
use crate::say;
use crate::si::{Ratio, Voltage, percent};
use crate::survey::{Circuit, Reading};
use crate::tables::us::{PracticeId, is_between_hots, practice};

const AGAINST: &str = "the lowest that the supply and the drop on the way explain";

/// The comparison of a voltage; none where none was read, or where no drop is worked out.
pub(crate) fn compare(house: &House<'_>, reading: &Reading) -> Vec<Compared> {
    let Some(read) = reading.voltage.known().map(|voltage| voltage.quantity()) else { return Vec::new() };
    let Some(point) = Point::of(house, reading) else { return Vec::new() };
    let paths = house.feeds.paths_to(&house.network, house.network.run_end(point.run));
    // Which supply fed the point at that moment is not known: each may explain it.
    let explained = paths.iter().filter_map(|(supply, path)| lowest(house, &point, *supply, path, read));
    lenient(explained).map(|explained| compared(reading, read, explained)).into_iter().collect()
}

/// Where on the way of a circuit a voltage was read.
struct Point {
    /// A run that ends at its loads.
    run: usize,
    /// At its end, or ahead of the branch circuit.
    at_end: bool,
}

impl Point {
    fn of(house: &House<'_>, reading: &Reading) -> Option<Self> {
        let circuits = |run: &usize| {
            let survey_run = &house.survey.runs[*run];
            survey_run.to.is_none() && survey_run.circuit.get() != Some(Circuit::DcPair)
        };
        match house.index.get(&reading.at)? {
            Item::Run(_) | Item::Load(_) => {
                let run = run_at(house, &reading.at).filter(circuits)?;
                Some(Self { run, at_end: true })
            }
            Item::Way(panel, way) => {
                let run = house.runs_from_way(panel, way).find(circuits)?;
                Some(Self { run, at_end: false })
            }
            Item::Panel(panel) | Item::Bus(panel, _) => {
                let ways = 0..house.survey.panels[panel].ways.len();
                let run = ways.flat_map(|way| house.runs_from_way(panel, way)).find(circuits)?;
                Some(Self { run, at_end: false })
            }
            _ => None,
        }
    }
}

/// The lowest voltage that one supply explains at a point. `None` where it gives no such voltage.
fn lowest(
    house: &House<'_>,
    point: &Point,
    supply: usize,
    path: &[crate::network::EdgeId],
    read: Voltage,
) -> Option<Worked<Voltage>> {
    let mut facts = Facts::new();
    let Some(system) = facts.take(system_voltage(&house.survey.supplies[supply])) else {
        return Some(facts.done(None));
    };
    let nominal = if is_between_hots(read) { system.between_hots } else { system.to_neutral }?;
    let band = practice(PracticeId::ServiceVoltageBand);
    let at_supply = nominal * (whole() - Ratio::new::<percent>(band.value));
    facts.step(from_table("b", "a supply may stand lower by", Arg::Quantity(band.value, 0, "%"), band.place));
    let expression = say!("{} − {}", fine(nominal), Arg::Quantity(band.value, 0, "%"));
    facts.step(reckoned("U_s", "lowest voltage at the supply", expression, fine(at_supply)));
    if read >= at_supply {
        // No drop has to explain it.
        return Some(facts.done(Some(at_supply)));
    }
    let drop = path_drop(house, supply, path)?;
    let most = drop.value.and_then(|drop| {
        // Outlets without a load entered draw at most what their device lets through.
        let branch = drop.branch.most.or(drop.branch_at_rating);
        Some(drop.feeder.most? + if point.at_end { branch? } else { Ratio::default() })
    });
    let Some(most) = most else {
        facts.include(&drop.missing, &drop.derivation);
        return Some(facts.done(None));
    };
    // What is missing for the drop has its bounds already.
    facts.include(&[], &drop.derivation);
    let lowest = at_supply * (whole() - most);
    let expression = say!("{} − {} at most on the way", fine(at_supply), in_percent(most));
    facts.step(reckoned("U_min", "lowest voltage explained", expression, fine(lowest)));
    Some(facts.done(Some(lowest)))
}

fn whole() -> Ratio {
    Ratio::new::<percent>(100.0)
}

/// The explanation that allows most: the lowest; one that cannot be told may be lower still.
fn lenient(all: impl Iterator<Item = Worked<Voltage>>) -> Option<Worked<Voltage>> {
    all.reduce(|a, b| match (a.value, b.value) {
        (Some(low), Some(other)) => {
            if low <= other {
                a
            } else {
                b
            }
        }
        (None, _) => a,
        (_, None) => b,
    })
}

fn compared(reading: &Reading, read: Voltage, explained: Worked<Voltage>) -> Compared {
    let verdict = match explained.value {
        Some(lowest) if read < lowest => Verdict::FallsShort,
        Some(_) => agrees(),
        None if explained.missing.is_empty() => open_outlets(),
        None => Verdict::CannotTell { missing: explained.missing },
    };
    let message = message(read, explained.value, &verdict);
    let step = surveyed("U", "voltage read", fine(read), &reading.id, "voltage");
    let mut derivation = Derivation::new(vec![step]);
    derivation.include(&explained.derivation);
    Compared {
        at: reading.at.clone(),
        label: "voltage",
        measured: fine(read),
        against: AGAINST,
        computed: explained.value.map(fine),
        figure: None,
        verdict,
        severity: Severity::Warning,
        message,
        derivation,
    }
}

fn open_outlets() -> Verdict {
    Verdict::NotApplicable {
        why: say!("Outlets or lighting with no load entered hang here: no drop can be reckoned."),
    }
}

fn message(read: Voltage, lowest: Option<Voltage>, verdict: &Verdict) -> Said {
    match (verdict, lowest) {
        (Verdict::FallsShort, Some(lowest)) => say!(
            "{} was read here; the supply and the drop on the way explain no less than {}.",
            fine(read),
            fine(lowest)
        ),
        (Verdict::CannotTell { .. }, _) | (_, None) => {
            say!("{} was read here; whether the drop on the way explains it cannot be told.", fine(read))
        }
        (_, Some(lowest)) => {
            say!("{} was read here, no lower than the {} that can be explained.", fine(read), fine(lowest))
        }
    }
}
