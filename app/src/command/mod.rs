//! The command line. With no arguments the window opens; the rest is for people and scripts.
//!
//! Exit code 0: nothing wrong. 1: findings. 2: bad input. The answer goes to standard output,
//! what went wrong to standard error.

mod capacity;
mod check;
mod compare;
mod complaint;
mod demo;
mod explain;
mod handout;
mod help;
mod import;
mod isolate;
mod json;
mod report;
mod size;
mod text;
mod verify;
mod window;

use std::ffi::OsString;
use std::path::PathBuf;
use std::process::ExitCode;

use clap::{CommandFactory as _, FromArgMatches as _, Parser, Subcommand, ValueEnum};
use deadfront_rules::words::{self, Language};

/// How a command ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// Nothing wrong.
    Clear,
    /// Something falls short or cannot be told.
    Findings,
    /// The input could not be used.
    BadInput,
}

impl From<Outcome> for ExitCode {
    fn from(outcome: Outcome) -> Self {
        match outcome {
            Outcome::Clear => Self::SUCCESS,
            Outcome::Findings => Self::from(1),
            Outcome::BadInput => Self::from(2),
        }
    }
}

/// Survey of an older house before a battery inverter, a generator or solar is tied into it.
///
/// Deadfront checks what was seen, says what must be looked at next, and hands a PDF to the
/// licensed electrician. It gives no permission: local code, the authority having jurisdiction and
/// the electrician decide.
#[derive(Debug, Parser)]
#[command(
    version,
    about,
    after_help = "With no command the window opens. \
    Exit code 0: nothing wrong, 1: findings, 2: bad input."
)]
struct Arguments {
    /// Language of answers, papers and help; JSON keys stay in English
    #[arg(long, global = true, value_name = "LANGUAGE", default_value = "en")]
    language: Tongue,
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Check a survey and print what falls short, what cannot be told, and what to do
    Check(check::Check),
    /// Tell what each supply carries, starts and keeps running, and the demand of the house
    Capacity(capacity::Capacity),
    /// Tell how sources can meet, what has to be open to work, and in which order to switch
    Isolate(isolate::Isolate),
    /// Write the PDF of a survey
    Report(report::Report),
    /// Tell whether a survey and its PDF are what was signed, and belong together
    Verify(verify::Verify),
    /// Tell which facts and verdicts changed between two surveys of a house
    Compare(compare::Compare),
    /// Write everything that is handed out into a folder or an archive: PDF, survey, photos, tables
    Handout(handout::Handout),
    /// Take a panel schedule from a spreadsheet into a new survey file
    Import(import::Import),
    /// Explain a check; without a name, list every check
    Explain(explain::Explain),
    /// Size conductor, device and ground for a load, or list the cable of a whole survey
    Size(Box<size::Size>),
    /// Print the JSON Schema of the survey file
    Schema,
    /// Check the built-in invented house, write its survey and PDF, and open it
    Demo(demo::Demo),
    /// Open a survey in the window
    Open {
        /// The survey file, or a PDF that carries one
        file: PathBuf,
    },
}

/// A language, as it is chosen on the command line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Tongue {
    /// English
    En,
    /// Español
    Es,
}

impl Tongue {
    fn language(self) -> Language {
        match self {
            Self::En => Language::English,
            Self::Es => Language::Spanish,
        }
    }
}

/// Paper of the PDF.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PaperSize {
    /// 210 mm × 297 mm
    A4,
    /// 8.5 in × 11 in
    Letter,
}

impl PaperSize {
    fn sheet(self) -> crate::paper::Sheet {
        match self {
            Self::A4 => crate::paper::Sheet::A4,
            Self::Letter => crate::paper::Sheet::Letter,
        }
    }
}

/// Runs the program with these arguments (the first is its name).
pub fn run<I, T>(arguments: I) -> Outcome
where
    I: IntoIterator<Item = T>,
    T: Into<std::ffi::OsString> + Clone,
{
    let arguments: Vec<OsString> = arguments.into_iter().map(Into::into).collect();
    let spoken = words::speak(help::language_of(&arguments));
    let parsed = help::told(Arguments::command()).try_get_matches_from(arguments);
    let arguments = match parsed.and_then(|matches| Arguments::from_arg_matches(&matches)) {
        Ok(arguments) => arguments,
        Err(error) => {
            // Help and version come this way too, and are no mistake. A closed pipe is none either.
            match complaint::complaint(&error) {
                Some(told) => eprintln!("{told}"),
                None => drop(error.print()),
            }
            return if error.use_stderr() { Outcome::BadInput } else { Outcome::Clear };
        }
    };
    drop(spoken);
    let _spoken = words::speak(arguments.language.language());
    match dispatch(arguments.command) {
        Ok(outcome) => outcome,
        Err(error) => {
            eprintln!("{error:#}");
            Outcome::BadInput
        }
    }
}

fn dispatch(command: Option<Command>) -> anyhow::Result<Outcome> {
    match command {
        None => window::open_last(),
        Some(Command::Open { file }) => window::open_file(&file),
        Some(Command::Check(check)) => check.run(),
        Some(Command::Capacity(capacity)) => capacity.run(),
        Some(Command::Isolate(isolate)) => isolate.run(),
        Some(Command::Report(report)) => report.run(),
        Some(Command::Verify(verify)) => verify.run(),
        Some(Command::Compare(compare)) => compare.run(),
        Some(Command::Handout(handout)) => handout.run(),
        Some(Command::Import(import)) => import.run(),
        Some(Command::Explain(explain)) => explain.run(),
        Some(Command::Size(size)) => size.run(),
        Some(Command::Schema) => print_json(&crate::file::schema()),
        Some(Command::Demo(demo)) => demo.run(),
    }
}

/// Prints a JSON answer; a reader that has gone away is no mistake.
fn print_json(value: &impl serde::Serialize) -> anyhow::Result<Outcome> {
    let mut text = serde_json::to_string_pretty(value)?;
    text.push('\n');
    print(&text)?;
    Ok(Outcome::Clear)
}

/// Prints an answer; a reader that has gone away is no mistake.
fn print(text: &str) -> anyhow::Result<()> {
    use std::io::{ErrorKind, Write};
    match std::io::stdout().lock().write_all(text.as_bytes()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(error.into()),
        _ => Ok(()),
    }
}
