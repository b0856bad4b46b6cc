//! `deadfront explain`: what a check looks for, why, with an example, limits and references.

use anyhow::bail;
use clap::Args;
use deadfront_rules::checks::{CheckInfo, named, registry};

use deadfront_rules::say;
use deadfront_rules::words::{self, word};

use super::{Outcome, print, print_json};

/// Arguments of `explain`.
#[derive(Debug, Args)]
pub(super) struct Explain {
    /// Name of a check, such as fuse_larger_than_wire
    check: Option<String>,
    /// Answer in JSON, for machines
    #[arg(long)]
    json: bool,
}

impl Explain {
    pub(super) fn run(&self) -> anyhow::Result<Outcome> {
        match &self.check {
            None => self.list(),
            Some(name) => match named(name) {
                Some(check) if self.json => print_json(check),
                Some(check) => {
                    print(&one(check))?;
                    Ok(Outcome::Clear)
                }
                None => bail!("there is no check \"{name}\"; `deadfront explain` lists them all"),
            },
        }
    }

    fn list(&self) -> anyhow::Result<Outcome> {
        if self.json {
            return print_json(&registry().collect::<Vec<_>>());
        }
        let mut text = String::new();
        let mut folder = "";
        for check in registry() {
            if check.folder.words() != folder {
                folder = check.folder.words();
                text.push_str(&format!("\n{folder}\n"));
            }
            text.push_str(&format!("  {:<10}{}\n", check.severity.signal_word(), check.name));
        }
        print(text.trim_start())?;
        Ok(Outcome::Clear)
    }
}

fn one(check: &'static CheckInfo) -> String {
    let clauses: Vec<String> =
        check.citations.iter().map(|c| format!("{} {}", c.standard, c.clause)).collect();
    let clauses = if clauses.is_empty() {
        word("common practice, no published source").to_owned()
    } else {
        clauses.join(", ")
    };
    let usual = say!("{} ({}, usually {})", check.name, check.folder.words(), check.severity.signal_word());
    let parts = [
        format!("{usual}\n{clauses}\n"),
        unindented(words::explanation(check)),
        format!("# {}\n{}\n", word("Caution"), word(check.caution)),
        format!("# {}\n{}\n", word("What to do"), word(check.next_step)),
        format!("{}\n", check.binding.sentence()),
    ];
    parts.join("\n")
}

/// Doc comments carry one space behind their slashes.
fn unindented(text: &str) -> String {
    text.lines().map(|line| format!("{}\n", line.strip_prefix(' ').unwrap_or(line))).collect()
}
