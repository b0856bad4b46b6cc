//! The words of a box: its name, what is known of it, the circuits in its list, its grounds.

use super::graph::{Graph, Kind};
use super::layers::Layers;
use super::symbols::Symbol;
use super::{Sheet, rating_words};
use crate::drawing::mark::Mark;
use crate::drawing::scene::TextSize;
use crate::drawing::words::unknown;
use crate::finding::Arg;
use crate::say;
use crate::survey::{Fact, Id, Panel};

/// Width of a section's words where it has a list [units].
const WITH_LIST: f32 = 380.0;
/// Width of the only list of a panel that is drawn by itself [units].
const ONLY_LIST: f32 = 460.0;
/// Most width that a list takes on paper for the sake of its longest name [units].
const WIDEST_LIST: f32 = 600.0;
/// Width where it has grounds only, or is the first [units].
const PLAIN: f32 = 190.0;
/// Width where it has grounds [units].
const WITH_GROUNDS: f32 = 310.0;
/// Rows from which on a list stands in two columns.
const LONG_LIST: usize = 12;
/// Width of another section's words [units].
const NARROW: f32 = 132.0;
/// Height of a row of the list [units].
pub(super) const ROW: f32 = 24.0;
/// Height of a ground [units].
pub(super) const GROUND: f32 = 30.0;
/// Space around words [units].
pub(super) const PAD: f32 = 12.0;

/// Room of a row's parts [units]: its number, its rating, its verdict, and air between them.
pub(super) const NUMBER: f32 = 50.0;
pub(super) const RATING: f32 = 46.0;
pub(super) const VERDICT: f32 = 90.0;
pub(super) const AIR: f32 = 6.0;

/// One circuit of a list.
pub(super) struct Row {
    pub(super) number: String,
    pub(super) label: String,
    pub(super) rating: String,
    pub(super) mark: Option<Mark>,
    /// The ways, runs and loads it stands for.
    pub(super) items: Vec<Id>,
}

/// One joint of neutral and ground, or one electrode.
pub(super) struct Ground {
    pub(super) symbol: Symbol,
    pub(super) words: String,
    pub(super) item: Option<Id>,
    pub(super) mark: Option<Mark>,
}

/// The words of one section of a panel.
#[derive(Default)]
pub(super) struct Head {
    pub(super) title: Vec<String>,
    pub(super) notes: Vec<String>,
    pub(super) mark: Option<Mark>,
    pub(super) rows: Vec<Row>,
    pub(super) grounds: Vec<Ground>,
    pub(super) width: f32,
    /// It is the head of the whole panel.
    pub(super) first: bool,
    /// Columns of its list.
    pub(super) columns: usize,
}

impl Head {
    /// Height of its words [units].
    pub(super) fn text_height(&self) -> f32 {
        let title = if self.first { TextSize::Body.line() } else { TextSize::Small.line() };
        let mark = if self.mark.is_some() { 28.0 } else { 0.0 };
        self.title.len() as f32 * title + self.notes.len() as f32 * TextSize::Small.line() + mark
    }

    /// Rows of the longest column of its list.
    pub(super) fn rows_high(&self) -> usize {
        self.rows.len().div_ceil(self.columns.max(1))
    }

    /// Height of its list and its grounds [units].
    pub(super) fn list_height(&self) -> f32 {
        self.rows_high() as f32 * ROW + self.grounds.len() as f32 * GROUND
    }
}

/// The heads of every box, by part; empty for what is no panel.
pub(super) fn heads(
    sheet: &Sheet<'_>,
    graph: &Graph,
    layers: &Layers,
    order: &[Vec<super::columns::Part>],
) -> Vec<Vec<Head>> {
    let of = |(node, kind): (usize, &Kind)| match kind {
        Kind::Panel(panel) => {
            let parts = &order[node];
            parts
                .iter()
                .map(|part| head(sheet, graph, *panel, part.section, part.root, parts.len()))
                .collect()
        }
        _ => Vec::new(),
    };
    layers.kinds.iter().enumerate().map(of).collect()
}

fn head(sheet: &Sheet<'_>, graph: &Graph, at: usize, section: usize, first: bool, parts: usize) -> Head {
    let panel = &sheet.house.survey.panels[at];
    let rows = rows(sheet, graph, at, section);
    let grounds = if first { grounds(sheet, panel) } else { Vec::new() };
    let columns = if rows.len() > LONG_LIST { sheet.list_columns } else { 1 };
    let listed = |at: &usize| {
        let units = &graph.panels[*at].units;
        let sections = units.iter().filter(|unit| unit.listed).map(|unit| unit.section);
        sections.collect::<std::collections::BTreeSet<usize>>().len()
    };
    let list = if sheet.list_columns == 1 && listed(&at) == 1 { ONLY_LIST } else { WITH_LIST };
    let list = list.max(needed(sheet, &rows));
    let width = match (rows.is_empty(), grounds.is_empty(), first) {
        (false, ..) => (list - 2.0 * PAD) * columns as f32 + 2.0 * PAD,
        (true, false, _) => WITH_GROUNDS,
        (true, true, true) => PLAIN,
        (true, true, false) => NARROW,
    };
    let mut head = Head { rows, grounds, width, first, columns, ..Head::default() };
    let room = width.min(list) - 2.0 * PAD;
    head.mark = if first { sheet.panel_mark(at) } else { None };
    (head.title, head.notes) = words(sheet, panel, section, (first, parts), room);
    head
}

/// Name and rating of a panel, or of a section behind another, in lines.
pub(super) fn words(
    sheet: &Sheet<'_>,
    panel: &Panel,
    section: usize,
    (first, parts): (bool, usize),
    room: f32,
) -> (Vec<String>, Vec<String>) {
    let letters = &sheet.letters;
    let bus = panel.buses.get(section);
    let (mut title, mut notes) = (Vec::new(), Vec::new());
    if first {
        let name = if panel.name.is_empty() { panel.id.as_str() } else { panel.name.as_str() };
        title = letters.wrapped(&sheet.tagged(&panel.id, name), TextSize::Body, true, room, 3);
    } else if let Some(bus) = bus {
        let name = if bus.name.is_empty() { bus.id.as_str() } else { bus.name.as_str() };
        title = letters.wrapped(&sheet.tagged(&bus.id, name), TextSize::Small, true, room, 3);
    }
    if let Some(bus) = bus {
        let rating = rating_words(letters, &bus.rating);
        let words = if first && parts > 1 && !bus.name.is_empty() {
            letters.say(&say!("{}: {}", &bus.name, rating))
        } else {
            rating
        };
        notes = letters.wrapped(&words, TextSize::Small, false, room, 2);
    }
    (title, notes)
}

/// The width in which the longest name of a list stands whole, on paper: there nobody can tap on a cut one.
fn needed(sheet: &Sheet<'_>, rows: &[Row]) -> f32 {
    if !sheet.ids || sheet.list_columns > 1 {
        return 0.0;
    }
    let names = rows.iter().map(|row| sheet.letters.width(&row.label, TextSize::Small, false));
    let longest = names.fold(0.0, f32::max);
    let around = NUMBER + RATING + super::verdict_room(&sheet.letters) + AIR + 2.0 * PAD;
    // A unit more, so that rounding cuts nothing.
    (longest + around + 1.0).min(WIDEST_LIST)
}

/// The circuits of a section that are told in its list.
pub(super) fn rows(sheet: &Sheet<'_>, graph: &Graph, at: usize, section: usize) -> Vec<Row> {
    let panel = &sheet.house.survey.panels[at];
    let units = graph.panels[at].units.iter().filter(|unit| unit.listed && unit.section == section);
    let mut rows: Vec<(u16, usize, Row)> = units
        .map(|unit| {
            let first = unit.ways.first().copied().unwrap_or(0);
            let space = panel.ways[first].spaces.iter().min().copied().unwrap_or(u16::MAX);
            (space, first, row(sheet, panel, unit))
        })
        .collect();
    rows.sort_by_key(|(space, way, _)| (*space, *way));
    rows.into_iter().map(|(_, _, row)| row).collect()
}

fn row(sheet: &Sheet<'_>, panel: &Panel, unit: &super::graph::Unit) -> Row {
    let survey = sheet.house.survey;
    let ways: Vec<_> = unit.ways.iter().map(|way| &panel.ways[*way]).collect();
    let loads = unit.loads.iter().map(|load| &survey.loads[*load]);
    let runs = unit.runs.iter().map(|run| &survey.runs[*run]);
    let label = ways.iter().map(|way| way.label.trim()).find(|label| !label.is_empty());
    let label = match (label, loads.clone().next(), runs.clone().next()) {
        (Some(label), ..) => label.to_owned(),
        (None, Some(_), _) => loads.clone().map(|load| load.name.as_str()).collect::<Vec<_>>().join(", "),
        (None, None, Some(run)) if !run.name.is_empty() => run.name.clone(),
        _ => sheet.nothing(ways.first().map(|way| &way.device)),
    };
    let label = sheet.row_label(&label, &runs.clone().map(|run| &run.id).collect::<Vec<_>>(), &ways);
    let items = ways.iter().map(|way| &way.id);
    let items = items.chain(runs.map(|run| &run.id)).chain(loads.map(|load| &load.id)).cloned().collect();
    let ratings: Vec<String> = ways.iter().map(|way| sheet.short_rating(&way.device)).collect();
    let rating = match &ratings[..] {
        [one, rest @ ..] if rest.iter().all(|other| other == one) => one.clone(),
        several => several.join(", "),
    };
    let mut row = Row {
        number: ways.iter().map(|way| way.number()).collect::<Vec<_>>().join("+"),
        label,
        rating,
        mark: None,
        items,
    };
    let whole = ways.iter().filter_map(|way| sheet.way_mark(way));
    row.mark = whole.chain(crate::drawing::mark::worst(sheet.marks, &row.items)).min();
    row
}

pub(super) fn grounds(sheet: &Sheet<'_>, panel: &Panel) -> Vec<Ground> {
    let letters = &sheet.letters;
    let bond = match panel.neutral_bond {
        Fact::Known(true) => Some((Symbol::Bond, letters.word("joined here"))),
        Fact::Known(false) => None,
        ref fact => Some((Symbol::BondUnknown, letters.word(unknown(fact)))),
    };
    let mut grounds: Vec<Ground> =
        bond.into_iter().map(|(symbol, words)| Ground { symbol, words, item: None, mark: None }).collect();
    for electrode in sheet.house.survey.electrodes.iter().filter(|electrode| electrode.at == panel.id) {
        let kind = match electrode.kind.get() {
            Some(kind) => letters.word(kind.words()),
            None => letters.say(&say!("electrode {}", Arg::Word(unknown(&electrode.kind)))),
        };
        let size = electrode.conductor_size.known().map(ToString::to_string);
        let words = [Some(kind), size].into_iter().flatten().collect::<Vec<_>>().join(" · ");
        let words = sheet.tagged(&electrode.id, &words);
        let mark = sheet.marks.get(&electrode.id).copied();
        grounds.push(Ground { symbol: Symbol::Earth, words, item: Some(electrode.id.clone()), mark });
    }
    grounds
}

/// Widths of the heads, for the layout.
pub(super) fn widths(heads: &[Vec<Head>]) -> Vec<Vec<f32>> {
    heads.iter().map(|parts| parts.iter().map(|head| head.width).collect()).collect()
}
