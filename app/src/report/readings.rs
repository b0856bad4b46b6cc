//! What was measured, beside what is worked out for the same point.

use deadfront_rules::finding::{Arg, Verdict};
use deadfront_rules::house::{House, describe};
use deadfront_rules::readings::{Beside, beside};
use deadfront_rules::say;
use deadfront_rules::survey::{Reading, Survey};
use deadfront_rules::words::word;

use super::words::check_title;
use crate::paper::{Block, Column, ColumnWidth, Row, SignalWord, Span, Text};

/// For whoever takes a reading.
const LIVE: &str = "A reading on live parts can kill. It is for a qualified person only, with the protective equipment, the \
                    instrument and its category that the place asks for; where it can be taken dead or at a closed cover, \
                    it is. The local rule for work near live parts decides whether it may be taken at all.";
/// How far a reading goes.
const ONE_MOMENT: &str = "A reading is of one moment. It can show that something is wrong; that nothing speaks against it \
                          does not show that all is well, and no check counts as met by it.";

pub(super) fn section(survey: &Survey) -> Vec<Block> {
    if survey.readings.is_empty() {
        return Vec::new();
    }
    let house = House::new(survey);
    let rows = survey.readings.iter().flat_map(|reading| rows(&house, reading)).collect();
    let columns = vec![
        Column::text("At", ColumnWidth::Fraction(0.26)),
        Column::text("When, with what, by whom", ColumnWidth::Fraction(0.2)),
        Column::text("Read", ColumnWidth::Auto),
        Column::text("Worked out", ColumnWidth::Fraction(0.28)),
        Column::text("Judged", ColumnWidth::Fraction(0.26)),
    ];
    vec![
        Block::heading(1, "Readings"),
        Block::signal(SignalWord::Warning, "Measuring live parts", vec![Block::paragraph(LIVE)]),
        Block::paragraph(ONE_MOMENT).kept_with_next(),
        Block::table(columns, rows),
    ]
}

/// A reading with its first figure, and a row for each other figure.
fn rows(house: &House<'_>, reading: &Reading) -> Vec<Row> {
    let figures = beside(house, reading);
    let (_, name) = describe(house.survey, &house.index, &reading.at);
    let at = Text::from([Span::new(name), Span::soft(format!("  {}", reading.at))]);
    let time = reading.when.format("%Y-%m-%d %H:%M").to_string();
    let instrument = match reading.instrument.trim() {
        "" => word("instrument not entered").to_owned(),
        named => named.to_owned(),
    };
    let taken_by = match reading.taken_by.trim() {
        "" => word("who took it is not entered").to_owned(),
        named => say!("taken by {}", named.to_owned()).to_string(),
    };
    let when = Text::from([Span::new(time), Span::soft(format!("  {instrument}; {taken_by}"))]);
    let head = [at, when];
    if figures.is_empty() {
        let none = Span::soft("nothing is worked out for it");
        let cells = head.into_iter().chain([measured(reading).into(), none.into(), Text::default()]);
        return vec![Row::new(cells.collect())];
    }
    let mut rows = Vec::new();
    for (number, figure) in figures.iter().enumerate() {
        let own = if number == 0 { head.clone() } else { <[Text; 2]>::default() };
        let entered = if number == 0 { measured(reading) } else { String::new() };
        let cells = own.into_iter().chain([read(entered, figure), worked_out(figure), judged(figure)]);
        rows.push(Row::new(cells.collect()));
    }
    rows
}

fn measured(reading: &Reading) -> String {
    let known = reading.facts().into_iter().filter_map(|(_, value)| value.known().cloned());
    known.collect::<Vec<_>>().join(", ")
}

/// The value as it was entered, and where the figure beside it has another unit, in that one too.
fn read(entered: String, figure: &Beside) -> Text {
    let same = figure.measured.to_string();
    let again =
        if entered.is_empty() || entered.split(", ").any(|one| one == same) { String::new() } else { same };
    let gap = if again.is_empty() { "" } else { "  " };
    Text::from([Span::new(together(&entered)), Span::soft(format!("{gap}{}", together(&again)))])
}

/// A number and its unit on one line.
fn together(value: &str) -> String {
    value.replace(' ', "\u{A0}").replace(",\u{A0}", ", ")
}

fn worked_out(figure: &Beside) -> Text {
    let name = Arg::Word(figure.against);
    match &figure.computed {
        Some(computed) => say!("{}: {}", name, together(&computed.to_string())).to_string().into(),
        None => Span::soft(say!("{}: cannot be told", name).to_string()).into(),
    }
}

/// The judgement as a sign and a word, so that it reads in grey.
fn judged(figure: &Beside) -> Text {
    match &figure.verdict {
        Verdict::FallsShort => {
            let check = check_title(figure.check);
            Text::from([Span::bold("✕ asks for action"), Span::new(format!("  {check}"))])
        }
        Verdict::CannotTell { .. } => Span::bold("? cannot tell").into(),
        Verdict::NotApplicable { .. } | Verdict::Meets => "nothing speaks against it".into(),
    }
}
