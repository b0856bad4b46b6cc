//! The one entrance: a survey goes in, its assessment comes out.

use serde::Serialize;

use crate::checks::registry;
use crate::finding::{Finding, Missing, Severity, Verdict};
use crate::house::House;
use crate::say;
use crate::survey::{ItemKind, Survey};

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
    findings.iter_mut().for_each(read_again);
    // Stable: within one rank the registry's and the survey's order stay.
    findings.sort_by_key(rank);
    let counts = Counts::of(&findings);
    Assessment { findings, counts }
}

/// Where every fact is known and no table prints a figure for them (a size that is not made, an
/// aluminium wire of 14 AWG), what was entered must be read again: else nobody would know what to do
/// about a check that cannot tell.
fn read_again(finding: &mut Finding) {
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
    missing.push(Missing { item: finding.subject.id.clone(), fact, cannot_be_seen: false });
    finding.next_step = say!(
        "Read again what was entered here: no published table has a figure for it. If it stands, let a licensed electrician judge it."
    );
}

fn rank(finding: &Finding) -> u8 {
    match (&finding.verdict, finding.severity) {
        (Verdict::FallsShort, severity) => severity as u8,
        (Verdict::CannotTell { .. }, _) => 10,
        (Verdict::Meets, _) => 11,
        (Verdict::NotApplicable { .. }, _) => 12,
    }
}
