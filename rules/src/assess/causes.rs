//! Which findings come from one cause: a device too large for its wire is told at the wire, at the fuse and,
//! in old wiring, once more. The one who mends it wants to know that it is one piece of work.

use crate::calc::ground_path::grounds_end_at;
use crate::finding::{Binding, Cause, Facts, Finding, Verdict};
use crate::house::{House, Item, Protection, site_id};
use crate::survey::{GroundPath, Id, Run};

const DEVICE: &str = "device_larger_than_conductor";
const GROUND: &str = "equipment_ground_missing_or_small";
const FUSES: &str = "fuse_larger_than_wire";

/// Writes its cause on everything that falls short, where the check has not done so itself.
pub(super) fn tell(house: &House<'_>, findings: &mut [Finding]) {
    let short = findings.iter_mut().filter(|finding| finding.verdict == Verdict::FallsShort);
    for finding in short.filter(|finding| finding.cause.is_none()) {
        finding.cause = cause(house, finding).map(|(check, item)| Cause { check, item });
    }
}

fn cause(house: &House<'_>, finding: &Finding) -> Option<(&'static str, Id)> {
    let own = &finding.subject.id;
    let has_limit = finding.limit.is_some();
    let of_device = |name: &'static str| Some((name, device_ahead(house, own)?));
    match finding.check {
        DEVICE | "run_unprotected" | "fault_heats_conductor_past_limit" | "terminal_runs_too_hot" => {
            of_device(DEVICE)
        }
        // Beside the size of the device these checks look at what has none: insulation, joints.
        "knob_and_tube_buried" | "aluminium_branch_wiring" if has_limit => of_device(DEVICE),
        FUSES if has_limit => Some((DEVICE, own.clone())),
        FUSES => Some((FUSES, panel_of(house, own)?)),
        "load_larger_than_conductor" | "load_larger_than_device" => of_device("load_larger_than_device"),
        "feeder_overloaded" | "measured_current_above_rating" => Some(("feeder_overloaded", own.clone())),
        GROUND | "armor_as_ground" | "ungrounded_three_slot" => Some((GROUND, ground(house, own)?)),
        // Only outlets that promise a ground stand there as a hazard by themselves.
        "no_ground_fault_protection" if finding.binding == Binding::Hazard => {
            Some((GROUND, ground(house, own)?))
        }
        // A fault that has no way back at all; where it has one, the finding tells a figure.
        "fault_current_too_low_to_trip" if !has_limit => Some((GROUND, ground(house, own)?)),
        "hots_of_shared_neutral_not_tied" | "dead_part_can_be_fed_back"
            if house.run_number(own).is_some() =>
        {
            Some(("dead_part_can_be_fed_back", own.clone()))
        }
        "device_voltage_too_low" => Some(("device_voltage_too_low", circuit_of(house, own)?)),
        "no_source_label" => Some(("no_source_label", site_id())),
        "interlock_defeated" => Some(("interlock_defeated", own.clone())),
        _ => None,
    }
}

/// Where the device ahead of a run sits.
fn device_ahead(house: &House<'_>, run: &Id) -> Option<Id> {
    match house.protection(house.run_number(run)?) {
        Protection::Ahead(guard) => Some(guard.at.clone()),
        _ => None,
    }
}

fn panel_of(house: &House<'_>, item: &Id) -> Option<Id> {
    match house.index.get(item)? {
        Item::Panel(panel) | Item::Bus(panel, _) | Item::Way(panel, _) => {
            Some(house.survey.panels[panel].id.clone())
        }
        _ => None,
    }
}

/// The run that an item is, hangs on, or feeds.
fn run_at(house: &House<'_>, item: &Id) -> Option<usize> {
    match house.index.get(item)? {
        Item::Run(run) => Some(run),
        Item::Load(load) => house.run_number(&house.survey.loads[load].on),
        Item::Way(panel, way) => house.runs_from_way(panel, way).next(),
        _ => None,
    }
}

/// The first run of the circuit that a way feeds, also where it comes from two ways.
fn circuit_of(house: &House<'_>, way: &Id) -> Option<Id> {
    let run = match house.index.get(way)? {
        Item::Way(panel, number) => house.runs_from_way(panel, number).next()?,
        _ => return None,
    };
    Some(house.survey.runs[run].id.clone())
}

/// What a circuit without a ground is mended at: where it begins if a piece of it has none, else the feeder
/// ahead that has none.
fn ground(house: &House<'_>, item: &Id) -> Option<Id> {
    let run = run_at(house, item)?;
    let is_bare =
        |run: &Run| matches!(run.equipment_ground.get(), Some(GroundPath::None | GroundPath::ArmorOnly));
    if !house.runs_back_from(run).any(is_bare)
        && let Some(Some(feeder)) = grounds_end_at(house, run, &mut Facts::new())
    {
        return Some(feeder.id.clone());
    }
    let first = house.runs_back_from(run).last()?;
    // The pieces on one device are one circuit. What hangs on a feeder leads to it by its own id, and where
    // several runs begin at the lugs of a panel each is one of its own.
    let is_circuit = matches!(house.index.get(&first.from), Some(Item::Way(..)));
    Some(if is_circuit && house.panel_beyond(run).is_none() { first.from.clone() } else { first.id.clone() })
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use crate::assess;
    use crate::finding::Finding;
    use crate::fixture::{behind_a_feeder, one_circuit, survey, with};
    use crate::survey::Survey;

    /// `check@item` of everything that falls short from this cause.
    fn from(survey: &Survey, check: &str, item: &str) -> Vec<String> {
        let findings = assess(survey).findings;
        let is_from = |finding: &&Finding| {
            finding.cause.as_ref().is_some_and(|cause| cause.check == check && cause.item.as_str() == item)
        };
        let name = |finding: &Finding| format!("{}@{}", finding.check, finding.subject.id);
        findings.iter().filter(is_from).map(name).collect()
    }

    /// A 30 A plug fuse on old 14 AWG: wire, fuse and old wiring tell of it, the insulation is another matter.
    #[test]
    fn one_device_is_one_cause() {
        let house = with(
            one_circuit(),
            &[
                ("/panels/0/ways/0/device/kind", json!("plug_fuse")),
                ("/panels/0/ways/0/device/rating", json!("30 A")),
                ("/runs/1/size", json!("14 AWG")),
                ("/runs/1/method", json!("knob_and_tube")),
                ("/runs/1/insulation_contact", json!("surrounded")),
            ],
        );
        let found = from(&survey(&house), "device_larger_than_conductor", "P.1");
        assert!(found.contains(&"device_larger_than_conductor@R".to_owned()), "{found:?}");
        assert!(found.contains(&"fuse_larger_than_wire@P.1".to_owned()), "{found:?}");
        assert_eq!(
            found.iter().filter(|name| name.starts_with("knob_and_tube_buried")).count(),
            1,
            "{found:?}"
        );
    }

    /// A circuit with a ground behind a feeder without one comes from the feeder; one that has none itself, from
    /// where it begins.
    #[test]
    fn a_missing_ground_lies_where_it_is_mended() {
        let house = |own: &str| {
            let feeder = behind_a_feeder(json!("none"), json!(false));
            let last = feeder["runs"].as_array().map_or(0, Vec::len) - 1;
            survey(&with(feeder, &[(&format!("/runs/{last}/equipment_ground"), json!(own))]))
        };
        let check = super::GROUND;
        let feeder = house("wire").runs[5].id.to_string();
        let names = |found: Vec<String>| found.join(" ");
        let through = names(from(&house("wire"), check, &feeder));
        assert_eq!(through, format!("{check}@{feeder} {check}@RX fault_current_too_low_to_trip@P2.1"));
        assert_eq!(names(from(&house("none"), check, &feeder)), format!("{check}@{feeder}"));
        assert_eq!(names(from(&house("none"), check, "P2.1")), format!("{check}@RX"));
    }
}
