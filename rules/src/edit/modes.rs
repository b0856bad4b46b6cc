//! Modes: how the house is meant to stand, as the surveyor says.

use serde_json::json;

use super::change::List;
use super::draft::Draft;
use super::told::Told;
use super::{Edit, Refused, fresh};
use crate::survey::{DeviceState, Id, Survey};

/// Adds an intended mode: its name, the supplies that feed in it, and how the devices between them
/// stand. Gives the edit and the mode's id.
///
/// # Errors
/// When an id names no supply or nothing that switches, or the name is too long.
pub fn add_mode(
    survey: &Survey,
    name: &str,
    feeds: &[Id],
    devices: &[(Id, DeviceState)],
) -> Result<(Edit, Id), Refused> {
    let mut draft = Draft::new(survey);
    let id = fresh::id(survey, "mode");
    let stands: Vec<_> =
        devices.iter().map(|(device, state)| json!({ "device": device, "state": state })).collect();
    let mode = json!({ "id": id, "name": name.trim(), "feeds": feeds, "devices": stands });
    draft.insert(List::Modes, survey.modes.len(), &mode)?;
    let told = Told::Added { item: draft.name(&id), more: 0 };
    Ok((draft.done(told)?, id))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::edit::remove;
    use crate::fixture;

    #[test]
    fn a_mode_is_added_and_lets_go_of_a_device_that_is_removed() {
        let mut survey: Survey = serde_json::from_value(fixture::standby()).unwrap();
        let supply = survey.supplies[0].id.clone();
        let way = survey.panels[0].ways[0].id.clone();
        let devices = [(way.clone(), DeviceState::Open)];
        let (edit, id) = add_mode(&survey, "under repair", &[supply], &devices).unwrap();
        edit.apply(&mut survey).unwrap();
        assert_eq!(survey.modes.last().unwrap().id, id);
        remove(&survey, &way).unwrap().apply(&mut survey).unwrap();
        let mode = survey.modes.last().unwrap();
        assert!(mode.devices.is_empty() && mode.feeds.len() == 1);
    }

    #[test]
    fn a_mode_of_nothing_that_switches_is_refused() {
        let survey: Survey = serde_json::from_value(fixture::standby()).unwrap();
        let nothing = Id::new("nothing").unwrap();
        assert!(add_mode(&survey, "on nothing", &[nothing], &[]).is_err());
    }
}
