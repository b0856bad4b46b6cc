//! `deadfront import`: a panel schedule from a spreadsheet, into a new survey file.

use deadfront_rules::say;
use std::path::PathBuf;

use anyhow::{Context, bail};
use clap::Args;

use super::{Outcome, print};
use crate::compare::compare;
use crate::{file, sheet, sign};

/// Arguments of `import`.
#[derive(Debug, Args)]
pub(super) struct Import {
    /// The survey file; it is not changed
    file: PathBuf,
    /// The panel schedule, as `handout` writes it: panels.csv
    #[arg(long, value_name = "CSV")]
    panels: PathBuf,
    /// The new survey file; it must not exist yet
    #[arg(long, value_name = "NEW")]
    out: PathBuf,
}

impl Import {
    pub(super) fn run(&self) -> anyhow::Result<Outcome> {
        if self.out.exists() {
            bail!("{} exists already; name a new file", self.out.display());
        }
        let survey = file::open(&self.file)?;
        sign::may_edit(&survey)?;
        let table = file::read_file(&self.panels)?;
        let new = sheet::import_panels(&survey, &table).with_context(|| {
            say!("nothing was taken from {}", self.panels.display().to_string()).to_string()
        })?;
        file::save(&self.out, &new)?;
        let changes = compare(&survey, &new).facts.len();
        print(
            &say!(
                "Written: {}; {} facts differ from {}\n",
                self.out.display().to_string(),
                changes.to_string(),
                self.file.display().to_string()
            )
            .to_string(),
        )?;
        Ok(Outcome::Clear)
    }
}
