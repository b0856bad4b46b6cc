//! `deadfront demo`: the built-in invented house, checked, written out and opened.

use deadfront_rules::say;
use std::fs;
use std::path::PathBuf;

use anyhow::Context;
use clap::Args;
use deadfront_rules::assess;

use super::report::write_pdf;
use super::{Outcome, PaperSize, print, text, window};
use crate::{demo, file, photo};

/// Arguments of `demo`.
#[derive(Debug, Args)]
pub(super) struct Demo {
    /// Folder for demo-survey.json and demo-survey.pdf
    #[arg(long, value_name = "DIR", default_value = ".")]
    out: PathBuf,
    /// Keep the window closed
    #[arg(long)]
    no_window: bool,
    /// Paper of the PDF
    #[arg(long, value_enum, default_value = "letter")]
    paper: PaperSize,
}

impl Demo {
    /// Findings are the point of the demo: they are no failure.
    pub(super) fn run(&self) -> anyhow::Result<Outcome> {
        let survey = file::read_survey(demo::DEMO.as_bytes())?;
        let assessment = assess(&survey);
        print(&text::answer(&survey, &assessment, false, false))?;
        fs::create_dir_all(&self.out)
            .with_context(|| say!("cannot make the folder {}", self.out.display().to_string()).to_string())?;
        let survey_file = self.out.join("demo-survey.json");
        file::save(&survey_file, &survey)?;
        let pdf_file = self.out.join("demo-survey.pdf");
        let pictures = photo::pictures(&survey, &file::photo_folder(&survey_file));
        write_pdf(&survey, &assessment, &pictures, &pdf_file, self.paper)?;
        print(
            &say!(
                "\nWritten: {} and {}\n",
                survey_file.display().to_string(),
                pdf_file.display().to_string()
            )
            .to_string(),
        )?;
        if self.no_window { Ok(Outcome::Clear) } else { window::demo_or_say_why() }
    }
}
