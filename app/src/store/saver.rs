//! The second thread: writes the whole file shortly after an edit.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant, SystemTime};

use deadfront_rules::finding::Said;
use deadfront_rules::say;
use deadfront_rules::survey::Survey;

use super::kept;
use super::trouble::{why, why_not_saved};
use crate::file;

/// When the whole file is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pace {
    /// How long after the last edit.
    pub after: Duration,
    /// How long after the first edit that is not in the file, at the latest.
    pub at_most: Duration,
    /// How long after a failed try.
    pub again: Duration,
}

impl Default for Pace {
    fn default() -> Self {
        let seconds = Duration::from_secs;
        Self { after: seconds(1), at_most: seconds(5), again: seconds(2) }
    }
}

/// Writes one survey's file.
#[derive(Debug)]
pub(super) struct Saver {
    desk: Arc<Desk>,
    thread: Option<JoinHandle<()>>,
}

/// Where the window and the second thread meet.
#[derive(Debug)]
struct Desk {
    papers: Mutex<Papers>,
    bell: Condvar,
    pace: Pace,
}

#[derive(Debug, Default)]
struct Papers {
    wanted: Option<Wanted>,
    /// Number of the state that the file holds.
    saved: u64,
    /// Why the last try failed.
    trouble: Option<Said>,
    /// How many tries have failed.
    failures: u64,
    not_before: Option<Instant>,
    hurry: bool,
    ending: bool,
    said: Vec<Said>,
}

#[derive(Debug)]
struct Wanted {
    survey: Arc<Survey>,
    number: u64,
    first: Instant,
    last: Instant,
}

impl Saver {
    /// Starts the second thread.
    pub(super) fn start(writer: Writer, pace: Pace) -> io::Result<Self> {
        let desk = Arc::new(Desk { papers: Mutex::default(), bell: Condvar::new(), pace });
        let mut writer = writer;
        let desk_there = Arc::clone(&desk);
        let thread =
            thread::Builder::new().name("saver".into()).spawn(move || desk_there.work(&mut writer))?;
        Ok(Self { desk, thread: Some(thread) })
    }

    /// Asks for this state to be written; an older one that waits is not needed any more.
    pub(super) fn want(&self, survey: &Arc<Survey>, number: u64, hurry: bool) {
        let mut papers = self.desk.papers();
        let now = Instant::now();
        let first = papers.wanted.as_ref().map_or(now, |waiting| waiting.first);
        papers.wanted = Some(Wanted { survey: Arc::clone(survey), number, first, last: now });
        papers.hurry |= hurry;
        self.desk.bell.notify_all();
    }

    /// The number of the state that the file holds, and why the last try failed.
    pub(super) fn standing(&self) -> (u64, Option<Said>) {
        let papers = self.desk.papers();
        (papers.saved, papers.trouble.clone())
    }

    /// What there is to tell, once.
    pub(super) fn said(&self) -> Vec<Said> {
        std::mem::take(&mut self.desk.papers().said)
    }

    /// Writes what waits now; waits until it is written or a try has failed, no longer than `patience`. True when
    /// nothing waits.
    pub(super) fn flush(&self, patience: Duration) -> bool {
        let mut papers = self.desk.papers();
        let (failures, until) = (papers.failures, Instant::now() + patience);
        papers.hurry = true;
        papers.not_before = None;
        self.desk.bell.notify_all();
        while papers.waits() && papers.failures == failures {
            let left = until.saturating_duration_since(Instant::now());
            if left.is_zero() {
                break;
            }
            papers = self.desk.bell.wait_timeout(papers, left).unwrap_or_else(PoisonError::into_inner).0;
        }
        !papers.waits()
    }
}

impl Drop for Saver {
    /// What waits is tried once more.
    fn drop(&mut self) {
        self.desk.papers().ending = true;
        self.desk.bell.notify_all();
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

impl Papers {
    /// The state being written counts as waiting until it is in the file.
    fn waits(&self) -> bool {
        self.wanted.is_some()
    }

    /// How long until the next try; none: nothing to do.
    fn due_in(&self, pace: Pace) -> Option<Duration> {
        let wanted = self.wanted.as_ref()?;
        if self.hurry || self.ending {
            return Some(Duration::ZERO);
        }
        let due = (wanted.last + pace.after).min(wanted.first + pace.at_most);
        let due = self.not_before.map_or(due, |not_before| due.max(not_before));
        Some(due.saturating_duration_since(Instant::now()))
    }
}

impl Desk {
    /// A thread that broke off leaves nothing half done in the papers.
    fn papers(&self) -> MutexGuard<'_, Papers> {
        self.papers.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn work(&self, writer: &mut Writer) {
        while let Some((survey, number)) = self.next() {
            let outcome = writer.write(&survey);
            if !self.note(number, outcome) {
                return;
            }
        }
    }

    /// Waits for the next state to write; none when the session ends.
    fn next(&self) -> Option<(Arc<Survey>, u64)> {
        let mut papers = self.papers();
        loop {
            papers = match papers.due_in(self.pace) {
                Some(left) if left.is_zero() => {
                    papers.hurry = false;
                    return papers.wanted.as_ref().map(|wanted| (Arc::clone(&wanted.survey), wanted.number));
                }
                Some(left) => self.bell.wait_timeout(papers, left).unwrap_or_else(PoisonError::into_inner).0,
                None if papers.ending => return None,
                None => self.bell.wait(papers).unwrap_or_else(PoisonError::into_inner),
            };
        }
    }

    /// Notes how a try ended; false when it was the last.
    fn note(&self, number: u64, outcome: Result<Vec<Said>, Said>) -> bool {
        let mut papers = self.papers();
        let ending_and_failed = papers.ending && outcome.is_err();
        match outcome {
            Ok(said) => {
                papers.saved = number;
                papers.trouble = None;
                papers.not_before = None;
                papers.said.extend(said);
                match &mut papers.wanted {
                    Some(wanted) if wanted.number > number => wanted.first = wanted.last,
                    wanted => *wanted = None,
                }
            }
            Err(trouble) => {
                papers.failures += 1;
                papers.trouble = Some(trouble);
                papers.not_before = Some(Instant::now() + self.pace.again);
            }
        }
        self.bell.notify_all();
        !ending_and_failed
    }
}

/// The file and what is kept beside it.
#[derive(Debug)]
pub(super) struct Writer {
    file: PathBuf,
    states: PathBuf,
    /// The survey as it was opened, until it is among the kept states.
    opened: Option<Arc<Survey>>,
    /// The kept state with which the session began.
    first: Option<PathBuf>,
    stamp: Option<Stamp>,
    /// What to tell with the next success.
    said: Vec<Said>,
}

impl Writer {
    /// Of the file with this survey in it, read when it had this stamp.
    pub(super) fn of(file: &Path, states: PathBuf, opened: Arc<Survey>, stamp: Option<Stamp>) -> Self {
        Self { file: file.to_owned(), states, opened: Some(opened), first: None, stamp, said: Vec::new() }
    }

    fn write(&mut self, survey: &Survey) -> Result<Vec<Said>, Said> {
        self.spare_foreign_file()?;
        self.keep_opened();
        file::save(&self.file, survey).map_err(|error| why_not_saved(&error))?;
        self.stamp = Stamp::of(&self.file);
        // The file is safe; a state that cannot be kept is no reason to alarm anybody.
        let _ = kept::keep(&self.states, survey, self.first.as_deref());
        Ok(std::mem::take(&mut self.said))
    }

    fn keep_opened(&mut self) {
        let Some(opened) = self.opened.take() else { return };
        self.first = kept::keep(&self.states, &opened, None).ok();
    }

    /// A file that another program changed meanwhile is put aside, once, before ours takes its place.
    fn spare_foreign_file(&mut self) -> Result<(), Said> {
        let now = Stamp::of(&self.file);
        if now.is_none() || now == self.stamp {
            return Ok(());
        }
        let mut names = (1..1000_u32).map(|number| changed_elsewhere(&self.file, number));
        let aside =
            names.find(|path| !path.exists()).ok_or(Said::plain("another program changed the file"))?;
        fs::copy(&self.file, &aside).map_err(|error| why(&error))?;
        self.stamp = now;
        let name = aside.file_name().unwrap_or_default().to_string_lossy().into_owned();
        self.said.push(say!(
            "another program changed this file while it was open here; what it wrote is kept beside it as {}",
            name
        ));
        Ok(())
    }
}

fn changed_elsewhere(file: &Path, number: u32) -> PathBuf {
    let stem = file.file_stem().unwrap_or_default().to_string_lossy();
    file.with_file_name(format!("{stem} (changed elsewhere {number}).json"))
}

/// By which a change of the file is noticed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Stamp {
    bytes: u64,
    changed: Option<SystemTime>,
}

impl Stamp {
    pub(super) fn of(file: &Path) -> Option<Self> {
        let found = fs::metadata(file).ok()?;
        Some(Self { bytes: found.len(), changed: found.modified().ok() })
    }
}
