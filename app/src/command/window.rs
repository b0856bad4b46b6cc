//! Opening the window.

use std::path::Path;

use deadfront_ui::WindowError;

use super::{Outcome, print};
use crate::store::Places;
use crate::visit::{Begin, visit};

/// Opens the window with the survey that was opened last, or with the list of surveys.
pub(super) fn open_last() -> anyhow::Result<Outcome> {
    show(&Begin::Last)
}

/// Opens a survey file in the window.
pub(super) fn open_file(path: &Path) -> anyhow::Result<Outcome> {
    show(&Begin::File(path))
}

/// Opens the built-in house, or says in one line that there is no display.
pub(super) fn demo_or_say_why() -> anyhow::Result<Outcome> {
    match show(&Begin::Demo) {
        Err(error) if matches!(error.downcast_ref(), Some(WindowError::NoDisplay(_))) => {
            print("No display here, so the window stays closed.\n")?;
            Ok(Outcome::Clear)
        }
        other => other,
    }
}

fn show(begin: &Begin<'_>) -> anyhow::Result<Outcome> {
    let places = Places::of_this_computer().ok_or_else(|| {
        anyhow::anyhow!("no home folder is known here, so no place for surveys; set HOME and start again")
    })?;
    visit(begin, places)?;
    Ok(Outcome::Clear)
}
