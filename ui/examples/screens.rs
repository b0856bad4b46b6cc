//! Draws every place into PNG files without a display:
//! `cargo run -p deadfront-ui --example screens -- FOLDER`.

mod sample;

use std::error::Error;
use std::fs::{self, File};
use std::io::BufWriter;
use std::path::{Path, PathBuf};
use std::time::Duration;

use deadfront_ui::{AppWindow, Picture, Place, Theme};
use i_slint_backend_testing::{TestingBackend, TestingBackendOptions};

/// Name, width and height [px], theme, text scale.
const SHEETS: &[(&str, f32, f32, Theme, f32)] = &[
    ("wide", 1280.0, 800.0, Theme::Daylight, 1.0),
    ("wide-dark", 1280.0, 800.0, Theme::Dark, 1.0),
    ("wide-150", 1280.0, 800.0, Theme::Daylight, 1.5),
    ("small-wide", 1024.0, 600.0, Theme::Daylight, 1.0),
    ("tall", 800.0, 1280.0, Theme::Daylight, 1.0),
    ("tall-dark", 800.0, 1280.0, Theme::Dark, 1.0),
    ("small-tall", 600.0, 960.0, Theme::Daylight, 1.0),
    ("small-tall-150", 600.0, 960.0, Theme::Dark, 1.5),
    ("phone", 412.0, 860.0, Theme::Daylight, 1.0),
];

fn main() -> Result<(), Box<dyn Error>> {
    let folder = PathBuf::from(std::env::args().nth(1).ok_or("name a folder for the pictures")?);
    fs::create_dir_all(&folder)?;
    use_backend_without_display()?;
    for &(name, width, height, theme, scale) in SHEETS {
        let window = AppWindow::new()?;
        window.set_size(width, height);
        window.set_theme(theme);
        window.set_text_scale(scale);
        draw_empty(&window, &folder.join(format!("{name}-empty.png")))?;
        window.show(&sample::survey());
        draw_places(&window, &folder, name)?;
        draw_findings(&window, &folder, name)?;
        window.open_display_page();
        save(&window.picture()?, &folder.join(format!("{name}-display.png")))?;
    }
    Ok(())
}

fn use_backend_without_display() -> Result<(), Box<dyn Error>> {
    let backend = TestingBackend::new(TestingBackendOptions {
        mock_time: true,
        renderer_name: Some("software".into()),
        ..TestingBackendOptions::default()
    });
    slint::platform::set_platform(Box::new(backend)).map_err(|error| error.to_string().into())
}

/// Lets the list bring the open finding into sight.
fn settle() {
    i_slint_backend_testing::mock_elapsed_time(Duration::from_millis(50));
    slint::platform::update_timers_and_animations();
}

fn draw_empty(window: &AppWindow, file: &Path) -> Result<(), Box<dyn Error>> {
    window.go_to(Place::Findings);
    save(&window.picture()?, file)
}

/// Each list, and what its second row opens to.
fn draw_places(window: &AppWindow, folder: &Path, name: &str) -> Result<(), Box<dyn Error>> {
    for place in Place::ALL {
        let stem = format!("{name}-{place:?}").to_lowercase();
        window.go_to(place);
        save(&window.picture()?, &folder.join(format!("{stem}.png")))?;
        window.open(usize::from(place != Place::Panels));
        save(&window.picture()?, &folder.join(format!("{stem}-open.png")))?;
    }
    Ok(())
}

fn draw_findings(window: &AppWindow, folder: &Path, name: &str) -> Result<(), Box<dyn Error>> {
    for id in ["range", "tube"] {
        window.go_to(Place::Findings);
        window.open_finding(id);
        settle();
        save(&window.picture()?, &folder.join(format!("{name}-finding-{id}.png")))?;
    }
    Ok(())
}

fn save(picture: &Picture, file: &Path) -> Result<(), Box<dyn Error>> {
    let mut encoder = png::Encoder::new(BufWriter::new(File::create(file)?), picture.width, picture.height);
    encoder.set_color(png::ColorType::Rgba);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.write_header()?.write_image_data(&picture.rgba)?;
    Ok(())
}
