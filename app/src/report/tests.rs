//! The whole report of houses of every kind, on both sheets.

mod drawn;
mod handed_over;

use std::collections::BTreeSet;
use std::sync::Arc;

use chrono::DateTime;
use deadfront_rules::finding::Verdict;
use deadfront_rules::survey::{Id, Photo, Survey};
use deadfront_rules::words::{Language, speak};
use deadfront_rules::{Assessment, assess};

use super::{Numbered, Pictures, Report, Shot, causes};
use crate::file::read_survey;
use crate::paper::tests::{broken_rules, thin_pages};
use crate::paper::{
    BlockKind, ItemKind, Laid, LaidPage, PaperWarning, Pt, Sheet, Written, all_blocks, lay_out, write_with,
};

const SHEETS: [Sheet; 2] = [Sheet::A4, Sheet::Letter];

fn demo() -> Survey {
    read_survey(crate::demo::DEMO.as_bytes()).unwrap()
}

fn report<'a>(
    survey: &'a Survey,
    assessment: &'a Assessment,
    sheet: Sheet,
    pictures: &'a Pictures,
) -> Report<'a> {
    let made = DateTime::parse_from_rfc3339("2026-11-25T10:00:00-05:00").unwrap();
    Report { survey, assessment, made, sheet, pictures }
}

/// Lays a house out, looks at every rule of the pages, and writes it.
fn laid_and_written(survey: &Survey, sheet: Sheet, pictures: &Pictures) -> (Laid, Written) {
    let assessment = assess(survey);
    let report = report(survey, &assessment, sheet, pictures);
    let document = report.document();
    let laid = lay_out(&document).unwrap();
    assert_eq!(broken_rules(&document, &laid), Vec::<String>::new());
    let written = write_with(&laid, &report.meta(), &report.extras()).unwrap();
    (laid, written)
}

fn text(laid: &Laid) -> String {
    laid.pages.iter().map(text_of).collect::<Vec<_>>().join(" ")
}

fn text_of(page: &LaidPage) -> String {
    let runs = page.items.iter().filter_map(|item| match &item.kind {
        ItemKind::Text(run) => Some(run.text.as_str()),
        _ => None,
    });
    runs.collect::<Vec<_>>().join(" ")
}

fn jpeg(shade: u8) -> Arc<[u8]> {
    let image = image::RgbImage::from_fn(40, 30, |x, y| image::Rgb([shade, x as u8 * 6, y as u8 * 8]));
    let mut bytes = Vec::new();
    image.write_with_encoder(image::codecs::jpeg::JpegEncoder::new(&mut bytes)).unwrap();
    bytes.into()
}

fn with_photos(mut survey: Survey, count: usize) -> Survey {
    let items: Vec<Id> =
        survey.panels.iter().flat_map(|panel| panel.ways.iter().map(|way| way.id.clone())).collect();
    for number in 0..count {
        let photo = serde_json::json!({
            "id": format!("F{number:02}"), "of": items[number % items.len()], "file": format!("{number}.jpg"),
            "caption": "2026-11-20 14:03, nameplate and terminals, taken from the ladder with the cover off"
        });
        survey.photos.push(serde_json::from_value::<Photo>(photo).unwrap());
    }
    survey
}

fn house_of_300_findings() -> Survey {
    let mut survey = demo();
    // The same panels, runs and loads again under other ids: they fall short again.
    let json = serde_json::to_string(&survey).unwrap();
    for copy in ["x", "y"] {
        let mut again: serde_json::Value = serde_json::from_str(&json).unwrap();
        rename(&mut again, copy, &ids_of(&survey));
        let again: Survey = serde_json::from_value(again).unwrap();
        survey.panels.extend(again.panels);
        survey.runs.extend(again.runs);
        survey.loads.extend(again.loads);
        survey.supplies.extend(again.supplies);
        survey.transfers.extend(again.transfers);
        survey.inlets.extend(again.inlets);
    }
    survey
}

fn ids_of(survey: &Survey) -> BTreeSet<String> {
    let mut ids = BTreeSet::new();
    ids.extend(survey.supplies.iter().map(|item| item.id.to_string()));
    for panel in &survey.panels {
        ids.insert(panel.id.to_string());
        ids.extend(panel.buses.iter().map(|bus| bus.id.to_string()));
        ids.extend(panel.ways.iter().map(|way| way.id.to_string()));
    }
    ids.extend(survey.runs.iter().map(|item| item.id.to_string()));
    ids.extend(survey.loads.iter().map(|item| item.id.to_string()));
    for transfer in &survey.transfers {
        ids.insert(transfer.id.to_string());
        ids.extend(transfer.positions.iter().map(|position| position.id.to_string()));
    }
    ids.extend(survey.inlets.iter().map(|item| item.id.to_string()));
    ids
}

fn rename(value: &mut serde_json::Value, suffix: &str, ids: &BTreeSet<String>) {
    match value {
        serde_json::Value::String(text) if ids.contains(text) => text.push_str(suffix),
        serde_json::Value::Array(list) => list.iter_mut().for_each(|item| rename(item, suffix, ids)),
        serde_json::Value::Object(members) => members.values_mut().for_each(|item| rename(item, suffix, ids)),
        _ => {}
    }
}

#[test]
fn the_demo_keeps_every_rule_of_the_pages() {
    for sheet in SHEETS {
        let (laid, written) = laid_and_written(&demo(), sheet, Pictures::NONE);
        assert_eq!(written.warnings, [], "nothing of the demo is cut short or made smaller than asked");
        let text = text(&laid);
        for wanted in
            ["One-line diagram", "Symbols of the one-line", "P2 Split-bus", "Wires go on:", "Readings"]
        {
            assert!(text.contains(wanted), "{wanted}");
        }
    }
}

/// A third of a page at least stands on each page, but where a section ends before a forced one.
#[test]
fn no_page_of_the_demo_is_left_nearly_empty() {
    let survey = demo();
    for language in [Language::English, Language::Spanish] {
        let _spoken = speak(language);
        let assessment = assess(&survey);
        for sheet in SHEETS {
            let document = report(&survey, &assessment, sheet, Pictures::NONE).document();
            let laid = lay_out(&document).unwrap();
            assert_eq!(thin_pages(&document, &laid, Pt(230.0)), [], "{sheet:?} {language:?}");
            let covers = laid.pages.iter().filter(|page| page.cover).count();
            assert_eq!(covers, 1, "{sheet:?} {language:?}");
        }
    }
}

/// The cover answers in one sentence, names the source that stays disconnected, and leads to the worst finding,
/// which is about sources that can meet.
#[test]
fn the_cover_answers_whether_to_tie_in() {
    let (laid, _) = laid_and_written(&demo(), Sheet::Letter, Pictures::NONE);
    let cover = text_of(&laid.pages[0]);
    assert!(cover.contains("Do not tie in, and do not connect: Portable generator (S4)."), "{cover}");
    let first = assess(&demo()).findings.swap_remove(0);
    assert_eq!(first.check, "sources_one_slip_apart");
    assert!(cover.contains("no. 1, page"), "{cover}");
}

/// Each finding that falls short has one row of its own, in its block or with the others of its cause.
#[test]
fn every_finding_has_one_row() {
    let survey = demo();
    let assessment = assess(&survey);
    let report = report(&survey, &assessment, Sheet::Letter, Pictures::NONE);
    let numbered = report.numbered();
    let causes = causes::Causes::of(&numbered);
    let document = report.document();
    let mut anchors: Vec<String> = Vec::new();
    for block in all_blocks(&document) {
        if let BlockKind::Table(table) = &block.kind {
            anchors.extend(table.rows.iter().filter_map(|row| row.anchor.clone()));
        }
    }
    for one in &numbered {
        let rows = anchors.iter().filter(|anchor| **anchor == one.anchor()).count();
        assert_eq!(rows, 1, "no. {}", one.number);
    }
    // A head is never told with another, and what is told with one comes behind it.
    for one in &numbered {
        for other in causes.told_with(*one) {
            assert!(other.number > one.number && other.finding.severity >= one.finding.severity);
            assert!(causes.told_with(other).is_empty());
        }
    }
    let told = |check: &str, item: &str| {
        let is_it =
            |one: &&Numbered<'_>| one.finding.check == check && one.finding.subject.id.as_str() == item;
        *numbered.iter().find(is_it).expect("a finding")
    };
    // The fuse at way 7 of the old panel is one cause with the wire behind it, and with the old wiring.
    let head = told("device_larger_than_conductor", "R103");
    let others: Vec<&str> = causes.told_with(head).iter().map(|one| one.finding.check).collect();
    assert_eq!(others, ["fuse_larger_than_wire", "knob_and_tube_buried"]);
}

/// A feeder that its panel outgrows is told the conductor to fit, and one that it does not the smaller device.
/// By hand, NFPA 70-2023 Table 310.16, copper at 75 °C, and 0.8 for what lies together (Table 310.15(C)(1)): 3 AWG
/// carries 100 A × 0.8 = 80 A, less than the 83.8 A asked; 2 AWG 115 A × 0.8 = 92 A, and may have 100 A by 240.4(B).
#[test]
fn a_smaller_device_is_no_cure_where_the_panel_asks_for_more() {
    let next = |survey: &Survey| {
        let findings = assess(survey).findings;
        let is_it = |one: &&deadfront_rules::finding::Finding| {
            one.check == "device_larger_than_conductor" && one.subject.id.as_str() == "R004"
        };
        findings.iter().find(is_it).expect("a finding").next_step.to_string()
    };
    let told = next(&demo());
    assert!(told.contains("at least 2 AWG copper") && told.contains("asks for 83.8 A"), "{told}");
    let mut light = demo();
    // The circuits of the panel behind it are those of its hundred.
    light.loads.retain(|load| !load.on.as_str().starts_with("R3"));
    let told = next(&light);
    assert!(told.contains("fit a device of the allowed rating"), "{told}");
}

/// What a danger may hide behind stands before what only advice waits for.
#[test]
fn what_is_not_known_is_told_by_its_hazard() {
    let (laid, _) = laid_and_written(&demo(), Sheet::Letter, Pictures::NONE);
    let text = text(&laid);
    let at = |words: &str| text.rfind(words).unwrap_or_else(|| panic!("{words}"));
    assert!(at("A danger may hide behind these") < at("A warning may hide behind these"));
    assert!(at("A warning may hide behind these") < at("A caution may hide behind these"));
    // Every check that cannot tell names its items.
    let survey = demo();
    let assessment = assess(&survey);
    let open = assessment.findings.iter().filter(|one| matches!(one.verdict, Verdict::CannotTell { .. }));
    let part = &text[at("Checks that wait")..at("What this survey does not check")];
    for finding in open {
        assert!(part.contains(finding.subject.id.as_str()), "{} {}", finding.check, finding.subject.id);
    }
}

#[test]
fn every_panel_has_its_face_with_words_beside_its_ways() {
    let survey = demo();
    let (laid, _) = laid_and_written(&survey, Sheet::Letter, Pictures::NONE);
    let start = laid.headings.iter().position(|heading| heading.text == "Panel schedules").unwrap();
    for panel in &survey.panels {
        let title = format!("{} ({})", panel.name, panel.id);
        let heading = laid.headings[start..].iter().find(|heading| heading.text == title).unwrap();
        let page = &laid.pages[heading.place.page - 1];
        let drawn = page.items.iter().filter(|item| item.role == crate::paper::Role::Drawing);
        let words: Vec<&str> = drawn
            .filter(|item| item.rect.y > heading.place.y)
            .filter_map(|item| match &item.kind {
                ItemKind::Text(run) => Some(run.text.as_str()),
                _ => None,
            })
            .collect();
        let verdicts = ["DANGER", "WARNING", "CAUTION", "NOTICE", "CANNOT TELL", "MEETS"];
        assert!(words.iter().any(|word| verdicts.contains(word)), "{title}: {words:?}");
    }
}

/// A figure that is told can be worked out again: every run of the demo stands in the tables of the drop, and
/// the parts of each fault current begin with the source and end with its sum.
#[test]
fn drops_and_fault_currents_are_told_with_their_parts() {
    let survey = demo();
    let (laid, _) = laid_and_written(&survey, Sheet::Letter, Pictures::NONE);
    let text = text(&laid);
    for wanted in [
        "Voltage drop, step by step",
        "Resistance and reactance of each run",
        "Services, feeders and battery runs at full rating",
        "From each supply to the loads of each run",
        "Parts of each fault current",
        "What this survey does not check",
        "Measuring live parts",
        // A spot reading bounds a drop from below only: the line of the largest is marked as such.
        "at most + R0",
        "Currents in services and feeders, and where they are from",
        "demand entered for P1",
        "which lets no more through",
        "≥",
    ] {
        assert!(text.contains(wanted), "{wanted}");
    }
    assert!(!text.contains("aluminium") && !text.contains("energised") && !text.contains("licence"));
}

/// A name that the file or a table has for the program: `fuse_fast`, `device.rating`. A symbol of a formula
/// (`I_max`) has one letter before its index, an id begins with a capital or has a figure.
fn is_internal(word: &str) -> bool {
    let letters = |part: &str| part.len() > 2 && part.chars().all(|letter| letter.is_ascii_lowercase());
    let word = word.trim_matches(|mark: char| !mark.is_alphanumeric());
    let lower = |part: &str| part.chars().all(|letter| letter.is_ascii_lowercase());
    let underscored = word.split_once('_').is_some_and(|(before, _)| before.len() > 1 && lower(before));
    let path =
        word.split_once('.').is_some_and(|(of, fact)| letters(of) && letters(fact.trim_end_matches('s')));
    underscored || path
}

#[test]
fn no_name_of_the_program_stands_on_paper() {
    assert!(["fuse_fast", "(device.rating)", "battery.lowest"].into_iter().all(is_internal));
    assert!(!["I_max", "φ_st", "P2.light", "end. Next", "3.15"].into_iter().any(is_internal));
    let survey = demo();
    for language in [Language::English, Language::Spanish] {
        let _spoken = speak(language);
        let assessment = assess(&survey);
        let laid = lay_out(&report(&survey, &assessment, Sheet::Letter, Pictures::NONE).document()).unwrap();
        let text = text(&laid);
        let found: BTreeSet<&str> = text.split_whitespace().filter(|word| is_internal(word)).collect();
        assert_eq!(found, BTreeSet::new(), "{language:?}");
        assert!(!text.contains("240v") && !text.contains("Dc fuse"));
    }
}

#[test]
fn an_empty_survey_keeps_every_rule() {
    let empty = r#"{"deadfront_survey":1,"site":{"name":"Empty (invented)","rules":"us"}}"#;
    let survey = read_survey(empty.as_bytes()).unwrap();
    for sheet in SHEETS {
        let (_, written) = laid_and_written(&survey, sheet, Pictures::NONE);
        assert_eq!(written.warnings, []);
    }
}

#[test]
fn a_house_of_300_findings_keeps_every_rule() {
    let survey = house_of_300_findings();
    let counts = assess(&survey).counts;
    assert!(counts.danger + counts.warning + counts.caution + counts.notice >= 300, "{counts:?}");
    for sheet in SHEETS {
        laid_and_written(&survey, sheet, Pictures::NONE);
    }
}

#[test]
fn long_names_keep_every_rule() {
    let mut survey = demo();
    let long = "Verylongnamewithoutanyspaceinit".repeat(4);
    let sentence = "the panel behind the stairs that nobody has opened since it was painted over ".repeat(3);
    survey.site.name = sentence.clone();
    for panel in &mut survey.panels {
        panel.name.clone_from(&long);
        panel.ways.iter_mut().for_each(|way| way.label.clone_from(&sentence));
    }
    survey.runs.iter_mut().for_each(|run| run.name.clone_from(&long));
    survey.loads.iter_mut().for_each(|load| load.name.clone_from(&sentence));
    survey.supplies.iter_mut().for_each(|supply| supply.name.clone_from(&long));
    survey.readings.iter_mut().for_each(|reading| reading.instrument.clone_from(&long));
    for sheet in SHEETS {
        laid_and_written(&survey, sheet, Pictures::NONE);
    }
}

#[test]
fn eighty_photos_keep_every_rule_and_each_file_is_in_the_paper_once() {
    let survey = with_photos(demo(), 80);
    let pictures = Pictures::of(&survey, |file| {
        let number: usize = file.trim_end_matches(".jpg").parse().unwrap();
        // The last is the same picture as the one before.
        Shot::Whole(jpeg(number.min(78) as u8))
    });
    for sheet in SHEETS {
        let (laid, written) = laid_and_written(&survey, sheet, &pictures);
        let placed = laid.pages.iter().flat_map(|page| &page.items);
        assert_eq!(placed.filter(|item| matches!(item.kind, ItemKind::Picture(_))).count(), 80);
        let file = lopdf::Document::load_mem(&written.bytes).unwrap();
        let images = file.objects.values().filter_map(|object| object.as_stream().ok());
        let kept: BTreeSet<&[u8]> = images
            .filter(|stream| {
                stream.dict.get(b"Subtype").and_then(lopdf::Object::as_name).is_ok_and(|it| it == b"Image")
            })
            .map(|stream| stream.content.as_slice())
            .collect();
        let given: Vec<Arc<[u8]>> = (0..79).map(jpeg).collect();
        assert_eq!(kept, given.iter().map(AsRef::as_ref).collect::<BTreeSet<&[u8]>>(), "byte for byte");
    }
}

#[test]
fn a_photo_that_cannot_be_shown_has_a_line_that_says_why() {
    let survey = with_photos(demo(), 5);
    let pictures = Pictures::of(&survey, |file| match file {
        "0.jpg" => Shot::Whole(jpeg(7)),
        "1.jpg" => Shot::Missing,
        "2.jpg" => Shot::Broken,
        "3.jpg" => Shot::Swapped,
        _ => Shot::Outside,
    });
    let (laid, written) = laid_and_written(&survey, Sheet::A4, &pictures);
    let text = text(&laid);
    assert!(text.contains("Photos that are not shown"));
    for shot in Shot::WITHOUT {
        let first: Vec<&str> = shot.why().unwrap().split(' ').take(4).collect();
        assert!(text.contains(&first.join(" ")), "{first:?}");
    }
    assert_eq!(written.warnings, []);
}

#[test]
fn what_cannot_be_drawn_is_said() {
    let mut survey = demo();
    survey.panels[0].name = "盤 غرفة לוח щит".to_owned();
    survey.panels[0].ways[0].label = "廚房".to_owned();
    for sheet in SHEETS {
        let (laid, written) = laid_and_written(&survey, sheet, Pictures::NONE);
        let missing: BTreeSet<char> = written
            .warnings
            .iter()
            .flat_map(|warning| match warning {
                PaperWarning::NoGlyph { characters, .. } => characters.clone(),
                other => panic!("{other}"),
            })
            .collect();
        for character in ['盤', 'غ', 'ל', '廚'] {
            assert!(missing.contains(&character), "{character}");
        }
        assert!(text(&laid).contains("щит"));
    }
}

#[test]
fn the_same_house_gives_the_same_bytes() {
    let survey = with_photos(demo(), 3);
    let pictures = Pictures::of(&survey, |_| Shot::Whole(jpeg(3)));
    let written = || laid_and_written(&survey, Sheet::Letter, &pictures).1.bytes;
    assert!(written() == written());
}

#[test]
fn bookmarks_lead_to_their_headings_and_every_link_to_a_page() {
    let survey = demo();
    let (laid, written) = laid_and_written(&survey, Sheet::A4, Pictures::NONE);
    let file = lopdf::Document::load_mem(&written.bytes).unwrap();
    let found: Vec<(String, usize)> =
        file.get_toc().unwrap().toc.into_iter().map(|entry| (entry.title, entry.page)).collect();
    let wanted: Vec<(String, usize)> =
        laid.headings.iter().map(|heading| (heading.text.clone(), heading.place.page)).collect();
    assert_eq!(found, wanted);
    let pages = file.get_pages();
    for page in pages.values() {
        for link in file.get_page_annotations(*page).unwrap() {
            let action = link.get(b"A").and_then(lopdf::Object::as_dict).unwrap();
            let target = action.get(b"D").and_then(lopdf::Object::as_array).unwrap();
            let target = target.first().unwrap().as_reference().unwrap();
            assert!(pages.values().any(|page| *page == target));
        }
    }
}
