//! What of the house a reading belongs to.

use crate::house::{House, Item};
use crate::survey::{Id, Panel};

/// The run at a point: the run itself, the run of a load, the only run from a way.
pub(super) fn run_at(house: &House<'_>, at: &Id) -> Option<usize> {
    match house.index.get(at)? {
        Item::Run(run) => Some(run),
        Item::Load(load) => house.run_number(&house.survey.loads[load].on),
        Item::Way(panel, way) => {
            let mut runs = house.runs_from_way(panel, way);
            runs.next().filter(|_| runs.next().is_none())
        }
        _ => None,
    }
}

/// The panel at whose incoming conductors a point lies: the panel itself, or the one that a run feeds.
pub(super) fn panel_at<'a>(house: &House<'a>, at: &Id) -> Option<&'a Panel> {
    match house.index.get(at)? {
        Item::Panel(panel) => house.survey.panels.get(panel),
        Item::Run(run) => house.fed_panel(run),
        _ => None,
    }
}
