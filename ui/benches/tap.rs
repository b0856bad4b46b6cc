//! How long the window takes from a tap to the whole picture, drawn by the processor alone: the invented
//! demo house, and a house of 2,000 ways. Each round draws every pixel of 1280 x 800; a screen draws only
//! what has changed.
//!
//! Prints figures and never fails. Aims: below 16 ms in the demo house, below 50 ms in the large one.

#[path = "../examples/sample/mod.rs"]
mod sample;

use std::sync::Arc;

use criterion::{Criterion, criterion_group, criterion_main};
use deadfront_rules::survey::Survey;
use deadfront_rules::walk::walk;
use deadfront_rules::{Assessment, assess};
use deadfront_ui::{AppWindow, Place};
use i_slint_backend_testing::{TestingBackend, TestingBackendOptions};
use serde_json::json;

/// A house of 50 panels with 40 ways each, each with a run and a load.
fn large() -> (Arc<Survey>, Arc<Assessment>) {
    let device = json!({ "kind": "breaker", "rating": "20 A", "poles": 1, "voltage": "120 V" });
    let mut panels = Vec::new();
    let mut runs = Vec::new();
    let mut loads = Vec::new();
    for panel in 0..50 {
        let way = |at: usize| json!({ "id": format!("P{panel}.{at}"), "spaces": [at + 1], "device": device });
        let ways: Vec<_> = (0..40).map(way).collect();
        panels.push(json!({ "id": format!("P{panel}"), "name": format!("Panel {panel}"), "ways": ways }));
        let from = if panel == 0 { "U".to_owned() } else { format!("P{}.0", panel - 1) };
        runs.push(json!({ "id": format!("F{panel}"), "from": from, "to": format!("P{panel}") }));
        for at in 1..40 {
            runs.push(json!({
                "id": format!("R{panel}.{at}"), "from": format!("P{panel}.{at}"), "circuit": "hot_and_neutral",
                "material": "copper", "size": "12 AWG", "method": "nm_b", "length": "40 ft"
            }));
            loads.push(json!({
                "id": format!("L{panel}.{at}"), "name": "Outlets", "on": format!("R{panel}.{at}"), "kind": "receptacles"
            }));
        }
    }
    let house = json!({
        "deadfront_survey": 1,
        "site": { "name": "Large house (invented)", "rules": "us", "invented": true },
        "supplies": [{ "id": "U", "name": "Utility", "kind": "utility" }],
        "panels": panels, "runs": runs, "loads": loads
    });
    let survey: Survey = serde_json::from_value(house).expect("a survey");
    let assessment = assess(&survey);
    (Arc::new(survey), Arc::new(assessment))
}

fn use_backend_without_display() {
    let options = TestingBackendOptions {
        mock_time: true,
        renderer_name: Some("software".into()),
        ..TestingBackendOptions::default()
    };
    slint::platform::set_platform(Box::new(TestingBackend::new(options))).expect("one platform");
}

fn taps(criterion: &mut Criterion) {
    use_backend_without_display();
    for (name, (survey, assessment)) in [("demo house", sample::house()), ("2,000 ways", large())] {
        let window = AppWindow::new().expect("a window");
        window.set_size(1280.0, 800.0);
        window.show(survey.clone(), assessment.clone());
        let draw = || window.picture().expect("a picture");
        let mut group = criterion.benchmark_group(format!("tap, {name}"));
        group.sample_size(20);
        group.bench_function("only drawn again", |bencher| bencher.iter(draw));
        for place in [Place::Panels, Place::Runs, Place::Findings, Place::Isolation] {
            group.bench_function(format!("to the place {place:?}"), |bencher| {
                bencher.iter(|| {
                    window.go_to(place);
                    draw()
                });
            });
        }
        window.go_to(Place::Runs);
        let mut row = 0;
        group.bench_function("a row opened", |bencher| {
            bencher.iter(|| {
                row = 1 - row;
                window.open(row);
                draw()
            });
        });
        // Beside the window are made the checks and the walk of a house that takes long, in it those of another.
        group.bench_function("an edit is in, checked in the window", |bencher| {
            bencher.iter(|| {
                window.show_edited(survey.clone(), assessment.clone());
                draw()
            });
        });
        group.bench_function("an edit is in, its checks under way", |bencher| {
            bencher.iter(|| {
                window.show_unchecked(survey.clone());
                draw()
            });
        });
        let steps = Arc::new(walk(&survey, &assessment));
        group.bench_function("its checks are in", |bencher| {
            bencher.iter(|| {
                window.show_checked(survey.clone(), assessment.clone(), steps.clone());
                draw()
            });
        });
        group.finish();
    }
}

criterion_group!(benches, taps);
criterion_main!(benches);
