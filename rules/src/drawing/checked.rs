//! Houses and measures for the tests of drawings.

use proptest::prelude::*;
use serde_json::{Value, json};

use super::letters::Letters;
use super::scene::{Anchor, Rect, Scene, TextSize};
use crate::fixture;
use crate::survey::Survey;

/// A stand-in for a font: about as wide as Noto Sans.
pub(super) fn width(text: &str, size: TextSize, bold: bool) -> f32 {
    text.chars().count() as f32 * size.units() * if bold { 0.6 } else { 0.55 }
}

pub(super) fn letters() -> Letters<'static> {
    Letters::new(&width)
}

/// The invented demo house.
pub(super) fn demo() -> Survey {
    serde_json::from_str(include_str!("../../../app/src/demo/demo-survey.json")).unwrap()
}

pub(super) fn standby() -> Survey {
    fixture::survey(&fixture::standby())
}

pub(super) fn with_battery() -> Survey {
    fixture::survey(&fixture::with_battery())
}

/// Where the letters of a text stand.
fn letters_of(text: &super::scene::TextShape) -> Rect {
    let wide = width(&text.text, text.size, text.bold);
    let x = match text.anchor {
        Anchor::Start => text.frame.x,
        Anchor::Middle => text.frame.centre().x - wide / 2.0,
        Anchor::End => text.frame.right() - wide,
    };
    let high = text.size.units();
    Rect::new(x, text.frame.centre().y - high / 2.0, wide, high)
}

/// Every text fits its box and the scene, and no two lie on each other.
pub(super) fn assert_texts(scene: &Scene) {
    let all = Rect::new(0.0, 0.0, scene.width, scene.height);
    let placed: Vec<(Rect, &str)> =
        scene.texts().map(|text| (letters_of(text), text.text.as_str())).collect();
    for (text, (rect, words)) in scene.texts().zip(&placed) {
        assert!(rect.width <= text.frame.width + 0.01, "{words} is wider than its box");
        assert!(all.holds(rect, 0.5), "{words} lies outside: {rect:?} of {all:?}");
    }
    for (at, (one, words)) in placed.iter().enumerate() {
        for (two, others) in &placed[at + 1..] {
            assert!(!one.overlaps(two, 3.0), "{words} {one:?} lies on {others} {two:?}");
        }
    }
}

/// Every number of a scene is one.
pub(super) fn assert_finite(scene: &Scene) {
    let rects = scene.places.iter().map(|place| place.rect);
    let rects = rects.chain(scene.hits.iter().map(|hit| hit.rect)).chain(scene.texts().map(|t| t.frame));
    for rect in rects {
        assert!([rect.x, rect.y, rect.width, rect.height].iter().all(|n| n.is_finite()), "{rect:?}");
    }
    assert!(scene.width.is_finite() && scene.height.is_finite());
}

/// Houses as somebody might type them while the survey is half done: references that lead nowhere or in
/// circles, spaces used twice, devices of any kind.
pub(super) fn houses() -> impl Strategy<Value = Survey> {
    let way = (
        proptest::collection::vec(0_u16..14, 0..3),
        0_usize..10,
        prop::option::of(prop::bool::ANY),
        0_usize..4,
    );
    let panel = (proptest::collection::vec(way, 0..9), 0_usize..4, 0_usize..8);
    let run = (0_usize..64, prop::option::of(0_usize..64), prop::option::of(0_usize..64), prop::bool::ANY);
    (
        proptest::collection::vec(panel, 0..5),
        proptest::collection::vec(run, 0..24),
        0_usize..4,
        proptest::collection::vec((0_usize..64, 0_usize..64), 0..3),
        proptest::collection::vec((0_usize..64, 0_usize..24), 0..10),
    )
        .prop_map(|(panels, runs, supplies, interlocks, loads)| {
            let house = build(&panels, &runs, supplies, &interlocks, &loads);
            serde_json::from_value(house).expect("a survey")
        })
}

type WayPlan = (Vec<u16>, usize, Option<bool>, usize);
type PanelPlan = (Vec<WayPlan>, usize, usize);
type RunPlan = (usize, Option<usize>, Option<usize>, bool);

const DEVICES: [&str; 9] = [
    "breaker",
    "tandem_breaker",
    "plug_fuse",
    "cartridge_fuse",
    "pull_out",
    "fused_switch",
    "switch",
    "lugs",
    "spare",
];
const PANELS: [&str; 7] = [
    "breaker_panel",
    "plug_fuse_panel",
    "cartridge_pull_out",
    "split_bus",
    "load_side_subpanel",
    "disconnect",
    "dc_distribution",
];
const SUPPLIES: [&str; 4] = ["utility", "battery_inverter", "generator", "solar"];
const LOADS: [&str; 5] = ["lighting", "range", "well_pump", "receptacles", "vehicle_charger"];

fn build(
    panels: &[PanelPlan],
    runs: &[RunPlan],
    supplies: usize,
    interlocks: &[(usize, usize)],
    loads: &[(usize, usize)],
) -> Value {
    let mut starts: Vec<String> = vec!["nothing".into()];
    let mut ends: Vec<String> = vec!["nothing".into()];
    let mut ways: Vec<String> = vec!["nowhere".into()];
    let panels: Vec<Value> = panels
        .iter()
        .enumerate()
        .map(|(at, plan)| panel(at, plan, &mut starts, &mut ends, &mut ways))
        .collect();
    starts.extend((0..supplies).map(|at| format!("S{at}")));
    ends.extend((0..supplies).map(|at| format!("S{at}")));
    starts.extend((0..runs.len()).map(|at| format!("R{at}")));
    starts.extend(["T".into(), "I".into()]);
    ends.extend(["T.a".into(), "T.b".into(), "I".into()]);
    let pick = |list: &[String], at: usize| list[at % list.len()].clone();
    let runs: Vec<Value> = runs
        .iter()
        .enumerate()
        .map(|(at, (from, also, to, planned))| {
            let mut run =
                json!({ "id": format!("R{at}"), "name": format!("Run {at}"), "from": pick(&starts, *from) });
            if let Some(also) = also.filter(|also| also % 4 == 0) {
                run["also_from"] = json!(pick(&ways, also));
            }
            if let Some(to) = to {
                run["to"] = json!(pick(&ends, *to));
            }
            if *planned {
                run["planned"] = json!(true);
            }
            run
        })
        .collect();
    let loads: Vec<Value> = loads
        .iter()
        .enumerate()
        .map(|(at, (on, kind))| {
            json!({ "id": format!("L{at}"), "name": format!("Load {at}"), "on": format!("R{on}"),
                    "kind": LOADS[kind % LOADS.len()] })
        })
        .collect();
    let interlocks: Vec<Value> = interlocks
        .iter()
        .enumerate()
        .map(|(at, (one, two))| {
            json!({ "id": format!("K{at}"), "name": format!("Plate {at}"),
                    "ways": [pick(&ways, *one), pick(&ways, *two)] })
        })
        .collect();
    let supplies: Vec<Value> = (0..supplies)
        .map(|at| json!({ "id": format!("S{at}"), "name": format!("Source {at}"), "kind": SUPPLIES[at] }))
        .collect();
    json!({
        "deadfront_survey": 1, "site": { "name": "Random (invented)", "rules": "us", "invented": true },
        "supplies": supplies, "panels": panels, "runs": runs, "loads": loads, "interlocks": interlocks,
        "transfers": [{ "id": "T", "name": "Switch", "positions": [
            { "id": "T.a", "name": "one" }, { "id": "T.b", "name": "two" }] }],
        "inlets": [{ "id": "I", "name": "Inlet" }],
        "electrodes": [{ "id": "E0", "at": "P0", "kind": "rod" }],
    })
}

fn panel(
    at: usize,
    (ways, sections, kind): &PanelPlan,
    starts: &mut Vec<String>,
    ends: &mut Vec<String>,
    all_ways: &mut Vec<String>,
) -> Value {
    let id = format!("P{at}");
    let buses: Vec<Value> = (0..*sections)
        .map(|bus| {
            let mut item = json!({ "id": format!("{id}.b{bus}"), "name": format!("section {bus}") });
            if bus > 0 {
                item["fed_by"] = json!(format!("{id}.{}", bus - 1));
            }
            item
        })
        .collect();
    starts.push(id.clone());
    ends.push(id.clone());
    let ways: Vec<Value> = ways
        .iter()
        .enumerate()
        .map(|(way, (spaces, device, half, bus))| {
            let way_id = format!("{id}.{way}");
            starts.push(way_id.clone());
            ends.push(way_id.clone());
            all_ways.push(way_id.clone());
            let mut item = json!({ "id": way_id, "spaces": spaces, "label": format!("Circuit {way}") });
            if let Some(kind) = DEVICES.get(*device) {
                item["device"] = json!({ "kind": kind, "rating": "30 A", "poles": 1 + device % 2 });
            }
            if let Some(upper) = half {
                item["half"] = json!(if *upper { "a" } else { "b" });
            }
            if *sections > 0 {
                item["bus"] = json!(format!("{id}.b{}", bus % sections));
            }
            item
        })
        .collect();
    let mut panel = json!({ "id": id, "name": format!("Panel {at}"), "buses": buses, "ways": ways });
    if let Some(kind) = PANELS.get(*kind) {
        panel["kind"] = json!(kind);
    }
    panel
}
