//! What must hold on every page of every document.

use std::collections::BTreeMap;

use proptest::prelude::*;

use super::random::{any_document, expected_letters};
use super::{baselines, flow_text, printed, sample};
use crate::paper::{Document, Item, ItemKind, Laid, LaidPage, Pt, Role, Sheet, TextSize, lay_out, type_area};

/// Rounding of places.
const SLACK: Pt = Pt(0.05);

/// Every rule broken on the pages, in words.
pub(crate) fn broken_rules(document: &Document, laid: &Laid) -> Vec<String> {
    let mut broken = Vec::new();
    for (index, page) in laid.pages.iter().enumerate() {
        let next = laid.pages.get(index + 1);
        let before = index.checked_sub(1).and_then(|index| laid.pages.get(index));
        let mut rule = |holds: bool, words: &str| {
            if !holds {
                broken.push(format!("page {}: {words}", index + 1));
            }
        };
        rule(inside_margins(document, page), "a thing outside the margins");
        rule(!overlaps(page), "text over text");
        rule(page.cover || sizes(page) <= 3, "more than three sizes");
        let ends = next.is_none_or(|next| page.cover && !next.cover);
        rule(ends || !heading_last(page), "a heading last");
        let beside_drawing = before.is_some_and(one_drawing) || next.is_some_and(one_drawing);
        rule(!lonely(page, next) || beside_drawing, "a single line");
    }
    broken
}

fn inside_margins(document: &Document, page: &LaidPage) -> bool {
    let area = type_area(document.sheet);
    page.items.iter().all(|item| area.holds(&item.rect, SLACK))
}

fn overlaps(page: &LaidPage) -> bool {
    let texts: Vec<&Item> = page
        .items
        .iter()
        .filter(|item| matches!(item.kind, ItemKind::Text(_)) && item.role != Role::Drawing)
        .collect();
    texts.iter().enumerate().any(|(index, item)| {
        let others = texts.iter().skip(index + 1);
        others.into_iter().any(|other| item.rect.overlaps(&other.rect, SLACK))
    })
}

fn sizes(page: &LaidPage) -> usize {
    let mut found: Vec<TextSize> = page
        .items
        .iter()
        .filter_map(|item| match &item.kind {
            ItemKind::Text(run) => Some(run.size),
            _ => None,
        })
        .collect();
    found.sort_unstable();
    found.dedup();
    found.len()
}

fn lowest(page: &LaidPage) -> Option<&Item> {
    let own = page
        .items
        .iter()
        .filter(|item| !matches!(item.kind, ItemKind::Link { .. } | ItemKind::Polyline { .. }))
        .filter(|item| item.role != Role::Furniture);
    own.max_by(|a, b| a.rect.bottom().0.total_cmp(&b.rect.bottom().0))
}

fn heading_last(page: &LaidPage) -> bool {
    lowest(page).is_some_and(|item| matches!(item.role, Role::Heading(_)))
}

/// One line and nothing else, though the document did not ask for it.
fn lonely(page: &LaidPage, next: Option<&LaidPage>) -> bool {
    let asked = page.forced && next.is_none_or(|next| next.forced);
    !asked && !has_drawing(page) && !page.cover && baselines(page).len() < 2
}

/// Pages that carry less than `least` though the document goes on behind them and asked for no new page,
/// as number and filled height. The cover ends where it ends.
pub(crate) fn thin_pages(document: &Document, laid: &Laid, least: Pt) -> Vec<(usize, i64)> {
    let top = type_area(document.sheet).y;
    let filled = |page: &LaidPage| lowest(page).map_or(Pt::ZERO, |item| item.rect.bottom() - top);
    let pairs = laid.pages.iter().zip(laid.pages.iter().skip(1)).enumerate();
    pairs
        .filter(|(_, (page, next))| !page.cover && !next.forced && filled(page) < least)
        .map(|(at, (page, _))| (at + 1, filled(page).0.round() as i64))
        .collect()
}

fn has_drawing(page: &LaidPage) -> bool {
    page.items.iter().any(|item| item.role == Role::Drawing || matches!(item.kind, ItemKind::Picture(_)))
}

/// A drawing as high as the page with nothing but its headings: it can spare nothing for the pages
/// beside it.
fn one_drawing(page: &LaidPage) -> bool {
    let texts = flow_text(page);
    let headings_only = texts.iter().all(|(item, _)| matches!(item.role, Role::Heading(_)));
    has_drawing(page) && headings_only
}

fn counts(text: &str) -> BTreeMap<char, usize> {
    let mut counts = BTreeMap::new();
    for letter in text.chars().filter(|letter| letter.is_lowercase()) {
        *counts.entry(letter).or_default() += 1;
    }
    counts
}

#[test]
fn the_sample_keeps_every_rule() {
    for sheet in [Sheet::A4, Sheet::Letter] {
        for chapters in [1, 2, 7] {
            let document = sample::document(sheet, chapters);
            let laid = lay_out(&document).unwrap();
            assert!(laid.pages.len() > 3);
            assert_eq!(broken_rules(&document, &laid), Vec::<String>::new());
            assert_eq!(laid.warnings, []);
        }
    }
}

#[test]
fn every_page_says_whose_it_is() {
    let document = sample::document(Sheet::A4, 2);
    let laid = lay_out(&document).unwrap();
    let count = laid.pages.len();
    for (index, page) in laid.pages.iter().enumerate() {
        let furniture: String = page
            .items
            .iter()
            .filter(|item| item.role == Role::Furniture)
            .filter_map(|item| match &item.kind {
                ItemKind::Text(run) => Some(run.text.as_str()),
                _ => None,
            })
            .collect();
        let number = format!("page {} of {count}", index + 1);
        let running = sample::running();
        for words in [&number, &running.house, &running.revision, &running.fingerprint] {
            assert!(furniture.contains(words.as_str()), "{furniture}");
        }
    }
}

#[test]
fn page_numbers_in_the_text_are_those_of_the_pages() {
    let document = sample::document(Sheet::A4, 3);
    let laid = lay_out(&document).unwrap();
    for chapter in 0..3 {
        let place = laid.anchors.get(&format!("derivation-{chapter}")).unwrap();
        let heading =
            laid.headings.iter().filter(|heading| heading.text == "Derivation").nth(chapter).unwrap();
        assert_eq!(heading.place.page, place.page);
        let wanted = format!("onpage{}.", place.page);
        assert!(printed(&laid.pages).contains(&wanted), "{wanted}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn every_document_keeps_every_rule_and_every_letter(document in any_document()) {
        let laid = lay_out(&document).unwrap();
        prop_assert_eq!(broken_rules(&document, &laid), Vec::<String>::new());
        prop_assert_eq!(counts(&printed(&laid.pages)), counts(&expected_letters(&document)));
    }
}

#[test]
fn the_rules_find_what_is_wrong() {
    let document = sample::document(Sheet::A4, 1);
    let good = lay_out(&document).unwrap();
    let spoil = |change: &dyn Fn(&mut LaidPage)| {
        let mut laid = good.clone();
        change(laid.pages.get_mut(2).unwrap());
        broken_rules(&document, &laid).len()
    };
    let text = |page: &LaidPage| flow_text(page).first().map(|(item, _)| (*item).clone()).unwrap();
    let doubled = |page: &mut LaidPage| page.items.push(text(page));
    let outside = |page: &mut LaidPage| page.items.push(text(page).moved(Pt(-40.0), Pt(400.0)));
    let heading = |page: &mut LaidPage| page.items.push(text(page).moved(Pt::ZERO, Pt(660.0)));
    assert_eq!(spoil(&|_| {}), 0);
    assert!(spoil(&doubled) > 0);
    assert!(spoil(&outside) > 0);
    assert!(spoil(&heading) > 0);
}
