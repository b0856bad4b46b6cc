//! The demand of a place by every method that applies, against what the place may carry. The
//! methods are alternatives: one that is kept is enough, all must fail to fall short.

use super::dwelling::Dwelling;
use super::gather::{Gathered, gather};
use super::limit::limit_of;
use super::measured::{Measured, measured};
use super::neutral::neutral_demand;
use super::place::Place;
use super::sheet::{Method, Worksheet};
use super::{existing, optional, standard};
use crate::calc::entered_demand::is_recorded;
use crate::calc::voltage::system_voltage;
use crate::finding::{Arg, Facts, Missing, Said, Verdict, Worked};
use crate::house::{House, site_id};
use crate::network::Link;
use crate::say;
use crate::si::{Area, Current, Power, Voltage, ampere, square_foot};
use crate::survey::Circuit;
use crate::tables::us::{DemandId, demand};

/// What one method says of a place.
#[derive(Debug, Clone, PartialEq)]
pub struct ByMethod {
    /// The worksheet; while facts are missing the least that the demand can be. While only the floor area
    /// is missing and that of the whole house fits, with that.
    pub sheet: Worksheet,
    /// What was taken for a floor area that is not entered.
    pub area: Option<AreaTaken>,
    /// What the worksheet lacks, whatever the verdict: while anything is, it shows the least.
    pub lacks: Vec<Missing>,
    /// How it compares with the limit.
    pub verdict: Verdict,
}

/// What a worksheet takes for the floor area that a place lights, where that is not entered. General lighting
/// of a feeder is part of that of the house: the area of the whole house is the most that it can be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum AreaTaken {
    /// That of the whole house [area].
    Whole(Area),
    /// None; with that of the whole house the demand would be so large.
    LeftOut(Area, Current),
}

impl AreaTaken {
    /// In words.
    #[must_use]
    pub fn words(self) -> Said {
        let square_feet = |area: Area| Arg::Quantity(area.get::<square_foot>(), 0, "ft²");
        match self {
            Self::Whole(area) => say!(
                "The floor area that it lights is not entered: the {} of the whole house stand here, the most that it can be.",
                square_feet(area)
            ),
            Self::LeftOut(area, current) => say!(
                "The floor area that it lights is not entered: no general lighting stands here. With the {} of the whole house it would be {}.",
                square_feet(area),
                current
            ),
        }
    }
}

/// The demand of a place against what it may carry.
#[derive(Debug, Clone, PartialEq)]
pub struct Assessed {
    /// The place.
    pub place: Place,
    /// By each method that applies, the standard one first; none while the voltage is unknown.
    pub methods: Vec<ByMethod>,
    /// What it may carry.
    pub limit: Worked<Current>,
    /// The neutral's load [VA] and current, where there is a neutral; with the floor area of the worksheet that
    /// is shown.
    pub neutral: Option<(Power, Current)>,
    /// Whether a fact is missing for the neutral: these figures are then the least that they can be.
    pub neutral_is_least: bool,
    /// The verdict of all methods together.
    pub verdict: Verdict,
}

impl Assessed {
    /// The method to show: one that is kept, or the one that asks for least.
    #[must_use]
    pub fn shown(&self) -> Option<&ByMethod> {
        let alike = self.methods.iter().filter(|method| method.verdict.name() == self.verdict.name());
        alike.min_by(|a, b| a.sheet.total.value.total_cmp(&b.sheet.total.value))
    }

    /// Every method, the one to show first.
    pub fn in_order(&self) -> impl Iterator<Item = &ByMethod> {
        let first = self.shown().map(|by| by.sheet.method);
        let others = self.methods.iter().filter(move |by| Some(by.sheet.method) != first);
        self.shown().into_iter().chain(others)
    }

    /// What this method says, if it applies.
    #[must_use]
    pub fn by(&self, method: Method) -> Option<&ByMethod> {
        self.methods.iter().find(|by| by.sheet.method == method)
    }
}

/// Works out the demand of a place.
#[must_use]
pub fn assessed(house: &House<'_>, place: &Place) -> Assessed {
    let limit = limit_of(house, place);
    let gathered = gather(house, place);
    let mut facts = Facts::new();
    let line = line_of(house, place, &mut facts);
    let unknown = facts.done(Some(())).missing;
    let Some(line) = line else {
        let missing = joined(&[&unknown, &gathered.missing, &limit.missing]);
        let verdict = Verdict::CannotTell { missing };
        return Assessed {
            place: place.clone(),
            methods: Vec::new(),
            limit,
            neutral: None,
            neutral_is_least: true,
            verdict,
        };
    };
    let question = Question { house, place, gathered: &gathered, limit: &limit, line, unknown: &unknown };
    let methods = question.methods();
    let verdict = together(&methods);
    let mut found =
        Assessed { place: place.clone(), methods, limit, neutral: None, neutral_is_least: true, verdict };
    let whole_area = found.shown().and_then(|by| match by.area {
        Some(AreaTaken::Whole(area)) => Some(area),
        _ => None,
    });
    let area_known = whole_area.is_some() || gathered.missing_area.is_none();
    found.neutral_is_least = !(area_known && gathered.missing.is_empty());
    let floor_area = whole_area.unwrap_or(gathered.dwelling.floor_area);
    let dwelling = Dwelling { floor_area, ..gathered.dwelling.clone() };
    found.neutral = line.has_neutral.then(|| neutral_demand(&dwelling, line.voltage));
    found
}

/// The circuit that feeds a place.
#[derive(Clone, Copy)]
struct Line {
    voltage: Voltage,
    has_neutral: bool,
    three_wire: bool,
}

fn line_of(house: &House<'_>, place: &Place, facts: &mut Facts) -> Option<Line> {
    let root = house.feeds.root(place.node)?;
    let system = facts.take(system_voltage(&house.survey.supplies[root]));
    let circuit = match nearest_run(house, place) {
        Some(run) => {
            let run = &house.survey.runs[run];
            Some(facts.need(&run.circuit, &run.id, "circuit")?)
        }
        None => None,
    };
    let system = system?;
    let three_wire = circuit == Some(Circuit::TwoHotsNeutral) && system.between_hots.is_some();
    let has_neutral = circuit != Some(Circuit::TwoHots) && system.to_neutral.is_some();
    let pair = if circuit == Some(Circuit::HotNeutral) { None } else { system.between_hots };
    let voltage = pair.or(system.to_neutral)?;
    Some(Line { voltage, has_neutral, three_wire })
}

/// The run through which a place is fed.
fn nearest_run(house: &House<'_>, place: &Place) -> Option<usize> {
    let mut node = place.node;
    while let Some(edge) = house.feeds.up_edge(node) {
        let edge = house.network.edge(edge);
        if let Link::Run(run) = edge.link {
            return Some(run);
        }
        node = edge.other(node);
    }
    None
}

struct Question<'a> {
    house: &'a House<'a>,
    place: &'a Place,
    gathered: &'a Gathered,
    limit: &'a Worked<Current>,
    line: Line,
    unknown: &'a [Missing],
}

impl Question<'_> {
    fn methods(&self) -> Vec<ByMethod> {
        let mut methods = vec![self.by(standard, None)];
        let one_family = &self.house.survey.site.one_family;
        if self.place.whole && self.line.three_wire && one_family.get() != Some(false) {
            let missing = one_family.known().is_none().then(|| Missing {
                item: site_id(),
                fact: "one_family",
                cannot_be_seen: *one_family == crate::survey::Fact::CannotBeSeen,
            });
            if self.is_large_enough() {
                methods.push(self.by(optional, missing.clone()));
            }
            methods.push(self.by(existing, missing));
        }
        methods.extend(self.by_measurement());
        methods
    }

    /// 220.82 is for 100 A and more.
    fn is_large_enough(&self) -> bool {
        let least = demand(DemandId::OptionalFrom).value.value;
        self.limit.value.is_none_or(|limit| limit.get::<ampere>() >= least)
    }

    fn by(&self, method: impl Fn(&Dwelling, Voltage) -> Worksheet, missing: Option<Missing>) -> ByMethod {
        let gathered = self.gathered;
        let least = method(&gathered.dwelling, self.line.voltage);
        // With the largest area that its lighting can belong to it may still fit.
        let most = gathered.most_area.map(|area| {
            let dwelling = Dwelling { floor_area: area, ..gathered.dwelling.clone() };
            (area, method(&dwelling, self.line.voltage))
        });
        let left_out = most.as_ref().map(|(area, sheet)| AreaTaken::LeftOut(*area, sheet.current));
        let within = |sheet: &Worksheet| self.limit.value.is_some_and(|limit| !exceeds(sheet.current, limit));
        let fitting = most.filter(|(_, sheet)| within(sheet));
        let area = gathered.missing_area.as_ref().filter(|_| fitting.is_none());
        let own: Vec<Missing> = missing.into_iter().chain(area.cloned()).collect();
        let lacks = joined(&[&gathered.missing, &own]);
        let verdict = self.judged(least.current, &[&lacks]);
        // What is met is shown with the area with which it is met.
        let (sheet, area) = match fitting.filter(|_| verdict == Verdict::Meets) {
            Some((area, sheet)) => (sheet, Some(AreaTaken::Whole(area))),
            None => (least, left_out),
        };
        ByMethod { sheet, area, lacks, verdict }
    }

    fn judged(&self, current: Current, missing: &[&[Missing]]) -> Verdict {
        match self.limit.value {
            Some(limit) if exceeds(current, limit) => return Verdict::FallsShort,
            _ => {}
        }
        let missing = joined(&[&missing.concat(), self.unknown, &self.limit.missing]);
        match self.limit.value {
            Some(_) if missing.is_empty() => Verdict::Meets,
            _ => Verdict::CannotTell { missing },
        }
    }

    /// 220.87, where the panel's largest current was measured long enough.
    fn by_measurement(&self) -> Option<ByMethod> {
        let panel = &self.house.survey.panels[self.place.panel];
        let largest = panel.demand.known().filter(|_| self.place.bus.is_none())?.quantity();
        let mut facts = Facts::new();
        let from = facts.need(&panel.demand_from, &panel.id, "demand_from");
        if from.is_some_and(|from| !is_recorded(self.house.survey, from)) {
            return None;
        }
        let new_load = self.gathered.new_load.clone();
        let sheet = measured(&Measured { largest, new_load }, self.line.voltage);
        let missing = facts.done(Some(())).missing;
        let lacks = joined(&[&missing, &self.gathered.new_missing]);
        let verdict = self.judged(sheet.current, &[&lacks]);
        Some(ByMethod { sheet, area: None, lacks, verdict })
    }
}

fn together(methods: &[ByMethod]) -> Verdict {
    if methods.iter().any(|method| method.verdict == Verdict::Meets) {
        return Verdict::Meets;
    }
    if methods.iter().all(|method| method.verdict == Verdict::FallsShort) {
        return Verdict::FallsShort;
    }
    let missing = methods.iter().filter_map(|method| match &method.verdict {
        Verdict::CannotTell { missing } => Some(missing.as_slice()),
        _ => None,
    });
    Verdict::CannotTell { missing: joined(&missing.collect::<Vec<_>>()) }
}

fn joined(lists: &[&[Missing]]) -> Vec<Missing> {
    let mut all = lists.concat();
    all.sort();
    all.dedup();
    all
}

/// The noise of floating point must not fail a service.
pub(crate) fn exceeds(value: Current, limit: Current) -> bool {
    const NOISE: f64 = 1e-9;
    value > limit * (1.0 + NOISE)
}
