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
    [heading, Block::dense_table(columns(), told.rows.clone())]
}

/// Short derivations of one check in one table, each beginning with its finding.
fn beside(told: &[Told<'_>]) -> Vec<Block> {
    let (Some(first), Some(last)) = (told.first(), told.last()) else { return Vec::new() };
    let title = format!("{}–{}  {}", first.one.number, last.one.number, check_title(first.one.finding.check));
    let rows = told.iter().flat_map(|told| {
        told.rows.iter().enumerate().map(|(at, row)| {
            let mut cells = if at == 0 { whose(told.one) } else { vec![Text::default(); 2] };
            cells.extend(row.cells.iter().cloned());
            let anchor = (at == 0).then(|| told.one.derivation_anchor());
            Row { cells, anchor, ..Row::default() }
        })
    });
    let columns = vec![
        Column::text("No.", ColumnWidth::Auto),
        Column::text("Where", ColumnWidth::Fraction(0.2)),
        Column::text("Symbol", ColumnWidth::Auto),
        Column::text("What", ColumnWidth::Fraction(0.25)),
        Column::text("How", ColumnWidth::Fraction(0.27)),
        Column::number("Value", ColumnWidth::Auto),
        Column::text("From", ColumnWidth::Fraction(0.28)),
    ];
    vec![Block::heading(3, title), Block::dense_table(columns, rows.collect())]
}

/// The number of a finding, which leads to it, and where it is.
fn whose(one: Numbered<'_>) -> Vec<Text> {
    let subject = &one.finding.subject;
    vec![
        Span::link(one.number.to_string(), one.anchor()).into(),
        Text::from([Span::new(subject.name.to_string()), Span::soft(format!("  {}", subject.id))]),
    ]
}

/// The steps of a derivation, each with its source.
pub(super) fn steps(derivation: &Derivation) -> Block {
    Block::dense_table(columns(), derivation.steps().map(row).collect())
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
        blocks.push(Block::dense_table(columns(), steps.iter().map(|step| row(step)).collect()));
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
    vec![Block::heading(1, "Cautions"), Block::bullets(items.into_iter().map(Text::from).collect())]
}
