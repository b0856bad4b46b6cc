//! Papers as they go from hand to hand, in both languages: signed, answered, of a second revision.

use chrono::{DateTime, FixedOffset};
use deadfront_rules::assess;
use deadfront_rules::survey::{Answer, AnswerKind, Ink, Role, Survey};
use deadfront_rules::words::{Language, speak};

use super::{Pictures, Sheet, demo, laid_and_written, text};
use crate::sign::{Signer, answer, new_revision, sign};

fn when(day: u32) -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339(&format!("2026-11-{day:02}T10:00:00-05:00")).unwrap()
}

fn signer(name: &str, role: Role) -> Signer {
    Signer {
        name: name.to_owned(),
        role,
        licence: if role == Role::Electrician { "EL-0000 (invented)" } else { "" }.to_owned(),
        when: when(25),
        ink: Ink::drawn(0.3, &[vec![(0.1, 0.1, Some(0.0)), (0.6, 0.2, Some(0.4))]]),
    }
}

/// Signed by the surveyor, every finding answered in turn by each kind of answer, accepted.
fn answered() -> Survey {
    const KINDS: [AnswerKind; 4] =
        [AnswerKind::Agree, AnswerKind::Disagree, AnswerKind::Done, AnswerKind::NotApplicable];
    let mut survey = demo();
    sign(&mut survey, signer("S. Example (invented)", Role::Surveyor), None).unwrap();
    let assessment = assess(&survey);
    for (number, finding) in assessment.open().enumerate() {
        let given = Answer {
            check: finding.check.to_owned(),
            item: finding.subject.id.clone(),
            answer: KINDS[number % KINDS.len()],
            reason: "Seen on site with the cover off; the conductor was traced to its far end.".to_owned(),
            by: "E. Example (invented)".to_owned(),
            when: when(26),
        };
        answer(&mut survey, &assessment, given).unwrap();
    }
    sign(&mut survey, signer("E. Example (invented)", Role::Electrician), None).unwrap();
    survey
}

/// The next revision with one fact changed, signed again.
fn second_revision() -> Survey {
    let mut survey = new_revision(&answered()).unwrap();
    survey.site.purpose = "battery inverter beside the service (invented)".to_owned();
    sign(&mut survey, signer("S. Example (invented)", Role::Surveyor), None).unwrap();
    survey
}

fn keeps_every_rule(survey: &Survey, hands: &[&str]) {
    for (language, sheet) in [
        (Language::English, Sheet::Letter),
        (Language::English, Sheet::A4),
        (Language::Spanish, Sheet::Letter),
    ] {
        let _spoken = speak(language);
        let (laid, written) = laid_and_written(survey, sheet, Pictures::NONE);
        assert_eq!(written.warnings, [], "{language:?} {sheet:?}");
        let text = text(&laid);
        for hand in hands {
            assert!(text.contains(hand), "{hand} {language:?} {sheet:?}");
        }
    }
}

#[test]
fn the_demo_in_spanish_keeps_every_rule_of_the_pages() {
    let _spoken = speak(Language::Spanish);
    for sheet in [Sheet::A4, Sheet::Letter] {
        let (_, written) = laid_and_written(&demo(), sheet, Pictures::NONE);
        assert_eq!(written.warnings, [], "{sheet:?}");
    }
}

#[test]
fn a_signed_and_answered_paper_keeps_every_rule_and_shows_both_hands() {
    keeps_every_rule(&answered(), &["S. Example", "E. Example", "EL-0000"]);
}

#[test]
fn a_second_revision_keeps_every_rule() {
    keeps_every_rule(&second_revision(), &["S. Example"]);
}
