//! The sizing page by hand: the load in every form, the pad, prices, and a planned run.

use i_slint_backend_testing::AccessibleRole;
use slint::{ComponentHandle as _, Model as _};

use super::hand::{Hand, settle};
use crate::generated::{Page, Sizing};
use crate::{Intent, Per, Place, Price};

/// Tall enough for the whole page.
const WHOLE: (f32, f32) = (1280.0, 4400.0);

fn on_page(size: (f32, f32)) -> Hand {
    let hand = Hand::on_demo(size, 1.0);
    hand.go_to(Place::Runs);
    hand.tap("Size a cable");
    assert_eq!(page(&hand), Page::Sizing);
    hand
}

fn page(hand: &Hand) -> Page {
    hand.navigation(|navigation| navigation.get_page())
}

fn copper(hand: &Hand) -> crate::generated::Metal {
    hand.app.window.global::<Sizing>().get_metals().row_data(0).unwrap()
}

fn needed(hand: &Hand) -> String {
    hand.app.window.global::<Sizing>().get_needed().to_string()
}

#[test]
fn a_figure_is_typed_on_the_pad_and_the_answer_moves_with_it() {
    for size in [WHOLE, (800.0, 4400.0)] {
        let hand = on_page(size);
        // 30 A at 240 V over 50 ft: 10 AWG NM-B carries it (60 °C column of Table 310.16: 30 A).
        assert_eq!(copper(&hand).size, "10 AWG");
        hand.tap("Enter: Load");
        assert_eq!(page(&hand), Page::Sheet);
        hand.tap("Rub out");
        hand.tap("Rub out");
        hand.type_on_pad("45.5");
        hand.tap("Keep");
        assert_eq!(page(&hand), Page::Sizing, "back where one came from");
        assert!(needed(&hand).contains("45.5 A"), "{}", needed(&hand));
        assert_eq!(copper(&hand).size, "6 AWG");
        assert_eq!(copper(&hand).sizes.row_count(), 3, "with the next two sizes");
    }
}

#[test]
fn what_cannot_be_entered_is_said_on_the_pad_and_the_way_back_leads_to_the_page() {
    let hand = on_page(WHOLE);
    hand.tap("Enter: Length one way");
    hand.type_on_pad("..");
    hand.tap("Keep");
    assert_eq!(page(&hand), Page::Sheet);
    assert!(hand.reads("This cannot be entered"));
    hand.press(slint::platform::Key::Escape);
    assert_eq!(page(&hand), Page::Sizing);
    assert_eq!(copper(&hand).size, "10 AWG", "what stood there stays");
    // A second step back leaves the page.
    hand.press(slint::platform::Key::Escape);
    assert_eq!(page(&hand), Page::None);
}

/// 9.6 kW at 100 % and 240 V are 40 A; 5 hp at 230 V are 28 A (Table 430.248), times 1.25 is 35 A.
#[test]
fn the_load_is_given_in_watts_as_a_motor_or_by_its_plate() {
    let hand = on_page(WHOLE);
    hand.tap("Watts");
    assert_eq!(copper(&hand).size, "", "watts give no current without a power factor");
    hand.app.window.global::<Sizing>().invoke_chosen("power_factor".into(), "100 %".into());
    hand.app.window.global::<Sizing>().invoke_chosen("power".into(), "9.6 kW".into());
    settle();
    assert!(needed(&hand).starts_with("Load 40 A"), "{}", needed(&hand));
    hand.tap("Motor (hp)");
    hand.tap("5 hp");
    assert!(needed(&hand).contains("28 A") && needed(&hand).contains("35 A"), "{}", needed(&hand));
    hand.tap("Plate (MCA, MOCP)");
    hand.tap("Enter: Plate: minimum circuit ampacity");
    hand.tap("25 A");
    assert!(needed(&hand).starts_with("Load 25 A"), "{}", needed(&hand));
}

#[test]
fn a_load_of_the_survey_fills_the_page_and_what_it_lacks_is_said() {
    let hand = on_page(WHOLE);
    hand.tap("A load of the survey");
    hand.tap("Refrigerator");
    assert_eq!(page(&hand), Page::Sizing);
    let sizing = hand.app.window.global::<Sizing>();
    assert_eq!(sizing.get_plate(), "By the plate of Refrigerator");
    if !sizing.get_problem().is_empty() {
        assert!(hand.reads("Not seen yet of Refrigerator"), "{}", sizing.get_problem());
        hand.tap("Go to its fields");
        assert_eq!(hand.place(), Place::Loads);
    }
}

#[test]
fn a_price_is_entered_to_the_cent_and_kept_beyond_the_survey() {
    let hand = on_page(WHOLE);
    assert_eq!(copper(&hand).sizes.row_data(0).unwrap().price, "no price yet");
    hand.tap("Price of 10 AWG Copper");
    hand.type_on_pad("1.37");
    hand.tap("Keep");
    let sizes = copper(&hand).sizes;
    // 50 ft and a tenth for waste: 55 ft at 1.37 are 75.35.
    assert_eq!(sizes.row_data(0).unwrap().price, "75.35 in all");
    assert_eq!(sizes.row_data(1).unwrap().price, "no price yet");
    let kept = hand.kept.borrow();
    let Some(Intent::KeepPrices(prices)) = kept.others.last() else { panic!("{:?}", kept.others) };
    assert_eq!(
        prices.iter().collect::<Vec<_>>(),
        [(
            &"NM-B cable, 10 AWG copper, 2 conductors + ground".to_owned(),
            &Price { hundredths: 137, per: Per::Foot }
        )]
    );
}

#[test]
fn a_price_for_a_meter_is_offered_where_lengths_are_in_meters() {
    let hand = on_page(WHOLE);
    hand.app.window.global::<Sizing>().invoke_chosen("length".into(), "10 m".into());
    settle();
    hand.tap("Price of 10 AWG Copper");
    hand.type_on_pad("4.10");
    hand.tap("Keep");
    // 10 m and a tenth for waste: 11 m at 4.10 are 45.10.
    assert_eq!(copper(&hand).sizes.row_data(0).unwrap().price, "45.10 in all");
}

#[test]
fn single_conductors_have_a_price_each() {
    let hand = on_page(WHOLE);
    hand.tap("Single conductors in a raceway");
    let size = copper(&hand).size;
    hand.tap(&format!("Price of {size} Copper"));
    let priced = format!("Single conductor THWN-2, {size} copper: no price yet").replacen('S', "s", 1);
    hand.tap(&priced);
    hand.type_on_pad("2");
    hand.tap("Keep");
    assert_eq!(page(&hand), Page::Sizing);
    assert_eq!(copper(&hand).sizes.row_data(0).unwrap().price, "no price yet", "the ground has none yet");
    hand.tap(&format!("Price of {size} Copper"));
    assert!(hand.find(AccessibleRole::Button, &priced.replace("no price yet", "2.00 a foot")).is_some());
    hand.press(slint::platform::Key::Escape);
    assert_eq!(page(&hand), Page::Sizing);
}

#[test]
fn a_planned_run_joins_the_cable_list_and_its_price_the_total() {
    let hand = on_page(WHOLE);
    let planned = |hand: &Hand| hand.kept.borrow().survey.runs.iter().filter(|run| run.planned).count();
    let before = planned(&hand);
    let rows = || hand.app.window.global::<Sizing>().get_cables().row_count();
    let listed = rows();
    hand.tap("Plan this run");
    let first = hand.kept.borrow().survey.supplies[0].name.clone();
    hand.tap(&first);
    assert_eq!(planned(&hand), before + 1);
    hand.app.open_sizing_page();
    settle();
    assert!(rows() > listed || rows() > 0);
    hand.tap("Price of NM-B cable, 10 AWG copper, 2 conductors + ground");
    hand.type_on_pad("1.37");
    hand.tap("Keep");
    assert!(hand.app.window.global::<Sizing>().get_total().contains("75.35"));
}

#[test]
fn a_supply_of_the_survey_and_a_voltage_by_hand_are_taken() {
    let hand = on_page(WHOLE);
    let supply = hand.kept.borrow().survey.supplies[0].name.clone();
    hand.tap(&supply);
    assert!(hand.find(AccessibleRole::Button, "240 V, two hots").is_some());
    hand.tap("120 V, one hot and a neutral");
    let system = || {
        let conditions = hand.app.window.global::<Sizing>().get_conditions();
        conditions.iter().find(|line| line.name == "System").unwrap().value.to_string()
    };
    assert!(system().starts_with("120 V"), "{}", system());
    hand.tap("None of them");
    hand.tap("Other voltage");
    for _ in 0..3 {
        hand.tap("Rub out");
    }
    hand.type_on_pad("127");
    hand.tap("Keep");
    assert!(system().starts_with("127 V"), "{}", system());
}
