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
        blocks.extend(limits());
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
    blocks.extend(limits());
    blocks
}

/// What no check looks at. A list of everything would have no end; here stands what a reader of such a paper
/// may well expect to be in it.
const LIMITS: [&str; 6] = [
    "Arc-fault protection (AFCI): whether a device has it is kept where it was entered, and no check asks where it is required.",
    "Surge protection: neither its presence nor its rating.",
    "Rapid shutdown of solar on buildings, and the markings for it.",
    "Receptacle spacing, box fill, supports, clearances and workmanship, but for what a finding names.",
    "Insulation resistance and the condition of what is closed up in walls.",
    "The structure that carries solar modules or batteries, and ventilation and fire separation of batteries.",
];

fn limits() -> [Block; 3] {
    [
        Block::heading(2, "What this survey does not check"),
        Block::paragraph(
            "That no finding names these means nothing: nobody looked. The licensed electrician checks them by the code that is \
             in force at the place.",
        )
        .kept_with_next(),
        Block::bullets(LIMITS.into_iter().map(Text::from).collect()),
    ]
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
