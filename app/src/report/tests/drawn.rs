//! What a drawing on paper must keep, so that it can be read.

use std::collections::BTreeMap;

use super::*;
use crate::paper::{LaidPage, Role, TextRun};

/// Smallest type in a drawing, in hundredths of a point.
const SMALLEST: i64 = 700;

/// The texts in the drawings of a page.
fn drawn(page: &LaidPage) -> impl Iterator<Item = &TextRun> {
    let items = page.items.iter().filter(|item| item.role == Role::Drawing);
    items.filter_map(|item| match &item.kind {
        ItemKind::Text(run) => Some(run),
        _ => None,
    })
}

/// The demo on both sheets in both languages.
fn each_paper(look: impl Fn(&Laid, &str)) {
    let survey = demo();
    for language in [Language::English, Language::Spanish] {
        let _spoken = speak(language);
        let assessment = assess(&survey);
        for sheet in SHEETS {
            let laid = lay_out(&report(&survey, &assessment, sheet, Pictures::NONE).document()).unwrap();
            look(&laid, &format!("{sheet:?} {language:?}"));
        }
    }
}

#[test]
fn no_type_in_a_drawing_is_smaller_than_seven_points() {
    each_paper(|laid, paper| {
        let mut small: BTreeMap<usize, i64> = BTreeMap::new();
        for (at, page) in laid.pages.iter().enumerate() {
            let sizes = drawn(page).map(|run| (run.size.points().0 * run.scale * 100.0).round() as i64);
            if let Some(size) = sizes.min().filter(|size| *size < SMALLEST) {
                small.insert(at + 1, size);
            }
        }
        assert_eq!(small, BTreeMap::new(), "{paper}");
    });
}

/// On paper nobody can tap on a text to read it whole.
#[test]
fn no_text_in_a_drawing_of_the_demo_is_cut() {
    each_paper(|laid, paper| {
        let texts = laid.pages.iter().enumerate();
        let cut: Vec<(usize, &str)> = texts
            .flat_map(|(at, page)| drawn(page).map(move |run| (at + 1, run.text.as_str())))
            .filter(|(_, text)| text.ends_with('\u{2026}'))
            .collect();
        assert_eq!(cut, [], "{paper}");
    });
}

#[test]
fn each_panel_of_the_demo_is_drawn_on_one_sheet_and_the_largest_on_two() {
    let (laid, _) = laid_and_written(&demo(), Sheet::Letter, Pictures::NONE);
    let start = laid.headings.iter().position(|heading| heading.text == "One-line, panel by panel").unwrap();
    let end = laid.headings.iter().position(|heading| heading.text == "Panel schedules").unwrap();
    let titles: Vec<&str> = laid.headings[start..end].iter().map(|heading| heading.text.as_str()).collect();
    let of = |id: &str| titles.iter().filter(|title| title.split(' ').next() == Some(id)).count();
    for panel in &demo().panels {
        let most = if panel.id.as_str() == "P2" { 2 } else { 1 };
        assert_eq!(of(panel.id.as_str()), most, "{}", panel.id);
    }
}
