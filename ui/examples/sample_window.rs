//! Opens the window with the invented house: `cargo run -p deadfront-ui --example sample_window`.
//! Nothing is kept.

mod sample;

use deadfront_ui::AppWindow;

fn main() -> Result<(), deadfront_ui::WindowError> {
    let window = AppWindow::new()?;
    let (survey, assessment) = sample::house();
    window.show(survey, assessment);
    window.run()
}
