//! Reading an embedded table file.
//!
//! A table file is CSV. Its first lines are comments of the form `# key: value`; the keys
//! `standard`, `table`, `edition`, `title`, `unit`, `source`, `basis` are required, `note` may
//! repeat, and `words COLUMN` says a column's heading as a person writes it. A column named
//! `basis` gives the basis of a row, one named `basis COLUMN` that of one cell of it, and a head
//! line `# basis COLUMN: …` that of a whole column. The nearest holds: cell, column, row, file.
//! An empty `edition` says that the publication has none.

use super::{Basis, Cell, CellRef};

/// What is wrong with a table file; the tests read every file, so a release never shows this.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum TableFileError {
    /// A required key is missing in the head of the file.
    #[error("{file}: the head has no `# {key}:` line")]
    Key {
        /// The file.
        file: &'static str,
        /// The missing key.
        key: &'static str,
    },
    /// The CSV part cannot be read.
    #[error("{file}: {message}")]
    Csv {
        /// The file.
        file: &'static str,
        /// What the reader says.
        message: String,
    },
}

/// A published table.
#[derive(Debug, PartialEq, Eq)]
pub struct Table {
    file: &'static str,
    standard: String,
    table: String,
    edition: String,
    name: String,
    unit: String,
    sources: Vec<String>,
    notes: Vec<String>,
    basis: Basis,
    column_basis: Vec<(String, Basis)>,
    columns: Vec<String>,
    words: Vec<(String, String)>,
    rows: Vec<Vec<String>>,
    title: String,
}

impl Table {
    /// Reads the text of a table file.
    ///
    /// # Errors
    /// When the head lacks a key, or a row has another number of cells than the first.
    pub fn parse(file: &'static str, text: &str) -> Result<Self, TableFileError> {
        let head: Vec<(&str, &str)> = text
            .lines()
            .take_while(|line| line.starts_with('#'))
            .filter_map(|line| line.trim_start_matches('#').split_once(':'))
            .map(|(key, value)| (key.trim(), value.trim()))
            .collect();
        let all = |key: &str| -> Vec<String> {
            head.iter().filter(|(found, _)| *found == key).map(|(_, value)| (*value).to_owned()).collect()
        };
        let one = |key: &'static str| all(key).into_iter().next().ok_or(TableFileError::Key { file, key });
        let words = head
            .iter()
            .filter_map(|(key, value)| Some((key.strip_prefix("words ")?.to_owned(), (*value).to_owned())))
            .collect();
        let (columns, rows) = read_rows(file, text)?;
        let (standard, table, edition) = (one("standard")?, one("table")?, one("edition")?);
        let basis = Basis::from_code(&one("basis")?).ok_or(TableFileError::Key { file, key: "basis" })?;
        let column_basis = head
            .iter()
            .filter_map(|(key, code)| Some((key.strip_prefix("basis ")?.to_owned(), Basis::from_code(code)?)))
            .collect();
        let dash = if edition.is_empty() { "" } else { "-" };
        let title = format!("{standard}{dash}{edition} {table}");
        one("source")?;
        Ok(Self {
            file,
            title,
            standard,
            table,
            edition,
            name: one("title")?,
            unit: one("unit")?,
            sources: all("source"),
            notes: all("note"),
            basis,
            column_basis,
            columns,
            words,
            rows,
        })
    }

    /// Reads an embedded file. Every embedded file is read by a test, so this cannot fail in a release.
    pub(crate) fn embedded(file: &'static str, text: &str) -> Self {
        match Self::parse(file, text) {
            Ok(table) => table,
            Err(error) => unreachable!("{error}"),
        }
    }

    /// Name of the file below `tables/`.
    #[must_use]
    pub fn file(&self) -> &'static str {
        self.file
    }
    /// Standard, edition and table number: `NFPA 70-2023 Table 310.16`.
    #[must_use]
    pub fn title(&self) -> &str {
        &self.title
    }
    /// What the table is about.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }
    /// The publication, without edition.
    #[must_use]
    pub fn standard(&self) -> &str {
        &self.standard
    }
    /// Table or section number.
    #[must_use]
    pub fn number(&self) -> &str {
        &self.table
    }
    /// Edition.
    #[must_use]
    pub fn edition(&self) -> &str {
        &self.edition
    }
    /// Unit of the figures.
    #[must_use]
    pub fn unit(&self) -> &str {
        &self.unit
    }
    /// What the figures were compared with.
    #[must_use]
    pub fn sources(&self) -> &[String] {
        &self.sources
    }
    /// Conditions that belong to the table.
    #[must_use]
    pub fn notes(&self) -> &[String] {
        &self.notes
    }
    /// Columns that the head speaks of.
    #[cfg(test)]
    pub(crate) fn head_columns(&self) -> impl Iterator<Item = &str> {
        let words = self.words.iter().map(|(name, _)| name.as_str());
        words.chain(self.column_basis.iter().map(|(name, _)| name.as_str()))
    }
    /// Number of rows.
    #[must_use]
    pub fn len(&self) -> usize {
        self.rows.len()
    }
    /// Whether the table has no row.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }
    /// Column names in the file.
    #[must_use]
    pub fn columns(&self) -> &[String] {
        &self.columns
    }
    /// Number of the column with this name.
    #[must_use]
    pub fn column(&self, name: &str) -> Option<usize> {
        self.columns.iter().position(|column| column == name)
    }
    /// Number of the row whose first cell is `key`.
    #[must_use]
    pub fn row(&self, key: &str) -> Option<usize> {
        self.rows.iter().position(|row| row.first().is_some_and(|cell| cell == key))
    }
    /// Text of a cell; empty where the table prints none or the place does not exist.
    #[must_use]
    pub fn text(&self, row: usize, column: usize) -> &str {
        self.rows.get(row).and_then(|row| row.get(column)).map_or("", String::as_str)
    }
    /// Number in a cell; `None` where the table prints none.
    #[must_use]
    pub fn number_at(&self, row: usize, column: usize) -> Option<f64> {
        self.text(row, column).parse().ok()
    }
    /// A number with its place.
    pub fn cell(&'static self, row: usize, column: usize) -> Option<Cell<f64>> {
        Some(Cell { value: self.number_at(row, column)?, place: CellRef { table: self, row, column } })
    }
    /// How sure the figure in a cell is.
    #[must_use]
    pub fn basis(&self, row: usize, column: usize) -> Basis {
        let named = |name: &str| Basis::from_code(self.text(row, self.column(name)?));
        let column = self.columns.get(column).map_or("", String::as_str);
        let of_column = || self.column_basis.iter().find(|(name, _)| name == column).map(|(_, basis)| *basis);
        named(&format!("basis {column}")).or_else(of_column).or_else(|| named("basis")).unwrap_or(self.basis)
    }
    /// Name of a row: its first cell.
    #[must_use]
    pub fn row_name(&self, row: usize) -> &str {
        let name = self.text(row, 0);
        if name.is_empty() { "first" } else { name }
    }
    /// A column's heading as a person writes it.
    #[must_use]
    pub fn column_words(&self, column: usize) -> &str {
        let Some(name) = self.columns.get(column) else {
            return "";
        };
        self.words.iter().find(|(key, _)| key == name).map_or(name, |(_, words)| words)
    }
}

type Rows = (Vec<String>, Vec<Vec<String>>);

fn read_rows(file: &'static str, text: &str) -> Result<Rows, TableFileError> {
    let fail = |error: csv::Error| TableFileError::Csv { file, message: error.to_string() };
    let mut reader =
        csv::ReaderBuilder::new().comment(Some(b'#')).trim(csv::Trim::All).from_reader(text.as_bytes());
    let columns = reader.headers().map_err(fail)?.iter().map(str::to_owned).collect();
    let mut rows = Vec::new();
    for record in reader.records() {
        rows.push(record.map_err(fail)?.iter().map(str::to_owned).collect());
    }
    Ok((columns, rows))
}

#[cfg(test)]
mod tests {
    use super::*;

    const SMALL: &str = "\
# standard: Test Standard
# table: Table 1
# edition: 2001
# title: A table for this test
# unit: A
# source: invented for this test
# basis: confirmed
# basis a_2: physics
# words a_1: first column
size,a_1,a_2,basis,basis a_2
14,15,,,
12,20,25,memory,
10,30,35,memory,one_source
";

    #[test]
    fn a_cell_knows_its_place_and_basis() {
        let table: &'static Table = Box::leak(Box::new(Table::parse("small", SMALL).unwrap()));
        let row = table.row("12").unwrap();
        let cell = table.cell(row, table.column("a_1").unwrap()).unwrap();
        assert_eq!(cell.value, 20.0);
        assert_eq!(cell.place.to_string(), "Test Standard-2001 Table 1, row 12, column first column");
        assert_eq!(cell.place.basis(), Basis::Memory);
        assert_eq!(table.basis(0, 1), Basis::Confirmed);
        assert_eq!(table.basis(1, 2), Basis::Physics);
        assert_eq!(table.basis(2, 2), Basis::OneSource);
        assert!(table.cell(0, 2).is_none());
        assert!(table.cell(9, 9).is_none());
    }

    #[test]
    fn a_publication_without_edition_is_named_without_dash() {
        let text = SMALL.replace("# edition: 2001", "# edition:");
        assert_eq!(Table::parse("small", &text).unwrap().title(), "Test Standard Table 1");
    }

    #[test]
    fn a_head_without_basis_is_refused() {
        let text = SMALL.replace("# basis: confirmed\n", "");
        assert_eq!(Table::parse("small", &text), Err(TableFileError::Key { file: "small", key: "basis" }));
    }
}
