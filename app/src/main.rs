//! The program: one line, so that tests and other platforms reach everything in the library.

use std::process::ExitCode;

fn main() -> ExitCode {
    deadfront::command::run(std::env::args_os()).into()
}
