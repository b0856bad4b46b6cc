//! How long the file and the paper of the demo house take.
//!
//! Prints figures and never fails. Aim: the PDF below 100 ms.

use std::hint::black_box;

use chrono::DateTime;
use criterion::{Criterion, criterion_group, criterion_main};
use deadfront::file::{read_survey, save, to_json};
use deadfront::paper::Sheet;
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

criterion_group!(benches, file, paper);
criterion_main!(benches);
