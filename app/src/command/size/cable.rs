//! The cable list of a survey for people.

use std::fmt::Write;

use deadfront_rules::finding::{Missing, rounded};
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
    let which = if list.all { "every run" } else { "the planned runs" };
    writeln!(text, "Cable for {which} of {}", survey.site.name)?;
    if survey.site.invented {
        writeln!(text, "An invented example.")?;
    }
    if list.purchases.is_empty() && list.uncounted.is_empty() {
        let hint = if list.all { "" } else { " --all lists the runs that exist too." };
        return writeln!(text, "\nThere are none.{hint}");
    }
    let waste = rounded(list.waste.value, 0);
    writeln!(text, "Lengths hold {waste} % for ends, bends and mistakes (common practice, no source).\n")?;
    for purchase in &list.purchases {
        writeln!(text, "{}", line(purchase))?;
    }
    let (old, unknown): (Vec<_>, Vec<_>) = list.uncounted.iter().partition(|run| run.why.is_some());
    if !unknown.is_empty() {
        writeln!(text, "\nCannot be counted:")?;
    }
    for run in unknown {
        writeln!(text, "  {} ({}): not known: {}", run.name, run.run, missing(run))?;
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
        writeln!(text, "\nNot in the list:")?;
    }
    for (why, runs) in by_reason {
        writeln!(text, "  {why}: {}", runs.join(", "))?;
    }
    Ok(())
}

fn line(purchase: &Purchase) -> String {
    let runs: Vec<&str> = purchase.runs.iter().map(|run| run.as_str()).collect();
    let count = if runs.len() == 1 { "1 run".to_owned() } else { format!("{} runs", runs.len()) };
    let (length, stock) = (feet(purchase.with_waste), purchase.stock.words());
    format!("{length:>6} ft  {stock}  ({count}: {})", runs.join(", "))
}

fn missing(run: &Uncounted) -> String {
    let facts: Vec<String> = run.missing.iter().map(fact).collect();
    facts.join(", ")
}

fn fact(missing: &Missing) -> String {
    let seen = if missing.cannot_be_seen { " (cannot be seen)" } else { "" };
    format!("{}{seen}", missing.fact.replace(['_', '.'], " "))
}
