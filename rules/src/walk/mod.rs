//! The checklist: what the checks still miss, in the order in which a person meets it from the
//! meter inwards.
//!
//! It is no list written by hand. Each check says which facts it lacks; the walk puts them in
//! order. It is empty exactly when no check is left at
//! [`CannotTell`](crate::finding::Verdict::CannotTell) for a fact that can still be looked at; what
//! was looked for and cannot be seen is listed apart.

mod answer;
mod order;
mod since;

use std::collections::{BTreeMap, BTreeSet, HashMap};

pub use answer::Answer;
pub use order::Place;

use crate::Assessment;
use crate::finding::{Missing, Severity, Verdict};
use crate::survey::place::Place as At;
use crate::survey::questions::{Question, question};
use crate::survey::{Id, ItemKind, Survey, layout};
use order::Order;

/// One question of the walk.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// The item at which it is asked; `site` for the house.
    pub item: Id,
    /// What kind of item it is.
    pub kind: ItemKind,
    /// The fact's name as the checks give it: `size`, `device.rating`, `loads`.
    pub fact: &'static str,
    /// How it is answered.
    pub answer: Answer,
    /// Where a person stands when it is asked.
    pub place: Place,
    /// The checks that wait for it, each once, in the order of their findings.
    pub checks: Vec<&'static str>,
    /// The worst that one of these checks may find.
    pub worst: Severity,
    /// What is asked.
    pub question: Option<&'static Question>,
    /// Whether something stands there already, for which no published table has a figure: it is to be read again.
    pub again: bool,
}

/// How far a place is surveyed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Progress {
    /// The place.
    pub place: Place,
    /// Facts that were answered at its items, known or cannot be seen.
    pub done: usize,
    /// These, and the facts still asked for.
    pub total: usize,
}

/// The checklist of a survey.
#[derive(Debug, Clone, PartialEq)]
pub struct Walk {
    /// What is still to be looked at, in order.
    pub steps: Vec<Step>,
    /// What was looked for and cannot be seen, although checks wait for it, in order.
    pub cannot_be_seen: Vec<Step>,
    /// How far each place is, in the order of the walk; places with nothing asked and nothing known are left out.
    pub progress: Vec<Progress>,
}

impl Walk {
    /// The next question that was not skipped.
    #[must_use]
    pub fn next(&self, skipped: &BTreeSet<(Id, String)>) -> Option<&Step> {
        let is_skipped =
            |step: &Step| skipped.iter().any(|(item, fact)| *item == step.item && *fact == step.fact);
        self.steps.iter().find(|step| !is_skipped(step))
    }
}

/// The checks that wait for one fact.
struct Waiting {
    checks: Vec<&'static str>,
    worst: Severity,
}

/// The walk of a survey and its assessment.
#[must_use]
pub fn walk(survey: &Survey, assessment: &Assessment) -> Walk {
    let order = Order::of(survey);
    // Looked up for every missing fact: a search through the lists each time would take long in a large house.
    let places: HashMap<Id, At> = At::all(survey).into_iter().collect();
    let (mut names, mut fields) = (Names::default(), Fields::default());
    let mut all: Vec<(usize, usize, Step, bool)> = Vec::new();
    // The facts of an item follow each other, so what was looked up last serves all of them.
    for item in waiting(assessment) {
        let Some((first, _)) = item.first() else { continue };
        let (at, rank) = (places.get(&first.item).copied(), order.rank(&first.item));
        let place = order.place(&first.item);
        all.extend(item.into_iter().map(|(missing, waiting)| {
            let place_in_item = at.map_or(usize::MAX, |at| names.number(survey, at, missing.fact));
            let step = step(survey, &place, &mut fields, at.unwrap_or(At::Site), missing, waiting);
            (rank, place_in_item, step, missing.cannot_be_seen)
        }));
    }
    all.sort_by(|a, b| (a.0, a.1, a.2.fact, &a.2.item).cmp(&(b.0, b.1, b.2.fact, &b.2.item)));
    let (unseen, steps): (Vec<_>, Vec<_>) = all.into_iter().partition(|(.., unseen)| *unseen);
    let only_step = |(_, _, step, _)| step;
    let steps: Vec<Step> = steps.into_iter().map(only_step).collect();
    let progress = progress(survey, &order, &steps);
    Walk { steps, cannot_be_seen: unseen.into_iter().map(only_step).collect(), progress }
}

/// What is missing, item by item. An item lacks few facts, so these are searched one by one.
fn waiting(assessment: &Assessment) -> Vec<Vec<(&Missing, Waiting)>> {
    let mut all: Vec<Vec<(&Missing, Waiting)>> = Vec::new();
    let mut number_of: HashMap<&Id, usize> = HashMap::new();
    for finding in &assessment.findings {
        let Verdict::CannotTell { missing } = &finding.verdict else { continue };
        for missing in missing {
            let number = *number_of.entry(&missing.item).or_insert_with(|| {
                all.push(Vec::new());
                all.len() - 1
            });
            let of_item = &mut all[number];
            let known = of_item.iter().position(|(known, _)| {
                known.cannot_be_seen == missing.cannot_be_seen && known.fact == missing.fact
            });
            let at = known.unwrap_or_else(|| {
                of_item.push((missing, Waiting { checks: Vec::new(), worst: finding.severity }));
                of_item.len() - 1
            });
            let waiting = &mut of_item[at].1;
            waiting.worst = waiting.worst.min(finding.severity);
            if !waiting.checks.contains(&finding.check) {
                waiting.checks.push(finding.check);
            }
        }
    }
    all
}

fn step(
    survey: &Survey,
    place: &Place,
    fields: &mut Fields,
    at: At,
    missing: &Missing,
    waiting: Waiting,
) -> Step {
    let answer = Answer::to(survey, at, missing);
    let asked_at = home(survey, at, missing.fact);
    Step {
        item: missing.item.clone(),
        kind: asked_at.kind(),
        fact: missing.fact,
        again: !missing.cannot_be_seen && fields.stands(survey, asked_at, missing.fact),
        answer,
        place: place.clone(),
        checks: waiting.checks,
        worst: waiting.worst,
        question: question(asked_at.kind(), missing.fact),
    }
}

/// Where a fact is kept: of a panel and its bus section with one id, the one that has it.
fn home(survey: &Survey, at: At, fact: &str) -> At {
    match at.twin(survey) {
        Some(twin) if layout::slot(survey, at, fact).is_none() => twin,
        _ => at,
    }
}

/// The fields of an item that was looked at last.
#[derive(Default)]
struct Fields {
    last: Option<(At, &'static str, serde_json::Value)>,
}

impl Fields {
    fn stands(&mut self, survey: &Survey, at: At, fact: &str) -> bool {
        let Some(slot) = layout::slot(survey, at, fact) else { return false };
        let is_last = self.last.as_ref().is_some_and(|(of, top, _)| *of == at && *top == slot.top);
        if !is_last {
            let field = at.record(survey).and_then(|record| record.field(slot.top)).unwrap_or_default();
            self.last = Some((at, slot.top, field));
        }
        let field = self.last.as_ref().map(|(_, _, field)| field);
        field.is_some_and(|field| !slot.value_in(field).is_null()) && slot.is_fact()
    }
}

/// The names of what can be entered at the item that was looked at last, in order.
#[derive(Default)]
struct Names {
    last: Option<(At, Vec<std::borrow::Cow<'static, str>>)>,
}

impl Names {
    /// The fact's place among what is entered at its item; what is no field comes last.
    fn number(&mut self, survey: &Survey, at: At, fact: &str) -> usize {
        if self.last.as_ref().is_none_or(|(of, _)| *of != at) {
            let twin = at.twin(survey).map(|twin| layout::slots(survey, twin)).unwrap_or_default();
            let slots = layout::slots(survey, at).into_iter().chain(twin);
            self.last = Some((at, slots.map(|slot| slot.asked_as()).collect()));
        }
        let names = self.last.as_ref().map_or(&[][..], |(_, names)| names);
        names.iter().position(|name| name == fact).unwrap_or(usize::MAX)
    }
}

fn progress(survey: &Survey, order: &Order, steps: &[Step]) -> Vec<Progress> {
    let mut all: BTreeMap<usize, Progress> = BTreeMap::new();
    let mut count = |id: &Id, done: usize, asked: usize| {
        let place = order.place(id);
        let entry = all.entry(order.place_number(id)).or_insert(Progress { place, done: 0, total: 0 });
        entry.done += done;
        entry.total += done + asked;
    };
    for (id, facts) in answered(survey) {
        count(&id, facts, 0);
    }
    for step in steps {
        // What is read again is counted as answered already.
        count(&step.item, 0, usize::from(!step.again));
    }
    all.into_values().filter(|progress| progress.total > 0).collect()
}

/// How many facts were answered at each item.
fn answered(survey: &Survey) -> Vec<(Id, usize)> {
    let mut all: Vec<(Id, usize)> = Vec::new();
    all.extend(Id::new(crate::survey::place::SITE).map(|id| (id, survey.site.answered())));
    for supply in &survey.supplies {
        let battery = supply.battery.as_ref().map_or(0, |battery| battery.answered());
        let surges: usize = supply.surges.iter().map(|surge| surge.answered()).sum();
        let efficiencies: usize = supply.efficiencies.iter().map(|point| point.answered()).sum();
        let resting: usize = supply.resting_voltages.iter().map(|point| point.answered()).sum();
        let own = supply.answered() + supply.output_device.answered();
        all.push((supply.id.clone(), own + battery + surges + efficiencies + resting));
    }
    for panel in &survey.panels {
        all.push((panel.id.clone(), panel.answered() + panel.main.answered()));
        all.extend(panel.buses.iter().map(|bus| (bus.id.clone(), bus.answered())));
        let ways = panel.ways.iter();
        all.extend(ways.map(|way| (way.id.clone(), way.answered() + way.device.answered())));
    }
    for load in &survey.loads {
        let ratings: usize = load.ratings.iter().map(|rating| rating.answered()).sum();
        all.push((load.id.clone(), load.answered() + ratings));
    }
    macro_rules! add {
        ($($list:ident),+) => {$(
            all.extend(survey.$list.iter().map(|item| (item.id.clone(), item.answered())));
        )+};
    }
    add!(runs, transfers, interlocks, inlets, electrodes);
    all
}

#[cfg(test)]
mod tests;
