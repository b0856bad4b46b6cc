//! A visit: one window over one survey at a time. It takes what the person wants to the session and
//! the file, and what comes of it back to the window. It decides nothing about electricity.

mod assessing;
mod display;
mod elsewhere;
mod folders;
mod handing;
mod paper;
mod photos;
mod prices;
mod surveys;

use std::cell::RefCell;
use std::path::Path;
use std::rc::Rc;
use std::time::Duration;

use chrono::Local;
use deadfront_rules::edit::{self, Refused};
use deadfront_rules::finding::Said;
use deadfront_rules::say;
use deadfront_rules::survey::{Answer, Id};
use deadfront_ui::{AppWindow, DisplayChoice, Intent, Standing, WindowError};

use crate::sign::{Signer, may_edit};
use crate::store::{Job, Opened, Pace, Places, Session};
use assessing::Assessing;
use handing::Handing;
use photos::Photos;

/// How often what could not be written is tried again, and the camera's folder is looked into.
const LOOK_AGAIN: Duration = Duration::from_secs(1);
/// How often work that was handed to another thread is asked for.
const POLL: Duration = Duration::from_millis(15);

/// What the visit opens with.
#[derive(Debug)]
pub enum Begin<'a> {
    /// A survey file.
    File(&'a Path),
    /// The built-in invented house.
    Demo,
    /// The survey that was opened last, or the list of surveys.
    Last,
}

/// One window and what it works on.
struct Visit {
    window: AppWindow,
    places: Places,
    session: Option<Session>,
    assessing: Assessing,
    photos: Photos,
    /// A PDF or hand-out being written.
    handing: Option<Handing>,
    /// A copy being written.
    copying: Option<Job<Result<Said, Said>>>,
}

/// Opens the window and stays until it is closed.
///
/// # Errors
/// [`WindowError`] where there is no display; the file's own error where a named file cannot be opened.
pub fn visit(begin: &Begin<'_>, places: Places) -> anyhow::Result<()> {
    // The file first: what is wrong with it is said on the command line.
    let opened = match begin {
        Begin::File(path) => Some(Session::open(path, &places, Pace::default())?),
        Begin::Demo => Some(Session::demo(&places, Pace::default())?),
        Begin::Last => surveys::last(&places),
    };
    let window = AppWindow::new()?;
    // What was chosen the last time; else the language of the command line.
    if let Some(choice) = display::read(&places) {
        window.set_display(&choice);
    }
    let visit = Rc::new(RefCell::new(Visit::new(window, places)));
    listen(&visit);
    watch(&visit);
    match opened {
        Some(opened) => visit.borrow_mut().take_up(opened),
        None => visit.borrow_mut().show_surveys(),
    }
    visit.borrow().window.set_prices(prices::read(&visit.borrow().places));
    run(&visit)?;
    let session = visit.borrow_mut().session.take();
    if let Some(Err(unsaved)) = session.map(Session::close) {
        anyhow::bail!("{}", unsaved.1);
    }
    Ok(())
}

/// Runs the window. Its handlers borrow the visit in turn, so it must not be borrowed meanwhile.
fn run(visit: &Rc<RefCell<Visit>>) -> Result<(), WindowError> {
    let runner = visit.borrow().window.runner();
    runner.run()
}

fn listen(visit: &Rc<RefCell<Visit>>) {
    let weak = Rc::downgrade(visit);
    visit.borrow().window.on_intent(move |intent| {
        if let Some(visit) = weak.upgrade() {
            visit.borrow_mut().hear(intent);
        }
    });
}

/// Looks from time to time at what goes on beside the window.
fn watch(visit: &Rc<RefCell<Visit>>) {
    let weak = Rc::downgrade(visit);
    visit.borrow().window.every(LOOK_AGAIN, move || {
        if let Some(visit) = weak.upgrade() {
            visit.borrow_mut().look_again();
        }
    });
    let weak = Rc::downgrade(visit);
    visit.borrow().window.every(POLL, move || {
        if let Some(visit) = weak.upgrade() {
            visit.borrow_mut().poll();
        }
    });
}

impl Visit {
    fn new(window: AppWindow, places: Places) -> Self {
        Self {
            window,
            places,
            session: None,
            assessing: Assessing::default(),
            photos: Photos::default(),
            handing: None,
            copying: None,
        }
    }

    /// Shows a session that was just opened.
    fn take_up(&mut self, opened: Opened) {
        let Opened { session, said } = opened;
        let survey = session.shared();
        let assessment = self.assessing.at_once(&survey);
        self.window.show(survey, assessment);
        self.photos.begin(&session, &self.places);
        self.session = Some(session);
        self.stand();
        self.list_surveys();
        self.window.close_page();
        if !said.is_empty() {
            self.window.say(&sentences(&said));
        }
    }

    fn hear(&mut self, intent: Intent) {
        match intent {
            // The window offers none of these on a signed survey; a sheet may still have been open, and keys reach
            // past the buttons.
            Intent::Edit(edit) => self.change_facts(|session| session.edit(*edit).map(|_| ())),
            Intent::Undo => self.change_facts(|session| session.undo().map(|_| ())),
            Intent::Redo => self.change_facts(|session| session.redo().map(|_| ())),
            Intent::AddReading(item) => self.add_reading(&item),
            Intent::ViewPhoto(photo) => self.view_photo(photo),
            Intent::AttachPhoto(item) => self.offer_photos(&item),
            Intent::TakePhoto { item, path, with_place } => self.take_photo(item, &path, with_place),
            Intent::KeepPrices(prices) => {
                if let Err(why) = prices::keep(&self.places, &prices) {
                    self.window.say(&why.to_string());
                }
            }
            Intent::KeepDisplay(choice) => self.keep_display(&choice),
            Intent::Handover(key) => self.hand_over(&key),
            Intent::Sign { name, role, licence, strokes, typed } => {
                let when = Local::now().fixed_offset();
                let ink = if typed { None } else { handing::ink(&strokes) };
                if ink.is_some() || typed {
                    self.sign(Signer { name, role, licence, when, ink });
                } else {
                    let why =
                        say!("Nothing is drawn yet: sign with a finger or a pen, or by the typed name.");
                    self.window.signed(&why.to_string());
                }
            }
            Intent::Answer { check, item, answer, reason, by } => {
                let when = Local::now().fixed_offset();
                self.answer(Answer { check, item, answer, reason, by, when });
            }
            Intent::Withdraw { check, item } => self.withdraw(&check, &item),
            Intent::NewSurvey => self.new_survey(),
            Intent::SaveCopy => self.save_copy(),
            Intent::OpenSurvey(key) => self.open_survey(&key),
            Intent::GoElsewhere(path) => self.go_elsewhere(&path),
        }
    }

    /// Changes what was surveyed, unless somebody has signed it.
    fn change_facts(&mut self, change: impl FnOnce(&mut Session) -> Result<(), Refused>) {
        self.change(|session| unless_signed(session, change));
    }

    /// Changes the survey, and shows what came of it.
    fn change(&mut self, change: impl FnOnce(&mut Session) -> Result<(), Refused>) {
        let Some(session) = &mut self.session else { return };
        match change(session) {
            Ok(()) => self.show_change(),
            Err(refused) => self.window.say(&refused.to_string()),
        }
    }

    fn show_change(&mut self) {
        let Some(session) = &self.session else { return };
        let survey = session.shared();
        self.stand();
        match self.assessing.begin(&survey) {
            Some(assessment) => self.window.show_edited(survey, assessment),
            None => self.window.show_unchecked(survey),
        }
        self.photos.follow(self.session.as_ref());
    }

    /// Keeps how the window is shown. Names of nameless things are made while a survey is assessed, so
    /// that is done anew in the language that is spoken now.
    fn keep_display(&mut self, choice: &DisplayChoice) {
        if let Err(why) = display::keep(&self.places, choice) {
            self.window.say(&why.to_string());
        }
        if let Some(session) = &self.session {
            let survey = session.shared();
            let assessment = self.assessing.at_once(&survey);
            self.window.show_edited(survey, assessment);
            self.stand();
        }
    }

    fn add_reading(&mut self, item: &Id) {
        let Some(session) = &self.session else { return };
        let now = Local::now().fixed_offset();
        match edit::add_reading(session.survey(), item, now, "", &[]) {
            Ok((edit, id)) => {
                self.change_facts(|session| session.edit(edit).map(|_| ()));
                self.window.open_item(id.as_str());
            }
            Err(refused) => self.window.say(&refused.to_string()),
        }
    }

    /// Says how things stand with the file.
    fn stand(&self) {
        self.show_handover();
        let Some(session) = &self.session else {
            self.window.set_standing(&Standing { nothing_open: true, ..Standing::default() });
            return;
        };
        let name = |said: Option<Said>| said.map_or_else(String::new, |said| said.to_string());
        self.window.set_standing(&Standing {
            banner: session.banner().map_or_else(String::new, |banner| banner.text.to_string()),
            undo: name(session.undo_name()),
            redo: name(session.redo_name()),
            editable: may_edit(session.survey()).is_ok(),
            nothing_open: false,
        });
    }

    fn look_again(&mut self) {
        let said = self.session.as_mut().map(Session::tick).unwrap_or_default();
        if !said.is_empty() {
            self.window.say(&sentences(&said));
        }
        self.stand();
        self.photos.look();
    }

    /// Collects what other threads have done.
    fn poll(&mut self) {
        if let Some((survey, assessment, walk)) = self.assessing.poll() {
            self.window.show_checked(survey, assessment, walk);
        }
        self.collect_photos();
        self.collect_copy();
        self.collect_handing();
    }
}

fn unless_signed(
    session: &mut Session,
    change: impl FnOnce(&mut Session) -> Result<(), Refused>,
) -> Result<(), Refused> {
    may_edit(session.survey()).map_err(|frozen| Refused(say!("{}", frozen.sentence())))?;
    change(session)
}

fn sentences(said: &[Said]) -> String {
    said.iter().map(ToString::to_string).collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests;
