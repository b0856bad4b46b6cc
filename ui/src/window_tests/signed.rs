//! A signed revision: each finding is answered, and the answers are signed.

use deadfront_rules::survey::{AnswerKind, Id, Role, Signature, Survey};
use i_slint_backend_testing::AccessibleRole;
use slint::ComponentHandle as _;

use super::hand::{Hand, sample, settle};
use crate::generated::{Answering, FindingsAdapter, Handover};
use crate::{Deed, Intent, Place, SIGN};

const PAGE: (f32, f32) = (1280.0, 4400.0);
const REASON: &str = "Reason (needed to disagree, and where it does not apply)";

fn signature(role: Role, accepts: bool) -> Signature {
    Signature {
        id: Id::new("signature-1").unwrap(),
        name: "A. Example".to_owned(),
        role,
        when: "2026-05-01T10:00:00Z".parse().unwrap(),
        licence: String::new(),
        revision: 1,
        hash: "00".to_owned(),
        answers_hash: if accepts { "00".to_owned() } else { String::new() },
        ink: None,
        seal: String::new(),
        key: None,
    }
}

fn signed() -> Survey {
    let mut survey = (*sample::house().0).clone();
    survey.answers.clear();
    survey.signatures = vec![signature(Role::Surveyor, false)];
    survey
}

#[test]
fn a_finding_of_a_signed_revision_is_answered_with_its_reason() {
    let hand = Hand::on(signed(), PAGE, 1.0);
    hand.go_to(Place::Findings);
    assert!(hand.reads("Not answered yet."));
    hand.write("Name of who answers", "B. Tester");
    hand.write(REASON, "seen otherwise");
    hand.tap("Disagree");
    let survey = hand.kept.borrow().survey.clone();
    let [answer] = &survey.answers[..] else { panic!("{:?}", survey.answers) };
    assert_eq!(
        (answer.answer, answer.by.as_str(), answer.reason.as_str()),
        (AnswerKind::Disagree, "B. Tester", "seen otherwise")
    );
    assert!(hand.reads("Answered: disagrees. B. Tester") && hand.reads("seen otherwise"));
    assert!(hand.reads("1 of "), "how far the answers are");
    // The next one has its own reason, and the same name.
    hand.tap("Next without an answer");
    let page = hand.app.window.global::<Answering>();
    assert_eq!((page.get_reason().as_str(), page.get_by().as_str()), ("", "B. Tester"));
    assert!(hand.reads("Not answered yet."));
    hand.tap("Done");
    assert_eq!(hand.kept.borrow().survey.answers.len(), 2);
    hand.tap("Take it back");
    assert_eq!(hand.kept.borrow().survey.answers.len(), 1);
}

#[test]
fn an_answer_that_is_refused_is_said_where_it_was_given() {
    let hand = Hand::on(signed(), PAGE, 1.0);
    hand.go_to(Place::Findings);
    hand.app.answered("This answer needs its reason; write it.");
    settle();
    assert!(hand.reads("needs its reason"));
    hand.app.open_finding("F2");
    settle();
    assert!(!hand.reads("needs its reason"));
}

#[test]
fn nobody_answers_what_is_not_signed_or_signed_to_the_end() {
    let hand = Hand::on_demo(PAGE, 1.0);
    hand.go_to(Place::Findings);
    assert!(hand.find(AccessibleRole::Button, "Agree").is_none());
    let mut survey = signed();
    survey.signatures.push(signature(Role::Electrician, true));
    let hand = Hand::on(survey, PAGE, 1.0);
    hand.go_to(Place::Findings);
    assert!(hand.find(AccessibleRole::Button, "Agree").is_none());
    assert!(hand.reads("only in a new revision"));
}

#[test]
fn handover_says_how_many_are_answered_and_leads_to_the_next() {
    let hand = Hand::on(signed(), PAGE, 1.0);
    hand.app.set_handover(&[], &[Deed { key: SIGN, text: deadfront_rules::say!("Sign") }]);
    hand.go_to(Place::Handover);
    assert!(hand.reads("0 of "));
    hand.tap("Answer the next finding");
    assert_eq!(hand.place(), Place::Findings);
    assert_eq!(hand.app.window.global::<FindingsAdapter>().get_head().id, "F1");
    hand.write("Name of who answers", "B. Tester");
    hand.tap("Agree");
    hand.go_to(Place::Handover);
    assert!(hand.reads("1 of "));
    // Who answered is who accepts.
    hand.tap("Sign");
    let page = hand.app.window.global::<Handover>();
    assert_eq!(page.get_name(), "B. Tester");
    assert!(page.get_wants_licence());
    hand.with_label(AccessibleRole::Button, "Sign");
    page.invoke_signed();
    let last = hand.kept.borrow().others.last().cloned();
    assert!(matches!(last, Some(Intent::Sign { role: Role::Electrician, .. })), "{last:?}");
}

const NAME: &str = "Name";

/// A house of this surveyor, with the signature open.
fn signing(surveyor: &str) -> Hand {
    let mut survey = (*sample::house().0).clone();
    survey.signatures.clear();
    survey.site.surveyor = surveyor.to_owned();
    let hand = Hand::on(survey, PAGE, 1.0);
    hand.app.set_handover(&[], &[Deed { key: SIGN, text: deadfront_rules::say!("Sign") }]);
    hand.go_to(Place::Handover);
    hand.tap("Sign");
    hand
}

/// What stands in the line for the name.
fn name(hand: &Hand) -> String {
    hand.with_label(AccessibleRole::TextInput, NAME).accessible_value().unwrap_or_default().into()
}

#[test]
fn the_surveyor_finds_the_own_name_filled_in() {
    let hand = signing("C. Walker");
    assert_eq!(name(&hand), "C. Walker");
    // It is nobody else's name, and comes back with its role.
    hand.tap("Owner");
    assert_eq!(name(&hand), "");
    hand.tap("Surveyor");
    assert_eq!(name(&hand), "C. Walker");
    hand.app.window.global::<Handover>().invoke_signed();
    let last = hand.kept.borrow().others.last().cloned();
    let Some(Intent::Sign { name, role: Role::Surveyor, .. }) = last else { panic!("{last:?}") };
    assert_eq!(name, "C. Walker");
    assert_eq!(self::name(&signing("")), "", "nobody is named in the survey");
}

#[test]
fn a_name_that_was_written_by_hand_is_kept() {
    let hand = signing("C. Walker");
    hand.with_label(AccessibleRole::TextInput, NAME).set_accessible_value("D. Helper");
    settle();
    for role in ["Owner", "Surveyor", "Licensed electrician"] {
        hand.tap(role);
        assert_eq!(name(&hand), "D. Helper", "{role}");
    }
    hand.tap("Not now");
    hand.tap("Sign");
    assert_eq!(name(&hand), "D. Helper");
    // Wiped out, it is filled in again.
    hand.with_label(AccessibleRole::TextInput, NAME).set_accessible_value("");
    settle();
    hand.tap("Surveyor");
    assert_eq!(name(&hand), "C. Walker");
}
