//! One line for each item of the house: what a practitioner scans for first.

use deadfront_rules::house::Item;
use deadfront_rules::say;
use deadfront_rules::survey::{Fact, Id, Load, Panel, Run, Supply, Way, Worded};
use deadfront_rules::words;
use slint::SharedString;

use crate::Mark;
use crate::generated::RowData;
use crate::shown::Shown;
use crate::words::{capital, inline, label};

impl Shown {
    /// The line of an item; an empty one for an id that nothing bears.
    pub(crate) fn row(&self, id: &Id) -> RowData {
        let survey = &self.survey;
        let Some(item) = self.item(id) else { return self.row_without_item(id) };
        match item {
            Item::Supply(at) => self.supply_row(&survey.supplies[at]),
            Item::Panel(at) => self.panel_row(&survey.panels[at]),
            Item::Bus(panel, at) => {
                let bus = &survey.panels[panel].buses[at];
                self.line(id, capital(&bus.name), SharedString::new(), known(&bus.rating))
            }
            Item::Way(panel, at) => self.way_row(&survey.panels[panel].ways[at]),
            Item::Run(at) => self.run_row(&survey.runs[at]),
            Item::Load(at) => self.load_row(&survey.loads[at]),
            Item::Transfer(at) => {
                let transfer = &survey.transfers[at];
                self.line(id, name_or(&transfer.name, id), kind(&transfer.kind), known(&transfer.rating))
            }
            Item::Position(transfer, at) => {
                let position = &survey.transfers[transfer].positions[at];
                self.line(id, name_or(&position.name, id), SharedString::new(), SharedString::new())
            }
            Item::Interlock(at) => {
                let interlock = &survey.interlocks[at];
                self.line(id, name_or(&interlock.name, id), kind(&interlock.kind), SharedString::new())
            }
            Item::Inlet(at) => {
                let inlet = &survey.inlets[at];
                self.line(id, name_or(&inlet.name, id), known(&inlet.voltage), known(&inlet.rating))
            }
            Item::Mode(at) => {
                let mode = &survey.modes[at];
                let feeds: Vec<String> = mode.feeds.iter().map(|supply| self.name_of(supply)).collect();
                self.line(id, name_or(&mode.name, id), feeds.join(", "), SharedString::new())
            }
            Item::Electrode(at) => {
                let electrode = &survey.electrodes[at];
                let size = known(&electrode.conductor_size);
                self.line(id, label(&kind(&electrode.kind)), self.name_of(&electrode.at), size)
            }
        }
    }

    /// The house itself, readings, photos and notes are no items of the network.
    fn row_without_item(&self, id: &Id) -> RowData {
        let survey = &self.survey;
        if let Some(reading) = survey.readings.iter().find(|reading| reading.id == *id) {
            let values: Vec<String> =
                reading.facts().into_iter().filter_map(|(_, value)| value.known().cloned()).collect();
            let when = reading.when.format("%Y-%m-%d %H:%M");
            let named =
                [&reading.instrument, &reading.taken_by].into_iter().filter(|named| !named.is_empty());
            let told = format!("{}, {when}", self.name_of(&reading.at));
            let detail = named.fold(told, |told, named| format!("{told}, {named}"));
            return self.line(id, name_or(&values.join(", "), id), detail, SharedString::new());
        }
        if let Some(note) = survey.notes.iter().find(|note| note.id == *id) {
            let on = note.on.as_ref().map_or_else(String::new, |on| self.name_of(on));
            return self.line(id, name_or(&note.text, id), on, SharedString::new());
        }
        if let Some(photo) = survey.photos.iter().find(|photo| photo.id == *id) {
            return self.line(id, name_or(&photo.caption, id), self.name_of(&photo.of), SharedString::new());
        }
        self.line(id, survey.site.name.as_str(), survey.site.place.as_str(), SharedString::new())
    }

    fn line(
        &self,
        id: &Id,
        title: impl Into<SharedString>,
        detail: impl Into<SharedString>,
        figure: impl Into<SharedString>,
    ) -> RowData {
        RowData {
            id: id.as_str().into(),
            mark: self.worst_of(id).into(),
            title: title.into(),
            detail: detail.into(),
            figure: figure.into(),
            changed: self.findings_of(id).any(|at| self.changed().contains(&at)),
            ..RowData::default()
        }
    }

    fn supply_row(&self, supply: &Supply) -> RowData {
        let detail = match supply.output.worded().known() {
            Some(output) => format!("{}, {output}", supply.kind.words()),
            None => say!("{}, output not seen yet", supply.kind.words()).to_string(),
        };
        let figure = supply.continuous_power.known().map_or_else(String::new, ToString::to_string);
        self.line(&supply.id, name_or(&supply.name, &supply.id), detail, figure)
    }

    fn panel_row(&self, panel: &Panel) -> RowData {
        let kind = panel.kind.known().map_or_else(|| words::word("kind not seen yet"), |kind| kind.words());
        let room = panel.room.known().map_or_else(|| words::word("place not seen yet"), |room| room.words());
        let detail = match panel.ways.len() {
            1 => say!("{}, {}, 1 way", kind, room),
            ways => say!("{}, {}, {} ways", kind, room, ways),
        }
        .to_string();
        let figure = panel.main.rating.known().map_or_else(String::new, ToString::to_string);
        let mut row = self.line(&panel.id, name_or(&panel.name, &panel.id), detail, figure);
        row.mark = self.panel_mark(panel).into();
        row
    }

    /// A panel is no better than its worst way or bus section.
    pub(crate) fn panel_mark(&self, panel: &Panel) -> Option<Mark> {
        self.whole_mark(&panel.id)
    }

    /// A way is no better than what it feeds, what feeds it and what holds it back.
    pub(crate) fn way_mark(&self, way: &Way) -> Option<Mark> {
        self.whole_mark(&way.id)
    }

    /// The run that begins at a way.
    pub(crate) fn run_behind(&self, way: &Way) -> Option<&Run> {
        let runs = self.runs_at(&way.id).iter().map(|at| &self.survey.runs[*at]);
        runs.into_iter().find(|run| run.to.as_ref() != Some(&way.id))
    }

    fn way_row(&self, way: &Way) -> RowData {
        let run = self.run_behind(way);
        let rating = match (way.device.rating.known(), way.device.kind.known()) {
            (Some(rating), _) => rating.to_string(),
            (None, Some(kind)) => kind.words().to_owned(),
            (None, None) => "?".to_owned(),
        };
        let feeds = if way.label.is_empty() {
            run.map_or_else(String::new, |run| run.name.clone())
        } else {
            way.label.clone()
        };
        let feeds =
            if feeds.is_empty() { run.map_or_else(String::new, |run| self.loads_of(run)) } else { feeds };
        let title = match feeds.as_str() {
            "" => say!("Way {}", way.number()).to_string(),
            feeds => format!("{} · {feeds}", way.number()),
        };
        let mut row = self.line(&way.id, title, run.map_or_else(String::new, wire), rating);
        row.mark = self.way_mark(way).into();
        row
    }

    /// The loads on a run by their names.
    fn loads_of(&self, run: &Run) -> String {
        let loads = self.loads_on(&run.id).iter().map(|at| self.survey.loads[*at].name.as_str());
        loads.filter(|name| !name.is_empty()).collect::<Vec<_>>().join(", ")
    }

    fn run_row(&self, run: &Run) -> RowData {
        let method =
            run.method.known().map_or_else(|| words::word("method not seen yet"), |method| method.words());
        let goes_on = self.survey.runs.iter().find(|next| next.from == run.id).map(|next| &next.id);
        let to = run.to.as_ref().or(goes_on);
        let to = to.map_or_else(|| words::word("its loads").to_owned(), |to| self.name_of(to));
        let planned = if run.planned { words::word("planned, ") } else { "" };
        let detail =
            say!("{}{}, {}, {} to {}", planned, wire(run), method, self.name_of(&run.from).to_string(), to)
                .to_string();
        self.line(&run.id, capital(&self.name_of_run(run)), detail, known(&run.length))
    }

    fn load_row(&self, load: &Load) -> RowData {
        let figure = [
            load.power.known().map(ToString::to_string),
            load.mca.known().map(|mca| format!("MCA {mca}")),
            load.current.known().map(ToString::to_string),
            load.horsepower.known().map(ToString::to_string),
        ];
        let detail = say!("{}, on {}", load.kind.words(), self.name_of(&load.on).to_string()).to_string();
        let figure = figure.into_iter().flatten().next().unwrap_or_default();
        self.line(&load.id, name_or(&load.name, &load.id), detail, figure)
    }

    /// A short name of an item, as in the middle of a line.
    pub(crate) fn name_of(&self, id: &Id) -> String {
        let survey = &self.survey;
        match self.item(id) {
            Some(Item::Supply(at)) => survey.supplies[at].name.clone(),
            Some(Item::Panel(at)) => survey.panels[at].name.clone(),
            Some(Item::Bus(panel, at)) => {
                format!("{}, {}", survey.panels[panel].name, survey.panels[panel].buses[at].name)
            }
            Some(Item::Way(panel, way)) => {
                let panel = &survey.panels[panel];
                say!("{} way {}", &panel.name, panel.ways[way].number()).to_string()
            }
            Some(Item::Run(at)) => self.name_of_run(&survey.runs[at]),
            Some(Item::Load(at)) => survey.loads[at].name.clone(),
            Some(Item::Transfer(at)) => survey.transfers[at].name.clone(),
            Some(Item::Position(transfer, at)) => {
                let transfer = &survey.transfers[transfer];
                format!("{}, {}", transfer.name, transfer.positions[at].name)
            }
            Some(Item::Interlock(at)) => survey.interlocks[at].name.clone(),
            Some(Item::Inlet(at)) => survey.inlets[at].name.clone(),
            Some(Item::Mode(at)) => survey.modes[at].name.clone(),
            Some(Item::Electrode(_)) | None => id.to_string(),
        }
    }
}

/// A kind in words, or that it is not known yet.
fn kind<T: Worded>(kind: &Fact<T>) -> String {
    kind.worded().known().cloned().unwrap_or_else(|| words::word("kind not seen yet").to_owned())
}

/// A figure, where it is known.
fn known<T: Worded>(fact: &Fact<T>) -> String {
    fact.worded().known().cloned().unwrap_or_default()
}

impl Shown {
    /// Where it begins, where it has no name of its own.
    fn name_of_run(&self, run: &Run) -> String {
        if run.name.is_empty() {
            say!("run from {}", self.name_of(&run.from)).to_string()
        } else {
            run.name.clone()
        }
    }
}

fn name_or(name: &str, id: &Id) -> SharedString {
    if name.is_empty() { id.as_str().into() } else { name.into() }
}

/// Sets, size and metal of a run in one breath.
pub(crate) fn wire(run: &Run) -> String {
    let sets = match run.parallel_sets.get() {
        Some(sets) if sets > 1 => format!("{sets} × "),
        _ => String::new(),
    };
    if run.size.known().is_none() {
        return words::word("wire not seen yet").to_owned();
    }
    format!("{sets}{} {}", inline(&run.size), inline(&run.material))
}
