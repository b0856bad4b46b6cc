//! Photos of an item: small in its detail, large over the page.

use deadfront_rules::survey::{Id, Photo, Survey};
use i_slint_backend_testing::AccessibleRole;
use slint::ComponentHandle as _;
use slint::platform::Key;

use super::hand::{Hand, SIZES, TALL, WIDE, sample, settle};
use crate::generated::{Page, Viewer};
use crate::{Folder, Intent, Place};

/// Tall enough for the whole detail.
const WHOLE: (f32, f32) = (1280.0, 3000.0);

fn photographed() -> Survey {
    let mut survey = (*sample::house().0).clone();
    let photo = |id: &str, of: &str, caption: &str| Photo {
        id: Id::new(id).unwrap(),
        of: Id::new(of).unwrap(),
        file: format!("{id}.jpg"),
        caption: caption.to_owned(),
    };
    survey.photos = vec![
        photo("F01", "E2", "Door open"),
        photo("F02", "P2", "Of a panel"),
        photo("F03", "E2", "Label inside the door"),
        photo("F04", "E2", ""),
    ];
    survey
}

fn at_electrode(size: (f32, f32), text_scale: f32) -> Hand {
    let hand = Hand::on(photographed(), size, text_scale);
    hand.go_to(Place::Site);
    hand.app.open_item("E2");
    settle();
    hand
}

fn viewer<T>(hand: &Hand, read: impl FnOnce(&Viewer<'_>) -> T) -> T {
    read(&hand.app.window.global::<Viewer>())
}

fn id(text: &str) -> Id {
    Id::new(text).unwrap()
}

#[test]
fn a_photo_opens_large_and_is_asked_for() {
    let hand = at_electrode(WHOLE, 1.0);
    hand.tap("Label inside the door");
    assert!(viewer(&hand, |viewer| viewer.get_open()));
    let item = viewer(&hand, |viewer| viewer.get_item());
    assert!(!item.is_empty() && hand.reads(&item), "the item is named");
    assert!(hand.reads("Label inside the door"));
    assert!(hand.reads("Photo 2 of 3"));
    assert!(hand.kept.borrow().others.contains(&Intent::ViewPhoto(id("F03"))));
    hand.app.show_large_picture(id("F03"), Ok((2, 1, &[9; 6])));
    assert_eq!(viewer(&hand, |viewer| viewer.get_picture().size()), (2, 1).into());
    // Another one's picture comes too late.
    hand.app.show_large_picture(id("F01"), Ok((1, 1, &[9; 3])));
    assert_eq!(viewer(&hand, |viewer| viewer.get_picture().size()), (2, 1).into());
}

#[test]
fn only_the_photos_of_this_item_follow_each_other() {
    let hand = at_electrode(WHOLE, 1.0);
    hand.tap("Door open");
    let shown = || viewer(&hand, |viewer| viewer.get_id().to_string());
    for wanted in ["F03", "F04", "F04"] {
        hand.press(Key::RightArrow);
        assert_eq!(shown(), wanted);
    }
    hand.tap("Previous photo");
    assert_eq!(shown(), "F03");
    hand.press(Key::LeftArrow);
    hand.press(Key::LeftArrow);
    assert_eq!(shown(), "F01");
}

#[test]
fn it_is_closed_by_button_escape_and_a_tap_beside_it() {
    let hand = at_electrode(WHOLE, 1.0);
    let is_open = || viewer(&hand, |viewer| viewer.get_open());
    hand.tap("Door open");
    hand.tap("Close");
    assert!(!is_open());
    hand.tap("Door open");
    hand.press(Key::Escape);
    assert!(!is_open());
    assert_eq!(hand.place(), Place::Site, "Escape closed the photo alone");
    hand.tap("Door open");
    hand.tap_at(4.0, 600.0);
    assert!(!is_open());
}

#[test]
fn the_keyboard_goes_in_stays_in_and_comes_back() {
    let hand = at_electrode(WHOLE, 1.0);
    hand.tab_to("Door open");
    hand.press(Key::Return);
    assert_eq!(hand.focused().as_deref(), Some("Close"));
    for wanted in ["Next photo", "Its caption", "Close", "Next photo"] {
        hand.press(Key::Tab);
        assert_eq!(hand.focused().as_deref(), Some(wanted));
    }
    hand.press(Key::Backtab);
    assert_eq!(hand.focused().as_deref(), Some("Close"));
    hand.press(Key::RightArrow);
    hand.press(Key::Escape);
    assert_eq!(hand.focused().as_deref(), Some("Label inside the door"), "the photo seen last");
    hand.press(Key::Return);
    assert!(viewer(&hand, |viewer| viewer.get_open()));
}

#[test]
fn a_button_that_comes_to_the_end_gives_the_keyboard_on() {
    let hand = at_electrode(WHOLE, 1.0);
    hand.tab_to("Label inside the door");
    hand.press(Key::Return);
    hand.tab_to("Next photo");
    hand.press(Key::Return);
    assert_eq!(viewer(&hand, |viewer| viewer.get_id().to_string()), "F04");
    assert_eq!(hand.focused().as_deref(), Some("Close"));
    hand.press(Key::Escape);
    assert!(!viewer(&hand, |viewer| viewer.get_open()));
}

#[test]
fn a_photo_that_cannot_be_shown_says_why() {
    let hand = at_electrode(WHOLE, 1.0);
    hand.tap("Door open");
    hand.app.show_large_picture(id("F01"), Err("this photo is not in the survey's photo folder".into()));
    settle();
    assert!(hand.reads("This photo is not in the survey's photo folder."));
    hand.press(Key::RightArrow);
    assert!(!hand.reads("This photo is not in"), "the next one is not blamed for it");
    hand.app.show_large_picture(id("F03"), Ok((9, 9, &[9; 3])));
    settle();
    assert!(hand.reads("This picture is broken and cannot be read."));
}

#[test]
fn its_caption_is_a_step_away() {
    let hand = at_electrode(WHOLE, 1.0);
    hand.tap("Door open");
    hand.tap("Its caption");
    assert!(!viewer(&hand, |viewer| viewer.get_open()));
    assert!(hand.reads("Caption"));
}

#[test]
fn a_photo_that_an_undo_takes_away_closes() {
    let hand = at_electrode(WHOLE, 1.0);
    hand.tap("Door open");
    hand.kept.borrow_mut().survey.photos.clear();
    hand.press(Key::RightArrow);
    assert!(!viewer(&hand, |viewer| viewer.get_open()));
}

#[test]
fn it_fits_every_window_and_its_controls_are_large_enough() {
    for (width, height) in SIZES.into_iter().chain([(412.0, 860.0), TALL, WIDE]) {
        for text_scale in [1.0, 1.5] {
            let hand = at_electrode((width, height), text_scale);
            hand.app.open_photo("F01");
            settle();
            let page = format!("{width} x {height} at {text_scale}");
            let buttons = hand.by_roles(&[AccessibleRole::Button]);
            let names: Vec<_> = buttons.iter().filter_map(|button| button.accessible_label()).collect();
            assert_eq!(names.len(), 4, "{page}: {names:?} and nothing of the page below");
            for button in buttons {
                let (at, size) = (button.absolute_position(), button.size());
                assert!(size.width >= 48.0 && size.height >= 48.0, "{page}: {names:?} {size:?}");
                assert!(at.x >= 0.0 && at.x + size.width <= width, "{page}: {names:?} {at:?}");
                assert!(at.y >= 0.0 && at.y + size.height <= height, "{page}: {names:?} {at:?}");
            }
        }
    }
}

#[test]
fn the_folders_of_pictures_are_offered_and_the_watched_one_is_marked() {
    let hand = at_electrode(WHOLE, 1.0);
    let folder =
        |name: &str, is_watched| Folder { path: format!("/home/{name}"), name: name.to_owned(), is_watched };
    let folders = || vec![folder("Pictures", true), folder("Downloads", false)];
    let pictures = || vec![("/home/Pictures/a.jpg".to_owned(), "a.jpg".to_owned())];
    let told = |path: &str| Intent::TakePhoto { item: id("E2"), path: path.to_owned(), with_place: false };
    let page = || hand.navigation(|navigation| navigation.get_page());
    hand.app.offer_photos(&id("E2"), folders(), pictures());
    settle();
    assert!(hand.reads("The folder that is watched, and whether the place is kept"));
    let pictures_button = hand.with_label(AccessibleRole::Button, "Pictures");
    assert_eq!(pictures_button.accessible_checked(), Some(true));
    assert_eq!(hand.with_label(AccessibleRole::Button, "Downloads").accessible_checked(), Some(false));
    hand.tap("Downloads");
    assert_eq!(hand.kept.borrow().others.last(), Some(&told("/home/Downloads")));
    // A picture that was chosen needs its question no longer.
    hand.app.offer_photos(&id("E2"), folders(), pictures());
    settle();
    assert_eq!(page(), Page::Sheet);
    hand.tap("a.jpg");
    assert_eq!(hand.kept.borrow().others.last(), Some(&told("/home/Pictures/a.jpg")));
    assert_eq!(page(), Page::None);
    // The place is kept only where that was wanted, and only for this picture.
    hand.app.offer_photos(&id("E2"), folders(), pictures());
    settle();
    hand.tap("Keep the place where it was taken");
    hand.tap("a.jpg");
    let path = "/home/Pictures/a.jpg".to_owned();
    let placed = Intent::TakePhoto { item: id("E2"), path, with_place: true };
    assert_eq!(hand.kept.borrow().others.last(), Some(&placed));
    // A path can be typed.
    hand.app.offer_photos(&id("E2"), folders(), Vec::new());
    settle();
    hand.write("Which picture?", "/b");
    hand.tap("Keep");
    assert_eq!(hand.kept.borrow().others.last(), Some(&told("/b")));
    // Another question has no folders.
    hand.app.open_item("P1.01");
    hand.app.open_field("device.kind");
    settle();
    assert!(!hand.reads("The folder that is watched, and whether the place is kept"));
}
