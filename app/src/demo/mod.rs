//! The built-in example: a house that does not exist, with faults of every era built in on purpose.
//!
//! `README.md` beside this file tells what the house is and which item trips which check.

/// The example survey, exactly as saving it would write it.
pub const DEMO: &str = include_str!("demo-survey.json");

#[cfg(test)]
mod tests {
    use super::*;
    use deadfront_rules::survey::{Survey, validate};

    fn demo() -> Survey {
        serde_json::from_str(DEMO).unwrap()
    }

    #[test]
    fn demo_file_is_exactly_what_saving_it_would_write() {
        let written = serde_json::to_string_pretty(&demo()).unwrap();
        let differing = written.lines().zip(DEMO.lines()).find(|(written, file)| written != file);
        assert_eq!(differing, None);
        assert!(written == DEMO, "one text is longer than the other");
    }

    #[test]
    fn demo_has_no_faults_of_form() {
        assert_eq!(validate(&demo()), []);
    }

    #[test]
    fn demo_says_that_it_is_invented() {
        let site = demo().site;
        assert!(site.invented);
        assert!(site.name.contains("invented"), "{}", site.name);
        assert!(site.place.contains("invented"), "{}", site.place);
    }

    #[test]
    fn demo_is_as_large_as_an_older_house() {
        let survey = demo();
        let ways: usize = survey.panels.iter().map(|panel| panel.ways.len()).sum();
        assert!(survey.panels.len() >= 6, "{} panels", survey.panels.len());
        assert!(ways >= 60, "{ways} ways");
        assert!(survey.runs.len() >= 60, "{} runs", survey.runs.len());
        assert!(survey.loads.len() >= 45, "{} loads", survey.loads.len());
    }

    #[test]
    fn demo_holds_no_photos_and_no_signatures() {
        let survey = demo();
        assert!(survey.photos.is_empty());
        assert!(survey.signatures.is_empty());
    }
}
