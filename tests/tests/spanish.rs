//! Every text for people has its Spanish: those that stand in the sources, and those that come up when
//! the invented demo house is checked, printed and walked through.
//!
//! `DEADFRONT_MISSING=FILE cargo test -p deadfront-tests --test spanish` writes what is missing into FILE.

#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use deadfront::paper::Sheet;
use deadfront::report::{Pictures, Report};
use deadfront_rules::assess;
use deadfront_rules::checks::registry;
use deadfront_rules::house::House;
use deadfront_rules::isolation;
use deadfront_rules::survey::{ItemKind, Survey};
use deadfront_rules::words::{self, Language};

fn workspace() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// Files below a folder with this ending, without those that only tests read.
fn files(folder: &Path, ending: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            let of_tests = name.ends_with("tests") || name.ends_with("tests.rs") || name == "fixture.rs";
            if path.is_dir() && !of_tests {
                folders.push(path);
            } else if name.ends_with(ending) && !of_tests {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}

/// The literal that begins at the start of `code`, if one does.
fn literal(code: &str) -> Option<String> {
    let mut letters = code.trim_start().strip_prefix('"')?.chars().peekable();
    let mut text = String::new();
    loop {
        match letters.next()? {
            '"' => return Some(text),
            '\\' => match letters.next()? {
                'n' => text.push('\n'),
                'u' => {
                    let code: String = letters.by_ref().skip(1).take_while(|letter| *letter != '}').collect();
                    text.extend(u32::from_str_radix(&code, 16).ok().and_then(char::from_u32));
                }
                '\n' => while letters.next_if(|letter| letter.is_whitespace()).is_some() {},
                other => text.push(other),
            },
            other => text.push(other),
        }
    }
}

/// The literals that stand behind one of these openings in a source, without its tests.
fn behind(source: &str, openings: &[&str]) -> Vec<String> {
    let code = source.split("#[cfg(test)]\nmod tests {").next().unwrap_or(source);
    let lines: Vec<&str> = code.lines().filter(|line| !line.trim_start().starts_with("//")).collect();
    let code = lines.join("\n");
    let found = openings.iter().flat_map(|opening| code.match_indices(opening));
    found.filter_map(|(at, opening)| literal(&code[at + opening.len()..])).collect()
}

/// Whether a text has a word in it, and not only numbers, units and symbols.
fn has_words(text: &str) -> bool {
    let plain = text.replace("{}", " ");
    // A symbol of a formula (`d_min`) is no word.
    let plain = plain.split_whitespace().filter(|word| !word.contains('_')).collect::<Vec<_>>().join(" ");
    let words = plain.split(|letter: char| !letter.is_alphabetic());
    words.filter(|word| word.chars().count() > 2).any(|word| word.chars().skip(1).any(char::is_lowercase))
}

fn assert_none(missing: &BTreeSet<String>) {
    let missing: Vec<&String> = missing.iter().filter(|text| has_words(text)).collect();
    if let (Ok(file), false) = (std::env::var("DEADFRONT_MISSING"), missing.is_empty()) {
        use std::io::Write as _;
        let mut file = fs::OpenOptions::new().append(true).create(true).open(file).unwrap();
        for text in &missing {
            writeln!(file, "{}", serde_json::to_string(text).unwrap()).unwrap();
        }
    }
    assert!(missing.is_empty(), "{} texts have no Spanish: {missing:#?}", missing.len());
}

#[test]
fn every_text_that_stands_in_the_sources_has_its_spanish() {
    let openings = [
        "say!(",
        "plain(",
        "word(",
        "Arg::Word(",
        "Span::new(",
        "Span::bold(",
        "Span::soft(",
        "::holds(",
        "::broken(",
        "::open(",
        "=> word(",
    ];
    let mut missing = BTreeSet::new();
    for package in ["rules", "app", "ui"] {
        for file in files(&workspace().join(package).join("src"), ".rs") {
            let source = fs::read_to_string(&file).unwrap();
            missing.extend(behind(&source, &openings).into_iter().filter(|text| !words::has(text)));
        }
    }
    assert_none(&missing);
}

/// Texts of files, signatures, photos and the visit that would reach a person in English alone: what is
/// put together without the catalogue. Names of files and parts of a path are no sentences.
#[test]
fn no_complaint_of_a_file_a_signature_or_a_photo_goes_past_the_catalogue() {
    let openings = ["format!(", "#[error(", "custom(", "anyhow!(", "bail!(", "write_str("];
    let no_sentence = |text: &str| {
        text.starts_with('/')
            || [".json", ".jsonl", ".jpg", ".pdf", "}"].iter().any(|end| text.ends_with(end))
    };
    // What the reader of JSON expects is put into words by `file::words`.
    let of_the_reader = ["a survey", "an object", "a key"];
    let mut past = BTreeSet::new();
    for folder in ["file", "store", "sign", "photo", "visit"] {
        for file in files(&workspace().join("app/src").join(folder), ".rs") {
            let source = fs::read_to_string(&file).unwrap();
            past.extend(behind(&source, &openings).into_iter().filter(|text| {
                has_words(&without_places(text)) && !no_sentence(text) && !of_the_reader.contains(&&**text)
            }));
        }
    }
    assert_none(&past);
}

/// A template without what is put into it.
fn without_places(template: &str) -> String {
    let parts = template.split('{').map(|part| part.split_once('}').map_or(part, |(_, rest)| rest));
    parts.collect::<Vec<_>>().join(" ")
}

/// What is told where a file cannot be opened and where a signature is refused.
#[test]
fn a_broken_file_and_a_refused_signature_are_told_in_spanish() {
    let _spoken = words::speak(Language::Spanish);
    let of_file = |text: &str| deadfront::file::read_survey(text.as_bytes()).unwrap_err().to_string();
    assert!(of_file("").starts_with("línea 1, columna 1: el archivo está vacío"), "{}", of_file(""));
    assert!(of_file("{\"deadfront_survey\": 1, ").contains("el texto termina en medio"));
    assert!(of_file("{\"deadfront_survey\": 1, \"site\": 3}").contains("aquí está el número 3"));
    let missing = deadfront::file::open("/no/such/house.json").unwrap_err().to_string();
    assert!(missing.contains("no se puede leer: no hay tal archivo"), "{missing}");
    let refused = deadfront::sign::SignError::NoLicence.to_string();
    assert!(refused.starts_with("un electricista con licencia firma"), "{refused}");
}

/// Speaks Spanish while it looks at everything the program says of a house.
fn said_of(survey: &Survey) -> BTreeSet<String> {
    let _spoken = words::speak(Language::Spanish);
    let ((), missing) = words::missing_in(|| {
        let assessment = assess(survey);
        let made = chrono::DateTime::parse_from_rfc3339("2026-11-26T10:00:00-06:00").unwrap();
        for sheet in [Sheet::A4, Sheet::Letter] {
            let report = Report { survey, assessment: &assessment, made, sheet, pictures: Pictures::NONE };
            report.pdf().unwrap();
        }
        for finding in &assessment.findings {
            let texts = [&finding.message, &finding.caution, &finding.next_step];
            let _ = texts.map(ToString::to_string);
            let _ = serde_json::to_string(&finding.derivation.steps().collect::<Vec<_>>()).unwrap();
        }
        let house = House::new(survey);
        let overview = isolation::overview(&house);
        for meeting in &overview.meetings {
            let _ = meeting.additions.to_string();
        }
    });
    missing
}

#[test]
fn every_text_of_the_demo_house_has_its_spanish() {
    assert_none(&said_of(&deadfront::file::read_survey(deadfront::demo::DEMO.as_bytes()).unwrap()));
}

#[test]
fn every_choice_question_and_check_has_its_spanish() {
    let mut missing = BTreeSet::new();
    for kind in ItemKind::ALL {
        for question in deadfront_rules::survey::questions::of_kind(*kind) {
            for text in [question.label, question.ask, question.look, question.unseen] {
                missing.extend((!words::has(text)).then(|| text.to_owned()));
            }
        }
    }
    for check in registry() {
        for text in [check.caution, check.next_step, &check.name.replace('_', " ")] {
            missing.extend((!words::has(text)).then(|| text.to_owned()));
        }
    }
    assert_none(&missing);
}

/// Entries of a `.po` file: English and Spanish.
fn entries(po: &str) -> Vec<(String, String)> {
    let mut found = Vec::new();
    let mut english = None;
    for line in po.lines() {
        if let Some(text) = line.strip_prefix("msgid ") {
            english = literal(text);
        } else if let Some(text) = line.strip_prefix("msgstr ").or_else(|| line.strip_prefix("msgstr[0] ")) {
            found.extend(english.take().zip(literal(text)));
        }
    }
    found
}

#[test]
fn every_text_of_the_windows_pages_has_its_spanish() {
    let po = fs::read_to_string(workspace().join("ui/translations/es/LC_MESSAGES/deadfront-ui.po")).unwrap();
    let entries = entries(&po);
    let known: BTreeSet<&str> =
        entries.iter().filter(|(_, spanish)| !spanish.is_empty()).map(|(english, _)| &**english).collect();
    let mut missing = BTreeSet::new();
    for file in files(&workspace().join("ui/ui"), ".slint") {
        let source = fs::read_to_string(&file).unwrap();
        missing.extend(behind(&source, &["@tr("]).into_iter().filter(|text| !known.contains(&**text)));
    }
    assert_none(&missing);
    for (english, spanish) in &entries {
        let places = |text: &str| text.matches('{').count();
        assert_eq!(places(english), places(spanish), "places of: {english}");
    }
}
