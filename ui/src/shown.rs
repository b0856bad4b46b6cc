//! The survey that is shown, its assessment, and what hangs on what in it.

use std::cell::{OnceCell, RefCell};
use std::collections::{HashMap, HashSet};
use std::rc::Rc;
use std::sync::Arc;

use deadfront_rules::Assessment;
use deadfront_rules::capacity;
use deadfront_rules::drawing::{About, about};
use deadfront_rules::finding::{Finding, Verdict};
use deadfront_rules::house::{House, Index, Item, describe};
use deadfront_rules::isolation;
use deadfront_rules::survey::{Id, ItemKind, Survey};
use deadfront_rules::walk::{Step, Walk, walk};

use crate::Mark;

/// Outages that are simulated, and their seed: the same survey gives the same page.
const OUTAGES: u32 = 1000;
const SEED: u64 = 1;

/// A survey with its assessment, indexed once for every row that is drawn of it.
pub(crate) struct Shown {
    pub(crate) survey: Arc<Survey>,
    pub(crate) assessment: Arc<Assessment>,
    items: HashMap<Id, Item>,
    findings: HashMap<Id, Vec<usize>>,
    runs: HashMap<Id, Vec<usize>>,
    loads: HashMap<Id, Vec<usize>>,
    about: About,
    changed: HashSet<usize>,
    gone: usize,
    /// The walk, once somebody has asked for it, or as it came with the checks.
    walk: OnceCell<Arc<Walk>>,
    /// The survey that verdicts and walk belong to, while the checks of this one are still under way.
    checked: Option<Arc<Survey>>,
    /// What the Isolation and the Capacity places stand on, once somebody has come there.
    isolation: RefCell<Option<Rc<isolation::Overview>>>,
    capacity: RefCell<Option<Rc<capacity::Overview>>>,
}

/// What tells two findings apart: check, item, mark.
type Fingerprint<'a> = (&'static str, &'a str, Mark);

fn fingerprint(finding: &Finding) -> Fingerprint<'_> {
    (finding.check, finding.subject.id.as_str(), Mark::of(finding))
}

impl Shown {
    /// Indexes a survey; `before` is the assessment that the last edit started from.
    pub(crate) fn of(survey: Arc<Survey>, assessment: Arc<Assessment>, before: Option<&Assessment>) -> Self {
        let mut findings: HashMap<Id, Vec<usize>> = HashMap::new();
        for (at, finding) in assessment.findings.iter().enumerate() {
            findings.entry(finding.subject.id.clone()).or_default().push(at);
        }
        let (changed, gone) = before.map_or_else(Default::default, |before| changes(before, &assessment));
        Self {
            items: items(&survey),
            runs: runs(&survey),
            loads: loads(&survey),
            about: about(&survey),
            findings,
            changed,
            gone,
            survey,
            assessment,
            walk: OnceCell::new(),
            checked: None,
            isolation: RefCell::default(),
            capacity: RefCell::default(),
        }
    }

    /// A survey after an edit, with the verdicts and the walk of the last one till its own are there.
    pub(crate) fn unchecked(survey: Arc<Survey>, last: &Self) -> Self {
        let shown = Self::of(survey, Arc::clone(&last.assessment), None);
        let checked = Some(Arc::clone(last.checked.as_ref().unwrap_or(&last.survey)));
        Self { checked, ..shown.with_walk(last.walk.get().cloned()) }
    }

    /// The same with a walk that was made beside the window.
    pub(crate) fn with_walk(mut self, walk: Option<Arc<Walk>>) -> Self {
        self.walk = walk.map(OnceCell::from).unwrap_or_default();
        self
    }

    /// What is still to be asked.
    pub(crate) fn walk(&self) -> &Walk {
        self.walk.get_or_init(|| Arc::new(walk(&self.survey, &self.assessment)))
    }

    /// Whether an edit whose checks are still under way has answered a question of the walk.
    pub(crate) fn is_answered(&self, step: &Step) -> bool {
        self.checked.as_ref().is_some_and(|checked| step.is_answered_since(checked, &self.survey))
    }

    /// Every mode of the house and how near its sources come.
    pub(crate) fn isolation(&self, house: &House<'_>) -> Rc<isolation::Overview> {
        let known = self.isolation.borrow().clone();
        known.unwrap_or_else(|| {
            let overview = Rc::new(isolation::overview(house));
            self.isolation.replace(Some(Rc::clone(&overview)));
            overview
        })
    }

    /// What the supplies carry.
    pub(crate) fn capacity(&self, house: &House<'_>) -> Rc<capacity::Overview> {
        let known = self.capacity.borrow().clone();
        known.unwrap_or_else(|| {
            let overview = Rc::new(capacity::overview(house, OUTAGES, SEED));
            self.capacity.replace(Some(Rc::clone(&overview)));
            overview
        })
    }

    /// Another language is spoken: what has names of things in it is made again.
    pub(crate) fn forget_overviews(&self) {
        self.isolation.take();
        self.capacity.take();
    }

    pub(crate) fn item(&self, id: &Id) -> Option<Item> {
        self.items.get(id).copied()
    }

    /// The findings about an item, worst first.
    pub(crate) fn findings_of(&self, id: &Id) -> impl Iterator<Item = usize> + '_ {
        self.findings.get(id).into_iter().flatten().copied().filter(|at| is_shown(self.finding(*at)))
    }

    pub(crate) fn finding(&self, at: usize) -> &Finding {
        &self.assessment.findings[at]
    }

    /// The worst mark among the findings about an item.
    pub(crate) fn worst_of(&self, id: &Id) -> Option<Mark> {
        self.findings_of(id).map(|at| Mark::of(self.finding(at))).min()
    }

    /// The worst mark of a way or panel and all that it stands for, as the drawings show it.
    pub(crate) fn whole_mark(&self, id: &Id) -> Option<Mark> {
        self.about.get(id)?.iter().filter_map(|item| self.worst_of(item)).min()
    }

    /// The runs that begin or end at an item.
    pub(crate) fn runs_at(&self, id: &Id) -> &[usize] {
        self.runs.get(id).map_or(&[], Vec::as_slice)
    }

    /// The loads on a run.
    pub(crate) fn loads_on(&self, id: &Id) -> &[usize] {
        self.loads.get(id).map_or(&[], Vec::as_slice)
    }

    /// The findings that the last edit changed or brought.
    pub(crate) fn changed(&self) -> &HashSet<usize> {
        &self.changed
    }

    /// How many findings the last edit took away.
    pub(crate) fn gone(&self) -> usize {
        self.gone
    }

    /// Kind and name of an item in words.
    pub(crate) fn described(&self, id: &Id) -> (ItemKind, String) {
        describe(&self.survey, &Index::of(&self.survey), id)
    }
}

/// What does not apply is not listed.
pub(crate) fn is_shown(finding: &Finding) -> bool {
    !matches!(finding.verdict, Verdict::NotApplicable { .. })
}

fn changes(before: &Assessment, now: &Assessment) -> (HashSet<usize>, usize) {
    let mut old: HashMap<Fingerprint<'_>, usize> = HashMap::new();
    for finding in before.findings.iter().filter(|finding| is_shown(finding)) {
        *old.entry(fingerprint(finding)).or_default() += 1;
    }
    let mut changed = HashSet::new();
    for (at, finding) in now.findings.iter().enumerate().filter(|(_, finding)| is_shown(finding)) {
        match old.get_mut(&fingerprint(finding)) {
            Some(count) if *count > 0 => *count -= 1,
            _ => {
                changed.insert(at);
            }
        }
    }
    (changed, old.values().sum())
}

fn items(survey: &Survey) -> HashMap<Id, Item> {
    let mut items = HashMap::new();
    macro_rules! index {
        ($($list:ident: $kind:ident),+) => {$(
            for (at, item) in survey.$list.iter().enumerate() {
                items.insert(item.id.clone(), Item::$kind(at));
            }
        )+};
    }
    index!(supplies: Supply, runs: Run, loads: Load, interlocks: Interlock, inlets: Inlet, modes: Mode, electrodes: Electrode);
    for (at, panel) in survey.panels.iter().enumerate() {
        items.extend(panel.buses.iter().enumerate().map(|(bus, item)| (item.id.clone(), Item::Bus(at, bus))));
        items.extend(panel.ways.iter().enumerate().map(|(way, item)| (item.id.clone(), Item::Way(at, way))));
        items.insert(panel.id.clone(), Item::Panel(at));
    }
    for (at, transfer) in survey.transfers.iter().enumerate() {
        let positions = transfer.positions.iter().enumerate();
        items.extend(positions.map(|(position, item)| (item.id.clone(), Item::Position(at, position))));
        items.insert(transfer.id.clone(), Item::Transfer(at));
    }
    items
}

fn runs(survey: &Survey) -> HashMap<Id, Vec<usize>> {
    let mut runs: HashMap<Id, Vec<usize>> = HashMap::new();
    for (at, run) in survey.runs.iter().enumerate() {
        for end in [Some(&run.from), run.also_from.as_ref(), run.to.as_ref()].into_iter().flatten() {
            runs.entry(end.clone()).or_default().push(at);
        }
    }
    runs
}

fn loads(survey: &Survey) -> HashMap<Id, Vec<usize>> {
    let mut loads: HashMap<Id, Vec<usize>> = HashMap::new();
    for (at, load) in survey.loads.iter().enumerate() {
        loads.entry(load.on.clone()).or_default().push(at);
    }
    loads
}
