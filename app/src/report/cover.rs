//! The cover: what house, what was asked, the verdict at a glance, what to do first.

use deadfront_rules::finding::{Finding, Severity, Verdict};
use deadfront_rules::say;
use deadfront_rules::words::word;

use super::Report;
use super::words::{cell, check_title};
use crate::paper::{Block, Column, ColumnWidth, Cover, Row, Span, Text};

pub(super) fn cover(report: &Report<'_>) -> Cover {
    let site = &report.survey.site;
    let mut blocks = Vec::new();
    if site.invented {
        blocks.push(Block::paragraph(Span::bold("An invented house: an example, not a real survey.")));
    }
    blocks.push(Block::key_values(2, facts(report)));
    blocks.push(Block::heading(2, "The verdict at a glance"));
    blocks.push(at_a_glance(report));
    blocks.extend(first(report));
    Cover {
        kind: word("Electrical survey before a second source is tied in").to_owned(),
        title: site.name.clone(),
        subtitle: site.place.clone(),
        blocks,
        foot: vec![Block::note(vec![Block::paragraph(
            "This paper gives no permission. Every circuit is live until it is locked out and proved dead. \
             Local code, the authority having jurisdiction and a licensed electrician decide what is done.",
        )])],
    }
}

fn facts(report: &Report<'_>) -> Vec<(String, Text)> {
    let site = &report.survey.site;
    let or_not_written =
        |text: &String| if text.is_empty() { Text::from("not written") } else { text.into() };
    let date = site.date.map_or(word("not written").to_owned(), |date| date.format("%Y-%m-%d").to_string());
    vec![
        (word("Surveyor").to_owned(), or_not_written(&site.surveyor)),
        (word("Day of the survey").to_owned(), date.into()),
        (word("To be tied in").to_owned(), or_not_written(&site.purpose)),
        (word("Checked against").to_owned(), site.rules.words().into()),
        (word("Built").to_owned(), cell(&site.built)),
        (word("Floor area").to_owned(), cell(&site.floor_area)),
        (word("Paper made").to_owned(), report.made.format("%Y-%m-%d %H:%M %:z").to_string().into()),
        (word("Seen").to_owned(), seen(report).into()),
    ]
}

fn seen(report: &Report<'_>) -> String {
    let survey = report.survey;
    let ways: usize = survey.panels.iter().map(|panel| panel.ways.len()).sum();
    say!(
        "{} supplies, {} panels, {} ways, {} runs, {} loads",
        survey.supplies.len(),
        survey.panels.len(),
        ways.to_string(),
        survey.runs.len(),
        survey.loads.len()
    )
    .to_string()
}

fn at_a_glance(report: &Report<'_>) -> Block {
    let counts = report.assessment.counts;
    let row = |word: &'static str, number: usize, meaning: &'static str| {
        Row::new(vec![Span::bold(word).into(), Span::bold(number.to_string()).into(), meaning.into()])
    };
    Block::dense_table(
        vec![
            Column::text("Verdict", ColumnWidth::Auto),
            Column::number("Findings", ColumnWidth::Auto),
            Column::text("What it means", ColumnWidth::Fraction(1.0)),
        ],
        vec![
            row("DANGER", counts.danger, "falls short; will kill, injure or burn if it is not avoided"),
            row("WARNING", counts.warning, "falls short; can kill, injure or burn"),
            row("CAUTION", counts.caution, "falls short; can injure lightly, or harms the installation"),
            row("NOTICE", counts.notice, "falls short of advice"),
            row(
                "CANNOT TELL",
                counts.cannot_tell,
                "a fact is missing; as serious as a failure until it is known",
            ),
            row("MEETS", counts.meets, "every fact is known and the requirement is met"),
        ],
    )
}

/// The dangers by their kinds, as far as a cover holds them.
fn first(report: &Report<'_>) -> Vec<Block> {
    const SHOWN: usize = 14;
    let is_danger =
        |finding: &&Finding| finding.verdict == Verdict::FallsShort && finding.severity == Severity::Danger;
    let dangers: Vec<&Finding> = report.assessment.findings.iter().filter(is_danger).collect();
    if dangers.is_empty() {
        return Vec::new();
    }
    let mut lines: Vec<(String, usize)> = Vec::new();
    for danger in dangers {
        let title = check_title(danger.check);
        match lines.iter_mut().find(|(known, _)| *known == title) {
            Some((_, count)) => *count += 1,
            None => lines.push((title, 1)),
        }
    }
    let more = lines.len().saturating_sub(SHOWN);
    let place = |count: usize| {
        if count == 1 { word("1 place").to_owned() } else { say!("{} places", count.to_string()).to_string() }
    };
    let mut cells: Vec<[Text; 2]> = lines
        .into_iter()
        .take(SHOWN)
        .map(|(title, count)| [Span::bold(title).into(), place(count).into()])
        .collect();
    if more > 0 {
        let words = say!("and {} more kinds of danger, told below", more.to_string()).to_string();
        cells.push([words.into(), Text::default()]);
    }
    // Two beside each other, so that all stand on the cover.
    let rows = cells.chunks(2).map(|beside| Row::new(beside.iter().flatten().cloned().collect()));
    let columns = [0.39, 0.11, 0.39, 0.11].map(|share| Column::text("", ColumnWidth::Fraction(share)));
    vec![
        Block::heading(2, "Dangers, to be dealt with first"),
        Block::dense_table(columns.into(), rows.collect()),
    ]
}
