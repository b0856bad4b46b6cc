//! What a line opens to: the item's fields, what hangs on it, and what can be done with it.

use deadfront_rules::edit::{self, State, last_way};
use deadfront_rules::finding::Said;
use deadfront_rules::house::{Item, site_id};
use deadfront_rules::say;
use deadfront_rules::survey::form::Form;
use deadfront_rules::survey::{Id, ItemKind};
use slint::SharedString;

use crate::findings::finding_row;
use crate::generated::{Action, Field, Known, RowData};
use crate::lists::{action, kind_key};
use crate::shown::Shown;
use crate::words::{label, tell};

/// The fields of an item; `current` is the one whose sheet is open.
pub(crate) fn fields(shown: &Shown, id: &Id, current: Option<&str>) -> Vec<Field> {
    let mut group = Said::plain("");
    let fields = edit::fields(&shown.survey, id).into_iter();
    fields
        .map(|field| {
            let mut own = heading(&field.name);
            if own == Said::plain("") && group != own {
                // What follows a part of the item would else read as if it were of that part.
                own = say!("Further facts");
            }
            let begins = own != group;
            group.clone_from(&own);
            let (known, value, note) = state(&field);
            Field {
                key: field.name.as_str().into(),
                label: label(field.label),
                value,
                note,
                known,
                group: if begins { tell(&own) } else { SharedString::new() },
                current: current == Some(field.name.as_str()),
            }
        })
        .collect()
}

/// The heading of a part of an item, from the name of a field in it.
pub(crate) fn heading(field: &str) -> Said {
    let mut parts = field.split('.');
    let (first, number) = (parts.next().unwrap_or(""), parts.next());
    let number = number.and_then(|number| number.parse::<usize>().ok()).map_or(1, |number| number + 1);
    match first {
        _ if !field.contains('.') => Said::plain(""),
        "main" => say!("The main device"),
        "device" => say!("The device in it"),
        "output_device" => say!("The device at its output"),
        "battery" => say!("Its battery"),
        "ratings" => say!("Line {} of its plate", number),
        "surges" => say!("Surge {}", number),
        "efficiencies" => say!("Efficiency at an output, point {}", number),
        "resting_voltages" => say!("Resting voltage of the battery, point {}", number),
        _ => say!("{}", crate::words::label(&first.replace('_', " ")).to_string()),
    }
}

fn state(field: &edit::Field) -> (Known, SharedString, SharedString) {
    match &field.state {
        State::NotSeen if field.is_fact => (Known::NotSeen, tell(&say!("not seen yet")), SharedString::new()),
        State::NotSeen => (Known::NotSeen, tell(&say!("not written")), SharedString::new()),
        State::CannotBeSeen => (Known::Unseen, tell(&say!("cannot be seen")), SharedString::new()),
        State::Known => (Known::Known, value(field), SharedString::new()),
        State::InDoubt(why) => (Known::Doubt, field.entry.as_str().into(), why.as_str().into()),
    }
}

/// What stands in a field. A choice is a word of the program; everything else is as the person wrote it.
fn value(field: &edit::Field) -> SharedString {
    match field.form {
        Form::Choice(_) | Form::YesNo => deadfront_rules::words::phrase(field.words.clone()).into(),
        _ => field.words.as_str().into(),
    }
}

/// Other items that belong to this one, each under the heading of its kind.
pub(crate) fn related(shown: &Shown, id: &Id) -> Vec<RowData> {
    let survey = &shown.survey;
    let mut rows = Rows { shown, rows: Vec::new() };
    match shown.item(id) {
        Some(Item::Panel(at)) => {
            let panel = &survey.panels[at];
            rows.add(&say!("Ways"), panel.ways.iter().map(|way| way.id.clone()));
            rows.add(&say!("Bus sections"), panel.buses.iter().map(|bus| bus.id.clone()));
            rows.add(&say!("Runs at its lugs"), run_ids(shown, id));
        }
        Some(Item::Way(panel, at)) => {
            rows.add(&say!("The wire on it"), run_ids(shown, id));
            let runs = shown.runs_at(id).iter().map(|run| &survey.runs[*run]);
            let fed = runs.filter(|run| run.to.as_ref() != Some(id));
            let loads: Vec<Id> = fed.flat_map(|run| load_ids(shown, &run.id)).collect();
            rows.add(&say!("What it feeds"), loads);
            let interlocks = survey.interlocks.iter().filter(|lock| lock.ways.contains(id));
            rows.add(&say!("Interlocks on it"), interlocks.map(|lock| lock.id.clone()));
            let _ = at;
            rows.add(&say!("Where it stands"), [survey.panels[panel].id.clone()]);
        }
        Some(Item::Bus(panel, _)) => rows.add(&say!("Where it stands"), [survey.panels[panel].id.clone()]),
        Some(Item::Run(at)) => {
            let run = &survey.runs[at];
            let from = [Some(run.from.clone()), run.also_from.clone()];
            rows.add(&say!("Where it begins"), from.into_iter().flatten());
            rows.add(&say!("Where it ends"), run.to.clone());
            rows.add(&say!("Loads on it"), load_ids(shown, id));
            rows.add(&say!("Runs that go on from it"), run_ids(shown, id));
        }
        Some(Item::Load(at)) => rows.add(&say!("The wire to it"), [survey.loads[at].on.clone()]),
        Some(Item::Transfer(at)) => {
            let positions = survey.transfers[at].positions.iter();
            rows.add(&say!("Positions"), positions.map(|position| position.id.clone()));
            rows.add(&say!("Runs at it"), run_ids(shown, id));
        }
        Some(Item::Position(transfer, _)) => {
            rows.add(&say!("Runs at it"), run_ids(shown, id));
            rows.add(&say!("Where it stands"), [survey.transfers[transfer].id.clone()]);
        }
        Some(Item::Interlock(at)) => {
            rows.add(&say!("Ways it keeps apart"), survey.interlocks[at].ways.clone())
        }
        Some(Item::Mode(at)) => {
            let mode = &survey.modes[at];
            rows.add(&say!("Supplies that feed in it"), mode.feeds.clone());
            rows.add(
                &say!("Devices that stand in it"),
                mode.devices.iter().map(|stand| stand.device.clone()),
            );
        }
        Some(Item::Supply(_) | Item::Inlet(_)) => rows.add(&say!("Runs at it"), run_ids(shown, id)),
        Some(Item::Electrode(at)) => {
            rows.add(&say!("Where its conductor ends"), [survey.electrodes[at].at.clone()])
        }
        None => {}
    }
    rows.records(id);
    rows.rows
}

struct Rows<'a> {
    shown: &'a Shown,
    rows: Vec<RowData>,
}

impl Rows<'_> {
    fn add(&mut self, heading: &Said, ids: impl IntoIterator<Item = Id>) {
        let first = self.rows.len();
        self.rows.extend(ids.into_iter().map(|id| self.shown.row(&id)));
        if let Some(row) = self.rows.get_mut(first) {
            row.group = tell(heading);
        }
    }

    /// What was noted at an item; the notes of the house have lines of their own.
    fn records(&mut self, id: &Id) {
        if *id == site_id() {
            return;
        }
        let survey = &self.shown.survey;
        let notes = survey.notes.iter().filter(|note| note.on.as_ref() == Some(id));
        self.add(&say!("Notes"), notes.map(|note| note.id.clone()));
    }
}

fn run_ids(shown: &Shown, id: &Id) -> Vec<Id> {
    shown.runs_at(id).iter().map(|at| shown.survey.runs[*at].id.clone()).collect()
}

fn load_ids(shown: &Shown, id: &Id) -> Vec<Id> {
    shown.loads_on(id).iter().map(|at| shown.survey.loads[*at].id.clone()).collect()
}

/// The findings about an item, worst first; what meets comes last.
pub(crate) fn finding_rows(shown: &Shown, id: &Id) -> Vec<RowData> {
    shown.findings_of(id).map(|at| finding_row(shown, at)).collect()
}

/// What can be added to an item.
pub(crate) fn adds(shown: &Shown, id: &Id) -> Vec<Action> {
    let mut actions = match shown.item(id) {
        Some(Item::Panel(_)) => vec![
            action("circuit", &say!("Add circuit")),
            action(kind_key(ItemKind::Way), &say!("Add way")),
            action(kind_key(ItemKind::Bus), &say!("Add bus section")),
            action("cable", &say!("One cable for all")),
            action(AGAIN, &say!("Copy the last way")),
        ],
        Some(Item::Run(_)) => vec![action(kind_key(ItemKind::Load), &say!("Add load"))],
        Some(Item::Transfer(_)) => vec![action(kind_key(ItemKind::Position), &say!("Add position"))],
        Some(_) => Vec::new(),
        None => return Vec::new(),
    };
    if last_way(&shown.survey, id).is_none() {
        actions.retain(|action| action.key != AGAIN);
    }
    if let Some(Item::Panel(at)) = shown.item(id)
        && !is_fed(shown, &shown.survey.panels[at].id)
    {
        actions.insert(0, action(FED_BY, &say!("What feeds it")));
    }
    if begins_nothing(shown, id) {
        actions.push(action(RUN_FROM, &say!("Add run from here")));
    }
    if matches!(shown.item(id), Some(Item::Panel(_) | Item::Way(..) | Item::Run(_) | Item::Load(_))) {
        actions.push(action("open", &say!("What to open here")));
    }
    actions.push(action("reading", &say!("Add reading")));
    actions.push(action("note", &say!("Add note")));
    actions.push(action("photo", &say!("Add photo")));
    actions
}

/// The key of copying the last way of a panel.
pub(crate) const AGAIN: &str = "again";

/// The keys of what joins an item to the rest of the house.
pub(crate) const FED_BY: &str = "fed-by";
pub(crate) const RUN_FROM: &str = "run-from";

fn is_fed(shown: &Shown, panel: &Id) -> bool {
    let ways = shown.survey.panels.iter().filter(|other| other.id == *panel).flat_map(|panel| &panel.ways);
    let mut ends = ways.map(|way| &way.id).chain([panel]);
    ends.any(|end| shown.runs_at(end).iter().any(|at| shown.survey.runs[*at].to.as_ref() == Some(end)))
}

/// Something from which a run can go on, and none does yet.
fn begins_nothing(shown: &Shown, id: &Id) -> bool {
    let begins =
        matches!(shown.item(id), Some(Item::Supply(_) | Item::Way(..) | Item::Transfer(_) | Item::Inlet(_)));
    begins && !shown.runs_at(id).iter().any(|at| shown.survey.runs[*at].from == *id)
}

/// The keys of what is done with a record, and with an item that has some.
pub(crate) const ELSEWHERE: &str = "elsewhere";
pub(crate) const COPY_ALL: &str = "copy-all";

/// The field of a reading, remark or photo that names its item; nothing for anything else.
pub(crate) fn record_field(shown: &Shown, id: &Id) -> Option<&'static str> {
    let survey = &shown.survey;
    if survey.readings.iter().any(|reading| reading.id == *id) {
        Some("at")
    } else if survey.photos.iter().any(|photo| photo.id == *id) {
        Some("of")
    } else {
        survey.notes.iter().any(|note| note.id == *id).then_some("on")
    }
}

fn has_records(shown: &Shown, id: &Id) -> bool {
    let survey = &shown.survey;
    survey.notes.iter().any(|note| note.on.as_ref() == Some(id))
        || survey.photos.iter().any(|it| it.of == *id)
}

/// What can be done with an item.
pub(crate) fn actions(shown: &Shown, id: &Id) -> Vec<Action> {
    if *id == site_id() {
        return Vec::new();
    }
    let mut actions = Vec::new();
    if record_field(shown, id).is_some() {
        actions.push(action("copy", &say!("Copy")));
        actions.push(action(ELSEWHERE, &say!("Move to another item")));
    } else if shown.item(id).is_some() {
        actions.push(action("copy", &say!("Copy")));
        if has_records(shown, id) {
            actions.push(action(COPY_ALL, &say!("Copy with notes and photos")));
        }
        actions.push(action("earlier", &say!("Move up")));
        actions.push(action("later", &say!("Move down")));
    }
    actions.push(action("remove", &say!("Remove")));
    actions
}
