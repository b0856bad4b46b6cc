//! Derivations, figures from memory, cautions.

use deadfront_rules::Assessment;
use deadfront_rules::finding::{Derivation, Finding, Step};
use deadfront_rules::say;

use super::Numbered;
use super::shared::{Piece, Shared};
use super::words::check_title;
use crate::paper::{Block, BlockKind, Column, ColumnWidth, Row, Span, Text};

/// How each figure that falls short came about, step by step. Steps that several figures share are
/// printed once, behind the others.
pub(super) fn derivations(numbered: &[Numbered<'_>]) -> Vec<Block> {
    let with_steps: Vec<&Numbered<'_>> =
        numbered.iter().filter(|one| !one.finding.derivation.is_empty()).collect();
    if with_steps.is_empty() {
        return Vec::new();
    }
    let derivations: Vec<&Derivation> = with_steps.iter().map(|one| &one.finding.derivation).collect();
    let shared = Shared::of(&derivations);
    let mut blocks = vec![
        Block::page_break(),
        Block::heading(1, "How the figures came about"),
        Block::paragraph(
            "Each step names its source: a cell of a published table, what the surveyor found, a clause, or the \
             steps above it. Numbers in front are those of the findings; S1, S2 and so on are steps that several \
             figures share.",
        ),
    ];
    let told: Vec<Told<'_>> = with_steps
        .iter()
        .zip(&shared.pieces)
        .map(|(one, pieces)| Told { one: **one, rows: rows(pieces, &shared) })
        .collect();
    for group in
        told.chunk_by(|a, b| a.one.finding.check == b.one.finding.check && a.is_short() && b.is_short())
    {
        match group {
            [alone] => blocks.extend(derivation(alone)),
            several => blocks.extend(beside(several)),
        }
    }
    blocks.extend(shared_steps(&shared));
    blocks
}

/// A derivation of more rows has a table of its own.
const SHORT: usize = 6;

/// A finding with the rows of its derivation.
struct Told<'a> {
    one: Numbered<'a>,
    rows: Vec<Row>,
}

impl Told<'_> {
    fn is_short(&self) -> bool {
        self.rows.len() <= SHORT
    }
}

fn rows(pieces: &[Piece<'_>], shared: &Shared<'_>) -> Vec<Row> {
    let mut rows = Vec::new();
    for piece in pieces {
        match piece {
            Piece::Own(steps) => rows.extend(steps.iter().map(row)),
            Piece::Shared(number) => rows.push(reference(*number, &shared.steps[number - 1])),
        }
    }
    rows
}

fn derivation(told: &Told<'_>) -> [Block; 2] {
    let (one, finding) = (told.one, told.one.finding);
    let title = Text::from([
        Span::link(format!("{}  {}", one.number, check_title(finding.check)), one.anchor()),
        Span::new(format!(", {} ({})", finding.subject.name, finding.subject.id)),
    ]);
    let heading = Block::new(BlockKind::Heading { level: 3, text: title }).anchored(one.derivation_anchor());
    [heading, without_empty(columns(), told.rows.clone())]
}

/// Short derivations of one check in one table, each beginning with its finding.
fn beside(told: &[Told<'_>]) -> Vec<Block> {
    let (Some(first), Some(last)) = (told.first(), told.last()) else { return Vec::new() };
    let title = format!("{}–{}  {}", first.one.number, last.one.number, check_title(first.one.finding.check));
    let rows: Vec<Row> = told.iter().flat_map(rows_of).collect();
    let mut columns = columns();
    columns.insert(0, Column::text("No., where", ColumnWidth::Auto));
    vec![Block::heading(3, title), without_empty(columns, rows)]
}

/// The rows of a finding, the first with its number and where it is.
fn rows_of(told: &Told<'_>) -> Vec<Row> {
    let mut rows = told.rows.clone();
    for (at, row) in rows.iter_mut().enumerate() {
        let first = at == 0;
        row.cells.insert(0, if first { whose(told.one) } else { Text::default() });
        row.anchor = first.then(|| told.one.derivation_anchor());
    }
    rows
}

/// The number of a finding, which leads to it, and the item: its name stands there.
fn whose(one: Numbered<'_>) -> Text {
    Text::from([
        Span::link(one.number.to_string(), one.anchor()),
        Span::new(format!("  {}", one.finding.subject.id)),
    ])
}

/// A dense table without the columns in which nothing stands, so that the others have their room.
fn without_empty(columns: Vec<Column>, mut rows: Vec<Row>) -> Block {
    let full: Vec<bool> = (0..columns.len())
        .map(|at| rows.iter().filter_map(|row| row.cells.get(at)).any(|cell| !cell.0.iter().all(is_blank)))
        .collect();
    let is_full = |at: usize| full.get(at).copied().unwrap_or(true);
    for row in &mut rows {
        let cells = std::mem::take(&mut row.cells).into_iter().enumerate();
        row.cells = cells.filter(|(at, _)| is_full(*at)).map(|(_, cell)| cell).collect();
    }
    let columns = columns.into_iter().enumerate().filter(|(at, _)| is_full(*at)).map(|(_, column)| column);
    Block::dense_table(columns.collect(), rows)
}

fn is_blank(span: &Span) -> bool {
    span.text.trim().is_empty() && !span.page_number
}

/// The steps of a derivation, each with its source.
pub(super) fn steps(derivation: &Derivation) -> Block {
    without_empty(columns(), derivation.steps().map(row).collect())
}

fn columns() -> Vec<Column> {
    vec![
        Column::text("Symbol", ColumnWidth::Auto),
        Column::text("What", ColumnWidth::Fraction(0.32)),
        Column::text("How", ColumnWidth::Fraction(0.26)),
        Column::number("Value", ColumnWidth::Auto),
        Column::text("From", ColumnWidth::Fraction(0.42)),
    ]
}

/// A line in place of shared steps, with what they end in.
fn reference(number: usize, steps: &[&Step]) -> Row {
    let Some(last) = steps.last() else { return Row::default() };
    let from = Text::from([
        Span::link(say!("steps S{}, page ", number.to_string()).to_string(), shared_anchor(number)),
        Span::page_of(shared_anchor(number)),
    ]);
    let value = format!("{} {}", last.value_text(), last.unit());
    Row::new(vec![
        last.symbol.into(),
        last.label.to_string().into(),
        Text::default(),
        value.trim_end().to_owned().into(),
        from,
    ])
}

fn shared_anchor(number: usize) -> String {
    format!("s{number}")
}

fn shared_steps(shared: &Shared<'_>) -> Vec<Block> {
    if shared.steps.is_empty() {
        return Vec::new();
    }
    let mut blocks = vec![Block::heading(2, "Steps that several figures share")];
    for (at, steps) in shared.steps.iter().enumerate() {
        let about = steps.last().map_or_else(String::new, |step| step.label.to_string());
        let title = format!("S{}  {about}", at + 1);
        blocks.push(Block::heading(3, title).anchored(shared_anchor(at + 1)));
        blocks.push(without_empty(columns(), steps.iter().map(|step| row(step)).collect()));
    }
    blocks
}

fn row(step: &Step) -> Row {
    let value = format!("{} {}", step.value_text(), step.unit());
    Row::new(vec![
        step.symbol.into(),
        step.label.to_string().into(),
        step.expression.to_string().into(),
        value.trim_end().to_owned().into(),
        step.source.words().into(),
    ])
}

/// The table cells that were written from memory and that some finding rests on.
pub(super) fn from_memory(assessment: &Assessment) -> Vec<Block> {
    let mut cells: Vec<String> = assessment
        .findings
        .iter()
        .flat_map(|finding: &Finding| finding.derivation.memory_cells())
        .map(|step| {
            format!("{} = {} {}", step.source.words(), step.value_text(), step.unit()).trim_end().to_owned()
        })
        .collect();
    cells.sort();
    cells.dedup();
    if cells.is_empty() {
        return Vec::new();
    }
    vec![
        Block::heading(1, "Figures from memory"),
        Block::paragraph(
            "These figures of published tables were written from memory of the standard. Compare each with a \
             printed copy before relying on a result that rests on it.",
        ),
        Block::bullets(cells.into_iter().map(Text::from).collect()),
    ]
}

/// The cautions that hold for the whole paper.
pub(super) fn cautions() -> Vec<Block> {
    let items = [
        "Nothing here is leave to work live. Turn off, lock, and prove dead with a tester that was proved before and after.",
        "Pulled fuses and labels are no isolation: another source, a shared neutral or a stored charge can make the part live again.",
        "Service conductors and the line side of a main stay live with the main off. Only the utility can make them dead.",
        "Never feed a house through a cord with two plugs or through a breaker without an interlock: the pins are live, and the street is energised.",
        "Suspected asbestos, brittle insulation and buried wiring must not be disturbed by the survey.",
        "Standards change and places amend them. The figures here are those of the edition named; the local code and the authority having jurisdiction rule.",
        "What was lawful when it was built may be allowed to remain. Ask the authority having jurisdiction.",
    ];
    vec![Block::heading(1, "General cautions"), Block::bullets(items.into_iter().map(Text::from).collect())]
}
