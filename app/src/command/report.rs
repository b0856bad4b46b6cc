//! `deadfront report`: the PDF of a survey.

use deadfront_rules::say;
use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, bail};
use chrono::{DateTime, FixedOffset, Local};
use clap::Args;
use deadfront_rules::survey::Survey;
use deadfront_rules::{Assessment, assess};

use super::{Outcome, PaperSize, print};
use crate::report::{self, Pictures};
use crate::{file, photo};

/// Arguments of `report`.
#[derive(Debug, Args)]
pub(super) struct Report {
    /// The survey file
    file: PathBuf,
    /// The PDF to write
    #[arg(long, value_name = "OUT")]
    pdf: PathBuf,
    /// Paper
    #[arg(long, value_enum, default_value = "letter")]
    paper: PaperSize,
    /// Time of making, as 2026-11-25T10:00:00-05:00; the same time gives the same bytes
    #[arg(long, value_name = "TIME")]
    time: Option<DateTime<FixedOffset>>,
}

impl Report {
    pub(super) fn run(&self) -> anyhow::Result<Outcome> {
        let survey = file::open(&self.file)?;
        let assessment = assess(&survey);
        let made = self.time.unwrap_or_else(now);
        let pictures = photo::pictures(&survey, &file::photo_folder(&self.file));
        write(&survey, &assessment, &pictures, &self.pdf, self.paper, made)?;
        Ok(if assessment.counts.open() == 0 { Outcome::Clear } else { Outcome::Findings })
    }
}

fn now() -> DateTime<FixedOffset> {
    Local::now().fixed_offset()
}

/// Writes the PDF of a survey as of now.
pub(super) fn write_pdf(
    survey: &Survey,
    assessment: &Assessment,
    pictures: &Pictures,
    to: &Path,
    paper: PaperSize,
) -> anyhow::Result<()> {
    write(survey, assessment, pictures, to, paper, now())
}

fn write(
    survey: &Survey,
    assessment: &Assessment,
    pictures: &Pictures,
    to: &Path,
    paper: PaperSize,
    made: DateTime<FixedOffset>,
) -> anyhow::Result<()> {
    if let Some(why) = file::spared_from_pdf(to, survey) {
        bail!("{why}");
    }
    let written = report::Report { survey, assessment, made, sheet: paper.sheet(), pictures }.pdf()?;
    for warning in &written.warnings {
        print(&say!("note: {}\n", warning.to_string()).to_string())?;
    }
    fs::write(to, &written.bytes)
        .with_context(|| say!("the PDF cannot be written to {}", to.display().to_string()).to_string())
}
