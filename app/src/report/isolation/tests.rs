//! What the section says, for a small invented house, for one with one source, and for the demo house.

use deadfront_rules::assess;
use deadfront_rules::isolation::overview::StepOverview;
use deadfront_rules::survey::Survey;
use deadfront_rules::words::{Language, speak};
use serde_json::json;

use super::*;
use crate::paper::{Drawing, Shape, Sheet};
use crate::report::{Pictures, Report};

/// A panel, the utility by its main, and, if wanted, a generator by its way 2.
fn house(generator: bool) -> Survey {
    let device = |rating: &str| json!({ "kind": "breaker", "rating": rating, "poles": 2, "lockable": true });
    let mut house = json!({
        "deadfront_survey": 1,
        "site": { "name": "Small house (invented)", "rules": "us", "invented": true },
        "supplies": [{ "id": "S1", "name": "Utility", "kind": "utility" }],
        "panels": [{
            "id": "P1", "name": "Kitchen panel", "kind": "breaker_panel", "service_equipment": true,
            "neutral_bond": true, "main": device("100 A"),
            "ways": [{ "id": "W1", "spaces": [1, 3], "device": device("30 A"), "leg": "AB" }]
        }],
        "runs": [{ "id": "R1", "name": "Service", "from": "S1", "to": "P1", "circuit": "two_hots_and_neutral" }]
    });
    if generator {
        let generator = json!({ "id": "S2", "name": "Generator", "kind": "generator" });
        house["supplies"].as_array_mut().unwrap().push(generator);
        let run = json!({ "id": "R2", "name": "Wires of the generator", "from": "S2", "to": "W1",
            "circuit": "two_hots_and_neutral", "method": "raceway", "equipment_ground": "wire" });
        house["runs"].as_array_mut().unwrap().push(run);
    }
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
                lines.push(
                    table.columns.iter().map(|column| column.head.clone()).collect::<Vec<_>>().join(" | "),
                );
                let cells = |row: &Row| row.cells.iter().map(Text::plain).collect::<Vec<_>>().join(" | ");
                lines.extend(table.rows.iter().map(cells));
            }
            BlockKind::Signal { title, blocks, .. } => {
                lines.push(title.plain());
                lines.push(words(blocks));
            }
            BlockKind::Together(blocks) => lines.push(words(blocks)),
            BlockKind::Drawing(drawing) => lines.push(labels(drawing)),
            BlockKind::Signatures(places) => lines.extend(places.iter().map(|place| place.role.clone())),
            BlockKind::PageBreak => lines.push("-- new page --".to_owned()),
            _ => {}
        }
    }
    lines.join("\n")
}

fn labels(drawing: &Drawing) -> String {
    let label = |shape: &Shape| match shape {
        Shape::Text { text, .. } => Some(text.plain()),
        _ => None,
    };
    drawing.shapes.iter().filter_map(label).collect::<Vec<_>>().join(" | ")
}

fn section(survey: &Survey) -> String {
    words(&Isolation::of(&House::new(survey)).section(&[]))
}

#[test]
fn a_small_house() {
    insta::assert_snapshot!(section(&house(true)));
}

#[test]
fn with_one_source_it_says_so_in_one_line() {
    let told = section(&house(false));
    let line =
        "No second source has been entered, so there is nothing that can meet, and no switching order.";
    assert_eq!(told.lines().filter(|told| *told == line).count(), 1, "{told}");
    assert!(!told.contains("wrong move") && !told.contains("new page"), "{told}");
    // What must be open to work is told all the same.
    assert!(told.contains("To work in a panel"), "{told}");
}

/// From each finding about two sources to the way that it rests on, and back.
#[test]
fn findings_and_ways_lead_to_each_other() {
    let survey: Survey = serde_json::from_str(crate::demo::DEMO).unwrap();
    let assessment = assess(&survey);
    let made = chrono::DateTime::parse_from_rfc3339("2026-11-25T10:00:00-05:00").unwrap();
    let report =
        Report { survey: &survey, assessment: &assessment, made, sheet: Sheet::A4, pictures: Pictures::NONE };
    let house = House::new(&survey);
    let isolation = Isolation::of(&house);
    let (numbered, ways) = (report.numbered(), isolation.ways());
    let slips: Vec<_> = numbered.iter().filter(|one| one.finding.check == "sources_one_slip_apart").collect();
    assert!(!slips.is_empty());
    for one in slips {
        let anchor = isolation.way_of(one.finding).unwrap_or_else(|| panic!("{}", one.finding.message));
        let way = ways.iter().find(|way| way.anchor() == anchor).unwrap();
        assert!(
            one.finding.message.to_string().contains(&way.meeting.witnesses[0][0].stand.words.to_string())
        );
        let back = findings_of(way, &numbered).unwrap();
        let BlockKind::Paragraph(text) = back.kind else { panic!("no line") };
        assert!(text.0.iter().any(|span| span.link == Some(one.anchor())), "{text:?}");
    }
}

/// A card begins a page and nothing else stands on it.
#[test]
fn each_card_has_its_page() {
    let survey: Survey = serde_json::from_str(crate::demo::DEMO).unwrap();
    let house = House::new(&survey);
    let isolation = Isolation::of(&house);
    let cards =
        isolation.overview.orders.iter().filter(|order| order.steps.as_ref().is_some_and(|s| !s.is_empty()));
    let told = section(&survey);
    assert_eq!(told.matches("-- new page --\nSwitching card").count(), cards.count());
    assert!(told.ends_with("-- new page --"), "{told}");
}

/// A panel with a generator behind a second panel that two feeders reach: two ways in which both can meet.
fn ring() -> Survey {
    let device = |rating: &str| json!({ "kind": "breaker", "rating": rating, "poles": 2, "lockable": true });
    let way = |id: &str, space: usize| json!({ "id": id, "spaces": [space, space + 2], "device": device("30 A"), "leg": "AB" });
    let long = "Feeder that climbs behind the chimney from the kitchen to the old nursery under the roof and back again";
    let run = |id: &str, from: &str, to: &str| {
        json!({ "id": id, "name": format!("{long} {id}"), "from": from, "to": to,
            "circuit": "two_hots_and_neutral", "method": "raceway", "equipment_ground": "wire" })
    };
    serde_json::from_value(json!({
        "deadfront_survey": 1,
        "site": { "name": "Ring (invented)", "rules": "us", "invented": true },
        "supplies": [
            { "id": "S1", "name": "Utility", "kind": "utility" },
            { "id": "S2", "name": "Generator", "kind": "generator" },
        ],
        "panels": [
            { "id": "P1", "name": "Kitchen panel", "kind": "breaker_panel", "service_equipment": true,
              "neutral_bond": true, "main": device("100 A"), "ways": [way("W1", 1), way("W2", 2)] },
            { "id": "P2", "name": "Nursery panel", "kind": "breaker_panel", "main": { "kind": "lugs" },
              "ways": [way("W3", 1)] },
        ],
        "runs": [
            run("R1", "S1", "P1"), run("R2", "W1", "P2"), run("R3", "W2", "P2"), run("R4", "S2", "W3"),
        ],
    }))
    .unwrap()
}

/// The blocks, and in the place of those that are told together what they hold.
fn flat<'a>(blocks: &'a [Block]) -> Vec<&'a Block> {
    let of = |block: &'a Block| match &block.kind {
        BlockKind::Together(blocks) => flat(blocks),
        _ => vec![block],
    };
    blocks.iter().flat_map(of).collect()
}

/// The drawings of a section with the line above each.
fn strips(blocks: &[Block]) -> Vec<(String, &Drawing)> {
    let told = |block: &Block| match &block.kind {
        BlockKind::Paragraph(text) => text.plain(),
        _ => String::new(),
    };
    let blocks = flat(blocks);
    let pairs = blocks.iter().zip(blocks.iter().skip(1));
    pairs
        .filter_map(|(above, block)| match &block.kind {
            BlockKind::Drawing(drawing) => Some((told(above), drawing)),
            _ => None,
        })
        .collect()
}

#[test]
fn each_set_has_its_way_drawn_and_no_label_is_cut() {
    for language in [Language::English, Language::Spanish] {
        let _spoken = speak(language);
        let survey = ring();
        let house = House::new(&survey);
        let isolation = Isolation::of(&house);
        let ways = isolation.ways();
        assert!(ways.iter().any(|way| way.meeting.witnesses.len() > 1), "{:?}", isolation.overview.meetings);
        for way in &ways {
            let blocks = isolation.way(way, &[]);
            let strips = strips(&blocks);
            let labels: Vec<String> = strips.iter().map(|(_, drawing)| labels(drawing)).collect();
            for witness in &way.meeting.witnesses {
                let names = witness.iter().map(|wrong| wrong.stand.name.to_string());
                let all: Vec<String> = names.collect();
                assert!(labels.iter().any(|strip| all.iter().all(|name| strip.contains(name.as_str()))));
            }
            for (_, drawing) in strips {
                assert_eq!(crate::paper::tests::cut_short(drawing), Vec::<String>::new());
            }
        }
    }
}

/// Sources that one slip joins stand on every card that leaves or reaches the mode, with the device.
#[test]
fn a_card_names_what_comes_too_near() {
    let survey: Survey = serde_json::from_str(crate::demo::DEMO).unwrap();
    let house = House::new(&survey);
    let isolation = Isolation::of(&house);
    let ways = isolation.ways();
    let mut marked = 0;
    for order in &isolation.overview.orders {
        let Some(steps) = order.steps.as_ref().filter(|steps| !steps.is_empty()) else { continue };
        let card = words(&cards::card(&isolation, &ways, order, steps, "card"));
        let near = isolation.overview.meetings.iter().filter(|meeting| {
            (meeting.mode == order.from || meeting.mode == order.to)
                && meeting.may_meet != Some(true)
                && meeting.wrong_moves.is_some_and(|moves| moves < 2)
        });
        for meeting in near {
            marked += 1;
            assert!(card.contains(&isolation.pair(meeting)), "{card}");
            for wrong in meeting.witnesses.iter().flatten() {
                assert!(card.contains(&wrong.stand.words.to_string()), "{card}");
            }
        }
    }
    assert!(marked > 0);
}

#[test]
fn a_step_of_many_words_is_wrapped_and_not_cut() {
    let words =
        "Switch off every load behind the fused switch of the old workshop that stands beside the furnace "
            .repeat(4);
    let step = StepOverview {
        device: Id::new("W1").unwrap(),
        to: "open".to_owned(),
        words: say!("{}", words.clone()),
    };
    for block in cards::all_steps(&vec![step; 40]) {
        let BlockKind::Drawing(drawing) = block.kind else { panic!("no drawing") };
        assert!(labels(&drawing).contains(words.trim()));
        assert_eq!(crate::paper::tests::cut_short(&drawing), Vec::<String>::new());
        assert!(drawing.height.0 < 480.0);
    }
}
