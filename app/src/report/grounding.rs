//! Electrodes, the joint of neutral and ground mode by mode, the ground of each enclosure, and the
//! findings about all that.

use deadfront_rules::checks::{Folder, registry};
use deadfront_rules::finding::Verdict;
use deadfront_rules::house::{House, describe};
use deadfront_rules::isolation::overview::NeutralOverview;
use deadfront_rules::say;
use deadfront_rules::survey::{Electrode, Id, Survey};

use super::Numbered;
use super::isolation::{Isolation, missing_words};
use super::words::{cell, check_title};
use crate::paper::{Block, Column, ColumnWidth, Row, Span, Text};

/// Checks of other folders that are about the equipment ground.
const ABOUT_GROUND: [&str; 4] = [
    "equipment_ground_missing_or_small",
    "armor_as_ground",
    "frame_grounded_on_neutral",
    "ungrounded_three_slot",
];

pub(super) fn section(house: &House<'_>, isolation: &Isolation<'_>, numbered: &[Numbered<'_>]) -> Vec<Block> {
    let mut blocks = vec![Block::heading(1, "Grounding")];
    blocks.extend(electrodes(house.survey));
    blocks.extend(neutrals(house, isolation));
    blocks.extend(findings(numbered));
    blocks
}

fn electrodes(survey: &Survey) -> Vec<Block> {
    let mut blocks = vec![Block::heading(2, "Electrodes")];
    if survey.electrodes.is_empty() {
        let found = [Span::bold("An electrode was found  "), Span::default()];
        let mut text = Text::from(found);
        text.0.extend(cell(&survey.site.electrode_found).0);
        blocks.push(Block::paragraph("No grounding electrode has been entered."));
        blocks.push(Block::paragraph(text));
        return blocks;
    }
    let columns = vec![
        Column::text("Id", ColumnWidth::Auto),
        Column::text("Kind", ColumnWidth::Fraction(0.3)),
        Column::text("Conductor ends at", ColumnWidth::Auto),
        Column::text("Conductor", ColumnWidth::Fraction(0.3)),
        Column::number("Length", ColumnWidth::Auto),
        Column::number("To earth", ColumnWidth::Auto),
        Column::text("Bonded to others", ColumnWidth::Fraction(0.2)),
    ];
    blocks.push(Block::table(columns, survey.electrodes.iter().map(electrode).collect()));
    blocks
}

fn electrode(one: &Electrode) -> Row {
    let mut conductor = cell(&one.conductor_size);
    conductor.0.push(Span::new(" "));
    conductor.0.extend(cell(&one.conductor_material).0);
    Row::new(vec![
        one.id.to_string().into(),
        cell(&one.kind),
        one.at.to_string().into(),
        conductor,
        cell(&one.length),
        cell(&one.resistance),
        cell(&one.bonded_to_others),
    ])
}

/// Neutrals that are alike in several modes, told once.
fn neutrals(house: &House<'_>, isolation: &Isolation<'_>) -> Vec<Block> {
    let mut blocks = vec![
        Block::heading(2, "Where neutral and ground are joined"),
        Block::paragraph(
            "For each supply, what hangs together by its neutral in each mode, and where that neutral is joined to \
             ground. There must be exactly one such place, or a fault trips nothing, or the ground carries current.",
        ),
    ];
    let mut groups: Vec<(&NeutralOverview, Vec<String>)> = Vec::new();
    for one in isolation.neutrals() {
        let mode = isolation.mode_name(&one.mode);
        match groups.iter_mut().find(|(known, _)| alike(known, one)) {
            Some((_, modes)) => modes.push(mode),
            None => groups.push((one, vec![mode])),
        }
    }
    if groups.is_empty() {
        blocks.push(Block::paragraph("No supply that feeds a panel has been entered."));
    }
    for (neutral, modes) in groups {
        blocks.extend(one_neutral(house, neutral, &modes));
    }
    blocks
}

fn alike(a: &NeutralOverview, b: &NeutralOverview) -> bool {
    let without_mode = NeutralOverview { mode: b.mode.clone(), ..a.clone() };
    without_mode == *b
}

fn one_neutral(house: &House<'_>, neutral: &NeutralOverview, modes: &[String]) -> Vec<Block> {
    let name = |id: &Id| describe(house.survey, &house.index, id).1;
    let names = |ids: &[Id]| ids.iter().map(name).collect::<Vec<_>>().join("; ");
    let bond = |(item, missing): &(Id, Vec<_>)| {
        if missing.is_empty() {
            name(item)
        } else {
            say!("{}, if {}", name(item), missing_words(house, missing)).to_string()
        }
    };
    let bonds: Vec<String> = neutral.bonds.iter().map(bond).collect();
    let bonds = if bonds.is_empty() { Text::from(Span::bold("nowhere")) } else { bonds.join("\n").into() };
    let mut rows = vec![
        row("In the modes", modes.join("; ").into()),
        row("Hangs together", names(&neutral.island).into()),
        row("Joined to ground at", bonds),
        row("Exactly one place", verdict(&neutral.verdict)),
    ];
    if let Verdict::CannotTell { missing } = &neutral.verdict {
        rows.push(row("Not known yet", missing_words(house, missing).into()));
    }
    for (transfer, opens) in &neutral.transfers {
        let word = match opens {
            Some(true) => "opens the neutral",
            Some(false) => "leaves the neutral solid",
            None => "not known whether it opens the neutral",
        };
        rows.push(row(
            "Transfer switch",
            say!("{}: {}", name(transfer), deadfront_rules::finding::Said::plain(word)).to_string().into(),
        ));
    }
    let told = neutral.told.iter().map(ToString::to_string);
    let broken = neutral.grounds.iter().filter(|ground| ground.holds != Some(true));
    let told: Vec<String> = told.chain(broken.map(|ground| ground.told.to_string())).collect();
    if !told.is_empty() {
        rows.push(row("What follows", told.join("\n").into()));
    }
    let columns =
        vec![Column::text("", ColumnWidth::Auto), Column::text("On this supply", ColumnWidth::Fraction(1.0))];
    vec![Block::heading(3, name(&neutral.supply)).kept_with_next(), Block::table(columns, rows)]
}

fn row(head: &'static str, text: Text) -> Row {
    Row::new(vec![Span::bold(head).into(), text])
}

fn verdict(verdict: &Verdict) -> Text {
    match verdict {
        Verdict::Meets => "meets".into(),
        Verdict::FallsShort => Span::bold("falls short").into(),
        Verdict::CannotTell { .. } => Span::bold("cannot tell").into(),
        Verdict::NotApplicable { .. } => Span::soft("does not apply").into(),
    }
}

fn is_about_ground(check: &str) -> bool {
    let folder = registry().find(|info| info.name == check).map(|info| info.folder);
    folder == Some(Folder::Grounding) || ABOUT_GROUND.contains(&check)
}

fn findings(numbered: &[Numbered<'_>]) -> Vec<Block> {
    let about = numbered.iter().filter(|one| is_about_ground(one.finding.check));
    let rows: Vec<Row> = about
        .map(|one| {
            Row::new(vec![
                Span::link(one.number.to_string(), one.anchor()).into(),
                check_title(one.finding.check).into(),
                Text::from([
                    Span::new(one.finding.subject.name.to_string()),
                    Span::soft("  "),
                    Span::soft(one.finding.subject.id.to_string()),
                ]),
                Text::from(Span::page_of(one.anchor())),
            ])
        })
        .collect();
    let mut blocks = vec![Block::heading(2, "Findings about neutral, ground and electrodes")];
    if rows.is_empty() {
        blocks.push(Block::paragraph("No check of grounding found anything that falls short."));
        return blocks;
    }
    let columns = vec![
        Column::text("No.", ColumnWidth::Auto),
        Column::text("What falls short", ColumnWidth::Fraction(0.45)),
        Column::text("Where", ColumnWidth::Fraction(0.55)),
        Column::number("Page", ColumnWidth::Auto),
    ];
    blocks.push(Block::table(columns, rows));
    blocks
}
