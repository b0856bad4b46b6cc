//! The order in which a person meets the items of a house, from the meter inwards.

use std::collections::{HashMap, VecDeque};

use crate::house::{Index, Item};
use crate::survey::place::SITE;
use crate::survey::{Id, SupplyKind, Survey};

/// Where a person stands.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Place {
    /// The house as a whole.
    House,
    /// At the meter: the utility and what it feeds up to the first panel.
    Meter,
    /// At a panel, with its ways and what they feed up to the next panel.
    Panel(Id),
    /// At transfer switches, interlocks and inlets.
    Transfers,
    /// At the other supplies and their batteries.
    Supplies,
    /// At what nothing feeds.
    Elsewhere,
    /// At the electrodes.
    Electrodes,
}

/// The rank of each item and its place.
pub(super) struct Order {
    ranks: HashMap<Id, (usize, usize)>,
    places: Vec<Place>,
}

impl Order {
    pub(super) fn of(survey: &Survey) -> Self {
        let mut path = Path::new(survey);
        path.start(Place::House);
        if let Some(site) = Id::new(SITE) {
            path.meet(&site);
        }
        path.start(Place::Meter);
        path.supplies(true);
        path.panels();
        path.start(Place::Transfers);
        path.transfers();
        path.panels();
        path.start(Place::Supplies);
        path.supplies(false);
        path.panels();
        path.rest();
        Self { ranks: path.ranks, places: path.places }
    }

    /// Its number on the way; an item that is not in the survey comes last.
    pub(super) fn rank(&self, id: &Id) -> usize {
        self.ranks.get(id).map_or(usize::MAX, |(rank, _)| *rank)
    }

    pub(super) fn place_number(&self, id: &Id) -> usize {
        self.ranks.get(id).map_or(usize::MAX, |(_, place)| *place)
    }

    pub(super) fn place(&self, id: &Id) -> Place {
        self.places.get(self.place_number(id)).cloned().unwrap_or(Place::Elsewhere)
    }
}

struct Path<'a> {
    survey: &'a Survey,
    index: Index<'a>,
    /// Runs by where they begin.
    runs_from: HashMap<&'a str, Vec<usize>>,
    loads_on: HashMap<&'a str, Vec<usize>>,
    ranks: HashMap<Id, (usize, usize)>,
    places: Vec<Place>,
    /// Panels still to be visited.
    waiting: VecDeque<usize>,
}

impl<'a> Path<'a> {
    fn new(survey: &'a Survey) -> Self {
        let mut runs_from: HashMap<&str, Vec<usize>> = HashMap::new();
        for (at, run) in survey.runs.iter().enumerate() {
            for from in [Some(&run.from), run.also_from.as_ref()].into_iter().flatten() {
                runs_from.entry(from.as_str()).or_default().push(at);
            }
        }
        let mut loads_on: HashMap<&str, Vec<usize>> = HashMap::new();
        for (at, load) in survey.loads.iter().enumerate() {
            loads_on.entry(load.on.as_str()).or_default().push(at);
        }
        Self {
            survey,
            index: Index::of(survey),
            runs_from,
            loads_on,
            ranks: HashMap::new(),
            places: Vec::new(),
            waiting: VecDeque::new(),
        }
    }

    fn start(&mut self, place: Place) {
        self.places.push(place);
    }

    /// Whether it is met for the first time.
    fn meet(&mut self, id: &Id) -> bool {
        if self.ranks.contains_key(id) {
            return false;
        }
        let here = (self.ranks.len(), self.places.len().saturating_sub(1));
        self.ranks.insert(id.clone(), here);
        true
    }

    fn supplies(&mut self, utilities: bool) {
        let survey = self.survey;
        for supply in survey.supplies.iter().filter(|it| (it.kind == SupplyKind::Utility) == utilities) {
            self.meet(&supply.id);
            self.runs_of(&supply.id);
        }
    }

    /// The runs that begin at an item, each with its loads and with what begins at its end.
    fn runs_of(&mut self, id: &Id) {
        let survey = self.survey;
        let mut stack = self.begun(id);
        while let Some(run) = stack.pop() {
            let run = &survey.runs[run];
            if !self.meet(&run.id) {
                continue;
            }
            for load in self.loads_on.get(run.id.as_str()).cloned().unwrap_or_default() {
                self.meet(&survey.loads[load].id);
            }
            stack.extend(self.begun(&run.id));
            if let Some(to) = &run.to {
                stack.extend(self.beyond(to));
            }
        }
    }

    /// The runs that begin at an item, last first.
    fn begun(&self, id: &Id) -> Vec<usize> {
        let mut runs = self.runs_from.get(id.as_str()).cloned().unwrap_or_default();
        runs.reverse();
        runs
    }

    /// What lies behind the end of a run: a panel waits; a switch or inlet is passed.
    fn beyond(&mut self, to: &Id) -> Vec<usize> {
        match self.index.get(to) {
            Some(Item::Panel(panel) | Item::Way(panel, _)) => {
                self.waiting.push_back(panel);
                Vec::new()
            }
            Some(Item::Position(transfer, _)) => self.begun(&self.survey.transfers[transfer].id),
            Some(Item::Inlet(_)) => self.begun(to),
            _ => Vec::new(),
        }
    }

    /// Every panel that waits, and those behind it.
    fn panels(&mut self) {
        while let Some(panel) = self.waiting.pop_front() {
            self.panel(panel);
        }
    }

    fn panel(&mut self, at: usize) {
        let panel = &self.survey.panels[at];
        if self.ranks.contains_key(&panel.id) {
            return;
        }
        self.start(Place::Panel(panel.id.clone()));
        self.meet(&panel.id);
        for bus in &panel.buses {
            self.meet(&bus.id);
        }
        let mut ways: Vec<_> = panel.ways.iter().collect();
        // Stable: ways without a number come last, in the order of the file.
        ways.sort_by_key(|way| (way.spaces.iter().min().copied().unwrap_or(u16::MAX), way.half));
        for way in ways {
            self.meet(&way.id);
            self.runs_of(&way.id);
        }
        self.runs_of(&panel.id);
    }

    fn transfers(&mut self) {
        let survey = self.survey;
        for transfer in &survey.transfers {
            self.meet(&transfer.id);
            for position in &transfer.positions {
                self.meet(&position.id);
            }
            self.runs_of(&transfer.id);
        }
        for interlock in &survey.interlocks {
            self.meet(&interlock.id);
        }
        for inlet in &survey.inlets {
            self.meet(&inlet.id);
            self.runs_of(&inlet.id);
        }
    }

    /// What nothing feeds, then the electrodes.
    fn rest(&mut self) {
        let survey = self.survey;
        for panel in 0..survey.panels.len() {
            self.waiting.push_back(panel);
            self.panels();
        }
        self.start(Place::Elsewhere);
        for run in &survey.runs {
            self.meet(&run.id);
        }
        for load in &survey.loads {
            self.meet(&load.id);
        }
        self.start(Place::Electrodes);
        for electrode in &survey.electrodes {
            self.meet(&electrode.id);
        }
    }
}
