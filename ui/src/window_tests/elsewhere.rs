//! A survey that lies elsewhere is looked for or typed on the page of surveys.

use i_slint_backend_testing::AccessibleRole;

use super::hand::{Hand, SIZES, settle};
use crate::{Browsed, Entry, Intent};

fn entry(path: &str, name: &str, is_folder: bool) -> Entry {
    Entry { path: path.to_owned(), name: name.to_owned(), is_folder }
}

fn on_page(width: f32) -> Hand {
    let hand = Hand::on_demo((width, 2400.0), 1.0);
    hand.app.set_browsed(&Browsed {
        folder: "/home/ann".to_owned(),
        above: "/home".to_owned(),
        roots: vec![entry("/docs", "Surveys", true), entry("/home/ann", "Home", true)],
        entries: vec![entry("/home/ann/old", "old", true), entry("/home/ann/house.pdf", "house.pdf", false)],
        problem: String::new(),
    });
    hand.app.open_surveys_page();
    settle();
    hand
}

fn went_to(hand: &Hand) -> String {
    match hand.kept.borrow().others.last() {
        Some(Intent::GoElsewhere(path)) => path.clone(),
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_path_is_typed_and_entered_or_a_folder_tapped_through() {
    for (width, _) in SIZES {
        let hand = on_page(width);
        hand.write("Path of a survey (JSON, or the PDF that carries one) or of a folder", "/a/b.json");
        hand.tap("Open it");
        assert_eq!(went_to(&hand), "/a/b.json");
        for (button, path) in [
            ("Surveys", "/docs"),
            ("‹ Folder above", "/home"),
            ("old", "/home/ann/old"),
            ("house.pdf", "/home/ann/house.pdf"),
        ] {
            hand.tap(button);
            assert_eq!(went_to(&hand), path);
        }
    }
}

#[test]
fn what_is_wrong_with_a_path_stands_at_its_line() {
    let hand = on_page(800.0);
    let problem = "the file cannot be read: there is no such file".to_owned();
    hand.app.set_browsed(&Browsed { problem: problem.clone(), ..Browsed::default() });
    settle();
    assert!(hand.reads(&problem));
    let line = hand.with_label(
        AccessibleRole::TextInput,
        "Path of a survey (JSON, or the PDF that carries one) or of a folder",
    );
    let text = hand.by_roles(&[AccessibleRole::Text]);
    let told = text.iter().find(|text| text.accessible_label().as_deref() == Some(&problem)).unwrap();
    let below = told.absolute_position().y - line.absolute_position().y;
    assert!((0.0..120.0).contains(&below), "{below}");
}
