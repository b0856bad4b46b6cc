//! The window as the rest of the program sees it.

use std::cell::RefCell;
use std::rc::Rc;

use slint::{ComponentHandle, LogicalSize, PlatformError};

use crate::generated::{
    DeadfrontWindow, DisplayAdapter, FindingsAdapter, LoadsAdapter, Mark, Navigation, PanelsAdapter,
    Place as GeneratedPlace, RunsAdapter, Setting, SiteAdapter, SuppliesAdapter,
};
use crate::view::{FindingView, ItemView, SurveyView};
use crate::{Picture, Place, Theme, convert};

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
    survey: Rc<RefCell<SurveyView>>,
}

impl AppWindow {
    /// Makes the window, empty and not yet on the screen.
    ///
    /// # Errors
    /// [`WindowError::NoDisplay`] where there is no display, [`WindowError::NoFonts`] where the
    /// system's font service knows no font.
    pub fn new() -> Result<Self, WindowError> {
        let window = make_window()?;
        let survey = Rc::new(RefCell::new(SurveyView::default()));
        connect(&window, &survey);
        window.global::<DisplayAdapter>().set_version(env!("CARGO_PKG_VERSION").into());
        let this = Self { window, survey };
        this.show(&SurveyView::default());
        Ok(this)
    }

    /// Fills the window with a survey. Place and theme stay; selections stay where their rows do.
    pub fn show(&self, survey: &SurveyView) {
        self.survey.replace(survey.clone());
        self.window.set_survey_title((&survey.title).into());
        self.window.set_survey_subtitle((&survey.subtitle).into());
        fill_site(&self.window, survey);
        fill_supplies(&self.window, survey);
        fill_panels(&self.window, survey);
        fill_runs(&self.window, survey);
        fill_loads(&self.window, survey);
        let filter = self.window.global::<FindingsAdapter>().get_filter();
        fill_findings(&self.window, survey, filter);
    }

    /// Puts the window on the screen and stays until it is closed.
    ///
    /// # Errors
    /// [`WindowError::NoDisplay`] when it cannot be shown, [`WindowError::Stopped`] when the event
    /// loop fails.
    pub fn run(&self) -> Result<(), WindowError> {
        self.window.show().map_err(no_display)?;
        slint::run_event_loop().map_err(|error| WindowError::Stopped(error.to_string()))?;
        self.window.hide().map_err(no_display)
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

    /// Opens the display page: light, text size, about.
    pub fn open_display_page(&self) {
        self.window.global::<Navigation>().set_display_open(true);
    }

    /// Opens a finding by its id. An id that no finding bears changes nothing.
    pub fn open_finding(&self, id: &str) {
        self.window.global::<Navigation>().invoke_open_finding(id.into());
    }

    /// Opens the thing at `index` in the list of the current place; past the end, nothing.
    pub fn open(&self, index: usize) {
        let navigation = self.window.global::<Navigation>();
        if select(&self.window, navigation.get_place(), index).is_some() {
            navigation.invoke_open_detail();
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
fn connect(window: &DeadfrontWindow, survey: &Rc<RefCell<SurveyView>>) {
    let weak = window.as_weak();
    let shown = Rc::clone(survey);
    window.global::<FindingsAdapter>().on_filter_chosen(move |mark| {
        let Some(window) = weak.upgrade() else { return };
        choose_filter(&window, &shown.borrow(), mark);
    });
    let weak = window.as_weak();
    let shown = Rc::clone(survey);
    window.global::<Navigation>().on_finding_opened(move |id| {
        weak.upgrade().is_some_and(|window| select_finding(&window, &shown.borrow(), &id))
    });
}

/// Shows the findings of one verdict; the same verdict a second time shows all.
fn choose_filter(window: &DeadfrontWindow, survey: &SurveyView, mark: Mark) {
    let adapter = window.global::<FindingsAdapter>();
    let same = adapter.get_filter() == mark;
    adapter.set_selected(0);
    fill_findings(window, survey, if same { Mark::None } else { mark });
}

/// Selects the finding of this id among all; says whether there is one.
fn select_finding(window: &DeadfrontWindow, survey: &SurveyView, id: &str) -> bool {
    let Some(finding) = survey.findings.iter().find(|finding| finding.id == id) else {
        return false;
    };
    let filter = if is_listed(finding, Mark::None) { Mark::None } else { Mark::from(finding.mark) };
    let before = survey.findings.iter().take_while(|finding| finding.id != id);
    let index = before.filter(|finding| is_listed(finding, filter)).count();
    fill_findings(window, survey, filter);
    window.global::<FindingsAdapter>().set_selected(row_number(index));
    true
}

fn fill_site(window: &DeadfrontWindow, survey: &SurveyView) {
    window.global::<SiteAdapter>().set_facts(convert::facts(&survey.site));
}

/// Fills an adapter that has rows, items and a selection.
macro_rules! fill_items {
    ($adapter:expr, $items:expr, $survey:expr) => {{
        let adapter = $adapter;
        let items: Vec<&ItemView> = $items.collect();
        adapter.set_selected(kept(adapter.get_selected(), items.len()));
        adapter.set_items(convert::model(items.iter().map(|item| convert::item(item, $survey))));
        adapter.set_rows(convert::model(items.iter().map(|item| convert::item_row(item))));
    }};
}

fn fill_supplies(window: &DeadfrontWindow, survey: &SurveyView) {
    fill_items!(window.global::<SuppliesAdapter>(), survey.supplies.iter(), survey);
}

fn fill_runs(window: &DeadfrontWindow, survey: &SurveyView) {
    fill_items!(window.global::<RunsAdapter>(), survey.runs.iter(), survey);
}

fn fill_loads(window: &DeadfrontWindow, survey: &SurveyView) {
    fill_items!(window.global::<LoadsAdapter>(), survey.loads.iter(), survey);
}

fn fill_panels(window: &DeadfrontWindow, survey: &SurveyView) {
    let adapter = window.global::<PanelsAdapter>();
    adapter.set_ways(convert::model(survey.panels.iter().map(convert::panel_ways)));
    fill_items!(adapter, survey.panels.iter().map(|panel| &panel.item), survey);
}

/// Without a filter the list holds what asks for action; what meets stands behind its count.
fn is_listed(finding: &FindingView, filter: Mark) -> bool {
    let mark = Mark::from(finding.mark);
    if filter == Mark::None { !matches!(mark, Mark::Meets | Mark::NotApplicable) } else { mark == filter }
}

fn fill_findings(window: &DeadfrontWindow, survey: &SurveyView, filter: Mark) {
    let adapter = window.global::<FindingsAdapter>();
    let passes = |finding: &&FindingView| is_listed(finding, filter);
    let findings: Vec<&FindingView> = survey.findings.iter().filter(passes).collect();
    adapter.set_filter(filter);
    adapter.set_total(row_number(survey.findings.len()));
    adapter.set_counts(convert::counts(survey));
    adapter.set_selected(kept(adapter.get_selected(), findings.len()));
    adapter.set_findings(convert::model(findings.iter().map(|finding| convert::finding(finding))));
    adapter.set_rows(convert::model(findings.iter().map(|finding| convert::finding_row(finding))));
}

/// Selects a row of a place's list; `None` past its end or where a place has no list.
fn select(window: &DeadfrontWindow, place: GeneratedPlace, index: usize) -> Option<()> {
    use slint::Model as _;
    macro_rules! choose {
        ($adapter:ty) => {{
            let adapter = window.global::<$adapter>();
            (index < adapter.get_rows().row_count()).then(|| adapter.set_selected(row_number(index)))
        }};
    }
    match place {
        GeneratedPlace::Supplies => choose!(SuppliesAdapter),
        GeneratedPlace::Panels => choose!(PanelsAdapter),
        GeneratedPlace::Runs => choose!(RunsAdapter),
        GeneratedPlace::Loads => choose!(LoadsAdapter),
        GeneratedPlace::Findings => choose!(FindingsAdapter),
        _ => None,
    }
}

/// The selection if its row is still there, else the first row.
fn kept(selected: i32, rows: usize) -> i32 {
    if selected >= 0 && selected < row_number(rows) { selected } else { 0 }
}

fn row_number(index: usize) -> i32 {
    i32::try_from(index).unwrap_or(i32::MAX)
}
