//! What could not be told, and what to look at or measure next.

use std::collections::HashMap;

use deadfront_rules::Assessment;
use deadfront_rules::finding::{Finding, Verdict};
use deadfront_rules::house::{Index, describe};
use deadfront_rules::say;
use deadfront_rules::survey::questions::question;
use deadfront_rules::survey::{Id, ItemKind, Survey};
use deadfront_rules::walk::{Step, Walk, walk};
use deadfront_rules::words::word;

use super::words::{check_title, fact_words};
use crate::paper::{Block, Column, ColumnWidth, Row, Span, Text};

pub(super) fn section(survey: &Survey, assessment: &Assessment) -> Vec<Block> {
    let is_untold = |finding: &Finding| matches!(finding.verdict, Verdict::CannotTell { .. });
    let mut blocks = vec![Block::heading(1, "What could not be told")];
    if !assessment.findings.iter().any(is_untold) {
        blocks.push(Block::paragraph("Nothing: every fact that a check needs is known."));
        blocks.extend(limits());
        return blocks;
    }
    blocks.push(Block::paragraph(
        "A fact is missing behind each of these lines. Until it is known, each counts as open: it may be as \
         serious as anything above.",
    ));
    let (walk, counts) = (walk(survey, assessment), counts(assessment));
    blocks.push(Block::heading(2, "What to look at or measure next"));
    blocks.push(Block::paragraph(
        "In the order in which a person meets it from the meter inwards; what cannot be seen comes last.",
    ));
    blocks.push(next(survey, &walk, &counts));
    blocks.push(Block::heading(2, "Checks that wait"));
    blocks.push(waiting(survey, &walk, &counts));
    blocks.extend(limits());
    blocks
}

/// What no check looks at. A list of everything would have no end; here stands what a reader of such a paper
/// may well expect to be in it.
const LIMITS: [&str; 7] = [
    "Arc-fault protection (AFCI): whether a device has it is kept where it was entered, and no check asks where it is required.",
    "Surge protection: neither its presence nor its rating.",
    "Listing, withstand rating and way of switching of transfer switches and interlocks: one that is entered as such is taken to part its positions before it joins them.",
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

/// What is missing, in the order in which a person meets it from the meter inwards; what cannot be seen comes
/// last.
fn steps(walk: &Walk) -> impl Iterator<Item = (&Step, bool)> {
    let unseen = walk.cannot_be_seen.iter().map(|step| (step, true));
    walk.steps.iter().map(|step| (step, false)).chain(unseen)
}

/// Findings that wait for a fact of an item.
type Counts<'a> = HashMap<(&'a Id, &'static str), usize>;

fn counts(assessment: &Assessment) -> Counts<'_> {
    let mut counts = Counts::new();
    for missing in assessment.findings.iter().flat_map(Finding::missing) {
        *counts.entry((&missing.item, missing.fact)).or_default() += 1;
    }
    counts
}

fn next(survey: &Survey, walk: &Walk, counts: &Counts<'_>) -> Block {
    let index = Index::of(survey);
    let rows = steps(walk).map(|(step, cannot_be_seen)| {
        let (kind, _) = describe(survey, &index, &step.item);
        let look = match question(kind, step.fact) {
            Some(question) if cannot_be_seen => say!("Cannot be seen. {}", question.unseen).to_string(),
            Some(question) => word(question.look).to_owned(),
            None => String::new(),
        };
        let count = counts.get(&(&step.item, step.fact)).copied().unwrap_or_default();
        Row::new(vec![
            name(survey, &index, &step.item),
            fact_words(kind, step.fact).into(),
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

/// What waits for one kind of fact.
struct Waiting {
    fact: String,
    items: Vec<String>,
    checks: Vec<&'static str>,
    count: usize,
}

/// One row a fact, with where it is missing and the checks that wait for it.
fn waiting(survey: &Survey, walk: &Walk, counts: &Counts<'_>) -> Block {
    let index = Index::of(survey);
    let mut lines: Vec<Waiting> = Vec::new();
    for (step, _) in steps(walk) {
        let fact = fact_words(describe(survey, &index, &step.item).0, step.fact);
        let at = lines.iter().position(|line| line.fact == fact).unwrap_or_else(|| {
            lines.push(Waiting { fact, items: Vec::new(), checks: Vec::new(), count: 0 });
            lines.len() - 1
        });
        let Some(line) = lines.get_mut(at) else { continue };
        line.items.push(step.item.to_string());
        line.count += counts.get(&(&step.item, step.fact)).copied().unwrap_or_default();
        for check in &step.checks {
            if !line.checks.contains(check) {
                line.checks.push(check);
            }
        }
    }
    let rows = lines.into_iter().map(|line| {
        let checks: Vec<String> = line.checks.iter().map(|check| check_title(check)).collect();
        Row::new(vec![
            line.fact.into(),
            line.items.join(", ").into(),
            checks.join("; ").into(),
            line.count.to_string().into(),
        ])
    });
    Block::dense_table(
        vec![
            Column::text("Missing fact", ColumnWidth::Fraction(0.24)),
            Column::text("Where", ColumnWidth::Fraction(0.36)),
            Column::text("Checks that wait for it", ColumnWidth::Fraction(0.4)),
            Column::number("Findings", ColumnWidth::Auto),
        ],
        rows.collect(),
    )
}

/// An item's name and id; the house itself has no id of its own.
fn name(survey: &Survey, index: &Index<'_>, id: &Id) -> Text {
    let (kind, name) = describe(survey, index, id);
    if kind == ItemKind::Site {
        return name.into();
    }
    Text::from([Span::new(name), Span::soft(format!("  {id}"))])
}
