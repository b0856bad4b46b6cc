//! Where the person is and what lies open, and what each touch does.
//!
//! The window is told by [`Desk::show`] what the survey is; it answers touches by [`Intent`]s and
//! never changes the survey itself.

use std::cell::{Cell, RefCell};
use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::rc::Rc;
use std::sync::Arc;

use deadfront_rules::drawing;
use deadfront_rules::edit::{self, Edit, LastWay, Refused};
use deadfront_rules::finding::Said;
use deadfront_rules::house::{House, Item, site_id};
use deadfront_rules::say;
use deadfront_rules::survey::form::Form;
use deadfront_rules::survey::{CANNOT_BE_SEEN, Id, ItemKind, Role, Survey};
use deadfront_rules::walk::{self, Answer, Step, Walk};
use deadfront_rules::words;
use deadfront_rules::{Assessment, assess};
use slint::{ComponentHandle as _, ModelRc, SharedString, VecModel, Weak};

use crate::ask::{Ask, Next};
use crate::display;
use crate::generated::{
    self, Answering, Capacity, DeadfrontWindow, Detail, FindingsAdapter, Handover as HandoverGlobal, Listing,
    Navigation, Page, PlaceState, Setting, Sheet as SheetGlobal, Status, Walk as WalkGlobal,
};
use crate::handover::{Pen, SIGN};
use crate::isolation::{self, Rehearsing};
use crate::lists::{self, Lines};
use crate::models::{longest, row_number, sync};
use crate::scene::with_letters;
use crate::sheet::Sheet;
use crate::shown::Shown;
use crate::sizing::{self, OF_SURVEY, OTHER, Plan, Settings, Target};
use crate::trying::{self, Trying};
use crate::viewer::Viewing;
use crate::words::{capital, label, tell, word};
use crate::{Intent, Mark, Place, Standing, answering, capacity, detail, findings, readings};

/// Values entered lately that are offered again, for each field.
const RECENTS: usize = 4;
/// Pages that stand beside the places in the bar.
const BESIDE: usize = 2;

type Listener = Box<dyn Fn(Intent)>;

/// The state of the window.
pub(crate) struct Desk {
    window: Weak<DeadfrontWindow>,
    shown: RefCell<Rc<Shown>>,
    /// What lies open in each place: the listed item first, then what was opened inside it.
    trails: RefCell<BTreeMap<Place, Vec<Id>>>,
    filter: Cell<Option<Mark>>,
    changed_only: Cell<bool>,
    open_finding: Cell<Option<usize>>,
    /// The finding whose answer is in the fields.
    answering: Cell<Option<usize>>,
    sheet: RefCell<Option<Sheet>>,
    ask: RefCell<Option<Ask>>,
    skipped: RefCell<BTreeSet<(Id, String)>>,
    /// What is still asked of the circuit that was just added.
    circuit: RefCell<Option<Circuit>>,
    /// The next question.
    next: RefCell<Option<Step>>,
    recents: RefCell<BTreeMap<String, Vec<String>>>,
    units: RefCell<BTreeMap<&'static str, String>>,
    /// What to open when the survey comes back from an edit.
    to_open: RefCell<Option<Id>>,
    settings: RefCell<Settings>,
    rehearsing: RefCell<Rehearsing>,
    pen: RefCell<Pen>,
    /// The name that was filled in for who signs; another one was written by hand and is kept.
    filled_in: RefCell<SharedString>,
    /// What is shown in the Capacity place.
    topic: RefCell<Option<String>>,
    trying: RefCell<Trying>,
    small: RefCell<BTreeMap<Id, slint::Image>>,
    viewing: RefCell<Viewing>,
    lines: Rc<Lines>,
    finding_lines: Rc<Lines>,
    models: Models,
    standing: RefCell<Option<Standing>>,
    listener: RefCell<Option<Listener>>,
}

/// What is entered before any check can miss a fact.
#[derive(Clone, Copy)]
enum Beginning {
    Supply,
    Panel,
}

impl Beginning {
    fn question(self) -> Said {
        match self {
            Self::Supply => say!("What feeds this house?"),
            Self::Panel => say!("Which is the first panel after the meter?"),
        }
    }

    /// As a question of the walk is put off.
    fn key(self) -> (Id, String) {
        let what = match self {
            Self::Supply => "supplies",
            Self::Panel => "panels",
        };
        (site_id(), what.to_owned())
    }
}

/// A circuit that was just added, while its device and wire are asked for.
struct Circuit {
    panel: Id,
    /// Fields by item, the next first.
    left: VecDeque<(Id, &'static str)>,
}

impl Circuit {
    /// As a circuit is read in the panel: the device first, then the wire.
    const OF_WAY: [&'static str; 3] = ["device.kind", "device.rating", "device.poles"];
    const OF_RUN: [&'static str; 4] = ["method", "size", "material", "length"];

    fn of(shown: &Shown, way: &Id) -> Self {
        let runs = shown.runs_at(way).iter().map(|at| shown.survey.runs[*at].id.clone());
        let mut left: VecDeque<(Id, &'static str)> =
            Self::OF_WAY.iter().map(|field| (way.clone(), *field)).collect();
        left.extend(runs.flat_map(|run| Self::OF_RUN.iter().map(move |field| (run.clone(), *field))));
        Self { panel: lists::owner(shown, way), left }
    }
}

/// The rows that are brought up to date in place.
#[derive(Default)]
struct Models {
    fields: Rc<VecModel<generated::Field>>,
    related: Rc<VecModel<generated::RowData>>,
    findings: Rc<VecModel<generated::RowData>>,
    places: Rc<VecModel<PlaceState>>,
    picks: Rc<VecModel<generated::Pick>>,
    usual: Rc<VecModel<generated::Pick>>,
    units: Rc<VecModel<generated::Pick>>,
    loads: Rc<VecModel<generated::Pick>>,
}

impl Desk {
    pub(crate) fn new(window: &DeadfrontWindow) -> Rc<Self> {
        let survey = Arc::new(Survey::empty(""));
        let assessment = Arc::new(assess(&survey));
        let shown = Rc::new(Shown::of(survey, assessment, None));
        let this = Rc::new(Self {
            window: window.as_weak(),
            lines: Lines::new(Rc::clone(&shown)),
            finding_lines: Lines::new(Rc::clone(&shown)),
            shown: RefCell::new(shown),
            trails: RefCell::default(),
            filter: Cell::default(),
            changed_only: Cell::default(),
            open_finding: Cell::default(),
            answering: Cell::default(),
            sheet: RefCell::default(),
            ask: RefCell::default(),
            skipped: RefCell::default(),
            circuit: RefCell::default(),
            next: RefCell::default(),
            recents: RefCell::default(),
            units: RefCell::default(),
            to_open: RefCell::default(),
            settings: RefCell::default(),
            rehearsing: RefCell::default(),
            pen: RefCell::default(),
            filled_in: RefCell::default(),
            topic: RefCell::default(),
            trying: RefCell::default(),
            small: RefCell::default(),
            viewing: RefCell::default(),
            models: Models::default(),
            standing: RefCell::default(),
            listener: RefCell::default(),
        });
        this.hand_over_models(window);
        this
    }

    fn hand_over_models(&self, window: &DeadfrontWindow) {
        window.global::<Listing>().set_rows(ModelRc::from(Rc::clone(&self.lines)));
        window.global::<FindingsAdapter>().set_rows(ModelRc::from(Rc::clone(&self.finding_lines)));
        let detail = window.global::<Detail>();
        detail.set_fields(ModelRc::from(Rc::clone(&self.models.fields)));
        detail.set_related(ModelRc::from(Rc::clone(&self.models.related)));
        detail.set_findings(ModelRc::from(Rc::clone(&self.models.findings)));
        window.global::<Status>().set_places(ModelRc::from(Rc::clone(&self.models.places)));
        window.global::<Capacity>().set_loads(ModelRc::from(Rc::clone(&self.models.loads)));
        let sheet = window.global::<SheetGlobal>();
        sheet.set_picks(ModelRc::from(Rc::clone(&self.models.picks)));
        sheet.set_usual(ModelRc::from(Rc::clone(&self.models.usual)));
        sheet.set_units(ModelRc::from(Rc::clone(&self.models.units)));
    }

    pub(crate) fn listen(&self, listener: impl Fn(Intent) + 'static) {
        self.listener.replace(Some(Box::new(listener)));
    }

    /// Light, text size or language was chosen.
    pub(crate) fn display_chosen(&self) {
        let Some(window) = self.window() else { return };
        let choice = display::chosen(&window.global::<Setting>());
        if choice.language != words::spoken() {
            words::speak_from_now(choice.language);
            display::translate(choice.language);
            self.shown().forget_overviews();
            self.refresh();
        }
        self.tell(Intent::KeepDisplay(choice));
    }

    pub(crate) fn tell(&self, intent: Intent) {
        // What was said of the last deed is no news after the next one.
        if matches!(intent, Intent::Edit(_) | Intent::Undo | Intent::Redo) {
            self.say("");
        }
        if let Some(listener) = &*self.listener.borrow() {
            listener(intent);
        }
    }

    fn window(&self) -> Option<DeadfrontWindow> {
        self.window.upgrade()
    }

    fn shown(&self) -> Rc<Shown> {
        Rc::clone(&self.shown.borrow())
    }

    fn place(&self) -> Place {
        self.window().map_or(Place::Site, |window| window.global::<Navigation>().get_place().into())
    }

    /// Shows a survey. `edited`: it is the same survey after an edit, whose changes are marked.
    pub(crate) fn show(
        &self,
        survey: Arc<Survey>,
        assessment: Arc<Assessment>,
        walk: Option<Arc<Walk>>,
        edited: bool,
    ) {
        let before = edited.then(|| Arc::clone(&self.shown().assessment));
        let shown = Shown::of(survey, assessment, before.as_deref()).with_walk(walk);
        self.shown.replace(Rc::new(shown));
        if !edited {
            self.trails.borrow_mut().clear();
            self.skipped.borrow_mut().clear();
            self.recents.borrow_mut().clear();
            self.changed_only.set(false);
            self.open_finding.set(None);
            self.answering.set(None);
            self.forget_answering();
            self.rehearsing.take();
            self.viewing.borrow_mut().close();
        }
        self.forget_what_is_gone();
        if let Some(id) = self.to_open.take() {
            self.follow(&id);
        }
        self.refresh();
    }

    /// Shows a survey whose checks are still under way.
    pub(crate) fn show_unchecked(&self, survey: Arc<Survey>) {
        let shown = Shown::unchecked(survey, &self.shown());
        self.shown.replace(Rc::new(shown));
        self.forget_what_is_gone();
        if let Some(id) = self.to_open.take() {
            self.follow(&id);
        }
        self.refresh();
    }

    /// Items that an edit or an undo took away can no longer lie open.
    fn forget_what_is_gone(&self) {
        let shown = self.shown();
        for trail in self.trails.borrow_mut().values_mut() {
            trail.retain(|id| exists(&shown, id));
        }
        if self.sheet.borrow().as_ref().is_some_and(|sheet| !exists(&shown, &sheet.item)) {
            self.close_sheet();
        }
        let count = shown.assessment.findings.len();
        if self.open_finding.get().is_some_and(|at| at >= count) {
            self.open_finding.set(None);
        }
        if self.answering.get().is_some_and(|at| at >= count) {
            self.answering.set(None);
        }
    }

    /// Fills everything that is in sight.
    pub(crate) fn refresh(&self) {
        let Some(window) = self.window() else { return };
        self.fill_status(&window);
        self.fill_walk(&window);
        self.fill_place(&window);
        self.fill_sheet(&window);
        self.fill_viewer(&window);
    }

    fn fill_place(&self, window: &DeadfrontWindow) {
        match self.place() {
            Place::Findings => self.fill_findings(window),
            Place::Isolation => self.fill_isolation(window),
            Place::Capacity => {
                window.global::<Navigation>().set_deeper(false);
                self.fill_capacity(window);
            }
            Place::Handover => {
                window.global::<Navigation>().set_deeper(false);
                crate::handover::fill_pen(window, &self.pen.borrow());
                answering::fill_progress(window, &self.shown());
            }
            Place::Site | Place::Supplies | Place::Panels | Place::Runs | Place::Loads => {
                self.fill_listing(window);
                self.fill_detail(window);
            }
        }
    }

    // The list and the detail of a place.

    fn fill_listing(&self, window: &DeadfrontWindow) {
        let (shown, place) = (self.shown(), self.place());
        self.lines.set(Rc::clone(&shown), lists::keys(&shown, place));
        let listing = window.global::<Listing>();
        listing.set_empty_text(tell(&lists::empty_text(place)));
        let editable = window.global::<Status>().get_surveying();
        listing.set_adds(crate::models::fixed(if editable { lists::adds(place) } else { Vec::new() }));
        let open = self.open_item().or_else(|| self.first_item());
        if let Some(id) = &open {
            self.trails.borrow_mut().entry(place).or_insert_with(|| vec![id.clone()]);
        }
        let line = open.and_then(|id| self.lines.line_of(&lists::owner(&shown, &id)));
        listing.set_selected(line.map_or(-1, row_number));
    }

    fn first_item(&self) -> Option<Id> {
        match self.lines.key(0)? {
            lists::Key::Item(id, _) => Some(id),
            lists::Key::Finding(_) => None,
        }
    }

    /// What lies open in the current place.
    fn open_item(&self) -> Option<Id> {
        self.trails.borrow().get(&self.place()).and_then(|trail| trail.last()).cloned()
    }

    fn fill_detail(&self, window: &DeadfrontWindow) {
        let (shown, detail) = (self.shown(), window.global::<Detail>());
        let Some(id) = self.open_item() else {
            detail.set_filled(false);
            return;
        };
        let editable = window.global::<Status>().get_surveying();
        let current = self.sheet.borrow().as_ref().map(|sheet| sheet.field.name.clone());
        sync(&self.models.fields, detail::fields(&shown, &id, current.as_deref()));
        sync(&self.models.related, detail::related(&shown, &id));
        detail.set_related_first(matches!(shown.item(&id), Some(Item::Way(..))));
        sync(&self.models.findings, detail::finding_rows(&shown, &id));
        detail.set_head(shown.row(&id));
        detail.set_inside(self.inside(&shown, &id));
        detail.set_adds(crate::models::fixed(if editable { detail::adds(&shown, &id) } else { Vec::new() }));
        detail.set_actions(crate::models::fixed(if editable {
            detail::actions(&shown, &id)
        } else {
            Vec::new()
        }));
        self.draw_face(window, &shown, &id);
        detail.set_readings(crate::models::fixed(readings::readings(&shown, &id)));
        detail.set_readings_note(word(readings::ONE_MOMENT));
        detail.set_photos(crate::models::fixed(self.thumbs(&shown, &id)));
        detail.set_filled(true);
        let depth = self.trails.borrow().get(&self.place()).map_or(0, Vec::len);
        window.global::<Navigation>().set_deeper(depth > 1);
    }

    /// The photos of an item; one whose picture is not there yet is a blank sheet.
    fn thumbs(&self, shown: &Shown, id: &Id) -> Vec<generated::Thumb> {
        let small = self.small.borrow();
        let photos = shown.survey.photos.iter().filter(|photo| photo.of == *id);
        photos
            .map(|photo| generated::Thumb {
                id: photo.id.as_str().into(),
                picture: small.get(&photo.id).cloned().unwrap_or_default(),
                caption: photo.caption.as_str().into(),
            })
            .collect()
    }

    // A photo, large.

    fn fill_viewer(&self, window: &DeadfrontWindow) {
        let small = self.small.borrow();
        self.viewing.borrow_mut().fill(window, &self.shown(), |id| small.get(id).cloned());
    }

    /// A photo was tapped: it is shown at once as it is at hand, and large when it has been read.
    pub(crate) fn view_photo(&self, id: &str) {
        let Some(id) = Id::new(id) else { return };
        let to_read = self.viewing.borrow_mut().open(id.clone());
        if let Some(window) = self.window() {
            self.fill_viewer(&window);
        }
        if to_read {
            self.tell(Intent::ViewPhoto(id));
        }
    }

    /// To the photo before or after.
    pub(crate) fn turn_photo(&self, by: i32) {
        let wanted = self.viewing.borrow().turned(&self.shown(), by);
        if let Some(id) = wanted {
            self.view_photo(id.as_str());
        }
    }

    pub(crate) fn close_photo(&self) {
        self.viewing.borrow_mut().close();
        if let Some(window) = self.window() {
            self.fill_viewer(&window);
        }
    }

    /// A large picture was read, or why it was not.
    pub(crate) fn take_large_picture(&self, photo: Id, picture: Result<slint::Image, String>) {
        self.viewing.borrow_mut().take(photo, picture);
        if let Some(window) = self.window() {
            self.fill_viewer(&window);
        }
    }

    /// A panel is drawn as it hangs on the wall.
    fn draw_face(&self, window: &DeadfrontWindow, shown: &Shown, id: &Id) {
        let detail = window.global::<Detail>();
        let Some(Item::Panel(at)) = shown.item(id) else {
            detail.set_drawn(false);
            return;
        };
        let house = House::new(&shown.survey);
        let marks = drawing::marks(&shown.assessment);
        let scene = with_letters(|letters| drawing::panel_face(&house, at, &marks, letters));
        detail.set_drawing(crate::scene::drawing(&scene, shown));
        detail.set_drawn(true);
    }

    fn inside(&self, shown: &Shown, id: &Id) -> SharedString {
        let owner = lists::owner(shown, id);
        if owner == *id { SharedString::new() } else { shown.name_of(&owner).into() }
    }

    fn turn_detail(&self) {
        let Some(window) = self.window() else { return };
        let detail = window.global::<Detail>();
        detail.set_turn(detail.get_turn().wrapping_add(1));
    }

    /// A row of the list was tapped.
    pub(crate) fn open_row(&self, row: usize) {
        let Some(lists::Key::Item(id, _)) = self.lines.key(row) else { return };
        self.close_sheet();
        self.trails.borrow_mut().insert(self.place(), vec![id]);
        self.turn_detail();
        self.refresh();
    }

    /// The row with this number is opened, in whatever list is shown; whether there is one.
    pub(crate) fn open_numbered(&self, row: usize) -> bool {
        use slint::Model as _;
        if self.place() == Place::Findings {
            if row >= self.finding_lines.row_count() {
                return false;
            }
            self.open_finding_row(row);
        } else {
            if row >= self.lines.row_count() {
                return false;
            }
            self.open_row(row);
        }
        true
    }

    /// Opens an item wherever its list is; answers whether there is one.
    pub(crate) fn open_item_named(&self, id: &str) -> bool {
        let Some(id) = Id::new(id) else { return false };
        if !exists(&self.shown(), &id) {
            return false;
        }
        self.close_sheet();
        let place = self.home(&id);
        if let Some(window) = self.window() {
            window.global::<Navigation>().set_place_of_item(place.into());
            window.invoke_take_keys();
        }
        self.follow(&id);
        self.turn_detail();
        // The place itself is changed by the window; what it shows is filled when it has arrived.
        if place == self.place() {
            self.refresh();
        } else if let Some(window) = self.window() {
            window.global::<Navigation>().set_place(place.into());
            self.refresh();
        }
        true
    }

    fn home(&self, id: &Id) -> Place {
        let (kind, _) = self.shown().described(id);
        match self.shown().item(id) {
            Some(_) => lists::place_of(kind),
            None => Place::Site,
        }
    }

    /// Puts an item on the trail of its place.
    fn follow(&self, id: &Id) {
        let (shown, place) = (self.shown(), self.home(id));
        let mut trails = self.trails.borrow_mut();
        let trail = trails.entry(place).or_default();
        let owner = lists::owner(&shown, id);
        if place == self.place() && trail.first() == Some(&owner) && owner != *id {
            trail.truncate(1);
            trail.push(id.clone());
        } else {
            *trail = vec![id.clone()];
        }
    }

    /// One step back inside the detail.
    pub(crate) fn step_back(&self) {
        if let Some(trail) = self.trails.borrow_mut().get_mut(&self.place()) {
            trail.pop();
        }
        self.turn_detail();
        self.refresh();
    }

    /// The person came to another place.
    pub(crate) fn arrived(&self) {
        if let Some(window) = self.window() {
            window.global::<Navigation>().set_deeper(false);
            window.global::<Detail>().set_filled(false);
        }
        self.turn_detail();
        self.refresh();
    }

    // The findings.

    fn fill_findings(&self, window: &DeadfrontWindow) {
        let (shown, adapter) = (self.shown(), window.global::<FindingsAdapter>());
        let listed = findings::listed(&shown, self.filter.get(), self.changed_only.get());
        let open = self.open_finding.get().filter(|at| listed.contains(at)).or(listed.first().copied());
        self.finding_lines.set(Rc::clone(&shown), listed.into_iter().map(lists::Key::Finding).collect());
        adapter.set_filter(self.filter.get().into());
        adapter.set_changed_only(self.changed_only.get());
        adapter.set_total(row_number(findings::total(&shown)));
        adapter.set_answer(findings::answer(&shown));
        adapter.set_counts(findings::counts(&shown));
        if let Some(at) = open {
            adapter.set_selected(self.finding_lines.line_of_finding(at).map_or(0, row_number));
            adapter.set_head(findings::finding_row(&shown, at));
            adapter.set_finding(findings::page(&shown, at));
        }
        if self.answering.replace(open) != open
            && let Some(at) = open
        {
            answering::turn_to(window, &shown, shown.finding(at));
        }
        answering::fill(window, &shown, open.map(|at| shown.finding(at)));
        window.global::<Navigation>().set_deeper(false);
    }

    /// Another survey: who answered the last one is nobody here.
    fn forget_answering(&self) {
        if let Some(window) = self.window() {
            window.global::<Answering>().set_by(SharedString::new());
        }
    }

    /// The electrician said something to the finding that lies open.
    pub(crate) fn answer_finding(&self, key: &str) {
        let (Some(window), Some(at)) = (self.window(), self.answering.get()) else { return };
        let shown = self.shown();
        if let Some(intent) = answering::given(&window, shown.finding(at), key) {
            self.tell(intent);
        }
    }

    pub(crate) fn withdraw_answer(&self) {
        let Some(at) = self.answering.get() else { return };
        let shown = self.shown();
        let finding = shown.finding(at);
        let (check, item) = (finding.check.to_owned(), finding.subject.id.clone());
        self.tell(Intent::Withdraw { check, item });
    }

    /// Opens the next finding without an answer, from wherever the person is.
    pub(crate) fn next_unanswered(&self) {
        let from = if self.place() == Place::Findings { self.answering.get() } else { None };
        let Some(at) = answering::next_open(&self.shown(), from) else { return };
        if let Some(window) = self.window() {
            window.global::<Navigation>().invoke_open_finding(findings::finding_id(at).as_str().into());
        }
    }

    pub(crate) fn open_finding_row(&self, row: usize) {
        let Some(lists::Key::Finding(at)) = self.finding_lines.key(row) else { return };
        self.open_finding.set(Some(at));
        self.refresh();
    }

    /// Shows the findings of one verdict; the same verdict a second time shows all.
    pub(crate) fn choose_filter(&self, mark: generated::Mark) {
        let wanted = Mark::COUNTED.into_iter().find(|counted| generated::Mark::from(*counted) == mark);
        let same = self.filter.get() == wanted && !self.changed_only.get();
        self.filter.set(if same { None } else { wanted });
        self.changed_only.set(false);
        self.open_finding.set(None);
        self.refresh();
    }

    /// Opens a finding by its id; answers whether there is one.
    pub(crate) fn open_finding_named(&self, id: &str) -> bool {
        let shown = self.shown();
        let Some(at) = findings::finding_at(&shown, id) else { return false };
        let mark = Mark::of(shown.finding(at));
        self.close_sheet();
        self.changed_only.set(false);
        self.filter.set(if mark.is_open() { None } else { Some(mark) });
        self.open_finding.set(Some(at));
        if let Some(window) = self.window() {
            self.fill_findings(&window);
            window.invoke_take_keys();
        }
        true
    }

    /// Lists what the last edit changed.
    pub(crate) fn show_changed(&self) {
        self.changed_only.set(true);
        self.filter.set(None);
        self.open_finding.set(None);
        if let Some(window) = self.window() {
            window.global::<Navigation>().invoke_go(Place::Findings.into());
        }
    }

    // The status and the walk.

    fn fill_status(&self, window: &DeadfrontWindow) {
        let (shown, status) = (self.shown(), window.global::<Status>());
        let site = &shown.survey.site;
        status.set_title(site.name.as_str().into());
        let date = site.date.map(|date| date.format("%Y-%m-%d").to_string());
        let invented = site.invented.then(|| tell(&say!("invented example")).to_string());
        let parts: Vec<String> = [invented, date].into_iter().flatten().collect();
        status.set_subtitle(parts.join(", ").into());
        status.set_changed(changed_text(&shown).map_or_else(SharedString::new, |said| tell(&said)));
    }

    /// Says something once, above the page.
    pub(crate) fn say(&self, text: &str) {
        if let Some(window) = self.window() {
            window.global::<Status>().set_said(text.into());
        }
    }

    /// The photos of the survey as small pictures, by their ids.
    pub(crate) fn set_small_pictures(&self, pictures: BTreeMap<Id, slint::Image>) {
        self.small.replace(pictures);
        if let Some(window) = self.window() {
            self.fill_place(&window);
        }
    }

    /// Whether anything is new about it.
    pub(crate) fn stand(&self, standing: &Standing) -> bool {
        let Some(window) = self.window() else { return false };
        if self.standing.replace(Some(standing.clone())).as_ref() == Some(standing) {
            return false;
        }
        let status = window.global::<Status>();
        status.set_banner(standing.banner.as_str().into());
        status.set_undo(standing.undo.as_str().into());
        status.set_redo(standing.redo.as_str().into());
        status.set_surveying(standing.editable);
        status.set_nothing_open(standing.nothing_open);
        true
    }

    fn fill_walk(&self, window: &DeadfrontWindow) {
        let shown = self.shown();
        let walk = shown.walk();
        self.fill_places(&shown, walk);
        let skipped = self.skipped.borrow();
        let is_skipped = |step: &Step| !skipped.is_empty() && skipped.contains(&key_of(step));
        let put_off =
            if skipped.is_empty() { 0 } else { walk.steps.iter().filter(|step| is_skipped(step)).count() };
        let left = walk.steps.len() - put_off;
        let next = walk.steps.iter().find(|step| !is_skipped(step) && !shown.is_answered(step));
        let global = window.global::<WalkGlobal>();
        global.set_any(left > 0);
        global.set_left(row_number(left));
        global.set_skipped(row_number(put_off));
        if let Some(beginning) = self.beginning(&shown) {
            global.set_any(true);
            global.set_left(row_number(left + 1));
            global.set_at(shown.survey.site.name.as_str().into());
            global.set_ask(tell(&beginning.question()));
        } else if let Some(step) = next {
            global.set_at(shown.described(&step.item).1.into());
            global.set_ask(
                step.question.map_or_else(
                    || label(&step.fact.replace(['_', '.'], " ")),
                    |question| word(question.ask),
                ),
            );
        }
        self.next.replace(next.cloned());
    }

    /// What an empty survey begins with, before any check can miss a fact.
    fn beginning(&self, shown: &Shown) -> Option<Beginning> {
        let survey = &shown.survey;
        let wanted = if survey.supplies.is_empty() {
            Beginning::Supply
        } else if survey.panels.is_empty() {
            Beginning::Panel
        } else {
            return None;
        };
        let put_off = self.skipped.borrow().contains(&wanted.key());
        (!put_off).then_some(wanted)
    }

    fn fill_places(&self, shown: &Shown, walk: &walk::Walk) {
        let mut places: BTreeMap<Place, PlaceState> = BTreeMap::new();
        if self.nothing_open() {
            sync(&self.models.places, vec![PlaceState::default(); Place::ALL.len() + BESIDE]);
            return;
        }
        for (at, finding) in shown.assessment.findings.iter().enumerate() {
            let mark = Mark::of(finding);
            if !mark.is_open() {
                continue;
            }
            for place in [self.home_of_finding(at), Place::Findings] {
                let state = places.entry(place).or_default();
                if state.open == 0 {
                    state.mark = mark.into();
                }
                state.open += 1;
            }
        }
        for progress in &walk.progress {
            let state = places.entry(place_on_the_way(&progress.place)).or_default();
            state.known += row_number(progress.done);
            state.asked += row_number(progress.total);
        }
        let mut rows: Vec<PlaceState> =
            Place::ALL.into_iter().map(|place| places.remove(&place).unwrap_or_default()).collect();
        // The pages beside the places.
        rows.extend(std::iter::repeat_n(PlaceState::default(), BESIDE));
        sync(&self.models.places, rows);
    }

    fn nothing_open(&self) -> bool {
        self.standing.borrow().as_ref().is_some_and(|standing| standing.nothing_open)
    }

    fn home_of_finding(&self, at: usize) -> Place {
        lists::place_of(self.shown().finding(at).subject.kind)
    }

    /// The next question is answered now.
    pub(crate) fn answer_next(&self) {
        match self.beginning(&self.shown()) {
            Some(Beginning::Supply) => return self.ask(Ask::Supply),
            Some(Beginning::Panel) => {
                return self.added(edit::add(&self.shown().survey, ItemKind::Panel, None));
            }
            None => {}
        }
        if self.next.borrow().is_none() {
            self.skipped.borrow_mut().clear();
            self.refresh();
        }
        let Some(step) = self.next.borrow().clone() else { return };
        self.ask_step(&step);
    }

    /// Opens what a question of the walk is answered on: a sheet, or what is to be added.
    fn ask_step(&self, step: &Step) {
        match &step.answer {
            Answer::Enter { field } => {
                self.walk_to(&step.item);
                self.open_sheet(&step.item, field, true);
            }
            Answer::Add { kind: ItemKind::Load, within } => self.ask(Ask::Load(within.clone())),
            Answer::Add { kind, within } => self.added(edit::add(&self.shown().survey, *kind, Some(within))),
            Answer::AddRunTo { to } => self.ask(Ask::RunTo(to.clone())),
        }
    }

    /// The place of an item, so that its line stands beside its sheet.
    fn walk_to(&self, item: &Id) {
        let Some(window) = self.window() else { return };
        let navigation = window.global::<Navigation>();
        let place = self.home(item);
        if place != self.place() {
            navigation.set_has_origin(false);
            navigation.set_place(place.into());
        }
        self.follow(item);
    }

    /// The next question is put off.
    pub(crate) fn later(&self) {
        let beginning = self.beginning(&self.shown());
        let step = self.next.borrow().as_ref().map(key_of);
        let Some(key) = beginning.map(|beginning| beginning.key()).or(step) else { return };
        self.skipped.borrow_mut().insert(key);
        self.refresh();
    }

    // The sheet.

    /// A field of the open item was tapped.
    pub(crate) fn field_tapped(&self, field: &str) {
        if let Some(id) = self.open_item() {
            self.open_sheet(&id, field, false);
        }
    }

    /// Opens the sheet of a field. A fact that is no field of its own leads to its item.
    pub(crate) fn open_sheet(&self, item: &Id, name: &str, walking: bool) {
        let Some(window) = self.window() else { return };
        if !window.global::<Status>().get_surveying() {
            return;
        }
        let fields = edit::fields(&self.shown().survey, item);
        let Some(field) = fields.into_iter().find(|field| field.name == name) else {
            self.close_sheet();
            window.global::<Navigation>().invoke_open_item(item.as_str().into());
            return;
        };
        let unit = self.units.borrow().get(form_name(&field)).cloned();
        self.show_sheet(&window, Sheet::of(item.clone(), field, walking, unit.as_deref()), Page::None);
    }

    /// Puts a sheet over a page; leaving it leads back there.
    fn show_sheet(&self, window: &DeadfrontWindow, sheet: Sheet, under: Page) {
        self.sheet.replace(Some(sheet));
        let global = window.global::<SheetGlobal>();
        global.set_turn(global.get_turn().wrapping_add(1));
        let navigation = window.global::<Navigation>();
        navigation.set_turn(navigation.get_turn().wrapping_add(1));
        self.refresh();
        navigation.set_under(under);
        navigation.set_page(Page::Sheet);
    }

    /// A sheet is done: back to what it lies over.
    fn leave_to_under(&self) {
        let Some(window) = self.window() else { return };
        let navigation = window.global::<Navigation>();
        let under = navigation.get_under();
        navigation.set_under(Page::None);
        navigation.set_page(under);
        if under == Page::Sizing {
            window.invoke_take_keys();
            self.fill_sizing(&window);
        }
    }

    fn close_sheet(&self) {
        self.circuit.take();
        let (sheet, ask) = (self.sheet.take(), self.ask.take());
        if sheet.is_none() && ask.is_none() {
            return;
        }
        let Some(window) = self.window() else { return };
        let navigation = window.global::<Navigation>();
        if navigation.get_page() == Page::Sheet {
            navigation.set_page(Page::None);
        }
    }

    /// Asks what must be known before something is added.
    pub(crate) fn ask(&self, ask: Ask) {
        let Some(window) = self.window() else { return };
        self.sheet.take();
        self.circuit.take();
        let shown = self.shown();
        let global = window.global::<SheetGlobal>();
        global.set_entry(if ask.may_be_typed() { generated::Entry::Text } else { generated::Entry::Pick });
        global.set_typed(SharedString::new());
        global.set_walking(false);
        global.set_at(ask.at().map_or_else(SharedString::new, |item| shown.name_of(item).into()));
        global.set_label(tell(&ask.question()));
        global.set_ask(tell(&ask.question()));
        global.set_look(tell(&ask.note()));
        global.set_unseen(SharedString::new());
        global.set_why(SharedString::new());
        global.set_is_fact(false);
        global.set_may_clear(false);
        global.set_problem(SharedString::new());
        global.set_turn(global.get_turn().wrapping_add(1));
        let (heading, above) = ask.above();
        global.set_usual_title(tell(&heading));
        global.set_usual_longest(longest(&above));
        sync(&self.models.usual, above);
        sync(&self.models.units, Vec::new());
        let picks = ask.picks(&shown);
        global.set_longest(longest(&picks));
        sync(&self.models.picks, picks);
        let navigation = window.global::<Navigation>();
        let from_sizing = navigation.get_page() == Page::Sizing || navigation.get_under() == Page::Sizing;
        navigation.set_under(if ask.is_of_sizing() && from_sizing { Page::Sizing } else { Page::None });
        self.ask.replace(Some(ask));
        // What was tapped goes with its page: keys would reach nothing.
        window.invoke_take_keys();
        navigation.set_page(Page::Sheet);
    }

    fn answered(&self, ask: &Ask, key: &str) {
        let next = ask.answer(&self.shown(), key);
        // The question is answered and its sheet goes; another question brings it back.
        if !matches!(next, Some(Next::Ask(_)))
            && let Some(window) = self.window()
        {
            window.global::<Navigation>().set_page(Page::None);
        }
        match next {
            Some(Next::Ask(ask)) => self.ask(ask),
            Some(Next::Added(made)) => {
                self.close_sheet();
                let way = made.as_ref().ok().map(|(_, id)| id.clone());
                self.added(made);
                if let (Ask::Again(_, last), Some(_)) = (ask, &way) {
                    self.say(&again_words(last).to_string());
                }
                if let (Ask::Circuit(_) | Ask::Again(..), Some(way)) = (ask, way) {
                    self.circuit.replace(Some(Circuit::of(&self.shown(), &way)));
                    self.go_on();
                }
            }
            Some(Next::Done(made)) => {
                self.close_sheet();
                self.done_or_said(made);
            }
            Some(Next::Tell(intent)) => {
                self.close_sheet();
                self.tell(intent);
            }
            Some(Next::SizeFor(load)) => {
                self.close_sheet();
                self.settings.borrow_mut().take_load(&self.shown().survey, &load);
                self.open_sizing();
            }
            Some(Next::Price(cable)) => self.enter_for_sizing(Target::Price(cable)),
            None => self.close_sheet(),
        }
    }

    fn fill_sheet(&self, window: &DeadfrontWindow) {
        let mut open = self.sheet.borrow_mut();
        let Some(sheet) = open.as_mut() else { return };
        let shown = self.shown();
        let global = window.global::<SheetGlobal>();
        global.set_entry(sheet.entry());
        global.set_walking(sheet.walking);
        global.set_at(match &sheet.of_sizing {
            Some(target) => target.at().into(),
            None => at(&shown.described(&sheet.item).1, &detail::heading(&sheet.field.name)),
        });
        global.set_label(label(sheet.field.label));
        global.set_ask(sheet.field.question.map_or_else(SharedString::new, |question| word(question.ask)));
        global.set_look(sheet.field.question.map_or_else(SharedString::new, |question| word(question.look)));
        global.set_unseen(
            sheet.field.question.map_or_else(SharedString::new, |question| word(question.unseen)),
        );
        global.set_why(self.why(&sheet.item, &sheet.field.name));
        global.set_is_fact(sheet.field.is_fact);
        global.set_may_clear(!sheet.field.is_fact && !sheet.field.is_required);
        global.set_known(match &sheet.field.state {
            edit::State::Known => generated::Known::Known,
            edit::State::NotSeen => generated::Known::NotSeen,
            edit::State::CannotBeSeen => generated::Known::Unseen,
            edit::State::InDoubt(_) => generated::Known::Doubt,
        });
        fill_typed(&global, sheet);
        let recents = self.recents.borrow();
        let recents = recents.get(&sheet.field.name).map_or(&[][..], Vec::as_slice);
        let usual = sheet.usual_picks(recents);
        let is_choice = matches!(sheet.field.form, Form::Choice(_)) && !usual.is_empty();
        let title = if is_choice { tell(&say!("Entered last")) } else { SharedString::new() };
        global.set_usual_title(title);
        global.set_usual_longest(longest(&usual));
        sync(&self.models.usual, usual);
        sync(&self.models.units, sheet.unit_picks());
        let picks = sheet.picks();
        global.set_longest(longest(&picks));
        sync(&self.models.picks, picks);
    }

    /// Which checks wait for a fact.
    fn why(&self, item: &Id, field: &str) -> SharedString {
        let shown = self.shown();
        let Some(step) = shown.walk().steps.iter().find(|step| step.item == *item && is_about(step, field))
        else {
            return SharedString::new();
        };
        let checks: Vec<String> =
            step.checks.iter().take(3).map(|check| words::phrase(check.replace('_', " "))).collect();
        let more = step.checks.len().saturating_sub(checks.len());
        let list = checks.join("; ");
        if more == 0 {
            tell(&say!("Checks that wait for it: {}.", list))
        } else {
            tell(&say!("Checks that wait for it: {}; and {} more.", list, more))
        }
    }

    fn with_sheet(&self, change: impl FnOnce(&mut Sheet)) {
        if let Some(sheet) = self.sheet.borrow_mut().as_mut() {
            change(sheet);
        }
        if let Some(window) = self.window() {
            self.fill_sheet(&window);
        }
    }

    pub(crate) fn key_pressed(&self, key: &str) {
        self.with_sheet(|sheet| sheet.press(key));
    }

    pub(crate) fn unit_chosen(&self, unit: &str) {
        self.with_sheet(|sheet| sheet.choose_unit(unit));
    }

    pub(crate) fn usual_chosen(&self, value: &str) {
        if let Some(ask) = self.ask.take() {
            self.answered(&ask, value);
            return;
        }
        self.keep(value);
    }

    pub(crate) fn picked(&self, key: &str) {
        if let Some(ask) = self.ask.take() {
            self.answered(&ask, key);
            return;
        }
        let several =
            self.sheet.borrow().as_ref().is_some_and(|sheet| sheet.entry() == generated::Entry::Several);
        if several { self.with_sheet(|sheet| sheet.toggle(key)) } else { self.keep(key) }
    }

    pub(crate) fn cannot_see(&self) {
        self.keep(CANNOT_BE_SEEN);
    }

    pub(crate) fn clear(&self) {
        self.keep("");
    }

    /// What was typed is kept, and the next question follows or the sheet closes.
    pub(crate) fn done(&self) {
        if let Some(ask) = self.ask.take() {
            let typed = self
                .window()
                .map_or_else(SharedString::new, |window| window.global::<SheetGlobal>().get_typed());
            self.answered(&ask, &typed);
            return;
        }
        self.take_typed_text();
        let entered = self.sheet.borrow().as_ref().map(Sheet::entered);
        if let Some(entered) = entered {
            self.keep(&entered);
        }
    }

    /// The question on the sheet is put off.
    pub(crate) fn skip(&self) {
        if self.circuit.borrow().is_some() {
            self.go_on();
            return;
        }
        let step = self.sheet.borrow().as_ref().and_then(|sheet| {
            self.shown()
                .walk()
                .steps
                .iter()
                .find(|step| step.item == sheet.item && is_about(step, &sheet.field.name))
                .cloned()
        });
        if let Some(step) = step {
            self.skipped.borrow_mut().insert(key_of(&step));
        }
        self.refresh();
        self.go_on();
    }

    /// The sheet is left by the way back: what was typed is kept all the same.
    pub(crate) fn sheet_left(&self) {
        self.take_typed_text();
        self.ask.take();
        self.circuit.take();
        if let Some(window) = self.window()
            && window.global::<Navigation>().get_under() == Page::Sizing
        {
            window.invoke_take_keys();
        }
        let Some(sheet) = self.sheet.take() else { return };
        let was = if sheet.field.state == edit::State::NotSeen { "" } else { sheet.field.entry.as_str() };
        if sheet.touched && sheet.entered() != was {
            let refused = self.keep_entry(&sheet, &sheet.entered());
            // Of a field of the survey it is kept in doubt; here nothing would tell that it was dropped.
            if let Some(refused) = refused.filter(|_| sheet.of_sizing.is_some()) {
                self.say_refused(&refused);
            }
        }
        self.refresh();
    }

    /// Text is typed into the window's own line; it is read when it is needed.
    fn take_typed_text(&self) {
        let Some(window) = self.window() else { return };
        if let Some(sheet) =
            self.sheet.borrow_mut().as_mut().filter(|sheet| sheet.entry() == generated::Entry::Text)
        {
            let text = window.global::<SheetGlobal>().get_typed().to_string();
            sheet.touched = sheet.touched || text != sheet.typed;
            sheet.typed = text;
        }
    }

    fn keep(&self, entry: &str) {
        let Some(sheet) = self.sheet.take() else { return };
        let walking = sheet.walking;
        let refused = self.keep_entry(&sheet, entry);
        if let Some(refused) = refused {
            self.sheet.replace(Some(sheet));
            if let Some(window) = self.window() {
                self.fill_sheet(&window);
                window.global::<SheetGlobal>().set_problem(refused.to_string().into());
            }
            return;
        }
        let in_doubt =
            if sheet.of_sizing.is_some() { None } else { self.doubt(&sheet.item, &sheet.field.name) };
        if let Some(field) = in_doubt {
            // What cannot be read is kept, and said at once where it was typed.
            let why = match &field.state {
                edit::State::InDoubt(why) => why.clone(),
                _ => String::new(),
            };
            self.sheet.replace(Some(Sheet { field, touched: false, ..sheet }));
            if let Some(window) = self.window() {
                self.fill_sheet(&window);
                window.global::<SheetGlobal>().set_problem(why.into());
            }
            return;
        }
        if walking {
            self.go_on();
        } else {
            self.leave_to_under();
            self.refresh();
        }
    }

    fn doubt(&self, item: &Id, field: &str) -> Option<edit::Field> {
        let fields = edit::fields(&self.shown().survey, item).into_iter();
        fields.into_iter().find(|kept| kept.name == field && matches!(kept.state, edit::State::InDoubt(_)))
    }

    /// Makes the edit of an entry and hands it on; gives back why it was refused.
    fn keep_entry(&self, sheet: &Sheet, entry: &str) -> Option<Refused> {
        if let Some(target) = &sheet.of_sizing {
            return self.keep_for_sizing(target, sheet, entry).err();
        }
        self.remember(sheet, entry);
        match edit::set(&self.shown().survey, &sheet.item, &sheet.field.name, entry) {
            Ok(edit) => {
                self.hand_on(edit);
                None
            }
            Err(refused) => Some(refused),
        }
    }

    /// A figure or a price of the sizing page is kept; prices beyond this survey.
    fn keep_for_sizing(&self, target: &Target, sheet: &Sheet, entry: &str) -> Result<(), Refused> {
        target.take(&mut self.settings.borrow_mut(), entry)?;
        self.remember(sheet, entry);
        if let Target::Price(_) = target {
            let prices = self.settings.borrow().prices().clone();
            self.tell(Intent::KeepPrices(prices));
        }
        Ok(())
    }

    fn hand_on(&self, edit: Edit) {
        if !edit.is_empty() {
            self.tell(Intent::Edit(Box::new(edit)));
        }
    }

    fn remember(&self, sheet: &Sheet, entry: &str) {
        if entry.is_empty() || entry == CANNOT_BE_SEEN {
            return;
        }
        if !sheet.unit.is_empty() {
            self.units.borrow_mut().insert(form_name(&sheet.field), sheet.unit.clone());
        }
        if sheet.may_repeat() {
            let mut recents = self.recents.borrow_mut();
            let list = recents.entry(sheet.field.name.clone()).or_default();
            list.retain(|known| known != entry);
            list.insert(0, entry.to_owned());
            list.truncate(RECENTS);
        }
    }

    /// On to the next question, or out of the sheet when there is none.
    fn go_on(&self) {
        if self.circuit.borrow().is_some() {
            self.go_on_with_circuit();
            return;
        }
        let next = self.next.borrow().clone();
        match next {
            Some(step) => self.ask_step(&step),
            None => {
                self.close_sheet();
                if let Some(window) = self.window() {
                    window.global::<Navigation>().set_page(Page::None);
                }
                self.refresh();
            }
        }
    }

    /// On to what is not known yet of the new circuit, then back to its panel, where the next is added.
    fn go_on_with_circuit(&self) {
        loop {
            let next = self.circuit.borrow_mut().as_mut().and_then(|circuit| circuit.left.pop_front());
            let Some((item, field)) = next else { break };
            if self.is_not_seen(&item, field) {
                self.open_sheet(&item, field, true);
                return;
            }
        }
        let panel = self.circuit.take().map(|circuit| circuit.panel);
        self.close_sheet();
        if let (Some(window), Some(panel)) = (self.window(), panel) {
            let navigation = window.global::<Navigation>();
            navigation.set_page(Page::None);
            navigation.invoke_open_item(panel.as_str().into());
        }
    }

    fn is_not_seen(&self, item: &Id, name: &str) -> bool {
        let fields = edit::fields(&self.shown().survey, item);
        fields.iter().any(|field| field.name == name && field.state == edit::State::NotSeen)
    }

    // Adding and taking away.

    /// A button under the list.
    pub(crate) fn add(&self, key: &str) {
        if key == lists::SIZING {
            self.open_sizing();
            return;
        }
        match lists::kind_of(key) {
            Some(ItemKind::Supply) => self.ask(Ask::Supply),
            Some(kind @ (ItemKind::Run | ItemKind::Load)) => self.ask(Ask::Within(kind)),
            Some(kind) => self.added(edit::add(&self.shown().survey, kind, None)),
            None => {}
        }
    }

    /// A button of the detail.
    pub(crate) fn act(&self, key: &str) {
        let Some(id) = self.open_item() else { return };
        let shown = self.shown();
        let survey = &shown.survey;
        match key {
            "circuit" => self.ask(Ask::Circuit(id)),
            detail::FED_BY => self.ask(Ask::RunTo(id)),
            detail::RUN_FROM => self.added(edit::add(survey, ItemKind::Run, Some(&id))),
            "cable" => self.ask(Ask::Cable(id, Vec::new())),
            detail::AGAIN => {
                if let Some(last) = edit::last_way(survey, &id) {
                    self.ask(Ask::Again(id, last));
                }
            }
            "open" => {
                self.rehearse(|state| state.place = Some(id));
                if let Some(window) = self.window() {
                    window.global::<Navigation>().invoke_go(Place::Isolation.into());
                }
            }
            "copy" => self.added(edit::copy(survey, &id)),
            detail::COPY_ALL => self.added(edit::copy_with_records(survey, &id)),
            detail::ELSEWHERE => {
                if let Some(field) = detail::record_field(&shown, &id) {
                    self.open_sheet(&id, field, false);
                }
            }
            "earlier" => self.done_or_said(edit::shift(survey, &id, -1)),
            "later" => self.done_or_said(edit::shift(survey, &id, 1)),
            "remove" => self.done_or_said(edit::remove(survey, &id)),
            "photo" => self.tell(Intent::AttachPhoto(id)),
            "reading" => self.tell(Intent::AddReading(id)),
            "note" => self.added(edit::add_note(survey, Some(&id), "")),
            _ => match lists::kind_of(key) {
                Some(ItemKind::Load) => self.ask(Ask::Load(id)),
                Some(kind) => self.added(edit::add(survey, kind, Some(&id))),
                None => {}
            },
        }
    }

    fn added(&self, made: Result<(Edit, Id), Refused>) {
        match made {
            Ok((edit, id)) => {
                self.to_open.replace(Some(id.clone()));
                self.hand_on(edit);
                self.to_open.take();
                if let Some(window) = self.window() {
                    window.global::<Navigation>().invoke_open_item(id.as_str().into());
                }
            }
            Err(refused) => self.say_refused(&refused),
        }
    }

    fn done_or_said(&self, made: Result<Edit, Refused>) {
        match made {
            Ok(edit) => self.hand_on(edit),
            Err(refused) => self.say_refused(&refused),
        }
    }

    fn say_refused(&self, refused: &Refused) {
        if let Some(window) = self.window() {
            window.global::<Status>().set_said(refused.to_string().into());
        }
    }

    // Isolation, rehearsed in a picture.

    fn fill_isolation(&self, window: &DeadfrontWindow) {
        window.global::<Navigation>().set_deeper(false);
        let editable = window.global::<Status>().get_surveying();
        isolation::fill(window, &self.shown(), &self.rehearsing.borrow(), editable);
    }

    /// Something was chosen on the page.
    pub(crate) fn rehearse(&self, choose: impl FnOnce(&mut Rehearsing)) {
        choose(&mut self.rehearsing.borrow_mut());
        if let Some(window) = self.window() {
            self.fill_isolation(&window);
        }
    }

    /// A device in the picture was tapped. What nothing switches becomes the place to work at.
    pub(crate) fn switched(&self, id: &str) {
        let Some(id) = Id::new(id) else { return };
        let shown = self.shown();
        self.rehearse(|state| {
            let is_opened = state.open_panel(&shown, &id);
            if !is_opened && !state.switch(&shown, &id) {
                state.place = Some(id);
            }
        });
    }

    /// A way in which sources meet is drawn in the picture.
    pub(crate) fn draw_way(&self, key: &str) {
        let shown = self.shown();
        self.rehearse(|state| {
            state.draw_way(&shown, key);
        });
    }

    pub(crate) fn act_on_isolation(&self, key: &str) {
        match key {
            "back" => self.rehearse(Rehearsing::back_to_mode),
            "keep" => {
                let made = self.rehearsing.borrow().keep_as_mode(&self.shown());
                self.added(made);
            }
            isolation::KEEP_IN => {
                let made = self.rehearsing.borrow().keep_in_mode(&self.shown());
                if let Some(made) = made {
                    self.rehearsing.borrow_mut().back_to_mode();
                    self.done_or_said(made);
                }
            }
            isolation::ADD => self.added(edit::add(&self.shown().survey, ItemKind::Mode, None)),
            id => {
                if let Some(window) = self.window() {
                    window.global::<Navigation>().invoke_open_item(id.into());
                }
            }
        }
    }

    fn fill_capacity(&self, window: &DeadfrontWindow) {
        let (shown, topic) = (self.shown(), self.topic.borrow());
        let house = House::new(&shown.survey);
        capacity::fill(window, &shown, &house, topic.as_deref());
        self.fill_trial(window, &shown, &house);
    }

    fn fill_trial(&self, window: &DeadfrontWindow, shown: &Shown, house: &House<'_>) {
        let supply = capacity::open_supply(shown, house, self.topic.borrow().as_deref());
        trying::fill(window, shown, house, supply, &self.trying.borrow(), &self.models.loads);
    }

    /// Another mode, or another set of loads, is tried on the supply that lies open.
    pub(crate) fn try_with(&self, choose: impl FnOnce(&mut Trying)) {
        choose(&mut self.trying.borrow_mut());
        if let Some(window) = self.window() {
            let shown = self.shown();
            self.fill_trial(&window, &shown, &House::new(&shown.survey));
        }
    }

    /// A topic of the Capacity place was chosen.
    pub(crate) fn topic_chosen(&self, key: &str) {
        self.topic.replace(Some(key.to_owned()));
        if let Some(window) = self.window() {
            self.fill_place(&window);
        }
    }

    // Handover.

    /// A deed of the place: the signature is drawn here, everything else is done outside.
    pub(crate) fn act_on_handover(&self, key: &str) {
        if key == SIGN {
            self.pen.take();
            // Who answered the findings is likely to sign the answers.
            let role =
                if self.shown().survey.frozen_by().is_some() { Role::Electrician } else { Role::Surveyor };
            self.choose_role(role.file_word());
            self.set_signing(true);
        } else {
            self.tell(Intent::Handover(key.to_owned()));
        }
    }

    /// Who signs is a surveyor, an owner or an electrician; a name that is known of this role is filled in.
    pub(crate) fn choose_role(&self, key: &str) {
        self.write(|pen| pen.choose(key));
        let Some(window) = self.window() else { return };
        let page = window.global::<HandoverGlobal>();
        let stands = page.get_name();
        if stands.trim().is_empty() || stands == *self.filled_in.borrow() {
            let known = self.signer_of(self.pen.borrow().role(), &window);
            page.set_name(known.clone());
            self.filled_in.replace(known);
        }
    }

    /// The name that the survey or an answer gives; of an owner none is known.
    fn signer_of(&self, role: Role, window: &DeadfrontWindow) -> SharedString {
        let shown = self.shown();
        match role {
            Role::Surveyor => shown.survey.site.surveyor.as_str().into(),
            Role::Electrician if shown.survey.frozen_by().is_some() => window.global::<Answering>().get_by(),
            _ => SharedString::new(),
        }
    }

    /// The pen did something.
    pub(crate) fn write(&self, stroke: impl FnOnce(&mut Pen)) {
        stroke(&mut self.pen.borrow_mut());
        if let Some(window) = self.window() {
            crate::handover::fill_pen(&window, &self.pen.borrow());
        }
    }

    pub(crate) fn set_signing(&self, signing: bool) {
        if let Some(window) = self.window() {
            let page = window.global::<HandoverGlobal>();
            page.set_problem(SharedString::new());
            page.set_signing(signing);
        }
    }

    /// The signature is done: in ink, or by the written name alone.
    pub(crate) fn sign(&self, typed: bool) {
        let Some(window) = self.window() else { return };
        let page = window.global::<HandoverGlobal>();
        let intent = self.pen.borrow().signed(&page.get_name(), &page.get_licence(), typed);
        self.tell(intent);
    }

    // Sizing before a quote.

    fn open_sizing(&self) {
        let Some(window) = self.window() else { return };
        self.fill_sizing(&window);
        window.global::<Navigation>().invoke_show_page(Page::Sizing);
    }

    fn fill_sizing(&self, window: &DeadfrontWindow) {
        let editable = window.global::<Status>().get_surveying();
        sizing::fill(window, &self.settings.borrow(), &self.shown().survey, editable);
    }

    /// Something was set on the page; the answer follows at once.
    pub(crate) fn size_with(&self, set: impl FnOnce(&mut Settings)) {
        set(&mut self.settings.borrow_mut());
        if let Some(window) = self.window() {
            self.fill_sizing(&window);
        }
    }

    /// One of several answers; some of them ask further.
    pub(crate) fn size_chosen(&self, key: &str, pick: &str) {
        let shown = self.shown();
        match (key, pick) {
            ("given", OF_SURVEY) => self.ask(Ask::SizedLoad(sizing::loads(&shown.survey))),
            ("system", OTHER) => self.enter_for_sizing(Target::Figure("voltage".to_owned())),
            (key, OTHER) => self.enter_for_sizing(Target::Figure(key.to_owned())),
            _ => self.size_with(|settings| settings.choose(&shown.survey, key, pick)),
        }
    }

    /// A figure or a price is entered on the pad.
    pub(crate) fn enter_for_sizing(&self, target: Target) {
        let Some(window) = self.window() else { return };
        self.ask.take();
        self.circuit.take();
        let (field, unit) = {
            let settings = self.settings.borrow();
            (target.field(&settings), target.unit(&settings))
        };
        let Some(field) = field else { return };
        let recent = self.units.borrow().get(form_name(&field)).cloned();
        let unit = recent.as_deref().or(unit);
        self.show_sheet(&window, Sheet::of_sizing(target, field, unit), Page::Sizing);
    }

    /// The price of a size is tapped: of several single conductors it is asked which one.
    pub(crate) fn price_size(&self, metal: &str, size: &str) {
        let mut stocks = sizing::stocks(&self.settings.borrow(), &self.shown().survey, metal, size);
        if stocks.len() > 1 {
            self.ask(Ask::Price(stocks));
        } else if let Some((cable, _)) = stocks.pop() {
            self.enter_for_sizing(Target::Price(cable));
        }
    }

    /// The answer in one metal becomes a planned run: where it begins is asked first.
    pub(crate) fn plan(&self, metal: &str) {
        let plan: Option<Plan> = self.settings.borrow().plan(&self.shown().survey, metal);
        if let Some(plan) = plan {
            self.ask(Ask::Planned(plan));
        }
    }

    /// A missing fact of a finding was tapped.
    pub(crate) fn wanted_tapped(&self, item: &str, field: &str) {
        if let Some(id) = Id::new(item) {
            self.open_sheet(&id, field, false);
        }
    }
}

/// What was copied and what was not, so that nothing is taken over in silence.
fn again_words(last: &LastWay) -> Said {
    say!(
        "Copied from {}. Its length and what was seen at the way itself are asked anew; undo takes all of it back.",
        last.what.clone()
    )
}

/// Which item a sheet is of, and which part of it.
fn at(item: &str, part: &Said) -> SharedString {
    let (item, part) = (capital(item), tell(part));
    if part.is_empty() { item } else { format!("{item} · {part}").into() }
}

fn fill_typed(global: &SheetGlobal<'_>, sheet: &Sheet) {
    let typed = match sheet.entry() {
        generated::Entry::Text => sheet.typed.clone(),
        _ => sheet.entered(),
    };
    global.set_typed(typed.into());
    let problem = match &sheet.field.state {
        edit::State::InDoubt(why) if !sheet.touched => why.as_str(),
        _ => "",
    };
    global.set_problem(problem.into());
}

fn exists(shown: &Shown, id: &Id) -> bool {
    let survey = &shown.survey;
    *id == site_id()
        || shown.item(id).is_some()
        || survey.readings.iter().any(|reading| reading.id == *id)
        || survey.notes.iter().any(|note| note.id == *id)
        || survey.photos.iter().any(|photo| photo.id == *id)
}

/// Whether a question of the walk is answered in this field.
fn is_about(step: &Step, field: &str) -> bool {
    matches!(&step.answer, Answer::Enter { field: asked } if asked == field)
}

/// The place of the window that shows where a person stands on the walk.
fn place_on_the_way(place: &walk::Place) -> Place {
    match place {
        walk::Place::House | walk::Place::Electrodes => Place::Site,
        walk::Place::Meter | walk::Place::Supplies => Place::Supplies,
        walk::Place::Panel(_) => Place::Panels,
        walk::Place::Transfers => Place::Supplies,
        walk::Place::Elsewhere => Place::Runs,
    }
}

fn key_of(step: &Step) -> (Id, String) {
    (step.item.clone(), step.fact.to_string())
}

/// Fields of one form share the unit that was chosen last.
fn form_name(field: &edit::Field) -> &'static str {
    match &field.form {
        Form::Quantity { units, .. } | Form::Size { units, .. } => units.first().copied().unwrap_or(""),
        _ => "",
    }
}

/// What the last edit did to the findings.
fn changed_text(shown: &Shown) -> Option<Said> {
    let changed = shown.changed();
    let worst = changed.iter().map(|at| Mark::of(shown.finding(*at))).min();
    let gone = shown.gone();
    match (changed.len(), worst) {
        (0, _) if gone == 0 => None,
        (0, _) => Some(say!("Verdicts gone: {}.", gone)),
        (count, Some(Mark::Danger)) => Some(say!("Verdicts changed: {}. One is a DANGER.", count)),
        (count, _) => Some(say!("Verdicts changed: {}.", count)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_id_of_nothing_leads_nowhere() {
        let survey = Arc::new(Survey::empty(""));
        let assessment = Arc::new(assess(&survey));
        let shown = Shown::of(survey, assessment, None);
        assert!(exists(&shown, &site_id()));
        assert!(!exists(&shown, &Id::new("P9").unwrap()));
        assert!(lists::place_of(ItemKind::Way) == Place::Panels);
    }
}
