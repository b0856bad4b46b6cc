//! Every page whole: each control named, large enough, inside the window.

use deadfront_rules::house::site_id;
use deadfront_rules::words::{Language, missing_in};
use i_slint_backend_testing::AccessibleRole;

use super::hand::{Hand, SHEETS, SIZES, is_in_drawing, settle};
use crate::{Folder, Place};

/// Only what is in sight is found, so the windows are made tall enough for whole pages.
const WHOLE_PAGE: f32 = 3600.0;

/// Size of text and language. Spanish is longer, so the large text is looked at in both.
const SHOWN: [(f32, Language); 3] =
    [(1.0, Language::English), (1.5, Language::English), (1.5, Language::Spanish)];

const CONTROLS: [AccessibleRole; 3] = [AccessibleRole::Button, AccessibleRole::Tab, AccessibleRole::ListItem];

#[test]
fn every_control_is_named_large_enough_and_inside_the_window() {
    for (width, _) in SIZES {
        for (text_scale, language) in SHOWN {
            let hand = Hand::on_demo_in((width, WHOLE_PAGE), text_scale, language);
            for place in Place::ALL {
                hand.go_to(place);
                check_page(&hand, 11, width, &format!("{place:?} {width} {text_scale} {language:?}"));
                hand.app.open(0);
                settle();
                check_page(&hand, 11, width, &format!("{place:?} open {width} {text_scale} {language:?}"));
            }
        }
    }
}

#[test]
fn every_sheet_and_page_is_named_large_enough_and_inside_the_window() {
    for (width, _) in SIZES {
        for (text_scale, language) in SHOWN {
            let hand = Hand::on_demo_in((width, WHOLE_PAGE), text_scale, language);
            for (item, field) in SHEETS {
                hand.app.open_item(item);
                hand.app.open_field(field);
                settle();
                check_page(&hand, 13, width, &format!("sheet {field} {width} {text_scale} {language:?}"));
                hand.app.close_page();
            }
            hand.app.open_sizing_page();
            settle();
            check_page(&hand, 30, width, &format!("sizing {width} {text_scale} {language:?}"));
            hand.app.open_surveys_page();
            settle();
            check_page(&hand, 13, width, &format!("surveys {width} {text_scale} {language:?}"));
            hand.app.open_display_page();
            settle();
            check_page(&hand, 18, width, &format!("display {width} {text_scale} {language:?}"));
            hand.tap(if language == Language::Spanish { "Licencias" } else { "Licenses" });
            check_page(&hand, 12, width, &format!("licenses {width} {text_scale} {language:?}"));
            assert!(hand.reads("MIT OR Apache-2.0") && hand.reads("serde\u{A0}1."));
            hand.press(slint::platform::Key::Escape);
            check_page(&hand, 18, width, "display again");
        }
    }
}

#[test]
fn in_spanish_no_page_has_a_text_without_its_spanish() {
    let ((), missing) = missing_in(|| {
        let hand = Hand::on_demo_in((1280.0, WHOLE_PAGE), 1.0, Language::Spanish);
        for place in Place::ALL {
            hand.go_to(place);
            hand.app.open(1);
            settle();
        }
        for (item, field) in [("P1.01", "device.rating"), ("R002", "size"), ("R002", "to"), ("site", "name")]
        {
            hand.app.open_item(item);
            hand.app.open_field(field);
            settle();
            hand.app.close_page();
        }
        for item in ["R002", "E2", "M02"] {
            hand.app.open_item(item);
            settle();
        }
        hand.app.open_sizing_page();
        settle();
        hand.app.open_display_page();
        settle();
        hand.app.open_licences_page();
        settle();
        let folder = Folder { path: "/a".into(), name: "A".into(), is_watched: true };
        for pictures in [Vec::new(), vec![("/a/b.jpg".to_owned(), "b.jpg".to_owned())]] {
            hand.app.offer_photos(&site_id(), vec![folder.clone()], pictures);
            settle();
        }
    });
    let has_words = |text: &String| {
        let mut words = text.split(|letter: char| !letter.is_alphabetic());
        words.any(|word| word.chars().count() > 2 && word.chars().skip(1).all(char::is_lowercase))
    };
    let missing: Vec<String> = missing.into_iter().filter(has_words).collect();
    assert!(missing.is_empty(), "{} texts have no Spanish: {missing:#?}", missing.len());
}

#[test]
fn the_language_is_chosen_on_the_display_page_and_everything_follows() {
    let hand = Hand::on_demo((1280.0, WHOLE_PAGE), 1.0);
    let names_place = |name: &str| {
        let tabs = hand.by_roles(&[AccessibleRole::Tab]);
        tabs.iter().any(|tab| tab.accessible_label().is_some_and(|label| label.starts_with(name)))
    };
    hand.app.open_display_page();
    settle();
    hand.tap("Español");
    hand.app.close_page();
    hand.go_to(Place::Panels);
    assert!(names_place("Tableros"), "the place is named in Spanish");
    assert!(!names_place("Panels"));
    hand.app.open_display_page();
    settle();
    hand.tap("English");
    hand.app.close_page();
    assert!(names_place("Panels"), "the place is named in English again");
}

/// At least this many controls, each with a name and 48 px high and wide; nothing ends outside.
fn check_page(hand: &Hand, least: usize, width: f32, page: &str) {
    let shown = hand.by_roles(&[&CONTROLS[..], &[AccessibleRole::Text]].concat());
    let mut controls = 0;
    for element in shown {
        let label = element.accessible_label().unwrap_or_default();
        let size = element.size();
        let right = element.absolute_position().x + size.width;
        let is_drawn = is_in_drawing(&element);
        assert!(is_drawn || right <= width + 0.5, "{page}: {label} ends at {right}");
        if element.accessible_role() == Some(AccessibleRole::Text) {
            continue;
        }
        controls += 1;
        assert!(!label.is_empty(), "{page}: a control has no name");
        // A drawing is made larger by the finger; each of its spots has 48 units of the drawing.
        if is_drawn {
            continue;
        }
        let least = 48.0;
        assert!(
            size.width >= least && size.height >= least,
            "{page}: {label} is {} x {}",
            size.width,
            size.height
        );
    }
    assert!(controls >= least, "{page}: {controls} controls");
    nothing_overlaps(hand, page);
}

/// No control lies over another one: each finger finds the one that it sees.
fn nothing_overlaps(hand: &Hand, page: &str) {
    /// What goes on below the edge of a long page lies under the bars at its foot.
    const FOOT: f32 = 400.0;
    /// Rounding of two edges.
    const ROUNDED: f32 = 1.0;
    let controls = hand.by_roles(&[AccessibleRole::Button, AccessibleRole::ListItem]).into_iter();
    let boxes: Vec<_> = controls
        .filter(|control| !is_in_drawing(control))
        .map(|control| {
            (control.accessible_label().unwrap_or_default(), control.absolute_position(), control.size())
        })
        .filter(|(_, at, size)| at.y + size.height <= WHOLE_PAGE - FOOT)
        .collect();
    for (number, (one, at, size)) in boxes.iter().enumerate() {
        for (other, there, its) in &boxes[number + 1..] {
            let wide = (at.x + size.width).min(there.x + its.width) - at.x.max(there.x);
            let high = (at.y + size.height).min(there.y + its.height) - at.y.max(there.y);
            assert!(wide <= ROUNDED || high <= ROUNDED, "{page}: {one} and {other} overlap {wide} x {high}");
        }
    }
}

#[test]
fn the_tab_key_reaches_every_control_of_a_page() {
    let hand = Hand::on_demo((800.0, 1280.0), 1.0);
    let reached_all = |hand: &Hand, page: &str| {
        let buttons = hand.by_roles(&[AccessibleRole::Button]).into_iter();
        let wanted: std::collections::BTreeSet<String> = buttons
            .filter(|button| button.accessible_enabled() != Some(false))
            .filter_map(|button| button.accessible_label().map(Into::into))
            .collect();
        assert!(wanted.len() > 5, "{page}");
        let mut reached = std::collections::BTreeSet::new();
        for _ in 0..wanted.len() + 40 {
            hand.press(slint::platform::Key::Tab);
            reached.extend(hand.focused());
            if wanted.is_subset(&reached) {
                return;
            }
        }
        panic!("{page}: never reached {:?}", wanted.difference(&reached).collect::<Vec<_>>());
    };
    hand.app.open_item("P1.01");
    hand.app.open_field("device.rating");
    settle();
    reached_all(&hand, "sheet");
    hand.app.close_page();
    hand.app.open_display_page();
    settle();
    reached_all(&hand, "display");
    hand.app.close_page();
    hand.go_to(Place::Handover);
    hand.app.set_handover(&[], &[crate::Deed { key: crate::SIGN, text: deadfront_rules::say!("Sign") }]);
    settle();
    hand.tap("Sign");
    reached_all(&hand, "signing");
}
