//! Where an item stands in the survey, records included.

use super::form::Record;
use super::{Id, ItemKind, Survey};

/// The id under which the house itself is named.
pub(crate) const SITE: &str = "site";

/// Where an item stands in the survey's lists.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Place {
    Site,
    Supply(usize),
    Panel(usize),
    /// Panel, bus section.
    Bus(usize, usize),
    /// Panel, way.
    Way(usize, usize),
    Run(usize),
    Load(usize),
    Transfer(usize),
    /// Transfer, position.
    Position(usize, usize),
    Interlock(usize),
    Inlet(usize),
    Mode(usize),
    Electrode(usize),
    Reading(usize),
    Photo(usize),
    Note(usize),
    Signature(usize),
}

impl Place {
    /// The item of this id; of a panel and its bus section with one id, the panel.
    pub(crate) fn find(survey: &Survey, id: &Id) -> Option<Self> {
        macro_rules! look {
            ($($list:ident: $kind:ident),+ $(,)?) => {$(
                if let Some(at) = survey.$list.iter().position(|item| item.id == *id) {
                    return Some(Self::$kind(at));
                }
            )+};
        }
        look!(panels: Panel);
        for (at, panel) in survey.panels.iter().enumerate() {
            if let Some(way) = panel.ways.iter().position(|way| way.id == *id) {
                return Some(Self::Way(at, way));
            }
            if let Some(bus) = panel.buses.iter().position(|bus| bus.id == *id) {
                return Some(Self::Bus(at, bus));
            }
        }
        look!(runs: Run, loads: Load, supplies: Supply, transfers: Transfer, interlocks: Interlock,
              inlets: Inlet, modes: Mode, electrodes: Electrode, readings: Reading, photos: Photo, notes: Note,
              signatures: Signature);
        for (at, transfer) in survey.transfers.iter().enumerate() {
            if let Some(position) = transfer.positions.iter().position(|position| position.id == *id) {
                return Some(Self::Position(at, position));
            }
        }
        (id.as_str() == SITE).then_some(Self::Site)
    }

    /// Every item with its place, in the order of the file; the house first.
    pub(crate) fn all(survey: &Survey) -> Vec<(Id, Self)> {
        let mut all: Vec<(Id, Self)> = Id::new(SITE).map(|site| (site, Self::Site)).into_iter().collect();
        macro_rules! list {
            ($($list:ident: $kind:ident),+ $(,)?) => {$(
                let items = survey.$list.iter().enumerate();
                all.extend(items.map(|(at, item)| (item.id.clone(), Self::$kind(at))));
            )+};
        }
        list!(supplies: Supply);
        for (at, panel) in survey.panels.iter().enumerate() {
            all.push((panel.id.clone(), Self::Panel(at)));
            let buses = panel.buses.iter().enumerate().filter(|(_, bus)| bus.id != panel.id);
            all.extend(buses.map(|(bus_at, bus)| (bus.id.clone(), Self::Bus(at, bus_at))));
            let ways = panel.ways.iter().enumerate();
            all.extend(ways.map(|(way_at, way)| (way.id.clone(), Self::Way(at, way_at))));
        }
        list!(runs: Run, loads: Load);
        for (at, transfer) in survey.transfers.iter().enumerate() {
            all.push((transfer.id.clone(), Self::Transfer(at)));
            let positions = transfer.positions.iter().enumerate();
            all.extend(positions.map(|(number, position)| (position.id.clone(), Self::Position(at, number))));
        }
        list!(interlocks: Interlock, inlets: Inlet, modes: Mode, electrodes: Electrode, readings: Reading, photos: Photo,
              notes: Note, signatures: Signature);
        all
    }

    /// The bus section that shares its id with the panel at this place.
    pub(crate) fn twin(self, survey: &Survey) -> Option<Self> {
        let Self::Panel(at) = self else { return None };
        let panel = survey.panels.get(at)?;
        let bus = panel.buses.iter().position(|bus| bus.id == panel.id)?;
        Some(Self::Bus(at, bus))
    }

    pub(crate) fn kind(self) -> ItemKind {
        match self {
            Self::Site => ItemKind::Site,
            Self::Supply(_) => ItemKind::Supply,
            Self::Panel(_) => ItemKind::Panel,
            Self::Bus(..) => ItemKind::Bus,
            Self::Way(..) => ItemKind::Way,
            Self::Run(_) => ItemKind::Run,
            Self::Load(_) => ItemKind::Load,
            Self::Transfer(_) => ItemKind::Transfer,
            Self::Position(..) => ItemKind::Position,
            Self::Interlock(_) => ItemKind::Interlock,
            Self::Inlet(_) => ItemKind::Inlet,
            Self::Mode(_) => ItemKind::Mode,
            Self::Electrode(_) => ItemKind::Electrode,
            Self::Reading(_) | Self::Photo(_) | Self::Note(_) | Self::Signature(_) => ItemKind::Record,
        }
    }

    pub(crate) fn record(self, survey: &Survey) -> Option<&dyn Record> {
        Some(match self {
            Self::Site => &survey.site,
            Self::Supply(at) => survey.supplies.get(at)?,
            Self::Panel(at) => survey.panels.get(at)?,
            Self::Bus(panel, at) => survey.panels.get(panel)?.buses.get(at)?,
            Self::Way(panel, at) => survey.panels.get(panel)?.ways.get(at)?,
            Self::Run(at) => survey.runs.get(at)?,
            Self::Load(at) => survey.loads.get(at)?,
            Self::Transfer(at) => survey.transfers.get(at)?,
            Self::Position(transfer, at) => survey.transfers.get(transfer)?.positions.get(at)?,
            Self::Interlock(at) => survey.interlocks.get(at)?,
            Self::Inlet(at) => survey.inlets.get(at)?,
            Self::Mode(at) => survey.modes.get(at)?,
            Self::Electrode(at) => survey.electrodes.get(at)?,
            Self::Reading(at) => survey.readings.get(at)?,
            Self::Photo(at) => survey.photos.get(at)?,
            Self::Note(at) => survey.notes.get(at)?,
            Self::Signature(at) => survey.signatures.get(at)?,
        })
    }

    pub(crate) fn record_mut(self, survey: &mut Survey) -> Option<&mut dyn Record> {
        Some(match self {
            Self::Site => &mut survey.site,
            Self::Supply(at) => survey.supplies.get_mut(at)?,
            Self::Panel(at) => survey.panels.get_mut(at)?,
            Self::Bus(panel, at) => survey.panels.get_mut(panel)?.buses.get_mut(at)?,
            Self::Way(panel, at) => survey.panels.get_mut(panel)?.ways.get_mut(at)?,
            Self::Run(at) => survey.runs.get_mut(at)?,
            Self::Load(at) => survey.loads.get_mut(at)?,
            Self::Transfer(at) => survey.transfers.get_mut(at)?,
            Self::Position(transfer, at) => survey.transfers.get_mut(transfer)?.positions.get_mut(at)?,
            Self::Interlock(at) => survey.interlocks.get_mut(at)?,
            Self::Inlet(at) => survey.inlets.get_mut(at)?,
            Self::Mode(at) => survey.modes.get_mut(at)?,
            Self::Electrode(at) => survey.electrodes.get_mut(at)?,
            Self::Reading(at) => survey.readings.get_mut(at)?,
            Self::Photo(at) => survey.photos.get_mut(at)?,
            Self::Note(at) => survey.notes.get_mut(at)?,
            Self::Signature(at) => survey.signatures.get_mut(at)?,
        })
    }
}
