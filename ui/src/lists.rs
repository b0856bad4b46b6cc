//! The lists of the places. A line is made when it comes into sight, so a long list costs no more
//! than a short one.

use std::cell::RefCell;
use std::rc::Rc;

use deadfront_rules::finding::Said;
use deadfront_rules::house::{Item, site_id};
use deadfront_rules::say;
use deadfront_rules::survey::{Id, ItemKind};
use slint::{Model, ModelNotify, ModelTracker};

use crate::Place;
use crate::findings::finding_row;
use crate::generated::{Action, RowData};
use crate::shown::Shown;
use crate::words::tell;

/// What a line stands for.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Key {
    /// An item, under the heading of its group where that begins.
    Item(Id, Option<Said>),
    /// A finding by its place in the assessment.
    Finding(usize),
}

/// Lines that are made on demand.
pub(crate) struct Lines {
    shown: RefCell<Rc<Shown>>,
    keys: RefCell<Vec<Key>>,
    notify: ModelNotify,
}

impl Lines {
    pub(crate) fn new(shown: Rc<Shown>) -> Rc<Self> {
        Rc::new(Self { shown: RefCell::new(shown), keys: RefCell::default(), notify: ModelNotify::default() })
    }

    /// Shows other lines, or the same ones anew.
    pub(crate) fn set(&self, shown: Rc<Shown>, keys: Vec<Key>) {
        let same = keys.len() == self.keys.borrow().len();
        self.shown.replace(shown);
        self.keys.replace(keys);
        if same {
            // Lines in sight are filled again in place; those out of sight do not exist.
            (0..self.row_count()).for_each(|row| self.notify.row_changed(row));
        } else {
            self.notify.reset();
        }
    }

    pub(crate) fn key(&self, row: usize) -> Option<Key> {
        self.keys.borrow().get(row).cloned()
    }

    /// The line of an item.
    pub(crate) fn line_of(&self, wanted: &Id) -> Option<usize> {
        self.keys.borrow().iter().position(|key| matches!(key, Key::Item(id, _) if id == wanted))
    }

    /// The line of a finding.
    pub(crate) fn line_of_finding(&self, wanted: usize) -> Option<usize> {
        self.keys.borrow().iter().position(|key| *key == Key::Finding(wanted))
    }
}

impl Model for Lines {
    type Data = RowData;

    fn row_count(&self) -> usize {
        self.keys.borrow().len()
    }

    fn row_data(&self, row: usize) -> Option<RowData> {
        let shown = self.shown.borrow();
        match self.keys.borrow().get(row)? {
            Key::Item(id, group) => {
                let group = group.as_ref().map(tell).unwrap_or_default();
                Some(RowData { group, ..shown.row(id) })
            }
            Key::Finding(at) => Some(finding_row(&shown, *at)),
        }
    }

    fn model_tracker(&self) -> &dyn ModelTracker {
        &self.notify
    }
}

/// The place whose list holds an item of this kind.
pub(crate) fn place_of(kind: ItemKind) -> Place {
    match kind {
        ItemKind::Supply
        | ItemKind::Inlet
        | ItemKind::Transfer
        | ItemKind::Position
        | ItemKind::Interlock
        | ItemKind::Mode => Place::Supplies,
        ItemKind::Panel | ItemKind::Bus | ItemKind::Way => Place::Panels,
        ItemKind::Run => Place::Runs,
        ItemKind::Load => Place::Loads,
        ItemKind::Site | ItemKind::Electrode | ItemKind::Record => Place::Site,
    }
}

/// The item in whose line another one is found: a way's panel, a position's transfer switch.
pub(crate) fn owner(shown: &Shown, id: &Id) -> Id {
    let survey = &shown.survey;
    match shown.item(id) {
        Some(Item::Bus(panel, _) | Item::Way(panel, _)) => survey.panels[panel].id.clone(),
        Some(Item::Position(transfer, _)) => survey.transfers[transfer].id.clone(),
        _ => id.clone(),
    }
}

/// The lines of a place.
pub(crate) fn keys(shown: &Shown, place: Place) -> Vec<Key> {
    let survey = &shown.survey;
    let mut keys = Vec::new();
    macro_rules! list {
        ($list:ident, $heading:literal) => {{
            let first = keys.len();
            keys.extend(survey.$list.iter().map(|item| Key::Item(item.id.clone(), None)));
            if let Some(Key::Item(_, group)) = keys.get_mut(first) {
                *group = Some(say!($heading));
            }
        }};
    }
    match place {
        Place::Site => {
            keys.push(Key::Item(site_id(), Some(say!("The house"))));
            list!(electrodes, "Grounding electrodes");
            list!(readings, "Readings");
            list!(notes, "Notes");
        }
        Place::Supplies => {
            list!(supplies, "Supplies");
            list!(inlets, "Inlets");
            list!(transfers, "Transfer switches");
            list!(interlocks, "Interlocks");
            list!(modes, "Intended modes");
        }
        Place::Panels => keys.extend(survey.panels.iter().map(|panel| Key::Item(panel.id.clone(), None))),
        Place::Runs => keys.extend(survey.runs.iter().map(|run| Key::Item(run.id.clone(), None))),
        Place::Loads => keys.extend(survey.loads.iter().map(|load| Key::Item(load.id.clone(), None))),
        Place::Isolation | Place::Capacity | Place::Findings | Place::Handover => {}
    }
    keys
}

/// What belongs into a place that is empty.
pub(crate) fn empty_text(place: Place) -> Said {
    match place {
        Place::Site => say!("Here belong the house, its address and its grounding electrodes."),
        Place::Supplies => say!(
            "Here belongs everything that feeds the house: the utility, a battery inverter, a generator, solar. Begin with the utility."
        ),
        Place::Panels => say!(
            "Here belongs every panel, from the meter inwards, with its ways. Begin with the first disconnect after the meter."
        ),
        Place::Runs => say!(
            "Here belongs every run of wire: from where, to where, of what size. A circuit that is added to a panel brings its run with it."
        ),
        Place::Loads => say!(
            "Here belongs everything that draws power. A circuit that is added to a panel brings its load with it."
        ),
        Place::Isolation | Place::Capacity | Place::Findings | Place::Handover => {
            say!("Nothing has been checked yet. Findings come with the first panel, run and load.")
        }
    }
}

/// The key of the page on which a cable is sized.
pub(crate) const SIZING: &str = "sizing";

/// What can be added in a place.
pub(crate) fn adds(place: Place) -> Vec<Action> {
    let kinds: &[(ItemKind, Said)] = &match place {
        Place::Site => vec![(ItemKind::Electrode, say!("Add electrode"))],
        Place::Supplies => vec![
            (ItemKind::Supply, say!("Add supply")),
            (ItemKind::Transfer, say!("Add transfer")),
            (ItemKind::Interlock, say!("Add interlock")),
            (ItemKind::Inlet, say!("Add inlet")),
            (ItemKind::Mode, say!("Add a mode")),
        ],
        Place::Panels => vec![(ItemKind::Panel, say!("Add panel"))],
        Place::Runs => vec![(ItemKind::Run, say!("Add run"))],
        Place::Loads => vec![(ItemKind::Load, say!("Add load"))],
        Place::Isolation | Place::Capacity | Place::Findings | Place::Handover => vec![],
    };
    let mut actions: Vec<Action> = kinds.iter().map(|(kind, text)| action(kind_key(*kind), text)).collect();
    if place == Place::Runs {
        actions.push(action(SIZING, &say!("Size a cable")));
    }
    actions
}

/// A button that can be pressed.
pub(crate) fn action(key: impl Into<slint::SharedString>, text: &Said) -> Action {
    Action { key: key.into(), text: tell(text), told: slint::SharedString::new(), enabled: true }
}

/// How a kind of item is named to the window and back.
pub(crate) fn kind_key(kind: ItemKind) -> &'static str {
    kind.words()
}

/// The kind of item of a key of the window.
pub(crate) fn kind_of(key: &str) -> Option<ItemKind> {
    const KINDS: [ItemKind; 12] = [
        ItemKind::Supply,
        ItemKind::Panel,
        ItemKind::Bus,
        ItemKind::Way,
        ItemKind::Run,
        ItemKind::Load,
        ItemKind::Transfer,
        ItemKind::Position,
        ItemKind::Interlock,
        ItemKind::Inlet,
        ItemKind::Electrode,
        ItemKind::Mode,
    ];
    KINDS.into_iter().find(|kind| kind_key(*kind) == key)
}
