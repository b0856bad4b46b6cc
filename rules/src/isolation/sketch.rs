//! Houses in a few lines, for the tests of this folder and of the checks that rest on it.
//!
//! One item a line; the first word says what it is, the second is its id, the rest are its facts. What
//! a line does not say is known and harmless; `?` for a fact leaves it unknown. Lines of `//` are remarks.
//!
//! ```text
//! utility U                          a supply: utility, inverter, battery, generator, solar;
//! generator G bonded breaker 120        bonded or floating; listed, unlisted or listed? (anti-islanding);
//!                                       breaker, fuse: a device at its output; 120: one hot on both legs;
//!                                       dc; label, nolabel (sign at the service)
//! panel P breaker bonded             the kind of its main: breaker, switch, pull_out, lugs, ?;
//!                                       bonded: neutral and ground joined; service; detached; dc
//! section P.low P.3                  a bus section, fed by a way of the same panel
//! way P.1 breaker 30 lock            a way: breaker, switch, pull_out, fuse, spare, ?; a number: amperes;
//!                                       lock, nolock: whether a padlock holds it; on=P.low: its section
//! run U P                            from, to (`-`: to its loads); cord, plugs (a cord with two), method?;
//!                                       two (no neutral), dc, noground; id=R5; with=R4 (its neutral)
//! transfer T utility battery solid   its positions T.utility and T.battery; solid or switched (neutral);
//!                                       relay; a number: amperes
//! inlet I
//! interlock K plate P P.2            plate, key, label, promise, ?; broken, intact?; a panel stands for its main
//! load L R5 240                      on a run; its voltage
//! mode M U: P.1 closed, P.2 open     the supplies that feed, and how devices stand
//! ```

use serde_json::{Map, Value, json};

use crate::fixture;
use crate::survey::Survey;

/// The house of a sketch. A line that cannot be read is a mistake in the test.
pub(crate) fn house(sketch: &str) -> Value {
    let mut house = json!({
        "deadfront_survey": 1,
        "site": { "name": "Sketch (invented)", "rules": "us", "invented": true, "source_directory": true }
    });
    for line in sketch.lines().map(str::trim).filter(|line| !line.is_empty() && !line.starts_with("//")) {
        let (line, tail) = line.split_once(':').unwrap_or((line, ""));
        let words: Vec<&str> = line.split_whitespace().collect();
        let [what, id, rest @ ..] = words.as_slice() else { panic!("{line}: too short") };
        add(&mut house, what, id, rest, tail);
    }
    house
}

/// The survey of a sketch.
pub(crate) fn survey(sketch: &str) -> Survey {
    fixture::survey(&house(sketch))
}

fn add(house: &mut Value, what: &str, id: &str, rest: &[&str], tail: &str) {
    match what {
        "utility" | "inverter" | "battery" | "generator" | "solar" => {
            push(house, "supplies", supply(what, id, rest));
        }
        "panel" => push(house, "panels", panel(id, rest)),
        "section" => push(panel_of(house, id), "buses", json!({ "id": id, "name": id, "fed_by": rest[0] })),
        "way" => push(panel_of(house, id), "ways", way(id, rest)),
        "run" => {
            let number = house["runs"].as_array().map_or(0, Vec::len);
            push(house, "runs", run(number, id, rest));
        }
        "transfer" => push(house, "transfers", transfer(id, rest)),
        "inlet" => push(house, "inlets", json!({ "id": id, "name": id, "neutral_sign": true })),
        "interlock" => push(house, "interlocks", interlock(id, rest)),
        "load" => {
            let voltage = format!("{} V", rest[1]);
            let load = json!({ "id": id, "name": id, "on": rest[0], "kind": "lighting", "voltage": voltage });
            push(house, "loads", load);
        }
        "mode" => push(house, "modes", mode(id, rest, tail)),
        other => panic!("{other}: no such item"),
    }
}

fn push(to: &mut Value, list: &str, item: Value) {
    let fields = to.as_object_mut().expect("an object");
    let list = fields.entry(list).or_insert_with(|| json!([]));
    list.as_array_mut().expect("a list").push(item);
}

fn panel_of<'v>(house: &'v mut Value, id: &str) -> &'v mut Value {
    let panel = id.split('.').next().unwrap_or(id);
    let panels = house["panels"].as_array_mut().expect("panels");
    panels.iter_mut().find(|item| item["id"] == panel).unwrap_or_else(|| panic!("{id}: no such panel"))
}

/// A device of this kind with harmless facts; `?` leaves its kind unknown.
fn device(kind: &str) -> Value {
    let kind = match kind {
        "?" => return json!({ "rating": "30 A", "poles": 2, "voltage": "240 V", "lockable": true }),
        "fuse" => "cartridge_fuse",
        other => other,
    };
    if matches!(kind, "lugs" | "spare") {
        return json!({ "kind": kind });
    }
    json!({
        "kind": kind, "rating": "30 A", "poles": 2, "voltage": "240 V", "interrupting_rating": "10 kA",
        "dc_rated": false, "common_trip": true, "lockable": !matches!(kind, "cartridge_fuse" | "pull_out")
    })
}

fn amperes(word: &str) -> Option<String> {
    word.parse::<u16>().ok().map(|amperes| format!("{amperes} A"))
}

fn supply(what: &str, id: &str, rest: &[&str]) -> Value {
    let kind = if what == "inverter" { "battery_inverter" } else { what };
    let mut supply = json!({
        "id": id, "name": id, "kind": kind, "output": "120/240 V", "voltage": "240 V", "neutral_bond": false,
        "anti_islanding": false, "source_label": true, "bond_relay": false
    });
    for word in rest {
        match *word {
            "bonded" => supply["neutral_bond"] = json!(true),
            "floating" | "unlisted" | "label" => {}
            "listed" => supply["anti_islanding"] = json!(true),
            "listed?" => drop(supply.as_object_mut().expect("an object").remove("anti_islanding")),
            "relayed" => supply["bond_relay"] = json!(true),
            "nolabel" => supply["source_label"] = json!(false),
            "120" => supply["output"] = json!("120 V on both legs"),
            "dc" => supply["output"] = json!("DC"),
            kind => supply["output_device"] = device(kind),
        }
    }
    supply
}

fn panel(id: &str, rest: &[&str]) -> Value {
    let bus = json!({ "id": format!("{id}.bus"), "name": "bus", "rating": "200 A" });
    let mut panel = json!({
        "id": id, "name": id, "kind": "breaker_panel", "buses": [bus], "main": device(rest[0]),
        "service_equipment": false, "neutral_bond": false, "detached_building": false
    });
    for word in &rest[1..] {
        match *word {
            "bonded" => panel["neutral_bond"] = json!(true),
            "service" => panel["service_equipment"] = json!(true),
            "detached" => panel["detached_building"] = json!(true),
            "dc" => panel["kind"] = json!("dc_distribution"),
            "nolock" => panel["main"]["lockable"] = json!(false),
            other => panic!("{other}: no fact of a panel"),
        }
    }
    panel
}

fn way(id: &str, rest: &[&str]) -> Value {
    let mut way = json!({ "id": id, "device": device(rest[0]), "leg": "AB" });
    for word in &rest[1..] {
        match *word {
            "lock" => way["device"]["lockable"] = json!(true),
            "nolock" => way["device"]["lockable"] = json!(false),
            "lock?" => drop(way["device"].as_object_mut().expect("an object").remove("lockable")),
            word => match (word.strip_prefix("on="), amperes(word)) {
                (Some(bus), _) => way["bus"] = json!(bus),
                (_, Some(rating)) => way["device"]["rating"] = json!(rating),
                _ => panic!("{word}: no fact of a way"),
            },
        }
    }
    way
}

fn run(number: usize, from: &str, rest: &[&str]) -> Value {
    let mut run = json!({
        "id": format!("R{}", number + 1), "from": from, "circuit": "two_hots_and_neutral", "method": "raceway",
        "material": "copper", "size": "6 AWG", "equipment_ground": "wire", "plug_on_both_ends": false
    });
    if rest[0] != "-" {
        run["to"] = json!(rest[0]);
    }
    for word in &rest[1..] {
        match *word {
            "cord" => run["method"] = json!("cord"),
            "plugs" => {
                run["method"] = json!("cord");
                run["plug_on_both_ends"] = json!(true);
            }
            "method?" => drop(run.as_object_mut().expect("an object").remove("method")),
            "two" => run["circuit"] = json!("two_hots"),
            "one" => run["circuit"] = json!("hot_and_neutral"),
            "dc" => run["circuit"] = json!("dc_pair"),
            "noground" => run["equipment_ground"] = json!("none"),
            word => match word.split_once('=') {
                Some(("id", id)) => run["id"] = json!(id),
                Some(("with", id)) => run["neutral_of"] = json!(id),
                _ => panic!("{word}: no fact of a run"),
            },
        }
    }
    run["name"] = json!(format!("run {}", run["id"].as_str().expect("an id")));
    run
}

fn transfer(id: &str, rest: &[&str]) -> Value {
    let mut facts = Map::new();
    let mut positions = Vec::new();
    for word in rest {
        match *word {
            "solid" | "switched" => drop(facts.insert("switches_neutral".into(), json!(*word == "switched"))),
            "relay" => drop(facts.insert("kind".into(), json!("inverter_relay"))),
            word => match amperes(word) {
                Some(rating) => drop(facts.insert("rating".into(), json!(rating))),
                None => positions.push(json!({ "id": format!("{id}.{word}"), "name": word })),
            },
        }
    }
    let known =
        [("kind", json!("manual_switch")), ("switches_neutral", json!(false)), ("rating", json!("60 A"))];
    for (fact, value) in known {
        facts.entry(fact).or_insert(value);
    }
    let mut transfer = Value::Object(facts);
    (transfer["id"], transfer["name"], transfer["positions"]) = (json!(id), json!(id), json!(positions));
    transfer
}

fn interlock(id: &str, rest: &[&str]) -> Value {
    let mut interlock = json!({ "id": id, "name": id, "intact": true });
    let mut ways = Vec::new();
    for word in rest {
        match *word {
            "plate" => interlock["kind"] = json!("sliding_plate"),
            "key" | "label" | "promise" => interlock["kind"] = json!(word),
            "?" => {}
            "broken" => interlock["intact"] = json!(false),
            "intact?" => drop(interlock.as_object_mut().expect("an object").remove("intact")),
            way => ways.push(way),
        }
    }
    interlock["ways"] = json!(ways);
    interlock
}

fn mode(id: &str, feeds: &[&str], tail: &str) -> Value {
    let stands = tail.split(',').filter(|stand| !stand.trim().is_empty()).map(|stand| {
        let (device, state) =
            stand.trim().split_once(' ').unwrap_or_else(|| panic!("{stand}: how does it stand?"));
        json!({ "device": device, "state": state.trim() })
    });
    json!({ "id": id, "name": id, "feeds": feeds, "devices": stands.collect::<Vec<_>>() })
}
