//! `deadfront check`: what the checks say of a survey.

use std::path::PathBuf;

use clap::Args;
use deadfront_rules::assess;

use super::{Outcome, json, print, print_json, text};
use crate::file;

/// Arguments of `check`.
#[derive(Debug, Args)]
pub(super) struct Check {
    /// The survey file
    file: PathBuf,
    /// Answer in JSON, for machines
    #[arg(long)]
    json: bool,
    /// Tell also what meets and what does not apply
    #[arg(long)]
    all: bool,
    /// Show how each figure came about
    #[arg(long)]
    derivations: bool,
}

impl Check {
    pub(super) fn run(&self) -> anyhow::Result<Outcome> {
        let survey = file::open(&self.file)?;
        let assessment = assess(&survey);
        if self.json {
            print_json(&json::answer(&survey, &assessment, self.all))?;
        } else {
            print(&text::answer(&survey, &assessment, self.all, self.derivations))?;
        }
        Ok(if assessment.counts.open() == 0 { Outcome::Clear } else { Outcome::Findings })
    }
}
