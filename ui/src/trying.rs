//! A set of heavy loads that somebody ticks on the Capacity page: whether the supply carries them together
//! by the entered figures, and in which order they start.

use std::collections::BTreeSet;

use deadfront_rules::capacity::carry::Island;
use deadfront_rules::capacity::together::{Answer, Figures, Tried, choices, in_mode, try_set};
use deadfront_rules::finding::rounded;
use deadfront_rules::house::House;
use deadfront_rules::say;
use deadfront_rules::survey::Id;
use slint::{ComponentHandle as _, VecModel};

use crate::capacity::{line, missing_line};
use crate::generated::{self, Capacity, DeadfrontWindow, Line, Part, Pick};
use crate::models::{fixed, longest, sync};
use crate::shown::Shown;
use crate::words::tell;

/// What is chosen.
#[derive(Default)]
pub(crate) struct Trying {
    /// The mode, by its id.
    mode: String,
    /// The loads that are ticked, whatever the supply.
    ticked: BTreeSet<Id>,
}

impl Trying {
    pub(crate) fn choose_mode(&mut self, key: &str) {
        key.clone_into(&mut self.mode);
    }

    pub(crate) fn tick(&mut self, key: &str) {
        let Some(id) = Id::new(key) else { return };
        if !self.ticked.remove(&id) {
            self.ticked.insert(id);
        }
    }
}

/// Fills what can be tried on the supply that lies open; nothing where none does. `loads` keeps its rows,
/// so that the keyboard stays on the load that was ticked.
pub(crate) fn fill(
    window: &DeadfrontWindow,
    shown: &Shown,
    house: &House<'_>,
    supply: Option<usize>,
    state: &Trying,
    loads: &VecModel<Pick>,
) {
    let page = window.global::<Capacity>();
    let islands = house.islands();
    let island = supply.and_then(|at| islands.iter().find(|island| island.supply == at));
    let Some(island) = island else {
        page.set_modes(fixed([]));
        page.set_tried(fixed([]));
        sync(loads, Vec::new());
        return;
    };
    let (modes, mode) = modes(house, island.supply, &state.mode);
    let reached = mode.map_or_else(|| island.clone(), |mode| in_mode(house, island, mode));
    let picks = picks(shown, house, &reached, state);
    page.set_modes(fixed(modes));
    page.set_loads_longest(longest(&picks));
    page.set_any_load(!picks.is_empty());
    page.set_tried(fixed(answer(shown, house, &reached, state)));
    sync(loads, picks);
}

/// The modes in which a supply feeds, and the one that is chosen among them, else the first.
fn modes(house: &House<'_>, supply: usize, chosen: &str) -> (Vec<Pick>, Option<usize>) {
    let modes = &house.isolation().modes;
    let feeding: Vec<usize> = (0..modes.len()).filter(|at| modes[*at].feeds.contains(&supply)).collect();
    let at = feeding.iter().copied().find(|at| modes[*at].id == chosen).or(feeding.first().copied());
    let pick = |mode: &usize| Pick {
        key: modes[*mode].id.as_str().into(),
        text: modes[*mode].name.as_str().into(),
        chosen: Some(*mode) == at,
    };
    (feeding.iter().map(pick).collect(), at)
}

fn picks(shown: &Shown, house: &House<'_>, island: &Island, state: &Trying) -> Vec<Pick> {
    let loads = choices(house, island).into_iter().map(|at| &shown.survey.loads[at]);
    let pick = |load: &deadfront_rules::survey::Load| Pick {
        key: load.id.as_str().into(),
        text: load.name.as_str().into(),
        chosen: state.ticked.contains(&load.id),
    };
    loads.map(pick).collect()
}

fn answer(shown: &Shown, house: &House<'_>, island: &Island, state: &Trying) -> Vec<Part> {
    let ticked = |load: &usize| state.ticked.contains(&shown.survey.loads[*load].id);
    let chosen: Vec<usize> = choices(house, island).into_iter().filter(ticked).collect();
    if chosen.is_empty() {
        return Vec::new();
    }
    let tried = try_set(house, island, &chosen);
    let name = |load: &usize| shown.survey.loads[*load].name.clone();
    let (mark, strong) = told(&tried);
    let order = match &tried.answer {
        Answer::Runs(order) => order.iter().map(|load| name(load).into()).collect(),
        _ => Vec::new(),
    };
    let mut lines: Vec<Line> = tried.figures.iter().flat_map(figures).collect();
    for out in &tried.left_out {
        lines.extend(missing_line(shown, &say!("Not counted: {}", name(&out.load)), &out.missing));
    }
    lines.extend(missing_line(shown, &say!("Not known"), &tried.missing));
    vec![Part {
        mark,
        strong,
        sentences: fixed(order),
        numbered: true,
        lines: fixed(lines),
        ..Part::default()
    }]
}

fn told(tried: &Tried) -> (generated::Mark, slint::SharedString) {
    match &tried.answer {
        Answer::Runs(order) if order.len() == 1 => {
            (generated::Mark::Meets, tell(&say!("By the entered figures the supply starts and carries it.")))
        }
        Answer::Runs(_) => (
            generated::Mark::Meets,
            tell(&say!("By the entered figures the supply carries these together, started in this order:")),
        ),
        Answer::Refused(why) => {
            (generated::Mark::Warning, tell(&say!("By the entered figures it does not go: {}.", why.clone())))
        }
        Answer::CannotTell if tried.left_out.is_empty() => {
            (generated::Mark::CannotTell, tell(&say!("It cannot be told while facts are missing.")))
        }
        Answer::CannotTell => (
            generated::Mark::CannotTell,
            tell(&say!("It cannot be told: a load that is ticked lacks a fact and is not counted.")),
        ),
    }
}

/// What runs, lighting and outlets included, beside what the supply gives.
fn figures(figures: &Figures) -> Vec<Line> {
    let limits = &figures.limits;
    let of = |value: f64, limit: f64, decimals: u8, unit: &str| {
        let [value, limit] = [value, limit].map(|number| format!("{} {unit}", rounded(number, decimals)));
        tell(&say!("{} of {} that it gives", value, limit))
    };
    vec![
        line(&say!("Leg A"), of(figures.legs[0], limits.leg, 1, "A")),
        line(&say!("Leg B"), of(figures.legs[1], limits.leg, 1, "A")),
        line(&say!("Apparent power"), of(figures.apparent, limits.apparent, 0, "VA")),
        line(&say!("Active power"), of(figures.power, limits.power, 0, "W")),
    ]
}
