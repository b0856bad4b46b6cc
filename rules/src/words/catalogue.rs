//! The Spanish texts, by their English ones, and English texts that the United States spell otherwise.

use std::collections::{HashMap, HashSet};
use std::sync::LazyLock;

/// English and Spanish, a row a text. One file for what each part of the program says.
pub(super) static FILES: &[&str] = &[
    include_str!("es/checks.csv"),
    include_str!("es/survey.csv"),
    include_str!("es/engines.csv"),
    include_str!("es/paper.csv"),
    include_str!("es/window.csv"),
];

static SPANISH: LazyLock<HashMap<String, String>> =
    LazyLock::new(|| FILES.iter().copied().flat_map(rows).collect());

/// The rows of a file. A row that cannot be read is left out; a test looks for such.
pub(super) fn rows(file: &str) -> Vec<(String, String)> {
    let mut reader = csv::Reader::from_reader(file.as_bytes());
    reader.deserialize().flatten().collect()
}

/// The Spanish of a text.
pub(super) fn spanish(english: &str) -> Option<&'static str> {
    let spanish = &*SPANISH;
    spanish.get(english).map(String::as_str)
}

/// Texts that people in the United States spell otherwise than the source, which keeps the spelling of its
/// facts' names.
pub(super) static US_FILE: &str = include_str!("us.csv");

/// The spelling of the United States, where it is another one.
pub(super) fn us(english: &str) -> Option<&'static str> {
    static SPELLED: LazyLock<HashMap<String, String>> = LazyLock::new(|| rows(US_FILE).into_iter().collect());
    let spelled = &*SPELLED;
    spelled.get(english).map(String::as_str)
}

/// Whether a text is the Spanish of another.
pub(super) fn is_spanish(text: &str) -> bool {
    static TOLD: LazyLock<HashSet<&str>> = LazyLock::new(|| SPANISH.values().map(String::as_str).collect());
    TOLD.contains(text)
}

/// Whether a text has its Spanish.
#[must_use]
pub fn has(english: &str) -> bool {
    spanish(english).is_some()
}

/// The explanations of the checks, each behind a line `<!-- name of the check -->`.
static PAGES: LazyLock<HashMap<&'static str, &'static str>> =
    LazyLock::new(|| pages(include_str!("es/explanations.md")).collect());

fn pages(file: &'static str) -> impl Iterator<Item = (&'static str, &'static str)> {
    file.split("<!-- ").skip(1).filter_map(|part| {
        let (name, text) = part.split_once(" -->")?;
        Some((name, text.trim_start_matches('\n')))
    })
}

/// The Spanish explanation of a check.
pub(super) fn spanish_page(check: &str) -> Option<&'static str> {
    PAGES.get(check).copied()
}
