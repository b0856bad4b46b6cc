//! Fault currents at each panel from each supply.

use deadfront_rules::capacity::FaultOverview;
use deadfront_rules::finding::{Worked, fixed};
use deadfront_rules::house::House;
use deadfront_rules::si::{Current, ampere};

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
    blocks
}

fn current(current: &Worked<Current>) -> Text {
    match current.value {
        Some(value) if current.missing.is_empty() => format!("{} A", fixed(value.get::<ampere>(), 0)).into(),
        Some(value) => format!("≤ {} A", fixed(value.get::<ampere>(), 0)).into(),
        None => Span::bold("not bounded").into(),
    }
}
