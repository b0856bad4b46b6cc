//! What could not be told, and what to look at or measure next.

use deadfront_rules::Assessment;
use deadfront_rules::finding::{Finding, Missing, Verdict};
use deadfront_rules::house::{Index, describe};
use deadfront_rules::say;
use deadfront_rules::survey::questions::question;
use deadfront_rules::survey::{Id, ItemKind, Survey};
use deadfront_rules::words::word;

use super::findings::by_check;
use super::words::{check_title, fact_words};
use crate::paper::{Block, Column, ColumnWidth, Row, Span, Text};

pub(super) fn section(survey: &Survey, assessment: &Assessment) -> Vec<Block> {
    let untold: Vec<&Finding> = assessment
        .findings
        .iter()
        .filter(|finding| matches!(finding.verdict, Verdict::CannotTell { .. }))
        .collect();
    let mut blocks = vec![Block::heading(1, "What could not be told")];
    if untold.is_empty() {
        blocks.push(Block::paragraph("Nothing: every fact that a check needs is known."));
        return blocks;
    }
    blocks.push(Block::paragraph(
        "A fact is missing behind each of these lines. Until it is known, each counts as open: it may be as \
         serious as anything above.",
    ));
    blocks.push(Block::heading(2, "What to look at or measure next"));
    blocks.push(next(survey, assessment));
    blocks.push(Block::heading(2, "Checks that wait"));
    blocks.push(waiting(survey, &untold));
    blocks
}

fn next(survey: &Survey, assessment: &Assessment) -> Block {
    let index = Index::of(survey);
    let rows = assessment.missing().into_iter().map(|(missing, count)| {
        let (kind, _) = describe(survey, &index, &missing.item);
        let look = match question(kind, missing.fact) {
            Some(question) if missing.cannot_be_seen => {
                say!("Cannot be seen. {}", question.unseen).to_string()
            }
            Some(question) => word(question.look).to_owned(),
            None => String::new(),
        };
        Row::new(vec![
            name(survey, &index, &missing.item),
            fact_words(kind, missing.fact).into(),
            look.into(),
            count.to_string().into(),
        ])
    });
    Block::table(
        vec![
            Column::text("Where", ColumnWidth::Fraction(0.28)),
            Column::text("Fact", ColumnWidth::Fraction(0.22)),
            Column::text("Where to look", ColumnWidth::Fraction(0.5)),
            Column::number("Checks", ColumnWidth::Auto),
        ],
        rows.collect(),
    )
}

/// One row a check, with the items and the facts it waits for.
fn waiting(survey: &Survey, untold: &[&Finding]) -> Block {
    let index = Index::of(survey);
    let rows = by_check(untold).into_iter().map(|(check, findings)| {
        let mut places: Vec<String> = findings.iter().map(|finding| place(survey, &index, finding)).collect();
        places.dedup();
        Row::new(vec![check_title(check).into(), findings.len().to_string().into(), places.join("; ").into()])
    });
    Block::table(
        vec![
            Column::text("Looked for", ColumnWidth::Fraction(0.28)),
            Column::number("Places", ColumnWidth::Auto),
            Column::text("Where, and what is missing", ColumnWidth::Fraction(0.72)),
        ],
        rows.collect(),
    )
}

/// `R107 (ambient)`, `L12 (power factor, R109 length)`: facts of another item carry its id.
fn place(survey: &Survey, index: &Index<'_>, finding: &Finding) -> String {
    let fact = |one: &Missing| {
        let words = fact_words(describe(survey, index, &one.item).0, one.fact);
        if one.item == finding.subject.id { words } else { format!("{} {words}", one.item) }
    };
    let facts: Vec<String> = finding.missing().iter().map(fact).collect();
    format!("{} ({})", finding.subject.id, facts.join(", "))
}

/// An item's name and id; the house itself has no id of its own.
fn name(survey: &Survey, index: &Index<'_>, id: &Id) -> Text {
    let (kind, name) = describe(survey, index, id);
    if kind == ItemKind::Site {
        return name.into();
    }
    Text::from([Span::new(name), Span::soft(format!("  {id}"))])
}
