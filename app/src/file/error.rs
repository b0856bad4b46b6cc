//! What can be wrong with a survey file, said in plain sentences.

use std::fmt;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

use deadfront_rules::say;

use crate::sign::PdfError;

/// How many complaints are listed before the rest is only counted.
const LISTED: usize = 20;
/// Longest piece of the file that a message repeats, in characters.
const SHOWN: usize = 60;

/// Where in a text something stands, counted from 1 as editors do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// Line.
    pub line: usize,
    /// Character of the line; a byte order mark does not count.
    pub column: usize,
}

/// One thing wrong in a survey file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Complaint {
    /// Where it stands.
    pub place: Place,
    /// The item it stands in, with id and name where they can be read: `run R104 "range"`.
    pub item: Option<String>,
    /// The field of that item.
    pub field: Option<String>,
    /// What is wrong and what to do.
    pub message: String,
}

impl fmt::Display for Complaint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (line, column) = (self.place.line.to_string(), self.place.column.to_string());
        write!(f, "{}: ", say!("line {}, column {}", line, column))?;
        match (&self.item, &self.field) {
            (Some(item), Some(field)) => write!(f, "{item}, {}: ", say!("field \"{}\"", field))?,
            (Some(item), None) => write!(f, "{item}: ")?,
            (None, Some(field)) => write!(f, "{}: ", say!("field \"{}\"", field))?,
            (None, None) => {}
        }
        f.write_str(&self.message)
    }
}

/// What the system refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Doing {
    /// The file was to be read.
    Reading,
    /// It was to be written.
    Saving,
}

/// Why a survey file could not be read or saved. The file on disk is never changed by it.
#[derive(Debug)]
pub enum FileError {
    /// The operating system refused: no such file, no permission, disk full.
    System {
        /// The file.
        file: PathBuf,
        /// What was being done.
        doing: Doing,
        /// The system's reason.
        reason: io::Error,
    },
    /// The file is larger than [`LARGEST`](super::LARGEST).
    TooLarge {
        /// The file, where the bytes came from one.
        file: Option<PathBuf>,
        /// Its size in bytes.
        bytes: u64,
    },
    /// The file is a PDF, and no survey can be had from it or saved into it.
    Pdf {
        /// The file, where the bytes came from one.
        file: Option<PathBuf>,
        /// Why not.
        reason: PdfError,
    },
    /// The file holds no survey that this program understands.
    Broken {
        /// The file, where the bytes came from one.
        file: Option<PathBuf>,
        /// What is wrong, in the order of the lines; at least one, at most 20.
        complaints: Vec<Complaint>,
        /// How many more were found.
        more: usize,
    },
}

impl FileError {
    pub(super) fn system(path: &Path, doing: Doing, reason: io::Error) -> Self {
        Self::System { file: path.to_owned(), doing, reason }
    }

    pub(super) fn one(complaint: Complaint) -> Self {
        Self::Broken { file: None, complaints: vec![complaint], more: 0 }
    }

    /// Lists the first complaints and counts the rest; `make` is called for the listed ones only.
    pub(super) fn many<T>(wrong: &[T], make: impl FnMut(&T) -> Complaint) -> Self {
        let mut complaints: Vec<_> = wrong.iter().take(LISTED).map(make).collect();
        complaints.sort_by_key(|complaint| complaint.place);
        Self::Broken { file: None, complaints, more: wrong.len().saturating_sub(LISTED) }
    }

    /// Names the file in the message.
    pub(super) fn in_file(mut self, path: &Path) -> Self {
        match &mut self {
            Self::System { file, .. } => path.clone_into(file),
            Self::TooLarge { file, .. } | Self::Broken { file, .. } | Self::Pdf { file, .. } => {
                *file = Some(path.to_owned())
            }
        }
        self
    }

    /// What is wrong inside the file; empty when the file could not be read at all.
    #[must_use]
    pub fn complaints(&self) -> &[Complaint] {
        match self {
            Self::Broken { complaints, .. } => complaints,
            Self::System { .. } | Self::TooLarge { .. } | Self::Pdf { .. } => &[],
        }
    }
}

impl std::error::Error for FileError {}

impl fmt::Display for FileError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::System { file, doing, reason } => {
                let (file, why) = (plain(&file.to_string_lossy()), reason_words(reason));
                match doing {
                    Doing::Reading => say!("{} cannot be read: {}", file, why),
                    Doing::Saving => say!("{} cannot be saved: {}", file, why),
                }
                .fmt(f)
            }
            Self::TooLarge { file, bytes } => write!(
                f,
                "{}{}",
                prefix(file.as_deref(), ": "),
                say!(
                    "the file has {} MB, but a survey has at most {} MB; choose another file",
                    bytes.div_ceil(MEGABYTE).to_string(),
                    (super::LARGEST / MEGABYTE).to_string()
                )
            ),
            Self::Pdf { file, reason } => write!(f, "{}{reason}", prefix(file.as_deref(), ": ")),
            Self::Broken { file, complaints, more } => {
                let prefix = prefix(file.as_deref(), ", ");
                let mut lines: Vec<String> =
                    complaints.iter().map(|complaint| format!("{prefix}{complaint}")).collect();
                if *more > 0 {
                    lines.push(say!("and {} more", more.to_string()).to_string());
                }
                f.write_str(&lines.join("\n"))
            }
        }
    }
}

const MEGABYTE: u64 = 1024 * 1024;

fn prefix(file: Option<&Path>, separator: &str) -> String {
    file.map_or_else(String::new, |file| format!("{}{separator}", plain(&file.to_string_lossy())))
}

fn reason_words(reason: &io::Error) -> String {
    let said = match reason.kind() {
        ErrorKind::NotFound => say!("there is no such file or folder; check its name"),
        ErrorKind::PermissionDenied => say!("the system does not permit it; check who owns it"),
        ErrorKind::IsADirectory => say!("it is a folder; name a file in it"),
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded => {
            say!("the disk is full; make room and try again, what was saved before is whole")
        }
        ErrorKind::ReadOnlyFilesystem => say!("the disk is read-only; save to another place"),
        _ => return plain(&reason.to_string()),
    };
    said.to_string()
}

/// Makes what came from a file harmless on one line of a terminal or page: no control characters,
/// none that turn the direction of the text, no byte order mark.
pub(super) fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}' => out.extend(c.escape_unicode()),
            c if c.is_control() => out.extend(c.escape_default()),
            c => out.push(c),
        }
    }
    out
}

/// A piece of the file as a message repeats it: plain, and cut when it is long.
pub(super) fn shown(text: &str) -> String {
    let mut chars = text.chars();
    let start: String = chars.by_ref().take(SHOWN).collect();
    let rest = if chars.next().is_some() { "…" } else { "" };
    format!("{}{rest}", plain(&start))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_message_cannot_command_the_terminal() {
        assert_eq!(plain("a\u{1b}[2J\nb\u{202e}c"), "a\\u{1b}[2J\\nb\\u{202e}c");
        assert_eq!(plain("12 mm² °C Ω"), "12 mm² °C Ω");
        assert_eq!(shown(&"é".repeat(100)).chars().count(), SHOWN + 1);
    }

    #[test]
    fn only_the_first_complaints_are_listed() {
        let complaint = |n: &usize| Complaint {
            place: Place { line: *n, column: 1 },
            item: None,
            field: None,
            message: "wrong".into(),
        };
        let wrong: Vec<usize> = (1..=23).collect();
        let text = FileError::many(&wrong, complaint).in_file(Path::new("house.json")).to_string();
        assert!(text.starts_with("house.json, line 1, column 1: wrong\n"), "{text}");
        assert!(text.ends_with("house.json, line 20, column 1: wrong\nand 3 more"), "{text}");
    }
}
