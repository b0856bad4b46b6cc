//! Whether a PDF is what was made, and from which survey.

use deadfront_rules::survey::Survey;
use deadfront_rules::words::{self, Language};
use deadfront_rules::{assess, say};
use serde_json::Value;

use super::content;
use super::pdf::{Carrier, FINGERPRINT_ENTRY, LANGUAGE_ENTRY, PHOTOS_ENTRY, PdfError, SHEET_ENTRY};
use super::verify::{Examined, Mark, Remark, Standing};
use crate::file::FileError;
use crate::paper::{Sheet, is_as_written};
use crate::report::{CREATOR, Pictures, Report, is_content_name, is_name_of};

/// Why a PDF could not be examined.
#[derive(Debug, thiserror::Error)]
pub enum VerifyError {
    /// Nothing can be read from the PDF.
    #[error(transparent)]
    Pdf(#[from] PdfError),
    /// The survey, or the one in the PDF, is none.
    #[error(transparent)]
    Survey(#[from] FileError),
}

/// Examines a PDF and the survey that it carries.
///
/// # Errors
/// See [`VerifyError`].
pub fn verify_pdf(pdf: &[u8]) -> Result<Standing, VerifyError> {
    let carrier = Carrier::open(pdf)?;
    let Examined { survey, mut standing, .. } = Examined::of(&carrier.survey()?)?;
    standing.remarks.splice(0..0, paper(pdf, &carrier, &survey));
    Ok(standing)
}

/// Examines a survey file and a PDF, and whether the one was made from the other.
///
/// # Errors
/// See [`VerifyError`].
pub fn verify_both(survey: &[u8], pdf: &[u8]) -> Result<Standing, VerifyError> {
    let file = Examined::of(survey)?;
    let carrier = Carrier::open(pdf)?;
    let carried = Examined::of(&carrier.survey()?)?;
    let mut standing = file.standing;
    standing.remarks.extend(paper(pdf, &carrier, &carried.survey));
    standing.remarks.push(same(&file.survey, &file.json, &carried));
    Ok(standing)
}

/// What can be told of a PDF and the survey inside it.
fn paper(pdf: &[u8], carrier: &Carrier, survey: &Survey) -> Vec<Remark> {
    let written = written(pdf);
    // A changed PDF cannot come out the same; making it again would only take time.
    let whole = written.mark == Mark::Holds;
    let mut remarks = vec![written];
    remarks.extend(told(carrier, &content::fingerprint(survey)));
    let (pictures, about_photos) = photos(carrier, survey);
    remarks.extend(about_photos);
    remarks.extend(whole.then(|| made_again(pdf, carrier, survey, &pictures)).flatten());
    remarks
}

/// The photos in the PDF, as they are, and what can be told of them: whether each is the one that the PDF
/// was made with, and whether it is the one that the survey names by its content.
fn photos(carrier: &Carrier, survey: &Survey) -> (Pictures, Vec<Remark>) {
    if survey.photos.is_empty() {
        return (Pictures::default(), Vec::new());
    }
    let listed = carrier.entry(PHOTOS_ENTRY).and_then(|entry| Pictures::listed(&entry, &carrier.pictures()));
    let Some((pictures, lost)) = listed else {
        let remark = Remark::broken("The PDF's information does not tell which photos it was made with.");
        return (Pictures::default(), vec![remark]);
    };
    let mut remarks: Vec<Remark> = lost
        .iter()
        .map(|file| {
            Remark::broken(say!("The photo {} is not in the PDF as the PDF was made with.", file.clone()))
        })
        .collect();
    remarks.extend(about_names(&pictures));
    (pictures, remarks)
}

/// Whether the PDF is whole, by the name that it got from its content.
fn written(pdf: &[u8]) -> Remark {
    match is_as_written(pdf) {
        Some(true) => Remark::holds("The PDF is as it was made: no byte of it was changed."),
        Some(false) => Remark::broken(
            "The PDF was changed after it was made; a viewer that adds notes or signs does that too.",
        ),
        None => Remark::broken("The PDF does not bear the name that Deadfront gives; it was written anew."),
    }
}

/// Whether pages and information name the fingerprint of the attached survey.
fn told(carrier: &Carrier, fingerprint: &str) -> Vec<Remark> {
    let mut remarks = Vec::new();
    if carrier.entry(FINGERPRINT_ENTRY).as_deref() != Some(fingerprint) {
        remarks.push(Remark::broken(
            "The PDF's information names another fingerprint than that of the survey inside it.",
        ));
    }
    let (without, pages) = carrier.pages_without(&content::short(fingerprint));
    remarks.push(match without.first() {
        None if pages > 0 => Remark::holds(say!(
            "All {} pages bear the fingerprint of the survey inside the PDF, {}.",
            pages.to_string(),
            content::short(fingerprint)
        )),
        None => Remark::broken("The PDF has no pages."),
        Some(page) => Remark::broken(say!(
            "Page {} does not bear the fingerprint of the survey inside the PDF ({} of {} pages lack it).",
            page.to_string(),
            without.len().to_string(),
            pages.to_string()
        )),
    });
    remarks
}

/// A photo's name is made from its content, the survey holds the name, and the signatures hold for the
/// survey: so they hold for the photo too, as long as its content has its name.
fn about_names(pictures: &Pictures) -> Vec<Remark> {
    let mut own = 0_usize;
    let mut remarks = Vec::new();
    for (file, bytes) in pictures.shown() {
        if is_name_of(file, bytes) {
            own += 1;
        } else if is_content_name(file) {
            let words = say!(
                "The photo {} in the PDF is not the one that the survey names by its content.",
                file.to_owned()
            );
            remarks.push(Remark::broken(words.to_string()));
        } else {
            let words = say!(
                "The photo {} has no name made from its content, so no signature holds for it.",
                file.to_owned()
            );
            remarks.push(Remark::open(words.to_string()));
        }
    }
    if own > 0 {
        let words =
            say!("{} photos in the PDF are the ones that the survey names by their content (SHA-256).", own);
        remarks.insert(0, Remark::holds(words.to_string()));
    }
    remarks
}

/// Makes the PDF again from its survey: the same bytes prove every page. Only the version that made
/// it can do that.
fn made_again(pdf: &[u8], carrier: &Carrier, survey: &Survey, pictures: &Pictures) -> Option<Remark> {
    if carrier.entry("Creator").as_deref() != Some(CREATOR) {
        return Some(Remark::open(
            "Another version of Deadfront made this PDF, so its pages cannot be compared with the survey.",
        ));
    }
    let sheet = match carrier.entry(SHEET_ENTRY)?.as_str() {
        "letter" => Sheet::Letter,
        "a4" => Sheet::A4,
        _ => return None,
    };
    // Its names of nameless things are made while it is assessed.
    let _spoken = words::speak(Language::of_code(&carrier.entry(LANGUAGE_ENTRY)?)?);
    let assessment = assess(survey);
    let report = Report { survey, assessment: &assessment, made: carrier.made()?, sheet, pictures };
    let again = report.pdf().ok()?;
    Some(if again.bytes == pdf {
        Remark::holds("Made again from the survey inside it, the PDF is the same, byte for byte.")
    } else {
        Remark::broken(
            "Made again from the survey inside it, the PDF is another: its pages were not made from it.",
        )
    })
}

/// Whether the PDF was made from this file.
fn same(survey: &Survey, json: &Value, carried: &Examined) -> Remark {
    let revision = (survey.revision, carried.survey.revision);
    let same_content = content::fingerprint(survey) == content::fingerprint(&carried.survey);
    if content::hash(json) == content::hash(&carried.json) || *survey == carried.survey {
        Remark::holds("The PDF was made from this survey file, as it is now.")
    } else if same_content {
        Remark::open(say!(
            "The PDF was made from this revision, {}, but signatures or answers were added or taken away since.",
            revision.0.to_string()
        ))
    } else if revision.0 != revision.1 {
        Remark::broken(say!(
            "The PDF was made from revision {}; this survey file is revision {}.",
            revision.1.to_string(),
            revision.0.to_string()
        ))
    } else {
        Remark::broken(say!(
            "The PDF was not made from this survey file: both are revision {}, but their facts differ.",
            revision.0.to_string()
        ))
    }
}
