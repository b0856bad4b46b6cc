//! The one entrance: a survey goes in, its assessment comes out.

mod causes;
mod doubt;
mod tie_in;

pub use tie_in::{TieIn, is_about_meeting};

use std::collections::HashSet;

use serde::Serialize;

use crate::checks::registry;
use crate::finding::{Binding, Finding, Missing, Severity, Verdict};
use crate::house::House;
use crate::say;
use crate::survey::place::Place;
use crate::survey::{CANNOT_BE_SEEN, Id, ItemKind, Survey, layout};

/// How many findings there are of each kind. Severities count what falls short.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct Counts {
    /// Falls short, signal word DANGER.
    pub danger: usize,
    /// Falls short, signal word WARNING.
    pub warning: usize,
    /// Falls short, signal word CAUTION.
    pub caution: usize,
    /// Falls short, signal word NOTICE.
    pub notice: usize,
    /// Cannot be told.
    pub cannot_tell: usize,
    /// Meets.
    pub meets: usize,
}

impl Counts {
    fn of(findings: &[Finding]) -> Self {
        let mut counts = Self::default();
        for finding in findings {
            match (&finding.verdict, finding.severity) {
                (Verdict::FallsShort, Severity::Danger) => counts.danger += 1,
                (Verdict::FallsShort, Severity::Warning) => counts.warning += 1,
                (Verdict::FallsShort, Severity::Caution) => counts.caution += 1,
                (Verdict::FallsShort, Severity::Notice) => counts.notice += 1,
                (Verdict::CannotTell { .. }, _) => counts.cannot_tell += 1,
                (Verdict::Meets, _) => counts.meets += 1,
                (Verdict::NotApplicable { .. }, _) => {}
            }
        }
        counts
    }

    /// How many findings ask for action.
    #[must_use]
    pub fn open(&self) -> usize {
        self.danger + self.warning + self.caution + self.notice + self.cannot_tell
    }
}

/// Everything the checks say about a survey.
#[derive(Debug, Clone, PartialEq)]
pub struct Assessment {
    /// The findings: what falls short first by severity, then what cannot be told, then what
    /// meets, then what does not apply; within each by check and item.
    pub findings: Vec<Finding>,
    /// How many there are of each kind.
    pub counts: Counts,
}

impl Assessment {
    /// What falls short or cannot be told.
    pub fn open(&self) -> impl Iterator<Item = &Finding> {
        self.findings.iter().filter(|finding| finding.is_open())
    }

    /// What meets, of items at which nothing of the same check is open: of several answers about one
    /// item (its several sources, its several limits) the worst is the answer, and of an open pair
    /// neither is met.
    pub fn met(&self) -> impl Iterator<Item = &Finding> {
        let open = self.open().flat_map(|finding| {
            let about = std::iter::once(&finding.subject.id).chain(&finding.beside);
            about.map(|item| (finding.check, item))
        });
        let open: HashSet<(&str, &Id)> = open.collect();
        let met = self.findings.iter().filter(|finding| finding.verdict == Verdict::Meets);
        met.filter(move |finding| !open.contains(&(finding.check, &finding.subject.id)))
    }

    /// Facts that are missing for some check, each once, with the number of findings that wait
    /// for it; those that most wait for come first.
    #[must_use]
    pub fn missing(&self) -> Vec<(Missing, usize)> {
        let mut all: Vec<&Missing> = self.findings.iter().flat_map(Finding::missing).collect();
        all.sort();
        let mut counted: Vec<(Missing, usize)> = Vec::new();
        for missing in all {
            match counted.last_mut() {
                Some((last, count)) if last == missing => *count += 1,
                _ => counted.push((missing.clone(), 1)),
            }
        }
        counted.sort_by(|a, b| b.1.cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
        counted
    }
}

/// Checks a survey.
#[must_use]
pub fn assess(survey: &Survey) -> Assessment {
    let house = House::new(survey);
    let mut findings = Vec::new();
    for check in registry() {
        (check.find)(&house, &mut findings);
    }
    findings.iter_mut().for_each(|finding| read_again(survey, finding));
    doubt::take_back(&house, &mut findings);
    causes::tell(&house, &mut findings);
    findings.iter_mut().filter(|finding| is_planned(&house, finding)).for_each(call_new_work);
    // Stable: within one rank the registry's and the survey's order stay.
    findings.sort_by_key(rank);
    let counts = Counts::of(&findings);
    Assessment { findings, counts }
}

/// Where every fact is known and no table prints a figure for them (a size that is not made, an
/// aluminium wire of 14 AWG), what was entered must be read again: else nobody would know what to do
/// about a check that cannot tell.
fn read_again(survey: &Survey, finding: &mut Finding) {
    let Verdict::CannotTell { missing } = &mut finding.verdict else { return };
    if !missing.is_empty() {
        return;
    }
    let fact = match finding.subject.kind {
        ItemKind::Run => "size",
        ItemKind::Way => "device.rating",
        ItemKind::Panel => "main.rating",
        ItemKind::Bus => "rating",
        ItemKind::Load => "voltage",
        _ => "kind",
    };
    let item = finding.subject.id.clone();
    let cannot_be_seen = was_looked_for(survey, &item, fact);
    missing.push(Missing { item, fact, cannot_be_seen });
    finding.next_step = say!(
        "Read again what was entered here: no published table has a figure for it. If it stands, let a licensed electrician judge it."
    );
}

/// Whether somebody said of a fact that it cannot be seen.
fn was_looked_for(survey: &Survey, item: &Id, fact: &str) -> bool {
    let Some(place) = Place::find(survey, item) else { return false };
    let value = layout::slot(survey, place, fact).and_then(|slot| {
        let field = place.record(survey)?.field(slot.top)?;
        Some(slot.value_in(&field) == CANNOT_BE_SEEN)
    });
    value.unwrap_or(false)
}

/// Whether a finding is about a run that is planned, not built.
fn is_planned(house: &House<'_>, finding: &Finding) -> bool {
    let run = match finding.subject.kind {
        ItemKind::Run => house.run_number(&finding.subject.id),
        _ => None,
    };
    run.is_some_and(|run| house.survey.runs[run].planned)
}

/// What is still to be built must keep the clause in full, whatever is said of old work.
fn call_new_work(finding: &mut Finding) {
    finding.binding = Binding::Planned;
}

fn rank(finding: &Finding) -> u8 {
    match (&finding.verdict, finding.severity) {
        (Verdict::FallsShort, severity) => severity as u8,
        (Verdict::CannotTell { .. }, _) => 10,
        (Verdict::Meets, _) => 11,
        (Verdict::NotApplicable { .. }, _) => 12,
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;
    use crate::fixture::{one_circuit, survey, with};

    /// A battery inverter that is one slip from the street and far from the generator meets nothing there.
    #[test]
    fn what_meets_for_one_source_only_is_not_met() {
        let found = |second: Verdict| {
            let mut findings = assess(&survey(&one_circuit())).findings;
            findings.truncate(2);
            for (finding, verdict) in findings.iter_mut().zip([Verdict::Meets, second]) {
                finding.check = "sources_one_slip_apart";
                finding.subject.id = Id::new("S2").unwrap();
                finding.verdict = verdict;
            }
            let counts = Counts::of(&findings);
            Assessment { findings, counts }.met().count()
        };
        assert_eq!(found(Verdict::Meets), 2);
        assert_eq!(found(Verdict::FallsShort), 0);
        assert_eq!(found(Verdict::CannotTell { missing: Vec::new() }), 0);
        assert_eq!(found(Verdict::NotApplicable { why: say!("") }), 1);
    }

    /// An inverter that is apart from the street and one slip from the generator: neither is met.
    #[test]
    fn neither_of_an_open_pair_is_met() {
        let found = |second: Verdict| {
            let mut findings = assess(&survey(&one_circuit())).findings;
            findings.truncate(2);
            let pairs = [("S2", "S1", Verdict::Meets), ("S4", "S2", second)];
            for (finding, (item, other, verdict)) in findings.iter_mut().zip(pairs) {
                finding.check = "sources_one_slip_apart";
                finding.subject.id = Id::new(item).unwrap();
                finding.beside = Id::new(other);
                finding.verdict = verdict;
            }
            let counts = Counts::of(&findings);
            Assessment { findings, counts }.met().count()
        };
        assert_eq!(found(Verdict::Meets), 2);
        assert_eq!(found(Verdict::FallsShort), 0);
    }

    #[test]
    fn what_is_planned_is_new_work() {
        let bindings = |planned: bool| {
            let found =
                assess(&survey(&with(one_circuit(), &[("/runs/1/planned", json!(planned))]))).findings;
            let about = |item: &'static str| {
                let of_item = found.iter().filter(move |finding| finding.subject.id.as_str() == item);
                of_item.map(|finding| finding.binding).collect::<Vec<_>>()
            };
            (about("R"), about("RS"))
        };
        let (run, service) = bindings(true);
        assert!(run.len() > 5 && run.iter().all(|binding| *binding == Binding::Planned));
        assert!(run[0].sentence().contains("applies in full"));
        assert!(!service.is_empty() && !service.contains(&Binding::Planned));
        assert!(!bindings(false).0.contains(&Binding::Planned));
    }
}
