use proptest::prelude::*;

use super::panel_face;
use crate::assess;
use crate::drawing::canvas::TARGET;
use crate::drawing::checked::{assert_finite, assert_texts, demo, houses, letters};
use crate::drawing::mark::{Mark, Marks, marks};
use crate::drawing::scene::{Rect, Scene};
use crate::house::House;
use crate::survey::Survey;

/// What holds of every face.
fn assert_face(survey: &Survey, at: usize, scene: &Scene) {
    let panel = &survey.panels[at];
    let all = Rect::new(0.0, 0.0, scene.width, scene.height);
    assert_finite(scene);
    let buses = panel.buses.iter().map(|bus| &bus.id).filter(|bus| **bus != panel.id);
    for id in panel.ways.iter().map(|way| &way.id).chain(buses).chain([&panel.id]) {
        let count = scene.places.iter().filter(|place| place.item == *id).count();
        assert_eq!(count, 1, "{id} is drawn {count} times");
    }
    let ways: Vec<Rect> = panel.ways.iter().filter_map(|way| scene.place_of(way.id.as_str())).collect();
    for (number, one) in ways.iter().enumerate() {
        assert!(all.holds(one, 0.0), "a way lies outside");
        assert!(one.height >= TARGET && one.width >= TARGET, "{one:?} is no target");
        for two in &ways[number + 1..] {
            assert!(!one.overlaps(two, 0.01), "{one:?} lies on {two:?}");
        }
    }
}

#[test]
fn every_way_of_the_demo_is_on_its_face() {
    let survey = demo();
    let (house, marks) = (House::new(&survey), marks(&assess(&survey)));
    for at in 0..survey.panels.len() {
        let scene = panel_face(&house, at, &marks, letters());
        assert_face(&survey, at, &scene);
        assert_texts(&scene);
        assert_eq!(scene, panel_face(&house, at, &marks, letters()), "the same survey, the same face");
    }
}

#[test]
fn odd_spaces_are_left_and_even_ones_right() {
    let survey = demo();
    let house = House::new(&survey);
    let scene = panel_face(&house, 1, &Marks::new(), letters());
    let middle = scene.width / 2.0;
    for way in &survey.panels[1].ways {
        let rect = scene.place_of(way.id.as_str()).unwrap();
        assert_eq!(way.spaces[0] % 2 == 1, rect.right() < middle, "{}", way.id);
    }
    let of = |id: &str| scene.place_of(id).unwrap();
    assert!(of("P2.02").height > 1.9 * of("P2.17").height, "two spaces are twice as high");
    assert!((of("P2.28a").bottom() - of("P2.28b").y).abs() < 0.1, "the halves share their space");
    assert!(of("P2.13").bottom() < of("P2.17").y, "the lighting section stands below the main section");
}

#[test]
fn a_fuse_panel_has_no_columns_of_spaces() {
    let survey = demo();
    let house = House::new(&survey);
    let scene = panel_face(&house, 0, &Marks::new(), letters());
    let of = |id: &str| scene.place_of(id).unwrap();
    // Spaces 5 and 6 are odd and even; both are fuses of the left row.
    assert!((of("P1.05").x - of("P1.06").x).abs() < 0.1);
    assert!(of("P1.11").x > of("P1.05").right());
}

#[test]
fn the_worst_verdict_is_told_in_a_word() {
    let survey = demo();
    let (house, marks) = (House::new(&survey), marks(&assess(&survey)));
    let scene = panel_face(&house, 1, &marks, letters());
    // The way itself is better than the run behind it.
    assert!(marks["P2.35"] > Mark::Danger);
    assert_eq!(marks["R217"], Mark::Danger);
    let row = scene.place_of("P2.35").unwrap();
    let told = scene.texts().any(|text| text.text == "DANGER" && row.holds(&text.frame, 1.0));
    assert!(told);
}

#[test]
fn no_panel_gives_an_empty_scene() {
    let survey = demo();
    assert_eq!(panel_face(&House::new(&survey), 99, &Marks::new(), letters()), Scene::default());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, rng_seed: proptest::test_runner::RngSeed::Fixed(7), ..ProptestConfig::default() })]

    #[test]
    fn faces_of_random_houses_hold(survey in houses()) {
        let house = House::new(&survey);
        for at in 0..survey.panels.len() {
            let scene = panel_face(&house, at, &Marks::new(), letters());
            assert_face(&survey, at, &scene);
        }
    }
}
