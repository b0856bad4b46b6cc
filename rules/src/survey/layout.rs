//! What can be entered at each kind of item, in the order in which a person meets it. Facts come
//! from the records themselves; what is no fact (names, references, structure) is listed here.

use crate::say;
use crate::words::word;
use std::borrow::Cow;
use std::collections::HashSet;
use std::sync::LazyLock;

use chrono::{DateTime, FixedOffset, NaiveDate};
use serde_json::{Value, json};

use super::form::{Enterable, FactEntry, Form, Pick, Reader};
use super::place::Place;
use super::quantity::{EnteredPercent, EnteredPower, EnteredTime, EnteredVoltage, shown};
use super::validate::{LONGEST_NAME, LONGEST_TEXT};
use super::{
    Battery, Bus, CANNOT_BE_SEEN, Device, DeviceState, EfficiencyAt, Electrode, Half, Id, Inlet, Interlock,
    ItemKind, Load, LoadKind, Panel, Rating, Reading, RestingAt, Role, RuleSetName, Run, Site, Supply,
    SupplyKind, Surge, Survey, Transfer, Way, questions,
};

/// The items that a reference may name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Target {
    /// Items of these kinds.
    Kinds(&'static [ItemKind]),
    /// A way of the same panel.
    WayOfPanel,
    /// A bus section of the same panel.
    BusOfPanel,
    /// Any item, the house included.
    Any,
}

/// What a plain field takes.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Takes {
    /// A name that must not be empty.
    Name,
    /// A text of at most so many characters.
    Text(usize),
    /// What its type takes.
    Typed(fn() -> Form, Reader),
    Day,
    Moment,
    Spaces,
    Months,
    /// How devices stand: `P.1 closed, T.battery open`.
    Stands,
    /// Whether the record inside is there at all.
    Present,
    One(Target),
    Many(Target),
}

/// A field that is no fact.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Plain {
    pub(crate) name: &'static str,
    pub(crate) label: &'static str,
    pub(crate) takes: Takes,
    /// Whether the item cannot be without it.
    pub(crate) required: bool,
}

/// One part of what can be entered at an item.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Part {
    Plain(&'static Plain),
    /// The item's own facts.
    Facts(&'static [FactEntry]),
    /// The facts of a record inside, which may be missing altogether.
    Inside(&'static str, &'static [FactEntry]),
    /// Lines of a list inside: its name, what each line must have, its facts.
    Lines(&'static str, &'static Plain, &'static [FactEntry]),
}

/// Lists plain fields as `NAME: "field", "label", takes, required|optional;`.
macro_rules! plain {
    ($($const:ident: $name:literal, $label:literal, $takes:expr, $need:ident;)+) => {$(
        const $const: &Plain =
            &Plain { name: $name, label: $label, takes: $takes, required: plain!(@$need) };
    )+
        /// Every plain field.
        const PLAIN: &[&Plain] = &[$($const),+];
    };
    (@required) => { true };
    (@optional) => { false };
}

/// What a type takes, as a plain field.
const fn typed<T: Enterable>() -> Takes {
    Takes::Typed(T::form, T::read)
}

const RUN_BEGINS: Target = Target::Kinds(&[
    ItemKind::Way,
    ItemKind::Panel,
    ItemKind::Supply,
    ItemKind::Transfer,
    ItemKind::Inlet,
    ItemKind::Run,
]);
const RUN_ENDS: Target =
    Target::Kinds(&[ItemKind::Panel, ItemKind::Way, ItemKind::Position, ItemKind::Inlet, ItemKind::Supply]);
const A_WAY: Target = Target::Kinds(&[ItemKind::Way]);
const A_RUN: Target = Target::Kinds(&[ItemKind::Run]);
const A_SUPPLY: Target = Target::Kinds(&[ItemKind::Supply]);
const A_PANEL: Target = Target::Kinds(&[ItemKind::Panel]);

plain! {
    NAME: "name", "name", Takes::Name, required;
    NAME_OR_NONE: "name", "name", Takes::Text(LONGEST_NAME), optional;
    PLACE: "place", "address or place", Takes::Text(LONGEST_NAME), optional;
    SURVEYOR: "surveyor", "surveyed by", Takes::Text(LONGEST_NAME), optional;
    DATE: "date", "day of the survey", Takes::Day, optional;
    PURPOSE: "purpose", "what is to be tied in", Takes::Text(LONGEST_NAME), optional;
    RULES: "rules", "rules to check against", typed::<RuleSetName>(), required;
    INVENTED: "invented", "invented example", typed::<bool>(), optional;
    SUPPLY_KIND: "kind", "kind of supply", typed::<SupplyKind>(), required;
    DURATION: "duration", "how long it gives that", typed::<EnteredTime>(), required;
    POINT_OUTPUT: "power", "efficiency at an output of", typed::<EnteredPower>(), required;
    POINT_CHARGE: "charge", "resting voltage at a charge of", typed::<EnteredPercent>(), required;
    SUN_HOURS: "sun_hours", "hours of full sun a day, by month", Takes::Months, optional;
    BATTERY: "battery", "battery behind it", Takes::Present, optional;
    FED_BY: "fed_by", "fed by the way", Takes::One(Target::WayOfPanel), optional;
    SPACES: "spaces", "spaces", Takes::Spaces, optional;
    HALF: "half", "half of a tandem", typed::<Half>(), optional;
    BUS: "bus", "bus section", Takes::One(Target::BusOfPanel), optional;
    LABEL: "label", "label on the door", Takes::Text(LONGEST_NAME), optional;
    FROM: "from", "begins at", Takes::One(RUN_BEGINS), required;
    ALSO_FROM: "also_from", "begins also at", Takes::One(A_WAY), optional;
    TO: "to", "ends at", Takes::One(RUN_ENDS), optional;
    NEUTRAL_OF: "neutral_of", "uses the neutral of", Takes::One(A_RUN), optional;
    PLANNED: "planned", "planned, not built", typed::<bool>(), optional;
    LOAD_ON: "on", "fed by the run", Takes::One(A_RUN), required;
    LOAD_KIND: "kind", "kind of load", typed::<LoadKind>(), required;
    LINE_VOLTAGE: "voltage", "voltage of this line", typed::<EnteredVoltage>(), required;
    WAYS: "ways", "ways of which one may be on", Takes::Many(A_WAY), required;
    STANDS: "devices", "how the devices stand", Takes::Stands, optional;
    FEEDS: "feeds", "supplies that feed in it", Takes::Many(A_SUPPLY), optional;
    ELECTRODE_AT: "at", "its conductor ends at", Takes::One(A_PANEL), required;
    READING_AT: "at", "taken at", Takes::One(Target::Any), required;
    WHEN: "when", "when", Takes::Moment, required;
    INSTRUMENT: "instrument", "instrument", Takes::Text(LONGEST_NAME), optional;
    TAKEN_BY: "taken_by", "taken by", Takes::Text(LONGEST_NAME), optional;
    PHOTO_OF: "of", "what it shows", Takes::One(Target::Any), required;
    CAPTION: "caption", "caption", Takes::Text(LONGEST_TEXT), optional;
    NOTE_ON: "on", "about", Takes::One(Target::Any), optional;
    TEXT: "text", "remark", Takes::Text(LONGEST_TEXT), optional;
    ROLE: "role", "signs as", typed::<Role>(), required;
    LICENCE: "licence", "licence number", Takes::Text(LONGEST_NAME), optional;
}

use Part::{Facts, Inside, Lines};

/// A label of any field, for a text that was kept; `None` when no field has it any more.
pub(crate) fn label_in_words(label: &str) -> Option<&'static str> {
    let plain = PLAIN.iter().map(|plain| plain.label);
    plain.chain(questions::labels()).find(|known| *known == label)
}

/// What can be entered at an item, in the order in which a person meets it.
pub(crate) fn parts(place: Place) -> &'static [Part] {
    const fn p(plain: &'static Plain) -> Part {
        Part::Plain(plain)
    }
    match place {
        Place::Site => {
            const {
                &[
                    p(NAME_OR_NONE),
                    p(PLACE),
                    p(SURVEYOR),
                    p(DATE),
                    p(PURPOSE),
                    p(RULES),
                    p(INVENTED),
                    Facts(Site::ENTRIES),
                ]
            }
        }
        Place::Supply(_) => {
            const {
                &[
                    p(NAME),
                    p(SUPPLY_KIND),
                    Facts(Supply::ENTRIES),
                    p(SUN_HOURS),
                    Inside("output_device", Device::ENTRIES),
                    Lines("surges", DURATION, Surge::ENTRIES),
                    Lines("efficiencies", POINT_OUTPUT, EfficiencyAt::ENTRIES),
                    p(BATTERY),
                    Inside("battery", Battery::ENTRIES),
                    Lines("resting_voltages", POINT_CHARGE, RestingAt::ENTRIES),
                ]
            }
        }
        Place::Panel(_) => const { &[p(NAME), Inside("main", Device::ENTRIES), Facts(Panel::ENTRIES)] },
        Place::Bus(..) => const { &[p(NAME_OR_NONE), p(FED_BY), Facts(Bus::ENTRIES)] },
        Place::Way(..) => {
            const {
                &[
                    p(SPACES),
                    p(HALF),
                    p(LABEL),
                    p(BUS),
                    Inside("device", Device::ENTRIES),
                    Facts(Way::ENTRIES),
                ]
            }
        }
        Place::Run(_) => {
            const {
                &[
                    p(NAME_OR_NONE),
                    p(FROM),
                    p(ALSO_FROM),
                    p(TO),
                    p(NEUTRAL_OF),
                    p(PLANNED),
                    Facts(Run::ENTRIES),
                ]
            }
        }
        Place::Load(_) => {
            const {
                &[
                    p(NAME),
                    p(LOAD_ON),
                    p(LOAD_KIND),
                    Facts(Load::ENTRIES),
                    Lines("ratings", LINE_VOLTAGE, Rating::ENTRIES),
                ]
            }
        }
        Place::Transfer(_) => const { &[p(NAME), Facts(Transfer::ENTRIES)] },
        Place::Position(..) => const { &[p(NAME)] },
        Place::Interlock(_) => const { &[p(NAME), p(WAYS), Facts(Interlock::ENTRIES)] },
        Place::Inlet(_) => const { &[p(NAME), Facts(Inlet::ENTRIES)] },
        Place::Mode(_) => const { &[p(NAME), p(FEEDS), p(STANDS)] },
        Place::Electrode(_) => const { &[p(ELECTRODE_AT), Facts(Electrode::ENTRIES)] },
        Place::Reading(_) => {
            const { &[p(READING_AT), p(WHEN), p(INSTRUMENT), p(TAKEN_BY), Facts(Reading::ENTRIES)] }
        }
        Place::Photo(_) => const { &[p(PHOTO_OF), p(CAPTION)] },
        Place::Note(_) => const { &[p(NOTE_ON), p(TEXT)] },
        Place::Signature(_) => const { &[p(NAME), p(ROLE), p(WHEN), p(LICENCE)] },
    }
}

/// Whether a field of the record is a fact, or a record or list inside that holds facts.
pub(crate) fn holds_facts(place: Place, field: &str) -> bool {
    parts(place).iter().any(|part| match *part {
        Part::Plain(_) => false,
        Facts(entries) => named(entries, field).is_some(),
        Inside(top, _) | Lines(top, ..) => top == field,
    })
}

/// Where in a record a slot lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Within {
    /// A field of its own.
    Own,
    /// A fact of the record inside the field.
    Inside(&'static str),
    /// A field of one line of the list in the field.
    Line(usize, &'static str),
}

/// What a slot holds.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Holds {
    Plain(&'static Plain),
    Fact(&'static FactEntry),
}

/// One thing that can be entered at an item.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Slot {
    /// The field of the record.
    pub(crate) top: &'static str,
    pub(crate) within: Within,
    pub(crate) holds: Holds,
}

impl Slot {
    fn own(plain: &'static Plain) -> Self {
        Self { top: plain.name, within: Within::Own, holds: Holds::Plain(plain) }
    }

    fn fact(entry: &'static FactEntry) -> Self {
        Self { top: entry.name, within: Within::Own, holds: Holds::Fact(entry) }
    }

    fn inside(top: &'static str, entry: &'static FactEntry) -> Self {
        Self { top, within: Within::Inside(entry.name), holds: Holds::Fact(entry) }
    }

    fn key_of_line(top: &'static str, line: usize, key: &'static Plain) -> Self {
        Self { top, within: Within::Line(line, key.name), holds: Holds::Plain(key) }
    }

    fn line_fact(top: &'static str, line: usize, entry: &'static FactEntry) -> Self {
        Self { top, within: Within::Line(line, entry.name), holds: Holds::Fact(entry) }
    }

    /// The name by which it is set: `size`, `device.rating`, `surges.0.power`.
    pub(crate) fn name(&self) -> Cow<'static, str> {
        match self.within {
            Within::Own => self.top.into(),
            Within::Inside(key) => format!("{}.{key}", self.top).into(),
            Within::Line(line, key) => format!("{}.{line}.{key}", self.top).into(),
        }
    }

    /// The name by which questions and checks know it: `size`, `device.rating`, `surges.power`.
    pub(crate) fn asked_as(&self) -> Cow<'static, str> {
        match self.within {
            Within::Line(_, key) => format!("{}.{key}", self.top).into(),
            _ => self.name(),
        }
    }

    /// The number of its line, where it lies in a list.
    pub(crate) fn line(&self) -> Option<usize> {
        match self.within {
            Within::Line(line, _) => Some(line),
            Within::Own | Within::Inside(_) => None,
        }
    }

    /// What it may be, where it is a choice.
    pub(crate) fn picks(&self) -> Option<&'static [Pick]> {
        let form = match self.holds {
            Holds::Fact(entry) => entry.form,
            Holds::Plain(Plain { takes: Takes::Typed(form, _), .. }) => *form,
            Holds::Plain(_) => return None,
        };
        match form() {
            Form::Choice(picks) => Some(picks),
            _ => None,
        }
    }

    pub(crate) fn is_fact(&self) -> bool {
        matches!(self.holds, Holds::Fact(_))
    }

    pub(crate) fn question(&self, kind: ItemKind) -> Option<&'static questions::Question> {
        questions::question(kind, &self.asked_as())
    }

    pub(crate) fn label(&self, kind: ItemKind) -> &'static str {
        match self.holds {
            Holds::Plain(plain) => plain.label,
            Holds::Fact(entry) => self.question(kind).map_or(entry.name, |question| question.label),
        }
    }

    /// Its value in the field of the record; `null` when there is none.
    pub(crate) fn value_in<'a>(&self, field: &'a Value) -> &'a Value {
        let inside = match self.within {
            Within::Own => Some(field),
            Within::Inside(key) => field.get(key),
            Within::Line(line, key) => field.get(line).and_then(|line| line.get(key)),
        };
        inside.unwrap_or(&Value::Null)
    }

    /// Reads an entry: the value as the file writes it, or what is wrong in one sentence.
    pub(crate) fn read(&self, text: &str) -> Result<Value, String> {
        let text = text.trim();
        match self.holds {
            Holds::Fact(_) if text.is_empty() => Ok(Value::Null),
            Holds::Fact(_) if text == CANNOT_BE_SEEN => Ok(text.into()),
            Holds::Fact(entry) => (entry.read)(text),
            Holds::Plain(plain) => read_plain(plain, text),
        }
    }
}

fn read_plain(plain: &Plain, text: &str) -> Result<Value, String> {
    let label = plain.label;
    let is_empty = text.is_empty();
    match plain.takes {
        Takes::Name | Takes::Typed(..) | Takes::Moment | Takes::One(_) | Takes::Many(_)
            if is_empty && plain.required =>
        {
            Err(say!("the {} cannot be left empty", word(label)).to_string())
        }
        Takes::Name => read_text(text, LONGEST_NAME),
        Takes::Text(longest) => read_text(text, longest),
        Takes::Typed(form, _) if is_empty && form() == Form::YesNo => Ok(false.into()),
        Takes::Typed(..) | Takes::Day | Takes::Moment | Takes::One(_) if is_empty => Ok(Value::Null),
        Takes::Typed(_, read) => read(text),
        Takes::Day => read_as::<NaiveDate>(text, "day", "2026-04-30"),
        Takes::Moment => read_as::<DateTime<FixedOffset>>(text, "moment", "2026-04-30T14:05:00+02:00"),
        Takes::Spaces => read_spaces(text),
        Takes::Months => read_months(text),
        Takes::Stands => read_stands(text),
        Takes::Present => bool::read(if is_empty { "no" } else { text }),
        Takes::One(_) => read_id(text),
        Takes::Many(_) => split(text).map(read_id).collect(),
    }
}

fn read_text(text: &str, longest: usize) -> Result<Value, String> {
    let length = text.chars().count();
    if length > longest {
        return Err(say!(
            "this text has {} characters; shorten it to {}",
            length.to_string(),
            longest.to_string()
        )
        .to_string());
    }
    Ok(text.into())
}

fn read_id(text: &str) -> Result<Value, String> {
    let id = Id::new(text)
        .ok_or_else(|| say!("\"{}\" names no item of this survey", shown(text).to_string()).to_string())?;
    Ok(id.as_str().into())
}

/// Reads a value of a type that the file writes as a text.
fn read_as<T>(text: &str, what: &str, example: &str) -> Result<Value, String>
where
    T: std::str::FromStr + serde::Serialize,
{
    let value = text.parse::<T>().ok().and_then(|value| serde_json::to_value(value).ok());
    value.ok_or_else(|| {
        say!(
            "\"{}\" is no {}; write it like {}",
            shown(text).to_string(),
            what.to_string(),
            example.to_string()
        )
        .to_string()
    })
}

/// The parts of a list: parted by commas or blanks.
fn split(text: &str) -> impl Iterator<Item = &str> {
    text.split([',', ' ']).filter(|part| !part.is_empty())
}

fn read_spaces(text: &str) -> Result<Value, String> {
    let numbers = text.split(['-', ',', ' ']).filter(|part| !part.is_empty());
    let read = |part: &str| u16::read(part).ok().filter(|number| *number != 0);
    let spaces: Option<Vec<Value>> = numbers.map(read).collect();
    let spaces = spaces.ok_or_else(|| {
        say!(
            "\"{}\" is no number of a space; write it like 7 or, for two poles, 2-4",
            shown(text).to_string()
        )
        .to_string()
    })?;
    if (1..spaces.len()).any(|at| spaces[..at].contains(&spaces[at])) {
        return Err(say!("\"{}\" names a space twice", shown(text).to_string()).to_string());
    }
    Ok(spaces.into())
}

fn read_months(text: &str) -> Result<Value, String> {
    text.split(',').filter(|part| !part.trim().is_empty()).map(EnteredTime::read).collect()
}

fn read_stands(text: &str) -> Result<Value, String> {
    let stands = text.split(',').map(str::trim).filter(|part| !part.is_empty());
    stands.map(read_stand).collect()
}

fn read_stand(text: &str) -> Result<Value, String> {
    let (device, state) = text.rsplit_once(' ').ok_or_else(|| {
        say!("\"{}\" does not say how a device stands; write it like \"P.1 closed\"", shown(text).to_string())
            .to_string()
    })?;
    Ok(json!({ "device": read_id(device.trim())?, "state": DeviceState::read(state)? }))
}

/// Everything that can be entered at an item of the survey now, in the order in which a person meets it.
pub(crate) fn slots(survey: &Survey, place: Place) -> Vec<Slot> {
    let Some(record) = place.record(survey) else { return Vec::new() };
    let mut slots = Vec::new();
    for part in parts(place) {
        match *part {
            Part::Plain(plain) => slots.push(Slot::own(plain)),
            Facts(entries) => slots.extend(entries.iter().map(Slot::fact)),
            Inside(top, entries) => {
                if record.field(top).is_some_and(|inside| inside.is_object()) {
                    slots.extend(entries.iter().map(|entry| Slot::inside(top, entry)));
                }
            }
            Lines(top, key, entries) => {
                let lines = line_count(survey, place, top);
                for line in 0..lines {
                    slots.push(Slot::key_of_line(top, line, key));
                    slots.extend(entries.iter().map(|entry| Slot::line_fact(top, line, entry)));
                }
                slots.push(Slot::key_of_line(top, lines, key));
            }
        }
    }
    slots
}

fn line_count(survey: &Survey, place: Place, top: &str) -> usize {
    let lines = place.record(survey).and_then(|record| record.field(top));
    lines.and_then(|lines| lines.as_array().map(Vec::len)).unwrap_or(0)
}

/// The name by which checks know a field of an item: `device.rating`, `surges.power` (without its line).
pub(crate) fn fact_name(survey: &Survey, item: &Id, field: &str) -> Option<&'static str> {
    let place = Place::find(survey, item)?;
    let places = [Some(place), place.twin(survey)];
    let slot = places.into_iter().flatten().find_map(|place| slot(survey, place, field))?;
    match slot.within {
        Within::Own => Some(slot.top),
        Within::Inside(_) | Within::Line(..) => NAMES_INSIDE.get(&*slot.asked_as()).copied(),
    }
}

/// The names of fields inside other fields, put together once.
static NAMES_INSIDE: LazyLock<HashSet<&'static str>> = LazyLock::new(|| {
    let kinds = [Place::Supply(0), Place::Panel(0), Place::Way(0, 0), Place::Load(0)];
    kinds.iter().flat_map(|place| parts(*place)).flat_map(names_inside).collect()
});

fn names_inside(part: &Part) -> Vec<&'static str> {
    let (top, key, entries) = match *part {
        Part::Plain(_) | Facts(_) => return Vec::new(),
        Inside(top, entries) => (top, None, entries),
        Lines(top, key, entries) => (top, Some(key.name), entries),
    };
    let names = entries.iter().map(|entry| entry.name).chain(key);
    // Kept for good: as many as there are fields.
    names.map(|name| -> &'static str { format!("{top}.{name}").leak() }).collect()
}

/// The slot of this name. A fact of a list may be named without its line, as checks do: it is then
/// that of the first line which knows none of its facts, or of the first line.
pub(crate) fn slot(survey: &Survey, place: Place, name: &str) -> Option<Slot> {
    let (top, rest) = name.split_once('.').map_or((name, None), |(top, rest)| (top, Some(rest)));
    parts(place).iter().find_map(|part| match (*part, rest) {
        (Part::Plain(plain), None) => (plain.name == top).then(|| Slot::own(plain)),
        (Facts(entries), None) => named(entries, top).map(Slot::fact),
        (Inside(field, entries), Some(rest)) if field == top => {
            named(entries, rest).map(|entry| Slot::inside(field, entry))
        }
        (Lines(field, key, entries), Some(rest)) if field == top => {
            line_slot(survey, place, (field, key, entries), rest)
        }
        _ => None,
    })
}

fn named(entries: &'static [FactEntry], name: &str) -> Option<&'static FactEntry> {
    entries.iter().find(|entry| entry.name == name)
}

fn line_slot(
    survey: &Survey,
    place: Place,
    (top, key, entries): (&'static str, &'static Plain, &'static [FactEntry]),
    rest: &str,
) -> Option<Slot> {
    let (line, name) = match rest.split_once('.') {
        Some((line, name)) => (line.parse().ok()?, name),
        None => (first_blank_line(survey, place, top)?, rest),
    };
    let lines = line_count(survey, place, top);
    if name == key.name {
        return (line <= lines).then(|| Slot::key_of_line(top, line, key));
    }
    let entry = named(entries, name)?;
    (line < lines).then(|| Slot::line_fact(top, line, entry))
}

/// The first line with nothing but what it must have; the first line when there is none.
fn first_blank_line(survey: &Survey, place: Place, top: &str) -> Option<usize> {
    let lines = place.record(survey)?.field(top)?;
    let lines = lines.as_array()?;
    let blank = |line: &Value| line.as_object().is_some_and(|line| line.len() <= 1);
    lines.iter().position(blank).or_else(|| (!lines.is_empty()).then_some(0))
}
