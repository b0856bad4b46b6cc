//! What stands in a detail: readings beside their figures, drawings that can be read.

use deadfront_rules::survey::Survey;
use i_slint_backend_testing::{AccessibleRole, ElementHandle, ElementQuery};
use slint::{ComponentHandle as _, Model as _};

use slint::platform::Key;

use super::hand::{Hand, SIZES, TALL, is_in_drawing, sample, settle, tap};
use crate::Place;
use crate::generated::{Detail, Mark};

const WHOLE_PAGE: f32 = 3600.0;

fn at_item(item: &str, survey: Survey, width: f32) -> Hand {
    let hand = Hand::on(survey, (width, WHOLE_PAGE), 1.0);
    hand.app.open_item(item);
    settle();
    hand
}

fn demo() -> Survey {
    (*sample::house().0).clone()
}

#[test]
fn a_reading_stands_beside_the_figures_of_its_point_and_the_judgement() {
    let hand = at_item("R002", demo(), 1280.0);
    assert!(hand.reads("38.4 A"));
    assert!(hand.reads("2026-10-17 09:44, clamp meter"));
    let readings = hand.app.window.global::<Detail>().get_readings();
    assert_eq!(readings.row_count(), 1);
    let figures = readings.row_data(0).unwrap().figures;
    assert!(figures.row_count() > 0, "figures are worked out for this current");
    for figure in figures.iter() {
        assert!(hand.reads(&figure.against) && hand.reads(&figure.computed), "{figure:?}");
        assert!(hand.reads(&figure.judged));
        let told = match figure.mark {
            Mark::None => "Nothing speaks against it",
            Mark::CannotTell => "Cannot tell",
            _ => "Asks for action",
        };
        assert_eq!(figure.judged, told);
        assert!(figure.mark != Mark::Meets, "a reading meets nothing");
    }
    hand.tap_row("38.4 A");
    assert_eq!(hand.app.window.global::<Detail>().get_head().id, "M02");
    let own = hand.app.window.global::<Detail>().get_readings().row_data(0).unwrap();
    assert!(!own.opens, "it lies open already");
}

#[test]
fn a_current_above_its_device_asks_for_action_with_the_mark_of_its_check() {
    let mut survey = demo();
    let reading = survey.readings.iter_mut().find(|reading| reading.id.as_str() == "M02").unwrap();
    reading.current = serde_json::from_str("\"900 A\"").unwrap();
    let hand = at_item("R002", survey, 800.0);
    let figures = hand.app.window.global::<Detail>().get_readings().row_data(0).unwrap().figures;
    assert!(figures.iter().any(|figure| figure.mark == Mark::Warning && figure.judged == "Asks for action"));
}

#[test]
fn a_reading_without_a_figure_says_so() {
    let hand = at_item("E2", demo(), 800.0);
    assert!(hand.reads("Nothing is worked out for it"));
}

/// Height of the smallest text in a drawing.
fn smallest_letter(hand: &Hand) -> f32 {
    let drawing = hand.app.window.global::<Detail>().get_drawing();
    let spot = drawing.spots.row_data(0).unwrap();
    let drawn = ElementQuery::from_root(&hand.app.window)
        .match_descendants()
        .match_predicate(|element| element.id().is_some_and(|id| id.contains("drawn-spot")))
        .find_first()
        .unwrap();
    drawing.finest * drawn.size().height / spot.height
}

#[test]
fn a_panel_face_can_be_read_and_says_when_it_goes_on() {
    for (width, goes_on) in
        [(600.0, true), (800.0, false), (1024.0, true), (1280.0, false), (1500.0, false), (1920.0, false)]
    {
        let hand = at_item("P2", demo(), width);
        assert!(smallest_letter(&hand) >= 10.99, "{width}: {}", smallest_letter(&hand));
        assert_eq!(hand.reads("Wider than the page"), goes_on, "{width}");
        assert_eq!(hand.find(AccessibleRole::Button, "Further right").is_some(), goes_on, "{width}");
    }
}

#[test]
fn a_wide_face_moves_by_button_and_with_the_keyboard() {
    let hand = at_item("P2", demo(), 700.0);
    let left = || {
        hand.with_label(AccessibleRole::Button, "Split-bus service panel, basement way 1-3")
            .absolute_position()
            .x
    };
    let before = left();
    hand.tap("Further right");
    assert!(left() < before, "it moved");
    hand.tap("Further left");
    assert_eq!(left(), before);
}

#[test]
fn the_keyboard_brings_the_other_column_of_a_face_into_sight() {
    let hand = at_item("P2", demo(), 700.0);
    let name = "Split-bus service panel, basement way 2-4";
    let right = || {
        let spot = hand.with_label(AccessibleRole::Button, name);
        spot.absolute_position().x + spot.size().width
    };
    assert!(right() > 700.0, "it is hidden at first");
    hand.tab_to(name);
    assert!(right() <= 700.0);
}

#[test]
fn a_way_opened_in_the_face_is_left_by_escape_step_by_step() {
    for size in SIZES {
        // Beside a list, Tab comes by all its rows first.
        for by_keyboard in [false, true].into_iter().filter(|by_keyboard| !by_keyboard || size == TALL) {
            let hand = Hand::on_demo(size, 1.0);
            hand.go_to(Place::Panels);
            hand.tap_row("Split-bus service panel, basement");
            let way = "Split-bus service panel, basement way 1-3";
            let page = format!("{size:?}, by keyboard: {by_keyboard}");
            for _ in 0..2 {
                if by_keyboard {
                    hand.tab_to(way);
                    hand.press(Key::Return);
                } else {
                    tap(&hand.with_label(AccessibleRole::Button, way));
                }
                assert!(hand.navigation(|navigation| navigation.get_deeper()), "{page}");
                hand.press(Key::Escape);
                assert!(
                    !hand.navigation(|navigation| navigation.get_deeper()),
                    "{page}: the way is still open"
                );
                assert!(hand.detail_is_open(), "{page}");
            }
            hand.press(Key::Escape);
            if size.0 < 900.0 {
                assert!(!hand.detail_is_open(), "{page}: the panel is still open");
            }
        }
    }
}

#[test]
fn out_of_a_way_and_its_panel_one_comes_back_to_where_the_panel_was_opened_from() {
    let hand = at_item("P2", demo(), 800.0);
    tap(&hand.with_label(AccessibleRole::Button, "Split-bus service panel, basement way 1-3"));
    hand.press(Key::Escape);
    assert_eq!(hand.app.window.global::<Detail>().get_head().id, "P2");
    hand.press(Key::Escape);
    assert_eq!(hand.place(), Place::Site);
}

/// The parts of the one-line that can be tapped, with where they stand.
fn parts(hand: &Hand) -> Vec<(String, [f32; 4])> {
    let spots = hand.by_roles(&[AccessibleRole::Button]).into_iter().filter(is_in_drawing);
    let place = |spot: &ElementHandle| {
        let (at, size) = (spot.absolute_position(), spot.size());
        [at.x, at.y, at.x + size.width, at.y + size.height]
    };
    spots.map(|spot| (spot.accessible_label().unwrap_or_default().to_string(), place(&spot))).collect()
}

#[test]
fn the_parts_of_the_one_line_are_large_enough_for_a_thumb_and_apart() {
    for width in SIZES.map(|size| size.0) {
        let hand = Hand::on_demo((width, WHOLE_PAGE), 1.0);
        hand.go_to(Place::Isolation);
        let check = |page: &str| {
            let parts = parts(&hand);
            assert!(parts.len() > 2, "{page}: {parts:?}");
            for (number, (name, [left, top, right, bottom])) in parts.iter().enumerate() {
                let (wide, high) = (right - left, bottom - top);
                assert!(wide > 47.9 && high > 47.9, "{page}: {name} {wide} x {high}");
                for (other, [west, north, east, south]) in &parts[number + 1..] {
                    let over = (right.min(*east) - left.max(*west), bottom.min(*south) - top.max(*north));
                    // A way lies within its panel, and is tapped before it.
                    let within = left <= west && top <= north && right >= east && bottom >= south;
                    assert!(
                        over.0 <= 1.0 || over.1 <= 1.0 || within,
                        "{page}: {name} lies on {other}: {over:?}"
                    );
                }
            }
        };
        check(&format!("{width}, house"));
        let (last, _) = parts(&hand).pop().expect("a part in sight");
        hand.tap(&last);
        check(&format!("{width}, a part of it"));
    }
}

#[test]
fn the_keyboard_brings_hidden_parts_of_the_one_line_into_sight() {
    let (wide, high) = (600.0, 960.0);
    let hand = Hand::on_demo((wide, high), 1.0);
    hand.go_to(Place::Isolation);
    let first: Vec<String> = parts(&hand).into_iter().map(|(name, _)| name).collect();
    let mut hidden = 0;
    for _ in 0..40 {
        hand.press(Key::Tab);
        let focused = hand.focused();
        let Some((name, [left, top, right, bottom])) =
            parts(&hand).into_iter().find(|(name, _)| focused.iter().any(|label| label == name))
        else {
            continue;
        };
        assert!(left >= 0.0 && top >= 0.0 && right <= wide && bottom <= high, "{name}");
        hidden += usize::from(!first.contains(&name));
    }
    assert!(hidden > 2, "{hidden}");
}

#[test]
fn the_last_way_is_copied_with_its_wire_asks_what_it_feeds_and_is_told() {
    let hand = Hand::on_demo((1280.0, 4400.0), 1.0);
    let before = hand.kept.borrow().survey.clone();
    hand.go_to(Place::Panels);
    hand.app.open(0);
    settle();
    hand.tap("Copy the last way");
    assert!(hand.reads("Device and wire are copied from way"));
    hand.tap("Receptacle outlets");
    let survey = hand.kept.borrow().survey.clone();
    assert_eq!(survey.panels[0].ways.len(), before.panels[0].ways.len() + 1);
    assert_eq!((survey.runs.len(), survey.loads.len()), (before.runs.len() + 1, before.loads.len() + 1));
    let said = hand.app.window.global::<crate::generated::Status>().get_said();
    assert!(said.starts_with("Copied from way"), "{said}");
    hand.app.close_page();
    hand.tap("Undo");
    assert_eq!(hand.kept.borrow().survey, before, "one step back takes all of it");
}

#[test]
fn a_note_is_copied_and_moved_to_another_item() {
    let (survey, _) = sample::house();
    let mut survey = (*survey).clone();
    let (edit, note) =
        deadfront_rules::edit::add_note(&survey, Some(&survey.panels[0].id), "wet wall").unwrap();
    edit.apply(&mut survey).unwrap();
    let to = survey.panels[1].clone();
    // A panel with all its ways is a long page.
    let hand = Hand::on(survey, (1280.0, 9000.0), 1.0);
    hand.app.open_item(note.as_str());
    settle();
    hand.tap("Copy");
    let notes = || hand.kept.borrow().survey.notes.clone();
    assert_eq!(notes().iter().filter(|note| note.text == "wet wall").count(), 2);
    hand.tap("Move to another item");
    hand.tap(&to.name);
    assert_eq!(
        notes().iter().filter(|note| note.text == "wet wall" && note.on.as_ref() == Some(&to.id)).count(),
        1
    );
    hand.app.open_item(to.id.as_str());
    settle();
    hand.tap("Copy with notes and photos");
    assert_eq!(notes().iter().filter(|note| note.text == "wet wall").count(), 3);
}

#[test]
fn a_mode_is_added_edited_copied_and_removed() {
    let hand = Hand::on_demo((1280.0, 4400.0), 1.0);
    let modes = || hand.kept.borrow().survey.modes.clone();
    let before = modes().len();
    hand.go_to(Place::Supplies);
    hand.tap("Add a mode");
    assert_eq!(modes().len(), before + 1);
    let added = modes().last().unwrap().clone();
    hand.tap("Copy");
    assert_eq!(modes().len(), before + 2);
    hand.tap("Remove");
    assert_eq!(modes().len(), before + 1);
    // From the page where modes are listed one gets to its fields, and what was rehearsed is kept in it.
    hand.go_to(Place::Isolation);
    hand.tap(&added.name);
    let panel = hand.kept.borrow().survey.panels[0].id.clone();
    let switch = hand.kept.borrow().survey.panels[0].ways[0].id.clone();
    for part in [&panel, &switch] {
        hand.app.window.global::<crate::generated::Isolation>().invoke_tapped(part.as_str().into());
        settle();
    }
    hand.tap("Keep in this mode");
    let kept = modes().into_iter().find(|mode| mode.id == added.id).unwrap();
    assert!(!kept.devices.is_empty(), "{kept:?}");
    hand.tap("Edit this mode");
    assert_eq!(hand.place(), Place::Supplies);
    hand.go_to(Place::Isolation);
    hand.tap("Add a mode");
    assert_eq!((hand.place(), modes().len()), (Place::Supplies, before + 2));
}
