//! The journal of a session: every line on the disk before it is acknowledged.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::PathBuf;

use deadfront_rules::finding::Said;

use super::line::{self, Line};
use super::side::Side;
use super::trouble::why;
use crate::file::{make_folder, replace};

/// Name of the journal in a side folder.
pub(super) const NAME: &str = "journal.jsonl";

/// Every line of the session, and how much of it is on the disk.
#[derive(Debug)]
pub(super) struct Journal {
    /// Where it may be written, the best place first.
    places: Vec<PathBuf>,
    lines: Vec<String>,
    /// How many lines are on the disk.
    safe: usize,
    /// Open at its end while all went well; else the next try writes the journal anew.
    open: Option<File>,
    trouble: Option<Said>,
}

impl Journal {
    /// Goes on with lines that are on the disk already. Nothing is written before the next line.
    /// `free` tells which side folders hold nothing that must be kept.
    pub(super) fn going_on(side: &Side, free: [bool; 2], lines: &[Line]) -> Self {
        let places = side.folders().iter().zip(free).filter(|(_, free)| *free);
        let lines: Vec<String> = lines.iter().map(Line::written).collect();
        Self {
            places: places.map(|(folder, _)| folder.join(NAME)).collect(),
            safe: lines.len(),
            lines,
            open: None,
            trouble: None,
        }
    }

    /// Adds a line and brings it to the disk; when that fails it is kept for [`retry`](Self::retry).
    pub(super) fn append(&mut self, line: &Line) {
        self.lines.push(line.written());
        self.retry();
    }

    /// Brings to the disk what is not there yet; true when all is.
    pub(super) fn retry(&mut self) -> bool {
        if self.is_safe() {
            return true;
        }
        let written = self.write_behind().or_else(|_| self.write_anew());
        match written {
            Ok(file) => {
                self.open = Some(file);
                self.safe = self.lines.len();
                self.trouble = None;
            }
            Err(error) => self.trouble = Some(why(&error)),
        }
        self.is_safe()
    }

    /// Whether every line is on the disk.
    pub(super) fn is_safe(&self) -> bool {
        self.safe == self.lines.len()
    }

    /// How many lines are in memory only.
    pub(super) fn in_memory(&self) -> usize {
        self.lines.len() - self.safe
    }

    /// Why the last try failed.
    pub(super) fn trouble(&self) -> Option<&Said> {
        self.trouble.as_ref()
    }

    /// Removes the journal: the file holds everything.
    pub(super) fn remove(&mut self) {
        self.open = None;
        for place in &self.places {
            let _ = fs::remove_file(place);
        }
    }

    /// The new lines behind the old. After any failure the file is not used again: part of a line may
    /// stand in it, and what the system says it wrote need not be on the disk.
    fn write_behind(&mut self) -> io::Result<File> {
        let mut file = self.open.take().ok_or(io::ErrorKind::NotFound)?;
        let new = self.lines.get(self.safe..).unwrap_or_default().concat();
        file.write_all(new.as_bytes())?;
        // Brings the length of the file with it; only the times of the file may lag.
        file.sync_data()?;
        if is_removed(&file)? {
            return Err(io::ErrorKind::NotFound.into());
        }
        Ok(file)
    }

    /// The whole journal in the first place that takes it. An old one stays whole until then.
    fn write_anew(&self) -> io::Result<File> {
        let mut refused = io::Error::from(io::ErrorKind::PermissionDenied);
        for (nth, place) in self.places.iter().enumerate() {
            match self.write_to(place) {
                Ok(file) => return Ok(file),
                // The reason of the best place is the one to tell.
                Err(error) if nth == 0 => refused = error,
                Err(_) => {}
            }
        }
        Err(refused)
    }

    fn write_to(&self, place: &PathBuf) -> io::Result<File> {
        if let Some(folder) = place.parent() {
            make_folder(folder)?;
        }
        replace(place, |file| {
            file.write_all(line::head().as_bytes())?;
            file.write_all(self.lines.concat().as_bytes())
        })?;
        File::options().append(true).open(place)
    }
}

/// Whether somebody deleted the file while it is open here: what is written to it then is nowhere.
#[cfg(unix)]
fn is_removed(file: &File) -> io::Result<bool> {
    Ok(std::os::unix::fs::MetadataExt::nlink(&file.metadata()?) == 0)
}

/// Elsewhere a file that is open cannot be deleted.
#[cfg(not(unix))]
fn is_removed(_: &File) -> io::Result<bool> {
    Ok(false)
}
