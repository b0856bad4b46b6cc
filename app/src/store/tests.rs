//! Sessions on real files: edits, ends of every kind, and the next start.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

use deadfront_rules::edit::{self, Edit};
use deadfront_rules::survey::{Id, Survey};
use tempfile::TempDir;

use super::*;
use crate::file;

/// Never writes the whole file by itself, so that the journal is all there is.
const NEVER: Pace = Pace {
    after: Duration::from_secs(3600),
    at_most: Duration::from_secs(3600),
    again: Duration::from_millis(20),
};

/// A folder with the demo house in it.
struct House {
    folder: TempDir,
}

impl House {
    fn new() -> Self {
        let house = Self { folder: tempfile::tempdir().unwrap() };
        fs::create_dir(house.folder.path().join("surveys")).unwrap();
        fs::write(house.path(), crate::demo::DEMO).unwrap();
        house
    }

    fn path(&self) -> PathBuf {
        self.folder.path().join("surveys/house.json")
    }

    fn places(&self) -> Places {
        Places::below(self.folder.path())
    }

    fn side(&self) -> PathBuf {
        self.folder.path().join("surveys/.house.json.deadfront")
    }

    fn journal(&self) -> PathBuf {
        self.side().join("journal.jsonl")
    }

    fn open(&self) -> (Session, Vec<String>) {
        let opened = Session::open(&self.path(), &self.places(), NEVER).unwrap();
        (opened.session, opened.said.iter().map(ToString::to_string).collect())
    }

    /// What is on the disk at this moment, as a computer finds it that lost its power now.
    fn after_power_loss(&self) -> Self {
        let folder = tempfile::tempdir().unwrap();
        copy_all(self.folder.path(), folder.path());
        Self { folder }
    }
}

fn copy_all(from: &Path, to: &Path) {
    for entry in fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let target = to.join(entry.file_name());
        if entry.file_type().unwrap().is_dir() {
            fs::create_dir_all(&target).unwrap();
            copy_all(&entry.path(), &target);
        } else {
            fs::copy(entry.path(), target).unwrap();
        }
    }
}

/// Writes a number on the label of a way.
fn label(survey: &Survey, number: usize) -> Edit {
    let ways = &survey.panels[0].ways;
    edit::set(survey, &ways[number % ways.len()].id, "label", &format!("number {number}")).unwrap()
}

fn enter(session: &mut Session, numbers: std::ops::RangeInclusive<usize>) {
    for number in numbers {
        let edit = label(session.survey(), number);
        assert_eq!(session.edit(edit).unwrap(), Kept::OnDisk);
    }
}

#[test]
fn every_acknowledged_edit_is_there_after_a_loss_of_power_and_can_be_undone() {
    let house = House::new();
    let (mut session, said) = house.open();
    assert_eq!(said, [""; 0]);
    let untouched = session.survey().clone();
    enter(&mut session, 1..=30);
    session.undo().unwrap();
    session.undo().unwrap();
    session.redo().unwrap();
    assert_eq!(fs::read_to_string(house.path()).unwrap(), crate::demo::DEMO, "the file is not written yet");

    let later = house.after_power_loss();
    let (mut again, said) = later.open();
    assert_eq!(again.survey(), session.survey());
    assert_eq!(
        said,
        [
            "33 edits of the last session were not in the file yet and are back, up to the last: a step was made again"
        ]
    );
    assert_eq!(again.history(), session.history());
    assert_eq!(again.redo_name(), session.redo_name());
    for _ in 0..29 {
        assert!(again.undo().unwrap().is_some());
    }
    assert_eq!(again.undo().unwrap(), None);
    assert_eq!(*again.survey(), untouched);
    assert!(again.save_now());
    assert_eq!(file::open(later.path()).unwrap(), untouched);
}

#[test]
fn what_was_brought_back_survives_the_next_loss_of_power_too() {
    let house = House::new();
    let (mut session, _) = house.open();
    enter(&mut session, 1..=5);
    let second = house.after_power_loss();
    let (mut session, _) = second.open();
    enter(&mut session, 6..=9);
    let third = second.after_power_loss();
    let (again, said) = third.open();
    assert_eq!(again.survey(), session.survey());
    assert_eq!(again.history().1, 9);
    assert_eq!(said.len(), 1);
}

#[test]
fn a_file_saved_in_the_middle_gets_only_the_rest() {
    let house = House::new();
    let (mut session, _) = house.open();
    enter(&mut session, 1..=5);
    assert!(session.save_now());
    enter(&mut session, 6..=7);
    let (again, said) = house.after_power_loss().open();
    assert_eq!(again.survey(), session.survey());
    assert!(said[0].starts_with("2 edits of the last session"), "{said:?}");
    assert_eq!(again.history().1, 7);
}

#[test]
fn a_torn_last_line_is_dropped_at_every_length() {
    let house = House::new();
    let (mut session, _) = house.open();
    enter(&mut session, 1..=2);
    let whole = fs::read(house.journal()).unwrap();
    let before = session.survey().clone();
    enter(&mut session, 3..=3);
    let longer = fs::read(house.journal()).unwrap();
    for length in [whole.len() + 1, whole.len() + 10, whole.len() + 40, longer.len() - 1] {
        let torn = house.after_power_loss();
        fs::write(torn.journal(), &longer[..length]).unwrap();
        let (mut again, said) = torn.open();
        assert_eq!(*again.survey(), before, "{length}");
        assert!(said.iter().any(|said| said.contains("one more entry was being made")), "{said:?}");
        // The next line does not stick to the torn one.
        enter(&mut again, 4..=4);
        assert_eq!(torn.after_power_loss().open().0.survey(), again.survey());
    }
    let zeros = house.after_power_loss();
    fs::write(zeros.journal(), [&whole[..], &[0; 200]].concat()).unwrap();
    assert_eq!(*zeros.open().0.survey(), before, "a file system may leave noughts behind");
}

#[test]
fn a_journal_that_belongs_to_another_state_is_kept_aside_and_said() {
    let house = House::new();
    let (mut session, _) = house.open();
    enter(&mut session, 1..=3);
    let later = house.after_power_loss();
    let journal = fs::read(later.journal()).unwrap();
    let mut other = session.survey().clone();
    other.site.purpose = "changed by hand".into();
    file::save(later.path(), &other).unwrap();
    let (mut again, said) = later.open();
    assert_eq!(*again.survey(), other);
    assert!(said[0].contains("edits (3) that do not fit this file"), "{said:?}");
    let kept = later.side().join("kept");
    let names: Vec<_> = fs::read_dir(&kept).unwrap().map(|entry| entry.unwrap().path()).collect();
    assert_eq!(names.len(), 1);
    assert_eq!(fs::read(&names[0]).unwrap(), journal);
    assert!(said[0].contains(&names[0].display().to_string()));
    enter(&mut again, 1..=1);
    again.close().unwrap();
    assert_eq!(fs::read(&names[0]).unwrap(), journal, "the end of the session leaves it alone");
}

#[test]
fn a_journal_damaged_in_the_middle_gives_what_is_good_and_is_kept_whole() {
    let house = House::new();
    let (mut session, _) = house.open();
    enter(&mut session, 1..=2);
    let good = session.survey().clone();
    enter(&mut session, 3..=6);
    let later = house.after_power_loss();
    let mut lines: Vec<String> =
        fs::read_to_string(later.journal()).unwrap().lines().map(|line| format!("{line}\n")).collect();
    lines[3] = lines[3].replace("number 3", "number 9");
    fs::write(later.journal(), lines.concat()).unwrap();
    let (again, said) = later.open();
    assert_eq!(*again.survey(), good);
    assert!(said.iter().any(|said| said.contains("a part of the journal cannot be read")), "{said:?}");
    assert_eq!(fs::read_dir(later.side().join("kept")).unwrap().count(), 1);
}

#[test]
fn noise_in_place_of_a_journal_never_hinders_the_survey() {
    for noise in [&b"no journal"[..], b"\n\n\n", b"0123456789abcdef {}\n", &[0xff; 5000]] {
        let house = House::new();
        fs::create_dir_all(house.side()).unwrap();
        fs::write(house.journal(), noise).unwrap();
        let (mut session, said) = house.open();
        assert_eq!(file::to_json(session.survey()).trim_end(), crate::demo::DEMO.trim_end());
        assert_eq!(said.len(), 1, "{said:?}");
        enter(&mut session, 1..=1);
    }
}

#[test]
fn a_second_window_is_refused_and_the_first_is_not_disturbed() {
    let house = House::new();
    let (mut session, _) = house.open();
    let refused = Session::open(&house.path(), &house.places(), NEVER).unwrap_err();
    assert_eq!(
        refused.to_string(),
        "house.json is open in another window. Go on there, or close it there first."
    );
    enter(&mut session, 1..=1);
    session.close().unwrap();
    assert!(Session::open(&house.path(), &house.places(), NEVER).is_ok());
}

#[test]
fn the_end_of_a_session_leaves_the_file_whole_and_no_journal() {
    let house = House::new();
    let (mut session, _) = house.open();
    enter(&mut session, 1..=3);
    let survey = session.survey().clone();
    assert_eq!(session.close().unwrap(), Closed::Saved);
    assert_eq!(file::open(house.path()).unwrap(), survey);
    assert!(!house.journal().exists());
    let (session, said) = house.open();
    assert_eq!((said.len(), session.history().1), (0, 0));
}

#[test]
fn a_session_without_edits_leaves_the_file_as_it_was() {
    let house = House::new();
    let before = fs::metadata(house.path()).unwrap().modified().unwrap();
    let (session, _) = house.open();
    assert_eq!(session.close().unwrap(), Closed::Saved);
    assert_eq!(fs::metadata(house.path()).unwrap().modified().unwrap(), before);
}

#[test]
fn the_file_follows_by_itself_and_states_are_kept() {
    let house = House::new();
    let soon = Pace { after: Duration::from_millis(5), at_most: Duration::from_millis(20), ..NEVER };
    let mut session = Session::open(&house.path(), &house.places(), soon).unwrap().session;
    enter(&mut session, 1..=3);
    let begun = std::time::Instant::now();
    while !session.is_saved() {
        assert!(begun.elapsed().as_secs() < 20, "the file never followed");
        std::thread::sleep(Duration::from_millis(5));
    }
    assert_eq!(file::open(house.path()).unwrap(), *session.survey());
    session.save_now();
    let states = session.kept_states();
    assert_eq!(states[0].survey().unwrap(), *session.survey());
    assert_eq!(
        file::to_json(&states.last().unwrap().survey().unwrap()).trim_end(),
        crate::demo::DEMO.trim_end()
    );
}

#[test]
fn what_another_program_wrote_meanwhile_is_kept_beside() {
    let house = House::new();
    let (mut session, _) = house.open();
    enter(&mut session, 1..=1);
    fs::write(house.path(), "written by another program").unwrap();
    assert!(session.save_now());
    assert!(session.tick()[0].to_string().contains("house (changed elsewhere 1).json"));
    let beside = house.path().with_file_name("house (changed elsewhere 1).json");
    assert_eq!(fs::read_to_string(beside).unwrap(), "written by another program");
    assert_eq!(file::open(house.path()).unwrap(), *session.survey());
    enter(&mut session, 2..=2);
    assert!(session.save_now());
    assert!(!house.path().with_file_name("house (changed elsewhere 2).json").exists());
}

#[test]
fn a_new_survey_is_named_after_the_house_and_never_takes_the_place_of_another() {
    let folder = tempfile::tempdir().unwrap();
    let places = Places::below(folder.path());
    let today = chrono::NaiveDate::from_ymd_opt(2026, 11, 25).unwrap();
    let first = Session::new("12 Oak: Street", None, today, &places, NEVER).unwrap().session;
    let second = Session::new("12 Oak: Street", None, today, &places, NEVER).unwrap().session;
    assert_eq!(first.path().file_name().unwrap(), "12 Oak Street.json");
    assert_eq!(second.path().file_name().unwrap(), "12 Oak Street 2.json");
    assert_eq!(
        (first.survey().site.name.as_str(), first.survey().site.date),
        ("12 Oak: Street", Some(today))
    );
    assert!(matches!(
        &recents(&places)[..],
        [Recent::Survey { missing: false, .. }, Recent::Survey { .. }, Recent::Demo]
    ));
    let refused = Session::new("x", Some(Path::new("/dev/null/no")), today, &places, NEVER).unwrap_err();
    assert!(refused.to_string().starts_with("no survey can be begun in /dev/null/no: "), "{refused}");
}

#[test]
fn the_demo_house_keeps_its_edits() {
    let folder = tempfile::tempdir().unwrap();
    let places = Places::below(folder.path());
    let mut demo = Session::demo(&places, NEVER).unwrap().session;
    enter(&mut demo, 1..=1);
    let survey = demo.survey().clone();
    demo.close().unwrap();
    assert_eq!(*Session::demo(&places, NEVER).unwrap().session.survey(), survey);
    assert_eq!(recents(&places), [Recent::Demo]);
}

#[test]
fn a_copy_never_takes_the_place_of_the_survey_or_unasked_of_a_file() {
    let house = House::new();
    let (session, _) = house.open();
    let to = house.path().with_file_name("copy.json");
    let said = session.save_copy(to.clone(), false).wait().unwrap().unwrap();
    assert_eq!(said.to_string(), format!("the copy is in {}", to.display()));
    assert_eq!(file::open(&to).unwrap(), *session.survey());
    let refused = session.save_copy(to.clone(), false).wait().unwrap().unwrap_err();
    assert!(refused.to_string().contains("there is a file of that name already"), "{refused}");
    assert!(session.save_copy(to, true).wait().unwrap().is_ok());
    assert!(session.save_copy(house.path(), true).wait().unwrap().is_err());
}

#[test]
fn a_file_that_cannot_be_opened_is_left_alone_and_its_states_are_offered() {
    let house = House::new();
    let (mut session, _) = house.open();
    enter(&mut session, 1..=1);
    session.close().unwrap();
    fs::write(house.path(), "{ broken").unwrap();
    assert!(matches!(Session::open(&house.path(), &house.places(), NEVER), Err(NotOpened::File(_))));
    assert_eq!(fs::read_to_string(house.path()).unwrap(), "{ broken");
    assert_eq!(earlier_states(&house.path(), &house.places()).len(), 2);
    let nothing = Session::open(Path::new("/no/such.json"), &house.places(), NEVER).unwrap_err();
    assert!(nothing.to_string().contains("there is no such file"), "{nothing}");
}

#[test]
fn an_edit_that_does_not_fit_changes_nothing() {
    let house = House::new();
    let (mut session, _) = house.open();
    let stale = label(session.survey(), 1);
    enter(&mut session, 1..=1);
    let later = label(session.survey(), 1 + session.survey().panels[0].ways.len());
    session.edit(later).unwrap();
    let before = session.survey().clone();
    assert!(session.edit(stale).is_err());
    assert_eq!(*session.survey(), before);
    assert_eq!(session.history().1, 2);
    let nowhere = Id::new("nowhere").unwrap();
    assert!(edit::set(session.survey(), &nowhere, "label", "x").is_err());
}

#[test]
fn a_photo_is_an_edit_like_any_other_and_goes_along_with_a_copy() {
    let house = House::new();
    let (mut session, _) = house.open();
    let source = house.folder.path().join("nameplate.png");
    image::RgbImage::new(30, 20).save(&source).unwrap();
    let taken = crate::photo::take_in(session.path(), source, false).wait().unwrap().unwrap();
    let panel = session.survey().panels[0].id.clone();
    let (kept, id) = session.attach(&panel, &taken).unwrap();
    assert_eq!(kept, Kept::OnDisk);
    let photo = &session.survey().photos[0];
    assert_eq!((&photo.id, &photo.of, &photo.file), (&id, &panel, &taken.file));
    let to = house.folder.path().join("elsewhere.json");
    session.save_copy(to, false).wait().unwrap().unwrap();
    assert!(house.folder.path().join("elsewhere-photos").join(&taken.file).is_file());
    fs::remove_file(crate::photo::folder_of(session.path()).join(&taken.file)).unwrap();
    let said = session.save_copy(house.folder.path().join("third.json"), false).wait().unwrap().unwrap();
    assert!(said.to_string().contains("without 1 photos"), "{said}");
    session.undo().unwrap();
    assert!(session.survey().photos.is_empty());
}

#[cfg(unix)]
#[test]
fn a_journal_that_somebody_deletes_is_written_again() {
    let house = House::new();
    let (mut session, _) = house.open();
    enter(&mut session, 1..=2);
    fs::remove_dir_all(house.side()).unwrap();
    enter(&mut session, 3..=3);
    assert_eq!(house.after_power_loss().open().0.survey(), session.survey());
}

#[test]
fn two_journals_of_one_survey_are_joined() {
    let house = House::new();
    let (mut session, _) = house.open();
    enter(&mut session, 1..=4);
    let later = house.after_power_loss();
    // As when the stick filled up within a line, and the whole journal went to the computer.
    let whole = fs::read(later.journal()).unwrap();
    let own = Places::below(later.folder.path()).data.join("surveys");
    let side = super::side::Side::of(&fs::canonicalize(later.path()).unwrap(), &later.places());
    assert!(side.folders()[1].starts_with(own));
    fs::create_dir_all(&side.folders()[1]).unwrap();
    fs::write(side.folders()[1].join("journal.jsonl"), &whole).unwrap();
    fs::write(later.journal(), &whole[..whole.len() * 2 / 3]).unwrap();
    let (again, said) = later.open();
    assert_eq!(again.survey(), session.survey());
    assert_eq!(again.history(), session.history());
    assert_eq!(said.len(), 1, "{said:?}");
    again.close().unwrap();
    assert!(!side.folders()[1].join("journal.jsonl").exists());
}

/// A signed survey with one photo, as the PDF that somebody is sent; the PDF's path and the photo's name.
fn received(house: &House) -> (PathBuf, String) {
    use crate::paper::Sheet;
    let (mut session, _) = house.open();
    let source = house.folder.path().join("nameplate.png");
    image::RgbImage::new(30, 20).save(&source).unwrap();
    let taken = crate::photo::take_in(session.path(), source, false).wait().unwrap().unwrap();
    let panel = session.survey().panels[0].id.clone();
    session.attach(&panel, &taken).unwrap();
    sign(&mut session);
    let (survey, made) = (session.survey(), chrono::DateTime::UNIX_EPOCH.fixed_offset());
    let pictures = crate::photo::pictures(survey, &crate::photo::folder_of(session.path()));
    let assessment = deadfront_rules::assess(survey);
    let report = crate::report::Report {
        survey,
        assessment: &assessment,
        made,
        sheet: Sheet::A4,
        pictures: &pictures,
    };
    let inbox = house.folder.path().join("inbox");
    fs::create_dir(&inbox).unwrap();
    let pdf = inbox.join("house.pdf");
    fs::write(&pdf, report.pdf().unwrap().bytes).unwrap();
    (pdf, taken.file)
}

fn sign(session: &mut Session) {
    use deadfront_rules::survey::{Ink, Role};
    let signer = crate::sign::Signer {
        name: "S. Example".to_owned(),
        role: Role::Surveyor,
        licence: String::new(),
        when: chrono::DateTime::UNIX_EPOCH.fixed_offset(),
        ink: Ink::drawn(0.3, &[vec![(0.1, 0.1, None), (0.6, 0.2, None)]]),
    };
    let mut after = session.survey().clone();
    crate::sign::sign(&mut after, signer, None).unwrap();
    replace(session, &after).unwrap();
}

fn replace(session: &mut Session, after: &Survey) -> Result<Kept, edit::Refused> {
    let what = deadfront_rules::finding::Said::plain("the survey is replaced");
    session.edit(edit::replaced(session.survey(), after, &what).unwrap())
}

fn answer_first(session: &mut Session) {
    use deadfront_rules::survey::{Answer, AnswerKind};
    let mut after = session.survey().clone();
    let assessment = deadfront_rules::assess(&after);
    let finding = assessment.open().next().unwrap();
    let given = Answer {
        check: finding.check.to_owned(),
        item: finding.subject.id.clone(),
        answer: AnswerKind::Agree,
        reason: String::new(),
        by: "E. Example".to_owned(),
        when: chrono::DateTime::UNIX_EPOCH.fixed_offset(),
    };
    crate::sign::answer(&mut after, &assessment, given).unwrap();
    replace(session, &after).unwrap();
}

#[test]
fn a_received_pdf_is_worked_on_in_a_file_beside_it_and_stays_as_it_is() {
    let house = House::new();
    let (pdf, photo) = received(&house);
    let bytes = fs::read(&pdf).unwrap();
    let Opened { mut session, said } = Session::open(&pdf, &house.places(), NEVER).unwrap();
    let json = fs::canonicalize(pdf.with_extension("json")).unwrap();
    assert_eq!(session.path(), json);
    assert_eq!(
        said.iter().map(ToString::to_string).collect::<Vec<_>>(),
        [format!(
            "The survey in house.pdf is worked on in {}; the PDF stays as it is.",
            pdf.with_extension("json").display()
        )]
    );
    assert_eq!(fs::read(&json).unwrap(), crate::sign::survey_in(&bytes).unwrap());
    assert!(pdf.with_file_name("house-photos").join(photo).is_file(), "its photo lies beside it");

    answer_first(&mut session);
    assert!(session.save_now());
    assert_eq!(session.banner(), None);
    let survey = session.survey().clone();
    session.close().unwrap();
    for again in [&json, &pdf] {
        let session = Session::open(again, &house.places(), NEVER).unwrap().session;
        assert_eq!((session.path(), session.survey()), (json.as_path(), &survey), "{}", again.display());
    }
    assert_eq!(fs::read(&pdf).unwrap(), bytes);
}

#[test]
fn another_survey_of_the_pdf_s_name_is_left_alone() {
    let house = House::new();
    let (pdf, photo) = received(&house);
    let beside = pdf.with_extension("json");
    fs::write(&beside, crate::demo::DEMO).unwrap();
    let session = Session::open(&pdf, &house.places(), NEVER).unwrap().session;
    let documents = fs::canonicalize(house.places().documents).unwrap();
    assert_eq!(session.path(), documents.join("house.json"));
    assert!(documents.join("house-photos").join(photo).is_file());
    assert_eq!(fs::read_to_string(&beside).unwrap(), crate::demo::DEMO);
    drop(session);
    let again = Session::open(&pdf, &house.places(), NEVER).unwrap().session;
    assert_eq!(again.path(), documents.join("house.json"), "it is taken out once");
}

#[test]
fn no_step_and_no_late_photo_goes_past_a_signature() {
    let house = House::new();
    let (mut session, _) = house.open();
    enter(&mut session, 1..=2);
    session.undo().unwrap();
    let late = label(session.survey(), 3);
    sign(&mut session);
    let signed = session.survey().clone();
    let panel = signed.panels[0].id.clone();
    let taken = crate::photo::Taken { file: "late.jpg".to_owned(), caption: String::new(), size: (1, 1) };
    let unsigned = Survey { signatures: Vec::new(), ..signed.clone() };
    for refused in [
        session.undo().map(|_| ()),
        session.redo().map(|_| ()).and_then(|()| session.undo().map(|_| ())),
        session.edit(late).map(|_| ()),
        session.attach(&panel, &taken).map(|_| ()),
        replace(&mut session, &unsigned).map(|_| ()),
    ] {
        assert_eq!(
            refused.unwrap_err().to_string(),
            "Revision 1 was signed by S. Example, surveyor, on 1970-01-01; start a new revision to change it."
        );
    }
    answer_first(&mut session);
    assert_eq!(session.survey().signatures, signed.signatures);
    assert!(session.undo().is_err(), "an answer is withdrawn, not undone");

    let next = crate::sign::new_revision(session.survey()).unwrap();
    replace(&mut session, &next).unwrap();
    enter(&mut session, 3..=3);
    session.undo().unwrap();
    let refused = session.undo().unwrap_err().to_string();
    assert_eq!(refused, "A signature stands here; undo and redo do not go past it.");
    assert_eq!(*session.survey(), next);
}
