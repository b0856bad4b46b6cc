//! Light, text size and language, as the person keeps them from visit to visit.

use std::fs;
use std::io;
use std::path::PathBuf;

use deadfront_rules::words::Language;
use deadfront_ui::DisplayChoice;
use serde::{Deserialize, Serialize};

use crate::file::replace;
use crate::store::Places;

/// As it stands in the file.
#[derive(Debug, Serialize, Deserialize)]
struct Kept {
    dark: bool,
    percent: u8,
    language: String,
}

fn file(places: &Places) -> PathBuf {
    places.data.join("display.json")
}

/// What was chosen; none where there is no file yet or it cannot be read.
pub(super) fn read(places: &Places) -> Option<DisplayChoice> {
    let kept: Kept = serde_json::from_str(&fs::read_to_string(file(places)).ok()?).ok()?;
    Some(DisplayChoice {
        dark: kept.dark,
        percent: kept.percent,
        language: Language::of_code(&kept.language).unwrap_or_default(),
    })
}

/// Keeps what was chosen.
///
/// # Errors
/// When the folder cannot be written.
pub(super) fn keep(places: &Places, choice: &DisplayChoice) -> io::Result<()> {
    use std::io::Write as _;
    fs::create_dir_all(&places.data)?;
    let language = choice.language.code().to_owned();
    let text = serde_json::to_string_pretty(&Kept { dark: choice.dark, percent: choice.percent, language })?;
    replace(&file(places), |file| file.write_all(text.as_bytes()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_chosen_is_there_the_next_time_and_a_broken_file_gives_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let places = Places::below(folder.path());
        assert_eq!(read(&places), None);
        let choice = DisplayChoice { dark: true, percent: 130, language: Language::Spanish };
        keep(&places, &choice).unwrap();
        assert_eq!(read(&places), Some(choice));
        fs::write(file(&places), "{\"dark\": 3}").unwrap();
        assert_eq!(read(&places), None);
    }
}
