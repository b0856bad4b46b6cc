//! What meets: for each check the figures that were compared, how each came about, and where.

use deadfront_rules::Assessment;
use deadfront_rules::finding::{Arg, Finding, Source, Step};
use deadfront_rules::words::word;

use super::compared::{AMPACITY, Compared, compared};
use super::findings::by_check;
use super::words::check_title;
use crate::paper::{Block, Column, ColumnWidth, Row, Span, Text};

/// How to read the figures.
const FIGURES: &str = "The figures that were compared, so that each can be worked out again: in front what was found, behind the \
                       sign its limit; then how they came about, with the symbols of the appendix, and where. A1, A2 and so on are the ways \
                       in which it follows what a conductor may carry; they stand first. The parts R and \
                       X of the runs stand with the voltage drop, those of each fault current with the fault currents.";

/// How to read what has no figure.
const SEEN: &str = "Here nothing is worked out: what was seen is what the check asks for.";

/// One part for what was compared as figures, one for what was seen.
pub(super) fn meets(assessment: &Assessment) -> Vec<Block> {
    let met: Vec<&Finding> = assessment.met().collect();
    if met.is_empty() {
        return Vec::new();
    }
    let mut blocks = vec![
        Block::heading(1, "What meets"),
        Block::paragraph(
            "Each line names what was looked for and not found, and where: there every fact that the check \
             needs is known, and the requirement is met. Where a check looks at an item several times (each \
             source, each limit), the item stands here only if all of them are met.",
        )
        .kept_with_next(),
    ];
    let (figures, seen): (Vec<&Finding>, Vec<&Finding>) =
        met.into_iter().partition(|finding| pair(finding).is_some());
    if !figures.is_empty() {
        blocks.extend([Block::heading(2, "Figures within their limits"), Block::paragraph(FIGURES)]);
        let mut ways = Ways::default();
        let checks = by_check(&figures).into_iter();
        let told: Vec<Block> = checks.flat_map(|(check, group)| of_check(check, &group, &mut ways)).collect();
        blocks.extend(ways.table());
        blocks.extend(told);
    }
    if !seen.is_empty() {
        blocks.extend([Block::heading(2, "Seen as it should be"), Block::paragraph(SEEN), seen_table(&seen)]);
    }
    blocks
}

/// `7018 A ≤ 10000 A`.
fn pair(finding: &Finding) -> Option<String> {
    let (value, limit) = (finding.value.as_ref()?, finding.limit.as_ref()?);
    Some(match at_least(limit) {
        Some(least) => format!("{value} ≥ {least}"),
        None => format!("{value} ≤ {limit}"),
    })
}

/// The figure of a limit that must be reached.
fn at_least(limit: &Arg) -> Option<&Arg> {
    match limit {
        Arg::Said(said) if said.template == "at least {}" => said.args.first(),
        _ => None,
    }
}

/// The figures of one check: a line for each pair that came about in the same way.
fn of_check(check: &'static str, findings: &[&Finding], ways: &mut Ways) -> [Block; 2] {
    let told = compared(check);
    let mut title = vec![Span::new(check_title(check))];
    if let Some(Compared { found, limit, .. }) = told {
        title.push(Span::new(format!(": {} / {}", word(found), word(limit))));
    }
    let mut lines: Vec<([String; 2], Vec<&str>)> = Vec::new();
    for finding in findings {
        let key = [pair(finding).unwrap_or_default(), how(told, finding, ways)];
        note(&mut lines, key, finding.subject.id.as_str());
    }
    let with_how = lines.iter().any(|([_, how], _)| !how.is_empty());
    let mut columns = vec![Column::text("Compared", ColumnWidth::Auto)];
    if with_how {
        columns.push(Column::text("How", ColumnWidth::Fraction(0.64)));
    }
    columns.push(Column::text("Where", ColumnWidth::Fraction(0.36)));
    let rows = lines.into_iter().map(|([pair, how], items)| {
        let mut cells: Vec<Text> = vec![pair.into()];
        if with_how {
            cells.push(how.into());
        }
        cells.push(items.join(", ").into());
        Row::new(cells)
    });
    [Block::heading(3, Text::from(title)), Block::dense_table(columns, rows.collect())]
}

/// What was seen, a line for each sentence of a check.
fn seen_table(findings: &[&Finding]) -> Block {
    let mut lines: Vec<([String; 2], Vec<&str>)> = Vec::new();
    for (check, group) in by_check(findings) {
        let (title, told) = (check_title(check), compared(check).filter(|told| !told.by_ampacity()));
        let mut own = Vec::new();
        for finding in group {
            let how = how(told, finding, &mut Ways::default());
            let gap = if how.is_empty() { "" } else { "  " };
            note(
                &mut own,
                [title.clone(), format!("{}{gap}{how}", finding.message)],
                finding.subject.id.as_str(),
            );
        }
        lines.extend(own);
    }
    let mut before = String::new();
    let rows = lines.into_iter().map(|([title, seen], items)| {
        let shown = if title == before { String::new() } else { title.clone() };
        before = title;
        Row::new(vec![shown.into(), seen.into(), items.join(", ").into()])
    });
    let columns = vec![
        Column::text("Looked for, and not there", ColumnWidth::Fraction(0.22)),
        Column::text("What was seen", ColumnWidth::Fraction(0.39)),
        Column::text("Where", ColumnWidth::Fraction(0.39)),
    ];
    Block::dense_table(columns, rows.collect())
}

/// Adds an item to the line of its words, once.
fn note<'a>(lines: &mut Vec<([String; 2], Vec<&'a str>)>, key: [String; 2], item: &'a str) {
    match lines.iter_mut().find(|(known, _)| *known == key) {
        Some((_, items)) if items.contains(&item) => {}
        Some((_, items)) => items.push(item),
        None => lines.push((key, vec![item])),
    }
}

/// What conductors may carry, each way in which it came about once, numbered from 1.
#[derive(Default)]
struct Ways(Vec<String>);

impl Ways {
    /// `A3` for these steps.
    fn number(&mut self, steps: String) -> String {
        let at = self.0.iter().position(|known| *known == steps).unwrap_or_else(|| {
            self.0.push(steps);
            self.0.len() - 1
        });
        format!("A{}", at + 1)
    }

    fn table(self) -> Vec<Block> {
        if self.0.is_empty() {
            return Vec::new();
        }
        let columns =
            vec![Column::text("No.", ColumnWidth::Auto), Column::text("How", ColumnWidth::Fraction(1.0))];
        let rows = self.0.into_iter().enumerate();
        let rows =
            rows.map(|(at, steps)| Row::new(vec![Span::bold(format!("A{}", at + 1)).into(), steps.into()]));
        vec![Block::heading(3, "What the conductors may carry"), Block::dense_table(columns, rows.collect())]
    }
}

/// The steps that redo a figure, in the order of the derivation.
fn how(told: Option<Compared>, finding: &Finding, ways: &mut Ways) -> String {
    let Some(told) = told else { return String::new() };
    let steps: Vec<&Step> = finding.derivation.steps().collect();
    let is_last = |at: usize, step: &Step| {
        told.last.contains(&step.symbol)
            && !steps.iter().skip(at + 1).any(|later| later.symbol == step.symbol)
    };
    let chosen = steps.iter().enumerate();
    let chosen = chosen.filter(|(at, step)| told.each.contains(&step.symbol) || is_last(*at, step));
    let (ampacity, own): (Vec<&Step>, Vec<&Step>) =
        chosen.map(|(_, step)| *step).partition(|step| told.by_ampacity() && AMPACITY.contains(&step.symbol));
    let in_words = |steps: &[&Step]| steps.iter().map(|step| in_line(step)).collect::<Vec<_>>().join("; ");
    let mut parts = Vec::new();
    if !ampacity.is_empty() {
        parts.push(ways.number(in_words(&ampacity)));
    }
    // The device itself is the figure that is compared.
    let is_device = |step: &&Step| told.by_ampacity() && matches!(step.source, Source::Surveyed { .. });
    let own: Vec<&Step> = own.into_iter().filter(|step| !is_device(step)).collect();
    if !own.is_empty() {
        parts.push(in_words(&own));
    }
    parts.join("; ")
}

/// A step in the middle of a line.
fn in_line(step: &Step) -> String {
    let value = format!("{} {}", step.value_text(), step.unit());
    let (symbol, value) = (step.symbol, value.trim_end());
    let expression = step.expression.to_string();
    match &step.source {
        _ if !expression.is_empty() => format!("{symbol} = {expression} = {value}"),
        _ if matches!(symbol, "" | "S") => format!("{} {value}", step.label),
        Source::Table(_) | Source::Clause(_) => format!("{symbol} = {value} ({})", step.source.words()),
        _ => format!("{symbol} = {value}"),
    }
}
