//! What an edit did, for people: kept in parts, so that it can be read back from a journal and
//! still be translated.

use serde::{Deserialize, Serialize};

use crate::finding::{Arg, Said};
use crate::say;
use crate::survey::layout::label_in_words;
use crate::survey::place::Place;
use crate::survey::{Id, Survey};

/// The name of an item.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Name {
    House,
    /// Its own name.
    Own(String),
    Way {
        panel: String,
        number: String,
    },
    /// A part of something with a name.
    Part {
        of: String,
        name: String,
    },
    /// It has no name: its kind and its id.
    Kind {
        kind: String,
        id: Id,
    },
}

/// What an edit did.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Told {
    /// One field.
    Set { at: Name, label: String, after: String, before: String },
    /// Several fields: the first, and how many more.
    SetMany { first: Box<Told>, more: usize },
    /// An item came, with so many that hang on it.
    Added { item: Name, more: usize },
    /// An item went, with everything that hangs on it.
    Removed { item: Name, more: usize },
    /// An item moved in its list; below nought: towards the beginning.
    Moved { item: Name, by: isize },
    /// The survey as a whole was signed, answered or taken up again; in words, and whether it was taken back.
    Whole { what: String, back: bool },
    /// The cable of so many ways of a panel was filled in, or taken out again.
    Filled { panel: Name, runs: usize, what: String, back: bool },
    /// A way came with device and wire of another one, or went again.
    Again { item: Name, what: String, back: bool },
}

impl Told {
    pub(super) fn inverse(&self) -> Self {
        match self.clone() {
            Self::Set { at, label, after, before } => Self::Set { at, label, after: before, before: after },
            Self::SetMany { first, more } => Self::SetMany { first: Box::new(first.inverse()), more },
            Self::Added { item, more } => Self::Removed { item, more },
            Self::Removed { item, more } => Self::Added { item, more },
            Self::Moved { item, by } => Self::Moved { item, by: by.saturating_neg() },
            Self::Whole { what, back } => Self::Whole { what, back: !back },
            Self::Filled { panel, runs, what, back } => Self::Filled { panel, runs, what, back: !back },
            Self::Again { item, what, back } => Self::Again { item, what, back: !back },
        }
    }

    pub(super) fn said(&self) -> Said {
        match self {
            Self::Set { at, label, after, before } => {
                let label = label_in_words(label).map_or_else(|| Arg::from(label), Arg::Word);
                say!("{}: {} {} (was {})", at.said(), label, after, before)
            }
            Self::SetMany { first, more: 0 } => first.said(),
            Self::SetMany { first, more } => say!("{}, and {} more entries", first.said(), *more),
            Self::Added { item, more: 0 } => say!("{} added", item.said()),
            Self::Added { item, more } => say!("{} added with {} more that belong to it", item.said(), *more),
            Self::Removed { item, more: 0 } => say!("{} removed", item.said()),
            Self::Removed { item, more } => {
                say!("{} removed with {} more that hang on it", item.said(), *more)
            }
            Self::Whole { what, back: false } => say!("{}", what),
            Self::Whole { what, back: true } => say!("taken back: {}", what),
            Self::Moved { item, by } if *by < 0 => say!("{} moved up by {}", item.said(), by.unsigned_abs()),
            Self::Moved { item, by } => say!("{} moved down by {}", item.said(), by.unsigned_abs()),
            Self::Filled { panel, runs, what, back: false } => {
                say!("{}: {} entered for {} runs", panel.said(), what, *runs)
            }
            Self::Filled { panel, runs, what, back: true } => {
                say!("{}: {} taken out of {} runs", panel.said(), what, *runs)
            }
            Self::Again { item, what, back: false } => say!("{} added, copied from {}", item.said(), what),
            Self::Again { item, what, back: true } => say!("{} taken out, copied from {}", item.said(), what),
        }
    }
}

impl Name {
    pub(super) fn said(&self) -> Said {
        match self {
            Self::House => say!("the house"),
            Self::Own(name) => say!("{}", name),
            Self::Way { panel, number } => say!("{}, way {}", panel, number),
            Self::Part { of, name } => say!("{}, {}", of, name),
            Self::Kind { kind, id } => say!("{} {}", kind, id),
        }
    }

    /// The name of the item at this place.
    pub(super) fn of(survey: &Survey, place: Place, id: &Id) -> Self {
        let own = |name: &str| Self::Own(name.to_owned());
        let named = match place {
            Place::Site => return Self::House,
            Place::Supply(at) => own(&survey.supplies[at].name),
            Place::Panel(at) => own(&survey.panels[at].name),
            Place::Bus(panel, at) => {
                let panel = &survey.panels[panel];
                let name = &panel.buses[at].name;
                let name = if name.is_empty() { place.kind().words().to_owned() } else { name.clone() };
                Self::Part { of: panel.name.clone(), name }
            }
            Place::Way(panel, at) => {
                let panel = &survey.panels[panel];
                Self::Way { panel: panel.name.clone(), number: panel.ways[at].number() }
            }
            Place::Run(at) => match run_begin(survey, at) {
                Some(way) if survey.runs[at].name.is_empty() => way,
                _ => own(&survey.runs[at].name),
            },
            Place::Load(at) => own(&survey.loads[at].name),
            Place::Transfer(at) => own(&survey.transfers[at].name),
            Place::Position(transfer, at) => {
                let transfer = &survey.transfers[transfer];
                Self::Part { of: transfer.name.clone(), name: transfer.positions[at].name.clone() }
            }
            Place::Interlock(at) => own(&survey.interlocks[at].name),
            Place::Inlet(at) => own(&survey.inlets[at].name),
            Place::Mode(at) => own(&survey.modes[at].name),
            Place::Signature(at) => own(&survey.signatures[at].name),
            Place::Electrode(_) => own(""),
            Place::Reading(_) => return Self::Kind { kind: "reading".to_owned(), id: id.clone() },
            Place::Photo(_) => return Self::Kind { kind: "photo".to_owned(), id: id.clone() },
            Place::Note(_) => return Self::Kind { kind: "note".to_owned(), id: id.clone() },
        };
        match named {
            Self::Own(name) if name.is_empty() => {
                Self::Kind { kind: place.kind().words().to_owned(), id: id.clone() }
            }
            named => named,
        }
    }
}

/// A run without a name is told by the way at which it begins.
fn run_begin(survey: &Survey, run: usize) -> Option<Name> {
    let Some(Place::Way(panel, way)) = Place::find(survey, &survey.runs[run].from) else { return None };
    let panel = &survey.panels[panel];
    Some(Name::Part {
        of: panel.name.clone(),
        name: say!("run from way {}", panel.ways[way].number().to_string()).to_string(),
    })
}
