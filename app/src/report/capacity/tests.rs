//! What the section says, by its words and tables.

use super::*;
use crate::paper::{BlockKind, Drawing, Shape};

fn survey(change: impl Fn(&mut serde_json::Value)) -> Survey {
    let mut house: serde_json::Value = serde_json::from_str(crate::demo::DEMO).unwrap();
    change(&mut house);
    serde_json::from_value(house).unwrap()
}

/// Every text of these blocks, one line each.
fn words(blocks: &[Block]) -> String {
    let mut lines = Vec::new();
    for block in blocks {
        match &block.kind {
            BlockKind::Heading { text, .. } | BlockKind::Paragraph(text) => lines.push(text.plain()),
            BlockKind::List { items, .. } => lines.extend(items.iter().map(Text::plain)),
            BlockKind::Table(table) => {
                let cells = |row: &crate::paper::Row| {
                    row.cells.iter().map(Text::plain).collect::<Vec<_>>().join(" | ")
                };
                lines.extend(table.rows.iter().map(cells));
            }
            BlockKind::Together(blocks) => lines.push(words(blocks)),
            BlockKind::Drawing(drawing) => lines.extend(labels(drawing)),
            _ => {}
        }
    }
    lines.join("\n")
}

fn labels(drawing: &Drawing) -> Vec<String> {
    let label = |shape: &Shape| match shape {
        Shape::Text { text, .. } => Some(text.plain()),
        _ => None,
    };
    drawing.shapes.iter().filter_map(label).collect()
}

/// The demo house with the facts of its battery and loads, so that its outages are simulated.
fn known() -> Survey {
    let fill = |item: &mut serde_json::Value, facts: serde_json::Value| {
        for (name, value) in facts.as_object().unwrap() {
            item.as_object_mut().unwrap().entry(name).or_insert(value.clone());
        }
    };
    survey(|house| {
        let inverter = &mut house["supplies"][1];
        let facts = serde_json::json!({
            "idle_power": "60 W", "array_power": "4 kW", "sun_hours": vec!["1 h"; 12], "wanted_run_time": "300 h",
            "transfer_time": "20 ms"
        });
        fill(inverter, facts);
        let facts = serde_json::json!({
            "internal_resistance": "10 mohm", "lowest_charge": "10 %", "highest_charge": "100 %",
            "charge_current": "100 A", "surge_current": "350 A", "surge_time": "6 s"
        });
        fill(&mut inverter["battery"], facts);
        for (at, load) in house["loads"].as_array_mut().unwrap().iter_mut().enumerate() {
            let leg = if at % 2 == 0 { "A" } else { "B" };
            let facts = serde_json::json!({
                "voltage": "120 V", "power": "300 W", "power_factor": "95 %", "leg": leg, "hours_of_use": "2 h",
                "runs_low": "1 %", "runs_likely": "4 %", "runs_high": "10 %"
            });
            fill(load, facts);
        }
    })
}

#[test]
fn the_demo_tells_what_is_missing_and_simulates_nothing() {
    let text = words(&section(&survey(|_| {})));
    for part in [
        "On Battery inverter (S2)",
        "On Portable generator (S4)",
        "Everything on at once",
        "What can run together",
        "Demand of the house",
        "Fault currents at each panel",
        "Eight outages of ten, without sun | not known",
        "cannot tell",
        "Load against what it gives",
    ] {
        assert!(text.contains(part), "{part}\n{text}");
    }
    assert!(!text.contains("State of charge in the first day"), "{text}");
}

#[test]
fn with_every_fact_there_are_run_times_months_and_plots() {
    let text = words(&section(&known()));
    for part in [
        "The same with the sun of the darkest month | ",
        "half of them",
        "two weeks or more",
        "January | 1.0 h | 3.0 kWh | ",
        "What to add for 300 h",
        "Battery of ",
        "State of charge in the first day of an outage, with the sun of the darkest month",
        "Eight outages of ten lie in here",
        "Battery, continuously, 200 A",
        "without power for 20 ms",
    ] {
        assert!(text.contains(part), "{part}\n{text}");
    }
    assert!(!text.contains("nothing is simulated"), "{text}");
}

/// Every place whose demand can be reckoned has its worksheet, which ends in its sum.
#[test]
fn each_worksheet_ends_in_its_sum() {
    let survey = survey(|_| {});
    let house = House::new(&survey);
    let text = words(&demand::section(&house));
    for demand in house.demands() {
        let Some(shown) = demand.shown() else { continue };
        let total = format!("Demand |  |  | {:.0} VA", shown.sheet.total.get::<deadfront_rules::si::watt>());
        assert!(text.contains(&total), "{total}\n{text}");
    }
    assert!(text.matches("Current at").count() >= 3, "{text}");
}

#[test]
fn a_house_of_nothing_has_a_section_too() {
    let survey = survey(|house| {
        for list in ["supplies", "panels", "runs", "loads", "transfers", "interlocks", "inlets", "electrodes"]
        {
            house[list] = serde_json::json!([]);
        }
        for list in ["photos", "readings", "notes", "signatures"] {
            house.as_object_mut().unwrap().remove(list);
        }
    });
    let text = words(&section(&survey));
    assert!(text.contains("No battery inverter") && text.contains("No panel is fed"), "{text}");
}
