//! What the checks say differently.

use std::collections::BTreeMap;

use deadfront_rules::Assessment;
use deadfront_rules::finding::{Finding, Severity, Verdict};
use deadfront_rules::survey::Id;
use serde::Serialize;

/// What a check says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Told {
    /// The verdict's name, as in other answers.
    pub verdict: &'static str,
    /// `DANGER`, `CANNOT TELL`, `meets`.
    pub plate: &'static str,
    /// Its sentence.
    pub message: String,
    /// Its figure against the limit.
    pub figure: Option<String>,
    #[serde(skip)]
    rank: u8,
}

/// A verdict that is another.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct VerdictChange {
    /// The check.
    pub check: &'static str,
    /// The item.
    pub item: Id,
    /// Its name in words.
    pub name: String,
    /// What was said; none where nothing was.
    pub before: Option<Told>,
    /// What is said now; none where nothing is.
    pub after: Option<Told>,
}

impl VerdictChange {
    /// Whether more must be done than before.
    #[must_use]
    pub fn is_worse(&self) -> bool {
        rank(self.after.as_ref()) < rank(self.before.as_ref())
    }
}

/// How bad: 0 is the worst.
fn rank(told: Option<&Told>) -> u8 {
    told.map_or(u8::MAX, |told| told.rank)
}

type Key = (&'static str, Id);

pub(super) fn changes(before: &Assessment, after: &Assessment) -> Vec<VerdictChange> {
    let (old, new) = (by_key(before), by_key(after));
    let mut keys: Vec<&Key> = new.keys().chain(old.keys().filter(|key| !new.contains_key(*key))).collect();
    keys.sort();
    let none = Vec::new();
    let of = |key: &&Key| pairs(old.get(*key).unwrap_or(&none), new.get(*key).unwrap_or(&none));
    let mut changes: Vec<VerdictChange> = keys.iter().flat_map(of).collect();
    changes.sort_by_key(|change| {
        (!change.is_worse(), rank(change.after.as_ref()), rank(change.before.as_ref()))
    });
    changes
}

fn by_key(assessment: &Assessment) -> BTreeMap<Key, Vec<&Finding>> {
    let mut map: BTreeMap<Key, Vec<&Finding>> = BTreeMap::new();
    // What does not apply is said of half the house; it is no verdict.
    let told = |finding: &&Finding| !matches!(finding.verdict, Verdict::NotApplicable { .. });
    for finding in assessment.findings.iter().filter(told) {
        map.entry((finding.check, finding.subject.id.clone())).or_default().push(finding);
    }
    map
}

/// What one check says of one item, before and after: what is said in both is left out, the rest is
/// paired in order.
fn pairs(old: &[&Finding], new: &[&Finding]) -> Vec<VerdictChange> {
    let mut before: Vec<(&Finding, Told)> = old.iter().map(|finding| (*finding, told(finding))).collect();
    let mut after = Vec::new();
    for finding in new {
        let now = told(finding);
        match before.iter().position(|(_, was)| *was == now) {
            Some(at) => drop(before.remove(at)),
            None => after.push((*finding, now)),
        }
    }
    let mut changes = Vec::new();
    for (was, is) in paired(before, after) {
        let Some(finding) = is.as_ref().or(was.as_ref()).map(|(finding, _)| *finding) else { continue };
        let (was, is) = (was.map(|(_, told)| told), is.map(|(_, told)| told));
        if matters(was.as_ref(), is.as_ref()) {
            changes.push(VerdictChange {
                check: finding.check,
                item: finding.subject.id.clone(),
                name: finding.subject.name.to_string(),
                before: was,
                after: is,
            });
        }
    }
    changes
}

type Side<'a> = Option<(&'a Finding, Told)>;

/// Joins what is judged by the same limit first, the rest in order: a check may hold an item to
/// several limits.
fn paired<'a>(
    mut before: Vec<(&'a Finding, Told)>,
    after: Vec<(&'a Finding, Told)>,
) -> Vec<(Side<'a>, Side<'a>)> {
    let mut pairs: Vec<(Side<'a>, Side<'a>)> = Vec::new();
    for is in after {
        let same = before.iter().position(|(was, _)| was.limit.is_some() && was.limit == is.0.limit);
        pairs.push((same.map(|at| before.remove(at)), Some(is)));
    }
    let mut rest = before.into_iter();
    for (was, _) in pairs.iter_mut().filter(|(was, _)| was.is_none()) {
        *was = rest.next();
    }
    pairs.extend(rest.map(|was| (Some(was), None)));
    pairs
}

/// Whether a person wants to read it: not what meets and goes on, comes or goes doing so.
fn matters(before: Option<&Told>, after: Option<&Told>) -> bool {
    let open = |told: Option<&Told>| told.is_some_and(|told| told.verdict != "meets");
    open(before) || open(after)
}

fn told(finding: &Finding) -> Told {
    let (plate, rank) = match (&finding.verdict, finding.severity) {
        (Verdict::FallsShort, Severity::Danger) => (finding.severity.signal_word(), 0),
        (Verdict::FallsShort, Severity::Warning) => (finding.severity.signal_word(), 1),
        (Verdict::FallsShort, Severity::Caution) => (finding.severity.signal_word(), 3),
        (Verdict::FallsShort, Severity::Notice) => (finding.severity.signal_word(), 4),
        // As prominent as a failure: it may turn out to be any of them.
        (Verdict::CannotTell { .. }, _) => ("CANNOT TELL", 2),
        (Verdict::Meets, _) => ("meets", 5),
        (Verdict::NotApplicable { .. }, _) => ("does not apply", 6),
    };
    Told {
        verdict: finding.verdict.name(),
        plate,
        message: finding.message.to_string(),
        figure: finding.figure_line(),
        rank,
    }
}
