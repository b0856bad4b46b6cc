//! Small invented houses for the tests of checks and calculations.

use serde_json::{Value, json};

use crate::checks::CheckInfo;
use crate::finding::Finding;
use crate::house::House;
use crate::survey::{Survey, validate};

/// One utility, one breaker panel, one 15 A circuit of 14 AWG NM-B with one lighting load; every
/// fact known and right. Tests change one fact with [`with`].
pub(crate) fn one_circuit() -> Value {
    json!({
        "deadfront_survey": 1,
        "site": {
            "name": "Test house (invented)", "rules": "us", "invented": true,
            "floor_area": "1200 ft2", "built": 1931, "one_family": true,
            "electrode_found": true, "outdoor_disconnect": true, "source_directory": true
        },
        "supplies": [{
            "id": "U", "name": "Utility", "kind": "utility", "output": "120/240 V", "voltage": "240 V",
            "transformer_rating": "25 kVA", "transformer_impedance": "2 %", "transformer_resistance": "1.3 %",
            "source_label": true
        }],
        "panels": [{
            "id": "P", "name": "Main panel",
            "buses": [{ "id": "P.bus", "name": "main bus", "rating": "125 A" }],
            "main": {
                "kind": "breaker", "rating": "100 A", "poles": 2, "voltage": "240 V",
                "interrupting_rating": "22 kA", "common_trip": true, "gfci": false, "afci": false,
                "rated_100_percent": false, "lockable": true
            },
            "ways": [{
                "id": "P.1", "spaces": [1], "label": "Hall lights",
                "device": {
                    "kind": "breaker", "rating": "15 A", "poles": 1, "voltage": "120 V",
                    "interrupting_rating": "10 kA", "gfci": false, "afci": false, "rated_100_percent": false
                },
                "leg": "A", "wires_on_terminal": 1, "terminal_takes": 1, "bus_end": "middle", "marks": "none"
            }],
            "kind": "breaker_panel", "room": "basement", "service_equipment": true, "neutral_bond": true,
            "clear_depth": "40 in", "clear_width": "36 in", "clear_height": "7 ft", "width": "14 in",
            "grounded_wall_opposite": false, "neutral_bar_rating": "125 A", "marks": "none",
            "asbestos_suspected": false, "doubtful_make": false, "detached_building": false,
            "overfusing_signs": false, "demand": "40 A", "demand_from": "calculation"
        }],
        "runs": [
            {
                "id": "RS", "name": "Service entrance", "from": "U", "to": "P",
                "circuit": "two_hots_and_neutral", "material": "copper", "size": "4 AWG", "parallel_sets": 1,
                "method": "se", "stranding": "stranded", "length": "40 ft", "ambient": "77 F",
                "conductors_together": 2, "cables_in_one_hole": 1, "raceway": "none",
                "insulation_contact": "none", "wet": false, "from_terminal": "75 C", "to_terminal": "75 C",
                "neutral_size": "4 AWG", "neutral_opened": false, "equipment_ground": "none",
                "era": "since_2008", "carries_whole_dwelling": true, "insulation_state": "sound"
            },
            {
                "id": "R", "name": "Hall lights circuit", "from": "P.1",
                "circuit": "hot_and_neutral", "material": "copper", "size": "14 AWG", "parallel_sets": 1,
                "method": "nm_b", "stranding": "solid", "length": "30 ft", "ambient": "77 F",
                "conductors_together": 2, "cables_in_one_hole": 1, "raceway": "none",
                "insulation_contact": "none", "wet": false, "from_terminal": "60 C", "to_terminal": "60 C",
                "neutral_size": "14 AWG", "neutral_opened": false, "equipment_ground": "wire",
                "equipment_ground_size": "14 AWG", "equipment_ground_material": "copper",
                "era": "since_2008", "carries_whole_dwelling": false, "insulation_state": "sound"
            }
        ],
        "loads": [{
            "id": "L", "name": "Hall lights", "on": "R", "kind": "lighting",
            "voltage": "120 V", "power": "600 W", "power_factor": "100 %", "continuous": false,
            "room": "hall", "outlets": "hard_wired", "outlet_count": 4, "gfci_protected": false
        }],
        "electrodes": [{
            "id": "E", "at": "P", "kind": "concrete_encased", "conductor_size": "6 AWG",
            "conductor_material": "copper", "bonded_to_others": true
        }]
    })
}

/// The house of [`one_circuit`] with a subpanel P2 behind a transfer switch T, which a generator G can
/// feed through an inlet I and its cord; every fact known and right. Runs: 2 from way P.2 to the
/// switch, 3 the cord, 4 from the inlet to the switch, 5 from the switch to P2.
pub(crate) fn standby() -> Value {
    let run = |id: &str, from: &str, to: &str, method: &str| {
        json!({
            "id": id, "from": from, "to": to,
            "circuit": "two_hots_and_neutral", "material": "copper", "size": "10 AWG", "parallel_sets": 1,
            "method": method, "stranding": "stranded", "length": "20 ft", "ambient": "77 F",
            "conductors_together": 2, "cables_in_one_hole": 1, "raceway": "none",
            "insulation_contact": "none", "wet": false, "from_terminal": "60 C", "to_terminal": "60 C",
            "neutral_size": "10 AWG", "neutral_opened": false, "equipment_ground": "wire",
            "equipment_ground_size": "10 AWG", "equipment_ground_material": "copper",
            "era": "since_2008", "carries_whole_dwelling": false, "insulation_state": "sound",
            "cord_use": "plugged_in_use", "plug_on_both_ends": false
        })
    };
    let device = json!({
        "kind": "breaker", "rating": "30 A", "poles": 2, "voltage": "240 V", "interrupting_rating": "10 kA",
        "common_trip": true, "gfci": false, "afci": false, "rated_100_percent": false
    });
    let way = json!({
        "id": "P.2", "spaces": [2, 4], "label": "Standby panel", "device": device, "leg": "AB",
        "wires_on_terminal": 1, "terminal_takes": 1, "bus_end": "middle", "marks": "none"
    });
    let generator = json!({
        "id": "G", "name": "Generator", "kind": "generator", "output": "120/240 V", "voltage": "240 V",
        "continuous_power": "6 kW", "neutral_bond": false, "source_label": true, "output_device": device
    });
    let mut panel = one_circuit()["panels"][0].clone();
    let changes = [
        ("/id", json!("P2")),
        ("/name", json!("Standby panel")),
        ("/buses", json!([{ "id": "P2.bus", "rating": "60 A" }])),
        ("/main", json!({ "kind": "lugs" })),
        ("/ways", json!([])),
        ("/service_equipment", json!(false)),
        ("/neutral_bond", json!(false)),
    ];
    panel = with(panel, &changes);
    let mut house = one_circuit();
    house["transfers"] = json!([{
        "id": "T", "name": "Transfer switch", "kind": "manual_switch", "rating": "30 A", "switches_neutral": false,
        "positions": [{ "id": "T.utility", "name": "Utility" }, { "id": "T.standby", "name": "Standby" }]
    }]);
    house["inlets"] =
        json!([{ "id": "I", "name": "Inlet", "rating": "30 A", "voltage": "240 V", "neutral_sign": true }]);
    let additions = [
        ("/panels/0/ways/-", way),
        ("/panels/-", panel),
        ("/supplies/-", generator),
        ("/runs/-", run("R2", "P.2", "T.utility", "nm_b")),
        ("/runs/-", run("RG", "G", "I", "cord")),
        ("/runs/-", run("RI", "I", "T.standby", "nm_b")),
        ("/runs/-", run("RT", "T", "P2", "nm_b")),
    ];
    with(house, &additions)
}

/// A 15 A circuit RX like [`one_circuit`]'s own from the subpanel of [`standby`], whose feeder RT has this
/// equipment ground and whose panel P2 this neutral bond.
pub(crate) fn behind_a_feeder(ground: Value, bond: Value) -> Value {
    let mut way = one_circuit()["panels"][0]["ways"][0].clone();
    way["id"] = json!("P2.1");
    let mut run = one_circuit()["runs"][1].clone();
    (run["id"], run["from"]) = (json!("RX"), json!("P2.1"));
    let changes = [
        ("/panels/1/ways/-", way),
        ("/runs/-", run),
        ("/runs/5/equipment_ground", ground),
        ("/panels/1/neutral_bond", bond),
    ];
    with(standby(), &changes)
}

/// The house of [`one_circuit`] as a service with so many two-pole breakers and no main.
pub(crate) fn mains(count: usize) -> Value {
    let mut house = with(one_circuit(), &[("/panels/0/main/kind", json!("lugs"))]);
    house["panels"][0]["ways"][0]["device"]["poles"] = json!(2);
    for number in 1..count {
        let mut way = house["panels"][0]["ways"][0].clone();
        way["id"] = json!(format!("P.m{number}"));
        house = with(house, &[("/panels/0/ways/-", way)]);
    }
    house
}

/// The house of [`one_circuit`] with a subpanel behind a transfer switch that an inverter can
/// feed: a kitchen circuit with a shared neutral, and a well pump; every fact known and right.
pub(crate) fn backed_up() -> Value {
    let mut house = one_circuit();
    let push = |house: &mut Value, list: &str, item: Value| match house.get_mut(list) {
        Some(Value::Array(items)) => items.push(item),
        _ => house[list] = json!([item]),
    };
    let two_pole = |rating: &str| {
        json!({
            "kind": "breaker", "rating": rating, "poles": 2, "voltage": "240 V", "common_trip": true,
            "interrupting_rating": "10 kA", "gfci": false, "afci": false, "rated_100_percent": false,
            "clearing_time": "25 ms"
        })
    };
    let way = |id: &str, space: u16, rating: &str| {
        json!({
            "id": id, "spaces": [space, space + 2], "leg": "AB", "device": two_pole(rating),
            "wires_on_terminal": 1, "terminal_takes": 1, "bus_end": "middle", "marks": "none"
        })
    };
    let run = |id: &str, from: &str, circuit: &str, size: &str, method: &str, length: &str| {
        json!({
            "id": id, "from": from, "circuit": circuit, "material": "copper", "size": size,
            "parallel_sets": 1, "method": method, "insulation": "THWN-2", "stranding": "stranded",
            "length": length, "ambient": "77 F", "conductors_together": 2, "cables_in_one_hole": 1,
            "raceway": if method == "raceway" { "plastic" } else { "none" }, "insulation_contact": "none",
            "wet": false, "from_terminal": "75 C", "to_terminal": "75 C", "neutral_size": size,
            "neutral_opened": false, "equipment_ground": "wire", "equipment_ground_size": "10 AWG",
            "equipment_ground_material": "copper", "era": "since_2008", "carries_whole_dwelling": false,
            "insulation_state": "sound"
        })
    };
    push(
        &mut house,
        "supplies",
        json!({
            "id": "B", "name": "Battery inverter", "kind": "battery_inverter", "output": "120/240 V",
            "voltage": "240 V", "continuous_power": "8 kW", "continuous_current": "33 A",
            "fault_current": "75 A", "fault_resistance_share": "100 %", "neutral_bond": false,
            "surges": [{ "duration": "5 s", "current": "60 A" }], "source_label": true
        }),
    );
    push(
        &mut house,
        "transfers",
        json!({
            "id": "T", "name": "Transfer switch", "kind": "manual_switch", "rating": "60 A",
            "switches_neutral": false,
            "positions": [{ "id": "T.u", "name": "utility" }, { "id": "T.b", "name": "battery" }]
        }),
    );
    let feeder_way = way("P.2", 2, "60 A");
    house["panels"][0]["ways"].as_array_mut().expect("ways").push(feeder_way);
    let mut subpanel = house["panels"][0].clone();
    for (path, value) in [
        ("id", json!("Q")),
        ("name", json!("Backed-up panel")),
        ("buses", json!([{ "id": "Q.bus", "rating": "100 A" }])),
        ("main", json!({ "kind": "lugs" })),
        ("ways", json!([way("Q.1", 1, "20 A"), way("Q.2", 2, "20 A")])),
        ("service_equipment", json!(false)),
        ("neutral_bond", json!(false)),
        ("demand", json!("30 A")),
    ] {
        subpanel[path] = value;
    }
    push(&mut house, "panels", subpanel);
    let ends = |mut run: Value, to: &str| {
        run["to"] = json!(to);
        run
    };
    let three = "two_hots_and_neutral";
    let feeder = |id, from, length| run(id, from, three, "6 AWG", "raceway", length);
    push(&mut house, "runs", ends(feeder("RF", "P.2", "20 ft"), "T.u"));
    push(&mut house, "runs", ends(feeder("RB", "B", "10 ft"), "T.b"));
    push(&mut house, "runs", ends(feeder("RT", "T", "10 ft"), "Q"));
    push(&mut house, "runs", run("RK", "Q.1", three, "12 AWG", "nm_b", "40 ft"));
    push(&mut house, "runs", run("RW", "Q.2", "two_hots", "10 AWG", "uf", "120 ft"));
    push(
        &mut house,
        "loads",
        json!({
            "id": "LK", "name": "Kitchen outlets", "on": "RK", "kind": "small_appliance", "voltage": "120 V",
            "continuous": false, "room": "kitchen", "outlets": "three_slot", "outlet_count": 4,
            "gfci_protected": true
        }),
    );
    push(
        &mut house,
        "loads",
        json!({
            "id": "LW", "name": "Well pump", "on": "RW", "kind": "well_pump", "voltage": "240 V",
            "horsepower": "1 hp", "lra": "48 A", "power_factor": "80 %", "start_power_factor": "60 %",
            "soft_starter": false, "start_time": "0.5 s", "continuous": false, "room": "outdoors",
            "outlets": "hard_wired", "gfci_protected": false
        }),
    );
    house
}

/// The house of [`backed_up`] with a battery of 48 V behind the inverter, its fuse box D and the run RD
/// to the inverter; every fact known and right.
pub(crate) fn with_battery() -> Value {
    let battery = json!({
        "chemistry": "lifepo4", "voltage": "51.2 V", "lowest_voltage": "46 V", "capacity": "280 Ah",
        "energy": "12.9 kWh", "discharge_current": "250 A", "surge_current": "350 A", "surge_time": "6 s",
        "charge_current": "140 A", "internal_resistance": "10 mohm", "lowest_charge": "10 %",
        "highest_charge": "100 %", "short_circuit_current": "12 kA"
    });
    let box_of_fuse = json!({
        "id": "D", "name": "Battery fuse box (DC)", "kind": "dc_distribution", "room": "basement",
        "main": { "kind": "lugs" }, "service_equipment": false, "neutral_bond": false,
        "ways": [{
            "id": "D.1", "spaces": [1], "label": "Battery to inverter",
            "device": {
                "kind": "cartridge_fuse", "rating": "250 A", "poles": 1, "voltage": "125 V", "class": "T",
                "interrupting_rating": "20 kA", "dc_rated": true
            }
        }]
    });
    let run = json!({
        "id": "RD", "name": "Battery cable", "from": "D.1", "to": "B", "circuit": "dc_pair",
        "material": "copper", "size": "250 kcmil", "parallel_sets": 1, "method": "battery_cable",
        "stranding": "stranded", "length": "6 ft", "ambient": "77 F", "conductors_together": 1,
        "cables_in_one_hole": 1, "raceway": "none", "insulation_contact": "none", "wet": false,
        "from_terminal": "90 C", "to_terminal": "90 C", "equipment_ground": "none", "era": "since_2008",
        "carries_whole_dwelling": false, "insulation_state": "sound"
    });
    with(
        backed_up(),
        &[
            ("/supplies/1/battery", battery),
            ("/supplies/1/efficiency", json!("93 %")),
            ("/supplies/1/idle_power", json!("60 W")),
            ("/supplies/1/peak_efficiency", json!("96 %")),
            ("/supplies/1/wanted_run_time", json!("8 h")),
            ("/loads/1/power", json!("1200 W")),
            ("/loads/1/power_factor", json!("100 %")),
            ("/loads/1/leg", json!("A")),
            ("/loads/1/hours_of_use", json!("1 h")),
            ("/loads/1/runs_low", json!("50 %")),
            ("/loads/1/runs_likely", json!("80 %")),
            ("/loads/1/runs_high", json!("100 %")),
            ("/loads/2/hours_of_use", json!("24 h")),
            ("/loads/2/runs_low", json!("2 %")),
            ("/loads/2/runs_likely", json!("5 %")),
            ("/loads/2/runs_high", json!("15 %")),
            ("/panels/-", box_of_fuse),
            ("/runs/-", run),
        ],
    )
}

/// The same value with other facts: `with(one_circuit(), &[("/runs/1/size", json!("12 AWG"))])`.
/// A value of `null` removes the fact. A path that leads nowhere is a mistake in the test.
pub(crate) fn with(mut house: Value, changes: &[(&str, Value)]) -> Value {
    for (path, value) in changes {
        let (parent, key) = path.rsplit_once('/').expect("a path has a parent");
        let parent = house.pointer_mut(parent).unwrap_or_else(|| panic!("{path} leads nowhere"));
        match parent {
            Value::Object(fields) if value.is_null() => {
                fields.remove(key);
            }
            Value::Object(fields) => {
                fields.insert(key.to_owned(), value.clone());
            }
            Value::Array(list) if key == "-" => list.push(value.clone()),
            Value::Array(list) => list[key.parse::<usize>().expect("a place in a list")] = value.clone(),
            _ => panic!("{path} leads nowhere"),
        }
    }
    house
}

/// Reads the value as a survey; a broken fixture is a mistake in the test.
pub(crate) fn survey(house: &Value) -> Survey {
    let survey: Survey = serde_json::from_value(house.clone()).expect("the fixture is a survey");
    assert_eq!(validate(&survey), [], "the fixture is whole");
    survey
}

/// What one check says about a house.
pub(crate) fn findings(check: &CheckInfo, house: &Value) -> Vec<Finding> {
    let survey = survey(house);
    let mut findings = Vec::new();
    (check.find)(&House::new(&survey), &mut findings);
    findings
}

/// Verdict and severity of one check about one item: `falls_short DANGER`, `meets`, `cannot_tell
/// ambient`; `silent` when it says nothing about the item.
pub(crate) fn verdict(check: &CheckInfo, house: &Value, item: &str) -> String {
    let all = findings(check, house);
    let first = all.iter().find(|finding| finding.subject.id.as_str() == item);
    first.map_or_else(|| "silent".to_owned(), told)
}

/// The verdicts of a check that says several things about one item, in their order.
pub(crate) fn verdicts(check: &CheckInfo, house: &Value, item: &str) -> Vec<String> {
    let all = findings(check, house);
    all.iter().filter(|finding| finding.subject.id.as_str() == item).map(told).collect()
}

fn told(finding: &Finding) -> String {
    match finding.verdict.name() {
        "falls_short" => format!("falls_short {}", finding.severity.signal_word()),
        "cannot_tell" => {
            let facts: Vec<&str> = finding.missing().iter().map(|missing| missing.fact).collect();
            format!("cannot_tell {}", facts.join(" "))
        }
        other => other.to_owned(),
    }
}

/// Everything a person reads in the first finding about an item, for snapshots.
pub(crate) fn text(check: &CheckInfo, house: &Value, item: &str) -> String {
    let all = findings(check, house);
    let finding =
        all.iter().find(|finding| finding.subject.id.as_str() == item).expect("a finding about the item");
    words(finding)
}

/// Everything a person reads in all findings of a check about an item.
pub(crate) fn texts(check: &CheckInfo, house: &Value, item: &str) -> String {
    let all = findings(check, house);
    let about = all.iter().filter(|finding| finding.subject.id.as_str() == item);
    about.map(words).collect::<Vec<_>>().join("\n\n")
}

fn words(finding: &Finding) -> String {
    let mut lines = vec![
        format!("{} {}: {}", finding.severity.signal_word(), finding.verdict.words(), finding.check),
        format!("about: {}", finding.subject.name),
        format!("message: {}", finding.message),
    ];
    lines.extend(finding.figure_line().map(|line| format!("figure: {line}")));
    lines.extend(finding.derivation.steps().map(|step| {
        let value = format!("{} {}", step.value_text(), step.unit());
        format!(
            "  {} {} | {} | {} | {}",
            step.symbol,
            step.label,
            step.expression,
            value.trim(),
            step.source.words()
        )
    }));
    let cited: Vec<String> =
        finding.citations.iter().map(|c| format!("{} {}", c.standard, c.clause)).collect();
    lines.push(format!("cites: {}", cited.join("; ")));
    lines.push(format!("binding: {}", finding.binding.sentence()));
    lines.push(format!("caution: {}", finding.caution));
    lines.push(format!("next: {}", finding.next_step));
    lines.extend(
        finding.missing().iter().map(|missing| format!("missing: {} {}", missing.item, missing.fact)),
    );
    lines.join("\n")
}
