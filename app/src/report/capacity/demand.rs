//! The demand of the house: the worksheet of each place, line by line.

use deadfront_rules::capacity::demand::{Assessed, ByMethod, Line};
use deadfront_rules::finding::fixed;
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
         meets. The worksheet shown is that of the method that decides.",
    ));
    blocks.push(overview(house));
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
        let neutral = demand.neutral.map_or_else(Text::default, |(_, current)| amperes(current).into());
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
    let Some(shown) = demand.shown() else {
        let mut blocks = vec![Block::heading(3, place(house, demand))];
        blocks.extend(missing(house, "It cannot be told. Not known:", waits_for(&demand.verdict)));
        return blocks;
    };
    let sheet = &shown.sheet;
    let mut rows: Vec<Row> = sheet.lines.iter().map(line).collect();
    let total = say!("{} VA", fixed(sheet.total.get::<watt>(), 0)).to_string();
    let cells = vec!["Demand".into(), Text::default(), Text::default(), total.into(), Text::default()];
    rows.push(Row::strong(cells));
    let volts = say!("at {} V", fixed(sheet.voltage.get::<deadfront_rules::si::volt>(), 0)).to_string();
    rows.push(Row::strong(vec![
        say!("Current {}", volts.to_string()).to_string().into(),
        Text::default(),
        Text::default(),
        amperes(sheet.current).into(),
        figure(
            demand
                .limit
                .value
                .map(|limit| say!("of {} it may carry", amperes(limit).to_string()).to_string()),
        ),
    ]));
    let columns = vec![
        Column::text("Line", ColumnWidth::Fraction(0.6)),
        Column::number("Connected", ColumnWidth::Auto),
        Column::number("Factor", ColumnWidth::Auto),
        Column::number("Counts", ColumnWidth::Auto),
        Column::text("From", ColumnWidth::Fraction(0.4)),
    ];
    let by = Block::paragraph(say!("By the {}.", method(shown).to_string()).to_string()).kept_with_next();
    let mut blocks = vec![Block::heading(3, place(house, demand)), by, Block::table(columns, rows)];
    blocks.extend(other_methods(demand, shown));
    blocks.extend(missing(house, "This is the least that it can be. Not known:", waits_for(&shown.verdict)));
    blocks
}

fn line(line: &Line) -> Row {
    let va = |power: deadfront_rules::si::Power| say!("{} VA", fixed(power.get::<watt>(), 0)).to_string();
    let count = line.count.map_or_else(String::new, |count| format!(" ({count})"));
    let factor = match (line.factor, line.demand) {
        (Some(factor), _) => format!("× {factor}"),
        (None, Some(_)) => word("by table").to_owned(),
        (None, None) => String::new(),
    };
    let mut places: Vec<String> = line.places.iter().map(ToString::to_string).collect();
    places.dedup();
    Row::new(vec![
        sentence(&format!("{}{count}", line.label)).into(),
        va(line.load).into(),
        factor.into(),
        line.demand.map_or_else(Text::default, |demand| va(demand).into()),
        places.join("; ").into(),
    ])
}

/// What the methods that are not shown in full give.
fn other_methods(demand: &Assessed, shown: &ByMethod) -> Option<Block> {
    let others = demand.methods.iter().filter(|by| by.sheet.method != shown.sheet.method);
    let told: Vec<String> = others
        .map(|by| {
            let word = by.verdict.name().replace('_', " ");
            format!("{} {} ({word})", method(by), amperes(by.sheet.current))
        })
        .collect();
    (!told.is_empty()).then(|| {
        Block::paragraph(say!("By the other methods: {}.", (told.join("; ")).to_string()).to_string())
    })
}
