//! The page of surveys: those opened lately, the built-in house, a new one, a copy.

use std::path::{Path, PathBuf};

use chrono::Local;
use deadfront_rules::finding::Said;
use deadfront_rules::say;
use deadfront_ui::{Place, Recent as Row};

use super::{Visit, sentences};
use crate::store::{NotOpened, Opened, Pace, Places, Poll, Recent, Session, opened_before, recents};

/// The key of the built-in house; no path is empty.
const DEMO: &str = "";

/// The survey that was opened last, if it is there and free.
pub(super) fn last(places: &Places) -> Option<Opened> {
    opened_before(places).iter().find_map(|file| Session::open(file, places, Pace::default()).ok())
}

impl Visit {
    /// Lists the surveys that can be opened.
    pub(super) fn list_surveys(&self) {
        let open = self.session.as_ref().map(|session| session.path().to_owned());
        let rows: Vec<Row> =
            recents(&self.places).iter().map(|recent| row(recent, open.as_deref())).collect();
        self.window.set_recents(&rows, &self.places.documents.to_string_lossy());
        self.browse_documents();
    }

    /// Nothing is open yet: the list is the first page.
    pub(super) fn show_surveys(&self) {
        self.stand();
        self.list_surveys();
        self.window.open_surveys_page();
    }

    pub(super) fn new_survey(&mut self) {
        let today = Local::now().date_naive();
        let name = say!("House of {}", today.format("%Y-%m-%d").to_string()).to_string();
        let opened = Session::new(&name, None, today, &self.places, Pace::default());
        self.go_over_to(opened);
        self.window.go_to(Place::Site);
    }

    pub(super) fn open_survey(&mut self, key: &str) {
        let is_open = self.session.as_ref().is_some_and(|session| session.path() == Path::new(key));
        if is_open {
            self.window.close_page();
            return;
        }
        let opened = if key == DEMO {
            Session::demo(&self.places, Pace::default())
        } else {
            Session::open(Path::new(key), &self.places, Pace::default())
        };
        self.go_over_to(opened);
    }

    /// Opens a file that was found or typed; why not is said where that was done.
    pub(super) fn open_path(&mut self, path: &Path) -> Result<(), Said> {
        if self.session.as_ref().is_some_and(|session| session.path() == path) {
            self.window.close_page();
            return Ok(());
        }
        self.turn_to(Session::open(path, &self.places, Pace::default()))
    }

    fn go_over_to(&mut self, opened: Result<Opened, NotOpened>) {
        if let Err(why) = self.turn_to(opened) {
            self.window.set_surveys_problem(&why.to_string());
        }
    }

    /// Ends the session in hand and takes up another. What cannot be written keeps the person here.
    fn turn_to(&mut self, opened: Result<Opened, NotOpened>) -> Result<(), Said> {
        let opened = opened.map_err(|not_opened| not_opened.said())?;
        if let Some(Err(unsaved)) = self.session.take().map(Session::close) {
            let (session, why) = *unsaved;
            self.session = Some(session);
            return Err(say!("{}", why.to_string()));
        }
        self.window.set_surveys_problem("");
        self.take_up(opened);
        Ok(())
    }

    /// Writes a copy beside the survey, under the next name that is free.
    pub(super) fn save_copy(&mut self) {
        let Some(session) = &self.session else { return };
        let Some(to) = free_name(session.path()) else { return };
        self.copying = Some(session.save_copy(to, false));
    }

    pub(super) fn collect_copy(&mut self) {
        let Some(job) = &self.copying else { return };
        let said: Said = match job.poll() {
            Poll::Working => return,
            Poll::Done(Ok(said) | Err(said)) => said,
            Poll::Failed => say!("The copy was not made."),
        };
        self.copying = None;
        self.window.close_page();
        self.window.say(&sentences(&[said]));
    }
}

fn row(recent: &Recent, open: Option<&Path>) -> Row {
    match recent {
        Recent::Demo => Row {
            key: DEMO.to_owned(),
            name: say!("Demo house (invented)").to_string(),
            place: say!("built in").to_string(),
            missing: false,
            current: false,
        },
        Recent::Survey { file, name, opened, missing } => Row {
            key: file.to_string_lossy().into_owned(),
            name: name.clone(),
            place: format!(
                "{}, {}",
                file.to_string_lossy(),
                opened.with_timezone(&Local).format("%Y-%m-%d %H:%M")
            ),
            missing: *missing,
            current: open == Some(file),
        },
    }
}

/// `house copy.json`, `house copy 2.json` and so on, whichever is free.
fn free_name(path: &Path) -> Option<PathBuf> {
    const MOST: usize = 1000;
    let stem = path.file_stem()?.to_string_lossy().into_owned();
    (1..MOST)
        .map(|number| {
            let number = if number == 1 { String::new() } else { format!(" {number}") };
            path.with_file_name(format!("{stem} copy{number}.json"))
        })
        .find(|candidate| !candidate.exists())
}
