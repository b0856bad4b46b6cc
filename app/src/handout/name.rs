//! Names of files.

use deadfront_rules::survey::Survey;

/// Longest name made from that of a house, in characters.
const LONGEST: usize = 60;

/// A file name for a survey without its ending: letters and digits of the house's name, and the
/// revision.
#[must_use]
pub fn stem(survey: &Survey) -> String {
    let mut name = String::new();
    for letter in survey.site.name.chars().flat_map(char::to_lowercase) {
        if letter.is_alphanumeric() {
            name.push(letter);
        } else if !name.is_empty() && !name.ends_with('-') {
            name.push('-');
        }
    }
    let name: String = name.chars().take(LONGEST).collect();
    let name = name.trim_end_matches('-');
    let name = if name.is_empty() { "survey" } else { name };
    format!("{name}-revision-{}", survey.revision)
}

/// Whether a name is that of a file in a folder, and no way out of it.
pub(super) fn is_plain(name: &str) -> bool {
    !matches!(name, "" | "." | "..") && !name.contains(['/', '\\', ':', '\0'])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_one_that_every_system_takes() {
        let mut survey = crate::file::read_survey(crate::demo::DEMO.as_bytes()).unwrap();
        for (house, wanted) in [
            ("Demo house (invented)", "demo-house-invented-revision-1"),
            ("../../x: \"y\"", "x-y-revision-1"),
            ("", "survey-revision-1"),
            ("Haus Ä 12", "haus-ä-12-revision-1"),
            ("///", "survey-revision-1"),
        ] {
            house.clone_into(&mut survey.site.name);
            assert_eq!(stem(&survey), wanted);
        }
    }

    #[test]
    fn no_photo_leads_out_of_its_folder() {
        for name in ["", ".", "..", "../x", "a/b", "C:x", "a\\b", "a\0b"] {
            assert!(!is_plain(name), "{name:?}");
        }
        assert!(is_plain("0123456789abcdef.jpg"));
    }
}
