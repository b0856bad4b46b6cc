//! A survey that is open: edits, undo, redo, and where they are safe.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use deadfront_rules::edit::{self, Edit, Refused};
use deadfront_rules::finding::Said;
use deadfront_rules::say;
use deadfront_rules::survey::{Id, Survey};

use super::copy::copy_survey;
use super::history::{History, Step};
use super::job::Job;
use super::journal::Journal;
use super::kept::{KeptState, states};
use super::line::{Deed, Line};
use super::lock::Lock;
use super::saver::Saver;
use super::side::Side;
use super::signed;
use super::state::state_of;
use crate::photo::Taken;

/// How long the end of a session waits for the file.
const PATIENCE: Duration = Duration::from_secs(5);

/// Where an edit is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kept {
    /// On the disk: it is there at the next start, whatever happens.
    OnDisk,
    /// In memory only, because nothing can be written now; the banner says why.
    InMemory,
}

/// What stands above the survey until it is no longer so.
#[derive(Debug, Clone, PartialEq)]
pub struct Banner {
    /// What is the matter and what to do.
    pub text: Said,
    /// Edits would be lost if the program ended now.
    pub in_memory: bool,
}

/// How a session ended.
#[derive(Debug, Clone, PartialEq)]
pub enum Closed {
    /// The file holds everything.
    Saved,
    /// The file could not be written; the journal holds what is missing, and opening brings it back.
    InJournal(Said),
}

/// One survey file in one window.
#[derive(Debug)]
pub struct Session {
    pub(super) path: PathBuf,
    pub(super) side: Side,
    pub(super) survey: Arc<Survey>,
    /// Fingerprint of `survey`.
    pub(super) state: String,
    /// Counts the states of the session.
    pub(super) number: u64,
    pub(super) history: History,
    pub(super) journal: Journal,
    // Ends before the lock is given back: fields go in this order.
    pub(super) saver: Saver,
    pub(super) _lock: Option<Lock>,
}

impl Session {
    /// The survey as it is now.
    #[must_use]
    pub fn survey(&self) -> &Survey {
        &self.survey
    }

    /// The same for work in another thread; costs nothing.
    #[must_use]
    pub fn shared(&self) -> Arc<Survey> {
        Arc::clone(&self.survey)
    }

    /// Its file.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Makes an edit, and returns when its line is on the disk or could not be brought there.
    ///
    /// # Errors
    /// When the survey is not as the edit expects, would not be whole afterwards, or is signed and the edit is
    /// no signature, answer or new revision; it is then as it was.
    pub fn edit(&mut self, edit: Edit) -> Result<Kept, Refused> {
        if edit.is_empty() {
            return Ok(self.kept());
        }
        signed::make(&edit, &mut self.survey)?;
        self.history.push(edit.clone());
        Ok(self.note(Deed::Edit(edit)))
    }

    /// Makes a picture that was taken in a photo of this item; gives the photo's id.
    ///
    /// # Errors
    /// When there is no such item any more, or the survey was signed while the picture was taken in.
    pub fn attach(&mut self, item: &Id, taken: &Taken) -> Result<(Kept, Id), Refused> {
        let (edit, id) = edit::add_photo(&self.survey, item, &taken.file, &taken.caption)?;
        Ok((self.edit(edit)?, id))
    }

    /// Takes the last step back; `None` when the session begins here.
    ///
    /// # Errors
    /// As [`edit`](Self::edit); a signed survey keeps every step, and no step over a signature is taken back.
    pub fn undo(&mut self) -> Result<Option<Step>, Refused> {
        let Some(edit) = self.history.last() else { return Ok(None) };
        let back = edit.inverse();
        let step = Step::from(edit);
        signed::step(&back, &mut self.survey)?;
        self.history.step_back();
        self.note(Deed::Undo);
        Ok(Some(step))
    }

    /// Makes the step again that was taken back last; `None` when there is none.
    ///
    /// # Errors
    /// As [`undo`](Self::undo).
    pub fn redo(&mut self) -> Result<Option<Step>, Refused> {
        let Some(edit) = self.history.next() else { return Ok(None) };
        let step = Step::from(edit);
        signed::step(edit, &mut self.survey)?;
        self.history.step_on();
        self.note(Deed::Redo);
        Ok(Some(step))
    }

    /// The name of the step that undo takes back.
    #[must_use]
    pub fn undo_name(&self) -> Option<Said> {
        self.history.last().map(Edit::described)
    }

    /// The name of the step that redo makes again.
    #[must_use]
    pub fn redo_name(&self) -> Option<Said> {
        self.history.next().map(Edit::described)
    }

    /// The names of all steps since the session began, and how many of them stand.
    #[must_use]
    pub fn history(&self) -> (Vec<Said>, usize) {
        self.history.names()
    }

    /// Where all edits made so far are.
    #[must_use]
    pub fn kept(&self) -> Kept {
        let safe = self.journal.is_safe() || self.is_saved();
        if safe { Kept::OnDisk } else { Kept::InMemory }
    }

    /// Whether the file itself holds every edit.
    #[must_use]
    pub fn is_saved(&self) -> bool {
        self.saver.standing().0 == self.number
    }

    /// To be called every second or so: tries again what could not be written, and returns what there
    /// is to tell once.
    pub fn tick(&mut self) -> Vec<Said> {
        self.journal.retry();
        self.saver.said()
    }

    /// What stands above the survey as long as something cannot be written.
    #[must_use]
    pub fn banner(&self) -> Option<Banner> {
        let (saved, trouble) = self.saver.standing();
        if saved == self.number {
            return None;
        }
        if let Some(why) = self.journal.trouble().filter(|_| !self.journal.is_safe()) {
            return Some(Banner { text: in_memory(self.journal.in_memory(), why.clone()), in_memory: true });
        }
        trouble.map(|why| Banner { text: in_journal(why), in_memory: false })
    }

    /// Writes the file now instead of in a moment; waits up to five seconds. True when it holds everything.
    pub fn save_now(&mut self) -> bool {
        self.journal.retry();
        self.is_saved() || self.saver.flush(PATIENCE)
    }

    /// Saves a copy with its photos, in another thread. The session stays with its own file.
    #[must_use]
    pub fn save_copy(&self, to: PathBuf, replace: bool) -> Job<Result<Said, Said>> {
        let (survey, from) = (self.shared(), self.path.clone());
        Job::start(move || copy_survey(&survey, &from, &to, replace))
    }

    /// The last 20 saved states, the newest first.
    #[must_use]
    pub fn kept_states(&self) -> Vec<KeptState> {
        states(&self.side.states())
    }

    /// Ends the session: writes what waits, gives the lock back, and removes the journal when the file
    /// holds everything.
    ///
    /// # Errors
    /// When edits are in memory only. The session comes back with the sentence to show;
    /// dropping it gives those edits up.
    pub fn close(mut self) -> Result<Closed, Box<(Self, Said)>> {
        if self.save_now() {
            self.journal.remove();
            return Ok(Closed::Saved);
        }
        let why = self.saver.standing().1.unwrap_or(Said::plain("the disk does not answer"));
        if self.journal.is_safe() {
            return Ok(Closed::InJournal(in_journal(why)));
        }
        let text = in_memory(self.journal.in_memory(), why);
        Err(Box::new((self, text)))
    }

    /// Writes down what was just done to the survey.
    fn note(&mut self, deed: Deed) -> Kept {
        let to = state_of(&self.survey);
        let from = std::mem::replace(&mut self.state, to.clone());
        self.journal.append(&Line { from, to, deed });
        self.number += 1;
        self.saver.want(&self.survey, self.number, !self.journal.is_safe());
        self.kept()
    }
}

fn in_memory(count: usize, why: Said) -> Said {
    say!(
        "Nothing can be written: {}. Leave this window open: your last edits ({}) are in memory only. Make room, or put the drive back; they are written as soon as it is possible.",
        why,
        count
    )
}

fn in_journal(why: Said) -> Said {
    say!(
        "The survey file cannot be written: {}. Your edits are safe in the journal and go into the file as soon as it is possible. Save a copy elsewhere to take them along.",
        why
    )
}
