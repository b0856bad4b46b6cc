//! `deadfront handout`: everything that is handed out, as one folder or one archive.

use deadfront_rules::say;
use std::path::{Path, PathBuf};

use anyhow::{Context, bail};
use chrono::{DateTime, FixedOffset, Local};
use clap::Args;

use super::{Outcome, PaperSize, print};
use crate::{file, handout};

/// Arguments of `handout`.
#[derive(Debug, Args)]
pub(super) struct Handout {
    /// The survey file
    file: PathBuf,
    /// Where to: a folder, or an archive when the name ends in .zip
    #[arg(long, value_name = "DIR|ARCHIVE.zip")]
    out: PathBuf,
    /// Paper of the PDF
    #[arg(long, value_enum, default_value = "letter")]
    paper: PaperSize,
    /// Time of making, as 2026-11-25T10:00:00-05:00; the same time gives the same bytes
    #[arg(long, value_name = "TIME")]
    time: Option<DateTime<FixedOffset>>,
}

impl Handout {
    /// A photo that is not to be had is no small thing: it ends with 1.
    pub(super) fn run(&self) -> anyhow::Result<Outcome> {
        let survey = file::open(&self.file)?;
        let made = self.time.unwrap_or_else(|| Local::now().fixed_offset());
        let photos = file::photo_folder(&self.file);
        let gathered = handout::gather(&survey, &photos, self.paper.sheet(), made)?;
        if is_archive(&self.out) {
            if let Some(why) = file::spared_from_archive(&self.out) {
                bail!("{why}");
            }
            handout::to_archive(&gathered, &self.out).with_context(|| {
                say!("the archive cannot be written to {}", self.out.display().to_string()).to_string()
            })?;
        } else {
            handout::to_folder(&gathered, &self.out)
                .map_err(|(path, error)| anyhow::anyhow!("{} cannot be written: {error}", path.display()))?;
        }
        for warning in &gathered.warnings {
            print(&say!("note: {}\n", warning.to_string()).to_string())?;
        }
        for missing in &gathered.missing_photos {
            print(&say!("missing: {}\n", missing.to_string()).to_string())?;
        }
        print(
            &say!("Written: {} with {} files\n", self.out.display().to_string(), gathered.parts.len())
                .to_string(),
        )?;
        Ok(if gathered.missing_photos.is_empty() { Outcome::Clear } else { Outcome::Findings })
    }
}

fn is_archive(path: &Path) -> bool {
    path.extension().is_some_and(|end| end.eq_ignore_ascii_case("zip"))
}
