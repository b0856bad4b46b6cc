//! A small survey built around one candidate conductor, so that the rules that check a house also
//! size a run and no rule is written twice.

use std::sync::LazyLock;

use serde_json::json;

use super::request::{Purpose, Request, Wanted};
use crate::finding::rounded;
use crate::si::{Current, ampere, volt};
use crate::survey::quantity::Dimension;
use crate::survey::{
    Circuit, CordUse, Device, DeviceKind, Entered, Era, Fact, GroundPath, InsulationState, Leg, LoadKind,
    Material, Method, Output, Run, Survey, WireSize,
};

/// Place of the run in the survey's list.
pub(super) const RUN: usize = 0;

/// What differs from candidate to candidate.
#[derive(Debug, Clone, Copy)]
pub(super) struct Parts {
    /// Metal.
    pub(super) material: Material,
    /// Size of the hots.
    pub(super) size: WireSize,
    /// Size of the grounding wire, where a wire serves and its size is known by now.
    pub(super) ground: Option<WireSize>,
    /// Rating of the device, if known by now.
    pub(super) device: Option<Current>,
    /// Power factor [share], where the request leaves it open.
    pub(super) power_factor: Option<f64>,
}

/// The items of a survey without a single fact; the run comes first.
static SKELETONS: LazyLock<[Survey; 4]> = LazyLock::new(|| {
    let way = json!({ "id": "way", "spaces": [1] });
    let panel = json!({ "id": "panel", "name": "Panel", "ways": [way] });
    let service = json!({ "id": "service", "from": "supply", "to": "panel" });
    let load = json!({ "id": "load", "name": "Load", "on": "run", "kind": "other" });
    let of = |kind: &str, panels, runs, loads| {
        let survey = json!({
            "deadfront_survey": crate::survey::FORMAT,
            "site": { "name": "Sizing", "rules": "us" },
            "supplies": [{ "id": "supply", "name": "Supply", "kind": kind }],
            "panels": panels, "runs": runs, "loads": loads,
        });
        match serde_json::from_value(survey) {
            Ok(survey) => survey,
            // A test builds each of them.
            Err(error) => unreachable!("{error}"),
        }
    };
    let subpanel = json!({ "id": "subpanel", "name": "Subpanel" });
    let run = json!({ "id": "run", "from": "way" });
    let feeder = json!({ "id": "run", "from": "way", "to": "subpanel" });
    let mains = json!({ "id": "run", "from": "supply", "to": "panel" });
    let direct = json!({ "id": "run", "from": "supply" });
    [
        of("utility", json!([panel]), json!([run, service]), json!([load])),
        of("utility", json!([panel, subpanel]), json!([feeder, service]), json!([])),
        of("utility", json!([panel]), json!([mains]), json!([])),
        of("battery", json!([]), json!([direct]), json!([load])),
    ]
});

fn skeleton(request: &Request) -> Survey {
    let at = match (request.circuit, request.purpose) {
        (Circuit::DcPair, _) => 3,
        (_, Purpose::Equipment | Purpose::Receptacles) => 0,
        (_, Purpose::Feeder) => 1,
        (_, Purpose::Service) => 2,
    };
    SKELETONS[at].clone()
}

/// The survey of a candidate.
pub(super) fn build(request: &Request, parts: &Parts) -> Survey {
    let mut survey = skeleton(request);
    fill_supply(&mut survey, request);
    let device = device(request, parts);
    match (request.circuit, request.purpose) {
        (Circuit::DcPair, _) => survey.supplies[0].output_device = device,
        (_, Purpose::Service) => survey.panels[0].main = device,
        _ => {
            let way = &mut survey.panels[0].ways[0];
            way.device = device;
            way.leg = Fact::Known(if poles(request.circuit) > 1 { Leg::Both } else { Leg::A });
        }
    }
    for panel in &mut survey.panels {
        if panel.main.is_blank() {
            panel.main.kind = Fact::Known(DeviceKind::Lugs);
        }
    }
    fill_run(&mut survey.runs[RUN], request, parts);
    fill_load(&mut survey, request, parts);
    survey
}

fn fill_supply(survey: &mut Survey, request: &Request) {
    let volts = request.voltage.quantity().get::<volt>();
    let (output, volts) = match (request.circuit, request.wye) {
        (Circuit::DcPair, _) => (Output::Dc, volts),
        (Circuit::HotNeutral, _) => (Output::Split, 2.0 * volts),
        (_, true) => (Output::Wye, volts),
        (_, false) => (Output::Split, volts),
    };
    survey.supplies[0].output = Fact::Known(output);
    survey.supplies[0].voltage = entered(&format!("{} V", rounded(volts, 3)));
}

fn poles(circuit: Circuit) -> u8 {
    if circuit == Circuit::HotNeutral { 1 } else { 2 }
}

fn device(request: &Request, parts: &Parts) -> Device {
    let direct = request.circuit == Circuit::DcPair;
    let kind = if direct { DeviceKind::CartridgeFuse } else { DeviceKind::Breaker };
    Device {
        kind: Fact::Known(kind),
        rating: parts.device.map_or(Fact::NotSeen, in_amperes),
        poles: Fact::Known(poles(request.circuit)),
        voltage: Fact::Known(request.voltage.clone()),
        dc_rated: Fact::Known(direct),
        common_trip: Fact::Known(poles(request.circuit) > 1),
        ..Device::default()
    }
}

fn fill_run(run: &mut Run, request: &Request, parts: &Parts) {
    let size = entered(&parts.size.to_string());
    let has_neutral = matches!(request.circuit, Circuit::HotNeutral | Circuit::TwoHotsNeutral);
    run.planned = true;
    run.circuit = Fact::Known(request.circuit);
    run.material = Fact::Known(parts.material);
    run.size = size.clone();
    run.neutral_size = if has_neutral { size } else { Fact::NotSeen };
    run.parallel_sets = Fact::Known(1);
    run.method = Fact::Known(request.method);
    run.insulation = request.insulation;
    run.stranding = request.stranding;
    run.length = Fact::Known(request.length.clone());
    run.ambient = request.ambient.clone();
    run.conductors_together = request.conductors_together;
    run.cables_in_one_hole = request.cables_in_one_hole;
    run.raceway = request.raceway;
    run.insulation_contact = request.insulation_contact;
    run.wet = request.wet;
    run.from_terminal = request.terminals;
    run.to_terminal = request.terminals;
    run.neutral_opened = Fact::Known(false);
    run.era = Fact::Known(Era::Since2008);
    run.carries_whole_dwelling = Fact::Known(request.carries_whole_dwelling);
    run.insulation_state = Fact::Known(InsulationState::Sound);
    if request.method == Method::Cord {
        run.cord_use = Fact::Known(CordUse::Plugged);
        run.plug_on_both_ends = Fact::Known(false);
    }
    let path = ground_path(request);
    run.equipment_ground = Fact::Known(path);
    if path == GroundPath::Wire {
        run.equipment_ground_material = Fact::Known(parts.material);
        run.equipment_ground_size = parts.ground.map_or(Fact::NotSeen, |size| entered(&size.to_string()));
    }
}

/// What serves as equipment ground: a wire, unless the armor is made for it. Service conductors
/// have none: the neutral serves up to the service disconnect.
pub(super) fn ground_path(request: &Request) -> GroundPath {
    match (request.purpose, request.method) {
        (Purpose::Service, _) => GroundPath::None,
        (_, Method::Ac) => GroundPath::ArmorWithStrip,
        _ => GroundPath::Wire,
    }
}

fn fill_load(survey: &mut Survey, request: &Request, parts: &Parts) {
    if let Wanted::Current(current) = &request.wanted {
        let fed = survey.panels.iter_mut().find(|_| request.purpose == Purpose::Service);
        if let Some(panel) = fed {
            panel.demand = Fact::Known(current.clone());
        }
    }
    let Some(load) = survey.loads.first_mut() else { return };
    load.kind = match (&request.wanted, request.purpose) {
        (Wanted::Motor(_), _) => LoadKind::Motor,
        (Wanted::Plate { .. }, _) => LoadKind::AirConditioner,
        (_, Purpose::Receptacles) => LoadKind::Receptacles,
        _ => LoadKind::Other,
    };
    if request.purpose == Purpose::Receptacles {
        // Two are the fewest that are several.
        load.outlet_count = Fact::Known(2);
    }
    load.voltage = Fact::Known(request.voltage.clone());
    load.continuous = Fact::Known(request.continuous);
    load.power_factor = match parts.power_factor {
        Some(share) => entered(&format!("{} %", rounded(share * 100.0, 0))),
        None => request.power_factor.clone(),
    };
    match &request.wanted {
        Wanted::Current(current) => load.current = Fact::Known(current.clone()),
        Wanted::Power(power) => load.power = Fact::Known(power.clone()),
        Wanted::ApparentPower(power) => load.apparent_power = Fact::Known(power.clone()),
        Wanted::Motor(horsepower) => load.horsepower = Fact::Known(horsepower.clone()),
        Wanted::Plate { mca, mocp } => {
            load.mca = Fact::Known(mca.clone());
            load.mocp = Fact::Known(mocp.clone());
        }
    }
}

fn in_amperes<D: Dimension>(current: Current) -> Fact<Entered<D>> {
    entered(&format!("{} A", rounded(current.get::<ampere>(), 3)))
}

/// A fact from its text; what cannot be read stays unknown and is asked for.
fn entered<D: Dimension>(text: &str) -> Fact<Entered<D>> {
    Entered::new(text).map_or(Fact::NotSeen, Fact::Known)
}
