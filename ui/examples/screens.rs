//! Draws every place and page into PNG files without a display:
//! `cargo run -p deadfront-ui --example screens -- FOLDER [SHEET]`.
//!
//! Without a sheet those that differ most; `all` draws every size in both lights and languages, and with
//! large text; else the one of that name.

mod sample;

use std::error::Error;
use std::fs::{self, File};
use std::io::BufWriter;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use deadfront_rules::say;
use deadfront_rules::survey::{Id, Photo, Survey};
use deadfront_rules::words::Language::{self, English, Spanish};
use deadfront_ui::{AppWindow, Browsed, DisplayChoice, Entry, Folder, Picture, Place, Standing};
use i_slint_backend_testing::{TestingBackend, TestingBackendOptions};

/// Name, width and height [px], for the dark, size of text [%], language.
type Sheet = (String, f32, f32, bool, u8, Language);

/// Each size that must be usable [px].
const SIZES: [(&str, f32, f32); 4] = [
    ("wide", 1280.0, 800.0),
    ("tall", 800.0, 1280.0),
    ("small-wide", 1024.0, 600.0),
    ("small-tall", 600.0, 960.0),
];

/// Those that differ most.
const SHEETS: &[(&str, f32, f32, bool, u8, Language)] = &[
    ("wide", 1280.0, 800.0, false, 100, English),
    ("wide-dark", 1280.0, 800.0, true, 100, English),
    ("wide-150", 1280.0, 800.0, false, 150, English),
    ("small-wide", 1024.0, 600.0, false, 100, English),
    ("tall", 800.0, 1280.0, false, 100, English),
    ("tall-dark", 800.0, 1280.0, true, 100, English),
    ("small-tall", 600.0, 960.0, false, 100, English),
    ("small-tall-150", 600.0, 960.0, true, 150, English),
    ("wide-es", 1280.0, 800.0, false, 100, Spanish),
    ("tall-es", 800.0, 1280.0, true, 100, Spanish),
    ("small-tall-es-150", 600.0, 960.0, false, 150, Spanish),
    ("phone", 412.0, 860.0, false, 100, English),
];

/// The sheets of this name; of no name: those that differ most.
fn sheets(name: Option<&str>) -> Vec<Sheet> {
    let most = SHEETS.iter().map(|&(name, width, height, dark, percent, language)| {
        (name.to_owned(), width, height, dark, percent, language)
    });
    match name {
        None => most.collect(),
        Some("all") => every_sheet(),
        Some(name) => {
            let every = most.chain(every_sheet());
            every.into_iter().find(|sheet| sheet.0 == name).into_iter().collect()
        }
    }
}

fn every_sheet() -> Vec<Sheet> {
    let mut sheets = Vec::new();
    for (size, width, height) in SIZES {
        for language in [English, Spanish] {
            for (dark, percent) in [(false, 100), (true, 100), (false, 150)] {
                let light = if dark { "-dark" } else { "" };
                let tongue = if language == Spanish { "-es" } else { "" };
                let large = if percent == 150 { "-150" } else { "" };
                sheets.push((
                    format!("{size}{light}{tongue}{large}"),
                    width,
                    height,
                    dark,
                    percent,
                    language,
                ));
            }
        }
    }
    sheets
}

fn main() -> Result<(), Box<dyn Error>> {
    let folder = std::env::args().nth(1).filter(|word| !word.starts_with('-'));
    let folder =
        PathBuf::from(folder.ok_or("name a folder for the pictures, and a sheet if not all are wanted")?);
    let only = std::env::args().nth(2);
    fs::create_dir_all(&folder)?;
    use_backend_without_display()?;
    let sheets = sheets(only.as_deref());
    if sheets.is_empty() {
        return Err("there is no sheet of that name".into());
    }
    for (name, width, height, dark, percent, language) in sheets {
        let name = name.as_str();
        let window = AppWindow::new()?;
        window.set_size(width, height);
        window.set_display(&DisplayChoice { dark, percent, language });
        draw_empty(&window, &folder.join(format!("{name}-empty.png")))?;
        let (survey, assessment) = sample::house();
        window.show(photographed(&survey), assessment);
        show_small_pictures(&window);
        window.set_standing(&Standing {
            editable: true,
            undo: "Main panel, way 4: rating 20 A (was 15 A)".to_owned(),
            ..Standing::default()
        });
        draw_places(&window, &folder, name)?;
        draw_sheets(&window, &folder, name)?;
        draw_pages(&window, &folder, name)?;
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

/// Lets lists bring the open row into sight.
fn settle() {
    i_slint_backend_testing::mock_elapsed_time(Duration::from_millis(50));
    slint::platform::update_timers_and_animations();
}

fn draw_empty(window: &AppWindow, file: &Path) -> Result<(), Box<dyn Error>> {
    window.go_to(Place::Panels);
    save(window, file)
}

/// Each list, and what its second row opens to.
fn draw_places(window: &AppWindow, folder: &Path, name: &str) -> Result<(), Box<dyn Error>> {
    for place in Place::ALL {
        let stem = format!("{name}-{place:?}").to_lowercase();
        window.go_to(place);
        save(window, &folder.join(format!("{stem}.png")))?;
        window.open(usize::from(place != Place::Panels && place != Place::Site));
        save(window, &folder.join(format!("{stem}-open.png")))?;
    }
    Ok(())
}

/// An item and field for each kind of sheet.
const FIELDS: [(&str, &str); 4] =
    [("P1.01", "device.rating"), ("P1.01", "device.kind"), ("R002", "size"), ("site", "name")];

fn draw_sheets(window: &AppWindow, folder: &Path, name: &str) -> Result<(), Box<dyn Error>> {
    for (item, field) in FIELDS {
        window.open_item(item);
        window.open_field(field);
        save(window, &folder.join(format!("{name}-sheet-{}.png", field.replace('.', "-"))))?;
        window.close_page();
    }
    window.answer_next();
    save(window, &folder.join(format!("{name}-walk.png")))?;
    window.close_page();
    Ok(())
}

fn draw_pages(window: &AppWindow, folder: &Path, name: &str) -> Result<(), Box<dyn Error>> {
    window.open_sizing_page();
    save(window, &folder.join(format!("{name}-sizing.png")))?;
    window.set_browsed(&browsed());
    window.open_surveys_page();
    save(window, &folder.join(format!("{name}-surveys.png")))?;
    window.open_display_page();
    save(window, &folder.join(format!("{name}-display.png")))?;
    window.open_licences_page();
    save(window, &folder.join(format!("{name}-licences.png")))?;
    window.close_page();
    draw_photos(window, folder, name)
}

/// An invented folder.
fn browsed() -> Browsed {
    let entry =
        |name: &str, is_folder| Entry { path: format!("/home/ann/{name}"), name: name.to_owned(), is_folder };
    Browsed {
        folder: "/home/ann".to_owned(),
        above: "/home".to_owned(),
        roots: ["Surveys", "Home", "Downloads", "STICK"].map(|name| entry(name, true)).to_vec(),
        entries: vec![entry("Houses", true), entry("mill-lane.json", false), entry("mill-lane.pdf", false)],
        problem: String::new(),
    }
}

/// A photo large, one that is missing, and the question for another one; and an item with a reading.
fn draw_photos(window: &AppWindow, folder: &Path, name: &str) -> Result<(), Box<dyn Error>> {
    window.open_item("R002");
    save(window, &folder.join(format!("{name}-readings.png")))?;
    window.open_item("S2");
    window.open_photo("F01");
    window.show_large_picture(id("F01")?, Ok((800, 600, &grey(800, 600))));
    save(window, &folder.join(format!("{name}-photo.png")))?;
    window.open_photo("F02");
    let missing = say!("this photo is not in the survey's photo folder").to_string();
    window.show_large_picture(id("F02")?, Err(missing));
    save(window, &folder.join(format!("{name}-photo-missing.png")))?;
    window.close_photo();
    let folders =
        [("Pictures", true), ("Camera", false), ("Downloads", false), ("/media/card/DCIM/100PICTS", false)];
    let folders =
        folders.map(|(path, is_watched)| Folder { path: path.into(), name: path.into(), is_watched });
    let pictures = (1..8).map(|at| (at.to_string(), format!("IMG_20261017_0940{at:02}.jpg")));
    window.offer_photos(&id("S2")?, folders.to_vec(), pictures.collect());
    save(window, &folder.join(format!("{name}-photo-offer.png")))?;
    window.close_page();
    Ok(())
}

/// The house with two photos of its inverter.
fn photographed(survey: &Survey) -> Arc<Survey> {
    let mut survey = survey.clone();
    for (photo, caption) in [("F01", "Nameplate, 2026-10-17 09:40"), ("F02", "")] {
        if let (Some(id), Some(of)) = (Id::new(photo), Id::new("S2")) {
            survey.photos.push(Photo { id, of, file: format!("{photo}.jpg"), caption: caption.to_owned() });
        }
    }
    Arc::new(survey)
}

fn show_small_pictures(window: &AppWindow) {
    let small = |photo: &str| Some((Id::new(photo)?, 256, 192, grey(256, 192)));
    window.set_small_pictures(["F01", "F02"].into_iter().filter_map(small));
}

/// An invented picture: squares of grey.
fn grey(width: usize, height: usize) -> Vec<u8> {
    let shade = |at: usize| 80 + 60 * u8::from((at % width / 32 + at / width / 32).is_multiple_of(2));
    (0..width * height).flat_map(|at| [shade(at); 3]).collect()
}

fn id(text: &str) -> Result<Id, Box<dyn Error>> {
    Id::new(text).ok_or_else(|| format!("{text} is no id").into())
}

fn save(window: &AppWindow, file: &Path) -> Result<(), Box<dyn Error>> {
    settle();
    let picture: Picture = window.picture()?;
    let mut encoder = png::Encoder::new(BufWriter::new(File::create(file)?), picture.width, picture.height);
    encoder.set_color(png::ColorType::Rgba);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.write_header()?.write_image_data(&picture.rgba)?;
    Ok(())
}
