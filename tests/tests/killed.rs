//! The program is killed in the middle of 500 edits, again and again: every edit that was acknowledged is there at
//! the next start, and the file can always be opened.
//!
//! A few rounds in every run of the tests; `DEADFRONT_KILL_ROUNDS=200` asks for more.
//! What a killed program wrote stays in the system's memory, so this shows that the order of
//! writing is right, not that the disk keeps its promises; that is what fsync is for.

use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use deadfront::file;
use deadfront::sign::fingerprint;
use deadfront_rules::survey::Survey;
use deadfront_tests::edits;
use tempfile::TempDir;

/// How many edits a round makes unless it is killed.
const EDITS: usize = 500;
/// Rounds in every run of the tests, as far as the time reaches.
const ROUNDS: usize = 12;
/// How long an ordinary run of the tests goes on beginning rounds.
const PATIENCE: Duration = Duration::from_secs(30);
/// After how many rounds a fresh survey is taken.
const ROUNDS_OF_A_FILE: usize = 8;

/// One survey file through several rounds, and how it must look.
struct Trial {
    folder: TempDir,
    /// The survey after the last edit that was acknowledged.
    survey: Survey,
    acknowledged: usize,
    rounds: usize,
}

impl Trial {
    fn new() -> Self {
        let folder = TempDir::new().expect("a folder");
        fs::write(folder.path().join("house.json"), deadfront::demo::DEMO)
            .expect("the folder can be written");
        let survey = file::read_survey(deadfront::demo::DEMO.as_bytes()).expect("the demo is a survey");
        Self { folder, survey, acknowledged: 0, rounds: 0 }
    }

    fn file(&self) -> PathBuf {
        self.folder.path().join("house.json")
    }

    fn start(&self, milliseconds: u64) -> Child {
        Command::new(env!("CARGO_BIN_EXE_edits-under-test"))
            .arg(self.file())
            .arg(self.folder.path())
            .args([EDITS.to_string(), milliseconds.to_string()])
            .stdout(Stdio::piped())
            .spawn()
            .expect("the program starts")
    }

    /// One round; gives how many edits it made.
    fn round(&mut self, kill_after: Option<Duration>, milliseconds: u64) -> usize {
        let mut child = self.start(milliseconds);
        if let Some(kill_after) = kill_after {
            thread::sleep(kill_after);
            child.kill().expect("it can be killed");
        }
        let mut said = String::new();
        child.stdout.take().expect("a pipe").read_to_string(&mut said).expect("answers are UTF-8");
        child.wait().expect("it has ended");
        self.rounds += 1;
        file::open(self.file()).expect("the file is whole at every moment");
        // What was cut off by the kill is no answer.
        let answers = said.rsplit_once('\n').map_or("", |(whole, _)| whole);
        answers.lines().map(|answer| self.hear(answer)).sum()
    }

    /// Gives how many edits this answer acknowledges.
    fn hear(&mut self, answer: &str) -> usize {
        match answer.split_whitespace().collect::<Vec<_>>().as_slice() {
            ["open", last, found] => self.check_start(last.parse().expect("a number"), found),
            ["safe", number] => {
                self.acknowledge(number.parse().expect("a number"));
                return 1;
            }
            ["closed", "Saved"] => {}
            _ => panic!("round {}: {answer}", self.rounds),
        }
        0
    }

    /// The survey that was found is the one after the last acknowledged edit, or has parts of the next one.
    fn check_start(&mut self, last: usize, found: &str) {
        assert_no_half_written_files(self.folder.path());
        let next = self.acknowledged + 1;
        let states = edits::states(&self.survey, next).expect("the edit fits");
        let at = states.iter().position(|state| fingerprint(state) == found);
        let at = at.unwrap_or_else(|| {
            panic!(
                "round {}: {} edits were acknowledged, the start found edit {last}",
                self.rounds, self.acknowledged
            )
        });
        self.survey = states[at].clone();
        // An edit that leaves no mark is made once more.
        self.acknowledged = edits::last(&self.survey);
        assert_eq!(self.acknowledged, last);
    }

    fn acknowledge(&mut self, number: usize) {
        assert_eq!(number, self.acknowledged + 1);
        self.survey = edits::states(&self.survey, number).expect("the edit fits").pop().expect("a state");
        self.acknowledged = number;
    }
}

fn assert_no_half_written_files(folder: &Path) {
    let names = fs::read_dir(folder).expect("the folder is there").flatten().map(|entry| entry.file_name());
    // The child may be writing at this moment; what it left last time is gone.
    let parts = names.filter(|name| name.to_string_lossy().ends_with(".part")).count();
    assert!(parts <= 1, "{parts} half-written files");
}

/// Numbers that look random: Knuth's linear congruential generator.
struct Chance(u64);

impl Chance {
    fn below(&mut self, limit: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % limit.max(1)
    }
}

#[test]
fn every_acknowledged_edit_is_there_after_a_kill() {
    let asked: Option<usize> =
        std::env::var("DEADFRONT_KILL_ROUNDS").ok().and_then(|rounds| rounds.parse().ok());
    let rounds = asked.unwrap_or(ROUNDS);
    let begun = Instant::now();
    assert_eq!(Trial::new().round(None, 20), EDITS, "left alone it makes them all");
    let whole = u64::try_from(begun.elapsed().as_millis()).expect("less than an age");
    let mut chance = Chance(1);
    let (mut made, mut trial) = (0, Trial::new());
    for round in 0..rounds {
        if asked.is_none() && begun.elapsed() > PATIENCE {
            println!("{round} rounds of {rounds}: this machine is slow");
            break;
        }
        if round % ROUNDS_OF_A_FILE == 0 {
            trial = Trial::new();
        }
        let kill_after = Duration::from_millis(chance.below(whole));
        // The whole file is written all the time, now and then, or never within a round.
        let milliseconds = [0, 30, 1000][round % 3];
        made += trial.round(Some(kill_after), milliseconds);
    }
    let seconds = begun.elapsed().as_secs();
    println!(
        "{rounds} rounds asked for, {made} edits acknowledged and found again, {whole} ms a whole round, {seconds} s"
    );
    assert!(made > 0, "the kills came too early to show anything");
}
