use super::*;
use deadfront_rules::sizing::Choice;

fn survey(supply: &str) -> Survey {
    serde_json::from_str(&format!(
        r#"{{ "deadfront_survey": {format}, "site": {{ "name": "House", "rules": "us" }},
            "supplies": [{{ "id": "S1", "name": "Utility", "kind": "utility" {supply} }}],
            "panels": [{{ "id": "P1", "name": "Main", "ways": [{{ "id": "P1.1", "spaces": [1, 3] }}] }}],
            "runs": [{{ "id": "R0", "from": "S1", "to": "P1" }},
                     {{ "id": "R1", "from": "P1.1", "circuit": "two_hots" }}],
            "loads": [{{ "id": "L1", "name": "Heater", "on": "R1", "kind": "water_heater",
                         "voltage": "240 V", "power": "4.5 kW" }},
                      {{ "id": "L2", "name": "Freezer", "on": "R1", "kind": "refrigerator",
                         "voltage": "240 V", "current": "6 A" }}] }}"#,
        format = deadfront_rules::survey::FORMAT,
    ))
    .unwrap()
}

fn split() -> Survey {
    survey(r#", "output": "120/240 V", "voltage": "240 V""#)
}

fn size(settings: &Settings, survey: &Survey) -> String {
    let answer = settings.answer(survey).unwrap();
    match &answer.copper {
        Choice::Fits(fit) => fit.size.to_string(),
        other => panic!("{other:?}"),
    }
}

#[test]
fn figures_stay_in_their_range() {
    let (mut settings, empty) = (Settings::default(), Survey::empty(""));
    for _ in 0..500 {
        settings.turn("amperes", 1);
        settings.turn("length", -1);
    }
    assert_eq!((settings.entry("amperes"), settings.entry("length")), ("530 A", "5 ft"));
    settings.choose(&empty, "system", "99");
    settings.choose(&empty, "amperes", "no number");
    assert_eq!((settings.circuit, settings.entry("amperes")), (Circuit::TwoHots, "530 A"));
}

#[test]
fn every_set_of_controls_has_an_answer_or_says_what_is_missing() {
    let empty = Survey::empty("");
    for system in 0..SYSTEMS.len() {
        for purpose in 0..PURPOSES.len() {
            for method in Method::ALL {
                let mut settings = Settings { purpose, method: *method, ..Settings::default() };
                settings.choose(&empty, "system", &system.to_string());
                assert!(settings.answer(&empty).is_ok(), "{settings:?}");
            }
        }
    }
}

#[test]
fn a_plan_names_the_fields_of_a_run() {
    let empty = Survey::empty("");
    let mut settings = Settings::default();
    let plan = settings.plan(&empty, "copper").unwrap();
    let size = plan.fields.iter().find(|(field, _)| *field == "size").unwrap();
    assert!(size.1.ends_with("AWG"), "{size:?}");
    assert_eq!(plan.device, "30 A");
    assert!(!plan.fields.iter().any(|(field, _)| *field == "ambient"), "nobody gave it");
    settings.choose(&empty, "ambient", "40 C");
    settings.choose(&empty, "wet", "no");
    let plan = settings.plan(&empty, "copper").unwrap();
    assert!(plan.fields.contains(&("ambient", "40 C".to_owned())));
    assert!(plan.fields.contains(&("wet", "no".to_owned())));
    assert_eq!(settings.plan(&empty, "gold"), None);
}

/// 7.2 kW at 100 % and 240 V are 30 A; 1 hp at 230 V is 8 A (Table 430.248), times 1.25 is 10 A.
#[test]
fn every_form_of_a_load_is_taken() {
    let empty = Survey::empty("");
    let needed = |given, key: &str, entry: &str| {
        let mut settings = Settings { given, ..Settings::default() };
        settings.enter(key, entry).unwrap();
        settings.choose(&empty, "power_factor", "100 %");
        settings.answer(&empty).unwrap().needed.unwrap().ampacity.value
    };
    let is = |value: f64, wanted: f64| assert!((value - wanted).abs() < 1e-9, "{value} is not {wanted}");
    is(needed(Given::Amperes, "amperes", "30 A"), 30.0);
    is(needed(Given::Power, "power", "7.2 kW"), 30.0);
    is(needed(Given::Apparent, "apparent", "7200 VA"), 30.0);
    is(needed(Given::Horsepower, "horsepower", "1 hp"), 10.0);
    is(needed(Given::Plate, "mca", "24 A"), 24.0);
}

#[test]
fn a_load_of_the_survey_brings_its_plate_its_supply_and_its_circuit() {
    let (mut settings, survey) = (Settings::default(), split());
    settings.take_load(&survey, &Id::new("L1").unwrap());
    assert_eq!(settings.supply.as_ref().map(Id::as_str), Some("S1"));
    // 4.5 kW / 240 V = 18.75 A, a quarter more for a water heater: 23.4375 A.
    let needed = settings.answer(&survey).unwrap().needed.unwrap();
    assert!((needed.ampacity.value - 23.4375).abs() < 1e-9);
    assert_eq!(size(&settings, &survey), "10 AWG");
}

#[test]
fn what_a_load_of_the_survey_does_not_say_is_named_and_can_be_given_by_hand() {
    let (mut settings, survey) = (Settings::default(), split());
    settings.take_load(&survey, &Id::new("L2").unwrap());
    let lacking = settings.answer(&survey).unwrap_err();
    assert_eq!(
        lacking.why.to_string(),
        "Not seen yet of Freezer: continuous. Without it no size can be given."
    );
    assert_eq!(lacking.item.as_ref().map(Id::as_str), Some("L2"));
    settings.choose(&survey, "continuous", "no");
    assert_eq!(size(&settings, &survey), "14 AWG");
    settings.choose(&survey, "continuous", OPEN);
    assert!(settings.answer(&survey).is_err());
}

#[test]
fn a_supply_of_the_survey_gives_its_own_voltage() {
    let mut settings = Settings::default();
    let unseen = survey("");
    settings.choose(&unseen, "supply", "S1");
    let why = settings.answer(&unseen).unwrap_err().why.to_string();
    assert!(why.starts_with("Not seen yet of Utility: output"), "{why}");
    for (facts, volts) in [
        (r#", "output": "240 V", "voltage": "230 V""#, "230 V"),
        (r#", "output": "120/208 V", "voltage": "208 V""#, "208 V"),
    ] {
        let survey = survey(facts);
        settings.choose(&survey, "supply", "S1");
        assert_eq!(settings.request(&survey).unwrap().voltage.text(), volts);
    }
    // A voltage that is entered by hand is no longer that of the supply.
    settings.enter("voltage", "220 V").unwrap();
    assert_eq!(settings.supply, None);
}

#[test]
fn each_condition_reaches_the_answer() {
    let empty = Survey::empty("");
    let conditions = |key: &str, pick: &str| {
        let mut settings = Settings::default();
        settings.choose(&empty, key, pick);
        let answer = settings.answer(&empty).unwrap();
        let given = |it: &&deadfront_rules::sizing::Condition| it.origin == Origin::Given;
        answer
            .conditions
            .iter()
            .filter(given)
            .map(|it| format!("{}: {}", it.what, it.value))
            .collect::<Vec<_>>()
    };
    for (key, pick, told) in [
        ("ambient", "45 C", "ambient: 45 °C"),
        ("largest_drop", "2 %", "largest voltage drop: 2 %"),
        ("power_factor", "85 %", "power factor: 85 %"),
        ("together", "9", "conductors together: 9"),
        ("one_hole", "3", "cables in one hole: 3"),
        ("contact", "surrounded", "thermal insulation: surrounded by it"),
        ("wet", "yes", "wet place: yes"),
        ("terminals", "75 C", "terminals: 75 °C"),
        ("continuous", "yes", "continuous: yes, 3 hours or more"),
    ] {
        let told_of = conditions(key, pick);
        let stands = told_of.iter().any(|line| line.replace("45 C", "45 °C") == told);
        assert!(stands, "{told} in {told_of:?}");
    }
}
