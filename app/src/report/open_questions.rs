//! What could not be told, and what to look at or measure next.

use std::collections::HashMap;

use deadfront_rules::Assessment;
use deadfront_rules::finding::{Finding, Missing, Severity, Verdict};
use deadfront_rules::house::{Index, describe};
use deadfront_rules::say;
use deadfront_rules::survey::questions::question;
use deadfront_rules::survey::{Id, ItemKind, Survey};
use deadfront_rules::walk::{Step, Walk, walk};
use deadfront_rules::words::word;

use super::words::{check_title, fact_words};
use crate::paper::{Block, Column, ColumnWidth, Row, Span, Text};

pub(super) fn section(survey: &Survey, assessment: &Assessment) -> Vec<Block> {
    let mut blocks = vec![Block::heading(1, "What could not be told").anchored(super::OPEN_QUESTIONS)];
    if !assessment.findings.iter().any(is_untold) {
        blocks.push(Block::paragraph("Nothing: every fact that a check needs is known."));
        blocks.extend(limits());
        return blocks;
    }
    blocks.push(Block::paragraph(
        "A fact is missing behind each of these lines. Until it is known, each counts as open: it may be as \
         serious as anything above.",
    ));
    let (walk, waiting) = (walk(survey, assessment), waiting(assessment));
    blocks.push(Block::heading(2, "What to look at or measure next"));
    blocks.push(Block::paragraph(
        "What a danger may hide behind comes first; within each part in the order in which a person meets it from \
         the meter inwards. A fact stands in the part of the worst that waits for it.",
    ));
    blocks.extend(next(survey, &walk, &waiting));
    blocks.push(Block::heading(2, "Checks that wait"));
    let words = "Each check at each item that could not be told, and the facts it waits for.";
    blocks.push(Block::paragraph(words).kept_with_next());
    blocks.extend(by_check(survey, assessment));
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

/// What waits for a fact of an item: how many findings, and how bad the worst of them may be.
type Waiting<'a> = HashMap<(&'a Id, &'static str), (usize, Severity)>;

fn waiting(assessment: &Assessment) -> Waiting<'_> {
    let mut waiting = Waiting::new();
    for finding in &assessment.findings {
        for missing in finding.missing() {
            let entry = waiting.entry((&missing.item, missing.fact)).or_insert((0, finding.severity));
            *entry = (entry.0 + 1, entry.1.min(finding.severity));
        }
    }
    waiting
}

/// A table for each severity of what may be hidden.
fn next(survey: &Survey, walk: &Walk, waiting: &Waiting<'_>) -> Vec<Block> {
    let index = Index::of(survey);
    let of = |step: &Step| waiting.get(&(&step.item, step.fact)).copied().unwrap_or((0, Severity::Notice));
    let mut blocks = Vec::new();
    for (severity, title) in HIDDEN {
        let own = steps(walk).filter(|(step, _)| of(step).1 == severity);
        let rows: Vec<Row> =
            own.map(|(step, unseen)| fact_row(survey, &index, step, unseen, of(step).0)).collect();
        if !rows.is_empty() {
            blocks.push(Block::heading(3, title).kept_with_next());
            blocks.push(Block::table(columns(), rows));
        }
    }
    blocks
}

const HIDDEN: [(Severity, &str); 4] = [
    (Severity::Danger, "A danger may hide behind these"),
    (Severity::Warning, "A warning may hide behind these"),
    (Severity::Caution, "A caution may hide behind these"),
    (Severity::Notice, "A notice may hide behind these"),
];

fn columns() -> Vec<Column> {
    vec![
        Column::text("Where", ColumnWidth::Fraction(0.28)),
        Column::text("Fact", ColumnWidth::Fraction(0.22)),
        Column::text("Where to look", ColumnWidth::Fraction(0.5)),
        Column::number("Checks", ColumnWidth::Auto),
    ]
}

fn fact_row(survey: &Survey, index: &Index<'_>, step: &Step, cannot_be_seen: bool, count: usize) -> Row {
    let (kind, _) = describe(survey, index, &step.item);
    let look = match question(kind, step.fact) {
        Some(question) if cannot_be_seen => say!("Cannot be seen. {}", question.unseen).to_string(),
        Some(question) => word(question.look).to_owned(),
        None => String::new(),
    };
    Row::new(vec![
        name(survey, index, &step.item),
        fact_words(kind, step.fact).into(),
        look.into(),
        count.to_string().into(),
    ])
}

/// A table for each severity: every check with the items at which it waits, and for what.
fn by_check(survey: &Survey, assessment: &Assessment) -> Vec<Block> {
    let index = Index::of(survey);
    let mut blocks = Vec::new();
    for (severity, _) in HIDDEN {
        let is_of_it = |one: &&Finding| is_untold(one) && one.severity == severity;
        let open: Vec<&Finding> = assessment.findings.iter().filter(is_of_it).collect();
        if open.is_empty() {
            continue;
        }
        let groups = super::findings::by_check(&open).into_iter();
        let rows = groups.flat_map(|(check, group)| rows_of_check(survey, &index, check, &group)).collect();
        let title = say!("{}: cannot tell, {}", severity.signal_word(), open.len()).to_string();
        blocks.push(Block::heading(3, title).kept_with_next());
        blocks.push(Block::dense_table(
            vec![
                Column::text("Check", ColumnWidth::Fraction(0.26)),
                Column::text("Where it cannot be told", ColumnWidth::Fraction(0.34)),
                Column::text("What is missing", ColumnWidth::Fraction(0.4)),
            ],
            rows,
        ));
    }
    blocks
}

/// A row for each set of facts that a check waits for, with the items at which it does.
fn rows_of_check(survey: &Survey, index: &Index<'_>, check: &str, findings: &[&Finding]) -> Vec<Row> {
    let mut lines: Vec<(Vec<String>, Vec<String>)> = Vec::new();
    for finding in findings {
        let (facts, item) = (facts_of(survey, index, finding), finding.subject.id.to_string());
        match lines.iter_mut().find(|(known, _)| *known == facts) {
            Some((_, items)) => items.push(item),
            None => lines.push((facts, vec![item])),
        }
    }
    let row = |(at, (facts, items)): (usize, (Vec<String>, Vec<String>))| {
        let title = if at == 0 { check_title(check) } else { String::new() };
        Row::new(vec![Span::bold(title).into(), items.join(", ").into(), facts.join("; ").into()])
    };
    lines.into_iter().enumerate().map(row).collect()
}

/// The facts that a finding waits for, those of other items with their ids.
fn facts_of(survey: &Survey, index: &Index<'_>, finding: &Finding) -> Vec<String> {
    let words = |missing: &Missing| {
        let fact = fact_words(describe(survey, index, &missing.item).0, missing.fact);
        if missing.item == finding.subject.id { fact } else { format!("{fact} ({})", missing.item) }
    };
    finding.missing().iter().map(words).collect()
}

fn is_untold(finding: &Finding) -> bool {
    matches!(finding.verdict, Verdict::CannotTell { .. })
}

/// An item's name and id; the house itself has no id of its own.
fn name(survey: &Survey, index: &Index<'_>, id: &Id) -> Text {
    let (kind, name) = describe(survey, index, id);
    if kind == ItemKind::Site {
        return name.into();
    }
    Text::from([Span::new(name), Span::soft(format!("  {id}"))])
}
