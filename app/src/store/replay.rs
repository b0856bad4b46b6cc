//! What a session that was cut off had written down, found again and applied.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use deadfront_rules::edit::Edit;
use deadfront_rules::finding::Said;
use deadfront_rules::say;
use deadfront_rules::survey::Survey;

use super::history::History;
use super::journal::NAME;
use super::line::{Deed, Line, is_head, is_whole};
use super::side::Side;
use super::state::state_of;

/// Largest journal that is read [bytes]; a day of tapping is a thousandth of it.
const LARGEST: u64 = 256 * 1024 * 1024;

/// What the journals brought.
#[derive(Debug, Default)]
pub(super) struct Recovered {
    /// Every line of the session that was cut off.
    pub(super) lines: Vec<Line>,
    /// Its history, so that undo goes back to its start.
    pub(super) history: History,
    /// How many lines were not in the file yet.
    pub(super) brought_back: usize,
    /// Which side folders may be written: one with a journal that could not be put aside may not.
    pub(super) free: [bool; 2],
    /// What to tell the person.
    pub(super) said: Vec<Said>,
    /// The last line was being written when the program ended, and no other journal has it whole.
    torn: bool,
}

/// Brings the survey from its file to the state that the journals know.
pub(super) fn recover(side: &Side, survey: &mut Survey) -> Recovered {
    let mut recovered = Recovered { free: [true; 2], ..Recovered::default() };
    let mut found: Vec<Journal> = (0..2).filter_map(|nth| recovered.read(side, nth)).collect();
    let mut state = state_of(survey);
    while let Some(at) = found.iter().position(|journal| journal.place_of(&state).is_some()) {
        let journal = found.remove(at);
        recovered.follow(&journal, survey, &mut state);
    }
    for journal in found.iter().filter(|journal| !journal.is_empty()) {
        recovered.put_aside(journal);
    }
    recovered.tell_what_came_back();
    recovered
}

/// A journal as it stands on the disk.
struct Journal {
    nth: usize,
    path: PathBuf,
    lines: Vec<Line>,
    end: End,
}

/// How a journal ends.
#[derive(Clone, Copy, PartialEq, Eq)]
enum End {
    /// With a whole line.
    Whole,
    /// With a line that was being written when the program ended.
    Torn,
    /// Lines behind the last good one cannot be read.
    Damaged,
}

impl Journal {
    fn is_empty(&self) -> bool {
        self.lines.is_empty() && self.end != End::Damaged
    }

    /// How many lines lead to this state; the last place where it occurs.
    fn place_of(&self, state: &str) -> Option<usize> {
        let behind = self.lines.iter().rposition(|line| line.to == state).map(|at| at + 1);
        behind.or_else(|| (self.lines.first()?.from == state).then_some(0))
    }
}

impl Recovered {
    fn read(&mut self, side: &Side, nth: usize) -> Option<Journal> {
        let path = side.folders()[nth].join(NAME);
        match read_file(&path) {
            Ok(bytes) => {
                let (lines, end) = read_lines(&bytes);
                Some(Journal { nth, path, lines, end })
            }
            Err(error) if error.kind() == io::ErrorKind::NotFound => None,
            Err(error) => {
                self.free[nth] = false;
                self.said.push(say!(
                    "the journal {} cannot be read and is left as it is: {}",
                    shown(&path),
                    super::trouble::why(&error)
                ));
                None
            }
        }
    }

    /// Applies what the journal knows beyond `state`.
    fn follow(&mut self, journal: &Journal, survey: &mut Survey, state: &mut String) {
        let at = journal.place_of(state).unwrap_or(0);
        let (before, behind) = journal.lines.split_at(at);
        if self.lines.is_empty() {
            before.iter().for_each(|line| note(&mut self.history, &line.deed));
            self.lines.extend_from_slice(before);
        }
        let done = self.apply(behind, survey);
        self.brought_back += done;
        self.lines.extend_from_slice(&behind[..done]);
        if let Some(last) = self.lines.last() {
            state.clone_from(&last.to);
        }
        if done < behind.len() || journal.end == End::Damaged {
            self.keep_copy(journal, behind.len() - done);
        }
        self.torn = journal.end == End::Torn || (self.torn && done == 0);
    }

    /// Applies lines and tells how many led where they should.
    fn apply(&mut self, lines: &[Line], survey: &mut Survey) -> usize {
        let Some(last) = lines.last() else { return 0 };
        let (survey_before, history_before) = (survey.clone(), self.history.clone());
        // Fingerprints take longer than edits: only the last one is compared unless it is wrong.
        if lines.iter().all(|line| self.step(line, survey)) && state_of(survey) == last.to {
            return lines.len();
        }
        (*survey, self.history) = (survey_before, history_before);
        for (done, line) in lines.iter().enumerate() {
            let (survey_before, history_before) = (survey.clone(), self.history.clone());
            if !self.step(line, survey) || state_of(survey) != line.to {
                (*survey, self.history) = (survey_before, history_before);
                return done;
            }
        }
        lines.len()
    }

    fn step(&mut self, line: &Line, survey: &mut Survey) -> bool {
        let applied = match &line.deed {
            Deed::Edit(edit) => edit.apply(survey).is_ok(),
            Deed::Undo => {
                self.history.last().map(Edit::inverse).is_some_and(|edit| edit.apply(survey).is_ok())
            }
            Deed::Redo => self.history.next().is_some_and(|edit| edit.apply(survey).is_ok()),
        };
        if applied {
            note(&mut self.history, &line.deed);
        }
        applied
    }

    /// A journal that leads from another state than the file's: never applied, never deleted.
    fn put_aside(&mut self, journal: &Journal) {
        let count = journal.lines.len();
        let moved = aside(&journal.path, |from, to| fs::rename(from, to));
        self.free[journal.nth] = moved.is_some();
        let place = shown(moved.as_deref().unwrap_or(&journal.path));
        self.said.push(say!(
            "an earlier session noted edits ({}) that do not fit this file, because the file was changed elsewhere since; they are not in the survey and are kept in {}",
            count,
            place
        ));
    }

    /// Lines that cannot be used are kept beside, while the good ones stay in use.
    fn keep_copy(&mut self, journal: &Journal, unused: usize) {
        let copy = aside(&journal.path, |from, to| fs::copy(from, to).map(drop));
        self.free[journal.nth] = copy.is_some();
        let place = shown(copy.as_deref().unwrap_or(&journal.path));
        self.said.push(if unused > 0 {
            say!(
                "{} noted edits cannot be made again in this survey; the journal is kept in {}",
                unused,
                place
            )
        } else {
            say!("a part of the journal cannot be read; the whole of it is kept in {}", place)
        });
    }

    fn tell_what_came_back(&mut self) {
        if self.torn {
            self.said.push(Said::plain(
                "one more entry was being made when the program was ended; it was not complete and is not in the survey",
            ));
        }
        if self.brought_back == 0 {
            return;
        }
        let last = self.lines.last().map(|line| match &line.deed {
            Deed::Edit(edit) => edit.described(),
            Deed::Undo => Said::plain("a step was taken back"),
            Deed::Redo => Said::plain("a step was made again"),
        });
        let last = last.unwrap_or(Said::plain(""));
        let said = match self.brought_back {
            1 => say!("one edit of the last session was not in the file yet and is back: {}", last),
            count => say!(
                "{} edits of the last session were not in the file yet and are back, up to the last: {}",
                count,
                last
            ),
        };
        self.said.insert(0, said);
    }
}

/// Keeps the history in step without touching the survey.
fn note(history: &mut History, deed: &Deed) {
    match deed {
        Deed::Edit(edit) => history.push(edit.clone()),
        Deed::Undo => history.step_back(),
        Deed::Redo => history.step_on(),
    }
}

fn read_file(path: &Path) -> io::Result<Vec<u8>> {
    if fs::metadata(path)?.len() > LARGEST {
        return Err(io::ErrorKind::FileTooLarge.into());
    }
    fs::read(path)
}

/// The good lines from the start, each beginning where the one before ended.
fn read_lines(bytes: &[u8]) -> (Vec<Line>, End) {
    let mut pieces: Vec<&[u8]> = bytes.split(|byte| *byte == b'\n').collect();
    // Behind the last line end stands nothing, or a line that was torn.
    let torn = pieces.pop().is_some_and(|rest| !rest.is_empty());
    if !pieces.first().is_some_and(|head| is_head(head)) {
        return (Vec::new(), if bytes.is_empty() { End::Whole } else { End::Damaged });
    }
    let mut lines: Vec<Line> = Vec::new();
    for (at, piece) in pieces.iter().enumerate().skip(1) {
        match Line::read(piece) {
            Some(line) if lines.last().is_none_or(|last| last.to == line.from) => lines.push(line),
            None if at + 1 == pieces.len() && !torn && !is_whole(piece) => return (lines, End::Torn),
            _ => return (lines, End::Damaged),
        }
    }
    (lines, if torn { End::Torn } else { End::Whole })
}

/// A new place in the folder `kept` beside the journal, when `bring` got it there.
fn aside(journal: &Path, bring: impl Fn(&Path, &Path) -> io::Result<()>) -> Option<PathBuf> {
    let folder = journal.parent()?.join("kept");
    fs::create_dir_all(&folder).ok()?;
    let day = chrono::Utc::now().format("%Y-%m-%d");
    let names = (1..10_000_u32).map(|number| folder.join(format!("journal {day} {number}.jsonl")));
    let place = names.into_iter().find(|path| !path.exists())?;
    bring(journal, &place).ok()?;
    Some(place)
}

fn shown(path: &Path) -> String {
    path.display().to_string()
}
