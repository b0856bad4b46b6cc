//! The work list: what falls short, panel by panel and way by way, for the one who stands in front of it.

use deadfront_rules::finding::Finding;
use deadfront_rules::house::{House, Item};
use deadfront_rules::survey::Id;
use deadfront_rules::words::word;

use super::Numbered;
use super::words::check_title;
use crate::paper::{Block, Column, ColumnWidth, Row, Span, Text};

/// What a row of the list is about: its panel, `None` outside of all panels, and its item there.
type Place = (Option<usize>, Id);

/// One row for each panel, way or other item, with everything found at it and at what hangs on it.
pub(super) fn section(house: &House<'_>, numbered: &[Numbered<'_>]) -> Vec<Block> {
    if numbered.is_empty() {
        return Vec::new();
    }
    let mut blocks = vec![
        Block::heading(1, "Work list, panel by panel").anchored(super::WORK_LIST),
        Block::paragraph(
            "Everything that falls short, where it stands: a way with its run and all that hangs on it in one \
             row, its number leading to caution, next step and derivation. What is done is ticked by the \
             licensed electrician.",
        ),
    ];
    let placed: Vec<(Place, Numbered<'_>)> =
        numbered.iter().map(|one| (place(house, one.finding), *one)).collect();
    let panels = house.panels().map(|(at, panel)| (Some(at), format!("{} ({})", panel.name, panel.id)));
    let outside = (None, word("Sources, and what stands outside the panels").to_owned());
    for (panel, title) in std::iter::once(outside).chain(panels) {
        let rows = rows(house, panel, &placed);
        if !rows.is_empty() {
            blocks.push(Block::heading(3, title).kept_with_next());
            blocks.push(Block::table(columns(), rows));
        }
    }
    blocks
}

fn columns() -> Vec<Column> {
    vec![
        Column::text("Where", ColumnWidth::Fraction(0.36)),
        Column::text("What falls short", ColumnWidth::Fraction(0.64)),
        Column::text("Done", ColumnWidth::Auto),
    ]
}

fn rows(house: &House<'_>, panel: Option<usize>, placed: &[(Place, Numbered<'_>)]) -> Vec<Row> {
    let mut items: Vec<&Id> = Vec::new();
    for ((_, item), _) in placed.iter().filter(|((at, _), _)| *at == panel) {
        if !items.contains(&item) {
            items.push(item);
        }
    }
    items.sort_by_key(|item| order(house, item));
    let row = |item: &Id| {
        let here = placed.iter().filter(|((at, of), _)| *at == panel && of == item).map(|(_, one)| *one);
        let name = house.subject(item).name;
        Row::new(vec![
            Text::from([Span::new(name.to_string()), Span::soft(format!("  {item}"))]),
            found(item, here),
            Text::default(),
        ])
    };
    items.into_iter().map(row).collect()
}

/// The panel itself first, then its sections, then its ways as they stand in it.
fn order(house: &House<'_>, item: &Id) -> (u8, usize) {
    match house.index.get(item) {
        Some(Item::Panel(_)) => (0, 0),
        Some(Item::Bus(_, bus)) => (1, bus),
        Some(Item::Way(_, way)) => (2, way),
        Some(Item::Supply(at)) => (3, at),
        Some(Item::Inlet(at) | Item::Transfer(at) | Item::Position(at, _) | Item::Interlock(at)) => (4, at),
        Some(Item::Run(at)) => (5, at),
        _ => (6, 0),
    }
}

/// One line for each finding, the worst first as they are numbered.
fn found<'a>(item: &Id, findings: impl Iterator<Item = Numbered<'a>>) -> Text {
    let mut spans = Vec::new();
    for one in findings {
        if !spans.is_empty() {
            spans.push(Span::new("\n".to_owned()));
        }
        let finding = one.finding;
        spans.push(Span::bold(finding.severity.signal_word().to_owned()));
        let told = format!("  {}  {}", one.number, check_title(finding.check));
        spans.push(Span::link(told, one.anchor()));
        if finding.subject.id != *item {
            spans.push(Span::soft(format!("  {}", finding.subject.id)));
        }
    }
    Text::from(spans)
}

/// Where somebody has to stand to mend it.
fn place(house: &House<'_>, finding: &Finding) -> Place {
    let own = finding.subject.id.clone();
    let survey = house.survey;
    let mut at = own.clone();
    // A survey's runs may be entered in a circle: no way is longer than their number.
    for _ in 0..=survey.runs.len() + 1 {
        match house.index.get(&at) {
            Some(Item::Panel(panel) | Item::Bus(panel, _) | Item::Way(panel, _)) => return (Some(panel), at),
            Some(Item::Run(run)) => at = survey.runs[run].from.clone(),
            Some(Item::Load(load)) => at = survey.loads[load].on.clone(),
            _ => break,
        }
    }
    (None, own)
}

#[cfg(test)]
mod tests {
    use deadfront_rules::assess;
    use deadfront_rules::survey::Survey;

    use super::*;
    use crate::paper::BlockKind;

    /// Every finding stands in the list once, under the panel that its circuit begins in.
    #[test]
    fn every_finding_of_the_demo_house_stands_at_its_place() {
        let survey: Survey = serde_json::from_str(crate::demo::DEMO).expect("the demo is a survey");
        let house = House::new(&survey);
        let assessment = assess(&survey);
        let short = assessment
            .findings
            .iter()
            .filter(|finding| finding.verdict == deadfront_rules::finding::Verdict::FallsShort);
        let numbered: Vec<Numbered<'_>> =
            short.enumerate().map(|(at, finding)| Numbered { number: at + 1, finding }).collect();
        let at = |id: &str| {
            let finding =
                numbered.iter().find(|one| one.finding.subject.id.as_str() == id).expect("a finding");
            let (panel, item) = place(&house, finding.finding);
            (panel.map_or("outside", |panel| survey.panels[panel].id.as_str()).to_owned(), item.to_string())
        };
        // A run, what is spliced to it, a load at its end, a way; an inlet stands outside of all panels.
        assert_eq!(at("R103"), ("P1".to_owned(), "P1.07".to_owned()));
        assert_eq!(at("R113"), ("P1".to_owned(), "P1.15".to_owned()));
        assert_eq!(at("L15"), ("P1".to_owned(), at("R115").1));
        assert_eq!(at("I1"), ("outside".to_owned(), "I1".to_owned()));
        let tables = section(&house, &numbered).into_iter();
        let rows = tables.filter_map(|block| match block.kind {
            BlockKind::Table(table) => Some(table.rows),
            _ => None,
        });
        let lines: usize = rows.flatten().map(|row| row.cells[1].plain().lines().count()).sum();
        assert_eq!(lines, numbered.len());
    }

    #[test]
    fn nothing_to_do_needs_no_list() {
        let survey: Survey = serde_json::from_str(crate::demo::DEMO).expect("the demo is a survey");
        assert!(section(&House::new(&survey), &[]).is_empty());
    }
}
