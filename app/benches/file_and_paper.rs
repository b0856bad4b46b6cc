//! How long the file and the paper of the demo house take.
//!
//! Prints figures and never fails. Aims: the PDF of the demo house below 150 ms; with 60 photos, from the folder to
//! the bytes, below 2 s and 15 MB.

use std::hint::black_box;

use chrono::DateTime;
use criterion::{Criterion, criterion_group, criterion_main};
use deadfront::file::{photo_folder, read_survey, save, to_json};
use deadfront::paper::Sheet;
use deadfront::photo::{pictures, take_in};
use deadfront::report::{Pictures, Report};
use deadfront_rules::assess;

fn file(criterion: &mut Criterion) {
    let demo = deadfront::demo::DEMO.as_bytes();
    let survey = read_survey(demo).expect("the demo is a survey");
    criterion.bench_function("read demo file", |bencher| bencher.iter(|| read_survey(black_box(demo))));
    criterion.bench_function("write demo JSON", |bencher| bencher.iter(|| to_json(black_box(&survey))));
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("house.json");
    criterion.bench_function("save demo file with fsync", |bencher| bencher.iter(|| save(&path, &survey)));
}

fn paper(criterion: &mut Criterion) {
    let survey = read_survey(deadfront::demo::DEMO.as_bytes()).expect("the demo is a survey");
    let assessment = assess(&survey);
    let made = DateTime::parse_from_rfc3339("2026-11-25T10:00:00-05:00").expect("a time");
    let report = Report {
        survey: &survey,
        assessment: &assessment,
        made,
        sheet: Sheet::Letter,
        pictures: Pictures::NONE,
    };
    let bytes = report.pdf().expect("a PDF").bytes.len();
    println!("PDF of the demo house: {} KB", bytes / 1024);
    let mut group = criterion.benchmark_group("paper");
    group.sample_size(20);
    group.bench_function("PDF of the demo house", |bencher| bencher.iter(|| report.pdf()));
    group.finish();
}

/// 60 pictures as the program keeps them: 2,000 by 1,500, with edges and a little noise, as a wall has.
fn photos(criterion: &mut Criterion) {
    let mut survey = read_survey(deadfront::demo::DEMO.as_bytes()).expect("the demo is a survey");
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("house.json");
    for number in 0..60_u32 {
        let source = folder.path().join("source.png");
        wall(number).save(&source).expect("drawn");
        let taken = take_in(&file, source, false).wait().expect("done").expect("taken");
        let photo = serde_json::json!({ "id": format!("F{number}"), "of": "P1", "file": taken.file });
        survey.photos.push(serde_json::from_value(photo).expect("a photo"));
    }
    let assessment = assess(&survey);
    let made = DateTime::parse_from_rfc3339("2026-11-25T10:00:00-05:00").expect("a time");
    let pdf = || {
        let pictures = pictures(&survey, &photo_folder(&file));
        let report = Report {
            survey: &survey,
            assessment: &assessment,
            made,
            sheet: Sheet::Letter,
            pictures: &pictures,
        };
        report.pdf().expect("a PDF").bytes
    };
    println!("PDF of the demo house with 60 photos: {:.1} MB", pdf().len() as f64 / 1e6);
    let mut group = criterion.benchmark_group("paper");
    group.sample_size(10);
    group.bench_function("PDF with 60 photos", |bencher| bencher.iter(pdf));
    group.finish();
}

fn wall(number: u32) -> image::RgbImage {
    let mut state = number + 1;
    image::RgbImage::from_fn(2000, 1500, |x, y| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let noise = (state >> 29) as u8;
        let door = if (400..1600).contains(&x) && (300..1200).contains(&y) { 60 } else { 150 };
        let label = if (x / 40 + y / 25 + number).is_multiple_of(7) { 70 } else { 0 };
        let shade = door + label + noise + (x / 40) as u8;
        image::Rgb([shade, shade.saturating_sub(8), shade.saturating_sub(20)])
    })
}

criterion_group!(benches, file, paper, photos);
criterion_main!(benches);
