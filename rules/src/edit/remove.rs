//! Taking an item away, with everything that hangs on it.

use std::collections::BTreeSet;

use serde_json::{Value, json};

use super::change::List;
use super::draft::Draft;
use super::told::Told;
use super::{Edit, Refused};
use crate::say;
use crate::survey::place::Place;
use crate::survey::{Id, Survey};

/// Takes an item away with everything that hangs on it: what lies in it, the runs that begin or end
/// at it, what those feed up to the next panel or switch, its readings, photos and remarks. The
/// inverse of the edit brings all of it back.
///
/// A run that begins at two ways goes on beginning at the other; an interlock goes when fewer than
/// two ways are left in it; a run that used the neutral of another is left without that.
///
/// # Errors
/// When there is no such item, or it is the house itself.
pub fn remove(survey: &Survey, item: &Id) -> Result<Edit, Refused> {
    let place = Place::find(survey, item).ok_or_else(|| Refused::no_item(item))?;
    if place == Place::Site {
        return Err(Refused(say!("The house itself cannot be removed.")));
    }
    let mut draft = Draft::new(survey);
    let name = draft.name(item);
    let gone = Gone::with(survey, item, place);
    let more = gone.ids.len() - 1;
    gone.let_go(&mut draft)?;
    gone.take_out(&mut draft, item)?;
    draft.done(Told::Removed { item: name, more })
}

/// The ids of everything that goes.
struct Gone {
    ids: BTreeSet<Id>,
}

impl Gone {
    fn with(survey: &Survey, item: &Id, place: Place) -> Self {
        let mut gone = Self { ids: BTreeSet::new() };
        gone.ids.insert(item.clone());
        if let Place::Bus(panel, bus) = place {
            gone.ways_of_bus(survey, panel, bus);
        }
        // Each round takes what hangs on the last; as many rounds as there are items are surely enough.
        while gone.spreads(survey) {}
        gone
    }

    fn has(&self, id: &Id) -> bool {
        self.ids.contains(id)
    }

    fn add(&mut self, id: &Id) {
        self.ids.insert(id.clone());
    }

    /// Ways take another section only when none is left: then the panel's own.
    fn ways_of_bus(&mut self, survey: &Survey, panel: usize, bus: usize) {
        let panel = &survey.panels[panel];
        if panel.buses.len() > 1 {
            let bus = &panel.buses[bus].id;
            panel.ways.iter().filter(|way| panel.bus_of(way) == bus).for_each(|way| self.add(&way.id));
        }
    }

    /// Takes what hangs directly on what is gone; whether there was anything.
    fn spreads(&mut self, survey: &Survey) -> bool {
        let before = self.ids.len();
        self.spread_in_panels(survey);
        for transfer in &survey.transfers {
            if self.has(&transfer.id) {
                transfer.positions.iter().for_each(|position| self.add(&position.id));
            }
        }
        for run in &survey.runs {
            let begins = !self.has(&run.from) || run.also_from.as_ref().is_some_and(|way| !self.has(way));
            if !begins || run.to.as_ref().is_some_and(|to| self.has(to)) {
                self.add(&run.id);
            }
        }
        let loads = survey.loads.iter().filter(|load| self.ids.contains(&load.on)).map(|load| &load.id);
        let electrodes = survey.electrodes.iter().filter(|it| self.ids.contains(&it.at)).map(|it| &it.id);
        let readings = survey.readings.iter().filter(|it| self.ids.contains(&it.at)).map(|it| &it.id);
        let photos = survey.photos.iter().filter(|it| self.ids.contains(&it.of)).map(|it| &it.id);
        let is_about = |on: &Option<Id>| on.as_ref().is_some_and(|on| self.ids.contains(on));
        let notes = survey.notes.iter().filter(|it| is_about(&it.on)).map(|it| &it.id);
        let more: Vec<Id> =
            loads.chain(electrodes).chain(readings).chain(photos).chain(notes).cloned().collect();
        self.ids.extend(more);
        for interlock in &survey.interlocks {
            let left = interlock.ways.iter().filter(|way| !self.has(way)).count();
            if left < 2 && left < interlock.ways.len() {
                self.add(&interlock.id);
            }
        }
        self.ids.len() > before
    }

    fn spread_in_panels(&mut self, survey: &Survey) {
        for (at, panel) in survey.panels.iter().enumerate() {
            if self.has(&panel.id) {
                panel.buses.iter().for_each(|bus| self.add(&bus.id));
                panel.ways.iter().for_each(|way| self.add(&way.id));
                continue;
            }
            for (number, bus) in panel.buses.iter().enumerate() {
                let is_dead = bus.fed_by.as_ref().is_some_and(|way| self.has(way));
                if is_dead && bus.id != panel.id && !self.has(&bus.id) {
                    self.add(&bus.id);
                    self.ways_of_bus(survey, at, number);
                }
            }
        }
    }

    /// A mode goes on without supplies and devices that are gone.
    fn modes_let_go(&self, draft: &mut Draft, survey: &Survey) -> Result<(), Refused> {
        for mode in survey.modes.iter().filter(|mode| !self.has(&mode.id)) {
            let feeds: Vec<&Id> = mode.feeds.iter().filter(|id| !self.has(id)).collect();
            if feeds.len() < mode.feeds.len() {
                draft.set(&mode.id, "feeds", json!(feeds))?;
            }
            let devices: Vec<_> = mode.devices.iter().filter(|stand| !self.has(&stand.device)).collect();
            if devices.len() < mode.devices.len() {
                draft.set(&mode.id, "devices", json!(devices))?;
            }
        }
        Ok(())
    }

    /// What stays lets go of what is gone.
    fn let_go(&self, draft: &mut Draft) -> Result<(), Refused> {
        let survey = draft.survey.clone();
        for run in survey.runs.iter().filter(|run| !self.has(&run.id)) {
            if let Some(other) = run.also_from.as_ref().filter(|way| self.has(way) || self.has(&run.from)) {
                if self.has(&run.from) {
                    draft.set(&run.id, "from", other.as_str().into())?;
                }
                draft.set(&run.id, "also_from", Value::Null)?;
            }
            if run.neutral_of.as_ref().is_some_and(|other| self.has(other)) {
                draft.set(&run.id, "neutral_of", Value::Null)?;
            }
        }
        self.modes_let_go(draft, &survey)?;
        for interlock in survey.interlocks.iter().filter(|interlock| !self.has(&interlock.id)) {
            let left: Vec<Value> =
                interlock.ways.iter().filter(|way| !self.has(way)).map(|way| way.as_str().into()).collect();
            if left.len() < interlock.ways.len() {
                draft.set(&interlock.id, "ways", left.into())?;
            }
        }
        for panel in survey.panels.iter().filter(|panel| !self.has(&panel.id)) {
            let stays = panel.ways.iter().filter(|way| !self.has(&way.id));
            for way in stays.filter(|way| way.bus.as_ref().is_some_and(|bus| self.has(bus))) {
                draft.set(&way.id, "bus", Value::Null)?;
            }
        }
        Ok(())
    }

    /// Takes everything out of its list; the item itself first.
    fn take_out(&self, draft: &mut Draft, item: &Id) -> Result<(), Refused> {
        for id in std::iter::once(item).chain(self.ids.iter().filter(|id| *id != item)) {
            // What lay in something else went with it.
            if let Some((list, at)) =
                Place::find(&draft.survey, id).and_then(|place| List::of(&draft.survey, place))
            {
                draft.remove(list, at)?;
            }
        }
        for at in (0..draft.survey.in_doubt.len()).rev() {
            if self.has(&draft.survey.in_doubt[at].on) {
                draft.remove(List::InDoubt, at)?;
            }
        }
        Ok(())
    }
}
