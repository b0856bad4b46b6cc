//! From place to place, to a finding and back.

use i_slint_backend_testing::AccessibleRole;
use slint::platform::Key;
use slint::{ComponentHandle as _, Model as _};

use super::hand::{Hand, SIZES, TALL, WIDE, settle, tap};
use crate::Place;
use crate::generated::{Capacity, FindingsAdapter, Isolation, Page};

#[test]
fn every_place_is_reached_by_tapping_its_name() {
    for size in SIZES {
        let hand = Hand::on_demo(size, 1.0);
        for wanted in Place::ALL {
            tap(&hand.with_label(AccessibleRole::Tab, &format!("{wanted:?}")));
            assert_eq!(hand.place(), wanted, "{size:?}");
        }
    }
}

#[test]
fn every_place_is_reached_by_keyboard_alone() {
    for size in [WIDE, TALL] {
        let hand = Hand::on_demo(size, 1.0);
        hand.tab_to("Site");
        for wanted in &Place::ALL[1..] {
            hand.press(Key::DownArrow);
            assert_eq!(hand.focused(), Some(format!("{wanted:?}")));
            hand.press(Key::Return);
            assert_eq!(hand.place(), *wanted, "{size:?}");
        }
    }
}

#[test]
fn a_finding_opens_on_tap_and_closes_by_the_way_back() {
    let hand = Hand::on_demo(TALL, 1.0);
    hand.go_to(Place::Findings);
    let rows = hand.app.window.global::<FindingsAdapter>().get_rows();
    let second = rows.row_data(1).unwrap().title;
    hand.tap_row(&second);
    assert!(hand.detail_is_open());
    assert_eq!(hand.app.window.global::<FindingsAdapter>().get_selected(), 1);
    hand.tap("‹ Findings");
    assert!(!hand.detail_is_open());
    assert!(hand.find(AccessibleRole::ListItem, &second).is_some());
}

#[test]
fn a_finding_leads_to_the_fields_of_its_item_and_back() {
    let hand = Hand::on_demo(TALL, 1.0);
    hand.go_to(Place::Findings);
    hand.app.open(0);
    settle();
    hand.tap("Go to its fields");
    assert_ne!(hand.place(), Place::Findings);
    assert!(hand.navigation(|navigation| navigation.get_has_origin()));
    assert!(!hand.navigation(|navigation| navigation.get_deeper()));
    hand.tap("‹ Findings");
    assert_eq!(hand.place(), Place::Findings);
    assert!(hand.detail_is_open());
}

#[test]
fn a_panel_leads_to_its_way_and_back_step_by_step() {
    let hand = Hand::on_demo((800.0, 3600.0), 1.0);
    hand.go_to(Place::Panels);
    hand.app.open(0);
    settle();
    hand.tap_row("1 · Main 1: left row");
    assert_eq!(hand.place(), Place::Panels);
    assert!(hand.navigation(|navigation| navigation.get_deeper()));
    hand.press(Key::Escape);
    assert!(!hand.navigation(|navigation| navigation.get_deeper()));
    assert!(hand.detail_is_open());
    hand.press(Key::Escape);
    assert!(!hand.detail_is_open());
}

#[test]
fn a_count_filters_and_a_second_tap_shows_what_asks_for_action() {
    for size in [WIDE, TALL] {
        let hand = Hand::on_demo(size, 1.0);
        hand.go_to(Place::Findings);
        let adapter = || hand.app.window.global::<FindingsAdapter>();
        let rows = || adapter().get_rows().row_count();
        let all = rows();
        let dangers = adapter().get_counts().row_data(0).unwrap().number;
        let chip = format!("{dangers} DANGER");
        hand.tap(&chip);
        assert_eq!(rows(), usize::try_from(dangers).unwrap());
        hand.tap(&chip);
        assert_eq!(rows(), all);
    }
}

#[test]
fn an_unknown_finding_or_item_leads_nowhere() {
    let hand = Hand::on_demo(TALL, 1.0);
    hand.app.open_finding("no such finding");
    hand.app.open_item("no such item");
    assert_eq!(hand.place(), Place::Site);
    assert!(!hand.detail_is_open());
}

#[test]
fn an_empty_survey_says_what_belongs_in_each_place() {
    let hand = Hand::on(deadfront_rules::survey::Survey::empty("Mill Lane 4"), TALL, 1.0);
    for place in [Place::Supplies, Place::Panels, Place::Runs, Place::Loads] {
        hand.go_to(place);
        let told = hand.by_roles(&[AccessibleRole::Text]).into_iter().any(|text| {
            let label = text.accessible_label().unwrap_or_default();
            label.contains("belong")
        });
        assert!(told, "{place:?} is silent when empty");
    }
}

#[test]
fn text_scale_stays_in_its_range() {
    let hand = Hand::on_demo(TALL, 1.0);
    let scale = || hand.app.window.global::<crate::generated::Setting>().get_text_scale();
    hand.app.set_text_scale(9.0);
    assert_eq!(scale(), 1.5);
    hand.app.set_text_scale(0.0);
    assert_eq!(scale(), 1.0);
    hand.app.set_text_scale(f32::NAN);
    assert_eq!(scale(), 1.0);
}

#[test]
fn the_open_finding_is_brought_into_sight_in_its_list() {
    let hand = Hand::on_demo(WIDE, 1.0);
    hand.app.open_finding("F60");
    settle();
    settle();
    let adapter = hand.app.window.global::<FindingsAdapter>();
    assert_eq!(adapter.get_head().id, "F60");
    let title = adapter.get_head().title;
    let row = hand.with_label(AccessibleRole::ListItem, &title);
    let bottom = row.absolute_position().y + row.size().height;
    assert!(bottom <= WIDE.1, "its row ends at {bottom}");
}

#[test]
fn a_sheet_is_left_by_escape() {
    let hand = Hand::on_demo(TALL, 1.0);
    hand.app.open_item("P1.01");
    hand.app.open_field("device.rating");
    settle();
    assert_eq!(hand.navigation(|navigation| navigation.get_page()), Page::Sheet);
    hand.press(Key::Escape);
    assert_eq!(hand.navigation(|navigation| navigation.get_page()), Page::None);
}

/// Tall enough for a whole finding.
const TALL_ENOUGH: f32 = 3600.0;

#[test]
fn escape_right_after_going_to_the_fields_of_a_finding_goes_back_to_it() {
    for (width, _) in SIZES {
        // Beside a list, Tab comes by all its rows first.
        for by_keyboard in [false, true].into_iter().filter(|by_keyboard| !by_keyboard || width < 900.0) {
            let hand = Hand::on_demo((width, TALL_ENOUGH), 1.0);
            hand.go_to(Place::Findings);
            hand.app.open(3);
            settle();
            let open = || hand.app.window.global::<FindingsAdapter>().get_head().id;
            let finding = open();
            // Twice: the way back must not lose the keys either.
            for _ in 0..2 {
                if by_keyboard {
                    hand.tab_to("Go to its fields");
                    hand.press(Key::Return);
                } else {
                    hand.tap("Go to its fields");
                }
                let page = format!("{width}, by keyboard: {by_keyboard}");
                assert_ne!(hand.place(), Place::Findings, "{page}");
                hand.press(Key::Escape);
                assert_eq!(hand.place(), Place::Findings, "{page}");
                assert_eq!(open(), finding, "{page}");
                assert!(hand.detail_is_open(), "{page}");
            }
        }
    }
}

#[test]
fn escape_after_a_finding_was_opened_from_an_item_goes_back_to_the_item() {
    for (width, _) in SIZES {
        let hand = Hand::on_demo((width, TALL_ENOUGH), 1.0);
        hand.go_to(Place::Runs);
        hand.app.open(1);
        settle();
        let finding = {
            let rows = hand.app.window.global::<crate::generated::Detail>().get_findings();
            rows.row_data(0).unwrap().title
        };
        hand.tap_row(&finding);
        assert_eq!(hand.place(), Place::Findings);
        hand.press(Key::Escape);
        assert_eq!(hand.place(), Place::Runs, "{width}");
        assert!(hand.detail_is_open());
    }
}

/// A tap on a panel of the house opens its drawing; the button leads back, and everything is one tap away.
#[test]
fn the_picture_goes_from_the_house_to_a_panel_and_back() {
    let hand = Hand::on_demo((1280.0, 3000.0), 1.0);
    hand.go_to(Place::Isolation);
    let page = || hand.app.window.global::<Isolation>().get_drawing();
    let names = || page().spots.iter().map(|spot| spot.id.to_string()).collect::<Vec<_>>();
    let at_a_glance = names();
    assert!(at_a_glance.contains(&"P1".to_owned()) && at_a_glance.contains(&"S2".to_owned()));
    assert!(!at_a_glance.contains(&"P1.01".to_owned()), "no circuit stands in it");
    let tap_spot = |id: &str| {
        hand.app.window.global::<Isolation>().invoke_tapped(id.into());
        settle();
    };
    tap_spot("P1");
    assert!(names().contains(&"P1.01".to_owned()), "the circuits of the panel");
    // A device of it is switched there, and the panel stays open.
    tap_spot("P1.01");
    assert!(hand.app.window.global::<Isolation>().get_changed());
    assert!(names().contains(&"P1.01".to_owned()));
    tap_spot("P2");
    assert!(names().contains(&"P2.01".to_owned()) && !names().contains(&"P1.01".to_owned()));
    hand.tap("‹ The house at a glance");
    assert_eq!(names(), at_a_glance);
    hand.tap("Every circuit in one picture");
    let whole = names();
    assert!(whole.contains(&"P1.01".to_owned()) && whole.contains(&"P2.01".to_owned()));
    // A panel there is switched as ever: its main.
    tap_spot("P2");
    assert_eq!(names(), whole);
}

/// Ticked loads are answered at once; the keyboard stays where it was.
#[test]
fn a_set_of_loads_is_tried_on_the_capacity_page() {
    let hand = Hand::on_demo((1280.0, 6000.0), 1.0);
    hand.go_to(Place::Capacity);
    assert!(hand.reads("No load is ticked yet."));
    let tick = |name: &str| {
        let button = hand.with_label(AccessibleRole::Button, name);
        tap(&button);
        assert_eq!(hand.with_label(AccessibleRole::Button, name).accessible_checked(), Some(true));
    };
    tick("Refrigerator");
    assert!(!hand.reads("No load is ticked yet."));
    let tried = || hand.app.window.global::<Capacity>().get_tried().row_data(0).unwrap();
    let one = tried();
    assert!(
        one.strong.starts_with("By the entered figures") || one.strong.starts_with("It cannot be told"),
        "{}",
        one.strong
    );
    tick("Well pump");
    let both = tried();
    assert_ne!(one.lines.iter().collect::<Vec<_>>(), both.lines.iter().collect::<Vec<_>>());
    // The pump's start was not read off: it is named, and nothing is said to run.
    assert!(
        both.lines.iter().any(|line| line.name.contains("Well pump")),
        "{:?}",
        both.lines.iter().collect::<Vec<_>>()
    );
    assert_eq!(both.mark, crate::generated::Mark::CannotTell);
}
