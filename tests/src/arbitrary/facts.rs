//! The facts of a record, each known or not.

use std::sync::LazyLock;

use deadfront_rules::survey::{CANNOT_BE_SEEN, Survey};
use proptest::prelude::*;
use serde_json::{Map, Value};

use super::values;

static SCHEMA: LazyLock<Value> = LazyLock::new(|| schemars::schema_for!(Survey).to_value());

/// The fields of one item as they stand in the file.
pub(super) type Fields = Map<String, Value>;

/// The facts of the record type `record`, each known with probability `share`.
pub(super) fn facts(record: &str, share: f64) -> BoxedStrategy<Fields> {
    let strategies: Vec<_> =
        fact_types(record).into_iter().map(|(name, kind)| fact(record, name, kind, share)).collect();
    strategies.prop_map(|facts| facts.into_iter().flatten().collect()).boxed()
}

fn fact(
    record: &str,
    name: &'static str,
    kind: &'static str,
    share: f64,
) -> BoxedStrategy<Option<(String, Value)>> {
    let known = known(record, name, kind);
    let unseen = prop_oneof![2 => Just(None), 1 => Just(Some(Value::from(CANNOT_BE_SEEN)))];
    (prop::bool::weighted(share), known, unseen)
        .prop_map(move |(seen, known, unseen)| {
            let value = if seen { Some(known) } else { unseen };
            value.map(|value| (name.to_owned(), value))
        })
        .boxed()
}

fn known(record: &str, name: &str, kind: &str) -> BoxedStrategy<Value> {
    if let Some(usual) = values::usual(record, name) {
        return prop_oneof![9 => usual, 1 => any_value(kind)].boxed();
    }
    any_value(kind)
}

fn any_value(kind: &str) -> BoxedStrategy<Value> {
    match kind {
        "boolean" => any::<bool>().prop_map(Value::from).boxed(),
        "uint8" => any::<u8>().prop_map(Value::from).boxed(),
        "uint16" => any::<u16>().prop_map(Value::from).boxed(),
        _ => match choices(kind) {
            choices if choices.is_empty() => values::quantity(kind),
            choices => prop::sample::select(choices).prop_map(Value::from).boxed(),
        },
    }
}

/// The spellings of a choice; empty when the type is none.
pub(super) fn choices(kind: &str) -> Vec<&'static str> {
    let options = SCHEMA["$defs"][kind]["oneOf"].as_array().into_iter().flatten();
    options.filter_map(|option| option["const"].as_str()).collect()
}

/// The facts of a record by name, with the name of their type in the schema.
fn fact_types(record: &str) -> Vec<(&'static str, &'static str)> {
    let fields = SCHEMA["$defs"][record]["properties"].as_object();
    let fields = fields.unwrap_or_else(|| panic!("the survey has no record {record}"));
    let fact_type = |field: &'static Value| field["$ref"].as_str()?.strip_prefix("#/$defs/fact_");
    fields.iter().filter_map(|(name, field)| Some((name.as_str(), fact_type(field)?))).collect()
}

#[cfg(test)]
mod tests {
    use deadfront_rules::survey::*;

    use super::*;

    #[test]
    fn every_fact_of_every_record_is_found() {
        macro_rules! check {
            ($($record:ident),+) => {$({
                let found: Vec<&str> = fact_types(stringify!($record)).iter().map(|(name, _)| *name).collect();
                let mut facts = $record::FACTS.to_vec();
                facts.sort_unstable();
                assert_eq!(found, facts, stringify!($record));
            })+};
        }
        check!(
            Site,
            Supply,
            Surge,
            EfficiencyAt,
            RestingAt,
            Battery,
            Panel,
            Bus,
            Way,
            Device,
            Run,
            Load,
            Rating,
            Transfer,
            Interlock,
            Inlet,
            Electrode,
            Reading
        );
    }

    #[test]
    fn choices_come_from_the_schema() {
        assert_eq!(choices("Material"), ["copper", "aluminium", "copper_clad_aluminium"]);
        assert!(choices("a_length").is_empty());
    }
}
