//! New items. What a new item needs is filled in; no fact is asserted.

use serde_json::{Value, json};

use super::change::List;
use super::draft::Draft;
use super::told::Told;
use super::{Edit, Refused, fresh};
use crate::say;
use crate::survey::place::Place;
use crate::survey::{Id, ItemKind, LoadKind, Panel, SupplyKind, Survey};

/// Adds an item of a kind: a bus section or a way within a panel, a run within where it begins (a
/// way, a panel, a supply, a transfer switch, an inlet, another run), a load within a run, an input
/// within a transfer switch, an electrode within a panel, an interlock within a way. Gives the edit
/// and the new id.
///
/// What a supply or load is must stand in the file and cannot be left open: it stands as a doubtful
/// entry until it is said. [`add_supply`] and [`add_load`] say it at once.
///
/// # Errors
/// When `within` names nothing that holds such an item.
pub fn add(survey: &Survey, kind: ItemKind, within: Option<&Id>) -> Result<(Edit, Id), Refused> {
    let mut draft = Draft::new(survey);
    let within = Within { id: within, place: within.and_then(|id| Place::find(survey, id)) };
    let id = match kind {
        ItemKind::Site | ItemKind::Record => {
            return Err(Refused(say!("A {} is not added like this.", kind.words())));
        }
        ItemKind::Supply => supply(&mut draft, None)?,
        ItemKind::Panel => panel(&mut draft)?,
        ItemKind::Bus => bus(&mut draft, within.panel(survey)?)?,
        ItemKind::Way => way(&mut draft, within.panel(survey)?)?,
        ItemKind::Run => run(&mut draft, &within.begin()?, false)?,
        ItemKind::Load => load(&mut draft, &within.run()?, None)?,
        ItemKind::Transfer => transfer(&mut draft)?,
        ItemKind::Position => position(&mut draft, &within.transfer()?)?,
        ItemKind::Interlock => interlock(&mut draft, within.way())?,
        ItemKind::Inlet => inlet(&mut draft)?,
        ItemKind::Mode => mode(&mut draft)?,
        ItemKind::Electrode => electrode(&mut draft, &within.any_panel(survey)?)?,
    };
    added(draft, id)
}

/// Adds a way to a panel, with its run and a load on it, linked. Gives the edit and the way's id.
///
/// # Errors
/// When `panel` is no panel.
pub fn add_circuit(survey: &Survey, panel: &Id, kind: Option<LoadKind>) -> Result<(Edit, Id), Refused> {
    let mut draft = Draft::new(survey);
    let within = Within { id: Some(panel), place: Place::find(survey, panel) };
    let way = way(&mut draft, within.panel(survey)?)?;
    let run = run(&mut draft, &way, false)?;
    load(&mut draft, &run, kind)?;
    added(draft, way)
}

/// Adds a supply of a kind that is known.
///
/// # Errors
/// None that an ordinary survey gives.
pub fn add_supply(survey: &Survey, kind: SupplyKind) -> Result<(Edit, Id), Refused> {
    let mut draft = Draft::new(survey);
    let id = supply(&mut draft, Some(kind))?;
    added(draft, id)
}

/// Adds a load of a kind that is known to a run.
///
/// # Errors
/// When `run` is no run.
pub fn add_load(survey: &Survey, run: &Id, kind: LoadKind) -> Result<(Edit, Id), Refused> {
    let mut draft = Draft::new(survey);
    let within = Within { id: Some(run), place: Place::find(survey, run) };
    let id = load(&mut draft, &within.run()?, Some(kind))?;
    added(draft, id)
}

/// Adds a run from where it begins to where it ends, if not at its loads.
///
/// # Errors
/// When no run can begin or end there.
pub fn add_run(survey: &Survey, from: &Id, to: Option<&Id>) -> Result<(Edit, Id), Refused> {
    let mut draft = Draft::new(survey);
    let within = Within { id: Some(from), place: Place::find(survey, from) };
    let id = run(&mut draft, &within.begin()?, false)?;
    if let Some(to) = to {
        draft.set(&id, "to", to.as_str().into())?;
    }
    added(draft, id)
}

/// Adds a run that is planned, not built, with what has been settled about it: pairs of field and
/// entry, as for [`set`](super::set).
///
/// # Errors
/// When no run can begin or end there, or an entry cannot be read.
pub fn plan_run(
    survey: &Survey,
    from: &Id,
    to: Option<&Id>,
    entries: &[(&str, &str)],
) -> Result<(Edit, Id), Refused> {
    let mut draft = Draft::new(survey);
    let within = Within { id: Some(from), place: Place::find(survey, from) };
    let id = run(&mut draft, &within.begin()?, true)?;
    if let Some(to) = to {
        draft.set(&id, "to", to.as_str().into())?;
    }
    for (field, entry) in entries {
        let edit = super::set(&draft.survey, &id, field, entry)?;
        edit.changes.into_iter().try_for_each(|change| draft.make(change))?;
    }
    added(draft, id)
}

pub(super) fn added(draft: Draft, id: Id) -> Result<(Edit, Id), Refused> {
    let told = Told::Added { item: draft.name(&id), more: draft.items().saturating_sub(1) };
    Ok((draft.done(told)?, id))
}

/// Where a new item is wanted.
pub(super) struct Within<'a> {
    id: Option<&'a Id>,
    place: Option<Place>,
}

impl Within<'_> {
    fn need(&self, wanted: impl Fn(Place) -> bool, words: &'static str) -> Result<Id, Refused> {
        match (self.id, self.place) {
            (Some(id), Some(place)) if wanted(place) => Ok(id.clone()),
            (Some(id), _) => Err(Refused(say!("\"{}\" is no {}.", id, words))),
            (None, _) => Err(Refused(say!("Say in which {} it is.", words))),
        }
    }

    fn panel<'s>(&self, survey: &'s Survey) -> Result<&'s Panel, Refused> {
        self.need(|place| matches!(place, Place::Panel(_)), "panel")?;
        match self.place {
            Some(Place::Panel(at)) => survey.panels.get(at).ok_or_else(Refused::changed),
            _ => Err(Refused::changed()),
        }
    }

    fn run(&self) -> Result<Id, Refused> {
        self.need(|place| matches!(place, Place::Run(_)), "run")
    }

    fn transfer(&self) -> Result<Id, Refused> {
        self.need(|place| matches!(place, Place::Transfer(_)), "transfer switch")
    }

    fn way(&self) -> Option<Id> {
        self.need(|place| matches!(place, Place::Way(..)), "way").ok()
    }

    fn begin(&self) -> Result<Id, Refused> {
        use Place::{Inlet, Panel, Run, Supply, Transfer, Way};
        let begins =
            |place| matches!(place, Way(..) | Panel(_) | Supply(_) | Transfer(_) | Inlet(_) | Run(_));
        self.need(begins, "way, panel, supply, transfer switch, inlet or run")
    }

    /// The panel, or the first service panel, or the first panel.
    fn any_panel(&self, survey: &Survey) -> Result<Id, Refused> {
        if self.id.is_some_and(|_| self.place != Some(Place::Site)) {
            return self.need(|place| matches!(place, Place::Panel(_)), "panel");
        }
        let service = survey.panels.iter().find(|panel| panel.service_equipment.get() == Some(true));
        let panel = service.or_else(|| survey.panels.first());
        panel.map(|panel| panel.id.clone()).ok_or_else(|| Refused(say!("Add the panel first.")))
    }
}

fn supply(draft: &mut Draft, kind: Option<SupplyKind>) -> Result<Id, Refused> {
    let survey = &draft.survey;
    let has_utility = survey.supplies.iter().any(|supply| supply.kind == SupplyKind::Utility);
    let stands = kind.unwrap_or(if has_utility { SupplyKind::Generator } else { SupplyKind::Utility });
    let id = fresh::id(survey, "S");
    let names = survey.supplies.iter().map(|supply| supply.name.as_str());
    let word = kind.map_or_else(|| "Supply".to_owned(), |kind| super::capital(short(kind)));
    let name = first_or_numbered(&word, kind.is_some(), names);
    let at = survey.supplies.len();
    draft.insert(List::Supplies, at, &json!({ "id": id, "name": name, "kind": stands }))?;
    if kind.is_none() {
        draft.doubt(&id, "kind", "")?;
    }
    Ok(id)
}

/// The words of a supply without what stands in brackets.
fn short(kind: SupplyKind) -> &'static str {
    let words = kind.words();
    words.split_once(" (").map_or(words, |(short, _)| short)
}

/// `Generator` where nothing has that name yet, else `Generator 2`.
fn first_or_numbered<'a>(word: &str, bare: bool, names: impl Iterator<Item = &'a str> + Clone) -> String {
    if bare && !names.clone().any(|name| name == word) {
        return word.to_owned();
    }
    fresh::name(word, names)
}

fn panel(draft: &mut Draft) -> Result<Id, Refused> {
    let survey = &draft.survey;
    let id = fresh::id(survey, "P");
    let name = fresh::name("Panel", survey.panels.iter().map(|panel| panel.name.as_str()));
    let at = survey.panels.len();
    draft.insert(List::Panels, at, &json!({ "id": id, "name": name, "main": {} }))?;
    Ok(id)
}

fn bus(draft: &mut Draft, panel: &Panel) -> Result<Id, Refused> {
    let id = fresh::id(&draft.survey, &format!("{}.bus", panel.id));
    if panel.buses.is_empty() {
        // Until now the panel's own id stood for its only section.
        for way in panel.ways.iter().filter(|way| way.bus.as_ref() == Some(&panel.id)) {
            draft.set(&way.id, "bus", Value::Null)?;
        }
    }
    draft.insert(List::Buses(panel.id.clone()), panel.buses.len(), &json!({ "id": id }))?;
    Ok(id)
}

fn way(draft: &mut Draft, panel: &Panel) -> Result<Id, Refused> {
    let id = fresh::id(&draft.survey, &format!("{}.", panel.id));
    let taken: Vec<u16> = panel.ways.iter().flat_map(|way| way.spaces.iter().copied()).collect();
    let spaces = fresh::spaces(&taken, &[1]);
    let mut way = json!({ "id": id, "device": {} });
    if !spaces.is_empty() {
        way["spaces"] = json!(spaces);
    }
    draft.insert(List::Ways(panel.id.clone()), panel.ways.len(), &way)?;
    Ok(id)
}

pub(super) fn run(draft: &mut Draft, from: &Id, planned: bool) -> Result<Id, Refused> {
    let id = fresh::id(&draft.survey, "R");
    let at = draft.survey.runs.len();
    let mut run = json!({ "id": id, "from": from });
    if planned {
        run["planned"] = true.into();
    }
    draft.insert(List::Runs, at, &run)?;
    Ok(id)
}

pub(super) fn load(draft: &mut Draft, run: &Id, kind: Option<LoadKind>) -> Result<Id, Refused> {
    let survey = &draft.survey;
    let id = fresh::id(survey, "L");
    let names = survey.loads.iter().map(|load| load.name.as_str());
    let word = kind.map_or_else(|| "Load".to_owned(), |kind| super::capital(kind.words()));
    let name = first_or_numbered(&word, kind.is_some(), names);
    let at = survey.loads.len();
    let stands = kind.unwrap_or(LoadKind::Other);
    draft.insert(List::Loads, at, &json!({ "id": id, "name": name, "on": run, "kind": stands }))?;
    if kind.is_none() {
        draft.doubt(&id, "kind", "")?;
    }
    Ok(id)
}

fn transfer(draft: &mut Draft) -> Result<Id, Refused> {
    let survey = &draft.survey;
    let id = fresh::id(survey, "T");
    let names = survey.transfers.iter().map(|transfer| transfer.name.as_str());
    let name = fresh::name("Transfer switch", names);
    let inputs: Vec<Value> = (1..=2)
        .map(|number| json!({ "id": format!("{id}.{number}"), "name": format!("Input {number}") }))
        .collect();
    let at = survey.transfers.len();
    draft.insert(List::Transfers, at, &json!({ "id": id, "name": name, "positions": inputs }))?;
    Ok(id)
}

fn position(draft: &mut Draft, transfer: &Id) -> Result<Id, Refused> {
    let survey = &draft.survey;
    let Some(Place::Transfer(at)) = Place::find(survey, transfer) else { return Err(Refused::changed()) };
    let positions = &survey.transfers[at].positions;
    let id = fresh::id(survey, &format!("{transfer}."));
    let name = fresh::name("Input", positions.iter().map(|position| position.name.as_str()));
    let number = positions.len();
    draft.insert(List::Positions(transfer.clone()), number, &json!({ "id": id, "name": name }))?;
    Ok(id)
}

fn interlock(draft: &mut Draft, way: Option<Id>) -> Result<Id, Refused> {
    let survey = &draft.survey;
    let id = fresh::id(survey, "K");
    let name = fresh::name("Interlock", survey.interlocks.iter().map(|interlock| interlock.name.as_str()));
    let ways: Vec<Id> = way.into_iter().collect();
    let at = survey.interlocks.len();
    draft.insert(List::Interlocks, at, &json!({ "id": id, "name": name, "ways": ways }))?;
    Ok(id)
}

fn mode(draft: &mut Draft) -> Result<Id, Refused> {
    let survey = &draft.survey;
    let id = fresh::id(survey, "mode");
    let name = fresh::name("Mode", survey.modes.iter().map(|mode| mode.name.as_str()));
    let at = survey.modes.len();
    draft.insert(List::Modes, at, &json!({ "id": id, "name": name }))?;
    Ok(id)
}

fn inlet(draft: &mut Draft) -> Result<Id, Refused> {
    let survey = &draft.survey;
    let id = fresh::id(survey, "I");
    let name = fresh::name("Inlet", survey.inlets.iter().map(|inlet| inlet.name.as_str()));
    let at = survey.inlets.len();
    draft.insert(List::Inlets, at, &json!({ "id": id, "name": name }))?;
    Ok(id)
}

fn electrode(draft: &mut Draft, panel: &Id) -> Result<Id, Refused> {
    let id = fresh::id(&draft.survey, "E");
    let at = draft.survey.electrodes.len();
    draft.insert(List::Electrodes, at, &json!({ "id": id, "at": panel }))?;
    Ok(id)
}
