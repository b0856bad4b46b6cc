//! Finding and removing facts in the JSON of a survey.

use std::fmt;
use std::sync::LazyLock;

use deadfront_rules::survey::Survey;
use serde_json::Value;

/// Fields that are no facts: identity, texts, structure, and what a record requires.
const NO_FACTS: &[&str] = &[
    "deadfront_survey",
    "id",
    "name",
    "place",
    "surveyor",
    "date",
    "purpose",
    "rules",
    "invented",
    "from",
    "also_from",
    "to",
    "neutral_of",
    "planned",
    "on",
    "spaces",
    "half",
    "bus",
    "label",
    "fed_by",
    "feeds",
    "at",
    "of",
    "ways",
    "when",
    "instrument",
    "taken_by",
    "file",
    "caption",
    "text",
    "role",
    "licence",
    "duration",
];

/// The way to a fact in a survey's JSON.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FactPath(String);

impl fmt::Display for FactPath {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// Every fact that is written in the survey, as JSON pointers.
#[must_use]
pub fn fact_paths(house: &Value) -> Vec<FactPath> {
    let mut paths = Vec::new();
    collect(house, "", &mut paths);
    paths
}

fn collect(value: &Value, path: &str, paths: &mut Vec<FactPath>) {
    match value {
        Value::Object(fields) => {
            let required = required_of(path);
            for (key, value) in fields {
                let is_structure =
                    NO_FACTS.contains(&key.as_str()) && !value.is_object() && !is_list_of_items(value);
                if !is_structure && !required.contains(&key.as_str()) {
                    collect(value, &format!("{path}/{key}"), paths);
                }
            }
        }
        Value::Array(items) => {
            for (at, item) in items.iter().enumerate() {
                collect(item, &format!("{path}/{at}"), paths);
            }
        }
        _ => paths.push(FactPath(path.to_owned())),
    }
}

fn is_list_of_items(value: &Value) -> bool {
    value.as_array().is_some_and(|items| items.first().is_some_and(Value::is_object))
}

/// Fields that a record must have although they look like facts: the kind of a supply or load (a
/// device's or panel's kind is a fact), the voltage of a line of a plate.
fn required_of(path: &str) -> &'static [&'static str] {
    let mut parts = path.rsplit('/');
    let last = parts.next().unwrap_or("");
    let list = parts.next().unwrap_or("");
    match list {
        "supplies" | "loads" if last.parse::<usize>().is_ok() => &["kind"],
        "ratings" => &["voltage"],
        "devices" => &["device", "state"],
        _ => &[],
    }
}

/// The forms in which a plate gives what a load draws.
const PLATE: &[&str] = &[
    "power",
    "apparent_power",
    "current",
    "horsepower",
    "mca",
    "mocp",
    "rla",
    "lra",
    "code_letter",
    "ratings",
];

/// Whether a path leads to one form of a plate, or of a supply's short-time figure, that gives several. The forms of a real plate agree;
/// those of a random one contradict each other, so that taking one away is no loss of knowledge but
/// another statement. The demo house, whose plates agree, is tested without this exception.
#[must_use]
pub fn is_one_of_several_plates(house: &Value, path: &FactPath) -> bool {
    let parts: Vec<&str> = path.0.split('/').collect();
    // Power and current that a supply gives for the same time say one thing, too.
    if let ["", "supplies", _, "surges", _, "power" | "current"] = parts[..] {
        let line = path.0.rsplit_once('/').map_or("", |(line, _)| line);
        return ["power", "current"].iter().all(|name| house.pointer(&format!("{line}/{name}")).is_some());
    }
    let ["", "loads", number, fact, ..] = parts[..] else { return false };
    let given = |name: &&&str| house.pointer(&format!("/loads/{number}/{name}")).is_some();
    PLATE.contains(&fact) && PLATE.iter().filter(given).count() > 1
}

/// The survey without one fact.
#[must_use]
pub fn without(house: &Value, path: &FactPath) -> Value {
    let mut house = house.clone();
    if let Some((parent, key)) = path.0.rsplit_once('/')
        && let Some(Value::Object(fields)) = house.pointer_mut(parent)
    {
        fields.remove(key);
    }
    house
}

/// Every fact of this kind that is written in the survey; the kind by its name in the schema: `a_length`.
///
/// # Panics
/// When the schema gives one field name to several kinds, or has no such kind.
#[must_use]
pub fn facts_of_kind(house: &Value, kind: &str) -> Vec<FactPath> {
    let names = fields_of_kind(kind);
    assert!(!names.is_empty(), "the survey has no fact of the kind {kind}");
    let of_kind = |path: &FactPath| path.0.rsplit('/').next().is_some_and(|name| names.contains(&name));
    fact_paths(house).into_iter().filter(of_kind).collect()
}

fn fields_of_kind(kind: &str) -> Vec<&'static str> {
    static SCHEMA: LazyLock<Value> = LazyLock::new(|| schemars::schema_for!(Survey).to_value());
    let reference = format!("#/$defs/fact_{kind}");
    let records = SCHEMA["$defs"].as_object().into_iter().flat_map(|records| records.values());
    let fields: Vec<(&String, &Value)> =
        records.filter_map(|record| record["properties"].as_object()).flatten().collect();
    let is = |field: &Value| field["$ref"].as_str() == Some(&reference);
    let names = fields.iter().filter(|(_, field)| is(field)).map(|(name, _)| name.as_str());
    let names: Vec<&str> = names.collect();
    for (name, field) in &fields {
        let other = field["$ref"].as_str().is_some_and(|other| other.starts_with("#/$defs/fact_"));
        assert!(!(names.contains(&name.as_str()) && other && !is(field)), "{name} is of several kinds");
    }
    names
}
