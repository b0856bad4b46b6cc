//! What the window asks of a signed survey, and where its PDF goes.

use std::fs;
use std::path::Path;

use chrono::DateTime;
use deadfront_rules::edit;
use deadfront_rules::survey::{Ink, Role, Survey};

use super::*;
use crate::file;
use crate::paper::Sheet;
use crate::sign::{fingerprint, sign};

fn demo() -> Survey {
    file::read_survey(crate::demo::DEMO.as_bytes()).unwrap()
}

fn sign_as(survey: &mut Survey, name: &str) {
    let signer = Signer {
        name: name.to_owned(),
        role: Role::Surveyor,
        licence: String::new(),
        when: DateTime::parse_from_rfc3339("2026-11-25T10:00:00-05:00").unwrap(),
        ink: Ink::drawn(0.3, &[vec![(0.1, 0.1, None), (0.6, 0.2, None)]]),
    };
    sign(survey, signer, None).unwrap();
}

#[test]
fn keys_do_not_take_back_or_make_again_what_was_signed() {
    let folder = tempfile::tempdir().unwrap();
    let places = Places::below(folder.path());
    let mut session = Session::demo(&places, Pace::default()).unwrap().session;
    let mut signed = session.survey().clone();
    sign_as(&mut signed, "S. Example");
    let edit = edit::replaced(session.survey(), &signed, &say!("signed")).unwrap();
    session.edit(edit).unwrap();
    for refused in [
        unless_signed(&mut session, |session| session.undo().map(|_| ())),
        unless_signed(&mut session, |session| session.redo().map(|_| ())),
    ] {
        assert_eq!(
            refused.unwrap_err().to_string(),
            "Revision 1 was signed by S. Example, surveyor, on 2026-11-25; start a new revision to change it."
        );
    }
    assert_eq!(*session.survey(), signed);
}

fn write(survey: &Survey, file: &Path) -> String {
    handing::write_pdf(survey, file, Sheet::A4).unwrap()
}

#[test]
fn a_pdf_never_takes_the_place_of_a_signed_one_or_of_another_state() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name);
    let file = path("house.json");
    let mut survey = demo();
    assert!(write(&survey, &file).ends_with("house.pdf"));
    assert!(write(&survey, &file).ends_with("house.pdf"), "a draft of the same survey is replaced");
    let draft = fs::read(path("house.pdf")).unwrap();

    sign_as(&mut survey, "S. Example");
    let said = write(&survey, &file);
    assert!(
        said.ends_with("house-2.pdf house.pdf is signed or of another state and was left as it is."),
        "{said}"
    );
    let signed = fs::read(path("house-2.pdf")).unwrap();
    assert!(write(&survey, &file).contains("house-3.pdf"), "signed paper is not even replaced by its like");
    assert_eq!(fs::read(path("house.pdf")).unwrap(), draft);
    assert_eq!(fs::read(path("house-2.pdf")).unwrap(), signed);
    let carried = file::open(path("house-3.pdf")).unwrap();
    assert_eq!((carried.signatures.len(), fingerprint(&carried)), (1, fingerprint(&survey)));
}

#[test]
fn what_is_no_pdf_of_ours_keeps_its_name() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("house.pdf"), "notes").unwrap();
    let place = paper::place(&folder.path().join("house.json"), &demo()).unwrap();
    assert_eq!(place.path, folder.path().join("house-2.pdf"));
}

#[test]
fn the_window_says_what_the_paper_cannot_draw() {
    let folder = tempfile::tempdir().unwrap();
    let mut survey = demo();
    survey.panels[0].name = "盤 щит".to_owned();
    let said = write(&survey, &folder.path().join("house.json"));
    assert!(
        said.contains("cannot draw these characters and shows another mark in their place: 盤 (pages: "),
        "{said}"
    );
}
