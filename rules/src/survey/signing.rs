//! Signatures, signed revisions, and what the electrician answers.

use chrono::{DateTime, FixedOffset};

use super::Survey;
use super::id::Id;
use super::ink::Ink;
use super::record::{choice, record};

choice!(
    /// Who signs.
    Role {
        Surveyor = "surveyor", "surveyor";
        Owner = "owner", "owner";
        Electrician = "licensed_electrician", "licensed electrician";
    }
);

choice!(
    /// What the electrician says to a finding.
    AnswerKind {
        Agree = "agree", "agrees";
        Disagree = "disagree", "disagrees";
        Done = "done", "done";
        NotApplicable = "not_applicable", "does not apply";
    }
);

impl AnswerKind {
    /// Whether the answer says nothing without a reason.
    #[must_use]
    pub fn needs_reason(self) -> bool {
        matches!(self, Self::Disagree | Self::NotApplicable)
    }
}

record!(
    /// What a key kept on the tablet adds to a signature (Ed25519, RFC 8032).
    KeySeal {
        /// The public key, 64 hexadecimal digits.
        public: String,
        /// The signature over the 32 bytes of the seal, 128 hexadecimal digits.
        signature: String,
        @facts {}
    }
);

record!(
    /// A signature under a revision.
    Signature {
        /// Its id.
        id: Id,
        /// Who signed.
        name: String,
        /// As what.
        role: Role,
        /// When.
        #[schemars(with = "String")]
        when: DateTime<FixedOffset>,
        /// Licence number, for an electrician.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        licence: String,
        /// The revision it stands under.
        #[serde(default, skip_serializing_if = "is_zero")]
        revision: u32,
        /// SHA-256 of that revision's content, in hexadecimal.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        hash: String,
        /// Acceptance: SHA-256 of the answers that it accepts, in hexadecimal.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        answers_hash: String,
        /// What the hand drew.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        ink: Option<Ink>,
        /// SHA-256 of this signature without seal and key, in hexadecimal.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        seal: String,
        /// What the tablet's key adds.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        key: Option<KeySeal>,
        @facts {}
    }
);

#[expect(clippy::trivially_copy_pass_by_ref, reason = "the signature that serde asks for")]
fn is_zero(number: &u32) -> bool {
    *number == 0
}

record!(
    /// What the licensed electrician says to one finding.
    Answer {
        /// The check that found it.
        check: String,
        /// The item that it is about.
        item: Id,
        /// What is said.
        answer: AnswerKind,
        /// Why; never empty where the answer disagrees or says that the finding does not apply.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        reason: String,
        /// Who says it.
        by: String,
        /// When.
        #[schemars(with = "String")]
        when: DateTime<FixedOffset>,
        @facts {}
    }
);

record!(
    /// A signed revision before the present one.
    Revision {
        /// Its number.
        number: u32,
        /// SHA-256 of its content, in hexadecimal.
        hash: String,
        /// When it was first signed.
        #[schemars(with = "String")]
        signed: DateTime<FixedOffset>,
        /// Who signed it: `Ann Example, surveyor`.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        signers: Vec<String>,
        /// SHA-256 of the survey as it was signed, with signatures and answers, in hexadecimal.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        state_hash: String,
        /// The survey as it was signed; kept for the last one only.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        state: Option<Box<Survey>>,
        @facts {}
    }
);
