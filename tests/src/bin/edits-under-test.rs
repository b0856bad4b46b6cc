//! Makes edits in a survey file and says what was acknowledged, until it is killed or done.
//!
//! `edits-under-test FILE FOLDER COUNT MILLISECONDS`: FOLDER stands for the platform's data folder, MILLISECONDS is how
//! long after an edit the whole file is written. With `-` for COUNT it makes an edit for each line `edit`
//! that it reads, and tells how things stand at each line `tick`.

use std::io::{BufRead, Write};
use std::path::Path;
use std::process::ExitCode;
use std::time::Duration;

use deadfront::sign::fingerprint;
use deadfront::store::{Pace, Places, Session};
use deadfront_tests::edits;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().collect();
    let [_, file, folder, count, milliseconds] = arguments.as_slice() else {
        say("usage: edits-under-test FILE FOLDER COUNT MILLISECONDS");
        return ExitCode::from(2);
    };
    match run(file, folder, count, milliseconds) {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            say(&format!("refused {why}"));
            ExitCode::from(1)
        }
    }
}

fn run(file: &str, folder: &str, count: &str, milliseconds: &str) -> Result<(), String> {
    let after = Duration::from_millis(milliseconds.parse().map_err(|_| "no number of milliseconds")?);
    let pace = Pace { after, at_most: 4 * after, again: Duration::from_millis(50) };
    let places = Places::below(Path::new(folder));
    let opened = Session::open(Path::new(file), &places, pace).map_err(|error| error.to_string())?;
    let mut session = opened.session;
    let begun = edits::last(session.survey());
    say(&format!("open {begun} {}", fingerprint(session.survey())));
    match count.parse::<usize>() {
        Ok(count) => make_all(&mut session, begun, count)?,
        Err(_) => make_as_told(&mut session, begun)?,
    }
    let closed = session.close().map_err(|given_up| given_up.1.to_string())?;
    say(&format!("closed {closed:?}"));
    Ok(())
}

fn make_all(session: &mut Session, begun: usize, count: usize) -> Result<(), String> {
    for number in begun + 1..=begun + count {
        let safe = edits::make(session, number)?;
        say(&format!("{} {number}", if safe { "safe" } else { "memory" }));
    }
    Ok(())
}

fn make_as_told(session: &mut Session, begun: usize) -> Result<(), String> {
    let mut number = begun;
    for line in std::io::stdin().lock().lines() {
        match line.map_err(|error| error.to_string())?.as_str() {
            "edit" => {
                number += 1;
                let safe = edits::make(session, number)?;
                say(&format!("{} {number}", if safe { "safe" } else { "memory" }));
            }
            _ => {
                session.tick();
                let banner = session.banner().map_or_else(String::new, |banner| banner.text.to_string());
                say(&format!("{:?} {} {banner}", session.kept(), session.is_saved()));
            }
        }
    }
    Ok(())
}

/// A reader that has gone away is no reason to end.
fn say(text: &str) {
    let mut out = std::io::stdout().lock();
    let _ = writeln!(out, "{text}").and_then(|()| out.flush());
}
