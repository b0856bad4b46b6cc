//! The last way of a panel again: its device and its wire, with what the new one feeds.

use serde_json::{Value, json};

use super::change::List;
use super::copy::{prefix, way_copy};
use super::draft::Draft;
use super::told::Told;
use super::{Edit, Refused, add, fresh};
use crate::finding::Said;
use crate::say;
use crate::survey::place::Place;
use crate::survey::{Device, Id, LoadKind, Run, Survey, Way};

/// Facts of the wire itself. What follows from where it lies (length, surroundings, state) is never the same by
/// itself and is seen anew.
const OF_WIRE: [&str; 12] = [
    "circuit",
    "material",
    "size",
    "neutral_size",
    "parallel_sets",
    "method",
    "insulation",
    "stranding",
    "raceway",
    "equipment_ground",
    "equipment_ground_size",
    "equipment_ground_material",
];

/// What copying the last way of a panel would copy.
#[derive(Debug, Clone, PartialEq)]
pub struct LastWay {
    /// The way.
    pub way: Id,
    /// Its device, wire and ground in words: `way 4: 20 A, breaker, NM-B cable, 12 AWG, copper, equipment
    /// ground: a grounding wire`.
    pub what: Said,
}

/// The last way of a panel that says something of its device or its wire.
#[must_use]
pub fn last_way(survey: &Survey, panel: &Id) -> Option<LastWay> {
    let panel = survey.panels.iter().find(|other| other.id == *panel)?;
    let way = panel.ways.iter().rev().find(|way| !parts(survey, way).is_empty())?;
    let parts = parts(survey, way).join(", ");
    Some(LastWay { way: way.id.clone(), what: say!("way {}: {}", way.number(), parts) })
}

/// Adds a way to a panel with device and wire of its last one, and a load of a kind on it, in one edit. Gives
/// the edit and the id of the way.
///
/// # Errors
/// When `panel` is no panel, or no way of it says anything of its device or wire.
pub fn copy_last_way(survey: &Survey, panel: &Id, kind: Option<LoadKind>) -> Result<(Edit, Id), Refused> {
    let last = last_way(survey, panel)
        .ok_or_else(|| Refused(say!("No way of this panel says anything of its device or wire yet.")))?;
    let Some(place @ Place::Way(at, number)) = Place::find(survey, &last.way) else {
        return Err(Refused::changed());
    };
    let mut draft = Draft::new(survey);
    let id = fresh::id(survey, &prefix(survey, place));
    let way = &survey.panels[at].ways[number];
    let mut copy = way_copy(&survey.panels[at], number);
    copy["id"] = id.as_str().into();
    let end = survey.panels[at].ways.len();
    draft.insert(List::Ways(panel.clone()), end, &copy)?;
    let doubts = survey.in_doubt.iter().filter(|it| it.on == way.id && it.fact.starts_with("device."));
    doubts.into_iter().try_for_each(|it| draft.doubt(&id, &it.fact, &it.text))?;
    let run = insert_run(&mut draft, run_of(survey, way), &id)?;
    add::load(&mut draft, &run, kind)?;
    let what = last.what.to_string();
    let told = Told::Again { item: draft.name(&id), what, back: false };
    Ok((draft.done(told)?, id))
}

fn insert_run(draft: &mut Draft, original: Option<&Run>, way: &Id) -> Result<Id, Refused> {
    let id = fresh::id(&draft.survey, "R");
    let mut run = json!({ "id": id, "from": way });
    if let Some(original) = original {
        let value = serde_json::to_value(original).map_err(|error| Refused::unfit(error.to_string()))?;
        for field in OF_WIRE {
            if let Some(known) = value.get(field).filter(|known| !known.is_null()) {
                run[field] = known.clone();
            }
        }
        if original.planned {
            run["planned"] = Value::Bool(true);
        }
    }
    let at = draft.survey.runs.len();
    draft.insert(List::Runs, at, &run)?;
    Ok(id)
}

fn run_of<'a>(survey: &'a Survey, way: &Way) -> Option<&'a Run> {
    survey.runs.iter().find(|run| run.from == way.id)
}

/// Device and wire in a few words; empty where neither says anything.
fn parts(survey: &Survey, way: &Way) -> Vec<String> {
    let Device { rating, kind, .. } = &way.device;
    let mut parts: Vec<String> =
        [rating.worded(), kind.worded()].iter().filter_map(|it| it.known().cloned()).collect();
    if let Some(run) = run_of(survey, way) {
        let wire = [run.method.worded(), run.size.worded(), run.material.worded()];
        parts.extend(wire.iter().filter_map(|it| it.known().cloned()));
        // Whoever copies a wire copies what it is grounded by, and has to see that it is so.
        let ground = run.equipment_ground.worded();
        parts.extend(ground.known().map(|path| say!("equipment ground: {}", path.clone()).to_string()));
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture::{one_circuit, survey, with};
    use crate::survey::Panel;

    fn house() -> (Survey, Panel) {
        let survey = survey(&with(one_circuit(), &[]));
        let panel = survey.panels[0].clone();
        (survey, panel)
    }

    #[test]
    fn device_and_wire_come_again_and_what_was_not_seen_does_not() {
        let (mut survey, panel) = house();
        let before = survey.clone();
        let last = last_way(&survey, &panel.id).unwrap();
        let original = run_of(&survey, panel.ways.last().unwrap()).unwrap().clone();
        assert!(original.length.known().is_some(), "the length of this one was measured");
        let (edit, id) = copy_last_way(&survey, &panel.id, Some(LoadKind::Receptacles)).unwrap();
        edit.apply(&mut survey).unwrap();
        let way = survey.panels[0].ways.last().unwrap();
        assert_eq!((&way.id, &way.device), (&id, &panel.ways.last().unwrap().device));
        let run = run_of(&survey, way).unwrap();
        assert_eq!(
            (&run.size, &run.method, &run.material),
            (&original.size, &original.method, &original.material)
        );
        assert!(run.length.is_not_seen() && run.insulation_state.is_not_seen());
        let load = survey.loads.last().unwrap();
        assert_eq!((&load.on, load.kind), (&run.id, LoadKind::Receptacles));
        let told = edit.described().to_string();
        assert!(told.contains(&last.what.to_string()), "{told}");
        assert!(last.what.to_string().ends_with("equipment ground: a grounding wire"), "{}", last.what);
        // One step back takes all of it.
        edit.inverse().apply(&mut survey).unwrap();
        assert_eq!(survey, before);
    }

    #[test]
    fn a_panel_without_anything_to_copy_says_so() {
        let (mut survey, panel) = house();
        for way in &mut survey.panels[0].ways {
            way.device = Device::default();
        }
        survey.runs.retain(|run| !panel.ways.iter().any(|way| way.id == run.from));
        assert_eq!(last_way(&survey, &panel.id), None);
        assert!(copy_last_way(&survey, &panel.id, None).is_err());
        assert!(copy_last_way(&survey, &Id::new("nothing").unwrap(), None).is_err());
    }
}
