//! What falls short, dangers first, and what meets.

use deadfront_rules::Assessment;
use deadfront_rules::finding::{Finding, Severity};

use super::Numbered;
use super::isolation::Isolation;
use super::words::{check_title, cited, signal};
use crate::paper::{Block, Column, ColumnWidth, Row, Span, Text};

/// What falls short: one part for each signal word, in it one block for each check.
pub(super) fn falls_short(numbered: &[Numbered<'_>], isolation: &Isolation<'_>) -> Vec<Block> {
    let mut blocks = Vec::new();
    for severity in [Severity::Danger, Severity::Warning, Severity::Caution, Severity::Notice] {
        let part: Vec<Numbered<'_>> =
            numbered.iter().copied().filter(|one| one.finding.severity == severity).collect();
        if part.is_empty() {
            continue;
        }
        blocks.push(Block::heading(1, heading(severity)));
        for group in part.chunk_by(|a, b| same_words(a.finding, b.finding)) {
            blocks.extend(block(group, isolation));
        }
    }
    if numbered.is_empty() {
        blocks.push(Block::heading(1, "What falls short"));
        blocks.push(Block::paragraph(
            "No check found anything that falls short. What could not be told is listed next; it counts as \
             open until it is known.",
        ));
    }
    blocks
}

fn heading(severity: Severity) -> &'static str {
    match severity {
        Severity::Danger => "Dangers",
        Severity::Warning => "Warnings",
        Severity::Caution => "Cautions",
        Severity::Notice => "Notices",
    }
}

/// Findings that can share one caution and one next step.
fn same_words(a: &Finding, b: &Finding) -> bool {
    a.check == b.check && a.caution == b.caution && a.next_step == b.next_step && a.binding == b.binding
}

fn block(group: &[Numbered<'_>], isolation: &Isolation<'_>) -> Option<Block> {
    let first = group.first()?.finding;
    let mut inside = Vec::new();
    let line = |word: &'static str, text: String| {
        Block::paragraph([Span::bold(word), Span::new(text)]).kept_with_next()
    };
    inside.push(line("Caution  ", first.caution.to_string()));
    inside.push(line("Next  ", first.next_step.to_string()));
    let clauses = [Span::soft(format!("{}. ", cited(first))), Span::soft(first.binding.sentence())];
    inside.push(Block::paragraph(clauses).kept_with_next());
    inside.push(places(group, isolation));
    Some(Block::signal(signal(first.severity), check_title(first.check), inside))
}

fn places(group: &[Numbered<'_>], isolation: &Isolation<'_>) -> Block {
    let columns = vec![
        Column::text("No.", ColumnWidth::Auto),
        Column::text("Where", ColumnWidth::Fraction(0.36)),
        Column::text("What is wrong", ColumnWidth::Fraction(0.64)),
        Column::text("Figure", ColumnWidth::Auto),
        Column::number("Steps, page", ColumnWidth::Auto),
    ];
    let rows = group.iter().map(|one| {
        let finding = one.finding;
        let steps = if finding.derivation.is_empty() {
            Text::default()
        } else {
            Text::from(Span::page_of(one.derivation_anchor()))
        };
        let mut row = Row::new(vec![
            one.number.to_string().into(),
            Text::from([
                Span::new(finding.subject.name.to_string()),
                Span::soft(format!("  {}", finding.subject.id)),
            ]),
            message(finding, isolation),
            finding.figure_line().unwrap_or_default().into(),
            steps,
        ]);
        row.anchor = Some(one.anchor());
        row
    });
    Block::table(columns, rows.collect())
}

/// What is wrong; of two sources, with the page on which their way is drawn.
fn message(finding: &Finding, isolation: &Isolation<'_>) -> Text {
    let mut spans = vec![Span::new(finding.message.to_string())];
    if let Some(way) = isolation.way_of(finding) {
        spans.extend([
            Span::link(" The way is drawn on page ", way.clone()),
            Span::page_of(way),
            Span::new("."),
        ]);
    }
    Text::from(spans)
}

/// What meets: one row a check, with the items it was looked for at and not found.
pub(super) fn meets(assessment: &Assessment) -> Vec<Block> {
    let met: Vec<&Finding> = assessment.met().collect();
    if met.is_empty() {
        return Vec::new();
    }
    let rows = by_check(&met).into_iter().map(|(check, findings)| {
        let items = each_once(&findings);
        Row::new(vec![check_title(check).into(), items.len().to_string().into(), items.join(", ").into()])
    });
    vec![
        Block::heading(1, "What meets"),
        Block::paragraph(
            "Each line names what was looked for and not found, and where: there every fact that the check \
             needs is known, and the requirement is met. Where a check looks at an item several times (each \
             source, each limit), the item stands here only if all of them are met.",
        ),
        Block::table(
            vec![
                Column::text("Not found", ColumnWidth::Fraction(0.32)),
                Column::number("Places", ColumnWidth::Auto),
                Column::text("Where", ColumnWidth::Fraction(0.68)),
            ],
            rows.collect(),
        ),
    ]
}

/// The items of some findings, each once.
fn each_once(findings: &[&Finding]) -> Vec<String> {
    let mut items: Vec<String> = Vec::new();
    for finding in findings {
        let id = finding.subject.id.as_str();
        if !items.iter().any(|known| known == id) {
            items.push(id.to_owned());
        }
    }
    items
}

/// Findings by check, in the registry's order.
pub(super) fn by_check<'a>(findings: &[&'a Finding]) -> Vec<(&'static str, Vec<&'a Finding>)> {
    let mut groups: Vec<(&'static str, Vec<&Finding>)> = Vec::new();
    for finding in findings {
        match groups.iter_mut().find(|(check, _)| *check == finding.check) {
            Some((_, group)) => group.push(finding),
            None => groups.push((finding.check, vec![finding])),
        }
    }
    groups
}
