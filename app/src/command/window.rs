//! Opening the window.

use std::path::Path;

use deadfront_rules::survey::Survey;
use deadfront_rules::{Assessment, assess};
use deadfront_ui::{AppWindow, WindowError, survey_view};

use super::{Outcome, print};
use crate::file;

/// Opens the window with the built-in invented house, until surveys can be begun in it.
pub(super) fn open_empty() -> anyhow::Result<Outcome> {
    let survey = file::read_survey(crate::demo::DEMO.as_bytes())?;
    show(&survey, &assess(&survey))?;
    Ok(Outcome::Clear)
}

/// Opens a survey file in the window.
pub(super) fn open_file(path: &Path) -> anyhow::Result<Outcome> {
    let survey = file::open(path)?;
    show(&survey, &assess(&survey))?;
    Ok(Outcome::Clear)
}

/// Shows a survey, or says in one line that there is no display.
pub(super) fn show_or_say_why(survey: &Survey, assessment: &Assessment) -> anyhow::Result<Outcome> {
    match show(survey, assessment) {
        Err(WindowError::NoDisplay(_)) => print("No display here, so the window stays closed.\n")?,
        other => other?,
    }
    Ok(Outcome::Clear)
}

fn show(survey: &Survey, assessment: &Assessment) -> Result<(), WindowError> {
    let window = AppWindow::new()?;
    window.show(&survey_view(survey, assessment));
    window.run()
}
