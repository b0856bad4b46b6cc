//! Opens the window with an invented house: `cargo run -p deadfront-ui --example sample_window`.
//! `dark` draws it for the dark, a number from 100 to 150 scales the text.

mod sample;

use std::process::ExitCode;

use deadfront_ui::{AppWindow, Theme, WindowError};

fn main() -> ExitCode {
    match open() {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{error}");
            ExitCode::FAILURE
        }
    }
}

fn open() -> Result<(), WindowError> {
    let window = AppWindow::new()?;
    for argument in std::env::args().skip(1) {
        match (argument.as_str(), argument.parse::<f32>()) {
            ("dark", _) => window.set_theme(Theme::Dark),
            (_, Ok(percent)) => window.set_text_scale(percent / 100.0),
            _ => eprintln!("unknown argument {argument}: use dark, or a number from 100 to 150"),
        }
    }
    window.show(&sample::survey());
    window.run()
}
