//! What could not be told, and what to look at or measure next.

use deadfront_rules::Assessment;
use deadfront_rules::finding::{Finding, Missing, Verdict};
use deadfront_rules::house::{Index, Item};
use deadfront_rules::survey::{Id, Survey};

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
    blocks.push(waiting(&untold));
    blocks
}

fn next(survey: &Survey, assessment: &Assessment) -> Block {
    let index = Index::of(survey);
    let rows = assessment.missing().into_iter().map(|(missing, count)| {
        let seen =
            if missing.cannot_be_seen { "cannot be seen: open up, measure or trace" } else { "not seen yet" };
        Row::new(vec![
            name(survey, &index, &missing.item),
            fact_words(&missing).into(),
            seen.into(),
            count.to_string().into(),
        ])
    });
    Block::table(
        vec![
            Column::text("Where", ColumnWidth::Fraction(0.6)),
            Column::text("Fact", ColumnWidth::Fraction(0.4)),
            Column::text("State", ColumnWidth::Auto),
            Column::number("Checks", ColumnWidth::Auto),
        ],
        rows.collect(),
    )
}

fn waiting(untold: &[&Finding]) -> Block {
    let rows = untold.iter().map(|finding| {
        Row::new(vec![
            check_title(finding.check).into(),
            Text::from([
                Span::new(finding.subject.name.to_string()),
                Span::soft(format!("  {}", finding.subject.id)),
            ]),
            listed(finding.missing()).into(),
        ])
    });
    Block::table(
        vec![
            Column::text("Looked for", ColumnWidth::Auto),
            Column::text("Where", ColumnWidth::Fraction(0.45)),
            Column::text("Missing", ColumnWidth::Fraction(0.55)),
        ],
        rows.collect(),
    )
}

fn listed(missing: &[Missing]) -> String {
    let facts: Vec<String> = missing.iter().map(|one| format!("{} {}", one.item, fact_words(one))).collect();
    facts.join(", ")
}

/// An item's name and id; the house itself has no id of its own.
fn name(survey: &Survey, index: &Index<'_>, id: &Id) -> Text {
    let name = match index.get(id) {
        None => return survey.site.name.clone().into(),
        Some(Item::Supply(at)) => survey.supplies[at].name.clone(),
        Some(Item::Panel(at)) => survey.panels[at].name.clone(),
        Some(Item::Bus(panel, _)) => format!("bus of {}", survey.panels[panel].name),
        Some(Item::Way(panel, way)) => {
            let panel = &survey.panels[panel];
            format!("way {} of {}", panel.ways[way].number(), panel.name)
        }
        Some(Item::Run(at)) => survey.runs[at].name.clone(),
        Some(Item::Load(at)) => survey.loads[at].name.clone(),
        Some(Item::Transfer(at)) => survey.transfers[at].name.clone(),
        Some(Item::Position(transfer, at)) => survey.transfers[transfer].positions[at].name.clone(),
        Some(Item::Interlock(at)) => survey.interlocks[at].name.clone(),
        Some(Item::Inlet(at)) => survey.inlets[at].name.clone(),
        Some(Item::Electrode(_)) => "electrode".to_owned(),
    };
    Text::from([Span::new(name), Span::soft(format!("  {id}"))])
}
