//! What items are called in a drawing.

use super::letters::Letters;
use crate::house::{House, Item};
use crate::say;
use crate::survey::{Id, Run};

/// The name of an item at which a run begins or ends, or which it feeds.
pub(super) fn name(house: &House<'_>, id: &Id, letters: &Letters<'_>) -> String {
    let survey = house.survey;
    let name = match house.index.get(id) {
        Some(Item::Supply(at)) => survey.supplies[at].name.clone(),
        Some(Item::Panel(at)) => survey.panels[at].name.clone(),
        Some(Item::Way(panel, way)) => {
            let panel = &survey.panels[panel];
            letters.say(&say!("{}, way {}", &panel.name, panel.ways[way].number()))
        }
        Some(Item::Run(at)) => survey.runs[at].name.clone(),
        Some(Item::Load(at)) => survey.loads[at].name.clone(),
        Some(Item::Transfer(at)) => survey.transfers[at].name.clone(),
        Some(Item::Position(transfer, position)) => {
            let transfer = &survey.transfers[transfer];
            format!("{}, {}", transfer.name, transfer.positions[position].name)
        }
        Some(Item::Inlet(at)) => survey.inlets[at].name.clone(),
        _ => String::new(),
    };
    if name.trim().is_empty() { id.to_string() } else { name }
}

/// What a run feeds: its loads, or the item where it ends, or its own name.
pub(super) fn fed_by_run(house: &House<'_>, run: usize, letters: &Letters<'_>) -> String {
    let item = &house.survey.runs[run];
    if let Some(to) = &item.to {
        return name(house, to, letters);
    }
    let loads: Vec<&str> = house.loads_on(run).map(|load| load.name.as_str()).collect();
    if loads.is_empty() { run_name(item) } else { loads.join(", ") }
}

/// A run's name, or its id.
pub(super) fn run_name(run: &Run) -> String {
    if run.name.trim().is_empty() { run.id.to_string() } else { run.name.clone() }
}
