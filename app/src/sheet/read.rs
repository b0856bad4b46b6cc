//! A panel schedule read from CSV into a survey. The old survey is never touched.

use std::collections::BTreeMap;
use std::fmt;

use deadfront_rules::survey::{Device, Id, PathPart, Survey, Way, validate};
use serde_json::{Map, Value, json};

use super::cell::{meanings, plain};
use super::write::{DEVICE, FOR_THE_EYE, LABEL, PLACE};
use crate::file::{FileError, read_survey};

/// How many faults are listed before the rest is only counted.
const LISTED: usize = 20;
/// Most rows that are read: no house has so many ways.
const LONGEST: usize = 5_000;

/// One thing wrong in a table, by row and column as a spreadsheet counts them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CellFault {
    /// Row from 1; the head is row 1.
    pub row: usize,
    /// Column from 1; none when the whole row is meant.
    pub column: Option<usize>,
    /// The column's name.
    pub name: String,
    /// What is wrong and what to do.
    pub message: String,
}

impl fmt::Display for CellFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "row {}", self.row)?;
        if let Some(column) = self.column {
            write!(f, ", column {} ({})", letters(column), self.name)?;
        }
        write!(f, ": {}", self.message)
    }
}

/// A column as spreadsheets call it: A, B, …, Z, AA.
fn letters(mut column: usize) -> String {
    let mut letters = Vec::new();
    while column > 0 {
        column -= 1;
        letters.push(char::from(b'A' + u8::try_from(column % 26).unwrap_or_default()));
        column /= 26;
    }
    letters.iter().rev().collect()
}

/// Why a table was not taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ImportError {
    /// What is wrong, in the order of the rows; at most 20.
    pub faults: Vec<CellFault>,
    /// How many more were found.
    pub more: usize,
}

impl std::error::Error for ImportError {}

impl fmt::Display for ImportError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut lines: Vec<String> = self.faults.iter().map(ToString::to_string).collect();
        if self.more > 0 {
            lines.push(format!("and {} more", self.more));
        }
        f.write_str(&lines.join("\n"))
    }
}

/// Takes a panel schedule into a copy of the survey: a row with the id of a way changes it, a row with
/// no id or a new one adds a way to its panel. Columns that are not there stay as they are, an
/// empty cell is a fact that is not seen, and ways without a row stay.
///
/// # Errors
/// Everything wrong in the table, by row and column; nothing is taken then.
pub fn import_panels(survey: &Survey, table: &[u8]) -> Result<Survey, ImportError> {
    let mut import =
        Import { survey: survey.clone(), faults: Vec::new(), rows: BTreeMap::new(), taken: BTreeMap::new() };
    import.take(table);
    import.check();
    let Import { survey, mut faults, .. } = import;
    if faults.is_empty() {
        return Ok(survey);
    }
    faults.sort_by_key(|fault| (fault.row, fault.column));
    let more = faults.len().saturating_sub(LISTED);
    faults.truncate(LISTED);
    Err(ImportError { faults, more })
}

struct Import {
    survey: Survey,
    faults: Vec<CellFault>,
    /// The rows by place of their way: panel, way.
    rows: BTreeMap<(usize, usize), usize>,
    /// The rows by id of their way.
    taken: BTreeMap<Id, usize>,
}

/// A row with its number and the head.
struct Row<'a> {
    number: usize,
    head: &'a [String],
    cells: Vec<&'a str>,
}

impl Row<'_> {
    /// Column number and text of a column; none where the table lacks it.
    fn cell(&self, name: &str) -> Option<(usize, &str)> {
        let at = self.head.iter().position(|head| head == name)?;
        Some((at + 1, plain(self.cells.get(at).copied().unwrap_or_default())))
    }

    fn fault(&self, name: &str, message: impl Into<String>) -> CellFault {
        let column = self.cell(name).map(|(column, _)| column);
        CellFault { row: self.number, column, name: name.to_owned(), message: message.into() }
    }
}

impl Import {
    fn whole(&mut self, row: usize, message: impl Into<String>) {
        self.faults.push(CellFault { row, column: None, name: String::new(), message: message.into() });
    }

    fn take(&mut self, table: &[u8]) {
        let Ok(text) = std::str::from_utf8(table) else {
            return self.whole(1, "the table is not UTF-8 text; save it as \"CSV UTF-8\"");
        };
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let mut reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .delimiter(delimiter(text))
            .from_reader(text.as_bytes());
        let mut records = reader.records();
        let head = match records.next() {
            Some(Ok(head)) => head.iter().map(|name| plain(name).to_owned()).collect::<Vec<_>>(),
            Some(Err(error)) => return self.whole(1, unreadable(&error)),
            None => {
                return self.whole(1, "the table is empty; its first row must hold the names of the columns");
            }
        };
        if !self.check_head(&head) {
            return;
        }
        for (at, record) in records.enumerate() {
            let number = at + 2;
            if number > LONGEST {
                return self
                    .whole(number, format!("the table goes on past {LONGEST} rows; take a smaller one"));
            }
            match record {
                Err(error) => self.whole(number, unreadable(&error)),
                Ok(record) if record.iter().all(|cell| cell.trim().is_empty()) => {}
                Ok(record)
                    if record.len() > head.len()
                        && record.iter().skip(head.len()).any(|cell| !cell.is_empty()) =>
                {
                    let message = format!(
                        "there are {} cells, but only {} columns have a name",
                        record.len(),
                        head.len()
                    );
                    self.whole(number, message);
                }
                Ok(record) => self.row(&Row { number, head: &head, cells: record.iter().collect() }),
            }
        }
    }

    fn check_head(&mut self, head: &[String]) -> bool {
        let before = self.faults.len();
        for (at, name) in head.iter().enumerate() {
            let known = is_known(name);
            let message = if head.iter().take(at).any(|other| other == name) {
                format!("there are two columns \"{name}\"; remove one")
            } else if !known && !name.is_empty() {
                format!("no column is called \"{name}\"; the columns are those of an exported panel schedule")
            } else {
                continue;
            };
            self.faults.push(CellFault { row: 1, column: Some(at + 1), name: name.clone(), message });
        }
        if !head.iter().any(|name| name == PLACE[0]) {
            self.whole(1, "the column \"panel\" is missing; it names the panel of each way by its id");
        }
        self.faults.len() == before
    }

    fn row(&mut self, row: &Row<'_>) {
        let Some(panel) = self.panel(row) else { return };
        let Some(place) = self.way(row, panel) else { return };
        self.rows.insert((panel, place), row.number);
        self.facts(row, panel, place);
    }

    fn panel(&mut self, row: &Row<'_>) -> Option<usize> {
        let (_, wanted) = row.cell("panel")?;
        let found = self.survey.panels.iter().position(|panel| panel.id.as_str() == wanted);
        if found.is_none() {
            let known: Vec<&str> = self.survey.panels.iter().map(|panel| panel.id.as_str()).collect();
            let message = format!("there is no panel \"{wanted}\"; the survey has {}", known.join(", "));
            self.faults.push(row.fault("panel", message));
        }
        found
    }

    /// The place of the row's way in its panel; a new way is made where there is none.
    fn way(&mut self, row: &Row<'_>, panel: usize) -> Option<usize> {
        let written = row.cell("id").map(|(_, id)| id).unwrap_or_default();
        let id = if written.is_empty() { self.own_id(row, panel) } else { Id::new(written) };
        let Some(id) = id else {
            let message = if written.is_empty() {
                "the way needs an id, or spaces from which one can be made".to_owned()
            } else {
                format!("\"{written}\" is no id: 1 to 40 letters, digits, \".\", \"_\" or \"-\"")
            };
            self.faults.push(row.fault("id", message));
            return None;
        };
        if let Some(first) = self.taken.insert(id.clone(), row.number) {
            self.faults.push(row.fault("id", format!("row {first} is about the way {id} already")));
            return None;
        }
        let elsewhere = self
            .survey
            .panels
            .iter()
            .enumerate()
            .find(|(at, other)| *at != panel && other.ways.iter().any(|way| way.id == id));
        if let Some((_, other)) = elsewhere {
            let message =
                format!("the way {id} belongs to the panel {}; a way does not move by a table", other.id);
            self.faults.push(row.fault("panel", message));
            return None;
        }
        let ways = &mut self.survey.panels.get_mut(panel)?.ways;
        if let Some(at) = ways.iter().position(|way| way.id == id) {
            return Some(at);
        }
        ways.push(serde_json::from_value::<Way>(json!({ "id": id })).ok()?);
        Some(ways.len() - 1)
    }

    /// An id made from the panel and its spaces: `P1.7-9`.
    fn own_id(&self, row: &Row<'_>, panel: usize) -> Option<Id> {
        let spaces = spaces(row.cell("spaces")?.1)?;
        let panel = &self.survey.panels.get(panel)?.id;
        let spaces: Vec<String> = spaces.iter().map(u16::to_string).collect();
        if spaces.is_empty() {
            return None;
        }
        let half = row.cell("half").map(|(_, half)| half.to_lowercase()).unwrap_or_default();
        Id::new(&format!("{panel}.{}{half}", spaces.join("-")))
    }

    fn facts(&mut self, row: &Row<'_>, panel: usize, place: usize) {
        let Some(way) = self.survey.panels.get(panel).and_then(|panel| panel.ways.get(place)) else { return };
        let mut way = serde_json::to_value(way).unwrap_or_default();
        for name in row.head.iter().filter(|name| is_taken(name)) {
            let Some((_, text)) = row.cell(name) else { continue };
            match value(name, text) {
                Ok(value) => set(&mut way, name, value),
                Err(message) => self.faults.push(row.fault(name, message)),
            }
        }
        match serde_json::from_value::<Way>(way) {
            Ok(way) => {
                if let Some(old) =
                    self.survey.panels.get_mut(panel).and_then(|panel| panel.ways.get_mut(place))
                {
                    *old = way;
                }
            }
            // Every cell was read by itself, so this says what no cell said.
            Err(error) => self.whole(row.number, error.to_string()),
        }
    }

    /// What fits each cell may still not fit the house: an id used twice, a bus that is none.
    fn check(&mut self) {
        if !self.faults.is_empty() {
            return;
        }
        for fault in validate(&self.survey) {
            let row = match fault.path.as_slice() {
                [
                    PathPart::Key("panels"),
                    PathPart::Index(panel),
                    PathPart::Key("ways"),
                    PathPart::Index(way),
                    ..,
                ] => self.rows.get(&(*panel, *way)).copied(),
                _ => None,
            };
            let name = fault.path.iter().rev().find_map(|part| match part {
                PathPart::Key(name) => Some(*name),
                PathPart::Index(_) => None,
            });
            let name = name.unwrap_or_default().to_owned();
            let message = format!("{name}: {}", fault.message);
            self.faults.push(CellFault { row: row.unwrap_or(1), column: None, name, message });
        }
    }
}

/// Semicolons, where a spreadsheet of a country with decimal commas wrote the head.
fn delimiter(text: &str) -> u8 {
    let head = text.lines().next().unwrap_or_default();
    let count = |letter: char| head.matches(letter).count();
    let tab = count('\t') > count(',').max(count(';'));
    if tab {
        b'\t'
    } else if count(';') > count(',') {
        b';'
    } else {
        b','
    }
}

fn unreadable(error: &csv::Error) -> String {
    format!("this row cannot be read: {error}")
}

fn is_known(name: &str) -> bool {
    PLACE.contains(&name) || FOR_THE_EYE.contains(&name) || is_taken(name)
}

/// Whether a column holds something of the way besides its id.
fn is_taken(name: &str) -> bool {
    let device = name.strip_prefix(DEVICE).is_some_and(|fact| Device::FACTS.contains(&fact));
    matches!(name, "spaces" | "half" | "bus") || name == LABEL || Way::FACTS.contains(&name) || device
}

fn spaces(text: &str) -> Option<Vec<u16>> {
    let parts = text.split([' ', ',', ';', '-', '+', '/']).filter(|part| !part.is_empty());
    parts.map(|part| part.parse().ok()).collect()
}

/// What a cell says of a way; `None` where nothing was seen.
fn value(name: &str, text: &str) -> Result<Option<Value>, String> {
    if text.is_empty() {
        return Ok(None);
    }
    if name == "spaces" {
        let message = || format!("\"{text}\" is no list of spaces; write their numbers like 7 9");
        return spaces(text).map(|spaces| Some(json!(spaces))).ok_or_else(message);
    }
    if name == LABEL {
        return Ok(Some(Value::from(text)));
    }
    let mut first = None;
    for meaning in meanings(text) {
        match fits(name, &meaning) {
            Ok(()) => return Ok(Some(meaning)),
            Err(message) if meaning.is_string() => {
                first.get_or_insert(message);
            }
            Err(_) => {}
        }
    }
    let message = first.unwrap_or_default();
    Err(match message.contains("true or false") {
        true => format!("\"{text}\" is neither yes nor no; write one of them, or leave the cell empty"),
        false => message,
    })
}

/// Asks the reader of survey files whether a value fits: its sentences are the ones people know.
fn fits(name: &str, value: &Value) -> Result<(), String> {
    let mut way = json!({ "id": "way" });
    set(&mut way, name, Some(value.clone()));
    let mut panel = json!({ "id": "panel", "name": "panel", "ways": [way] });
    if name == "bus" {
        // Whether the bus is one of this panel is seen when all rows are in.
        panel["buses"] = json!([{ "id": value }]);
    }
    let survey = json!({ "deadfront_survey": 1, "site": { "name": "", "rules": "us" }, "panels": [panel] });
    match read_survey(survey.to_string().as_bytes()) {
        Ok(_) => Ok(()),
        Err(FileError::Broken { complaints, .. }) => {
            Err(complaints.first().map(|complaint| complaint.message.clone()).unwrap_or_default())
        }
        Err(error) => Err(error.to_string()),
    }
}

/// Sets or removes a fact of a way's JSON by its column.
fn set(way: &mut Value, column: &str, value: Option<Value>) {
    let Value::Object(members) = way else { return };
    let (members, name) = match column.strip_prefix(DEVICE) {
        Some(fact) => {
            let device = members.entry("device").or_insert_with(|| Value::Object(Map::new()));
            let Value::Object(device) = device else { return };
            (device, fact)
        }
        None => (members, column),
    };
    match value {
        Some(value) => drop(members.insert(name.to_owned(), value)),
        None => drop(members.remove(name)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::panels_csv;

    fn demo() -> Survey {
        read_survey(crate::demo::DEMO.as_bytes()).unwrap()
    }

    fn faults(table: &str) -> Vec<String> {
        import_panels(&demo(), table.as_bytes()).unwrap_err().faults.iter().map(ToString::to_string).collect()
    }

    #[test]
    fn what_was_written_out_comes_back_the_same() {
        let survey = demo();
        assert_eq!(import_panels(&survey, &panels_csv(&survey)).unwrap(), survey);
        let semicolons = String::from_utf8(panels_csv(&survey)).unwrap().replace(',', ";");
        assert_eq!(import_panels(&survey, semicolons.as_bytes()).unwrap().panels.len(), survey.panels.len());
    }

    #[test]
    fn into_an_emptied_panel_every_fact_comes_back() {
        let survey = demo();
        let mut emptied = survey.clone();
        emptied.panels.iter_mut().for_each(|panel| panel.ways.clear());
        assert_eq!(import_panels(&emptied, &panels_csv(&survey)).unwrap(), survey);
        let mut bare = survey.clone();
        for way in bare.panels.iter_mut().flat_map(|panel| &mut panel.ways) {
            *way = serde_json::from_value(json!({ "id": way.id, "bus": way.bus })).unwrap();
        }
        assert_eq!(import_panels(&bare, &panels_csv(&survey)).unwrap(), survey);
    }

    #[test]
    fn a_new_way_gets_an_id_and_missing_columns_change_nothing() {
        let survey = demo();
        let panel = &survey.panels[0];
        let table =
            format!("panel,spaces,device.kind,device.rating,label\n{},\"95 97\",Breaker,30 A,=new", panel.id);
        let new = import_panels(&survey, table.as_bytes()).unwrap();
        let way = new.panels[0].ways.last().unwrap();
        assert_eq!(way.id.as_str(), format!("{}.95-97", panel.id));
        assert_eq!((way.spaces.as_slice(), way.label.as_str()), ([95, 97].as_slice(), "=new"));
        assert_eq!(way.device.to_string(), "30 A breaker");
        assert_eq!(new.panels[0].ways[..panel.ways.len()], panel.ways[..]);
    }

    #[test]
    fn each_fault_is_told_by_row_and_column() {
        let survey = demo();
        let (panel, way) = (&survey.panels[0].id, &survey.panels[0].ways[0].id);
        let table = format!(
            "panel,id,device.rating,device.poles,device.kind,handles_tied\n{panel},{way},20 B,1,breaker,yes\n\
             P99,x,20 A,1,breaker,\n{panel},new,20 A,two,braker,maybe\n{panel},{way},,,,\n{panel},a b,,,,\n"
        );
        let told = faults(&table);
        assert_eq!(told.len(), 7, "{told:#?}");
        assert!(
            told[0].starts_with("row 2, column C (device.rating): \"20 B\" needs one of the units"),
            "{told:#?}"
        );
        assert!(told[1].starts_with("row 3, column A (panel): there is no panel \"P99\""), "{told:#?}");
        assert!(told[2].starts_with("row 4, column D (device.poles): "), "{told:#?}");
        assert!(
            told[3].starts_with("row 4, column E (device.kind): ")
                && told[3].contains("\"breaker\" comes nearest")
        );
        assert!(
            told[4].starts_with("row 4, column F (handles_tied): \"maybe\" is neither yes nor no"),
            "{told:#?}"
        );
        assert!(
            told[5].starts_with(&format!("row 5, column B (id): row 2 is about the way {way}")),
            "{told:#?}"
        );
        assert!(told[6].starts_with("row 6, column B (id): \"a b\" is no id"), "{told:#?}");
    }

    #[test]
    fn a_table_that_is_none_is_told_as_such() {
        for (table, wanted) in [
            ("", "the table is empty"),
            ("id,label\nx,y", "the column \"panel\" is missing"),
            ("panel,colour\n", "row 1, column B (colour): no column is called \"colour\""),
            ("panel,panel\n", "there are two columns \"panel\""),
            ("panel,id\na,b,c", "there are 3 cells, but only 2 columns have a name"),
        ] {
            let told = faults(table).join("\n");
            assert!(told.contains(wanted), "{told}");
        }
        assert!(import_panels(&demo(), &[0xff, 0xfe, 0x41]).unwrap_err().to_string().contains("CSV UTF-8"));
        assert_eq!([1, 26, 27, 53, 702, 703].map(letters), ["A", "Z", "AA", "BA", "ZZ", "AAA"]);
    }

    #[test]
    fn what_does_not_fit_the_house_is_told_by_its_row() {
        let survey = demo();
        let table = format!("panel,id,bus\n{},new,nowhere\n", survey.panels[0].id);
        let told = faults(&table);
        assert!(told[0].starts_with("row 2: bus: \"nowhere\" is no bus section"), "{told:?}");
    }
}
