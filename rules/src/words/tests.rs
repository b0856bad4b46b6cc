use std::collections::BTreeMap;

use super::*;
use crate::checks::registry;
use crate::finding::Said;
use crate::say;

#[test]
fn a_text_is_told_in_the_language_that_is_spoken_and_in_english_again_afterwards() {
    let said = say!("{} of {} allowed", crate::si::amperes(41.4), "yes");
    {
        let _spoken = speak(Language::Spanish);
        assert_eq!(said.to_string(), "41.4 A de sí permitidos");
        assert_eq!(word("yes"), "sí");
    }
    assert_eq!(said.to_string(), "41.4 A of yes allowed");
}

#[test]
fn what_a_person_wrote_is_never_translated() {
    let _spoken = speak(Language::Spanish);
    let name = "yes".to_owned();
    assert_eq!(say!("{}", &name).to_string(), "yes");
    assert_eq!(say!("{}", name).to_string(), "yes");
}

#[test]
fn what_the_catalogue_lacks_stands_in_english_and_is_told() {
    let _spoken = speak(Language::Spanish);
    let (told, missing) = missing_in(|| Said::plain("no such text stands there").to_string());
    assert_eq!(told, "no such text stands there");
    assert_eq!(missing.into_iter().collect::<Vec<_>>(), ["no such text stands there"]);
}

#[test]
fn languages_are_known_by_their_letters() {
    assert_eq!(Language::of_code("es-MX"), Some(Language::Spanish));
    assert_eq!(Language::of_code("es_US.UTF-8"), Some(Language::Spanish));
    assert_eq!(Language::of_code("EN"), Some(Language::English));
    assert_eq!(Language::of_code("eo"), None);
    assert_eq!(Language::of_code(""), None);
}

#[test]
fn every_text_stands_once_and_keeps_its_places_and_marks() {
    let mut known: BTreeMap<String, String> = BTreeMap::new();
    for (english, spanish) in catalogue::FILES.iter().flat_map(|file| catalogue::rows(file)) {
        let places = |text: &str| text.matches("{}").count();
        assert_eq!(places(&english), places(&spanish), "places of: {english}");
        let edge = |text: &str| (text.starts_with(' '), text.ends_with(' '));
        assert_eq!(edge(&english), edge(&spanish), "spaces at the ends of: {english}");
        assert!(!spanish.trim().is_empty(), "no Spanish for: {english}");
        assert!(known.insert(english.clone(), spanish).is_none(), "twice: {english}");
    }
}

#[test]
fn every_row_of_the_catalogue_can_be_read() {
    for file in catalogue::FILES {
        let mut reader = csv::Reader::from_reader(file.as_bytes());
        for row in reader.deserialize::<(String, String)>() {
            row.unwrap();
        }
    }
}

/// Numbers, units and clauses are the same in both languages.
#[test]
fn no_translation_changes_a_number() {
    for (english, spanish) in catalogue::FILES.iter().flat_map(|file| catalogue::rows(file)) {
        let digits = |text: &str| {
            let mut all: Vec<char> = text.chars().filter(char::is_ascii_digit).collect();
            all.sort_unstable();
            all
        };
        assert_eq!(digits(&english), digits(&spanish), "{english}\n{spanish}");
    }
}

#[test]
fn every_check_has_its_explanation_title_caution_and_next_step() {
    let _spoken = speak(Language::Spanish);
    for check in registry() {
        let page = explanation(check);
        assert!(!why(check).is_empty(), "why of {}", check.name);
        assert_ne!(page, check.explanation, "no Spanish page for {}", check.name);
        let heads = |text: &str| text.lines().filter(|line| line.trim_start().starts_with("# ")).count();
        assert_eq!(heads(page), heads(check.explanation), "headings of {}", check.name);
        let digits = |text: &str| text.chars().filter(char::is_ascii_digit).count();
        assert_eq!(digits(page), digits(check.explanation), "numbers of {}", check.name);
        for text in [check.caution, check.next_step, &check.name.replace('_', " ")] {
            assert!(has(text), "no Spanish for: {text}");
        }
    }
}

/// The trade in the United States writes aluminum, energized, license. The source may write otherwise (facts are
/// named in the file); nobody reads it so.
#[test]
fn texts_are_spelled_as_in_the_united_states() {
    const OTHERS: [&str; 9] =
        ["luminium", "nergise", "licence", "olour", "eighbour", "avourable", "grey", "Grey", "arthing"];
    let spelled = |text: &str| OTHERS.iter().any(|other| text.contains(other));
    let own: BTreeMap<String, String> = catalogue::rows(catalogue::US_FILE).into_iter().collect();
    let known: BTreeMap<String, String> =
        catalogue::FILES.iter().flat_map(|file| catalogue::rows(file)).collect();
    for english in known.keys().filter(|english| spelled(english)) {
        assert!(own.contains_key(english), "no spelling of the United States for: {english}");
    }
    for (english, us) in &own {
        assert!(!spelled(us), "{us}");
        assert_eq!(english.matches("{}").count(), us.matches("{}").count(), "{english}");
    }
    assert_eq!(word("aluminium"), "aluminum");
    assert_eq!(phrase("aluminium branch wiring".to_owned()), "aluminum branch wiring");
}
