//! The tokens keep the contrast they promise: 7:1 in daylight, 4.5:1 in the dark.

use slint::{Color, ComponentHandle as _};

use crate::AppWindow;
use crate::generated::{Ink, Setting};

/// Relative luminance after WCAG 2.1, "relative luminance" in its glossary.
#[expect(clippy::disallowed_methods, reason = "the contrast formula of WCAG, within a tolerance")]
fn luminance(color: Color) -> f64 {
    let channel = |byte: u8| {
        let part = f64::from(byte) / 255.0;
        if part <= 0.04045 { part / 12.92 } else { ((part + 0.055) / 1.055).powf(2.4) }
    };
    0.2126 * channel(color.red()) + 0.7152 * channel(color.green()) + 0.0722 * channel(color.blue())
}

/// Contrast ratio after WCAG 2.1, "contrast ratio" in its glossary.
fn contrast(a: Color, b: Color) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

fn pairs(ink: &Ink) -> Vec<(&'static str, Color, Color)> {
    let mut pairs = Vec::new();
    // What is pressed bears the same texts for as long.
    for background in [ink.get_paper(), ink.get_tint(), ink.get_pressed()] {
        pairs.push(("text", ink.get_text(), background));
        pairs.push(("soft", ink.get_soft(), background));
        pairs.push(("accent", ink.get_accent(), background));
        pairs.push(("meets", ink.get_meets(), background));
    }
    // Lines that warn and live parts are drawn on paper and on tint.
    for background in [ink.get_paper(), ink.get_tint()] {
        pairs.push(("danger-line", ink.get_danger_line(), background));
        pairs.push(("live-a", ink.get_live_a(), background));
        pairs.push(("live-b", ink.get_live_b(), background));
        pairs.push(("live-c", ink.get_live_c(), background));
        pairs.push(("live-d", ink.get_live_d(), background));
    }
    pairs.push(("danger", ink.get_on_danger(), ink.get_danger()));
    pairs.push(("warning", ink.get_on_warning(), ink.get_warning()));
    pairs.push(("caution", ink.get_on_caution(), ink.get_caution()));
    pairs.push(("notice", ink.get_on_notice(), ink.get_notice()));
    pairs
}

#[test]
fn a_known_pair_has_its_published_ratio() {
    let black = Color::from_rgb_u8(0, 0, 0);
    let white = Color::from_rgb_u8(255, 255, 255);
    // WCAG 2.1: ratios range from 1 to 21, and black on white is 21.
    assert!((contrast(black, white) - 21.0).abs() < 1e-9);
    assert!((contrast(white, white) - 1.0).abs() < 1e-9);
}

#[test]
fn every_text_stands_out_in_daylight_and_in_the_dark() {
    i_slint_backend_testing::init_no_event_loop();
    let window = AppWindow::new().unwrap().window;
    for (dark, floor) in [(false, 7.0), (true, 4.5)] {
        window.global::<Setting>().set_dark(dark);
        let pairs = pairs(&window.global::<Ink>());
        assert_eq!(pairs.len(), 26);
        for (name, front, back) in pairs {
            let ratio = contrast(front, back);
            assert!(ratio >= floor, "{name}, dark {dark}: {ratio:.2}");
        }
    }
}
