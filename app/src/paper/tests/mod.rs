//! The paper as a whole: what must hold for every document, and what the file must say.

mod blocks;
mod file;
mod pages;
mod random;
mod sample;

pub(crate) use pages::{broken_rules, thin_pages};

use super::flow_drawing::drawing_items;
use super::{Drawing, Item, ItemKind, LaidPage, PaperWarning, Role, TextRun};

/// Texts of a drawing that do not fit their place.
pub(crate) fn cut_short(drawing: &Drawing) -> Vec<String> {
    let (_, warnings) = drawing_items(drawing, 1.0);
    let cut = warnings.into_iter().filter_map(|warning| match warning {
        PaperWarning::CutShort { text } => Some(text),
        _ => None,
    });
    cut.collect()
}

/// Text of the document itself on a page: no head, foot or inside of a drawing.
fn flow_text(page: &LaidPage) -> Vec<(&Item, &TextRun)> {
    let texts = page.items.iter().filter_map(|item| match &item.kind {
        ItemKind::Text(run) => Some((item, run)),
        _ => None,
    });
    texts.filter(|(item, _)| matches!(item.role, Role::Flow | Role::Heading(_))).collect()
}

/// All characters of the document's text that are no spaces, in the order of the pages.
fn printed(pages: &[LaidPage]) -> String {
    let runs = pages.iter().flat_map(flow_text);
    let all: String =
        runs.flat_map(|(_, run)| run.text.chars()).filter(|character| !character.is_whitespace()).collect();
    // What is printed again is no part of the document.
    all.replace(",continued", "")
}

/// Baselines on which the document's text stands, in hundredths of a point.
fn baselines(page: &LaidPage) -> Vec<i64> {
    let mut all: Vec<i64> =
        flow_text(page).iter().map(|(_, run)| (run.baseline.0 * 100.0).round() as i64).collect();
    all.sort_unstable();
    all.dedup();
    all
}
