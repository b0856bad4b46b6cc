//! Fault currents at each panel from each supply.

use deadfront_rules::calc::Impedance;
use deadfront_rules::calc::fault::FaultWay;
use deadfront_rules::capacity::FaultOverview;
use deadfront_rules::finding::{Worked, fixed, rounded};
use deadfront_rules::house::House;
use deadfront_rules::say;
use deadfront_rules::si::{Current, ampere, volt};
use deadfront_rules::words::word;

use super::super::words::milliohms;
use crate::paper::{Block, Column, ColumnWidth, Row, Span, Text};

pub(super) fn section(house: &House<'_>, faults: &[FaultOverview]) -> Vec<Block> {
    let mut blocks = vec![Block::heading(2, "Fault currents at each panel")];
    if faults.is_empty() {
        blocks.push(Block::paragraph("No panel is fed by any supply that has been entered."));
        return blocks;
    }
    blocks.push(Block::paragraph(
        "Each device must survive the largest and trip on the smallest. What motors add in the first cycles is \
         left out. An inverter gives little more than its rated current: what the utility trips at once, it may \
         never trip. Figures with ≤ lack a fact: the current is no larger than that.",
    ));
    let row = |at: &FaultOverview| {
        let panel = &house.survey.panels[at.panel];
        let supply = &house.survey.supplies[at.fault.supply];
        Row::new(vec![
            format!("{} ({})", panel.name, panel.id).into(),
            format!("{} ({})", supply.name, supply.id).into(),
            current(&at.fault.largest),
            current(&at.fault.smallest),
        ])
    };
    let columns = vec![
        Column::text("At", ColumnWidth::Fraction(0.5)),
        Column::text("From", ColumnWidth::Fraction(0.5)),
        Column::number("Largest", ColumnWidth::Auto),
        Column::number("Smallest", ColumnWidth::Auto),
    ];
    blocks.push(Block::table(columns, faults.iter().map(row).collect()));
    blocks.extend(parts(house, faults));
    blocks
}

/// How to redo the currents.
const REDO: &str = "Each line gives every part of the way as R + jX in mΩ: what stands behind the supply's terminals, then each \
                    run out and back. Add the R and the X, take √(R² + X²), and divide the voltage by it. Behind a \
                    transformer stands the voltage over the current at its terminals; how that current follows from the \
                    plate is in the steps of the findings. Cold conductors and the low end of the plate impedance count for \
                    the largest current, warm ones and the plate impedance itself for the smallest. What the maker of a \
                    generator or an inverter states counts with a tolerance on for the largest and off for the \
                    smallest, unless the maker guarantees the least. Where electronics hold the current, the lesser of the two counts. A run that is not known counts as nothing, and the current is \
                    then no larger than the figure with ≤.";

/// The parts of each way.
fn parts(house: &House<'_>, faults: &[FaultOverview]) -> Vec<Block> {
    let rows: Vec<Row> = faults
        .iter()
        .flat_map(|at| {
            let ways = [
                ("largest", &at.fault.largest, &at.fault.largest_way),
                ("smallest", &at.fault.smallest, &at.fault.smallest_way),
            ];
            ways.into_iter().filter_map(|(word, current, way)| {
                current.value?;
                Some(part_row(house, at, word, current, way.as_ref()?))
            })
        })
        .collect();
    if rows.is_empty() {
        return Vec::new();
    }
    let columns = vec![
        Column::text("At", ColumnWidth::Auto),
        Column::text("From", ColumnWidth::Auto),
        Column::text("Which", ColumnWidth::Auto),
        Column::text("Parts, R + jX in mΩ", ColumnWidth::Fraction(0.55)),
        Column::text("Voltage over the whole", ColumnWidth::Fraction(0.45)),
        Column::number("Current", ColumnWidth::Auto),
    ];
    vec![
        Block::heading(3, "Parts of each fault current"),
        Block::paragraph(REDO),
        Block::dense_table(columns, rows),
    ]
}

fn part_row(
    house: &House<'_>,
    at: &FaultOverview,
    which: &'static str,
    found: &Worked<Current>,
    way: &FaultWay,
) -> Row {
    let supply = &house.survey.supplies[at.fault.supply].id;
    let mut parts: Vec<String> = Vec::new();
    if let Some(source) = way.source {
        parts.push(format!("{supply}\u{A0}{}", ohms(source)));
    }
    parts.extend(way.loops.iter().map(|(run, part)| {
        let told = part.map_or_else(|| word("not known").to_owned(), ohms);
        format!("{}\u{A0}{told}", house.survey.runs[*run].id)
    }));
    let whole = milliohms(way.whole.magnitude(), 2);
    let volts = rounded(way.voltage.get::<volt>(), 1);
    let how = match way.source {
        Some(_) => format!("{volts} V / |{}| = {volts} V / {whole} mΩ", ohms(way.whole)),
        None => {
            let terminals = rounded(way.terminals.get::<ampere>(), 1);
            say!("{} A, or {} V / {} mΩ if that is less", terminals, volts, whole).to_string()
        }
    };
    let between = Span::soft(format!(" {}", way.between));
    Row::new(vec![
        house.survey.panels[at.panel].id.to_string().into(),
        supply.to_string().into(),
        word(which).into(),
        parts.join(", ").into(),
        Text::from([Span::new(how), between]),
        current(found),
    ])
}

fn ohms(part: Impedance) -> String {
    format!("{}\u{A0}+\u{A0}j{}", milliohms(part.resistance, 2), milliohms(part.reactance, 2))
}

fn current(current: &Worked<Current>) -> Text {
    match current.value {
        Some(value) if current.missing.is_empty() => format!("{} A", fixed(value.get::<ampere>(), 0)).into(),
        Some(value) => format!("≤ {} A", fixed(value.get::<ampere>(), 0)).into(),
        None => Span::bold("not bounded").into(),
    }
}
