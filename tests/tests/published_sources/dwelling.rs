//! The load of a whole dwelling by the methods of Article 220.

use deadfront_rules::capacity::demand::{
    Dwelling, Item, Worksheet, existing, neutral_demand, optional, standard,
};
use deadfront_rules::si::{Area, Current, Power, ampere, amperes, square_foot, volts, watt};
use deadfront_rules::tables::us::{self, ClauseId, DemandId, DeviceFamily};

use crate::example::{Case, Example, Found, is};

pub(crate) const CASES: &[(&str, Case)] = &[
    ("DW-01", annex_d1a),
    ("DW-03", annex_d2a),
    ("DW-05", annex_d2c),
    ("DW-07", heat_of_20_kw),
    ("DW-08", existing_dwelling),
    ("DW-10", general_load),
    ("DW-12", at_230_volts),
];

/// The floor area and the circuits of an example, with nothing else.
fn dwelling(example: &Example) -> Dwelling {
    Dwelling {
        floor_area: Area::new::<square_foot>(example.number("floor_area_ft2")),
        small_appliance_circuits: example.number("small_appliance_circuits") as u16,
        laundry_circuits: example.number("laundry_circuits") as u16,
        ..Dwelling::default()
    }
}

/// An appliance of so many kilowatts among the inputs.
fn appliance(example: &Example, input: &str) -> Item {
    Item::new(input, example.number(input) * 1000.0)
}

/// A range or dryer: it stands on both legs and the neutral.
fn with_neutral(example: &Example, input: &str) -> Vec<Item> {
    vec![appliance(example, input).with_neutral()]
}

/// Every example but one is at 240 V, where it does not say so.
fn service(example: &Example) -> deadfront_rules::si::Voltage {
    volts(example.inputs["service_v"].as_f64().unwrap_or(240.0))
}

/// Everything before the first demand factor [VA].
fn before_demand(sheet: &Worksheet) -> f64 {
    let before = sheet.lines.iter().take_while(|line| line.demand.is_none());
    before.map(|line| line.load.get::<watt>()).sum()
}

/// What counts of the lines with one of these words in their label [VA].
fn counted(sheet: &Worksheet, words: &[&str]) -> f64 {
    let lines = sheet.lines.iter().filter(|line| {
        let label = line.label.to_string();
        words.iter().any(|word| label.contains(word))
    });
    lines.filter_map(|line| line.demand).map(|demand| demand.get::<watt>()).sum()
}

const GENERAL: &[&str] = &["lighting + small-appliance", "lighting demand"];

fn volt_amperes(sheet: &Worksheet) -> f64 {
    sheet.total.get::<watt>()
}

/// The next standard rating, and no less than a one-family dwelling's service has.
fn service_rating(current: Current) -> f64 {
    let least = amperes(us::number(ClauseId::ServiceSmallest).value);
    let wanted = if current > least { current } else { least };
    let rating = us::standard_rating_at_least(wanted, DeviceFamily::Breaker).expect("a rating");
    rating.value.get::<ampere>()
}

fn annex_d1a(example: &Example) -> Found {
    let house = Dwelling {
        cooking: with_neutral(example, "range_kw").into(),
        dryers: with_neutral(example, "dryer_kw").into(),
        ..dwelling(example)
    };
    let sheet = standard(&house, service(example));
    let (neutral, neutral_current) = neutral_demand(&house, service(example));
    vec![
        is("general_load_before_demand_va", before_demand(&sheet)),
        is("general_load_after_demand_va", counted(&sheet, GENERAL)),
        is("range_demand_va", counted(&sheet, &["ranges"])),
        is("dryer_va", counted(&sheet, &["dryers"])),
        is("total_va", volt_amperes(&sheet)),
        is("service_current_a", sheet.current.get::<ampere>()),
        is("neutral_va", neutral.get::<watt>()),
        is("neutral_current_a", neutral_current.get::<ampere>()),
        is("minimum_service_a", service_rating(sheet.current)),
        is("lighting_va_per_ft2", us::demand(DemandId::LightingLoad).value.value),
    ]
}

fn annex_d2a(example: &Example) -> Found {
    let heaters = example.number("separately_controlled_heaters");
    let each = example.number("space_heat_kw") * 1000.0 / heaters;
    let cooling: Power = amperes(example.number("ac_a")) * volts(example.number("ac_v"));
    let house = Dwelling {
        cooking: with_neutral(example, "range_kw").into(),
        dryers: with_neutral(example, "dryer_kw").into(),
        appliances: vec![
            appliance(example, "water_heater_kw"),
            appliance(example, "dishwasher_kw").with_neutral(),
        ]
        .into(),
        heat: vec![Item::new("heater", each); heaters as usize].into(),
        cooling: vec![Item::new("air conditioner", cooling.get::<watt>()).motor()].into(),
        ..dwelling(example)
    };
    let sheet = optional(&house, service(example));
    let (neutral, neutral_current) = neutral_demand(&house, service(example));
    vec![
        is("ac_va", house.cooling.sum().get::<watt>()),
        is("general_load_va", before_demand(&sheet)),
        is("general_after_demand_va", counted(&sheet, &["optional method"])),
        is("heat_after_demand_va", counted(&sheet, &["heating units"])),
        is("total_va", volt_amperes(&sheet)),
        is("service_current_a", sheet.current.get::<ampere>()),
        is("minimum_service_a", service_rating(sheet.current)),
        is("neutral_va", neutral.get::<watt>()),
        is("neutral_current_a", neutral_current.get::<ampere>()),
    ]
}

fn annex_d2c(example: &Example) -> Found {
    let pump: Power = amperes(example.number("heat_pump_a")) * volts(example.number("heat_pump_v"));
    let house = Dwelling {
        cooking: with_neutral(example, "range_kw").into(),
        dryers: with_neutral(example, "dryer_kw").into(),
        appliances: vec![appliance(example, "water_heater_kw"), appliance(example, "dishwasher_kw")].into(),
        heat: vec![appliance(example, "supplementary_heat_kw").supplementing()].into(),
        heat_pumps: vec![Item::new("heat pump", pump.get::<watt>()).motor()].into(),
        ..dwelling(example)
    };
    let sheet = optional(&house, service(example));
    vec![
        is("general_load_va", before_demand(&sheet)),
        is("general_after_demand_va", counted(&sheet, &["optional method"])),
        is("heat_pump_and_heat_va", counted(&sheet, &["heat pump", "heat that supplements"])),
        is("total_va", volt_amperes(&sheet)),
        is("service_current_a", sheet.current.get::<ampere>()),
        is("service_rating_a", service_rating(sheet.current)),
        is("supplementary_factor", us::demand(DemandId::OptionalHeatPumpSupplement).value.value),
    ]
}

/// The example does not add the quarter of the disposer's motor that 220.50 asks for: it is entered as an
/// appliance without motor.
fn heat_of_20_kw(example: &Example) -> Found {
    let house = Dwelling {
        cooking: with_neutral(example, "range_kw").into(),
        dryers: with_neutral(example, "dryer_kw").into(),
        appliances: ["water_heater_kw", "dishwasher_kw", "disposer_kw"]
            .map(|input| appliance(example, input))
            .to_vec()
            .into(),
        heat: vec![appliance(example, "space_heat_kw")].into(),
        cooling: vec![appliance(example, "ac_kw").motor()].into(),
        ..dwelling(example)
    };
    let sheet = standard(&house, service(example));
    vec![
        is("general_load_before_demand_va", before_demand(&sheet)),
        is("general_load_after_demand_va", counted(&sheet, GENERAL)),
        is("dryer_va", counted(&sheet, &["dryers"])),
        is("fixed_appliances_va", counted(&sheet, &["fixed appliances"])),
        is("total_va", volt_amperes(&sheet)),
        is("service_current_a", sheet.current.get::<ampere>()),
    ]
}

fn existing_dwelling(example: &Example) -> Found {
    let before = Dwelling {
        cooking: with_neutral(example, "range_kw").into(),
        appliances: vec![appliance(example, "water_heater_kw")].into(),
        ..dwelling(example)
    };
    let sheet = existing(&before, service(example));
    let after = Dwelling {
        cooling: vec![appliance(example, "added_ac_kva").motor()].into(),
        new_heat_or_cooling: true,
        ..before
    };
    let with_ac = existing(&after, service(example));
    vec![
        is("existing_load_va", before_demand(&sheet)),
        is("existing_after_demand_va", volt_amperes(&sheet)),
        is("existing_current_a", sheet.current.get::<ampere>()),
        is("total_with_ac_va", volt_amperes(&with_ac)),
        is("total_current_a", with_ac.current.get::<ampere>()),
        is("service_is_enough", with_ac.current <= amperes(example.number("service_rating_a"))),
    ]
}

fn general_load(example: &Example) -> Found {
    let sheet = standard(&dwelling(example), service(example));
    vec![
        is("general_load_before_demand_va", before_demand(&sheet)),
        is("general_load_after_demand_va", counted(&sheet, GENERAL)),
    ]
}

fn at_230_volts(example: &Example) -> Found {
    let house = Dwelling { cooking: with_neutral(example, "range_kw").into(), ..dwelling(example) };
    let sheet = standard(&house, service(example));
    let lighting: Power = sheet
        .lines
        .iter()
        .filter(|line| line.label.to_string().contains("general lighting and outlets"))
        .map(|line| line.load)
        .sum();
    vec![
        is("lighting_va", lighting.get::<watt>()),
        is("lighting_current_a", (lighting / volts(example.number("branch_v"))).get::<ampere>()),
        is("general_load_before_demand_va", before_demand(&sheet)),
        is("general_load_after_demand_va", counted(&sheet, GENERAL)),
        is("total_va", volt_amperes(&sheet)),
        is("service_current_a", sheet.current.get::<ampere>()),
        is("minimum_service_a", service_rating(sheet.current)),
    ]
}
