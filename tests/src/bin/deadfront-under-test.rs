//! The program, built by this package so that its end-to-end tests find it.

use std::process::ExitCode;

fn main() -> ExitCode {
    deadfront::command::run(std::env::args_os()).into()
}
