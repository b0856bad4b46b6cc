//! The answer of `check` for people.

use deadfront_rules::say;
use deadfront_rules::words::word;
use std::fmt::Write;

use deadfront_rules::Assessment;
use deadfront_rules::assess::TieIn;
use deadfront_rules::finding::{Finding, Missing, Step, Verdict};
use deadfront_rules::survey::Survey;

/// The answer about a survey: counts, then each finding, then what to look at next.
pub(super) fn answer(survey: &Survey, assessment: &Assessment, all: bool, derivations: bool) -> String {
    let mut text = String::new();
    // Writing to a string cannot fail; the results are only there for other writers.
    let _ = head(&mut text, survey, assessment);
    for finding in assessment.findings.iter().filter(|finding| all || finding.is_open()) {
        let _ = one(&mut text, finding, derivations);
    }
    let _ = next(&mut text, assessment);
    text
}

/// The first lines of every answer about a house: its name, and whether it is an invented one.
pub(super) fn house_name(text: &mut String, survey: &Survey) -> std::fmt::Result {
    writeln!(text, "{}", survey.site.name)?;
    if survey.site.invented {
        writeln!(text, "{}", word("An invented example."))?;
    }
    Ok(())
}

fn head(text: &mut String, survey: &Survey, assessment: &Assessment) -> std::fmt::Result {
    let counts = assessment.counts;
    house_name(text, survey)?;
    let answer = TieIn::of(survey, assessment);
    writeln!(text, "{} {}", answer.words(), answer.why())?;
    writeln!(
        text,
        "{}\n",
        say!(
            "{} DANGER, {} WARNING, {} CAUTION, {} NOTICE, {} cannot be told, {} meet",
            counts.danger,
            counts.warning,
            counts.caution,
            counts.notice,
            counts.cannot_tell,
            counts.meets
        )
    )
}

fn one(text: &mut String, finding: &Finding, derivations: bool) -> std::fmt::Result {
    let plate = match finding.verdict {
        Verdict::FallsShort => finding.severity.signal_word(),
        Verdict::CannotTell { .. } => word("CANNOT TELL"),
        Verdict::Meets => word("meets"),
        Verdict::NotApplicable { .. } => word("does not apply"),
    };
    let subject = &finding.subject;
    writeln!(text, "{plate}  {}  [{}]", subject.name, subject.id)?;
    writeln!(text, "  {}  ({})", finding.message, finding.check)?;
    match &finding.verdict {
        Verdict::FallsShort => {
            if let Some(line) = finding.figure_line() {
                writeln!(text, "  {line}")?;
            }
            writeln!(text, "  {}", say!("Caution: {}", finding.caution.to_string()))?;
            writeln!(text, "  {}", say!("Next: {}", finding.next_step.to_string()))?;
            writeln!(text, "  {} {}", cited(finding), finding.binding.sentence())?;
        }
        Verdict::CannotTell { missing } => {
            writeln!(text, "  {}", say!("Missing: {}", listed(missing).to_string()))?
        }
        Verdict::NotApplicable { why } => writeln!(text, "  {why}")?,
        Verdict::Meets => {
            if let Some(line) = finding.figure_line() {
                writeln!(text, "  {line}")?;
            }
        }
    }
    if derivations {
        for step in finding.derivation.steps() {
            writeln!(text, "    {}", in_one_line(step))?;
        }
    }
    writeln!(text)
}

fn cited(finding: &Finding) -> String {
    let clauses: Vec<String> =
        finding.citations.iter().map(|c| format!("{} {}", c.standard, c.clause)).collect();
    if clauses.is_empty() { word("Common practice.").to_owned() } else { format!("{}.", clauses.join(", ")) }
}

/// Missing facts as `P1.07 device rating, R104 length (cannot be seen)`.
fn listed(missing: &[Missing]) -> String {
    let facts: Vec<String> = missing.iter().map(of).collect();
    facts.join(", ")
}

fn of(missing: &Missing) -> String {
    format!("{} {}", missing.item, fact(missing))
}

/// A missing fact without its item.
pub(super) fn fact(missing: &Missing) -> String {
    let seen = if missing.cannot_be_seen { word(" (cannot be seen)") } else { "" };
    format!("{}{seen}", missing.fact_in_words())
}

/// A line with the first few missing facts, and how many more there are; nothing where none is missing.
pub(super) fn missing_line(text: &mut String, missing: &[Missing]) -> std::fmt::Result {
    const SHOWN: usize = 8;
    if missing.is_empty() {
        return Ok(());
    }
    let facts = listed(&missing[..missing.len().min(SHOWN)]);
    let told = match missing.len().saturating_sub(SHOWN) {
        0 => say!("missing: {}", facts),
        more => say!("missing: {}, and {} more", facts, more),
    };
    writeln!(text, "      {told}")
}

pub(super) fn in_one_line(step: &Step) -> String {
    let symbol = if step.symbol.is_empty() { String::new() } else { format!("{} ", step.symbol) };
    let expression = step.expression.to_string();
    let expression = if expression.is_empty() { String::new() } else { format!(" = {expression}") };
    let unit = if step.unit().is_empty() { String::new() } else { format!(" {}", step.unit()) };
    format!("{symbol}({}){expression} = {}{unit}  [{}]", step.label, step.value_text(), step.source.words())
}

/// The facts that most findings wait for.
fn next(text: &mut String, assessment: &Assessment) -> std::fmt::Result {
    const SHOWN: usize = 10;
    let missing = assessment.missing();
    if missing.is_empty() {
        return Ok(());
    }
    writeln!(text, "{}", say!("Look at next ({} facts are missing):", missing.len()))?;
    for (missing, waiting) in missing.iter().take(SHOWN) {
        writeln!(text, "  {}", say!("{} — {} waiting", of(missing).to_string(), waiting.to_string()))?;
    }
    Ok(())
}
