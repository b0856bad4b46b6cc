//! Every run with its conductor, what protects it, what it carries, what is lost on it.

use deadfront_rules::house::House;
use deadfront_rules::runs::{Bound, RunOverview, overview};
use deadfront_rules::say;
use deadfront_rules::survey::Run;
use deadfront_rules::words::word;

use super::words::{cell, conductor};
use crate::paper::{Block, Column, ColumnWidth, Row, Span, Text};

/// How the table is to be read.
const READ: &str = "Carries is the ampacity after every correction, with the terminals' limit kept. Drop is what is lost from \
                    each supply to the loads at the end; feeders have none of their own. What is missing is taken for the best, \
                    so a figure with at most or at least is not yet an answer.";

pub(super) fn section(house: &House<'_>) -> Vec<Block> {
    let heading = Block::heading(1, "Runs");
    if house.survey.runs.is_empty() {
        return vec![heading, Block::paragraph("No run has been entered.")];
    }
    let overview = overview(house);
    let rows = house.survey.runs.iter().zip(&overview).map(|(run, told)| row(run, told));
    let columns = vec![
        Column::text("Run", ColumnWidth::Fraction(0.19)),
        Column::text("From, to", ColumnWidth::Fraction(0.09)),
        Column::text("Conductor, method", ColumnWidth::Fraction(0.165)),
        Column::number("Length", ColumnWidth::Fraction(0.07)),
        Column::text("Protected by", ColumnWidth::Fraction(0.23)),
        Column::number("Carries", ColumnWidth::Fraction(0.075)),
        Column::number("Drop", ColumnWidth::Fraction(0.09)),
        Column::text("Ground", ColumnWidth::Fraction(0.09)),
    ];
    vec![heading, Block::paragraph(READ), Block::table(columns, rows.collect())]
}

fn row(run: &Run, told: &RunOverview) -> Row {
    let mut name = vec![Span::bold(run.id.to_string()), Span::new(" "), Span::new(run.name.clone())];
    if run.planned {
        name.push(Span::soft(" (planned)"));
    }
    let to = run.to.as_ref().map_or_else(|| word("its loads").to_owned(), ToString::to_string);
    let mut wire = vec![Span::new(conductor(run)), Span::new("\n")];
    wire.extend(cell(&run.method).0);
    Row::new(vec![
        Text::from(name),
        say!("{} to {}", &run.from, to).to_string().into(),
        Text::from(wire),
        cell(&run.length),
        protection(told),
        carries(told.ampacity),
        drops(told),
        cell(&run.equipment_ground),
    ])
}

fn protection(told: &RunOverview) -> Text {
    let words = told.protection.to_string();
    if told.is_protected == Some(true) { words.into() } else { Span::bold(words).into() }
}

fn carries(ampacity: Bound) -> Text {
    let words = ampacity.words().to_string();
    if matches!(ampacity, Bound::Is(_)) { words.into() } else { Span::soft(words).into() }
}

/// One line a supply.
fn drops(told: &RunOverview) -> Text {
    let mut spans = Vec::new();
    for drop in &told.drops {
        if !spans.is_empty() {
            spans.push(Span::new("\n"));
        }
        spans.extend([
            Span::soft(drop.supply.to_string()),
            Span::new(" "),
            Span::new(drop.words.to_string()),
        ]);
    }
    Text::from(spans)
}
