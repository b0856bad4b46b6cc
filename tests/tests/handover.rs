//! The signed survey and its PDF: what was changed is found and said, what was not is not.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Arc;

use chrono::DateTime;
use deadfront::compare::compare;
use deadfront::file::{photo_folder, read_survey, to_json};
use deadfront::paper::Sheet;
use deadfront::photo::{pictures, take_in};
use deadfront::report::{Pictures, Report, Shot};
use deadfront::sign::{
    Mark, Signer, Standing, TabletKey, answer, canonical, new_revision, sign, survey_in, verify, verify_both,
    verify_pdf,
};
use deadfront_rules::assess;
use deadfront_rules::survey::{Answer, AnswerKind, Ink, Role, Survey};
use serde_json::json;
use tempfile::TempDir;

const SMALL: &str = r#"{
  "deadfront_survey": 1,
  "site": {"name": "Small house (invented)", "date": "2026-11-20", "rules": "us", "invented": true, "built": 1951},
  "supplies": [{"id": "U", "name": "utility", "kind": "utility"}],
  "panels": [{"id": "P", "name": "main \"old\" panel ½", "ways": [
    {"id": "P.1", "spaces": [1, 3], "label": "range", "device": {"kind": "breaker", "rating": "50 A", "poles": 2}}]}],
  "runs": [{"id": "R0", "from": "U", "to": "P"}, {"id": "R1", "from": "P.1", "size": "8 AWG", "length": "45 ft"}],
  "loads": [{"id": "L1", "name": "range", "on": "R1", "kind": "range", "power": "12 kW"}],
  "readings": [{"id": "M1", "at": "P", "when": "2026-11-20T09:30:00-05:00", "instrument": "clamp", "current": "31 A"}],
  "notes": [{"id": "N1", "text": "cover\nwarm"}]
}"#;

fn small() -> Survey {
    read_survey(SMALL.as_bytes()).expect("a survey")
}

fn demo() -> Survey {
    read_survey(deadfront::demo::DEMO.as_bytes()).expect("a survey")
}

fn time(text: &str) -> DateTime<chrono::FixedOffset> {
    DateTime::parse_from_rfc3339(text).expect("a time")
}

fn signer(name: &str, role: Role) -> Signer {
    let wave: Vec<_> = (0..3_u8).map(|at| (f64::from(at) / 3.0, f64::from(at % 2) / 10.0, None)).collect();
    Signer {
        name: name.to_owned(),
        role,
        licence: if role == Role::Electrician { "EL-0000" } else { "" }.to_owned(),
        when: time("2026-11-25T10:00:00-05:00"),
        ink: Ink::drawn(0.3, &[wave, vec![(0.2, 0.1, Some(0.5)), (0.3, 0.2, Some(0.6))]]),
    }
}

/// Signed by all three, with a key and with answers; the second revision, so that a first one is kept.
fn signed(mut survey: Survey) -> Survey {
    let folder = TempDir::new().expect("a folder");
    let key = TabletKey::open_or_make(folder.path()).expect("a key");
    sign(&mut survey, signer("S. Example", Role::Surveyor), None).expect("signed");
    let mut survey = new_revision(&survey).expect("signed before");
    survey.panels[0].name.push_str(", cleaned");
    let assessment = assess(&survey);
    let mut open = assessment.open();
    for (kind, reason) in [(AnswerKind::Agree, ""), (AnswerKind::Disagree, "measured again")] {
        let finding = open.next().expect("something is open");
        let given = Answer {
            check: finding.check.to_owned(),
            item: finding.subject.id.clone(),
            answer: kind,
            reason: reason.to_owned(),
            by: "E. Example".to_owned(),
            when: time("2026-11-26T08:00:00-05:00"),
        };
        let key = (given.check.clone(), given.item.clone());
        answer(&mut survey, &assessment, given).expect("answered");
        open = assessment.open();
        while open
            .next()
            .is_some_and(|finding| (finding.check, &finding.subject.id) != (key.0.as_str(), &key.1))
        {}
    }
    sign(&mut survey, signer("S. Example", Role::Surveyor), Some(&key)).expect("signed");
    sign(&mut survey, signer("O. Example", Role::Owner), None).expect("signed");
    sign(&mut survey, signer("E. Example", Role::Electrician), Some(&key)).expect("signed");
    survey
}

fn pdf(survey: &Survey, sheet: Sheet) -> Vec<u8> {
    pdf_with(survey, sheet, Pictures::NONE)
}

fn pdf_with(survey: &Survey, sheet: Sheet, pictures: &Pictures) -> Vec<u8> {
    let assessment = assess(survey);
    let made = time("2026-11-27T12:00:00-05:00");
    Report { survey, assessment: &assessment, made, sheet, pictures }.pdf().expect("a PDF").bytes
}

/// A small house with photos named by the content of these files.
fn photographed(pictures: &[&Path]) -> (Survey, TempDir) {
    let folder = TempDir::new().expect("a folder");
    let file = folder.path().join("house.json");
    let mut survey = small();
    for (number, picture) in pictures.iter().enumerate() {
        let taken = take_in(&file, picture.to_path_buf(), false).wait().expect("done").expect("taken");
        let photo =
            json!({ "id": format!("F{number}"), "of": "P", "file": taken.file, "caption": "the door open" });
        survey.photos.push(serde_json::from_value(photo).expect("a photo"));
    }
    (survey, folder)
}

fn drawn(folder: &TempDir, shade: u8) -> PathBuf {
    let path = folder.path().join(format!("{shade}.png"));
    let image = image::RgbImage::from_fn(60, 40, |x, y| image::Rgb([shade, x as u8 * 4, y as u8 * 6]));
    image.save(&path).expect("drawn");
    path
}

/// Whether a changed survey is refused or called changed.
fn is_noticed(bytes: &[u8]) -> bool {
    verify(bytes).map_or(true, |standing| standing.mark() == Mark::Broken)
}

/// Numbers that look random and are the same in every run.
fn random(count: usize, below: usize) -> impl Iterator<Item = (usize, u8)> {
    let mut state = 0x2545_f491_4f6c_dd1d_u64;
    (0..count).map(move |_| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let place = usize::try_from(state >> 33).unwrap_or(0) % below;
        (place, u8::try_from(state >> 16 & 0xff).unwrap_or(1))
    })
}

#[test]
fn every_changed_byte_of_a_small_signed_survey_is_noticed() {
    let bytes = canonical(&signed(small()));
    let standing = verify(&bytes).expect("a survey");
    assert_eq!(standing.mark(), Mark::Holds, "{standing:#?}");
    let mut changed = bytes.clone();
    for (at, old) in bytes.iter().copied().enumerate() {
        // In turn the neighbour, white space, a digit, and what ends a text; for a letter also the other
        // case, which readers of times take for the same.
        let turn = [old ^ 1, b' ', b'0', b'"', old ^ 2][at % 5];
        let case = if old.is_ascii_alphabetic() { old ^ 0x20 } else { old ^ 4 };
        for new in [turn, case] {
            changed[at] = new;
            assert!(new == old || is_noticed(&changed), "byte {at} {old} to {new}");
        }
        changed[at] = old;
    }
}

#[test]
fn random_changes_of_the_signed_demo_are_noticed() {
    let bytes = canonical(&signed(demo()));
    assert_eq!(verify(&bytes).expect("a survey").mark(), Mark::Holds);
    for (at, new) in random(100, bytes.len()).filter(|(at, new)| bytes[*at] != *new) {
        let mut changed = bytes.clone();
        changed[at] = new;
        assert!(is_noticed(&changed), "byte {at} to {new}");
    }
}

#[test]
fn a_resave_that_changes_nothing_is_not_noticed() {
    let survey = signed(demo());
    let again = read_survey(to_json(&survey).as_bytes()).expect("a survey");
    assert_eq!(again, survey);
    let compact = serde_json::to_vec(&again).expect("JSON");
    let marked = ["\u{feff}".as_bytes(), to_json(&survey).replace('\n', "\r\n").as_bytes()].concat();
    for bytes in [to_json(&survey).into_bytes(), compact, marked, canonical(&survey)] {
        let standing = verify(&bytes).expect("a survey");
        assert_eq!(standing.mark(), Mark::Holds, "{standing:#?}");
    }
}

#[test]
fn the_same_survey_and_time_give_the_same_bytes() {
    let survey = signed(small());
    assert_eq!(pdf(&survey, Sheet::A4), pdf(&survey, Sheet::A4));
}

#[test]
fn the_pdf_carries_the_survey_and_all_of_it_holds() {
    let survey = signed(demo());
    for sheet in [Sheet::A4, Sheet::Letter] {
        let pdf = pdf(&survey, sheet);
        assert_eq!(survey_in(&pdf).expect("attached"), to_json(&survey).into_bytes());
        let standing = verify_pdf(&pdf).expect("a PDF");
        assert_eq!(standing.mark(), Mark::Holds, "{standing:#?}");
        let said = "Made again from the survey inside it, the PDF is the same, byte for byte.";
        assert!(standing.remarks.iter().any(|remark| remark.text == said));
        let both = verify_both(to_json(&survey).as_bytes(), &pdf).expect("both");
        assert_eq!(both.mark(), Mark::Holds, "{both:#?}");
    }
}

#[test]
fn any_changed_byte_of_a_pdf_is_noticed() {
    let whole = pdf(&signed(small()), Sheet::Letter);
    let noticed = |bytes: &[u8]| verify_pdf(bytes).map_or(true, |standing| standing.mark() == Mark::Broken);
    assert!(!noticed(&whole));
    for (at, new) in random(40, whole.len()).filter(|(at, new)| whole[*at] != *new) {
        let mut changed = whole.clone();
        changed[at] = new;
        assert!(noticed(&changed), "byte {at} to {new}");
    }
    let tail = whole.len() - 80..whole.len();
    for at in tail {
        let mut changed = whole.clone();
        changed[at] ^= 1;
        assert!(noticed(&changed), "byte {at}");
    }
    assert!(noticed(&whole[..whole.len() - 1]) && noticed(&[&whole[..], b"\n"].concat()));
    assert!(noticed(b"%PDF-1.7\n") && noticed(b"") && noticed(b"no PDF at all"));
}

/// Somebody changes a fact in the attached survey and makes the name of the file fit again: the
/// survey's own signatures tell.
#[test]
fn a_pdf_of_another_survey_is_told_apart() {
    let survey = signed(small());
    let paper = pdf(&survey, Sheet::Letter);
    let mut other = survey.clone();
    other.loads[0].name.push('x');
    let standing = verify_both(to_json(&other).as_bytes(), &paper).expect("both");
    assert_eq!(standing.mark(), Mark::Broken);
    let last = standing.remarks.last().expect("a remark");
    assert_eq!(
        last.text,
        "The PDF was not made from this survey file: both are revision 2, but their facts differ."
    );
    let forged = pdf(&other, Sheet::Letter);
    let standing = verify_pdf(&forged).expect("a PDF");
    assert_eq!(standing.mark(), Mark::Broken, "{standing:#?}");
    let said = "This is not the survey that S. Example, surveyor, signed on 2026-11-25 10:00 -05:00: something in it \
                was changed afterwards.";
    assert!(standing.remarks.iter().any(|remark| remark.text == said), "{standing:#?}");
}

#[test]
fn a_pdf_from_before_the_acceptance_is_told_as_such() {
    let mut survey = small();
    sign(&mut survey, signer("S. Example", Role::Surveyor), None).expect("signed");
    let first = pdf(&survey, Sheet::Letter);
    // The electrician opens the PDF, answers and signs.
    let mut theirs = read_survey(&survey_in(&first).expect("attached")).expect("a survey");
    sign(&mut theirs, signer("E. Example", Role::Electrician), None).expect("signed");
    let standing = verify_both(to_json(&theirs).as_bytes(), &first).expect("both");
    assert_eq!(standing.mark(), Mark::Open, "{standing:#?}");
    let second = pdf(&theirs, Sheet::Letter);
    let standing = verify_both(to_json(&theirs).as_bytes(), &second).expect("both");
    assert_eq!(standing.mark(), Mark::Holds, "{standing:#?}");
    let third = new_revision(&theirs).expect("signed");
    let standing = verify_both(to_json(&third).as_bytes(), &second).expect("both");
    let last = &standing.remarks.last().expect("a remark").text;
    assert_eq!(last, "The PDF was made from revision 1; this survey file is revision 2.");
}

/// Runs a program on a PDF, or says loudly that it is not here.
fn read_by(program: &str, arguments: &[&str], pdf: &[u8], output: bool) -> Option<String> {
    let folder = TempDir::new().expect("a folder");
    let file = folder.path().join("survey.pdf");
    std::fs::write(&file, pdf).expect("written");
    let mut command = Command::new(program);
    command.args(arguments).arg(&file).args(output.then_some("-"));
    match command.output() {
        Ok(done) => {
            assert!(done.status.success(), "{program}: {}", String::from_utf8_lossy(&done.stderr));
            Some(String::from_utf8_lossy(&done.stdout).into_owned())
        }
        Err(error) => {
            eprintln!("SKIPPED: {program} is not here ({error}); .ci/run installs it");
            None
        }
    }
}

#[test]
fn other_programs_find_no_fault_and_the_attachment() {
    let survey = signed(demo());
    let pdf = pdf(&survey, Sheet::A4);
    if let Some(said) = read_by("qpdf", &["--check"], &pdf, false) {
        assert!(said.contains("No syntax or stream encoding errors"), "{said}");
    }
    if let Some(list) = read_by("qpdf", &["--list-attachments"], &pdf, false) {
        assert!(list.contains("deadfront-survey.json"), "{list}");
    }
    if let Some(attached) = read_by("qpdf", &["--show-attachment=deadfront-survey.json"], &pdf, false) {
        assert_eq!(attached, to_json(&survey));
    }
}

#[test]
fn both_hands_and_what_changed_stand_in_the_text() {
    let survey = signed(demo());
    let Some(text) = read_by("pdftotext", &["-layout"], &pdf(&survey, Sheet::Letter), true) else { return };
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for wanted in [
        "Revision 2, signed 2026-11-25",
        "What changed since revision 1",
        "What the electrician answers",
        "disagrees: measured again",
        "S. Example",
        "O. Example",
        "E. Example",
        "license EL-0000",
        &deadfront::sign::fingerprint(&survey),
    ] {
        assert!(text.contains(wanted), "{wanted}");
    }
    let before = survey.last_signed().expect("kept");
    assert_eq!(compare(before, &survey).facts.len(), 1);
}

#[test]
fn a_pdf_with_photos_is_made_again_from_what_it_carries() {
    let desk = TempDir::new().expect("a folder");
    let (first, second) = (drawn(&desk, 3), drawn(&desk, 200));
    let (survey, folder) = photographed(&[&first, &second, &first]);
    let survey = signed(survey);
    let photos = photo_folder(folder.path().join("house.json"));
    let whole = pdf_with(&survey, Sheet::A4, &pictures(&survey, &photos));
    let standing = verify_pdf(&whole).expect("a PDF");
    assert_eq!(standing.mark(), Mark::Holds, "{standing:#?}");
    let said =
        |standing: &Standing, words: &str| standing.remarks.iter().any(|remark| remark.text.contains(words));
    assert!(said(&standing, "2 photos in the PDF are the ones"), "{standing:#?}");
    assert!(said(&standing, "byte for byte"), "{standing:#?}");

    // A photo that was not there is part of what the paper says.
    fs::remove_file(photos.join(&survey.photos[1].file)).expect("removed");
    let without = pdf_with(&survey, Sheet::A4, &pictures(&survey, &photos));
    let standing = verify_pdf(&without).expect("a PDF");
    assert_eq!(standing.mark(), Mark::Holds, "{standing:#?}");
    assert!(said(&standing, "1 photos in the PDF are the ones"), "{standing:#?}");

    // Made by this program, but with another picture under that name.
    let other = Arc::<[u8]>::from(fs::read(photos.join(&survey.photos[0].file)).expect("read"));
    let forged = Pictures::of(&survey, |_| Shot::Whole(other.clone()));
    let standing = verify_pdf(&pdf_with(&survey, Sheet::A4, &forged)).expect("a PDF");
    assert_eq!(standing.mark(), Mark::Broken, "{standing:#?}");
    assert!(said(&standing, "is not the one that the survey names"), "{standing:#?}");

    // A byte of a picture changed in the PDF.
    let jpeg = &other[..];
    let at = whole.windows(jpeg.len()).position(|window| window == jpeg).expect("as it is in the folder");
    for byte in [at + jpeg.len() / 2, at + jpeg.len() - 3] {
        let mut changed = whole.clone();
        changed[byte] ^= 1;
        let standing = verify_pdf(&changed).expect("a PDF");
        assert_eq!(standing.mark(), Mark::Broken, "{standing:#?}");
        assert!(said(&standing, "is not in the PDF as the PDF was made with"), "{standing:#?}");
    }
}
