//! What a load or supply is must stand in the file. Where nobody has said it yet, something stands in its
//! place and the kind is in doubt: no verdict that may have read the stand-in counts as met.

use std::collections::HashSet;

use crate::capacity::carry::Island;
use crate::finding::{Finding, Missing, Verdict};
use crate::house::{House, Item};
use crate::network::Link;
use crate::say;
use crate::survey::{Id, Run};

/// Checks that read nothing but facts of the item itself: what feeds it or hangs on it is all one to them.
/// Property tests change the kinds of supplies and loads and look for one that changes its mind.
const READ_NO_KIND: &[&str] = &[
    "asbestos_suspected",
    "heat_or_water_marks",
    "overcurrent_device_in_bathroom_or_closet",
    "panel_of_doubtful_make",
    "two_wires_under_one_lug",
    "working_space_blocked",
];

/// Checks of a load that read the kinds of the other loads on its supply: lighting and outlets run anyway, and
/// leave less for a start.
const READ_WHAT_RUNS_ANYWAY: &[&str] = &["start_beyond_surge"];

/// The fact under which a kind is in doubt.
const KIND: &str = "kind";

/// Takes back what meets while it may rest on a kind that is in doubt.
pub(super) fn take_back(house: &House<'_>, findings: &mut [Finding]) {
    let in_doubt = house.survey.in_doubt.iter().filter(|doubt| doubt.fact == KIND).map(|doubt| &doubt.on);
    let reaches: Vec<(&Id, Reach)> = in_doubt.filter_map(|id| Some((id, Reach::of(house, id)?))).collect();
    if reaches.is_empty() {
        return;
    }
    for finding in findings.iter_mut().filter(|finding| finding.verdict == Verdict::Meets) {
        if READ_NO_KIND.contains(&finding.check) {
            continue;
        }
        let rests_on = reaches.iter().filter(|(_, reach)| reach.holds(finding)).map(|(id, _)| *id);
        let missing: Vec<Missing> = rests_on.map(kind_of).collect();
        if !missing.is_empty() {
            finding.message = say!("It cannot be told while it is not said what feeds this or hangs on it.");
            finding.verdict = Verdict::CannotTell { missing };
        }
    }
}

fn kind_of(item: &Id) -> Missing {
    Missing { item: item.clone(), fact: KIND, cannot_be_seen: false }
}

/// How far a kind may be read.
enum Reach {
    /// By every check: a supply decides what feeds what.
    House,
    /// By checks of supplies, and by checks of these items: the way of the current to the load, its circuit,
    /// and the house as a whole; and by few checks of the loads that a supply of one's own feeds beside it.
    Items { around: HashSet<Id>, beside: HashSet<Id> },
}

impl Reach {
    /// `None` where an item has no kind that must stand in the file: its doubtful kind is a fact not seen.
    fn of(house: &House<'_>, id: &Id) -> Option<Self> {
        match house.index.get(id)? {
            Item::Supply(_) => Some(Self::House),
            Item::Load(load) => {
                Some(Self::Items { around: around(house, load), beside: beside(house, load) })
            }
            _ => None,
        }
    }

    fn holds(&self, finding: &Finding) -> bool {
        match self {
            Self::House => true,
            Self::Items { around, beside } => {
                let id = &finding.subject.id;
                let reads = READ_WHAT_RUNS_ANYWAY.contains(&finding.check);
                around.contains(id) || reads && beside.contains(id)
            }
        }
    }
}

/// The items whose findings may read what a load is.
fn around(house: &House<'_>, load: usize) -> HashSet<Id> {
    let survey = house.survey;
    let mut items: HashSet<Id> = HashSet::from([crate::house::site_id(), survey.loads[load].id.clone()]);
    items.extend(survey.supplies.iter().map(|supply| supply.id.clone()));
    let Some(run) = house.run_number(&survey.loads[load].on) else { return items };
    for (_, path) in house.feeds.paths_to(&house.network, house.network.run_end(run)) {
        path.iter().for_each(|edge| passed(house, house.network.edge(*edge).link, &mut items));
    }
    for run in circuit_of(house, run) {
        on_run(house, run, &mut items);
    }
    items
}

/// The loads that a supply of one's own feeds beside this one.
fn beside(house: &House<'_>, load: usize) -> HashSet<Id> {
    let feeds = |island: &&Island| island.loads.iter().any(|carried| carried.load == load);
    let islands = house.islands().iter().filter(feeds);
    islands.flat_map(|island| island.loads.iter().map(|carried| carried.id.clone())).collect()
}

/// The items that an edge of the way stands for.
fn passed(house: &House<'_>, link: Link, items: &mut HashSet<Id>) {
    let survey = house.survey;
    match link {
        Link::Run(run) => on_run(house, run, items),
        Link::Main(panel) => of_panel(house, panel, items),
        Link::Way(panel, way) => {
            items.insert(survey.panels[panel].ways[way].id.clone());
            of_panel(house, panel, items);
        }
        Link::BusFeed(panel, _) => of_panel(house, panel, items),
        Link::Position(transfer, position) => {
            let transfer = &survey.transfers[transfer];
            items.insert(transfer.id.clone());
            items.insert(transfer.positions[position].id.clone());
        }
    }
}

fn of_panel(house: &House<'_>, panel: usize, items: &mut HashSet<Id>) {
    let panel = &house.survey.panels[panel];
    items.insert(panel.id.clone());
    items.extend(panel.buses.iter().map(|bus| bus.id.clone()));
}

/// A run with where it begins, and the loads on it.
fn on_run(house: &House<'_>, run: usize, items: &mut HashSet<Id>) {
    items.extend(house.loads_on(run).map(|load| load.id.clone()));
    let run: &Run = &house.survey.runs[run];
    items.extend([&run.id, &run.from].into_iter().chain(&run.also_from).chain(&run.to).cloned());
}

/// The runs of one circuit, and those that share a neutral with one of them.
fn circuit_of(house: &House<'_>, run: usize) -> Vec<usize> {
    let first = house.runs_back_from(run).last().and_then(|first| house.run_number(&first.id));
    let mut runs = house.circuit(first.unwrap_or(run));
    let mut next = 0;
    while let Some(&here) = runs.get(next) {
        next += 1;
        let id = &house.survey.runs[here].id;
        let lender = house.survey.runs[here].neutral_of.as_ref().and_then(|id| house.run_number(id));
        let sharing = house.runs().filter(|(_, other)| other.neutral_of.as_ref() == Some(id));
        for other in sharing.map(|(number, _)| number).chain(lender).collect::<Vec<_>>() {
            if !runs.contains(&other) {
                runs.push(other);
            }
        }
    }
    runs
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;
    use crate::assess;
    use crate::checks::named;
    use crate::fixture::{one_circuit, standby, survey, with, with_battery};
    use crate::survey::{LoadKind, SupplyKind};

    fn met(house: &Value) -> Vec<(String, &'static str)> {
        let findings = assess(&survey(house)).findings;
        let met = findings.iter().filter(|finding| finding.verdict == Verdict::Meets);
        met.map(|finding| (finding.subject.id.to_string(), finding.check)).collect()
    }

    /// What is not said to be no lighting may run anyway, and leaves less for the start of the pump.
    #[test]
    fn a_start_hangs_on_the_kinds_of_the_loads_beside_it() {
        let start = |house: &Value| {
            met(house).iter().any(|(item, check)| item == "LW" && *check == "start_beyond_surge")
        };
        assert!(start(&with_battery()));
        assert!(!start(&in_doubt(with_battery(), "LK")));
        let pump = |house: &Value| met(house).iter().filter(|(item, _)| item == "LW").count();
        assert!(pump(&in_doubt(with_battery(), "LK")) > 0);
    }

    fn in_doubt(house: Value, item: &str) -> Value {
        with(house, &[("/in_doubt", json!([{ "on": item, "fact": "kind", "text": "" }]))])
    }

    #[test]
    fn the_checks_that_read_no_kind_are_checks() {
        assert!(READ_NO_KIND.iter().all(|name| named(name).is_some()));
    }

    #[test]
    fn what_a_load_is_decides_about_its_circuit_and_what_feeds_it() {
        let before = met(&standby());
        let after = met(&in_doubt(standby(), "L"));
        assert!(before.len() > after.len() && !after.is_empty());
        let still = |item: &str| after.iter().any(|(id, check)| id == item && !READ_NO_KIND.contains(check));
        for item in ["L", "R", "P.1", "P", "P.bus", "RS", "U", "site"] {
            assert!(!still(item), "{item}");
        }
        // The standby panel is not on the way.
        assert!(still("RT") && still("E"));
    }

    #[test]
    fn what_a_supply_is_decides_about_everything() {
        let after = met(&in_doubt(one_circuit(), "U"));
        assert!(!after.is_empty() && after.iter().all(|(_, check)| READ_NO_KIND.contains(check)));
    }

    #[test]
    fn the_kind_is_named_as_missing() {
        let findings = assess(&survey(&in_doubt(one_circuit(), "L"))).findings;
        let on_run = findings.iter().filter(|finding| finding.subject.id.as_str() == "R");
        let named = |finding: &Finding| finding.missing().iter().any(|missing| missing.fact == "kind");
        assert!(on_run.filter(|finding| named(finding)).count() > 3);
    }

    /// Whatever the kind turns out to be: what meets while it is in doubt does not fall short with it.
    #[test]
    fn nothing_meets_that_would_not_with_another_kind() {
        let loads = LoadKind::ALL.iter().map(|kind| ("/loads/0/kind", "L", kind.file_word()));
        let supplies = SupplyKind::ALL.iter().map(|kind| ("/supplies/1/kind", "G", kind.file_word()));
        for (path, item, kind) in loads.chain(supplies) {
            let known = assess(&survey(&with(standby(), &[(path, json!(kind))]))).findings;
            let open: Vec<_> = known
                .iter()
                .filter(|it| it.is_open())
                .map(|it| (it.subject.id.to_string(), it.check))
                .collect();
            for met in met(&in_doubt(standby(), item)) {
                assert!(!open.contains(&met), "{kind}: {met:?}");
            }
        }
    }
}
