//! `deadfront verify`: whether survey and PDF are what was signed, and belong together.

use deadfront_rules::say;
use deadfront_rules::words::word;
use std::path::PathBuf;

use anyhow::bail;
use clap::Args;

use super::{Outcome, print, print_json};
use crate::file::read_file;
use crate::sign::{Mark, Standing, VerifyError, is_pdf, verify, verify_both, verify_pdf};

/// Arguments of `verify`.
#[derive(Debug, Args)]
pub(super) struct Verify {
    /// A survey, a PDF, or both
    #[arg(required = true, num_args = 1..=2, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// Answer in JSON, for machines
    #[arg(long)]
    json: bool,
}

impl Verify {
    pub(super) fn run(&self) -> anyhow::Result<Outcome> {
        let standing = self.standing()?;
        if self.json {
            print_json(&standing)?;
        } else {
            print(&told(&standing))?;
        }
        Ok(if standing.mark() == Mark::Holds { Outcome::Clear } else { Outcome::Findings })
    }

    fn standing(&self) -> anyhow::Result<Standing> {
        let mut surveys = Vec::new();
        let mut pdfs = Vec::new();
        for path in &self.files {
            let bytes = read_file(path)?;
            let list = if is_pdf(&bytes) { &mut pdfs } else { &mut surveys };
            list.push((path, bytes));
        }
        Ok(match (surveys.as_slice(), pdfs.as_slice()) {
            ([(path, survey)], []) => verify(survey).map_err(|error| in_file(&error.into(), path))?,
            ([], [(path, pdf)]) => verify_pdf(pdf).map_err(|error| in_file(&error, path))?,
            ([(_, survey)], [(path, pdf)]) => {
                verify_both(survey, pdf).map_err(|error| in_file(&error, path))?
            }
            _ => bail!(
                "give one survey, one PDF, or one of each; to compare two surveys use `deadfront compare`"
            ),
        })
    }
}

fn in_file(error: &VerifyError, path: &std::path::Path) -> anyhow::Error {
    anyhow::anyhow!("{}: {error}", path.display())
}

fn told(standing: &Standing) -> String {
    let mut text = say!(
        "{}, revision {}\nfingerprint {}\n\n",
        standing.house.to_string(),
        standing.revision.to_string(),
        standing.fingerprint.to_string()
    )
    .to_string();
    for remark in &standing.remarks {
        let mark = match remark.mark {
            Mark::Holds => word("holds"),
            Mark::Open => word("OPEN"),
            Mark::Broken => word("CHANGED"),
        };
        text.push_str(&format!("{mark:<8} {}\n", remark.text));
    }
    let whole = match standing.mark() {
        Mark::Holds => "Everything is as it was signed.",
        Mark::Open => "Nothing was found changed, but not everything is signed.",
        Mark::Broken => "Do not rely on this: something was changed. Fetch it again from the one who signed.",
    };
    text.push_str(&format!("\n{}\n", word(whole)));
    text
}
