//! What must be known before something can be added: of what kind it is, or where it begins.

use deadfront_rules::edit::{self, Edit, LastWay, Refused};
use deadfront_rules::finding::Said;
use deadfront_rules::say;
use deadfront_rules::survey::form::{Enterable as _, Form};
use deadfront_rules::survey::{EnteredSize, Id, ItemKind, LoadKind, Material, Method, SupplyKind};

use crate::generated::Pick;
use crate::shown::Shown;
use crate::sizing::Plan;
use crate::words::label;
use crate::{Folder, Intent};

/// The key of the answer "not known yet".
const NOT_KNOWN: &str = "";

/// A question before something is added.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Ask {
    /// Which kind of supply?
    Supply,
    /// What does the new circuit of this panel feed?
    Circuit(Id),
    /// Where does the new run begin, or on which run is the new load?
    Within(ItemKind),
    /// What is the new load of this run?
    Load(Id),
    /// The cable of all ways of a panel: method, then size, then metal.
    Cable(Id, Vec<(&'static str, String)>),
    /// Where does the planned run begin?
    Planned(Plan),
    /// For which load of the survey is a cable sized?
    SizedLoad(Vec<(Id, String)>),
    /// Of which of these cables is the price entered? Names by which prices are kept, and words.
    Price(Vec<(String, String)>),
    /// What does the way feed that is copied from the last one of this panel?
    Again(Id, LastWay),
    /// Where does the run begin that ends here?
    RunTo(Id),
    /// Which picture becomes a photo of this item?
    Photo(Offer),
}

/// The pictures that can be had for a photo of an item.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Offer {
    pub(crate) item: Id,
    /// Folders to watch.
    pub(crate) folders: Vec<Folder>,
    /// Paths and names, the newest first.
    pub(crate) pictures: Vec<(String, String)>,
    /// The place where it was taken goes into its caption; else it is left out.
    pub(crate) with_place: bool,
}

/// The key of keeping the place; no path is like it.
const PLACE: &str = "\u{0}place";

/// What an answer leads to.
pub(crate) enum Next {
    /// Another question.
    Ask(Ask),
    /// Something is added, and opened.
    Added(Result<(Edit, Id), Refused>),
    /// Something is done.
    Done(Result<Edit, Refused>),
    /// The rest of the program does it.
    Tell(Intent),
    /// A cable is sized for this load.
    SizeFor(Id),
    /// The price of this cable is entered.
    Price(String),
}

impl Ask {
    pub(crate) fn question(&self) -> Said {
        match self {
            Self::Supply => say!("What kind of supply is it?"),
            Self::Circuit(_) | Self::Load(_) | Self::Again(..) => say!("What does it feed?"),
            Self::Within(ItemKind::Load) => say!("On which run is it?"),
            Self::Within(ItemKind::Electrode) => say!("At which panel does its conductor end?"),
            Self::Within(_) | Self::Planned(_) | Self::RunTo(_) => say!("Where does it begin?"),
            Self::Photo(_) => say!("Which picture?"),
            Self::SizedLoad(_) => say!("Which load is it for?"),
            Self::Price(_) => say!("The price of which conductor?"),
            Self::Cable(_, set) if set.is_empty() => say!("Which cable or wiring method do all ways have?"),
            Self::Cable(_, set) if set.len() == 1 => say!("Of which size?"),
            Self::Cable(..) => say!("Of which metal?"),
        }
    }

    /// The item to which something is added.
    pub(crate) fn at(&self) -> Option<&Id> {
        match self {
            Self::Circuit(item)
            | Self::Load(item)
            | Self::Cable(item, _)
            | Self::Again(item, _)
            | Self::RunTo(item)
            | Self::Photo(Offer { item, .. }) => Some(item),
            Self::Supply | Self::Within(_) | Self::Planned(_) | Self::SizedLoad(_) | Self::Price(_) => None,
        }
    }

    /// Whether it is asked on the sizing page, to which its way back leads.
    pub(crate) fn is_of_sizing(&self) -> bool {
        matches!(self, Self::Planned(_) | Self::SizedLoad(_) | Self::Price(_))
    }

    /// Whether an answer can be typed besides those offered.
    pub(crate) fn may_be_typed(&self) -> bool {
        matches!(self, Self::Photo(_))
    }

    pub(crate) fn note(&self) -> Said {
        match self {
            Self::Cable(..) => say!(
                "It is written at every run of this panel's ways; one that differs is changed afterwards."
            ),
            Self::Again(_, last) => say!("Device and wire are copied from {}.", last.what.clone()),
            Self::Photo(offer) if offer.pictures.is_empty() => {
                say!(
                    "No picture is in the watched folder. Choose another folder, or type the path of a picture or of the folder in which the camera puts them."
                )
            }
            Self::Photo(_) => say!("The newest first. Or type the path of another picture or folder."),
            _ => say!(""),
        }
    }

    /// What stands above the answers, and how it is headed.
    pub(crate) fn above(&self) -> (Said, Vec<Pick>) {
        match self {
            Self::Photo(offer) => {
                let pick = |folder: &Folder| Pick {
                    key: (&folder.path).into(),
                    text: (&folder.name).into(),
                    chosen: folder.is_watched,
                };
                let mut picks: Vec<Pick> = offer.folders.iter().map(pick).collect();
                picks.push(Pick {
                    key: PLACE.into(),
                    text: label("keep the place where it was taken"),
                    chosen: offer.with_place,
                });
                (say!("The folder that is watched, and whether the place is kept"), picks)
            }
            _ => (say!(""), Vec::new()),
        }
    }

    pub(crate) fn picks(&self, shown: &Shown) -> Vec<Pick> {
        match self {
            Self::Supply => choices(SupplyKind::ALL.iter().map(|kind| (kind.file_word(), kind.words()))),
            Self::Circuit(_) | Self::Load(_) | Self::Again(..) => {
                let mut picks = choices(LoadKind::ALL.iter().map(|kind| (kind.file_word(), kind.words())));
                picks.push(pick(NOT_KNOWN, "not known yet"));
                picks
            }
            Self::Within(kind) => places(shown, *kind),
            Self::Planned(_) | Self::RunTo(_) => places(shown, ItemKind::Run),
            Self::SizedLoad(loads) => loads
                .iter()
                .map(|(id, name)| Pick { key: id.as_str().into(), text: name.into(), chosen: false })
                .collect(),
            Self::Price(stocks) => stocks
                .iter()
                .map(|(key, words)| Pick { key: key.into(), text: words.into(), chosen: false })
                .collect(),
            Self::Photo(offer) => offer
                .pictures
                .iter()
                .map(|(path, name)| Pick { key: path.into(), text: name.into(), chosen: false })
                .collect(),
            Self::Cable(_, set) if set.is_empty() => {
                choices(Method::ALL.iter().map(|method| (method.file_word(), method.words())))
            }
            Self::Cable(_, set) if set.len() == 1 => match EnteredSize::form() {
                Form::Size { usual, .. } => usual.iter().map(|size| pick(size, size)).collect(),
                _ => Vec::new(),
            },
            Self::Cable(..) => choices(Material::ALL.iter().map(|metal| (metal.file_word(), metal.words()))),
        }
    }

    pub(crate) fn answer(&self, shown: &Shown, key: &str) -> Option<Next> {
        let survey = &shown.survey;
        let load_kind = || LoadKind::ALL.iter().copied().find(|kind| kind.file_word() == key);
        Some(match self {
            Self::Supply => {
                let kind = SupplyKind::ALL.iter().copied().find(|kind| kind.file_word() == key)?;
                Next::Added(edit::add_supply(survey, kind))
            }
            Self::Circuit(panel) => Next::Added(edit::add_circuit(survey, panel, load_kind())),
            Self::Again(panel, _) => Next::Added(edit::copy_last_way(survey, panel, load_kind())),
            Self::Load(run) => Next::Added(match load_kind() {
                Some(kind) => edit::add_load(survey, run, kind),
                None => edit::add(survey, ItemKind::Load, Some(run)),
            }),
            Self::Within(ItemKind::Load) => Next::Ask(Self::Load(Id::new(key)?)),
            Self::Within(kind) => Next::Added(edit::add(survey, *kind, Id::new(key).as_ref())),
            Self::Planned(plan) => {
                let fields: Vec<(&str, &str)> =
                    plan.fields.iter().map(|(field, entry)| (*field, entry.as_str())).collect();
                Next::Added(edit::plan_run(survey, &Id::new(key)?, None, &fields))
            }
            Self::Photo(offer) if key == PLACE => {
                Next::Ask(Self::Photo(Offer { with_place: !offer.with_place, ..offer.clone() }))
            }
            Self::Photo(Offer { item, with_place, .. }) => {
                let (path, with_place) = (key.trim().to_owned(), *with_place);
                let item = item.clone();
                (!path.is_empty()).then_some(Next::Tell(Intent::TakePhoto { item, path, with_place }))?
            }
            Self::SizedLoad(_) => Next::SizeFor(Id::new(key)?),
            Self::Price(_) => Next::Price(key.to_owned()),
            Self::RunTo(to) => Next::Added(edit::add_run(survey, &Id::new(key)?, Some(to))),
            Self::Cable(panel, set) => {
                const FIELDS: [&str; 3] = ["method", "size", "material"];
                let mut set = set.clone();
                set.push((FIELDS[set.len().min(FIELDS.len() - 1)], key.to_owned()));
                if set.len() < FIELDS.len() {
                    return Some(Next::Ask(Self::Cable(panel.clone(), set)));
                }
                let pairs: Vec<(&str, &str)> =
                    set.iter().map(|(field, entry)| (*field, entry.as_str())).collect();
                Next::Done(edit::cable_for_ways(survey, panel, &pairs))
            }
        })
    }
}

fn choices<'a>(choices: impl Iterator<Item = (&'a str, &'a str)>) -> Vec<Pick> {
    choices.map(|(key, words)| pick(key, words)).collect()
}

fn pick(key: &str, text: &str) -> Pick {
    Pick { key: key.into(), text: label(text), chosen: false }
}

/// Where a new item of a kind can be.
fn places(shown: &Shown, kind: ItemKind) -> Vec<Pick> {
    let survey = &shown.survey;
    let mut ids: Vec<&Id> = Vec::new();
    match kind {
        ItemKind::Load => ids.extend(survey.runs.iter().map(|run| &run.id)),
        ItemKind::Electrode => ids.extend(survey.panels.iter().map(|panel| &panel.id)),
        _ => {
            ids.extend(survey.supplies.iter().map(|supply| &supply.id));
            ids.extend(survey.transfers.iter().map(|transfer| &transfer.id));
            ids.extend(survey.inlets.iter().map(|inlet| &inlet.id));
            for panel in &survey.panels {
                ids.extend(
                    panel.ways.iter().filter(|way| shown.run_behind(way).is_none()).map(|way| &way.id),
                );
                ids.push(&panel.id);
            }
        }
    }
    ids.into_iter()
        .map(|id| Pick { key: id.as_str().into(), text: shown.name_of(id).into(), chosen: false })
        .collect()
}
