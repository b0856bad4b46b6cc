//! What falls short, dangers first.

use deadfront_rules::finding::{Finding, Said, Severity};
use deadfront_rules::house::{House, Item};
use deadfront_rules::say;
use deadfront_rules::words::word;

use super::Numbered;
use super::causes::Causes;
use super::isolation::Isolation;
use super::words::{check_title, cited, signal};
use crate::paper::{Block, Column, ColumnWidth, Row, Span, Text};

/// What falls short: one part for each signal word, in it one block for each check.
pub(super) fn falls_short(
    house: &House<'_>,
    numbered: &[Numbered<'_>],
    isolation: &Isolation<'_>,
    causes: &Causes<'_>,
) -> Vec<Block> {
    let told = Told { house, isolation, causes };
    let mut blocks = Vec::new();
    for severity in [Severity::Danger, Severity::Warning, Severity::Caution, Severity::Notice] {
        let part: Vec<Numbered<'_>> =
            numbered.iter().copied().filter(|one| one.finding.severity == severity).collect();
        if part.is_empty() {
            continue;
        }
        let (with_others, own): (Vec<Numbered<'_>>, Vec<Numbered<'_>>) =
            part.into_iter().partition(|one| causes.is_told_before(*one));
        blocks.push(Block::heading(1, heading(severity)));
        let mut sense = vec![Span::new(meaning(severity))];
        if !with_others.is_empty() {
            sense.push(Span::new(" "));
            sense.push(Span::soft(
                "A number that is left out stands at the end of this part, with its cause.",
            ));
        }
        blocks.push(Block::paragraph(sense).kept_with_next());
        for group in own.chunk_by(|a, b| a.finding.check == b.finding.check) {
            blocks.extend(told.block(group));
        }
        blocks.extend(told.with_others(&with_others));
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

/// What the signal word says.
fn meaning(severity: Severity) -> &'static str {
    match severity {
        Severity::Danger => "Each of these will kill, injure or burn if it is not avoided.",
        Severity::Warning => "Each of these can kill, injure or burn.",
        Severity::Caution => "Each of these can injure lightly, or harms the installation.",
        Severity::Notice => "Each of these falls short of advice.",
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
    isolation: &'a Isolation<'a>,
    causes: &'a Causes<'a>,
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
        let rows = group.chunk_by(|a, b| same_wording(*a, *b)).flat_map(|chunk| {
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
        wrong.extend(self.same_cause(one));
        let mut row = Row::new(vec![
            one.number.to_string().into(),
            self.place(finding),
            Text::from(wrong),
            finding.figure_line().unwrap_or_default().into(),
            steps(one),
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

    /// Which other findings the same work mends.
    fn same_cause(&self, one: Numbered<'_>) -> Vec<Span> {
        let others = self.causes.told_with(one);
        if let [first, ..] = others[..] {
            let numbers: Vec<String> = others.iter().map(|other| other.number.to_string()).collect();
            let words = if others.len() == 1 {
                say!(" Same cause: no. {}.", numbers.join(", ")).to_string()
            } else {
                say!(" Same cause: nos. {}.", numbers.join(", ")).to_string()
            };
            return vec![Span::link(words, first.anchor())];
        }
        match self.causes.head(one).filter(|head| head.finding.check != one.finding.check) {
            Some(head) => {
                vec![Span::link(say!(" Same cause as no. {}.", head.number).to_string(), head.anchor())]
            }
            None => Vec::new(),
        }
    }

    /// What other checks say of causes that are told before, a line each: caution and next step stand there.
    fn with_others(&self, findings: &[Numbered<'_>]) -> Vec<Block> {
        if findings.is_empty() {
            return Vec::new();
        }
        let columns = vec![
            Column::text("No.", ColumnWidth::Auto),
            Column::text("Cause", ColumnWidth::Auto),
            Column::text("Where", ColumnWidth::Fraction(0.34)),
            Column::text("What is wrong", ColumnWidth::Fraction(0.66)),
            Column::number("Steps, page", ColumnWidth::Auto),
        ];
        let mut rows = Vec::new();
        let mut above: Option<Numbered<'_>> = None;
        let mut before: Option<&Said> = None;
        for one in findings {
            let Some(head) = self.causes.head(*one) else { continue };
            let mut wrong = match above.filter(|above| same_wording(*above, *one)) {
                Some(above) => as_in(above, one.finding),
                None => {
                    above = Some(*one);
                    let title = Span::bold(format!("{}.  ", check_title(one.finding.check)));
                    vec![title, Span::new(one.finding.message.to_string())]
                }
            };
            let next = &one.finding.next_step;
            if before != Some(next) && head.finding.next_step != *next {
                wrong.push(Span::soft(format!("  {}{next}", word("Next  "))));
            }
            before = Some(next);
            let cause = Span::link(say!("no. {}", head.number).to_string(), head.anchor());
            let number = one.number.to_string().into();
            let mut row =
                Row::new(vec![number, cause.into(), self.place(one.finding), Text::from(wrong), steps(*one)]);
            row.anchor = Some(one.anchor());
            rows.push(row);
        }
        vec![
            Block::heading(2, "The same causes, told by other checks"),
            Block::paragraph(
                "Nothing here is a matter of its own: each tells of a cause that is told above, and whoever mends that sees \
                 to these too. The caution stands with the cause.",
            )
            .kept_with_next(),
            Block::dense_table(columns, rows),
        ]
    }
}

/// Whether two findings of one check are told in the same words but for names and figures.
fn same_wording(a: Numbered<'_>, b: Numbered<'_>) -> bool {
    a.finding.check == b.finding.check && a.finding.message.template == b.finding.message.template
}

/// The page of its derivation.
fn steps(one: Numbered<'_>) -> Text {
    if one.finding.derivation.is_empty() {
        Text::default()
    } else {
        Text::from(Span::page_of(one.derivation_anchor()))
    }
}

/// A sentence is told in full up to so many letters, though another of its wording stands above: what differs
/// would have to be put together by the reader.
const SHORT: usize = 230;

/// A finding of the same wording as another one above it: in full where it is short, else what differs.
fn as_in(model: Numbered<'_>, finding: &Finding) -> Vec<Span> {
    let pairs = finding.message.args.iter().zip(&model.finding.message.args);
    let other: Vec<String> =
        pairs.filter(|(own, model)| own != model).map(|(own, _)| own.to_string()).collect();
    let full = finding.message.to_string();
    let words = if other.is_empty() {
        say!("as no. {}.", model.number).to_string()
    } else if full.chars().count() <= SHORT {
        full
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
