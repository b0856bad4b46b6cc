//! The small tablets as they are, with the largest text: what stands at the foot and head of a page is whole, and
//! leaves room for the page.

use deadfront_rules::words::Language;
use i_slint_backend_testing::{AccessibleRole, ElementHandle};

use super::hand::{Hand, SHEETS, settle};
use slint::ComponentHandle as _;

use crate::{Deed, Place, SIGN};

const SMALL: [(f32, f32); 2] = [(1024.0, 600.0), (600.0, 960.0)];
/// Three lines of the largest text with a button: less is no page.
const LEAST_PAGE: f32 = 160.0;
/// Edges are rounded to whole pixels.
const ROUNDED: f32 = 1.5;

/// What never scrolls: by what it says in either language.
const FIXED: [&str; 19] = [
    "Undo",
    "Redo",
    "Deshacer",
    "Rehacer",
    "Answer",
    "Later",
    "Responder",
    "Después",
    "Keep",
    "Guardar",
    "Cannot be seen",
    "Not seen yet",
    "No se puede ver",
    "Aún no visto",
    "Keep and go on",
    "Más tarde",
    "‹ Back",
    "‹ Atrás",
    "Guardar y seguir",
];

fn label(element: &ElementHandle) -> String {
    element.accessible_label().map_or_else(String::new, Into::into)
}

/// Whether a box lies in the window.
fn is_inside(element: &ElementHandle, (width, height): (f32, f32)) -> bool {
    let (at, size) = (element.absolute_position(), element.size());
    at.x >= -ROUNDED
        && at.y >= -ROUNDED
        && at.x + size.width <= width + ROUNDED
        && at.y + size.height <= height + ROUNDED
}

fn overlap(a: &ElementHandle, b: &ElementHandle) -> bool {
    let side =
        |at: f32, long: f32, other: f32, its: f32| at + long > other + ROUNDED && other + its > at + ROUNDED;
    let ((p, s), (q, t)) = ((a.absolute_position(), a.size()), (b.absolute_position(), b.size()));
    side(p.x, s.width, q.x, t.width) && side(p.y, s.height, q.y, t.height)
}

fn look(hand: &Hand, size: (f32, f32), page: &str) {
    let buttons = hand.by_roles(&[AccessibleRole::Button]);
    let fixed: Vec<&ElementHandle> =
        buttons.iter().filter(|it| FIXED.contains(&label(it).as_str())).collect();
    assert!(fixed.len() >= 2, "{page}: undo and redo at least");
    for (at, element) in fixed.iter().enumerate() {
        assert!(is_inside(element, size), "{page}: {} lies outside", label(element));
        for other in &fixed[at + 1..] {
            assert!(!overlap(element, other), "{page}: {} lies over {}", label(element), label(other));
        }
    }
    // At the side the places scroll where the window is low; at the foot each is in sight.
    let tabs = hand.by_roles(&[AccessibleRole::Tab]);
    if size.0 < 900.0 {
        assert_eq!(tabs.len(), 11, "{page}");
        let outside = tabs.iter().find(|tab| !is_inside(tab, size));
        assert!(outside.is_none(), "{page}: {:?}", outside.map(label));
    }
    let main = hand.by_roles(&[AccessibleRole::Main]);
    let room = main.first().map_or(0.0, |main| main.size().height);
    assert!(room >= LEAST_PAGE, "{page}: {room} px are left for the page");
}

fn look_at(size: (f32, f32), language: Language) {
    let hand = Hand::on_demo_in(size, 1.5, language);
    let name = |page: &str| format!("{page} {size:?} {language:?}");
    for place in Place::ALL {
        hand.go_to(place);
        look(&hand, size, &name(&format!("{place:?}")));
        hand.app.open(0);
        settle();
        look(&hand, size, &name(&format!("{place:?} open")));
    }
    for (item, field) in SHEETS {
        hand.app.open_item(item);
        hand.app.open_field(field);
        settle();
        look(&hand, size, &name(&format!("sheet {field}")));
        hand.app.close_page();
    }
    hand.app.answer_next();
    settle();
    look(&hand, size, &name("walk"));
    hand.app.open_sizing_page();
    settle();
    look(&hand, size, &name("sizing"));
    hand.app.open_surveys_page();
    settle();
    look(&hand, size, &name("surveys"));
    hand.app.close_page();
    hand.go_to(Place::Handover);
    hand.app.set_handover(&[], &[Deed { key: SIGN, text: deadfront_rules::say!("Sign") }]);
    settle();
    hand.tap(if language == Language::Spanish { "Firmar" } else { "Sign" });
    look(&hand, size, &name("signing"));
}

#[test]
fn small_tablets_with_large_text_are_usable() {
    for size in SMALL {
        look_at(size, Language::English);
    }
}

#[test]
fn small_tablets_with_large_text_are_usable_in_spanish() {
    for size in SMALL {
        look_at(size, Language::Spanish);
    }
}

/// At 600 px a question in the largest letters has the whole width: its two lines hold what the demo house asks first.
#[test]
fn the_next_question_is_whole_in_its_bar() {
    let hand = Hand::on_demo((600.0, 960.0), 1.5);
    hand.go_to(Place::Panels);
    let answer = hand.with_label(AccessibleRole::Button, "Answer");
    let ask = hand.app.window.global::<crate::generated::Walk>().get_ask();
    let question = hand.with_label(AccessibleRole::Text, &ask);
    let (at, size) = (question.absolute_position(), question.size());
    assert!(size.width > 540.0, "{}", size.width);
    assert!(at.y + size.height <= answer.absolute_position().y, "the buttons stand below it");
}
