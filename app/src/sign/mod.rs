//! Signing: ink under a revision, the hashes that freeze it, and whether they still hold.
//!
//! # What exactly is hashed
//!
//! All hashes are SHA-256 over JSON in the form of RFC 8785, in lower-case hexadecimal; anybody can
//! redo them from the file with other programs.
//!
//! - **Content of a revision** (the fingerprint on every page, `hash` of each signature): the whole
//!   survey without its members `signatures` and `answers`, and with `state` taken out of each
//!   element of `revisions`. So several people sign the same content one after the other, and the
//!   electrician answers it without changing it.
//! - **Answers** (`answers_hash` of the electrician's signature): the list `answers`, `[]` where it
//!   is left out.
//! - **Seal** of a signature (`seal`): the signature without its members `seal` and `key`; so it
//!   covers name, role, licence, time, ink, revision and both hashes. The tablet's key, where one is
//!   used, signs the 32 bytes of the seal (Ed25519).
//! - **Kept state** (`state_hash` of a revision): the last signed survey as it was, signatures and
//!   answers included. It stays in the file as `state` of the last element of `revisions`, so that
//!   the paper can tell what changed; older states are dropped, and their hashes stay. The kept
//!   state holds no further states.
//!
//! # Photos
//!
//! A photo's picture is not in the survey; its file name is, and this program makes the name from the
//! first half of the SHA-256 of the picture. So what is signed holds for the pictures as well. A PDF
//! carries each picture once, byte for byte as the JPEG in the photo folder, and lists in its information
//! (`DeadfrontPhotos`) the whole SHA-256 of each, or a word for why it was not there. [`verify_pdf`]
//! finds the pictures by that list, compares them with their names, and makes the PDF again with
//! them. A picture that somebody put into the folder by hand has no such name: that is said, and the PDF
//! still shows a changed byte of it. One with a camera's notes in it, or that is no JPEG, is made anew
//! for the paper; what the list names is what the PDF holds.
//!
//! # Order of things
//!
//! The first signature freezes the revision: [`may_edit`] refuses from then on. [`new_revision`]
//! takes it up again under the next number. The electrician gives [`answer()`]s, and signs last; that
//! freezes the answers as well.

mod answer;
mod canonical;
mod content;
mod key;
mod pdf;
mod pen;
mod revision;
#[cfg(test)]
mod tests;
mod verify;
mod verify_pdf;

pub use answer::{answer, withdraw};
pub use canonical::canonical;
pub(crate) use canonical::sha256;
pub use content::{fingerprint, short};
pub use key::{TabletKey, key_fingerprint};
pub use pdf::{ATTACHED, PdfError, is_pdf, survey_in};
pub(crate) use pdf::{
    FINGERPRINT_ENTRY, LANGUAGE_ENTRY, MADE_ENTRY, PHOTOS_ENTRY, REVISION_ENTRY, SHEET_ENTRY, pictures_in,
};
pub use pen::{SignError, Signer, sign};
pub use revision::{may_edit, new_revision};
pub use verify::{Mark, Remark, Standing, verify};
pub use verify_pdf::{VerifyError, verify_both, verify_pdf};
