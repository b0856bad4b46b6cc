//! The ways into a session: an existing file, a new survey, the built-in house.

use std::fmt;
use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use chrono::NaiveDate;
use deadfront_rules::finding::Said;
use deadfront_rules::say;
use deadfront_rules::survey::Survey;
use serde_json::json;

use super::journal::Journal;
use super::kept::{KeptState, states};
use super::lock::{Lock, Locked, lock};
use super::name::candidates;
use super::out_of_pdf::out_of_pdf;
use super::places::Places;
use super::recents::note_opened;
use super::replay::recover;
use super::saver::{Pace, Saver, Stamp, Writer};
use super::session::Session;
use super::side::Side;
use super::state::state_of;
use super::trouble::why;
use crate::file::{self, FileError, clear_half_written, folder_of};
use crate::photo;

/// A session that was opened, and what there is to tell about it.
#[derive(Debug)]
pub struct Opened {
    /// The session.
    pub session: Session,
    /// What was brought back, what was put aside; empty when all was in order.
    pub said: Vec<Said>,
}

/// Why no session was opened. Nothing was changed.
#[derive(Debug)]
pub enum NotOpened {
    /// The file cannot be read, or holds no survey. [`earlier_states`] may help.
    File(FileError),
    /// Another window has it.
    OpenElsewhere(PathBuf),
    /// The new file cannot be made, or the system refuses a thread.
    Refused(Said),
}

impl std::error::Error for NotOpened {}

impl fmt::Display for NotOpened {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::File(error) => error.fmt(f),
            Self::OpenElsewhere(_) => self.said().fmt(f),
            Self::Refused(said) => said.fmt(f),
        }
    }
}

impl NotOpened {
    /// The sentence to show.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::File(error) => say!("{}", error.to_string()),
            Self::OpenElsewhere(path) => say!(
                "{} is open in another window. Go on there, or close it there first.",
                path.file_name().unwrap_or_default().to_string_lossy().into_owned()
            ),
            Self::Refused(said) => said.clone(),
        }
    }
}

impl Session {
    /// Opens a survey file: makes again what a session that was cut off had noted, and clears half-written
    /// files it left. The survey that a PDF carries is taken out into a file of its own, with its photos; the PDF
    /// stays as it is.
    ///
    /// # Errors
    /// When the file cannot be read or another window has it.
    pub fn open(path: &Path, places: &Places, pace: Pace) -> Result<Opened, NotOpened> {
        let (path, told) = out_of_pdf(path, places)?;
        let (path, stamp, survey) = read(&path).map_err(NotOpened::File)?;
        let side = Side::of(&path, places);
        let (lock, mut said) = take_lock(&side, &path)?;
        said.splice(0..0, told);
        // The window that had it may have saved between reading and locking.
        let (stamp, survey) = if Stamp::of(&path) == stamp {
            (stamp, survey)
        } else {
            let (_, stamp, survey) = read(&path).map_err(NotOpened::File)?;
            (stamp, survey)
        };
        clear(&path, &side);
        let writer = Writer::of(&path, side.states(), Arc::new(survey.clone()), stamp);
        let session = begin(path, side, survey, writer, pace, lock, &mut said)?;
        note_opened(places, session.path(), &session.survey().site.name);
        Ok(Opened { session, said })
    }

    /// Begins a survey of the house with this name, in `folder` or else in the person's documents. The
    /// file is named after the house; one that is there already is left alone and a number is added.
    ///
    /// # Errors
    /// When the file cannot be made.
    #[expect(clippy::new_ret_no_self, reason = "what there is to tell comes along, as with `open`")]
    pub fn new(
        house: &str,
        folder: Option<&Path>,
        today: NaiveDate,
        places: &Places,
        pace: Pace,
    ) -> Result<Opened, NotOpened> {
        let blank = json!({"deadfront_survey": 1, "site": {"name": house, "date": today, "rules": "us"}});
        let survey = file::read_survey(blank.to_string().as_bytes()).map_err(NotOpened::File)?;
        let path = make(&survey, house, folder.unwrap_or(&places.documents))?;
        Self::open(&path, places, pace)
    }

    /// Opens the built-in invented house, as a file in the person's documents where it can be edited like
    /// any other; as it was left, when it was opened before.
    ///
    /// # Errors
    /// As [`new`](Self::new).
    pub fn demo(places: &Places, pace: Pace) -> Result<Opened, NotOpened> {
        let file = places.documents.join(DEMO_FILE);
        if file.is_file() {
            return Self::open(&file, places, pace);
        }
        let survey = file::read_survey(crate::demo::DEMO.as_bytes()).map_err(NotOpened::File)?;
        let path = make(&survey, DEMO_FILE.trim_end_matches(".json"), &places.documents)?;
        Self::open(&path, places, pace)
    }
}

/// The file of the built-in house.
pub(super) const DEMO_FILE: &str = "Demo house (invented).json";

/// The kept states of a file that may itself be broken, the newest first.
#[must_use]
pub fn earlier_states(path: &Path, places: &Places) -> Vec<KeptState> {
    fs::canonicalize(path).map_or_else(|_| Vec::new(), |path| states(&Side::of(&path, places).states()))
}

/// The survey, and by what its file can be told from a changed one.
fn read(path: &Path) -> Result<(PathBuf, Option<Stamp>, Survey), FileError> {
    // One path for one file, whichever link leads to it; what cannot be resolved fails to open with a reason.
    let path = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let stamp = Stamp::of(&path);
    let survey = file::open(&path)?;
    Ok((path, stamp, survey))
}

fn take_lock(side: &Side, path: &Path) -> Result<(Option<Lock>, Vec<Said>), NotOpened> {
    match lock(side) {
        Locked::Ours(lock) => Ok((Some(lock), Vec::new())),
        Locked::Elsewhere => Err(NotOpened::OpenElsewhere(path.to_owned())),
        Locked::Impossible => Ok((
            None,
            vec![Said::plain(
                "this folder keeps no locks: do not open the survey in a second window as well",
            )],
        )),
    }
}

/// Half-written files of a program that was killed.
fn clear(path: &Path, side: &Side) {
    let [beside, own] = side.folders().clone();
    for folder in [folder_of(path), photo::folder_of(path), side.states(), beside, own] {
        clear_half_written(&folder);
    }
}

fn begin(
    path: PathBuf,
    side: Side,
    survey: Survey,
    writer: Writer,
    pace: Pace,
    lock: Option<Lock>,
    said: &mut Vec<Said>,
) -> Result<Session, NotOpened> {
    let mut survey = survey;
    let recovered = recover(&side, &mut survey);
    said.extend(recovered.said);
    let saver = Saver::start(writer, pace)
        .map_err(|error| NotOpened::Refused(say!("the survey cannot be opened: {}", why(&error))))?;
    let session = Session {
        state: state_of(&survey),
        number: u64::from(recovered.brought_back > 0),
        journal: Journal::going_on(&side, recovered.free, &recovered.lines),
        history: recovered.history,
        survey: Arc::new(survey),
        path,
        side,
        saver,
        _lock: lock,
    };
    if session.number > 0 {
        session.saver.want(&session.survey, session.number, true);
    }
    Ok(session)
}

/// Writes a new file under the first name that is free.
fn make(survey: &Survey, name: &str, folder: &Path) -> Result<PathBuf, NotOpened> {
    let cannot = |reason| {
        NotOpened::Refused(say!("no survey can be begun in {}: {}", folder.display().to_string(), reason))
    };
    file::make_folder(folder).map_err(|error| cannot(why(&error)))?;
    for path in candidates(folder, name) {
        match file::create(&path, survey) {
            Ok(()) => return Ok(path),
            Err(FileError::System { reason, .. }) if reason.kind() == ErrorKind::AlreadyExists => {}
            Err(error) => return Err(cannot(super::trouble::why_not_saved(&error))),
        }
    }
    Err(cannot(Said::plain("too many surveys of that name are there already")))
}
