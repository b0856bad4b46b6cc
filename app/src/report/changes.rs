//! What changed since the last signed revision.

use deadfront_rules::say;
use deadfront_rules::survey::Survey;
use deadfront_rules::words::word;

use super::words::check_title;
use crate::compare::{Change, Comparison, FactChange, Told, VerdictChange, compare};
use crate::paper::{Block, Column, ColumnWidth, Row, Span, Text};

/// Changes of facts and verdicts; nothing for a first revision.
pub(super) fn section(survey: &Survey) -> Vec<Block> {
    let Some(last) = survey.last_signed() else { return Vec::new() };
    let changes = compare(last, survey);
    let signers = survey.revisions.last().map_or_else(String::new, |revision| revision.signers.join("; "));
    let mut blocks = vec![
        Block::heading(1, say!("What changed since revision {}", last.revision.to_string()).to_string()),
        Block::paragraph(
            say!("Revision {} was signed by {}.", last.revision.to_string(), signers.to_string()).to_string(),
        ),
    ];
    if changes.is_empty() {
        blocks.push(Block::paragraph("No fact and no verdict has changed."));
        return blocks;
    }
    blocks.extend(verdicts(&changes));
    blocks.extend(facts(&changes));
    blocks
}

fn verdicts(changes: &Comparison) -> Vec<Block> {
    if changes.verdicts.is_empty() {
        return vec![Block::paragraph("No verdict has changed.")];
    }
    let rows = changes.verdicts.iter().map(|change: &VerdictChange| {
        Row::new(vec![
            check_title(change.check).into(),
            Text::from([Span::new(change.name.clone()), Span::soft(format!("  {}", change.item))]),
            said(change.before.as_ref()),
            said(change.after.as_ref()),
        ])
    });
    vec![Block::heading(2, "Verdicts"), Block::table(columns("Check", "Where"), rows.collect())]
}

fn said(told: Option<&Told>) -> Text {
    match told {
        None => Span::soft("not found").into(),
        Some(told) => match &told.figure {
            Some(figure) => Text::from([Span::bold(told.plate), Span::new(format!("  {figure}"))]),
            None => Span::bold(told.plate).into(),
        },
    }
}

fn facts(changes: &Comparison) -> Vec<Block> {
    if changes.facts.is_empty() {
        return vec![Block::paragraph("No fact has changed.")];
    }
    let rows = changes.facts.iter().map(|change: &FactChange| {
        let (fact, before, after) = match &change.change {
            Change::Added => (String::new(), String::new(), word("added").to_owned()),
            Change::Removed => (String::new(), String::new(), word("removed").to_owned()),
            Change::Changed { fact, before, after } => (fact.clone(), before.clone(), after.clone()),
        };
        Row::new(vec![change.item().into(), fact.into(), before.into(), after.into()])
    });
    vec![Block::heading(2, "Facts"), Block::table(columns("Item", "Fact"), rows.collect())]
}

fn columns(first: &'static str, second: &'static str) -> Vec<Column> {
    vec![
        Column::text(first, ColumnWidth::Fraction(0.28)),
        Column::text(second, ColumnWidth::Fraction(0.24)),
        Column::text("Before", ColumnWidth::Fraction(0.24)),
        Column::text("Now", ColumnWidth::Fraction(0.24)),
    ]
}
