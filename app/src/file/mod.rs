//! The survey file: read with errors that say where, what and what to do; written so that the
//! old file is whole until the new one is.

mod error;
mod item;
mod place;
mod read;
mod schema;
mod shape;
mod spare;
mod syntax;
mod version;
mod words;
mod write;

pub use error::{Complaint, Doing, FileError, Place};
pub use read::{LARGEST, open, read_file, read_survey};
pub use schema::schema;
pub(crate) use spare::{spared_from_archive, spared_from_pdf};
pub use version::READS;
pub(crate) use write::{begins_as_pdf, clear_half_written, create_file, folder_of, make_folder, replace};
pub use write::{create, photo_folder, save, to_json};
