//! A signature set under a revision.

use std::fmt;

use chrono::{DateTime, FixedOffset};
use deadfront_rules::finding::Said;
use deadfront_rules::say;
use deadfront_rules::survey::{Id, Ink, Role, Signature, Survey};
use deadfront_rules::words;
use serde_json::Value;

use super::canonical::hex;
use super::content;
use super::key::TabletKey;

/// Who signs, and how.
#[derive(Debug, Clone, PartialEq)]
pub struct Signer {
    /// Name.
    pub name: String,
    /// As what.
    pub role: Role,
    /// Licence number; a licensed electrician must give it.
    pub licence: String,
    /// When, with the zone.
    pub when: DateTime<FixedOffset>,
    /// What the hand drew; nothing where the written name alone stands for the signature.
    pub ink: Option<Ink>,
}

/// Why nothing was signed or changed; told in the language that is spoken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SignError {
    /// No name was given.
    NoName,
    /// A licensed electrician signs with a licence number.
    NoLicence,
    /// Nothing, or nothing that can be kept, was drawn.
    NoInk(String),
    /// The survey is no longer what was signed before.
    Changed(String),
    /// The same person has signed in the same role.
    Twice(String),
    /// The revision is signed, so it is not edited.
    Frozen {
        /// The revision.
        revision: u32,
        /// Who froze it.
        signer: String,
    },
    /// Nobody has signed, so there is no revision to follow.
    NotSigned(u32),
    /// The electrician has signed the answers.
    Accepted(String),
    /// An answer says nothing without its reason.
    NoReason,
    /// No open finding has this check and item.
    NoFinding {
        /// The check.
        check: String,
        /// The item.
        item: Id,
    },
    /// The number of revisions has an end.
    TooMany,
}

impl SignError {
    /// What is to be told.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::NoName => say!("a signature needs a name; write it out"),
            Self::NoLicence => say!("a licensed electrician signs with the licence number; write it"),
            Self::NoInk(why) => say!("nothing was drawn that could be kept as a signature: {}", why),
            Self::Changed(signer) => say!(
                "the survey is not the one that {} signed: it was changed afterwards; start a new revision",
                signer
            ),
            Self::Twice(signer) => say!("{} has signed this revision already", signer),
            Self::Frozen { revision, signer } => say!(
                "revision {} was signed by {}; start a new revision to change it",
                revision.to_string(),
                signer
            ),
            Self::NotSigned(revision) => say!(
                "revision {} is not signed, so it can still be edited; no new revision is needed",
                revision.to_string()
            ),
            Self::Accepted(signer) => {
                say!("{} has signed the answers; start a new revision to answer again", signer)
            }
            Self::NoReason => say!("this answer needs its reason; write it"),
            Self::NoFinding { check, item } => {
                let check = words::phrase(check.replace('_', " "));
                say!("there is no open finding \"{}\" at {}", check, item.to_string())
            }
            Self::TooMany => say!("this survey has been signed too often to count further"),
        }
    }
}

impl SignError {
    /// The same with a capital at its beginning and a full stop.
    #[must_use]
    pub fn sentence(&self) -> String {
        let text = self.to_string();
        let mut letters = text.chars();
        let first: String = letters.next().map(|first| first.to_uppercase().collect()).unwrap_or_default();
        format!("{first}{}.", letters.as_str())
    }
}

impl fmt::Display for SignError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.said().fmt(f)
    }
}

impl std::error::Error for SignError {}

/// Signs a survey: ink, name and time under its present content. A licensed electrician signs the
/// answers too. A signature without ink says so in its name, wherever that is read.
///
/// # Errors
/// See [`SignError`]; the survey is then unchanged.
pub fn sign(survey: &mut Survey, signer: Signer, key: Option<&TabletKey>) -> Result<(), SignError> {
    let hash = content::fingerprint(survey);
    check(survey, &signer, &hash)?;
    let accepts = signer.role == Role::Electrician;
    let mut signature = Signature {
        id: free_id(survey),
        name: written(&signer),
        role: signer.role,
        when: signer.when,
        licence: signer.licence.trim().to_owned(),
        revision: survey.revision,
        hash,
        answers_hash: if accepts { content::answers(&survey.answers) } else { String::new() },
        ink: signer.ink,
        seal: String::new(),
        key: None,
    };
    let seal = content::seal(&signature);
    signature.seal = hex(&seal);
    signature.key = key.map(|key| key.sign(&seal));
    survey.signatures.push(signature);
    Ok(())
}

fn check(survey: &Survey, signer: &Signer, hash: &str) -> Result<(), SignError> {
    if signer.name.trim().is_empty() {
        return Err(SignError::NoName);
    }
    if signer.role == Role::Electrician && signer.licence.trim().is_empty() {
        return Err(SignError::NoLicence);
    }
    if signer.ink.as_ref().is_some_and(|ink| ink.points() < 2) {
        return Err(SignError::NoInk("it is no more than a dot".to_owned()));
    }
    if let Some(fault) = signer.ink.as_ref().and_then(Ink::fault) {
        return Err(SignError::NoInk(fault));
    }
    if let Some(other) = survey.signatures.iter().find(|other| other.hash != hash) {
        return Err(SignError::Changed(told(other)));
    }
    let same = |other: &&Signature| other.role == signer.role && is_of(other, signer.name.trim());
    if let Some(other) = survey.signatures.iter().find(same) {
        return Err(SignError::Twice(told(other)));
    }
    match survey.accepted_by() {
        // Its seal cannot cover who comes later; two electricians would accept different answers.
        Some(other) if signer.role == Role::Electrician => Err(SignError::Accepted(told(other))),
        _ => Ok(()),
    }
}

/// The name as it stands under the survey: marked where nothing was drawn.
fn written(signer: &Signer) -> String {
    let name = signer.name.trim();
    if signer.ink.is_some() { name.to_owned() } else { typed(name) }
}

/// Whether this name stands under a signature; typed, with the mark behind it, in whichever language.
fn is_of(signature: &Signature, name: &str) -> bool {
    let is_mark = |rest: &str| rest.strip_prefix(" (").is_some_and(|mark| !mark.contains('('));
    let behind = signature.name.strip_prefix(name);
    behind.is_some_and(|rest| rest.is_empty() || signature.ink.is_none() && is_mark(rest))
}

fn typed(name: &str) -> String {
    say!("{} (name typed, no ink)", name.to_owned()).to_string()
}

/// `Ann Example, surveyor`.
pub(super) fn told(signature: &Signature) -> String {
    format!("{}, {}", signature.name, signature.role.words())
}

/// An id that nothing in the survey has.
fn free_id(survey: &Survey) -> Id {
    let json = serde_json::to_value(survey).unwrap_or_default();
    let ids = (survey.signatures.len() + 1..).filter_map(|number| Id::new(&format!("signature-{number}")));
    let mut free = ids.skip_while(|id| holds_id(&json, id.as_str()));
    // The list of numbers is longer than any survey; the first id would do as well as none.
    free.next().unwrap_or_else(|| survey.signatures[0].id.clone())
}

fn holds_id(value: &Value, wanted: &str) -> bool {
    match value {
        Value::Object(members) => members.iter().any(|(name, member)| {
            (name == "id" && member.as_str() == Some(wanted)) || (name != "state" && holds_id(member, wanted))
        }),
        Value::Array(list) => list.iter().any(|element| holds_id(element, wanted)),
        _ => false,
    }
}
