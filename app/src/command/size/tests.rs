//! What `size` asks for, and what it answers.

use clap::Parser;
use deadfront_rules::sizing;
use deadfront_rules::survey::Survey;

use super::{Size, cable, cable_list, json, table};

#[derive(Debug, Parser)]
struct Line {
    #[command(flatten)]
    size: Size,
}

/// Reads a line as a shell would, with `'` around words that hold spaces.
fn line(text: &str) -> Result<Size, String> {
    let quoted = text.split('\'').enumerate();
    let words = quoted.flat_map(|(at, part)| match at % 2 {
        0 => part.split_whitespace().map(str::to_owned).collect::<Vec<_>>(),
        _ => vec![part.to_owned()],
    });
    let words = std::iter::once("size".to_owned()).chain(words);
    Line::try_parse_from(words).map(|line| line.size).map_err(|error| error.to_string())
}

fn answer(text: &str) -> String {
    let size = line(text).unwrap();
    table::text(&sizing::size(&size.request().unwrap()), size.derivations)
}

fn complaint(text: &str) -> String {
    match line(text) {
        Ok(size) => size.request().unwrap_err().to_string(),
        Err(error) => error,
    }
}

const WHOLE: &str = "--amps 32 --volts 240 --length '85 ft' --method nm_b --continuous --ambient '95 F' \
    --terminals '60 C' --power-factor 100";

#[test]
fn one_metal() {
    insta::assert_snapshot!(answer(WHOLE));
}

#[test]
fn both_metals_with_derivations() {
    insta::assert_snapshot!(answer(
        "--load '9 kVA' --volts 120/240 --length '140 ft' --method raceway --raceway plastic --insulation \
         XHHW-2 --feeder --typical --derivations"
    ));
}

#[test]
fn every_missing_fact_is_asked_for_at_once() {
    insta::assert_snapshot!(complaint("--load '4.5 kW' --method raceway"));
    // A typical power factor of a load in watts there is not.
    let text = "--load '4.5 kW' --volts 240 --length '10 ft' --method nm_b --typical";
    assert!(complaint(text).contains("--power-factor"));
    assert!(line(&format!("{text} --power-factor '100 %'")).unwrap().request().is_ok());
}

#[test]
fn two_loads_are_one_too_many() {
    assert!(complaint(&format!("{WHOLE} --hp '1 hp'")).contains("--amps, --load, --hp or --mca"));
}

#[test]
fn what_is_no_quantity_or_choice_is_refused_with_an_example() {
    for (wrong, part) in [
        ("--amps x", "does not start with a number"),
        ("--length 85", "needs one of the units"),
        ("--method nm_c", "take one of: knob_and_tube"),
        ("--terminals 75", "take one of: 60 C, 75 C"),
        ("--together 0", "0 is not in 1.."),
        ("--all", "--survey"),
        ("--dc --feeder", "cannot be used with"),
    ] {
        assert!(complaint(wrong).contains(part), "{wrong}: {}", complaint(wrong));
    }
    let odd = WHOLE.replace("--volts 240", "--volts 230");
    assert!(complaint(&odd).contains("take 120, 208, 240"));
}

#[test]
fn the_outcome_tells_whether_one_fits() {
    use super::super::Outcome;
    assert_eq!(line(WHOLE).unwrap().run().unwrap(), Outcome::Clear);
    let large = WHOLE.replace("--amps 32", "--amps 320");
    assert_eq!(line(&large).unwrap().run().unwrap(), Outcome::Findings);
    assert!(line("--amps 32").unwrap().run().is_err());
    assert!(line("--survey /nowhere/at/all.json").unwrap().run().is_err());
}

#[test]
fn json_holds_the_figures() {
    let size = line(WHOLE).unwrap();
    let answer = sizing::size(&size.request().unwrap());
    let json = serde_json::to_value(json::of_answer(&answer)).unwrap();
    assert_eq!(json["copper"]["result"], "fits");
    assert_eq!(json["copper"]["size"], "8 AWG");
    assert_eq!(json["copper"]["device"]["number"], 40.0);
    assert_eq!(json["aluminium"]["result"], "none_fits");
    assert!(json["computed_for"].as_array().unwrap().len() > 10);
    assert!(json["copper"]["derivation"].as_array().unwrap().len() > 10);
}

/// An invented house with three planned runs.
fn survey() -> Survey {
    let run = |id: &str, method: &str, size: Option<&str>| {
        serde_json::json!({
            "id": id, "name": format!("Run {id}"), "from": "P", "planned": true, "circuit": "two_hots",
            "material": "copper", "size": size, "parallel_sets": 1, "method": method, "length": "50 ft",
            "equipment_ground": "wire",
        })
    };
    serde_json::from_value(serde_json::json!({
        "deadfront_survey": 1,
        "site": { "name": "Test house", "rules": "us", "invented": true },
        "panels": [{ "id": "P", "name": "Panel" }],
        "runs": [
            run("R1", "nm_b", Some("12 AWG")), run("R2", "nm_b", Some("12 AWG")), run("R3", "nm_b", None),
            run("R4", "knob_and_tube", Some("12 AWG"))
        ],
    }))
    .unwrap()
}

#[test]
fn cable_of_a_survey() {
    let survey = survey();
    let list = cable_list(&survey, false);
    insta::assert_snapshot!(cable::text(&survey, &list));
    let json = serde_json::to_value(json::of_list(&survey, &list)).unwrap();
    assert_eq!(json["to_buy"][0]["runs"], serde_json::json!(["R1", "R2"]));
    assert_eq!(json["cannot_be_counted"][0]["missing"][0]["fact"], "size");
    let mut none = survey;
    none.runs.clear();
    assert!(cable::text(&none, &cable_list(&none, false)).contains("There are none."));
}
