//! A whole small house is entered from an empty page: by taps alone.

use deadfront_rules::survey::Survey;
use i_slint_backend_testing::AccessibleRole;
use slint::{ComponentHandle as _, Model as _};

use super::hand::{Hand, SIZES, settle};
use crate::Place;
use crate::generated::{Detail, FindingsAdapter, Page, Sheet, Status, Walk};

/// Tall enough for whole pages, since only what is in sight can be tapped.
const PAGE: (f32, f32) = (1280.0, 4400.0);

fn choose(hand: &Hand, field: &str, answer: &str) {
    hand.tap(field);
    hand.tap(answer);
}

/// Names and texts are typed on a keyboard.
fn write(hand: &Hand, field: &str, text: &str) {
    hand.tap(field);
    hand.app.window.global::<Sheet>().set_typed(text.into());
    hand.tap("Keep");
}

/// Service, panel, one circuit too thin for its breaker.
fn enter_house(hand: &Hand) {
    hand.go_to(Place::Supplies);
    hand.tap("Add supply");
    hand.tap("Utility");
    hand.go_to(Place::Panels);
    hand.tap("Add panel");
    write(hand, "Name", "Main panel");
    hand.tap("Add circuit");
    hand.tap("Storage water heater");
    // Device and wire are asked for at once.
    hand.tap("Breaker");
    hand.type_on_pad("30");
    hand.tap("A");
    hand.tap("Keep and go on");
    hand.tap("‹ Back");
    hand.app.open_item("P1.1");
    settle();
}

#[test]
fn a_small_house_is_entered_from_an_empty_page_to_its_findings() {
    let hand = Hand::on(Survey::empty("Mill Lane 4"), PAGE, 1.0);
    enter_house(&hand);
    let survey = hand.kept.borrow().survey.clone();
    assert_eq!(survey.panels[0].name, "Main panel");
    let way = &survey.panels[0].ways[0];
    assert_eq!(way.device.rating.known().map(ToString::to_string).as_deref(), Some("30 A"));
    assert_eq!(survey.runs.len(), 1);
    assert_eq!(survey.loads.len(), 1);

    hand.app.open_item(survey.runs[0].id.as_str());
    settle();
    choose(&hand, "Conductor metal", "Copper");
    hand.tap("Conductor size");
    hand.type_on_pad("14");
    hand.tap("AWG");
    hand.tap("Keep");
    choose(&hand, "Wiring method", "NM-B cable");
    hand.go_to(Place::Findings);
    let adapter = hand.app.window.global::<FindingsAdapter>();
    let title = adapter.get_head().title;
    assert!(title.contains("30 A device is larger"), "{title}");
}

#[test]
fn a_new_circuit_asks_for_its_device_and_its_wire_and_then_leads_back_to_the_panel() {
    let hand = Hand::on(Survey::empty("Mill Lane 4"), PAGE, 1.0);
    hand.go_to(Place::Panels);
    hand.tap("Add panel");
    for _ in 0..2 {
        hand.tap("Add circuit");
        hand.tap("Receptacle outlets");
        hand.tap("Breaker");
        hand.tap("20 A");
        hand.tap("1");
        hand.tap("NM-B cable");
        hand.tap("12 AWG");
        hand.tap("Copper");
        hand.tap("Later");
        assert_eq!(hand.navigation(|navigation| navigation.get_page()), Page::None);
        assert_eq!(hand.app.window.global::<Detail>().get_head().id, "P1");
    }
    let survey = hand.kept.borrow().survey.clone();
    assert_eq!((survey.panels[0].ways.len(), survey.runs.len(), survey.loads.len()), (2, 2, 2));
    for run in &survey.runs {
        assert_eq!(run.size.known().map(ToString::to_string).as_deref(), Some("12 AWG"));
        assert!(run.length.is_not_seen(), "it was put off");
    }
    assert!(hand.find(AccessibleRole::ListItem, "1 · Receptacle outlets").is_some());
}

#[test]
fn each_step_is_taken_back_and_done_again() {
    let hand = Hand::on(Survey::empty("Mill Lane 4"), PAGE, 1.0);
    let start = hand.kept.borrow().survey.clone();
    enter_house(&hand);
    let end = hand.kept.borrow().survey.clone();
    let status = || hand.app.window.global::<Status>();
    let mut names = Vec::new();
    while !status().get_undo().is_empty() {
        names.push(status().get_undo());
        hand.tap("Undo");
    }
    assert!(names.len() >= 5, "{names:?}");
    assert!(names.iter().any(|name| name.contains("30 A")), "{names:?}");
    assert_eq!(hand.kept.borrow().survey, start);
    while !status().get_redo().is_empty() {
        hand.tap("Redo");
    }
    assert_eq!(hand.kept.borrow().survey, end);
}

#[test]
fn what_cannot_be_read_is_kept_and_said_where_it_was_typed() {
    let hand = Hand::on(Survey::empty("Mill Lane 4"), PAGE, 1.0);
    enter_house(&hand);
    hand.tap("Ampere rating");
    hand.type_on_pad("3.0.");
    hand.tap("Keep");
    let sheet = hand.app.window.global::<Sheet>();
    assert!(!sheet.get_problem().is_empty());
    let survey = hand.kept.borrow().survey.clone();
    assert_eq!(survey.in_doubt.len(), 1, "{:?}", survey.in_doubt);
    assert!(survey.panels[0].ways[0].device.rating.is_not_seen());
    // The rest goes on.
    hand.go_to(Place::Panels);
    assert!(hand.find(AccessibleRole::Button, "Add panel").is_some());
}

#[test]
fn unknown_is_said_without_lying() {
    let hand = Hand::on(Survey::empty("Mill Lane 4"), PAGE, 1.0);
    enter_house(&hand);
    hand.tap("Ampere rating");
    hand.tap("Cannot be seen");
    let survey = hand.kept.borrow().survey.clone();
    assert_eq!(survey.panels[0].ways[0].device.rating, deadfront_rules::survey::Fact::CannotBeSeen);
}

#[test]
fn the_walk_shrinks_as_answers_come_and_later_puts_off() {
    let hand = Hand::on_demo((1280.0, 3000.0), 1.0);
    let walk = || hand.app.window.global::<Walk>();
    let left = walk().get_left();
    let first = walk().get_ask();
    hand.tap("Later");
    assert_eq!(walk().get_left(), left - 1);
    assert_eq!(walk().get_skipped(), 1);
    hand.tap("Answer");
    hand.tap("Cannot be seen");
    assert!(walk().get_left() < left - 1, "{} of {left}", walk().get_left());
    assert_ne!(walk().get_ask(), first);
}

/// In a large house, or on a slow tablet, the checks of an answer are still under way when the next question is
/// asked: it is another one, and still the same when they are in.
#[test]
fn no_question_is_asked_again_while_the_checks_of_its_answer_are_under_way() {
    let hand = Hand::on_demo((1280.0, 3000.0), 1.0);
    hand.kept.borrow_mut().slow = true;
    let sheet = || {
        let global = hand.app.window.global::<Sheet>();
        (global.get_at().to_string(), global.get_label().to_string())
    };
    hand.tap("Answer");
    let mut asked = vec![sheet()];
    for _ in 0..3 {
        hand.tap("Cannot be seen");
        asked.push(sheet());
    }
    let last = sheet();
    hand.checks_are_in();
    assert_eq!(sheet(), last);
    hand.tap("Cannot be seen");
    asked.push(sheet());
    let different: std::collections::BTreeSet<_> = asked.iter().collect();
    assert_eq!(different.len(), asked.len(), "{asked:?}");
}

#[test]
fn an_edit_marks_the_verdicts_that_it_changed() {
    for size in SIZES {
        let hand = Hand::on_demo(size, 1.0);
        hand.app.open_item("R002");
        hand.app.open_field("size");
        settle();
        hand.app.window.global::<Sheet>().invoke_usual_chosen("14 AWG".into());
        settle();
        let status = hand.app.window.global::<Status>();
        assert!(status.get_changed().contains("changed"), "{}", status.get_changed());
        status.invoke_changed_tapped();
        settle();
        assert_eq!(hand.place(), Place::Findings);
        assert!(hand.app.window.global::<FindingsAdapter>().get_changed_only());
    }
}

#[test]
fn items_are_copied_moved_and_removed() {
    let hand = Hand::on(Survey::empty("Mill Lane 4"), PAGE, 1.0);
    enter_house(&hand);
    hand.app.open_item("P1");
    settle();
    hand.tap("Copy");
    assert_eq!(hand.kept.borrow().survey.panels.len(), 2);
    hand.tap("Move up");
    assert_eq!(hand.kept.borrow().survey.panels[1].name, "Main panel");
    hand.tap("Remove");
    assert_eq!(hand.kept.borrow().survey.panels.len(), 1);
    assert_eq!(hand.kept.borrow().survey.panels[0].name, "Main panel");
}

#[test]
fn a_sized_cable_becomes_a_planned_run() {
    let hand = Hand::on(Survey::empty("Mill Lane 4"), PAGE, 1.0);
    enter_house(&hand);
    hand.go_to(Place::Runs);
    hand.tap("Size a cable");
    hand.tap("40 A");
    hand.tap("Plan this run");
    hand.tap("Main panel");
    let survey = hand.kept.borrow().survey.clone();
    let planned = survey.runs.iter().find(|run| run.planned).unwrap();
    assert_eq!(planned.length.known().map(ToString::to_string).as_deref(), Some("50 ft"));
    assert!(planned.size.known().is_some());
}

#[test]
fn an_empty_survey_asks_for_what_feeds_the_house_and_for_its_first_panel() {
    let hand = Hand::on(Survey::empty("Mill Lane 4"), PAGE, 1.0);
    let asked = || hand.app.window.global::<Walk>().get_ask();
    assert_eq!(asked(), "What feeds this house?");
    hand.tap("Answer");
    hand.tap("Utility");
    assert_eq!(asked(), "Which is the first panel after the meter?");
    hand.tap("Answer");
    assert_eq!(hand.kept.borrow().survey.panels.len(), 1);
    assert!(hand.app.window.global::<Walk>().get_left() > 1);
}

#[test]
fn a_signature_is_drawn_named_and_handed_on() {
    let hand = Hand::on_demo(PAGE, 1.0);
    hand.app.set_handover(&[], &[crate::Deed { key: crate::SIGN, text: deadfront_rules::say!("Sign") }]);
    hand.go_to(Place::Handover);
    hand.tap("Sign");
    let page = hand.app.window.global::<crate::generated::Handover>();
    hand.tap("Owner");
    page.set_name("A. Owner".into());
    page.invoke_pen_down(0.2, 0.5);
    page.invoke_pen_moved(0.8, 0.6);
    page.invoke_pen_up();
    settle();
    hand.tap("Sign");
    let signed = hand.kept.borrow().others.clone();
    let [crate::Intent::Sign { name, role, strokes, .. }] = signed.as_slice() else { panic!("{signed:?}") };
    assert_eq!((name.as_str(), *role, strokes.len()), ("A. Owner", deadfront_rules::survey::Role::Owner, 1));
}

#[test]
fn who_has_no_pen_signs_by_keyboard_with_the_typed_name() {
    let hand = Hand::on_demo(PAGE, 1.0);
    hand.app.set_handover(&[], &[crate::Deed { key: crate::SIGN, text: deadfront_rules::say!("Sign") }]);
    hand.go_to(Place::Handover);
    hand.tap("Sign");
    hand.app.window.global::<crate::generated::Handover>().set_name("A. Owner".into());
    hand.tab_to("Sign by typed name");
    hand.press(slint::platform::Key::Return);
    let signed = hand.kept.borrow().others.clone();
    let [crate::Intent::Sign { name, strokes, typed: true, .. }] = signed.as_slice() else {
        panic!("{signed:?}")
    };
    assert_eq!((name.as_str(), strokes.len()), ("A. Owner", 0));
}

#[test]
fn a_device_is_switched_in_the_picture_and_never_in_the_house() {
    let hand = Hand::on_demo(PAGE, 1.0);
    hand.go_to(Place::Isolation);
    let page = hand.app.window.global::<crate::generated::Isolation>();
    let before = hand.kept.borrow().survey.clone();
    page.invoke_tapped("P1.01".into());
    settle();
    assert!(page.get_changed());
    assert_eq!(hand.kept.borrow().survey, before);
    hand.tap("As the mode wants it");
    assert!(!page.get_changed());
}

#[test]
fn a_way_in_which_sources_meet_is_drawn_in_the_picture() {
    let hand = Hand::on_demo(PAGE, 1.0);
    hand.go_to(Place::Isolation);
    let page = hand.app.window.global::<crate::generated::Isolation>();
    let mut drawn = 0;
    for mode in 0..page.get_modes().row_count() {
        page.invoke_mode_chosen(mode.to_string().into());
        settle();
        for part in page.get_near().iter().filter(|part| part.mark == crate::generated::Mark::Danger) {
            assert!(part.actions.row_count() > 0, "{}", part.strong);
            for draw in part.actions.iter() {
                page.invoke_draw_way(draw.key);
                settle();
                assert_eq!(page.get_mark(), crate::generated::Mark::Danger);
                assert!(page.get_changed());
                hand.tap("As the mode wants it");
                assert!(!page.get_changed());
                drawn += 1;
            }
        }
    }
    assert!(drawn > 0);
}
