//! Ampacity with its corrections, and the service conductors of a dwelling.

use deadfront_rules::codes::LimitRule;
use deadfront_rules::si::{Temperature, ampere, amperes, celsius};
use deadfront_rules::tables::us::{self, ClauseId, Column, Metal};
use serde_json::json;

use crate::example::{Case, Example, Found, is};
use crate::house::{ask, circuit};

pub(crate) const CASES: &[(&str, Case)] = &[
    ("AMP-01", corrected),
    ("AMP-03", corrected),
    ("AMP-05", corrected),
    ("AMP-06", corrected),
    ("AMP-07", dwelling_service),
];

/// The corrected ampacity of a run in a raceway, and what the source looked up for it.
fn corrected(example: &Example) -> Found {
    let rating = example.number("insulation_rating_c");
    let ambient = example.number("ambient_c");
    let size = example.size("conductor_awg");
    let bundled = example.inputs["current_carrying_conductors"].as_u64().unwrap_or(2);
    let run = json!({
        "circuit": "hot_and_neutral", "material": "copper", "size": size.to_string(),
        "parallel_sets": 1, "method": "raceway", "raceway": "steel", "wet": false,
        "insulation": if rating > 80.0 { "THHN" } else { "THWN" },
        "ambient": format!("{ambient} C"), "conductors_together": bundled, "insulation_contact": "none"
    });
    let ampacity = ask(&circuit(20.0, run, &[]), |house| house.ampacity(0).value.expect("an ampacity"));
    let mut found = vec![is("adjusted_ampacity_a", ampacity.corrected.get::<ampere>())];
    let column = Column::not_above(rating).expect("a column");
    let table = us::ampacity_in_raceway(size, example.metal(), column);
    found.push(is("table_ampacity_a", table.expect("a row").value.get::<ampere>()));
    found.extend(factors(example, column));
    found
}

fn factors(example: &Example, column: Column) -> Found {
    let mut found = Vec::new();
    if example.inputs.get("temperature_factor").is_some() {
        let ambient = Temperature::new::<celsius>(example.number("ambient_c"));
        found.push(is("temperature_factor", us::ambient_factor(ambient, column).expect("a factor").value));
    }
    if example.inputs.get("adjustment_factor").is_some() {
        let together = example.number("current_carrying_conductors") as u16;
        found.push(is("adjustment_factor", us::bundling_factor(together).expect("a factor").value));
    }
    found
}

/// 310.12: the share, the table of sizes, and the device that the service of a house may have.
fn dwelling_service(example: &Example) -> Found {
    let rating = amperes(example.number("service_rating_a"));
    let share = us::number(ClauseId::DwellingServiceShare).value;
    let size = |metal| us::dwelling_service_size(rating, metal).expect("a size").value;
    let (copper, aluminium) = (size(Metal::Copper), size(Metal::Aluminium));
    for (metal, size) in [("copper", copper), ("aluminium", aluminium)] {
        let (largest, rule) = service_limit(metal, &size.to_string());
        assert_eq!((largest, rule), (rating.get::<ampere>(), LimitRule::DwellingService), "{size} {metal}");
    }
    let table = |size, metal| us::ampacity_in_raceway(size, metal, Column::C75).expect("a row").value;
    vec![
        is("minimum_ampacity_a", (rating * share).get::<ampere>()),
        is("copper_awg", copper),
        is("aluminum_awg", aluminium),
        is("dwelling_factor", share),
        is("ampacity_75c_1_0_cu_a", table(copper, Metal::Copper).get::<ampere>()),
        is("ampacity_75c_3_0_al_a", table(aluminium, Metal::Aluminium).get::<ampere>()),
    ]
}

/// The largest device [A] of a run that carries the whole dwelling, and the rule that sets it.
fn service_limit(metal: &str, size: &str) -> (f64, LimitRule) {
    let run = json!({
        "circuit": "two_hots_and_neutral", "material": metal, "size": size, "parallel_sets": 1,
        "method": "raceway", "raceway": "plastic", "insulation": "THWN", "wet": true, "ambient": "86 F",
        "conductors_together": 2, "insulation_contact": "none", "carries_whole_dwelling": true,
        "from_terminal": "75 C", "to_terminal": "75 C"
    });
    let mut house = circuit(175.0, run, &[]);
    // A run that ends at its loads carries no whole dwelling: this one goes on to a panel.
    house["runs"][0]["to"] = json!("MAIN");
    house["panels"].as_array_mut().expect("panels").push(json!({ "id": "MAIN", "name": "Main panel" }));
    let limit = ask(&house, |house| house.device_limit(0).value.expect("a limit"));
    (limit.largest.get::<ampere>(), limit.rule)
}
