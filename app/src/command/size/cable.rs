//! The cable list of a survey for people.

use super::super::text::fact;
use deadfront_rules::say;
use deadfront_rules::words::word;
use std::fmt::Write;

use deadfront_rules::finding::rounded;
use deadfront_rules::si::{Length, foot};
use deadfront_rules::sizing::{CableList, Purchase, Uncounted};
use deadfront_rules::survey::Survey;

/// A length to buy in whole feet, never less than needed.
pub(super) fn feet(length: Length) -> String {
    // The small step back is for the noise of floating point: 33 ft stay 33 ft.
    rounded((length.get::<foot>() - 1e-6).ceil(), 0)
}

/// The list as text.
pub(super) fn text(survey: &Survey, list: &CableList) -> String {
    let mut text = String::new();
    // Writing to a string cannot fail; the results are only there for other writers.
    let _ = write_list(&mut text, survey, list);
    text
}

fn write_list(text: &mut String, survey: &Survey, list: &CableList) -> std::fmt::Result {
    let which = if list.all { word("every run") } else { word("the planned runs") };
    writeln!(text, "{}", say!("Cable for {} of {}", which, &survey.site.name))?;
    if survey.site.invented {
        writeln!(text, "{}", word("An invented example."))?;
    }
    if list.purchases.is_empty() && list.uncounted.is_empty() {
        let hint = if list.all { "" } else { word(" --all lists the runs that exist too.") };
        return writeln!(text, "\n{}", say!("There are none.{}", hint));
    }
    let waste = rounded(list.waste.value, 0);
    writeln!(
        text,
        "{}\n",
        say!(
            "Lengths hold {} % for ends, bends and mistakes (common practice, no source).",
            waste.to_string()
        )
    )?;
    for purchase in &list.purchases {
        writeln!(text, "{}", line(purchase))?;
    }
    let (old, unknown): (Vec<_>, Vec<_>) = list.uncounted.iter().partition(|run| run.why.is_some());
    if !unknown.is_empty() {
        writeln!(text, "\n{}", word("Cannot be counted:"))?;
    }
    for run in unknown {
        writeln!(
            text,
            "  {}",
            say!("{} ({}): not known: {}", &run.name, run.run.to_string(), missing(run).to_string())
        )?;
    }
    write_old(text, &old)
}

/// Runs of methods that nobody lays any more, one line for each method.
fn write_old(text: &mut String, old: &[&Uncounted]) -> std::fmt::Result {
    let mut by_reason: Vec<(String, Vec<&str>)> = Vec::new();
    for run in old {
        let why = run.why.as_ref().map_or(String::new(), ToString::to_string);
        match by_reason.iter_mut().find(|(known, _)| *known == why) {
            Some((_, runs)) => runs.push(run.run.as_str()),
            None => by_reason.push((why, vec![run.run.as_str()])),
        }
    }
    if !by_reason.is_empty() {
        writeln!(text, "\n{}", word("Not in the list:"))?;
    }
    for (why, runs) in by_reason {
        writeln!(text, "  {why}: {}", runs.join(", "))?;
    }
    Ok(())
}

fn line(purchase: &Purchase) -> String {
    let runs: Vec<&str> = purchase.runs.iter().map(|run| run.as_str()).collect();
    let count =
        if runs.len() == 1 { word("1 run").to_owned() } else { say!("{} runs", runs.len()).to_string() };
    let (length, stock) = (feet(purchase.with_waste), purchase.stock.words());
    say!(
        "{} ft  {}  ({}: {})",
        format!("{:>6}", length),
        stock.to_string(),
        count.to_string(),
        (runs.join(", ")).to_string()
    )
    .to_string()
}

fn missing(run: &Uncounted) -> String {
    let facts: Vec<String> = run.missing.iter().map(fact).collect();
    facts.join(", ")
}
