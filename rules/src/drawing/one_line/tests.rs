use proptest::prelude::*;

use super::graph::Kind;
use super::{
    Emphasis, Plan, Role, Sheet, Symbol, items, one_line, one_line_in_parts, one_line_of_house,
    one_line_of_panel, one_line_overview, one_line_with_ids,
};
use crate::assess;
use crate::drawing::checked::{assert_finite, assert_texts, demo, houses, letters, standby, with_battery};
use crate::drawing::mark::{Marks, marks};
use crate::drawing::scene::{Paint, Point, Rect, Scene, Shape, Weight};
use crate::house::House;
use crate::survey::{Id, Survey};

/// A page of the size A4 at small type of 7 pt [units].
const PAGE: (f32, f32) = (986.0, 1160.0);
/// Crossings in the one-line of the demo house: solar comes in over the feed of the transfer switch.
const DEMO_CROSSINGS: usize = 1;

fn with_plan(survey: &Survey, look: impl Fn(&Plan)) {
    let house = House::new(survey);
    let (marks, emphasis) = (Marks::new(), Emphasis::new());
    look(&Plan::of(&Sheet {
        house: &house,
        marks: &marks,
        about: &crate::drawing::about(survey),
        emphasis: &emphasis,
        letters: letters(),
        ids: false,
        list_columns: 2,
    }));
}

fn boxes(plan: &Plan) -> Vec<(usize, Rect)> {
    let kinds = plan.layers.kinds.iter().enumerate();
    kinds.filter(|(_, kind)| **kind != Kind::Bend).map(|(node, _)| (node, plan.frame(node))).collect()
}

fn assert_boxes(plan: &Plan) {
    let boxes = boxes(plan);
    for (at, (_, one)) in boxes.iter().enumerate() {
        for (_, two) in &boxes[at + 1..] {
            assert!(!one.overlaps(two, 0.5), "{one:?} lies on {two:?}");
        }
    }
}

/// Every wire begins and ends at the edge of its boxes, and passes through none.
fn assert_wires(plan: &Plan) {
    for (edge, wire) in plan.graph.edges.iter().zip(&plan.wiring.wires) {
        let ends = [plan.frame(edge.from.node), plan.frame(edge.to.node)];
        let at_edge = |point: &Point, rect: &Rect| {
            let level = (point.y - rect.y).abs() < 0.6 || (point.y - rect.bottom()).abs() < 0.6;
            level && (rect.x - 0.5..=rect.right() + 0.5).contains(&point.x)
        };
        let (first, last) = (wire.points.first().unwrap(), wire.points.last().unwrap());
        let joins = |one: &Rect, two: &Rect| at_edge(first, one) && at_edge(last, two);
        assert!(joins(&ends[0], &ends[1]) || joins(&ends[1], &ends[0]), "{first:?} {last:?} of {ends:?}");
        for pair in wire.points.windows(2) {
            let piece = around(pair[0], pair[1]);
            for (_, rect) in boxes(plan) {
                assert!(!rect.inset(1.0).overlaps(&piece, -0.1), "a wire cuts {rect:?} at {piece:?}");
            }
        }
    }
}

fn around(one: Point, two: Point) -> Rect {
    Rect::new(one.x, one.y, 0.0, 0.0).around(&Rect::new(two.x, two.y, 0.0, 0.0))
}

/// No two wires lie on each other, not even for a short stretch.
fn assert_no_shared_stretch(plan: &Plan) {
    let pieces: Vec<(usize, Rect)> = plan
        .wiring
        .wires
        .iter()
        .enumerate()
        .flat_map(|(at, wire)| wire.points.windows(2).map(move |pair| (at, around(pair[0], pair[1]))))
        .collect();
    for (at, (one_wire, one)) in pieces.iter().enumerate() {
        for (other_wire, two) in &pieces[at + 1..] {
            let upright = one.width < 1.0 && two.width < 1.0;
            let level = one.height < 0.5 && two.height < 0.5;
            if one_wire == other_wire || !(upright || level) {
                continue;
            }
            let near = if upright { (one.x - two.x).abs() } else { (one.y - two.y).abs() } < 2.0;
            let along = if upright {
                one.bottom().min(two.bottom()) - one.y.max(two.y)
            } else {
                one.right().min(two.right()) - one.x.max(two.x)
            };
            assert!(!near || along < 0.5, "{one:?} and {two:?} share a stretch");
        }
    }
}

fn assert_once(survey: &Survey, scene: &Scene) {
    let house = House::new(survey);
    for id in items(&house) {
        let count = scene.places.iter().filter(|place| place.item == id).count();
        assert_eq!(count, 1, "{id} is drawn {count} times");
    }
}

#[test]
fn the_demo_lays_out_cleanly() {
    let survey = demo();
    let (house, marks) = (House::new(&survey), marks(&assess(&survey)));
    let drawn = one_line(&house, &marks, &Emphasis::new(), letters());
    assert_eq!(drawn.crossings, DEMO_CROSSINGS);
    assert_once(&survey, &drawn.scene);
    assert_finite(&drawn.scene);
    assert_texts(&drawn.scene);
    assert_texts(&drawn.legend);
    for hit in &drawn.scene.hits {
        assert!(hit.rect.width >= 48.0 && hit.rect.height >= 48.0, "{hit:?}");
    }
    assert_eq!(
        drawn,
        one_line(&house, &marks, &Emphasis::new(), letters()),
        "the same survey, the same drawing"
    );
    with_plan(&survey, |plan| {
        assert_boxes(plan);
        assert_wires(plan);
        assert_no_shared_stretch(plan);
    });
}

/// On paper nothing can be tapped, so the ids are read.
#[test]
fn with_ids_every_panel_source_and_run_is_named_by_its_own() {
    let survey = demo();
    let (house, marks) = (House::new(&survey), marks(&assess(&survey)));
    let drawn = one_line_with_ids(&house, &marks, &Emphasis::new(), letters());
    assert_texts(&drawn.scene);
    let words: Vec<String> = drawn.scene.texts().map(|text| text.text.clone()).collect();
    let shown = |id: &Id| words.iter().any(|words| words.split([' ', '+']).any(|word| word == id.as_str()));
    let ids = survey.panels.iter().map(|panel| &panel.id);
    let ids = ids.chain(survey.supplies.iter().map(|supply| &supply.id));
    let ids = ids.chain(survey.runs.iter().map(|run| &run.id));
    let missing: Vec<&Id> = ids.filter(|id| !shown(id)).collect();
    assert!(missing.is_empty(), "{missing:?}");
}

/// Sources, panels and what runs between them on one sheet, each once and by its id; no load, no circuit.
#[test]
fn the_overview_shows_sources_panels_and_feeders_only() {
    let survey = demo();
    let (house, marks) = (House::new(&survey), marks(&assess(&survey)));
    let drawn = one_line_overview(&house, &marks, letters(), PAGE.0);
    assert_texts(&drawn.scene);
    assert_finite(&drawn.scene);
    let placed = |id: &Id| drawn.scene.places.iter().filter(|place| place.item == *id).count();
    let boxes = survey.panels.iter().map(|panel| &panel.id);
    let boxes = boxes.chain(survey.supplies.iter().map(|supply| &supply.id));
    let boxes = boxes.chain(survey.inlets.iter().map(|inlet| &inlet.id));
    let feeders = survey.runs.iter().filter(|run| run.to.is_some()).map(|run| &run.id);
    let words: Vec<String> = drawn.scene.texts().map(|text| text.text.clone()).collect();
    for id in boxes.chain(feeders) {
        assert_eq!(placed(id), 1, "{id}");
        assert!(words.iter().any(|text| text.split(' ').any(|word| word == id.as_str())), "{id} in words");
    }
    assert!(survey.loads.iter().all(|load| placed(&load.id) == 0));
}

/// On a screen every box of the house can be tapped, ids are left out, and what is live or leads to danger is
/// brought out as in the whole drawing.
#[test]
fn the_house_on_a_screen_can_be_tapped_and_shows_what_is_live() {
    let survey = demo();
    let house = House::new(&survey);
    let feeder = survey.runs.iter().find(|run| run.to.as_ref() == Some(&survey.panels[1].id)).unwrap();
    let emphasis = Emphasis::from([
        (survey.supplies[0].id.clone(), Role::Live(0)),
        (survey.panels[0].id.clone(), Role::Live(0)),
        (feeder.id.clone(), Role::Peril),
    ]);
    let drawn = |emphasis: &Emphasis| one_line_of_house(&house, &Marks::new(), emphasis, letters()).scene;
    let (plain, scene) = (drawn(&Emphasis::new()), drawn(&emphasis));
    assert_texts(&scene);
    assert_finite(&scene);
    let boxes = survey.panels.iter().map(|panel| &panel.id);
    for id in boxes.chain(survey.supplies.iter().map(|supply| &supply.id)) {
        assert!(scene.hits.iter().any(|hit| hit.item == *id), "{id}");
        assert!(scene.texts().all(|text| !text.text.starts_with(&format!("{id} "))), "{id} in words");
    }
    let inks = |scene: &Scene, paint: Paint| {
        let strokes = scene.shapes.iter().filter(|shape| match shape {
            Shape::Line { stroke, .. } => stroke.paint == paint,
            Shape::Rect { stroke, .. } | Shape::Circle { stroke, .. } | Shape::Path { stroke, .. } => {
                stroke.is_some_and(|stroke| stroke.paint == paint)
            }
            Shape::Text(_) => false,
        });
        strokes.count()
    };
    assert!(inks(&scene, Paint::Live(0)) >= 2 && inks(&scene, Paint::Peril) >= 1);
    assert_eq!((inks(&plain, Paint::Live(0)), inks(&plain, Paint::Peril)), (0, 0));
}

/// The part of a panel on a screen: its own circuits, and the panels beside it as names that lead on.
#[test]
fn the_part_of_a_panel_leads_to_its_neighbours() {
    let survey = demo();
    let house = House::new(&survey);
    let part = |id: &Id| one_line_of_panel(&house, id, &Marks::new(), &Emphasis::new(), letters());
    let whole = one_line(&house, &Marks::new(), &Emphasis::new(), letters());
    let is_tapped = |scene: &Scene, id: &Id| scene.hits.iter().any(|hit| hit.item == *id);
    for panel in &survey.panels {
        let drawn = part(&panel.id).expect("a panel of the survey");
        assert_texts(&drawn.scene);
        assert_finite(&drawn.scene);
        // What can be tapped of the panel in the whole drawing can be tapped here.
        for way in &panel.ways {
            let (here, there) = (is_tapped(&drawn.scene, &way.id), is_tapped(&whole.scene, &way.id));
            assert_eq!(here, there, "{}", way.id);
        }
        // Whatever other panel it names can be tapped.
        for other in &survey.panels {
            let is_named = drawn.scene.places.iter().any(|place| place.item == other.id);
            assert_eq!(is_named, is_tapped(&drawn.scene, &other.id), "{}", other.id);
        }
    }
    assert!(part(&Id::new("nowhere").unwrap()).is_none());
}

/// Each item stands in the part of some panel, or in the part of what no panel is joined to.
fn assert_in_parts(survey: &Survey) {
    let house = House::new(survey);
    let parts = one_line_in_parts(&house, &Marks::new(), letters(), PAGE);
    let scenes = || parts.iter().flat_map(|part| &part.sheets).map(|sheet| &sheet.scene);
    scenes().for_each(assert_finite);
    let placed = |id: &Id| scenes().any(|scene| scene.places.iter().any(|place| place.item == *id));
    for id in items(&house) {
        assert!(placed(&id), "{id} is in no part");
    }
}

#[test]
fn every_item_is_in_a_part_and_no_words_lie_on_others() {
    let survey = demo();
    assert_in_parts(&survey);
    let (house, marks) = (House::new(&survey), marks(&assess(&survey)));
    let parts = one_line_in_parts(&house, &marks, letters(), PAGE);
    assert_eq!(parts.len(), survey.panels.len(), "nothing of the demo is joined to no panel");
    for sheet in parts.iter().flat_map(|part| &part.sheets) {
        assert_texts(&sheet.scene);
        assert!(sheet.scene.width <= PAGE.0 && sheet.scene.height <= PAGE.1);
    }
    for survey in [standby(), with_battery()] {
        assert_in_parts(&survey);
    }
}

#[test]
fn small_houses_lay_out_without_a_crossing() {
    for survey in [standby(), with_battery()] {
        let drawn = one_line(&House::new(&survey), &Marks::new(), &Emphasis::new(), letters());
        assert_eq!(drawn.crossings, 0);
        assert_once(&survey, &drawn.scene);
        assert_texts(&drawn.scene);
        with_plan(&survey, |plan| {
            assert_boxes(plan);
            assert_wires(plan);
            assert_no_shared_stretch(plan);
        });
    }
}

#[test]
fn sources_stand_above_what_they_feed() {
    let survey = demo();
    let drawn = one_line(&House::new(&survey), &Marks::new(), &Emphasis::new(), letters());
    let y = |id: &str| drawn.scene.place_of(id).unwrap().y;
    for (upper, lower) in [
        ("S1", "P2"),
        ("P2", "P1"),
        ("P1", "P7"),
        ("S4", "I1"),
        ("I1", "P2"),
        ("S2", "P9"),
        ("T1", "P4"),
        ("S3", "P5"),
    ] {
        assert!(y(upper) < y(lower), "{upper} feeds {lower}");
    }
}

#[test]
fn small_circuits_are_rows_and_heavy_ones_have_symbols() {
    let survey = demo();
    let drawn = one_line(&House::new(&survey), &Marks::new(), &Emphasis::new(), letters());
    let place = |id: &str| drawn.scene.place_of(id).unwrap();
    // The row of a circuit stands for its way, its run and its load.
    assert_eq!(place("P2.17"), place("R201"));
    assert!(place("P2").holds(&place("P2.17"), 0.0));
    let pump = survey.loads.iter().find(|load| load.name == "Well pump").unwrap();
    assert!(!place("P4").holds(&place(pump.id.as_str()), 0.0));
    for symbol in [
        Symbol::Transformer,
        Symbol::Inverter,
        Symbol::Battery,
        Symbol::PullOut,
        Symbol::Interlock,
        Symbol::Earth,
        Symbol::Motor,
    ] {
        assert!(drawn.symbols.contains(&symbol), "{symbol:?}");
    }
    assert!(!drawn.symbols.contains(&Symbol::Loose));
}

#[test]
fn a_live_path_is_told_by_weight_and_dash() {
    let survey = demo();
    let id = |text: &str| Id::new(text).unwrap();
    let emphasis =
        Emphasis::from([(id("R012"), Role::Live(1)), (id("R005"), Role::Dead), (id("R009"), Role::Peril)]);
    let drawn = one_line(&House::new(&survey), &Marks::new(), &emphasis, letters());
    let strokes: Vec<_> = drawn
        .scene
        .shapes
        .iter()
        .filter_map(|shape| match shape {
            Shape::Path { stroke: Some(stroke), .. } => Some(*stroke),
            _ => None,
        })
        .collect();
    let with = |paint: Paint| strokes.iter().find(|stroke| stroke.paint == paint).copied().unwrap();
    assert_eq!(with(Paint::Live(1)).weight, Weight::Strong);
    assert_ne!(with(Paint::Live(1)).dash, with(Paint::Ink).dash);
    assert_eq!(with(Paint::Dead).weight, Weight::Hair);
    // A path to danger is a double line.
    assert_eq!(with(Paint::Peril).weight, Weight::Bus);
    assert!(strokes.iter().any(|stroke| stroke.paint == Paint::Paper));
}

#[test]
fn a_planned_run_is_dashed() {
    let mut survey = standby();
    survey.runs[2].planned = true;
    let drawn = one_line(&House::new(&survey), &Marks::new(), &Emphasis::new(), letters());
    assert!(drawn.symbols.contains(&Symbol::Planned));
}

#[test]
fn an_empty_survey_gives_an_empty_drawing() {
    let mut survey = demo();
    survey.supplies.clear();
    survey.panels.clear();
    survey.runs.clear();
    survey.loads.clear();
    survey.transfers.clear();
    survey.interlocks.clear();
    survey.inlets.clear();
    survey.electrodes.clear();
    let drawn = one_line(&House::new(&survey), &Marks::new(), &Emphasis::new(), letters());
    assert_finite(&drawn.scene);
    assert!(drawn.scene.places.is_empty());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 250, rng_seed: proptest::test_runner::RngSeed::Fixed(11), ..ProptestConfig::default() })]

    #[test]
    fn random_houses_lay_out(survey in houses()) {
        let drawn = one_line(&House::new(&survey), &Marks::new(), &Emphasis::new(), letters());
        assert_finite(&drawn.scene);
        assert_once(&survey, &drawn.scene);
        with_plan(&survey, |plan| {
            assert_boxes(plan);
            assert_wires(plan);
            assert_no_shared_stretch(plan);
        });
    }

    #[test]
    fn random_houses_have_an_overview_and_parts(survey in houses()) {
        assert_finite(&one_line_overview(&House::new(&survey), &Marks::new(), letters(), PAGE.0).scene);
        assert_in_parts(&survey);
    }
}

/// On paper nobody can tap on a name that is cut: a list takes the width of its longest name, up to a limit.
#[test]
fn names_in_lists_stand_whole_on_paper() {
    let mut survey = demo();
    let long = "Counter outlets left of the sink";
    let panel = survey.panels.iter_mut().find(|panel| panel.id.as_str() == "P1").unwrap();
    panel.ways.iter_mut().for_each(|way| way.label = long.into());
    let house = House::new(&survey);
    let of_panel =
        |survey_part: &super::PartDrawn| survey_part.panel.as_ref().is_some_and(|id| id.as_str() == "P1");
    let parts = one_line_in_parts(&house, &Marks::new(), letters(), PAGE);
    let part = parts.iter().find(|part| of_panel(part)).unwrap();
    let texts: Vec<&str> =
        part.sheets.iter().flat_map(|sheet| sheet.scene.texts()).map(|text| text.text.as_str()).collect();
    assert!(texts.iter().any(|text| text.ends_with(long)), "{texts:?}");
    assert!(!texts.iter().any(|text| text.contains("Counter") && text.ends_with('…')), "{texts:?}");
}

/// The boxes of a drawing: what is framed, and larger than a symbol.
fn framed(scene: &Scene) -> Vec<Rect> {
    let rects = scene.shapes.iter().filter_map(|shape| match shape {
        Shape::Rect { rect, stroke: Some(_), .. } => Some(*rect),
        _ => None,
    });
    rects.filter(|rect| rect.width > 60.0).collect()
}

/// The straight pieces of the wires of a drawing.
fn wire_pieces(scene: &Scene) -> Vec<Rect> {
    let lines = scene.shapes.iter().flat_map(|shape| match shape {
        Shape::Line { points, stroke } if stroke.weight > Weight::Hair => vec![points.clone()],
        Shape::Path { path, stroke: Some(stroke), .. } if stroke.weight > Weight::Hair => path.flattened(),
        _ => Vec::new(),
    });
    lines
        .flat_map(|points| points.windows(2).map(|pair| around(pair[0], pair[1])).collect::<Vec<_>>())
        .collect()
}

/// A wire on the edge of a box is taken for the box, and a wire close to it for a part of it.
fn assert_no_wire_on_an_edge(scene: &Scene) {
    /// Least distance between a wire and an edge along it [units].
    const CLEAR: f32 = 6.0;
    let frames = framed(scene);
    for piece in wire_pieces(scene) {
        for frame in &frames {
            let shared = |from: f32, to: f32, low: f32, high: f32| to.min(high) - from.max(low);
            let upright = piece.width < 0.5 && piece.height > 0.5;
            let level = piece.height < 0.5 && piece.width > 0.5;
            let near = |at: f32, edges: [f32; 2]| edges.iter().any(|edge| (at - edge).abs() < CLEAR);
            let along_side = upright
                && near(piece.x, [frame.x, frame.right()])
                && shared(piece.y, piece.bottom(), frame.y, frame.bottom()) > 1.0;
            let along_top = level
                && near(piece.y, [frame.y, frame.bottom()])
                && shared(piece.x, piece.right(), frame.x, frame.right()) > 1.0;
            assert!(!along_side && !along_top, "the wire {piece:?} runs on the edge of {frame:?}");
        }
    }
}

#[test]
fn no_wire_on_paper_runs_on_the_edge_of_a_box() {
    let survey = demo();
    let (house, marks) = (House::new(&survey), marks(&assess(&survey)));
    assert_no_wire_on_an_edge(&one_line_overview(&house, &marks, letters(), PAGE.0).scene);
    for sheet in one_line_in_parts(&house, &marks, letters(), PAGE).iter().flat_map(|part| &part.sheets) {
        assert_no_wire_on_an_edge(&sheet.scene);
    }
}

#[test]
fn the_overview_of_the_demo_fits_the_width_of_a_page() {
    let survey = demo();
    let (house, marks) = (House::new(&survey), marks(&assess(&survey)));
    for width in [PAGE.0, 1020.0] {
        let drawn = one_line_overview(&house, &marks, letters(), width);
        assert!(drawn.scene.width <= width + 0.5, "{} of {width}", drawn.scene.width);
        assert!(drawn.scene.height <= PAGE.1, "{}", drawn.scene.height);
        assert_texts(&drawn.scene);
    }
}

/// 38 spaces in two sections, eleven boxes beside them: a sheet for each section.
#[test]
fn the_largest_panel_of_the_demo_takes_two_sheets() {
    let survey = demo();
    let (house, marks) = (House::new(&survey), marks(&assess(&survey)));
    let parts = one_line_in_parts(&house, &marks, letters(), PAGE);
    for part in &parts {
        let most = if part.panel.as_ref().is_some_and(|id| id.as_str() == "P2") { 2 } else { 1 };
        assert!(part.sheets.len() <= most, "{:?}: {}", part.panel, part.sheets.len());
        for sheet in &part.sheets {
            // No sheet shows little more than the end of a wire.
            assert!(sheet.scene.places.len() >= 4 && sheet.scene.height >= 200.0, "{:?}", part.panel);
        }
    }
    let split = parts.iter().find(|part| part.sheets.len() > 1).unwrap();
    assert_eq!(split.sheets[0].joints, split.sheets[1].joints);
    let lighting = |sheet: &Scene| sheet.place_of("P2.light").is_some();
    assert!(!lighting(&split.sheets[0].scene) && lighting(&split.sheets[1].scene));
}

/// Each item of a panel stands once on its sheets, and every way and run with its id.
#[test]
fn on_paper_every_way_and_run_of_a_panel_is_told_once() {
    let survey = demo();
    let (house, marks) = (House::new(&survey), marks(&assess(&survey)));
    let parts = one_line_in_parts(&house, &marks, letters(), PAGE);
    for (panel, part) in survey.panels.iter().zip(&parts) {
        let placed = |id: &Id| {
            let places = part.sheets.iter().flat_map(|sheet| &sheet.scene.places);
            places.filter(|place| place.item == *id).count()
        };
        for way in &panel.ways {
            assert_eq!(placed(&way.id), 1, "{}", way.id);
        }
        for run in survey.runs.iter().filter(|run| panel.ways.iter().any(|way| way.id == run.from)) {
            assert_eq!(placed(&run.id), 1, "{}", run.id);
        }
    }
}
