//! What a well-formed file can still get wrong: ids used twice, references to nothing, runs that
//! begin at each other, texts beyond reason.

use crate::say;
use crate::words::word;
use std::collections::HashMap;
use std::fmt;

use super::place::{Place, SITE};
use super::quantity::shown;
use super::{Circuit, DeviceState, Doubt, Id, MOST_POINTS, SupplyKind, Survey, layout};
use crate::si::{Ratio, Time, Voltage, hour};

/// Longest name or label, in characters.
pub(crate) const LONGEST_NAME: usize = 300;
/// Longest entry that is kept while it is in doubt, in characters.
pub(crate) const LONGEST_ENTRY: usize = 300;
/// Longest remark, in characters.
pub(crate) const LONGEST_TEXT: usize = 20_000;

const MONTHS: usize = 12;
const HOURS_OF_A_DAY: f64 = 24.0;

/// One step of the way to a place in the survey file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PathPart {
    /// A field.
    Key(&'static str),
    /// A place in a list, from 0.
    Index(usize),
}

/// One thing wrong with a survey that can be read but not understood.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// The way to the wrong value.
    pub path: Vec<PathPart>,
    /// The item it stands in, where it has a readable id.
    pub item: Option<Id>,
    /// What is wrong and what to do.
    pub message: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

/// The kinds of item that an id can name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ItemKind {
    /// The house itself.
    Site,
    /// A supply.
    Supply,
    /// A panel.
    Panel,
    /// A bus section.
    Bus,
    /// A way.
    Way,
    /// A run.
    Run,
    /// A load.
    Load,
    /// A transfer switch.
    Transfer,
    /// One input of a transfer switch.
    Position,
    /// An interlock.
    Interlock,
    /// An inlet.
    Inlet,
    /// A way in which the house is meant to be used.
    Mode,
    /// A grounding electrode.
    Electrode,
    /// A reading, photo, note or signature.
    Record,
}

impl ItemKind {
    /// Every kind.
    pub const ALL: &'static [Self] = &[
        Self::Site,
        Self::Supply,
        Self::Panel,
        Self::Bus,
        Self::Way,
        Self::Run,
        Self::Load,
        Self::Transfer,
        Self::Position,
        Self::Interlock,
        Self::Inlet,
        Self::Mode,
        Self::Electrode,
        Self::Record,
    ];

    /// The kind in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        word(match self {
            Self::Site => "house",
            Self::Supply => "supply",
            Self::Panel => "panel",
            Self::Bus => "bus section",
            Self::Way => "way",
            Self::Run => "run",
            Self::Load => "load",
            Self::Transfer => "transfer switch",
            Self::Position => "transfer position",
            Self::Interlock => "interlock",
            Self::Inlet => "inlet",
            Self::Mode => "mode",
            Self::Electrode => "electrode",
            Self::Record => "record",
        })
    }
}

/// Everything wrong with the references, ids and texts of a survey, in file order.
#[must_use]
pub fn validate(survey: &Survey) -> Vec<Fault> {
    let mut search = Search { kinds: HashMap::new(), faults: Vec::new() };
    search.collect_ids(survey);
    search.check_references(survey);
    search.check_run_cycles(survey);
    search.check_texts(survey);
    search.check_sun_hours(survey);
    search.check_curves(survey);
    search.check_doubts_at(survey, |_| true);
    search.check_signing(survey);
    search.faults
}

/// The first thing wrong after facts of these items changed, or doubtful entries at them, in a survey that
/// had nothing wrong before: facts are read by nothing but the rule that none stands beside a doubtful entry.
/// The circuit of a run is the exception; see [`is_plain_fact`].
pub(crate) fn fault_after_facts(survey: &Survey, items: &[Id]) -> Option<Fault> {
    let mut search = Search { kinds: HashMap::new(), faults: Vec::new() };
    search.check_doubts_at(survey, |id| items.contains(id));
    search.faults.into_iter().next()
}

/// Whether [`validate`] reads nothing of a field but whether it has a value.
pub(crate) fn is_plain_fact(place: Place, field: &str) -> bool {
    // Whether a run may end at an inverter hangs on its circuit.
    let is_read = matches!(place, Place::Run(_)) && field == "circuit";
    !is_read && layout::holds_facts(place, field)
}

struct Search<'a> {
    kinds: HashMap<&'a Id, ItemKind>,
    faults: Vec<Fault>,
}

use PathPart::{Index, Key};

impl<'a> Search<'a> {
    fn fault(&mut self, path: Vec<PathPart>, item: &Id, message: String) {
        self.faults.push(Fault { path, item: Some(item.clone()), message });
    }

    fn claim(&mut self, id: &'a Id, kind: ItemKind, mut path: Vec<PathPart>) {
        if id.as_str() == SITE {
            let message =
                say!("the id \"{}\" stands for the house itself; give the item another", SITE.to_string())
                    .to_string();
            self.fault([&path[..], &[Key("id")]].concat(), id, message);
        }
        if let Some(first) = self.kinds.insert(id, kind) {
            path.push(Key("id"));
            let words = first.words();
            self.fault(
                path,
                id,
                say!(
                    "the id \"{}\" is used twice (first by a {}); give each item its own",
                    id.to_string(),
                    words.to_string()
                )
                .to_string(),
            );
        }
    }

    fn collect_ids(&mut self, survey: &'a Survey) {
        self.collect_panel_ids(survey);
        macro_rules! claim_all {
            ($($list:ident: $kind:ident),+ $(,)?) => {$(
                for (at, item) in survey.$list.iter().enumerate() {
                    self.claim(&item.id, ItemKind::$kind, vec![Key(stringify!($list)), Index(at)]);
                }
            )+};
        }
        claim_all!(supplies: Supply, runs: Run, loads: Load, transfers: Transfer, interlocks: Interlock,
                   inlets: Inlet, modes: Mode, electrodes: Electrode, readings: Record, photos: Record, notes: Record,
                   signatures: Record);
        for (at, transfer) in survey.transfers.iter().enumerate() {
            for (position_at, position) in transfer.positions.iter().enumerate() {
                let path = vec![Key("transfers"), Index(at), Key("positions"), Index(position_at)];
                self.claim(&position.id, ItemKind::Position, path);
            }
        }
    }

    fn collect_panel_ids(&mut self, survey: &'a Survey) {
        for (at, panel) in survey.panels.iter().enumerate() {
            let path = vec![Key("panels"), Index(at)];
            self.claim(&panel.id, ItemKind::Panel, path.clone());
            for (bus_at, bus) in panel.buses.iter().enumerate() {
                // A panel with one bus may give it its own id.
                if bus.id != panel.id {
                    let path = [&path[..], &[Key("buses"), Index(bus_at)]].concat();
                    self.claim(&bus.id, ItemKind::Bus, path);
                }
            }
            for (way_at, way) in panel.ways.iter().enumerate() {
                let path = [&path[..], &[Key("ways"), Index(way_at)]].concat();
                self.claim(&way.id, ItemKind::Way, path);
            }
        }
    }

    /// Reports `target` unless it names an item of one of `kinds`.
    fn refer(&mut self, target: &Id, kinds: &[ItemKind], item: &Id, path: Vec<PathPart>) {
        let wanted = || kinds.iter().map(|kind| kind.words()).collect::<Vec<_>>().join(", ");
        match self.kinds.get(target) {
            None => {
                let message = say!(
                    "\"{}\" names no item of this survey; it must name a {}",
                    target.to_string(),
                    wanted().to_string()
                )
                .to_string();
                self.fault(path, item, message);
            }
            Some(kind) if !kinds.contains(kind) => {
                let message = say!(
                    "\"{}\" is a {}; it must name a {}",
                    target.to_string(),
                    kind.words().to_string(),
                    wanted().to_string()
                )
                .to_string();
                self.fault(path, item, message);
            }
            Some(_) => {}
        }
    }

    fn check_references(&mut self, survey: &Survey) {
        self.check_panels(survey);
        self.check_runs(survey);
        for (at, load) in survey.loads.iter().enumerate() {
            self.refer(&load.on, &[ItemKind::Run], &load.id, vec![Key("loads"), Index(at), Key("on")]);
        }
        for (at, interlock) in survey.interlocks.iter().enumerate() {
            for (way_at, way) in interlock.ways.iter().enumerate() {
                let path = vec![Key("interlocks"), Index(at), Key("ways"), Index(way_at)];
                self.refer(way, &[ItemKind::Way, ItemKind::Panel], &interlock.id, path);
            }
        }
        for (at, electrode) in survey.electrodes.iter().enumerate() {
            let path = vec![Key("electrodes"), Index(at), Key("at")];
            self.refer(&electrode.at, &[ItemKind::Panel], &electrode.id, path);
        }
        self.check_modes(survey);
        self.check_records(survey);
    }

    fn check_modes(&mut self, survey: &Survey) {
        use ItemKind::{Panel, Position, Run, Supply, Way};
        for (at, mode) in survey.modes.iter().enumerate() {
            let path = |list, number| vec![Key("modes"), Index(at), Key(list), Index(number)];
            for (number, supply) in mode.feeds.iter().enumerate() {
                self.refer(supply, &[Supply], &mode.id, path("feeds", number));
            }
            let mut told: HashMap<&Id, DeviceState> = HashMap::new();
            for (number, stand) in mode.devices.iter().enumerate() {
                let place = [path("devices", number), vec![Key("device")]].concat();
                self.refer(&stand.device, &[Way, Panel, Supply, Position, Run], &mode.id, place.clone());
                if told.insert(&stand.device, stand.state).is_some() {
                    let message =
                        say!("\"{}\" is named twice in this mode; keep one", stand.device.to_string())
                            .to_string();
                    self.fault(place, &mode.id, message);
                }
            }
            self.check_positions(survey, at, &told);
        }
    }

    /// A transfer switch stands at one position.
    fn check_positions(&mut self, survey: &Survey, at: usize, told: &HashMap<&Id, DeviceState>) {
        for transfer in &survey.transfers {
            let is_closed = |id| told.get(id) == Some(&DeviceState::Closed);
            if transfer.positions.iter().filter(|position| is_closed(&position.id)).count() > 1 {
                let message =
                    say!("transfer switch \"{}\" cannot stand at two positions at once", &transfer.id)
                        .to_string();
                let path = vec![Key("modes"), Index(at), Key("devices")];
                self.fault(path, &survey.modes[at].id, message);
            }
        }
    }

    fn check_records(&mut self, survey: &Survey) {
        for (at, reading) in survey.readings.iter().enumerate() {
            self.refer_any(&reading.at, &reading.id, vec![Key("readings"), Index(at), Key("at")]);
        }
        for (at, photo) in survey.photos.iter().enumerate() {
            self.refer_any(&photo.of, &photo.id, vec![Key("photos"), Index(at), Key("of")]);
        }
        for (at, note) in survey.notes.iter().enumerate() {
            if let Some(on) = &note.on {
                self.refer_any(on, &note.id, vec![Key("notes"), Index(at), Key("on")]);
            }
        }
    }

    fn refer_any(&mut self, target: &Id, item: &Id, path: Vec<PathPart>) {
        if !self.kinds.contains_key(target) && target.as_str() != SITE {
            let message = say!("\"{}\" names no item of this survey", target.to_string()).to_string();
            self.fault(path, item, message);
        }
    }

    fn check_panels(&mut self, survey: &Survey) {
        for (at, panel) in survey.panels.iter().enumerate() {
            for (bus_at, bus) in panel.buses.iter().enumerate() {
                let Some(feeder) = &bus.fed_by else { continue };
                let path = vec![Key("panels"), Index(at), Key("buses"), Index(bus_at), Key("fed_by")];
                match panel.ways.iter().find(|way| way.id == *feeder) {
                    None => {
                        self.fault(
                            path,
                            &bus.id,
                            say!("\"{}\" is no way of panel {}", feeder.to_string(), &panel.id).to_string(),
                        );
                    }
                    Some(way) if panel.bus_of(way) == &bus.id => {
                        self.fault(
                            path,
                            &bus.id,
                            say!("the way \"{}\" takes from the bus that it feeds", feeder.to_string())
                                .to_string(),
                        );
                    }
                    Some(_) => {}
                }
            }
            for (way_at, way) in panel.ways.iter().enumerate() {
                let Some(bus) = &way.bus else { continue };
                if *bus != panel.id && !panel.buses.iter().any(|candidate| candidate.id == *bus) {
                    let path = vec![Key("panels"), Index(at), Key("ways"), Index(way_at), Key("bus")];
                    self.fault(
                        path,
                        &way.id,
                        say!("\"{}\" is no bus section of panel {}", bus.to_string(), &panel.id).to_string(),
                    );
                }
            }
        }
    }

    fn check_runs(&mut self, survey: &Survey) {
        use ItemKind::{Inlet, Panel, Position, Run, Supply, Transfer, Way};
        for (at, run) in survey.runs.iter().enumerate() {
            let path = |field| vec![Key("runs"), Index(at), Key(field)];
            self.refer(&run.from, &[Way, Panel, Supply, Transfer, Inlet, Run], &run.id, path("from"));
            if let Some(way) = &run.also_from {
                self.refer(way, &[Way], &run.id, path("also_from"));
            }
            if let Some(end) = &run.to {
                self.refer(end, &[Panel, Way, Position, Inlet, Supply], &run.id, path("to"));
            }
            if let Some(message) = self.wrong_inverter_end(survey, run) {
                self.fault(path("to"), &run.id, message);
            }
            if let Some(other) = &run.neutral_of {
                self.refer(other, &[Run], &run.id, path("neutral_of"));
            }
        }
    }

    /// Only a DC run may end at an inverter: its AC input has a relay behind it, and that is an item.
    fn wrong_inverter_end(&self, survey: &Survey, run: &super::Run) -> Option<String> {
        let to = run.to.as_ref()?;
        let supply = survey.supplies.iter().find(|supply| supply.id == *to)?;
        let direct = matches!(run.circuit.get(), None | Some(Circuit::DcPair));
        (supply.kind == SupplyKind::Inverter && !direct).then(|| {
            say!("an AC run cannot end at the inverter \"{}\"; enter its relay as a transfer of kind inverter_relay and end the run at one of its positions", to.to_string()).to_string()
        })
    }

    /// A run may begin at the end of another; following that must end at something fixed.
    fn check_run_cycles(&mut self, survey: &Survey) {
        let before: HashMap<&Id, &Id> = survey.runs.iter().map(|run| (&run.id, &run.from)).collect();
        // Each run is walked once: 0 not seen, 1 on the way being walked, 2 done.
        let mut state: HashMap<&Id, u8> = HashMap::new();
        for (at, run) in survey.runs.iter().enumerate() {
            let mut walked = Vec::new();
            let mut here = &run.id;
            while let Some((id, from)) = before.get_key_value(here) {
                match state.get(*id) {
                    Some(1) => {
                        let message = say!(
                            "run \"{}\" begins at its own end by way of other runs; correct \"from\"",
                            id.to_string()
                        )
                        .to_string();
                        self.fault(vec![Key("runs"), Index(at), Key("from")], &run.id, message);
                        break;
                    }
                    Some(_) => break,
                    None => {}
                }
                state.insert(id, 1);
                walked.push(*id);
                here = from;
            }
            for id in walked {
                state.insert(id, 2);
            }
        }
    }

    /// Sun hours: one figure a month, none longer than a day.
    fn check_sun_hours(&mut self, survey: &Survey) {
        for (at, supply) in survey.supplies.iter().enumerate() {
            let path = || vec![Key("supplies"), Index(at), Key("sun_hours")];
            let count = supply.sun_hours.len();
            if count != 0 && count != MONTHS {
                let message =
                    say!("there are {} figures of sun hours; write twelve, one a month", count.to_string())
                        .to_string();
                self.fault(path(), &supply.id, message);
            }
            let day = Time::new::<hour>(HOURS_OF_A_DAY);
            if supply.sun_hours.iter().any(|sun| sun.quantity() > day) {
                self.fault(path(), &supply.id, word("a day has 24 h; no month has more sun").to_owned());
            }
        }
    }

    /// The curves of an inverter and its battery: few points, none twice, and a voltage that does not fall while
    /// the battery is filled.
    fn check_curves(&mut self, survey: &Survey) {
        for (at, supply) in survey.supplies.iter().enumerate() {
            let outputs: Vec<f64> =
                supply.efficiencies.iter().map(|point| point.power.quantity().value).collect();
            self.check_points(&outputs, (at, "efficiencies"), &supply.id);
            let charges: Vec<f64> =
                supply.resting_voltages.iter().map(|point| point.charge.quantity().value).collect();
            self.check_points(&charges, (at, "resting_voltages"), &supply.id);
            let path = |list| vec![Key("supplies"), Index(at), Key(list)];
            let whole = |share: Ratio| share.value > 1.0;
            let known = supply.efficiencies.iter().filter_map(|point| point.efficiency.known());
            if known.into_iter().any(|share| whole(share.quantity()) || share.quantity().value <= 0.0) {
                let message = word("an efficiency lies above 0 % and is 100 % at most").to_owned();
                self.fault(path("efficiencies"), &supply.id, message);
            }
            if supply.resting_voltages.iter().any(|point| whole(point.charge.quantity())) {
                let message = word("a state of charge is 100 % at most").to_owned();
                self.fault(path("resting_voltages"), &supply.id, message);
            }
            let points = supply.resting_voltages.iter();
            let known =
                points.filter_map(|point| Some((point.charge.quantity(), point.voltage.known()?.quantity())));
            let mut known: Vec<(Ratio, Voltage)> = known.collect();
            known.sort_by(|a, b| a.0.value.total_cmp(&b.0.value));
            if known.windows(2).any(|two| two[1].1 < two[0].1) {
                let message =
                    word("the resting voltage falls where the charge rises; look at the points again");
                self.fault(path("resting_voltages"), &supply.id, message.to_owned());
            }
        }
    }

    /// Points of a curve: no more than are used, each place once.
    fn check_points(&mut self, places: &[f64], (at, list): (usize, &'static str), id: &Id) {
        let path = || vec![Key("supplies"), Index(at), Key(list)];
        if places.len() > MOST_POINTS {
            let message =
                say!("there are {} points; {} are enough", places.len().to_string(), MOST_POINTS.to_string());
            self.fault(path(), id, message.to_string());
        }
        let twice = places.iter().enumerate().any(|(number, place)| places[..number].contains(place));
        if twice {
            let message =
                word("two points stand at the same place of the curve; keep one of them").to_owned();
            self.fault(path(), id, message);
        }
    }

    /// A doubtful entry stands at a field that there is, once, and has no value beside it.
    fn check_doubts_at(&mut self, survey: &Survey, is_wanted: impl Fn(&Id) -> bool) {
        for (at, doubt) in survey.in_doubt.iter().enumerate().filter(|(_, doubt)| is_wanted(&doubt.on)) {
            let path = |field| vec![Key("in_doubt"), Index(at), Key(field)];
            self.check_length(&doubt.text, LONGEST_ENTRY, path("text"), Some(&doubt.on));
            let Some(place) = Place::find(survey, &doubt.on) else {
                let message = say!("\"{}\" names no item of this survey", doubt.on.to_string()).to_string();
                self.fault(path("on"), &doubt.on, message);
                continue;
            };
            if let Some(message) = wrong_doubt(survey, place, doubt) {
                self.fault(path("fact"), &doubt.on, message);
            }
            let is_same = |other: &Doubt| other.on == doubt.on && other.fact == doubt.fact;
            if survey.in_doubt[..at].iter().any(is_same) {
                let message =
                    say!("\"{}\" is in doubt twice; keep one entry", shown(&doubt.fact).to_string())
                        .to_string();
                self.fault(path("fact"), &doubt.on, message);
            }
        }
    }

    fn check_texts(&mut self, survey: &Survey) {
        let site = &survey.site;
        for (field, text) in [
            ("name", &site.name),
            ("place", &site.place),
            ("surveyor", &site.surveyor),
            ("purpose", &site.purpose),
        ] {
            self.check_length(text, LONGEST_NAME, vec![Key("site"), Key(field)], None);
        }
        macro_rules! check_names {
            ($($list:ident.$field:ident <= $longest:ident),+ $(,)?) => {$(
                for (at, item) in survey.$list.iter().enumerate() {
                    let path = vec![Key(stringify!($list)), Index(at), Key(stringify!($field))];
                    self.check_length(&item.$field, $longest, path, Some(&item.id));
                }
            )+};
        }
        check_names!(
            supplies.name <= LONGEST_NAME,
            panels.name <= LONGEST_NAME,
            runs.name <= LONGEST_NAME,
            loads.name <= LONGEST_NAME,
            transfers.name <= LONGEST_NAME,
            interlocks.name <= LONGEST_NAME,
            inlets.name <= LONGEST_NAME,
            modes.name <= LONGEST_NAME,
            readings.instrument <= LONGEST_NAME,
            readings.taken_by <= LONGEST_NAME,
            photos.file <= LONGEST_NAME,
            photos.caption <= LONGEST_TEXT,
            notes.text <= LONGEST_TEXT,
            signatures.name <= LONGEST_NAME,
            signatures.licence <= LONGEST_NAME,
            signatures.hash <= LONGEST_NAME,
            signatures.answers_hash <= LONGEST_NAME,
            signatures.seal <= LONGEST_NAME
        );
        for (at, panel) in survey.panels.iter().enumerate() {
            for (way_at, way) in panel.ways.iter().enumerate() {
                let path = vec![Key("panels"), Index(at), Key("ways"), Index(way_at), Key("label")];
                self.check_length(&way.label, LONGEST_NAME, path, Some(&way.id));
            }
        }
    }

    /// Ink, answers and the signed revisions before.
    fn check_signing(&mut self, survey: &Survey) {
        for (at, signature) in survey.signatures.iter().enumerate() {
            if let Some(message) = signature.ink.as_ref().and_then(super::Ink::fault) {
                self.fault(vec![Key("signatures"), Index(at), Key("ink")], &signature.id, message);
            }
        }
        for (at, answer) in survey.answers.iter().enumerate() {
            let path = |field| vec![Key("answers"), Index(at), Key(field)];
            self.check_length(&answer.check, LONGEST_NAME, path("check"), None);
            self.check_length(&answer.by, LONGEST_NAME, path("by"), None);
            self.check_length(&answer.reason, LONGEST_TEXT, path("reason"), None);
            if answer.answer.needs_reason() && answer.reason.trim().is_empty() {
                let message =
                    say!("the answer \"{}\" needs its reason", answer.answer.words().to_string()).to_string();
                self.fault(path("answer"), &answer.item, message);
            }
            let given = |other: &super::Answer| other.check == answer.check && other.item == answer.item;
            if survey.answers.iter().take(at).any(given) {
                let message = say!("the finding {} is answered twice", answer.check.to_string()).to_string();
                self.fault(path("check"), &answer.item, message);
            }
        }
        for (at, revision) in survey.revisions.iter().enumerate() {
            let path = |field| vec![Key("revisions"), Index(at), Key(field)];
            self.check_length(&revision.hash, LONGEST_NAME, path("hash"), None);
            for signer in &revision.signers {
                self.check_length(signer, 2 * LONGEST_NAME, path("signers"), None);
            }
            let Some(state) = &revision.state else { continue };
            if state.revisions.iter().any(|earlier| earlier.state.is_some()) {
                let message =
                    word("a kept revision holds no other kept revision; remove its \"state\"").to_owned();
                self.faults.push(Fault { path: path("state"), item: None, message });
                continue;
            }
            for mut fault in validate(state) {
                fault.path = [path("state"), fault.path].concat();
                self.faults.push(fault);
            }
        }
    }

    fn check_length(&mut self, text: &str, longest: usize, path: Vec<PathPart>, item: Option<&Id>) {
        let length = text.chars().count();
        if length > longest {
            let message = say!(
                "this text has {} characters; shorten it to {}",
                length.to_string(),
                longest.to_string()
            )
            .to_string();
            self.faults.push(Fault { path, item: item.cloned(), message });
        }
    }
}

fn wrong_doubt(survey: &Survey, place: Place, doubt: &Doubt) -> Option<String> {
    let twin = place.twin(survey);
    let found = [Some(place), twin].into_iter().flatten().find_map(|place| {
        let slot = layout::slot(survey, place, &doubt.fact).filter(|slot| slot.name() == doubt.fact)?;
        Some((place, slot))
    });
    let Some((place, slot)) = found else {
        return Some(
            say!(
                "there is no \"{}\" at a {}",
                shown(&doubt.fact).to_string(),
                place.kind().words().to_string()
            )
            .to_string(),
        );
    };
    let field = place.record(survey).and_then(|record| record.field(slot.top)).unwrap_or_default();
    (slot.is_fact() && !slot.value_in(&field).is_null()).then(|| {
        say!(
            "\"{}\" has a value and a doubtful entry beside it; take one away",
            shown(&doubt.fact).to_string()
        )
        .to_string()
    })
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;
    use crate::fixture::{backed_up, with};

    fn faults_at(field: &str, value: serde_json::Value) -> Vec<String> {
        let house = with(backed_up(), &[(&format!("/supplies/1/{field}"), value)]);
        let survey = serde_json::from_value(house).expect("a survey");
        validate(&survey).into_iter().map(|fault| fault.message).collect()
    }

    #[test]
    fn points_of_a_curve_are_few_and_stand_apart() {
        let point = |power: &str, share: &str| json!({ "power": power, "efficiency": share });
        let faults = |points: Vec<serde_json::Value>| faults_at("efficiencies", json!(points));
        assert!(faults(vec![point("1 kW", "90 %"), point("2 kW", "100 %")]).is_empty());
        assert!(faults(vec![point("1 kW", "90 %"), point("1000 W", "91 %")])[0].contains("same place"));
        assert!(faults(vec![point("1 kW", "101 %")])[0].contains("100 %"));
        assert!(faults(vec![point("1 kW", "0 %")])[0].contains("0 %"));
        let many = |count: usize| (1..=count).map(|at| point(&format!("{at} kW"), "90 %")).collect();
        assert!(faults(many(MOST_POINTS)).is_empty());
        assert!(faults(many(MOST_POINTS + 1))[0].contains("are enough"));
    }

    #[test]
    fn a_resting_voltage_does_not_fall_while_the_battery_is_filled() {
        let point = |charge: &str, volts: &str| json!({ "charge": charge, "voltage": volts });
        let faults = |points: [serde_json::Value; 2]| faults_at("resting_voltages", json!(points));
        assert!(faults([point("90 %", "53 V"), point("10 %", "50 V")]).is_empty());
        assert!(faults([point("10 %", "53 V"), point("90 %", "53 V")]).is_empty());
        assert!(faults([point("10 %", "53 V"), point("90 %", "52.9 V")])[0].contains("falls"));
        assert!(faults([point("10 %", "50 V"), point("101 %", "53 V")])[0].contains("100 %"));
    }

    #[test]
    fn sun_hours_are_twelve_and_no_longer_than_a_day() {
        let faults = |hours: &[&str]| {
            let at = format!("/supplies/{}/sun_hours", 1);
            let house = with(backed_up(), &[(&at, json!(hours))]);
            let survey = serde_json::from_value(house).expect("a survey");
            validate(&survey).into_iter().map(|fault| fault.message).collect::<Vec<_>>()
        };
        assert!(faults(&["4 h"; 12]).is_empty() && faults(&[]).is_empty());
        assert!(faults(&["4 h"; 11])[0].contains("write twelve"));
        assert!(faults(&["25 h"; 12])[0].contains("24 h"));
        assert!(faults(&["24 h"; 12]).is_empty());
    }
}
