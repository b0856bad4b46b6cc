//! The window as the rest of the program sees it.

use std::cell::RefCell;
use std::rc::Rc;
use std::sync::Arc;

use deadfront_rules::Assessment;
use deadfront_rules::say;
use deadfront_rules::survey::{Id, Survey};
use deadfront_rules::walk;
use deadfront_rules::words;
use slint::{ComponentHandle, LogicalSize, PlatformError};

use crate::ask::{Ask, Offer};
use crate::desk::Desk;
use crate::display::translate;
use crate::generated::{
    Answering, Capacity, DeadfrontWindow, Detail, DisplayAdapter, FindingsAdapter, Handover, Isolation,
    Licences, Listing, Navigation, Page, Pick, Recent as RecentRow, Setting, Sheet, Sizing, Status, Surveys,
    Viewer, Walk,
};
use crate::sizing::Target;
use crate::words::tell;
use crate::{
    Browsed, Deed, DisplayChoice, Entry, Folder, Intent, Picture, Place, Prices, Recent, Standing, Theme,
    Told,
};

/// Smallest and largest text, as a factor on the standard size.
const TEXT_SCALES: std::ops::RangeInclusive<f32> = 1.0..=1.5;

/// Why there is no window, or no picture of it.
#[derive(Debug, thiserror::Error)]
pub enum WindowError {
    /// Occurs where no display is reachable, or the platform gives no window. Holds the platform's
    /// own words, which are for a log, not for a reader.
    #[error(
        "no window can be opened here, since no display was found; \
         the commands `check`, `report` and `explain` need none"
    )]
    NoDisplay(String),
    /// Occurs where the system's font service is there but knows not a single font.
    #[error(
        "no window can be opened here, since the system has no font at all; \
         install one font package; the commands `check`, `report` and `explain` need none"
    )]
    NoFonts,
    /// Occurs when the event loop ends with an error.
    #[error("the window stopped ({0})")]
    Stopped(String),
    /// Occurs when the renderer in use cannot give its pixels.
    #[error("no picture of the window can be made ({0})")]
    NoPicture(String),
}

/// The window. It shows the last survey it was given.
pub struct AppWindow {
    pub(crate) window: DeadfrontWindow,
    desk: Rc<Desk>,
    timers: RefCell<Vec<slint::Timer>>,
}

/// Runs a window; see [`AppWindow::runner`].
pub struct Runner(DeadfrontWindow);

impl Runner {
    /// Puts the window on the screen and stays until it is closed.
    ///
    /// # Errors
    /// [`WindowError::NoDisplay`] when it cannot be shown, [`WindowError::Stopped`] when the event
    /// loop fails.
    pub fn run(&self) -> Result<(), WindowError> {
        self.0.show().map_err(no_display)?;
        slint::run_event_loop().map_err(|error| WindowError::Stopped(error.to_string()))?;
        self.0.hide().map_err(no_display)
    }
}

impl AppWindow {
    /// Makes the window, empty and not yet on the screen.
    ///
    /// # Errors
    /// [`WindowError::NoDisplay`] where there is no display, [`WindowError::NoFonts`] where the
    /// system's font service knows no font.
    pub fn new() -> Result<Self, WindowError> {
        let window = make_window()?;
        let desk = Desk::new(&window);
        connect(&window, &desk);
        window.global::<DisplayAdapter>().set_version(env!("CARGO_PKG_VERSION").into());
        window.global::<Licences>().set_all(crate::models::fixed(crate::licences::licences()));
        window.global::<Setting>().set_language(words::spoken().code().into());
        translate(words::spoken());
        desk.refresh();
        Ok(Self { window, desk, timers: RefCell::default() })
    }

    #[cfg(test)]
    pub(crate) fn desk(&self) -> Rc<Desk> {
        Rc::clone(&self.desk)
    }

    /// Shows another survey: nothing of the last one lies open any more.
    pub fn show(&self, survey: Arc<Survey>, assessment: Arc<Assessment>) {
        self.desk.show(survey, assessment, None, false);
    }

    /// Shows the same survey after an edit: what lies open stays open, and the verdicts that the
    /// edit changed are marked.
    pub fn show_edited(&self, survey: Arc<Survey>, assessment: Arc<Assessment>) {
        self.desk.show(survey, assessment, None, true);
    }

    /// The same where the checks, and the walk that follows from them, were made beside the window.
    pub fn show_checked(&self, survey: Arc<Survey>, assessment: Arc<Assessment>, walk: Arc<walk::Walk>) {
        self.desk.show(survey, assessment, Some(walk), true);
    }

    /// Says how things stand with the file.
    pub fn set_standing(&self, standing: &Standing) {
        // Asked for every second, so only what is new is drawn.
        if self.desk.stand(standing) {
            self.desk.refresh();
        }
    }

    /// Lists the surveys that can be opened, and the folder of new ones.
    pub fn set_recents(&self, recents: &[Recent], folder: &str) {
        let surveys = self.window.global::<Surveys>();
        let row = |recent: &Recent| RecentRow {
            key: (&recent.key).into(),
            name: (&recent.name).into(),
            place: (&recent.place).into(),
            missing: recent.missing,
            current: recent.current,
        };
        surveys.set_recents(crate::models::fixed(recents.iter().map(row)));
        surveys.set_folder(folder.into());
    }

    /// Shows a folder in which a survey may lie, on the page of surveys.
    pub fn set_browsed(&self, browsed: &Browsed) {
        let surveys = self.window.global::<Surveys>();
        let pick =
            |entry: &Entry, chosen| Pick { key: (&entry.path).into(), text: (&entry.name).into(), chosen };
        surveys.set_roots(crate::models::fixed(
            browsed.roots.iter().map(|root| pick(root, root.path == browsed.folder)),
        ));
        let row = |entry: &Entry| RecentRow {
            key: (&entry.path).into(),
            name: (&entry.name).into(),
            place: if entry.is_folder { tell(&say!("folder")) } else { tell(&say!("file")) },
            missing: false,
            current: entry.is_folder,
        };
        surveys.set_entries(crate::models::fixed(browsed.entries.iter().map(row)));
        surveys.set_browsed((&browsed.folder).into());
        surveys.set_above((&browsed.above).into());
        surveys.set_path_problem((&browsed.problem).into());
    }

    /// Says on the page of surveys what went wrong there; an empty text says nothing.
    pub fn set_surveys_problem(&self, problem: &str) {
        self.window.global::<Surveys>().set_problem(problem.into());
    }

    /// Prices of cable, as they were kept.
    pub fn set_prices(&self, prices: Prices) {
        self.desk.size_with(|settings| settings.set_prices(prices));
    }

    /// Offers folders to watch, and pictures for a photo of an item: paths and names, the newest first.
    pub fn offer_photos(&self, item: &Id, folders: Vec<Folder>, pictures: Vec<(String, String)>) {
        self.desk.ask(Ask::Photo(Offer { item: item.clone(), folders, pictures, with_place: false }));
    }

    /// Shows the small pictures of photos: id, width, height, RGB bytes. One whose bytes do not fit its
    /// size is left out.
    pub fn set_small_pictures(&self, pictures: impl IntoIterator<Item = (Id, u32, u32, Vec<u8>)>) {
        let image =
            |(id, width, height, rgb): (Id, u32, u32, Vec<u8>)| Some((id, image(width, height, &rgb)?));
        self.desk.set_small_pictures(pictures.into_iter().filter_map(image).collect());
    }

    /// Shows a photo large, if it still is what the person looks at: width, height, RGB bytes; or says why
    /// it cannot be shown.
    pub fn show_large_picture(&self, photo: Id, picture: Result<(u32, u32, &[u8]), String>) {
        let broken = || say!("this picture is broken and cannot be read").to_string();
        let picture = picture.and_then(|(width, height, rgb)| image(width, height, rgb).ok_or_else(broken));
        self.desk.take_large_picture(photo, picture);
    }

    /// Shows what stands in the Handover place, and what can be done there.
    pub fn set_handover(&self, told: &[Told], deeds: &[Deed]) {
        crate::handover::fill(&self.window, told, deeds);
    }

    /// The signature was taken: its sheet closes. With a problem it stays open and says it.
    pub fn signed(&self, problem: &str) {
        if problem.is_empty() {
            self.desk.set_signing(false);
        } else {
            self.window.global::<Handover>().set_problem(problem.into());
        }
    }

    /// An answer was taken, or not: the problem is said where it was given.
    pub fn answered(&self, problem: &str) {
        self.window.global::<Answering>().set_problem(problem.into());
    }

    /// Says something once, above the page, until the next edit.
    pub fn say(&self, text: &str) {
        self.desk.say(text);
    }

    /// Calls `work` again and again with this pause, as long as the window lives.
    pub fn every(&self, pause: std::time::Duration, work: impl FnMut() + 'static) {
        let timer = slint::Timer::default();
        timer.start(slint::TimerMode::Repeated, pause, work);
        self.timers.borrow_mut().push(timer);
    }

    /// Hears what the person wants. One listener; a second takes the first one's place.
    pub fn on_intent(&self, listener: impl Fn(Intent) + 'static) {
        self.desk.listen(listener);
    }

    /// Puts the window on the screen and stays until it is closed.
    ///
    /// # Errors
    /// As [`Runner::run`].
    pub fn run(&self) -> Result<(), WindowError> {
        self.runner().run()
    }

    /// What runs the window while its owner answers it.
    #[must_use]
    pub fn runner(&self) -> Runner {
        Runner(self.window.clone_strong())
    }

    /// Shows a survey after an edit whose checks are still under way; the last verdicts stand till then.
    pub fn show_unchecked(&self, survey: Arc<Survey>) {
        self.desk.show_unchecked(survey);
    }

    /// Draws for daylight or for the dark.
    pub fn set_theme(&self, theme: Theme) {
        self.window.global::<Setting>().set_dark(theme == Theme::Dark);
    }

    /// Scales all text, 1.0 to 1.5; a factor outside is brought to the nearer end.
    pub fn set_text_scale(&self, factor: f32) {
        let factor = if factor.is_nan() { 1.0 } else { factor };
        let scale = factor.clamp(*TEXT_SCALES.start(), *TEXT_SCALES.end());
        self.window.global::<Setting>().set_text_scale(scale);
    }

    /// Sets the size of the window [logical px].
    pub fn set_size(&self, width: f32, height: f32) {
        self.window.window().set_size(LogicalSize::new(width, height));
    }

    /// Goes to a place and shows its list.
    pub fn go_to(&self, place: Place) {
        self.window.global::<Navigation>().invoke_go(place.into());
    }

    /// Shows the window as it was chosen. Texts that lie open are told in the language from their next
    /// showing on.
    pub fn set_display(&self, choice: &DisplayChoice) {
        self.set_theme(if choice.dark { Theme::Dark } else { Theme::Daylight });
        self.set_text_scale(f32::from(choice.percent) / 100.0);
        self.window.global::<Setting>().set_language(choice.language.code().into());
        words::speak_from_now(choice.language);
        translate(choice.language);
        self.desk.refresh();
    }

    /// Opens the display page: light, text size, about.
    pub fn open_display_page(&self) {
        self.window.global::<Navigation>().invoke_show_page(Page::Display);
    }

    /// Opens the list of packages and licences.
    pub fn open_licences_page(&self) {
        self.window.global::<Navigation>().invoke_show_page(Page::Licences);
    }

    /// Opens the page on which a cable is sized.
    pub fn open_sizing_page(&self) {
        self.desk.add(crate::lists::SIZING);
    }

    /// Opens the page of surveys.
    pub fn open_surveys_page(&self) {
        self.window.global::<Navigation>().invoke_show_page(Page::Surveys);
    }

    /// Closes whatever page lies over the places.
    pub fn close_page(&self) {
        let navigation = self.window.global::<Navigation>();
        if navigation.get_page() != Page::None {
            navigation.set_page(Page::None);
        }
    }

    /// Opens a finding by its id. An id that no finding bears changes nothing.
    pub fn open_finding(&self, id: &str) {
        self.window.global::<Navigation>().invoke_open_finding(id.into());
    }

    /// Opens an item by its id. An id that nothing bears changes nothing.
    pub fn open_item(&self, id: &str) {
        self.window.global::<Navigation>().invoke_open_item(id.into());
    }

    /// Opens a photo large by its id. An id that no photo bears changes nothing.
    pub fn open_photo(&self, id: &str) {
        self.desk.view_photo(id);
    }

    /// Closes the photo that lies large over the page.
    pub fn close_photo(&self) {
        self.desk.close_photo();
    }

    /// Opens the sheet of a field of the item that lies open.
    pub fn open_field(&self, field: &str) {
        self.desk.field_tapped(field);
    }

    /// Opens the next question of the walk.
    pub fn answer_next(&self) {
        self.desk.answer_next();
    }

    /// Opens the thing at `index` in the list of the current place; past the end, nothing.
    pub fn open(&self, index: usize) {
        if self.desk.open_numbered(index) {
            self.window.global::<Navigation>().invoke_open_detail();
        }
    }

    /// The pixels of the window as it stands.
    ///
    /// # Errors
    /// [`WindowError::NoPicture`] when the renderer in use cannot give them.
    pub fn picture(&self) -> Result<Picture, WindowError> {
        let pixels = self
            .window
            .window()
            .take_snapshot()
            .map_err(|error| WindowError::NoPicture(error.to_string()))?;
        Ok(Picture { width: pixels.width(), height: pixels.height(), rgba: pixels.as_bytes().to_vec() })
    }
}

/// The font list of the window toolkit (fontique 0.11.1) panics where fontconfig is installed and
/// no font is. The window brings its own font, but that list is made first.
fn make_window() -> Result<DeadfrontWindow, WindowError> {
    std::panic::catch_unwind(DeadfrontWindow::new).map_err(|_| WindowError::NoFonts)?.map_err(no_display)
}

fn no_display(error: PlatformError) -> WindowError {
    WindowError::NoDisplay(error.to_string())
}

/// Answers what the window asks for.
fn connect(window: &DeadfrontWindow, desk: &Rc<Desk>) {
    /// A handler that holds the desk.
    macro_rules! on {
        ($global:ty, $on:ident, |$desk:ident $(, $arg:ident)*| $body:expr) => {{
            let $desk = Rc::clone(desk);
            window.global::<$global>().$on(move |$($arg),*| $body);
        }};
    }
    on!(DisplayAdapter, on_chosen, |desk| desk.display_chosen());
    on!(Navigation, on_arrived, |desk| desk.arrived());
    on!(Navigation, on_finding_opened, |desk, id| desk.open_finding_named(&id));
    on!(Navigation, on_item_opened, |desk, id| desk.open_item_named(&id));
    on!(Navigation, on_stepped_back, |desk| desk.step_back());
    on!(Navigation, on_sheet_left, |desk| desk.sheet_left());
    on!(Listing, on_opened, |desk, row| desk.open_row(index(row)));
    on!(Listing, on_act, |desk, key| desk.add(&key));
    on!(Detail, on_field_tapped, |desk, key| desk.field_tapped(&key));
    on!(Detail, on_photo_tapped, |desk, id| desk.view_photo(&id));
    on!(Viewer, on_turned, |desk, by| desk.turn_photo(by));
    on!(Viewer, on_closed, |desk| desk.close_photo());
    on!(Detail, on_act, |desk, key| desk.act(&key));
    on!(FindingsAdapter, on_filter_chosen, |desk, mark| desk.choose_filter(mark));
    on!(FindingsAdapter, on_opened, |desk, row| desk.open_finding_row(index(row)));
    on!(FindingsAdapter, on_wanted_tapped, |desk, item, field| desk.wanted_tapped(&item, &field));
    on!(Answering, on_given, |desk, key| desk.answer_finding(&key));
    on!(Answering, on_withdrawn, |desk| desk.withdraw_answer());
    on!(Answering, on_next, |desk| desk.next_unanswered());
    on!(Status, on_undone, |desk| desk.tell(Intent::Undo));
    on!(Status, on_redone, |desk| desk.tell(Intent::Redo));
    on!(Status, on_changed_tapped, |desk| desk.show_changed());
    on!(Walk, on_answered, |desk| desk.answer_next());
    on!(Walk, on_later, |desk| desk.later());
    on!(Sheet, on_pressed, |desk, key| desk.key_pressed(&key));
    on!(Sheet, on_unit_chosen, |desk, key| desk.unit_chosen(&key));
    on!(Sheet, on_usual_chosen, |desk, key| desk.usual_chosen(&key));
    on!(Sheet, on_picked, |desk, key| desk.picked(&key));
    on!(Sheet, on_not_seen, |desk| desk.clear());
    on!(Sheet, on_cleared, |desk| desk.clear());
    on!(Sheet, on_cannot_see, |desk| desk.cannot_see());
    on!(Sheet, on_done, |desk| desk.done());
    on!(Sheet, on_skip, |desk| desk.skip());
    on!(Isolation, on_mode_chosen, |desk, key| desk.rehearse(|state| state.choose_mode(&key)));
    on!(Isolation, on_view_chosen, |desk, key| desk.rehearse(|state| state.choose_view(&key)));
    on!(Isolation, on_tapped, |desk, id| desk.switched(&id));
    on!(Isolation, on_draw_way, |desk, key| desk.draw_way(&key));
    on!(Isolation, on_act, |desk, key| desk.act_on_isolation(&key));
    on!(Isolation, on_place_chosen, |desk, key| desk.rehearse(|state| state.place = Id::new(&key)));
    on!(Isolation, on_target_chosen, |desk, key| desk.rehearse(|state| state.choose_target(&key)));
    on!(Capacity, on_chosen, |desk, key| desk.topic_chosen(&key));
    on!(Capacity, on_mode_chosen, |desk, key| desk.try_with(|state| state.choose_mode(&key)));
    on!(Capacity, on_ticked, |desk, key| desk.try_with(|state| state.tick(&key)));
    on!(Handover, on_act, |desk, key| desk.act_on_handover(&key));
    on!(Handover, on_role_chosen, |desk, key| desk.choose_role(&key));
    on!(Handover, on_pen_down, |desk, x, y| desk.write(|pen| pen.down(x, y)));
    on!(Handover, on_pen_moved, |desk, x, y| desk.write(|pen| pen.moved(x, y)));
    on!(Handover, on_pen_up, |desk| desk.write(crate::handover::Pen::up));
    on!(Handover, on_ink_cleared, |desk| desk.write(crate::handover::Pen::wipe));
    on!(Handover, on_signed, |desk| desk.sign(false));
    on!(Handover, on_signed_typed, |desk| desk.sign(true));
    on!(Handover, on_left, |desk| desk.set_signing(false));
    on!(Sizing, on_turned, |desk, key, by| desk.size_with(|settings| settings.turn(&key, by)));
    on!(Sizing, on_chosen, |desk, key, pick| desk.size_chosen(&key, &pick));
    on!(Sizing, on_entered, |desk, key| desk.enter_for_sizing(Target::Figure(key.to_string())));
    on!(Sizing, on_planned, |desk, metal| desk.plan(&metal));
    on!(Sizing, on_priced, |desk, metal, size| desk.price_size(&metal, &size));
    on!(Sizing, on_cable_priced, |desk, cable| desk.enter_for_sizing(Target::Price(cable.to_string())));
    on!(Surveys, on_opened, |desk, key| desk.tell(Intent::OpenSurvey(key.to_string())));
    on!(Surveys, on_elsewhere, |desk, path| desk.tell(Intent::GoElsewhere(path.to_string())));
    on!(Surveys, on_act, |desk, key| match key.as_str() {
        "new" => desk.tell(Intent::NewSurvey),
        "copy" => desk.tell(Intent::SaveCopy),
        _ => {}
    });
}

/// A picture for the screen; none where its bytes do not fit its size.
fn image(width: u32, height: u32, rgb: &[u8]) -> Option<slint::Image> {
    let fits = width > 0 && rgb.len() == width as usize * height as usize * 3;
    let pixels = fits.then(|| slint::SharedPixelBuffer::clone_from_slice(rgb, width, height))?;
    Some(slint::Image::from_rgb8(pixels))
}

/// A row number of the window as an index.
fn index(row: i32) -> usize {
    usize::try_from(row).unwrap_or(usize::MAX)
}
