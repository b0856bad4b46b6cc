//! What a way and a panel stand for besides themselves: whoever reads their mark reads it of all this.

use std::collections::{BTreeMap, BTreeSet};

use super::mark::{Mark, Marks, worst};
use crate::survey::{Id, Panel, Run, Survey, Way};

/// The items whose verdicts a way or a panel bears, by its id; itself among them.
pub type About = BTreeMap<Id, Vec<Id>>;

/// For each way: itself, the bus section it feeds, the interlocks that name it, its runs up to their loads, the
/// runs that share a neutral with these, and the inlet or supply at their other end. For each panel: itself, its bus sections, the interlocks that
/// name its main, and everything of its ways.
#[must_use]
pub fn about(survey: &Survey) -> About {
    let ends = Ends::of(survey);
    let mut about = About::new();
    for panel in &survey.panels {
        let own = std::iter::once(&panel.id).chain(panel.buses.iter().map(|bus| &bus.id));
        let mut whole: BTreeSet<&Id> = own.chain(interlocks_of(survey, &panel.id)).collect();
        for way in &panel.ways {
            let items = of_way(survey, &ends, panel, way);
            whole.extend(items.iter().copied());
            about.insert(way.id.clone(), items.into_iter().cloned().collect());
        }
        about.insert(panel.id.clone(), whole.into_iter().cloned().collect());
    }
    about
}

/// The worst mark of everything that a way or panel stands for.
pub(super) fn mark_of(marks: &Marks, about: &About, item: &Id) -> Option<Mark> {
    worst(marks, about.get(item).into_iter().flatten())
}

/// What hangs at each item.
struct Ends<'a> {
    runs: BTreeMap<&'a Id, Vec<&'a Run>>,
    loads: BTreeMap<&'a Id, Vec<&'a Id>>,
    inlets: BTreeSet<&'a Id>,
    supplies: BTreeSet<&'a Id>,
    by_id: BTreeMap<&'a Id, &'a Run>,
    borrowers: BTreeMap<&'a Id, Vec<&'a Id>>,
}

impl<'a> Ends<'a> {
    fn of(survey: &'a Survey) -> Self {
        let mut runs: BTreeMap<&Id, Vec<&Run>> = BTreeMap::new();
        for run in &survey.runs {
            for end in ends(run) {
                runs.entry(end).or_default().push(run);
            }
        }
        let mut loads: BTreeMap<&Id, Vec<&Id>> = BTreeMap::new();
        for load in &survey.loads {
            loads.entry(&load.on).or_default().push(&load.id);
        }
        let mut borrowers: BTreeMap<&Id, Vec<&Id>> = BTreeMap::new();
        for run in &survey.runs {
            if let Some(lender) = &run.neutral_of {
                borrowers.entry(lender).or_default().push(&run.id);
            }
        }
        Self {
            borrowers,
            runs,
            loads,
            inlets: survey.inlets.iter().map(|inlet| &inlet.id).collect(),
            supplies: survey.supplies.iter().map(|supply| &supply.id).collect(),
            by_id: survey.runs.iter().map(|run| (&run.id, run)).collect(),
        }
    }
}

fn ends(run: &Run) -> impl Iterator<Item = &Id> {
    [Some(&run.from), run.also_from.as_ref(), run.to.as_ref()].into_iter().flatten()
}

fn interlocks_of<'a>(survey: &'a Survey, device: &'a Id) -> impl Iterator<Item = &'a Id> {
    let named = survey.interlocks.iter().filter(move |interlock| interlock.ways.contains(device));
    named.map(|interlock| &interlock.id)
}

fn of_way<'a>(survey: &'a Survey, ends_at: &Ends<'a>, panel: &'a Panel, way: &'a Way) -> BTreeSet<&'a Id> {
    let sections = panel.buses.iter().filter(|bus| bus.fed_by.as_ref() == Some(&way.id));
    let mut items: BTreeSet<&Id> = std::iter::once(&way.id).chain(sections.map(|bus| &bus.id)).collect();
    items.extend(interlocks_of(survey, &way.id));
    // From the way along its wires, through inlets and from run to run; other panels end it.
    let mut next: Vec<&Id> = vec![&way.id];
    while let Some(here) = next.pop() {
        for run in ends_at.runs.get(here).into_iter().flatten() {
            take_run(ends_at, run, &mut items, &mut next);
        }
    }
    // The neutral that leaves with this way carries what another handle switches, or the other way round.
    let runs = items.iter().filter_map(|item| ends_at.by_id.get(item));
    let lent = runs.clone().flat_map(|run| ends_at.borrowers.get(&run.id).into_iter().flatten().copied());
    let shared: Vec<&Id> = runs.filter_map(|run| run.neutral_of.as_ref()).chain(lent).collect();
    items.extend(shared);
    items
}

fn take_run<'a>(ends_at: &Ends<'a>, run: &'a Run, items: &mut BTreeSet<&'a Id>, next: &mut Vec<&'a Id>) {
    if !items.insert(&run.id) {
        return;
    }
    items.extend(ends_at.loads.get(&run.id).into_iter().flatten().copied());
    next.push(&run.id);
    for end in ends(run) {
        if ends_at.supplies.contains(end) {
            items.insert(end);
        } else if ends_at.inlets.contains(end) {
            if items.insert(end) {
                next.push(end);
            }
        } else if let Some(before) = ends_at.by_id.get(end) {
            take_run(ends_at, before, items, next);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assess::assess;
    use crate::drawing::checked::demo;
    use crate::drawing::marks;

    fn items<'a>(about: &'a About, item: &str) -> Vec<&'a str> {
        about[&Id::new(item).unwrap()].iter().map(Id::as_str).collect()
    }

    /// The demo house: the generator comes in over inlet I1 to P2.29; K1 slides between it and P2.01.
    #[test]
    fn a_way_stands_for_its_wires_inlet_source_and_interlock() {
        let about = about(&demo());
        assert_eq!(items(&about, "P2.29"), ["I1", "K1", "P2.29", "R008", "R009", "S4"]);
        assert_eq!(items(&about, "P2.01"), ["K1", "P2.01", "P2.light"]);
        assert_eq!(items(&about, "P4.05"), ["L47", "P4.05", "R405", "R406"]);
        assert_eq!(items(&about, "P2.06"), ["P2.06", "R005"]);
        // The hot of R404 was moved to another panel and left its neutral with R209.
        assert_eq!(items(&about, "P2.25"), ["L25", "P2.25", "R209", "R404"]);
        assert!(items(&about, "P2").contains(&"I1") && !items(&about, "P2").contains(&"P5"));
    }

    #[test]
    fn the_handle_of_a_danger_never_reads_as_meeting() {
        let survey = demo();
        let (marks, about) = (marks(&assess(&survey)), about(&survey));
        let mark = |item: &str| mark_of(&marks, &about, &Id::new(item).unwrap());
        for handle in ["P2.29", "P2.01", "P2", "P5", "P7"] {
            assert_eq!(mark(handle), Some(Mark::Danger), "{handle}");
        }
        assert_eq!(mark_of(&marks, &About::new(), &Id::new("P2.29").unwrap()), None);
    }

    /// A run that begins at itself, as somebody might type it, ends too.
    #[test]
    fn a_circle_of_runs_ends() {
        let mut survey = demo();
        let Some(run) = survey.runs.iter_mut().find(|run| run.id.as_str() == "R405") else { return };
        run.from = Id::new("R406").unwrap();
        assert!(items(&about(&survey), "P4.05").contains(&"P4.05"));
    }
}
