//! The order of things: signing freezes, a new revision starts over, answers are signed last.

use chrono::DateTime;
use deadfront_rules::assess;
use deadfront_rules::survey::{Answer, AnswerKind, Ink, Role, Survey};

use super::*;
use crate::file::{read_survey, to_json};

fn demo() -> Survey {
    read_survey(crate::demo::DEMO.as_bytes()).unwrap()
}

fn signer(name: &str, role: Role) -> Signer {
    Signer {
        name: name.to_owned(),
        role,
        licence: if role == Role::Electrician { "EL-0000 (invented)" } else { "" }.to_owned(),
        when: DateTime::parse_from_rfc3339("2026-11-25T10:00:00-05:00").unwrap(),
        ink: Ink::drawn(0.3, &[vec![(0.1, 0.1, Some(0.0)), (0.6, 0.2, Some(0.4))]]),
    }
}

fn an_answer(survey: &Survey, kind: AnswerKind, reason: &str) -> Answer {
    let assessment = assess(survey);
    let finding = assessment.open().next().unwrap();
    Answer {
        check: finding.check.to_owned(),
        item: finding.subject.id.clone(),
        answer: kind,
        reason: reason.to_owned(),
        by: "E. Example".to_owned(),
        when: DateTime::parse_from_rfc3339("2026-11-26T10:00:00-05:00").unwrap(),
    }
}

#[test]
fn a_typed_signature_says_so_in_its_name_and_holds_like_any_other() {
    let mut survey = demo();
    let typed = || Signer { ink: None, ..signer("S. Example", Role::Surveyor) };
    sign(&mut survey, typed(), None).unwrap();
    let signature = &survey.signatures[0];
    assert_eq!((signature.name.as_str(), signature.ink.is_none()), ("S. Example (name typed, no ink)", true));
    assert_eq!(marks(&survey), Mark::Holds);
    // Neither typed nor drawn a second time by the same person in the same role.
    for again in [typed(), signer("S. Example", Role::Surveyor)] {
        assert!(matches!(sign(&mut survey, again, None), Err(SignError::Twice(_))));
    }
    let other_language = deadfront_rules::words::speak(deadfront_rules::words::Language::Spanish);
    assert!(matches!(sign(&mut survey, typed(), None), Err(SignError::Twice(_))));
    drop(other_language);
    // A name that is changed afterwards breaks the seal.
    survey.signatures[0].name = "S. Example".to_owned();
    assert_ne!(marks(&survey), Mark::Holds);
    let nameless = Signer { name: " ".to_owned(), ..typed() };
    assert_eq!(sign(&mut demo(), nameless, None), Err(SignError::NoName));
}

fn marks(survey: &Survey) -> Mark {
    verify(to_json(survey).as_bytes()).unwrap().mark()
}

#[test]
fn the_first_signature_freezes_and_a_new_revision_thaws() {
    let mut survey = demo();
    assert_eq!(may_edit(&survey), Ok(()));
    assert_eq!(new_revision(&survey).unwrap_err(), SignError::NotSigned(1));
    assert_eq!(marks(&survey), Mark::Open);
    sign(&mut survey, signer("S. Example", Role::Surveyor), None).unwrap();
    let refused = may_edit(&survey).unwrap_err().to_string();
    assert_eq!(
        refused,
        "revision 1 was signed by S. Example, surveyor, on 2026-11-25; start a new revision to change it"
    );
    assert_eq!(marks(&survey), Mark::Holds);

    let mut next = new_revision(&survey).unwrap();
    assert_eq!((next.revision, next.signatures.len(), next.answers.len()), (2, 0, 0));
    assert_eq!(may_edit(&next), Ok(()));
    assert_eq!(next.last_signed(), Some(&survey));
    sign(&mut next, signer("S. Example", Role::Surveyor), None).unwrap();
    let third = new_revision(&next).unwrap();
    let kept: Vec<bool> = third.revisions.iter().map(|revision| revision.state.is_some()).collect();
    assert_eq!(kept, [false, true], "only the last signed state is kept");
    assert_eq!(third.revisions[0].signers, ["S. Example, surveyor"]);
    assert_eq!(marks(&third), Mark::Open);
}

#[test]
fn several_people_sign_one_content_and_nobody_twice() {
    let mut survey = demo();
    sign(&mut survey, signer("S. Example", Role::Surveyor), None).unwrap();
    let fingerprint = fingerprint(&survey);
    sign(&mut survey, signer("O. Example", Role::Owner), None).unwrap();
    assert!(survey.signatures.iter().all(|signature| signature.hash == fingerprint));
    assert_ne!(survey.signatures[0].id, survey.signatures[1].id);
    let twice = sign(&mut survey, signer(" S. Example ", Role::Surveyor), None);
    assert_eq!(twice, Err(SignError::Twice("S. Example, surveyor".to_owned())));
    survey.site.name.push('x');
    let changed = sign(&mut survey, signer("E. Example", Role::Electrician), None);
    assert_eq!(changed, Err(SignError::Changed("S. Example, surveyor".to_owned())));
}

#[test]
fn what_cannot_be_signed_changes_nothing() {
    let survey = demo();
    let refuse = |change: fn(&mut Signer), wanted: &SignError| {
        let mut signer = signer("E. Example", Role::Electrician);
        change(&mut signer);
        let mut signed = survey.clone();
        assert_eq!(sign(&mut signed, signer, None).as_ref(), Err(wanted));
        assert_eq!(signed, survey);
    };
    refuse(|signer| signer.name = " ".to_owned(), &SignError::NoName);
    refuse(|signer| signer.licence.clear(), &SignError::NoLicence);
    let dot = SignError::NoInk("it is no more than a dot".to_owned());
    refuse(|signer| signer.ink.as_mut().unwrap().strokes.clear(), &dot);
}

#[test]
fn answers_are_given_to_findings_and_frozen_by_the_electrician() {
    let mut survey = demo();
    sign(&mut survey, signer("S. Example", Role::Surveyor), None).unwrap();
    let assessment = assess(&survey);
    let first = an_answer(&survey, AnswerKind::Agree, "");
    answer(&mut survey, &assessment, first.clone()).unwrap();
    let without = an_answer(&survey, AnswerKind::Disagree, " ");
    assert_eq!(answer(&mut survey, &assessment, without), Err(SignError::NoReason));
    let mut elsewhere = first.clone();
    elsewhere.check = "no_such_check".to_owned();
    assert!(matches!(answer(&mut survey, &assessment, elsewhere), Err(SignError::NoFinding { .. })));
    // An answer replaces the one before, and the surveyor's signature still holds.
    let second = an_answer(&survey, AnswerKind::Done, "");
    answer(&mut survey, &assessment, second.clone()).unwrap();
    assert_eq!(survey.answers.as_slice(), std::slice::from_ref(&second));
    assert_eq!(survey.answer_to(&second.check, &second.item), Some(&second));
    assert_eq!(marks(&survey), Mark::Open, "answers that nobody has signed");

    sign(&mut survey, signer("E. Example", Role::Electrician), None).unwrap();
    assert_eq!(marks(&survey), Mark::Holds);
    let accepted = SignError::Accepted("E. Example, licensed electrician".to_owned());
    assert_eq!(answer(&mut survey, &assessment, first), Err(accepted.clone()));
    assert_eq!(withdraw(&mut survey, &second.check, &second.item), Err(accepted.clone()));
    let other = sign(&mut survey, signer("F. Example", Role::Electrician), None);
    assert_eq!(other, Err(accepted));
    survey.answers[0].reason.push('x');
    assert_eq!(marks(&survey), Mark::Broken);
}

#[test]
fn a_tablets_key_confirms_and_a_strange_one_does_not() {
    let folder = tempfile::tempdir().unwrap();
    let key = TabletKey::open_or_make(folder.path()).unwrap();
    let mut survey = demo();
    sign(&mut survey, signer("S. Example", Role::Surveyor), Some(&key)).unwrap();
    let standing = verify(to_json(&survey).as_bytes()).unwrap();
    assert_eq!(standing.mark(), Mark::Holds);
    assert!(standing.remarks.iter().any(|remark| remark.text.contains(&key.fingerprint())));
    // Somebody who changes the ink and makes the seal fit again does not have the key.
    let signature = &mut survey.signatures[0];
    signature.name = "X. Example".to_owned();
    signature.seal = canonical::hex(&content::seal(signature));
    let standing = verify(to_json(&survey).as_bytes()).unwrap();
    assert_eq!(standing.mark(), Mark::Broken);
    let said = "The tablet's key does not confirm the signature of X. Example, surveyor.";
    assert!(standing.remarks.iter().any(|remark| remark.text == said), "{standing:?}");
}

#[test]
fn a_signature_that_names_no_state_says_nothing() {
    let mut survey = demo();
    sign(&mut survey, signer("S. Example", Role::Surveyor), None).unwrap();
    survey.signatures[0].hash.clear();
    assert_eq!(marks(&survey), Mark::Broken);
}

#[test]
fn a_kept_revision_that_was_changed_is_found() {
    let mut survey = demo();
    sign(&mut survey, signer("S. Example", Role::Surveyor), None).unwrap();
    let next = new_revision(&survey).unwrap();
    let changed = |change: fn(&mut Survey)| {
        let mut next = next.clone();
        change(next.revisions[0].state.as_mut().unwrap());
        verify(to_json(&next).as_bytes()).unwrap()
    };
    for standing in [
        changed(|state| state.site.name.push('x')),
        changed(|state| state.signatures[0].name.push('x')),
        changed(|state| state.signatures.clear()),
    ] {
        let said = "The kept revision 1 was changed after it was signed.";
        assert!(standing.remarks.iter().any(|remark| remark.text == said), "{standing:?}");
    }
}
