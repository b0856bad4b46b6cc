//! The published JSON Schema of the survey file.

use std::collections::BTreeSet;
use std::sync::LazyLock;

use deadfront_rules::survey::Survey;
use schemars::generate::SchemaSettings;
use serde_json::{Value, json};

use super::place::Step;
use super::version::READS;

static SCHEMA: LazyLock<Value> = LazyLock::new(make);

/// The JSON Schema (draft 2020-12) of the survey file.
#[must_use]
pub fn schema() -> Value {
    SCHEMA.clone()
}

fn make() -> Value {
    let generator = SchemaSettings::draft2020_12().into_generator();
    let mut schema = generator.into_root_schema_for::<Survey>();
    schema.insert("$id".into(), json!("urn:deadfront:survey:1"));
    schema.insert("title".into(), json!("Deadfront survey file, version 1"));
    schema.insert(
        "description".into(),
        json!(
            "A survey of one house. A fact left out or null has not been seen yet; \"cannot be seen\" means \
             that somebody looked. A quantity is a text with its unit, as entered: \"45 ft\", \"12 AWG\". \
             Beyond this schema each id is unique and each reference names an item of the right kind."
        ),
    );
    let mut schema = schema.to_value();
    if let Some(version) = schema.pointer_mut("/properties/deadfront_survey") {
        *version = json!({ "description": "Version of the file format.", "enum": READS });
    }
    schema
}

/// The choices that the schema offers at a place of the file; empty where there are none.
pub(super) fn choices_at(steps: &[Step]) -> Vec<&'static str> {
    let mut nodes = vec![&*SCHEMA];
    for step in steps {
        let nested = nodes.into_iter().flat_map(alternatives);
        nodes = match step {
            Step::Field(name) => nested.filter_map(|node| node.get("properties")?.get(name)).collect(),
            Step::Index(_) => nested.filter_map(|node| node.get("items")).collect(),
        };
    }
    let ends = nodes.into_iter().flat_map(alternatives);
    ends.filter(|node| node.get("type").is_some_and(|kind| kind == "string"))
        .flat_map(|node| {
            node.get("const")
                .into_iter()
                .chain(node.get("enum").and_then(Value::as_array).into_iter().flatten())
        })
        .filter_map(Value::as_str)
        .collect()
}

/// A schema with its references and alternatives followed.
fn alternatives(node: &'static Value) -> Vec<&'static Value> {
    let referred =
        node.get("$ref").and_then(Value::as_str).and_then(|to| SCHEMA.pointer(to.strip_prefix('#')?));
    let several = ["anyOf", "oneOf"].iter().filter_map(|word| node.get(word)?.as_array()).flatten();
    let mut all = vec![node];
    all.extend(referred.into_iter().chain(several).flat_map(alternatives));
    all
}

/// The names of all fields that hold a value of this JSON type somewhere in the file.
pub(super) fn fields_of_type(kind: &str) -> BTreeSet<&'static str> {
    let definitions =
        SCHEMA.get("$defs").and_then(Value::as_object).into_iter().flat_map(|defs| defs.values());
    let properties = std::iter::once(&*SCHEMA)
        .chain(definitions)
        .filter_map(|node| node.get("properties")?.as_object())
        .flatten();
    properties
        .filter(|(_, node)| {
            alternatives(node).iter().any(|node| match node.get("type") {
                Some(Value::String(name)) => name == kind,
                Some(Value::Array(names)) => names.iter().any(|name| name == kind),
                _ => false,
            })
        })
        .map(|(name, _)| name.as_str())
        .collect()
}
