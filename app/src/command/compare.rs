//! `deadfront compare`: what changed between two visits.

use deadfront_rules::say;
use deadfront_rules::words::word;
use std::fmt::Write;
use std::path::PathBuf;

use clap::Args;

use super::{Outcome, print, print_json};
use crate::compare::{Change, Comparison, Told, VerdictChange, compare};
use crate::file;

/// Arguments of `compare`.
#[derive(Debug, Args)]
pub(super) struct Compare {
    /// The older survey, or a PDF that carries it
    old: PathBuf,
    /// The newer one
    new: PathBuf,
    /// Answer in JSON, for machines
    #[arg(long)]
    json: bool,
}

impl Compare {
    /// As when two texts are compared: 0 no difference, 1 differences.
    pub(super) fn run(&self) -> anyhow::Result<Outcome> {
        let (old, new) = (file::open(&self.old)?, file::open(&self.new)?);
        let comparison = compare(&old, &new);
        if self.json {
            print_json(&comparison)?;
        } else {
            print(&told(&comparison))?;
        }
        Ok(if comparison.is_empty() { Outcome::Clear } else { Outcome::Findings })
    }
}

fn told(comparison: &Comparison) -> String {
    let mut text = String::new();
    // Writing to a string cannot fail; the results are only there for other writers.
    let _ = write_told(&mut text, comparison);
    text
}

fn write_told(text: &mut String, comparison: &Comparison) -> std::fmt::Result {
    for (when, side) in [(word("before"), &comparison.before), (word("now"), &comparison.after)] {
        let counts = side.counts;
        writeln!(
            text,
            "{}",
            say!(
                "{}  {}, revision {}: {} DANGER, {} WARNING, {} CAUTION, {} NOTICE, {} cannot be told, {} meet",
                // One under the other: the words are of different lengths.
                format!("{when:<6}"),
                side.house.to_string(),
                side.revision.to_string(),
                counts.danger,
                counts.warning,
                counts.caution,
                counts.notice,
                counts.cannot_tell,
                counts.meets
            )
        )?;
    }
    if comparison.is_empty() {
        return writeln!(text, "\n{}", word("No fact and no verdict has changed."));
    }
    writeln!(text, "\n{}", word("Facts"))?;
    if comparison.facts.is_empty() {
        writeln!(text, "  {}", word("none changed"))?;
    }
    for change in &comparison.facts {
        match &change.change {
            Change::Added => writeln!(text, "  {}", say!("{}: added", change.item().to_string()))?,
            Change::Removed => writeln!(text, "  {}", say!("{}: removed", change.item().to_string()))?,
            Change::Changed { fact, before, after } => {
                writeln!(text, "  {}: {fact}: {before} -> {after}", change.item())?;
            }
        }
    }
    writeln!(text, "\n{}", word("Verdicts"))?;
    if comparison.verdicts.is_empty() {
        writeln!(text, "  {}", word("none changed"))?;
    }
    for change in &comparison.verdicts {
        verdict(text, change)?;
    }
    Ok(())
}

fn verdict(text: &mut String, change: &VerdictChange) -> std::fmt::Result {
    let plate = |told: Option<&Told>| told.map_or(word("not found"), |told| told.plate);
    let (before, after) = (change.before.as_ref(), change.after.as_ref());
    writeln!(
        text,
        "  {} -> {}  {}  [{}]  ({})",
        plate(before),
        plate(after),
        change.name,
        change.item,
        change.check
    )?;
    for (when, told) in [(word("before"), before), (word("now"), after)] {
        let Some(told) = told else { continue };
        let figure = told.figure.as_ref().map_or(String::new(), |figure| format!("  {figure}"));
        writeln!(text, "    {when}: {}{figure}", told.message)?;
    }
    Ok(())
}
