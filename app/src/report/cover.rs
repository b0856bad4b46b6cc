//! The cover: what house, what was asked, the verdict at a glance, what to do first.

use deadfront_rules::assess::{TieIn, is_about_meeting};
use deadfront_rules::checks::{CheckInfo, Folder, named};
use deadfront_rules::finding::{Finding, Severity, Verdict};
use deadfront_rules::say;
use deadfront_rules::survey::{Id, SupplyKind};
use deadfront_rules::words::word;

use super::causes::Causes;
use super::words::{cell, check_title};
use super::{ACCEPTANCE, Numbered, OPEN_QUESTIONS, Report, WORK_LIST};
use crate::paper::{Block, Column, ColumnWidth, Cover, Row, SignalWord, Span, Text};

pub(super) fn cover(report: &Report<'_>, numbered: &[Numbered<'_>], causes: &Causes<'_>) -> Cover {
    let site = &report.survey.site;
    let mut blocks = Vec::new();
    if site.invented {
        blocks.push(Block::paragraph(Span::bold("An invented house: an example, not a real survey.")));
    }
    blocks.extend([Block::key_values(4, dates(report)), Block::key_values(2, house(report))]);
    blocks.push(Block::heading(2, "The verdict at a glance"));
    blocks.push(answer(report));
    blocks.extend(by_source(report, numbered));
    blocks.push(at_a_glance(report, numbered, causes));
    blocks.extend(first(numbered, causes));
    blocks.push(where_to_look(numbered));
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

/// The plain answer, with the signal word of what it rests on.
fn answer(report: &Report<'_>) -> Block {
    let answer = TieIn::of(report.survey, report.assessment);
    let why = Block::paragraph(answer.why().to_string());
    let signal = match answer {
        TieIn::KeepApart(_) | TieIn::Dangers => SignalWord::Danger,
        TieIn::FallsShort(_) => SignalWord::Warning,
        TieIn::MeetingsNotKnown | TieIn::CannotTell | TieIn::NothingToTell | TieIn::NothingFound => {
            return Block::note(vec![Block::paragraph(Span::bold(answer.words().to_string())), why]);
        }
    };
    Block::signal(signal, answer.words().to_string(), vec![why])
}

/// Each source of the house's own: whether it can meet another, and whether it carries what hangs on it.
fn by_source(report: &Report<'_>, numbered: &[Numbered<'_>]) -> Option<Block> {
    let own = report.survey.supplies.iter().filter(|supply| supply.kind != SupplyKind::Utility);
    let assumed = assumed(report);
    let rows: Vec<Row> = own
        .map(|supply| {
            let name = Text::from([Span::new(&supply.name), Span::soft(format!("  {}", supply.id))]);
            Row::new(vec![
                name,
                worst(report, numbered, &supply.id, (|check| is_about_meeting(check.name), &assumed)),
                worst(report, numbered, &supply.id, (|check| check.folder == Folder::Supply, "")),
            ])
        })
        .collect();
    let columns = vec![
        Column::text("Source", ColumnWidth::Fraction(0.26)),
        Column::text("Kept apart from the others?", ColumnWidth::Fraction(0.37)),
        Column::text("Carries what hangs on it?", ColumnWidth::Fraction(0.37)),
    ];
    (!rows.is_empty()).then(|| Block::dense_table(columns, rows))
}

/// What a separation rests on that nobody tested: a transfer switch parts its positions as it was entered.
fn assumed(report: &Report<'_>) -> String {
    let transfers: Vec<&str> = report.survey.transfers.iter().map(|transfer| transfer.id.as_str()).collect();
    if transfers.is_empty() {
        return String::new();
    }
    say!("  if {} parts as entered; not tested", transfers.join(", ")).to_string()
}

/// The worst that one group of checks says about a supply.
fn worst(
    report: &Report<'_>,
    numbered: &[Numbered<'_>],
    supply: &Id,
    (checks, assumed): (fn(&CheckInfo) -> bool, &str),
) -> Text {
    let is_about = |finding: &Finding| {
        let items = std::iter::once(&finding.subject.id).chain(&finding.beside);
        named(finding.check).is_some_and(checks) && items.into_iter().any(|id| id == supply)
    };
    let about = || report.assessment.findings.iter().filter(|finding| is_about(finding));
    let is_untold = |finding: &Finding| matches!(finding.verdict, Verdict::CannotTell { .. });
    let untold = about().any(is_untold).then(|| Span::bold("CANNOT TELL"));
    if let Some(one) = numbered.iter().find(|one| is_about(one.finding)) {
        let severity = one.finding.severity.signal_word();
        let told = say!("  no. {}, page ", one.number).to_string();
        let mut spans = vec![
            Span::bold(severity.to_owned()),
            Span::link(told, one.anchor()),
            Span::page_of(one.anchor()),
        ];
        // Behind a lesser finding what is not known may be worse.
        if let Some(untold) = untold {
            spans.extend([Span::new("; ".to_owned()), untold]);
        }
        return Text::from(spans);
    }
    if let Some(untold) = untold {
        return untold.into();
    }
    if !about().any(|finding| finding.verdict == Verdict::Meets) {
        return "no check applies".into();
    }
    Text::from([Span::bold("MEETS"), Span::new(assumed.to_owned())])
}

/// Where the reader with ten minutes goes on.
fn where_to_look(numbered: &[Numbered<'_>]) -> Block {
    let mut spans = Vec::new();
    // Where nothing falls short there is no work list.
    let work_list = (!numbered.is_empty()).then_some(("Work list: page ", WORK_LIST));
    let others = [("Open until it is known: page ", OPEN_QUESTIONS), ("Signatures: page ", ACCEPTANCE)];
    for (words, anchor) in work_list.into_iter().chain(others) {
        let full_stop = Span::new(".  ".to_owned());
        spans.extend([Span::link(words, anchor), Span::page_of(anchor), full_stop]);
    }
    Block::paragraph(spans)
}

fn or_not_written(text: &String) -> Text {
    if text.is_empty() { Text::from("not written") } else { text.into() }
}

/// Who, when, and by which rules.
fn dates(report: &Report<'_>) -> Vec<(String, Text)> {
    let site = &report.survey.site;
    let date = site.date.map_or(word("not written").to_owned(), |date| date.format("%Y-%m-%d").to_string());
    vec![
        (word("Surveyor").to_owned(), or_not_written(&site.surveyor)),
        (word("Day of the survey").to_owned(), date.into()),
        (word("Checked against").to_owned(), site.rules.words().into()),
        (word("Paper made").to_owned(), report.made.format("%Y-%m-%d %H:%M %:z").to_string().into()),
    ]
}

/// What is asked, and of which house.
fn house(report: &Report<'_>) -> Vec<(String, Text)> {
    let site = &report.survey.site;
    let built = Text::from(
        [
            cell(&site.built).0,
            vec![Span::new(", ".to_owned())],
            cell(&site.floor_area).0,
            vec![Span::new(format!("; {}", seen(report)))],
        ]
        .concat(),
    );
    vec![
        (word("To be tied in").to_owned(), or_not_written(&site.purpose)),
        (word("Built, floor area, and what was seen").to_owned(), built),
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

/// How many findings of each kind there are, and how many causes lie behind them.
fn at_a_glance(report: &Report<'_>, numbered: &[Numbered<'_>], causes: &Causes<'_>) -> Block {
    let counts = report.assessment.counts;
    let told = [
        ("DANGER", counts.danger, Some(Severity::Danger)),
        ("WARNING", counts.warning, Some(Severity::Warning)),
        ("CAUTION", counts.caution, Some(Severity::Caution)),
        ("NOTICE", counts.notice, Some(Severity::Notice)),
        ("CANNOT TELL", counts.cannot_tell, None),
        ("MEETS", counts.meets, None),
    ];
    let mut columns = vec![Column::text("", ColumnWidth::Fraction(1.0))];
    columns.extend(told.map(|(word, ..)| Column::number(word, ColumnWidth::Auto)));
    let cell = |number: usize, severity: Option<Severity>| {
        let causes = severity.map(|severity| format!("  ({})", causes.count(numbered, severity)));
        Text::from([Span::bold(number.to_string()), Span::soft(causes.unwrap_or_default())])
    };
    let mut cells: Vec<Text> = vec!["Findings (causes behind them)".into()];
    cells.extend(told.map(|(_, number, severity)| cell(number, severity)));
    Block::dense_table(columns, vec![Row::new(cells)])
}

/// The dangers by their kinds, as far as a cover holds them, with the page on which each is told.
fn first<'a>(numbered: &[Numbered<'a>], causes: &Causes<'a>) -> Vec<Block> {
    const SHOWN: usize = 14;
    let dangers = numbered.iter().filter(|one| one.finding.severity == Severity::Danger);
    let mut lines: Vec<(Numbered<'a>, usize)> = Vec::new();
    for danger in dangers {
        match lines.iter_mut().find(|(known, _)| known.finding.check == danger.finding.check) {
            Some((first, count)) => {
                *count += 1;
                // The page is that of one told in full, with its caution.
                if causes.is_told_before(*first) && !causes.is_told_before(*danger) {
                    *first = *danger;
                }
            }
            None => lines.push((*danger, 1)),
        }
    }
    if lines.is_empty() {
        return Vec::new();
    }
    let more = lines.len().saturating_sub(SHOWN);
    let mut cells: Vec<[Text; 2]> = lines
        .into_iter()
        .take(SHOWN)
        .map(|(first, count)| {
            let title = Span::bold(check_title(first.finding.check));
            let places = Span::soft(format!("  ({count})"));
            [Text::from([title, places]), Span::page_of(first.anchor()).into()]
        })
        .collect();
    if more > 0 {
        let words = say!("and {} more kinds of danger, told below", more.to_string()).to_string();
        cells.push([words.into(), Text::default()]);
    }
    // Two beside each other, so that all stand on the cover.
    let rows = cells.chunks(2).map(|beside| {
        let gap = [Text::default()];
        Row::new(beside.iter().map(<[Text; 2]>::as_slice).collect::<Vec<_>>().join(&gap[..]))
    });
    let half = || {
        [
            Column::text("Kind of danger (places)", ColumnWidth::Fraction(0.5)),
            Column::number("Page", ColumnWidth::Auto),
        ]
    };
    let gap = Column::text("", ColumnWidth::Auto);
    let columns = half().into_iter().chain([gap]).chain(half()).collect();
    vec![Block::heading(2, "Dangers, to be dealt with first"), Block::dense_table(columns, rows.collect())]
}
