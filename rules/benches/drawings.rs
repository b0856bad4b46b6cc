//! How long drawings take: every face and the one-line of the demo house.
//!
//! Prints figures and never fails. Aims: one-line below 5 ms, a face below 0.3 ms on one core.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use deadfront_rules::assess;
use deadfront_rules::drawing::{Emphasis, Letters, TextSize, marks, one_line, pages, panel_face};
use deadfront_rules::house::House;
use deadfront_rules::survey::Survey;

const DEMO: &str = include_str!("../../app/src/demo/demo-survey.json");

fn width(text: &str, size: TextSize, bold: bool) -> f32 {
    text.chars().count() as f32 * size.units() * if bold { 0.6 } else { 0.55 }
}

fn drawings(criterion: &mut Criterion) {
    let survey: Survey = serde_json::from_str(DEMO).expect("the demo is a survey");
    let (house, marks) = (House::new(&survey), marks(&assess(&survey)));
    let (letters, plain) = (Letters::new(&width), Emphasis::new());
    criterion.bench_function("face of the largest panel", |bencher| {
        bencher.iter(|| panel_face(black_box(&house), 1, &marks, letters));
    });
    criterion.bench_function("one-line of the demo house", |bencher| {
        bencher.iter(|| one_line(black_box(&house), &marks, &plain, letters));
    });
    let scene = one_line(&house, &marks, &plain, letters).scene;
    criterion.bench_function("one-line on sheets", |bencher| {
        bencher.iter(|| pages(black_box(&scene), 1600.0, 1100.0));
    });
}

criterion_group!(benches, drawings);
criterion_main!(benches);
