//! Whether a survey still is the one that was signed.

use deadfront_rules::say;
use deadfront_rules::survey::{Revision, Signature, Survey};
use serde::Serialize;
use serde_json::Value;

use super::canonical::hex;
use super::content;
use super::key::{holds, key_fingerprint};
use super::pen::told;
use crate::file::{FileError, read_survey};
use crate::paper::Words;

/// How good a remark is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Mark {
    /// As it was signed or made.
    Holds,
    /// Nothing wrong, but nothing that could be relied on.
    Open,
    /// Changed after it was signed or made.
    Broken,
}

/// One plain sentence about a survey or its PDF.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Remark {
    /// How good it is.
    pub mark: Mark,
    /// The sentence.
    pub text: String,
}

impl Remark {
    pub(super) fn holds(text: impl Into<Words>) -> Self {
        Self { mark: Mark::Holds, text: text.into().0 }
    }
    pub(super) fn open(text: impl Into<Words>) -> Self {
        Self { mark: Mark::Open, text: text.into().0 }
    }
    pub(super) fn broken(text: impl Into<Words>) -> Self {
        Self { mark: Mark::Broken, text: text.into().0 }
    }
}

/// What became of a survey or PDF since it was signed and made.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Standing {
    /// The house.
    pub house: String,
    /// The revision.
    pub revision: u32,
    /// SHA-256 of its content as it stands in the file.
    pub fingerprint: String,
    /// What was found, in the order of looking.
    pub remarks: Vec<Remark>,
}

impl Standing {
    /// The worst mark.
    #[must_use]
    pub fn mark(&self) -> Mark {
        self.remarks.iter().map(|remark| remark.mark).max().unwrap_or(Mark::Open)
    }
}

/// Examines a survey file: is it the one that was signed? The hashes are taken over the file's own
/// JSON, so that a change that this program would read away is noticed too.
///
/// # Errors
/// When the file cannot be read as a survey.
pub fn verify(bytes: &[u8]) -> Result<Standing, FileError> {
    Examined::of(bytes).map(|examined| examined.standing)
}

/// A survey file, read in both ways.
pub(super) struct Examined {
    pub(super) survey: Survey,
    pub(super) json: Value,
    pub(super) standing: Standing,
}

impl Examined {
    pub(super) fn of(bytes: &[u8]) -> Result<Self, FileError> {
        let survey = read_survey(bytes)?;
        let bytes = bytes.strip_prefix("\u{feff}".as_bytes()).unwrap_or(bytes);
        // It has just been read once; a reader's limit on depth is the same.
        let json: Value = serde_json::from_slice(bytes).unwrap_or_default();
        let fingerprint = content::fingerprint_of_json(json.clone());
        let mut remarks = vec![signed(&survey)];
        remarks.extend(signatures(&survey, &json, &fingerprint));
        remarks.extend(answers(&survey, &json));
        remarks.extend(earlier(&survey, &json));
        let house = survey.site.name.clone();
        let standing = Standing { house, revision: survey.revision, fingerprint, remarks };
        Ok(Self { survey, json, standing })
    }
}

fn signed(survey: &Survey) -> Remark {
    match survey.frozen_by() {
        None => {
            Remark::open(say!("Revision {} is a draft: nobody has signed it.", survey.revision.to_string()))
        }
        Some(first) => Remark::holds(say!(
            "Revision {} was signed first by {}, on {}.",
            survey.revision.to_string(),
            told(first),
            time(first)
        )),
    }
}

fn time(signature: &Signature) -> String {
    signature.when.format("%Y-%m-%d %H:%M %:z").to_string()
}

fn signatures(survey: &Survey, json: &Value, fingerprint: &str) -> Vec<Remark> {
    let as_written = |at: usize| json.pointer(&format!("/signatures/{at}")).cloned().unwrap_or_default();
    let each = survey.signatures.iter().enumerate();
    each.flat_map(|(at, signature)| one(survey, signature, as_written(at), fingerprint)).collect()
}

fn one(survey: &Survey, signature: &Signature, json: Value, fingerprint: &str) -> Vec<Remark> {
    let who = told(signature);
    if signature.hash.is_empty() || signature.seal.is_empty() {
        return vec![Remark::broken(say!(
            "The signature of {}, names no state of the survey, so it says nothing about this one.",
            who.to_string()
        ))];
    }
    let mut remarks = Vec::new();
    let seal = content::seal_of_json(json);
    let sealed = hex(&seal) == signature.seal;
    if !sealed {
        remarks.push(Remark::broken(say!(
            "The signature of {}, was changed after it was made.",
            who.to_string()
        )));
    }
    if signature.revision != survey.revision {
        remarks.push(Remark::broken(say!(
            "The signature of {}, belongs to revision {}, not to this one.",
            who.to_string(),
            signature.revision.to_string()
        )));
    }
    if signature.hash != fingerprint {
        remarks.push(Remark::broken(say!(
            "This is not the survey that {}, signed on {}: something in it was changed afterwards.",
            who.to_string(),
            time(signature)
        )));
    } else if sealed {
        remarks.push(Remark::holds(say!(
            "This is the survey that {}, signed on {}.",
            who.to_string(),
            time(signature)
        )));
    }
    remarks.extend(key(signature, &seal, &who));
    remarks
}

fn key(signature: &Signature, seal: &[u8; 32], who: &str) -> Option<Remark> {
    let key = signature.key.as_ref()?;
    let fingerprint = key_fingerprint(key).filter(|_| holds(key, seal));
    Some(match fingerprint {
        Some(fingerprint) => Remark::holds(say!(
            "A tablet's key confirms the signature of {}. Fingerprint of the key: {}. Compare it \
             with the one that the tablet shows.",
            who.to_string(),
            fingerprint
        )),
        None => {
            Remark::broken(say!("The tablet's key does not confirm the signature of {}.", who.to_string()))
        }
    })
}

fn answers(survey: &Survey, json: &Value) -> Option<Remark> {
    let given = survey.answers.len();
    let Some(accepted) = survey.accepted_by() else {
        return (given > 0).then(|| {
            Remark::open(say!("Answers of the electrician: {}, not signed yet.", given.to_string()))
        });
    };
    let written = json.get("answers").cloned().unwrap_or_else(|| Value::Array(Vec::new()));
    Some(if content::hash(&written) == accepted.answers_hash {
        Remark::holds(say!(
            "Answers to the findings: {}, as {}, signed them.",
            given.to_string(),
            told(accepted)
        ))
    } else {
        Remark::broken(say!("The answers were changed after {}, signed them.", told(accepted)))
    })
}

/// The signed revisions before: their numbers, and the last one as it was signed.
fn earlier(survey: &Survey, json: &Value) -> Vec<Remark> {
    let mut remarks = Vec::new();
    let numbers = survey.revisions.iter().map(|revision| revision.number);
    if !numbers.eq(1..survey.revision) {
        remarks.push(Remark::broken(say!(
            "The list of earlier revisions does not lead up to revision {}.",
            survey.revision.to_string()
        )));
    }
    for (at, revision) in survey.revisions.iter().enumerate() {
        let state = json.pointer(&format!("/revisions/{at}/state")).filter(|state| !state.is_null());
        remarks.extend(state.map(|state| kept(revision, state)));
    }
    remarks
}

fn kept(revision: &Revision, state: &Value) -> Remark {
    let number = revision.number;
    let same_number = revision.state.as_ref().is_some_and(|state| state.revision == number);
    let same_content = content::fingerprint_of_json(state.clone()) == revision.hash;
    if same_number && same_content && content::hash(state) == revision.state_hash {
        Remark::holds(say!(
            "The kept revision {} is the one that was signed by {}.",
            number.to_string(),
            revision.signers.join("; ")
        ))
    } else {
        Remark::broken(say!("The kept revision {} was changed after it was signed.", number.to_string()))
    }
}
