//! How long an edit takes until it is safe: with its line in the journal, and with the whole file written each
//! time. Prints figures.
//!
//! `cargo run -p deadfront --example save_times -- FOLDER [WAYS]`: the disk of FOLDER is measured, with the demo house,
//! and with a survey of so many ways when a number is given.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use anyhow::Context;
use deadfront::file;
use deadfront::store::{Pace, Places, Session};
use deadfront_rules::edit;
use deadfront_rules::survey::{Id, Survey};

/// How many edits are measured.
const EDITS: usize = 100;

fn main() -> anyhow::Result<()> {
    let folder = std::env::args().nth(1).map_or_else(std::env::temp_dir, PathBuf::from);
    let folder = tempfile::tempdir_in(&folder).context("the folder cannot be written")?;
    let mut survey = file::read_survey(deadfront::demo::DEMO.as_bytes())?;
    if let Some(ways) = std::env::args().nth(2).and_then(|ways| ways.parse().ok()) {
        grow(&mut survey, ways);
    }
    println!("{} KB of survey", file::to_json(&survey).len() / 1024);
    let path = folder.path().join("house.json");
    file::save(&path, &survey)?;
    journaled(&path, folder.path())?;
    saved_each_time(&path)
}

/// Ways like the first one, until there are so many.
fn grow(survey: &mut Survey, ways: usize) {
    let Some(panel) = survey.panels.first_mut() else { return };
    let Some(way) = panel.ways.first().cloned() else { return };
    for number in panel.ways.len()..ways {
        let id = Id::new(&format!("W{number}")).unwrap_or_else(|| way.id.clone());
        panel.ways.push(deadfront_rules::survey::Way { id, ..way.clone() });
    }
}

fn journaled(path: &Path, folder: &Path) -> anyhow::Result<()> {
    let opened = Session::open(path, &Places::below(folder), Pace::default())?;
    let mut session = opened.session;
    let mut times = Vec::new();
    for number in 0..EDITS {
        let way = session.survey().panels[0].ways[number % 20].id.clone();
        let edit = edit::set(session.survey(), &way, "label", &format!("edit {number}"))
            .map_err(|refused| anyhow::anyhow!("{refused}"))?;
        let begun = Instant::now();
        session.edit(edit).map_err(|refused| anyhow::anyhow!("{refused}"))?;
        times.push(begun.elapsed());
    }
    tell("edit, with its line in the journal", times);
    let begun = Instant::now();
    session.close().map_err(|given_up| anyhow::anyhow!("{}", given_up.1))?;
    println!("end of the session: {:?}", begun.elapsed());
    Ok(())
}

fn saved_each_time(path: &Path) -> anyhow::Result<()> {
    let survey = file::open(path)?;
    let mut times = Vec::new();
    for _ in 0..EDITS {
        let begun = Instant::now();
        file::save(path, &survey)?;
        times.push(begun.elapsed());
    }
    tell("whole file", times);
    Ok(())
}

fn tell(what: &str, mut times: Vec<Duration>) {
    times.sort();
    let at = |share: usize| times[(times.len() * share / 100).min(times.len() - 1)];
    println!("{what}: median {:?}, 95 of 100 within {:?}, longest {:?}", at(50), at(95), at(100));
}
