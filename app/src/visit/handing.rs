//! Handing over: the paper, the hand-out, signatures, a new revision.

use std::path::Path;

use chrono::Local;
use deadfront_rules::assess;
use deadfront_rules::edit;
use deadfront_rules::finding::Said;
use deadfront_rules::house::{Index, describe};
use deadfront_rules::say;
use deadfront_rules::sizing::cable_list;
use deadfront_rules::survey::{Answer, Id, Ink, Role, Survey, Worded as _};
use deadfront_ui::{Deed, SIGN, Told};

use super::{Visit, paper, sentences};
use crate::file::photo_folder;
use crate::paper::Sheet;
use crate::report::Report;
use crate::sign::{Signer, TabletKey, answer, fingerprint, new_revision, short, sign, withdraw};
use crate::store::{Job, Poll, Session};
use crate::{file, handout, photo};

const PDF_LETTER: &str = "pdf-letter";
const PDF_A4: &str = "pdf-a4";
const HAND_OUT: &str = "hand-out";
const REVISION: &str = "revision";

/// Work on what is handed over; what to say of what it wrote, or why it wrote nothing.
pub(super) type Handing = Job<Result<String, String>>;

impl Visit {
    /// Shows what stands in the Handover place.
    pub(super) fn show_handover(&self) {
        let Some(session) = &self.session else {
            self.window.set_handover(&[], &[]);
            return;
        };
        let survey = session.survey();
        self.window.set_handover(&told(survey), &deeds(survey));
    }

    pub(super) fn hand_over(&mut self, key: &str) {
        let Some(session) = &self.session else { return };
        if matches!(key, PDF_LETTER | PDF_A4 | HAND_OUT) {
            // It takes a while with many photos, and nothing else on the page moves.
            self.window.say(&say!("It is being written…").to_string());
        }
        match key {
            PDF_LETTER => self.handing = Some(pdf(session, Sheet::Letter)),
            PDF_A4 => self.handing = Some(pdf(session, Sheet::A4)),
            HAND_OUT => self.handing = Some(everything(session)),
            REVISION => self.begin_revision(),
            _ => {}
        }
    }

    /// Signs the survey as it stands; a problem is said where the hand is.
    pub(super) fn sign(&mut self, signer: Signer) {
        let Some(session) = &self.session else { return };
        let key = TabletKey::open_or_make(&self.places.data).ok();
        let before = session.survey();
        let mut after = before.clone();
        let what = say!("revision {} signed by {}", before.revision.to_string(), &signer.name);
        match sign(&mut after, signer, key.as_ref()) {
            Err(why) => self.window.signed(&why.sentence()),
            Ok(()) => {
                self.replace(&after, &what);
                self.window.signed("");
            }
        }
    }

    /// Keeps an answer to a finding; why it cannot be kept is said where it was given.
    pub(super) fn answer(&mut self, given: Answer) {
        let Some(session) = &self.session else { return };
        let mut after = session.survey().clone();
        let assessment = assess(&after);
        let what = say!("answer to a finding at {}", self.name_of(&given.item));
        match answer(&mut after, &assessment, given) {
            Err(why) => self.window.answered(&why.sentence()),
            Ok(()) => self.keep_answers(&after, &what),
        }
    }

    pub(super) fn withdraw(&mut self, check: &str, item: &Id) {
        let Some(session) = &self.session else { return };
        let mut after = session.survey().clone();
        let what = say!("answer to a finding at {} taken back", self.name_of(item));
        match withdraw(&mut after, check, item) {
            Err(why) => self.window.answered(&why.sentence()),
            Ok(()) => self.keep_answers(&after, &what),
        }
    }

    fn keep_answers(&mut self, after: &Survey, what: &Said) {
        self.window.answered("");
        self.replace(after, what);
    }

    fn name_of(&self, item: &Id) -> String {
        let Some(session) = &self.session else { return item.to_string() };
        let survey = session.survey();
        describe(survey, &Index::of(survey), item).1
    }

    /// Takes up a signed survey again under the next number.
    fn begin_revision(&mut self) {
        let Some(session) = &self.session else { return };
        match new_revision(session.survey()) {
            Err(why) => self.window.say(&why.sentence()),
            Ok(next) => {
                let what = say!("revision {} begun", next.revision.to_string());
                self.replace(&next, &what);
            }
        }
    }

    fn replace(&mut self, after: &Survey, what: &Said) {
        let Some(session) = &mut self.session else { return };
        let step = edit::replaced(session.survey(), after, what).and_then(|edit| session.edit(edit));
        match step {
            Ok(_) => self.show_change(),
            Err(refused) => self.window.say(&refused.to_string()),
        }
    }

    /// Collects what was written beside the window.
    pub(super) fn collect_handing(&mut self) {
        let Some(job) = &self.handing else { return };
        let said = match job.poll() {
            Poll::Working => return,
            Poll::Done(Ok(said) | Err(said)) => said,
            Poll::Failed => say!("It could not be written.").to_string(),
        };
        self.handing = None;
        self.window.say(&said);
    }
}

/// Strokes from the window, in heights of its pad, as ink.
pub(super) fn ink(strokes: &[Vec<(f32, f32)>]) -> Option<Ink> {
    /// The pad is at least this many heights wide; a wider stroke makes it wider.
    const LEAST_WIDTH: f32 = 3.0;
    let width = strokes.iter().flatten().map(|(x, _)| *x).fold(LEAST_WIDTH, f32::max);
    let point = |(x, y): &(f32, f32)| (f64::from(x / width), f64::from(y / width), None);
    let strokes: Vec<Vec<_>> = strokes.iter().map(|stroke| stroke.iter().map(point).collect()).collect();
    Ink::drawn(f64::from(1.0 / width), &strokes)
}

fn pdf(session: &Session, sheet: Sheet) -> Handing {
    let (survey, path) = (session.shared(), session.path().to_owned());
    Job::start(move || write_pdf(&survey, &path, sheet))
}

/// Writes the PDF of the survey in this file, and tells where and what it could not draw.
pub(super) fn write_pdf(survey: &Survey, path: &Path, sheet: Sheet) -> Result<String, String> {
    let assessment = assess(survey);
    let made = Local::now().fixed_offset();
    let pictures = photo::pictures(survey, &photo_folder(path));
    let report = Report { survey, assessment: &assessment, made, sheet, pictures: &pictures };
    let written = report.pdf().map_err(|error| error.to_string())?;
    let place = paper::place(path, survey).ok_or_else(|| say!("It could not be written.").to_string())?;
    put(&place.path, &written.bytes)?;
    let mut said = vec![say!("Written: {}", place.path.display().to_string())];
    said.extend(place.spared);
    said.extend(paper::notes(&written.warnings));
    Ok(sentences(&said))
}

fn everything(session: &Session) -> Handing {
    let (survey, path) = (session.shared(), session.path().to_owned());
    Job::start(move || {
        let made = Local::now().fixed_offset();
        let gathered = handout::gather(&survey, &photo_folder(&path), Sheet::Letter, made)
            .map_err(|error| error.to_string())?;
        let to = path.with_extension("zip");
        handout::to_archive(&gathered, &to).map_err(|error| error.to_string())?;
        let mut said = vec![match gathered.missing_photos.as_slice() {
            [] => say!("Written: {}", to.display().to_string()),
            missing => say!("Written, but photos are missing: {}", missing.join("; ")),
        }];
        said.extend(paper::notes(&gathered.warnings));
        Ok(sentences(&said))
    })
}

fn put(path: &Path, bytes: &[u8]) -> Result<(), String> {
    use std::io::Write as _;
    file::replace(path, |file| file.write_all(bytes)).map_err(|error| {
        say!("The PDF cannot be written to {}: {}", path.display().to_string(), error.to_string()).to_string()
    })
}

fn deeds(survey: &Survey) -> Vec<Deed> {
    let mut deeds = vec![
        Deed { key: PDF_LETTER, text: say!("PDF on Letter") },
        Deed { key: PDF_A4, text: say!("PDF on A4") },
        Deed { key: HAND_OUT, text: say!("Everything, packed") },
    ];
    if survey.accepted_by().is_none() {
        let text = if survey.frozen_by().is_some() { say!("Sign too, or accept") } else { say!("Sign") };
        deeds.push(Deed { key: SIGN, text });
    }
    if survey.frozen_by().is_some() {
        deeds.push(Deed { key: REVISION, text: say!("New revision") });
    }
    deeds
}

fn told(survey: &Survey) -> Vec<Told> {
    let mut standing = Told {
        title: say!("Revision {}", survey.revision.to_string()).to_string(),
        sentences: vec![match survey.frozen_by() {
            None => say!("Nobody has signed it yet; it can be changed."),
            Some(_) => say!("It is signed, and so it can be read and handed out, not changed. A new revision begins from it."),
        }
        .to_string()],
        lines: vec![(say!("Fingerprint").to_string(), short(&fingerprint(survey)))],
    };
    for signature in &survey.signatures {
        let licence = if signature.role == Role::Electrician {
            format!(", {}", signature.licence)
        } else {
            String::new()
        };
        let when = signature.when.format("%Y-%m-%d %H:%M %:z");
        standing.lines.push((signature.role.worded(), format!("{}{licence}, {when}", signature.name)));
    }
    vec![standing, earlier(survey), cables(survey)]
}

fn earlier(survey: &Survey) -> Told {
    let lines = survey.revisions.iter().rev().map(|revision| {
        let name = say!("Revision {}", revision.number.to_string()).to_string();
        (name, format!("{}, {}", revision.signers.join("; "), revision.signed.format("%Y-%m-%d")))
    });
    let lines: Vec<(String, String)> = lines.collect();
    let title = if lines.is_empty() { String::new() } else { say!("Signed before").to_string() };
    Told { title, sentences: Vec::new(), lines }
}

fn cables(survey: &Survey) -> Told {
    let list = cable_list(survey, false);
    let lines = list.purchases.iter().map(|purchase| {
        let length = say!("{} with waste", purchase.with_waste).to_string();
        (purchase.stock.words().to_string(), length)
    });
    let lines: Vec<(String, String)> = lines.collect();
    let sentences =
        if lines.is_empty() { vec![say!("No run is planned yet.").to_string()] } else { Vec::new() };
    Told { title: say!("Cable of the planned runs").to_string(), sentences, lines }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hand_wider_than_the_pad_is_kept_whole() {
        let wide = ink(&[vec![(0.0, 0.2), (6.0, 0.8)]]).unwrap();
        let narrow = ink(&[vec![(0.0, 0.2), (1.0, 0.8)]]).unwrap();
        assert!(wide.height < narrow.height, "{} {}", wide.height, narrow.height);
        assert!(wide.fault().is_none() && narrow.fault().is_none());
        assert!(ink(&[]).is_none());
    }
}
