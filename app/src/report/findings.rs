//! What falls short, dangers first.

use deadfront_rules::finding::{Finding, Severity};
use deadfront_rules::house::{House, Item};
use deadfront_rules::say;
use deadfront_rules::survey::Id;

use super::Numbered;
use super::isolation::Isolation;
use super::words::{check_title, cited, signal};
use crate::paper::{Block, Column, ColumnWidth, Row, Span, Text};

/// What falls short: one part for each signal word, in it one block for each check.
pub(super) fn falls_short(
    house: &House<'_>,
    numbered: &[Numbered<'_>],
    isolation: &Isolation<'_>,
) -> Vec<Block> {
    let told = Told { house, numbered, isolation };
    let mut blocks = Vec::new();
    for severity in [Severity::Danger, Severity::Warning, Severity::Caution, Severity::Notice] {
        let part: Vec<Numbered<'_>> =
            numbered.iter().copied().filter(|one| one.finding.severity == severity).collect();
        if part.is_empty() {
            continue;
        }
        blocks.push(Block::heading(1, heading(severity)));
        for group in part.chunk_by(|a, b| a.finding.check == b.finding.check) {
            blocks.extend(told.block(group));
        }
    }
    if numbered.is_empty() {
        blocks.push(Block::heading(1, "What falls short"));
        blocks.push(Block::paragraph(
            "No check found anything that falls short. What could not be told is listed next; it counts as \
             open until it is known.",
        ));
    }
    blocks
}

fn heading(severity: Severity) -> &'static str {
    match severity {
        Severity::Danger => "Dangers",
        Severity::Warning => "Warnings",
        Severity::Caution => "Cautions",
        Severity::Notice => "Notices",
    }
}

/// Findings that can share one caution and one next step.
fn same_words(a: &Finding, b: &Finding) -> bool {
    a.caution == b.caution && a.next_step == b.next_step && same_clauses(a, b)
}

fn same_clauses(a: &Finding, b: &Finding) -> bool {
    cited(a) == cited(b) && a.binding == b.binding
}

/// Rows of one wording from which on the wording is told once.
const MANY: usize = 3;

/// What the blocks look things up in.
struct Told<'a> {
    house: &'a House<'a>,
    numbered: &'a [Numbered<'a>],
    isolation: &'a Isolation<'a>,
}

impl Told<'_> {
    /// All findings of one check: what differs between them in caution or next step stands with its own places.
    fn block(&self, group: &[Numbered<'_>]) -> Option<Block> {
        let first = group.first()?.finding;
        let line = |word: &'static str, text: String| {
            Block::paragraph([Span::bold(word), Span::new(text)]).kept_with_next()
        };
        let clauses = |of: &Finding| {
            let told = [Span::soft(format!("{}. ", cited(of))), Span::soft(of.binding.sentence())];
            Block::paragraph(told).kept_with_next()
        };
        let mut inside = Vec::new();
        let mut before: Option<&Finding> = None;
        for part in group.chunk_by(|a, b| same_words(a.finding, b.finding)) {
            let own = part.first()?.finding;
            if before.is_none_or(|before| before.caution != own.caution) {
                inside.push(line("Caution  ", own.caution.to_string()));
            }
            inside.push(line("Next  ", own.next_step.to_string()));
            if before.is_none_or(|before| !same_clauses(before, own)) {
                inside.push(clauses(own));
            }
            inside.push(self.places(part));
            before = Some(own);
        }
        Some(Block::signal(signal(first.severity), check_title(first.check), inside))
    }

    fn places(&self, group: &[Numbered<'_>]) -> Block {
        let columns = vec![
            Column::text("No.", ColumnWidth::Auto),
            Column::text("Where", ColumnWidth::Fraction(0.36)),
            Column::text("What is wrong", ColumnWidth::Fraction(0.64)),
            Column::text("Figure", ColumnWidth::Auto),
            Column::number("Steps, page", ColumnWidth::Auto),
        ];
        let alike =
            |a: &Numbered<'_>, b: &Numbered<'_>| a.finding.message.template == b.finding.message.template;
        let rows = group.chunk_by(alike).flat_map(|chunk| {
            let short = chunk.len() >= MANY;
            chunk.iter().enumerate().map(move |(at, one)| {
                let model = if short && at > 0 { chunk.first() } else { None };
                self.row(*one, model.copied())
            })
        });
        Block::table(columns, rows.collect())
    }

    /// A finding; where `model` is one of the same wording, only what differs from that.
    fn row(&self, one: Numbered<'_>, model: Option<Numbered<'_>>) -> Row {
        let finding = one.finding;
        let steps = if finding.derivation.is_empty() {
            Text::default()
        } else {
            Text::from(Span::page_of(one.derivation_anchor()))
        };
        let mut wrong = match model {
            Some(model) => as_in(model, finding),
            None => vec![Span::new(finding.message.to_string())],
        };
        if let Some(way) = self.isolation.way_of(finding) {
            wrong.extend([
                Span::link(" The way is drawn on page ", way.clone()),
                Span::page_of(way),
                Span::new("."),
            ]);
        }
        if let Some(cause) = self.cause(one) {
            let words = say!(" Same cause as no. {}.", cause.number).to_string();
            wrong.push(Span::link(words, cause.anchor()));
        }
        let mut row = Row::new(vec![
            one.number.to_string().into(),
            self.place(finding),
            Text::from(wrong),
            finding.figure_line().unwrap_or_default().into(),
            steps,
        ]);
        row.anchor = Some(one.anchor());
        row
    }

    /// Where it is: the name and the id; a way by its id and what is written beside it.
    fn place(&self, finding: &Finding) -> Text {
        let id = &finding.subject.id;
        let label = match self.house.index.get(id) {
            Some(Item::Way(panel, way)) => self.house.survey.panels[panel].ways[way].label.trim(),
            _ => "",
        };
        let name = if label.is_empty() { finding.subject.name.to_string() } else { label.to_owned() };
        Text::from([Span::new(name), Span::soft(format!("  {id}"))])
    }

    /// The first finding that tells of the same cause at another item or by another check, if there is one
    /// before this.
    fn cause(&self, one: Numbered<'_>) -> Option<Numbered<'_>> {
        let before = self.numbered.iter().take_while(|other| other.number < one.number);
        let mut before = before.filter(|other| {
            other.finding.check != one.finding.check || other.finding.subject.id != one.finding.subject.id
        });
        before.find(|other| self.same_cause(other.finding, one.finding)).copied()
    }

    fn same_cause(&self, a: &Finding, b: &Finding) -> bool {
        let pair = |one: &str, two: &str| {
            (a.check == one && b.check == two)
                .then_some((a, b))
                .or_else(|| (a.check == two && b.check == one).then_some((b, a)))
        };
        // A device too large for its wire, told at the wire and at the fuse.
        if let Some((wire, fuse)) = pair("device_larger_than_conductor", "fuse_larger_than_wire") {
            return self.begins_at(&wire.subject.id, &fuse.subject.id);
        }
        // A tap without a device of its own is too small for the device ahead of what it is tapped from.
        if let Some((wire, tap)) = pair("device_larger_than_conductor", "run_unprotected") {
            return wire.subject.id == tap.subject.id;
        }
        // A circuit whose ground ends at a feeder that has none.
        let ground = "equipment_ground_missing_or_small";
        let led = [ground, "fault_current_too_low_to_trip"];
        a.check == ground && led.contains(&b.check) && names(b, &a.subject.id)
    }

    /// Whether a run begins at a way, or goes on from one that does.
    fn begins_at(&self, run: &Id, way: &Id) -> bool {
        let Some(number) = self.house.run_number(run) else { return false };
        let own = &self.house.survey.runs[number];
        own.from == *way || self.house.runs_back_from(number).any(|back| back.from == *way)
    }
}

/// Whether the message of a finding names an item besides its own.
fn names(finding: &Finding, id: &Id) -> bool {
    let ends = format!("({id})");
    finding.message.args.iter().any(|arg| arg.to_string().ends_with(&ends))
}

/// What differs from a finding of the same wording.
fn as_in(model: Numbered<'_>, finding: &Finding) -> Vec<Span> {
    let pairs = finding.message.args.iter().zip(&model.finding.message.args);
    let other: Vec<String> =
        pairs.filter(|(own, model)| own != model).map(|(own, _)| own.to_string()).collect();
    let words = if other.is_empty() {
        say!("as no. {}.", model.number).to_string()
    } else {
        say!("as no. {}, with: {}.", model.number, other.join("; ")).to_string()
    };
    vec![Span::new(words)]
}

/// Findings by check, in the registry's order.
pub(super) fn by_check<'a>(findings: &[&'a Finding]) -> Vec<(&'static str, Vec<&'a Finding>)> {
    let mut groups: Vec<(&'static str, Vec<&Finding>)> = Vec::new();
    for finding in findings {
        match groups.iter_mut().find(|(check, _)| *check == finding.check) {
            Some((_, group)) => group.push(finding),
            None => groups.push((finding.check, vec![finding])),
        }
    }
    groups
}
