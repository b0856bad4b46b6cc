//! The demand of the house: the worksheet of each place, line by line.

use deadfront_rules::capacity::demand::{Assessed, ByMethod, Line};
use deadfront_rules::finding::{Verdict, fixed};
use deadfront_rules::house::House;
use deadfront_rules::say;
use deadfront_rules::si::watt;
use deadfront_rules::words::word;

use super::super::words::sentence;
use super::{amperes, figure, missing, verdict, waits_for};
use crate::paper::{Block, Column, ColumnWidth, Row, Text};

pub(super) fn section(house: &House<'_>) -> Vec<Block> {
    let mut blocks = vec![Block::heading(2, "Demand of the house")];
    if house.demands().is_empty() {
        blocks.push(Block::paragraph(
            "No service, feeder or bus has been entered whose demand could be reckoned.",
        ));
        return blocks;
    }
    blocks.push(Block::paragraph(
        "By NFPA 70-2023 Article 220. The methods are alternatives: a place that keeps its limit by one of them \
         meets. The worksheet of the method that decides stands first, then those of the others.",
    ));
    blocks.push(overview(house));
    blocks.push(Block::paragraph(
        "The neutral is that of 220.61, with the loads balanced between the legs; ≥ marks the least that it can be, \
         while a fact is missing. Whether a neutral stands what \
         hangs on the heavier leg is told at its run.",
    ));
    for demand in house.demands() {
        blocks.extend(worksheet(house, demand));
    }
    blocks
}

fn place(house: &House<'_>, demand: &Assessed) -> String {
    let name = house.subject(&demand.place.at).name;
    sentence(&format!("{} {name} ({})", demand.place.kind.words(), demand.place.at))
}

fn overview(house: &House<'_>) -> Block {
    let row = |demand: &Assessed| {
        let shown = demand.shown();
        let bound = if demand.neutral_is_least { "≥\u{A0}" } else { "" };
        let neutral = demand
            .neutral
            .map_or_else(Text::default, |(_, current)| format!("{bound}{}", amperes(current)).into());
        Row::new(vec![
            place(house, demand).into(),
            shown.map_or_else(Text::default, |by| method(by).into()),
            figure(shown.map(|by| amperes(by.sheet.current))),
            neutral,
            figure(demand.limit.value.map(amperes)),
            verdict(&demand.verdict),
        ])
    };
    let columns = vec![
        Column::text("Place", ColumnWidth::Fraction(0.6)),
        Column::text("Method", ColumnWidth::Fraction(0.4)),
        Column::number("Demand", ColumnWidth::Auto),
        Column::number("Neutral", ColumnWidth::Auto),
        Column::number("May carry", ColumnWidth::Auto),
        Column::text("Verdict", ColumnWidth::Auto),
    ];
    Block::table(columns, house.demands().iter().map(row).collect())
}

fn method(by: &ByMethod) -> String {
    by.sheet.method.words().to_owned()
}

fn worksheet(house: &House<'_>, demand: &Assessed) -> Vec<Block> {
    let mut blocks = vec![Block::heading(3, place(house, demand))];
    if demand.methods.is_empty() {
        blocks.extend(missing(house, "It cannot be told. Not known:", waits_for(&demand.verdict)));
    }
    for by in demand.in_order() {
        blocks.extend(by_method(house, demand, by));
    }
    blocks
}

fn by_method(house: &House<'_>, demand: &Assessed, by: &ByMethod) -> Vec<Block> {
    let word = word(match &by.verdict {
        Verdict::FallsShort => "falls short",
        Verdict::CannotTell { .. } => "cannot tell",
        Verdict::Meets => "meets",
        Verdict::NotApplicable { .. } => "does not apply",
    });
    let told = say!("By the {}: {}.", method(by), word);
    let columns = vec![
        Column::text("Line", ColumnWidth::Fraction(0.6)),
        Column::number("Connected", ColumnWidth::Auto),
        Column::number("Factor", ColumnWidth::Auto),
        Column::number("Counts", ColumnWidth::Auto),
        Column::text("From", ColumnWidth::Fraction(0.4)),
    ];
    let mut blocks =
        vec![Block::paragraph(told.to_string()).kept_with_next(), Block::table(columns, rows_of(demand, by))];
    blocks.extend(by.area.map(|area| Block::paragraph(area.words().to_string())));
    // What is too much already says as well what it leaves out.
    let lacks = if by.verdict == Verdict::FallsShort { &by.lacks } else { waits_for(&by.verdict) };
    blocks.extend(missing(house, "This is the least that it can be. Not known:", lacks));
    blocks
}

/// The lines of a worksheet, their sum, and the current of it.
fn rows_of(demand: &Assessed, by: &ByMethod) -> Vec<Row> {
    let sheet = &by.sheet;
    let mut rows: Vec<Row> = sheet.lines.iter().map(line).collect();
    let total = say!("{} VA", fixed(sheet.total.get::<watt>(), 0)).to_string();
    let cells = vec!["Demand".into(), Text::default(), Text::default(), total.into(), Text::default()];
    rows.push(Row::strong(cells));
    let volts = say!("at {} V", fixed(sheet.voltage.get::<deadfront_rules::si::volt>(), 0)).to_string();
    let limit = demand.limit.value;
    rows.push(Row::strong(vec![
        say!("Current {}", volts).to_string().into(),
        Text::default(),
        Text::default(),
        amperes(sheet.current).into(),
        figure(limit.map(|limit| say!("of {} it may carry", amperes(limit)).to_string())),
    ]));
    rows
}

fn line(line: &Line) -> Row {
    let va = |power: deadfront_rules::si::Power| say!("{} VA", fixed(power.get::<watt>(), 0)).to_string();
    let count = line.count.map_or_else(String::new, |count| format!(" ({count})"));
    let inputs = line.inputs.as_ref().map_or_else(String::new, |inputs| format!("\n= {inputs}"));
    let factor = match (line.factor, line.demand) {
        (Some(factor), _) => format!("× {factor}"),
        (None, Some(_)) => word("by table").to_owned(),
        (None, None) => String::new(),
    };
    let mut places: Vec<String> = line.places.iter().map(ToString::to_string).collect();
    places.dedup();
    Row::new(vec![
        sentence(&format!("{}{count}{inputs}", line.label)).into(),
        va(line.load).into(),
        factor.into(),
        line.demand.map_or_else(Text::default, |demand| va(demand).into()),
        places.join("; ").into(),
    ])
}
