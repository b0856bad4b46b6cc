//! The items of a survey with all that is written about each, as label and words.

use deadfront_rules::house::{Index, describe};
use deadfront_rules::survey::questions::question;
use deadfront_rules::survey::{CANNOT_BE_SEEN, Device, Fact, Id, ItemKind, Survey};
use deadfront_rules::words::word;
use serde::Serialize;
use serde_json::Value;

/// What stands for a fact that nobody has looked for.
pub(super) const NOT_SEEN: &str = "not seen";

/// An item and what is written about it.
pub(super) struct Item {
    pub(super) id: Id,
    pub(super) what: &'static str,
    pub(super) name: String,
    /// Label and value; what is not written is left out.
    pub(super) facts: Vec<(String, String)>,
}

/// Parts of a supply that are listed by themselves.
const LISTS_OF_SUPPLY: [&str; 5] = ["battery", "output_device", "surges", "efficiencies", "resting_voltages"];

/// Every item of a survey in its order.
pub(super) fn items(survey: &Survey) -> Vec<Item> {
    let index = Index::of(survey);
    let mut list = vec![site(survey)];
    let mut add = |id: &Id, what: Option<&'static str>, facts: Vec<(String, String)>| {
        let (kind, name) = describe(survey, &index, id);
        // A record is unknown to the index, which answers with the house.
        let name = if kind == ItemKind::Site { String::new() } else { name };
        list.push(Item { id: id.clone(), what: what.unwrap_or_else(|| kind.words()), name, facts });
    };
    for supply in &survey.supplies {
        let mut facts = all(ItemKind::Supply, supply, &supply.facts(), &LISTS_OF_SUPPLY);
        if let Some(battery) = &supply.battery {
            facts.extend(known(ItemKind::Supply, "battery.", "battery: ", &battery.facts()));
        }
        facts.extend(device(ItemKind::Supply, "output_device.", &supply.output_device));
        for (at, surge) in supply.surges.iter().enumerate() {
            let label = format!("surge {}: ", at + 1);
            facts.extend(known(ItemKind::Supply, "surges.", &label, &surge.facts()));
        }
        for point in &supply.efficiencies {
            let label = format!("at {}: ", point.power);
            facts.extend(known(ItemKind::Supply, "efficiencies.", &label, &point.facts()));
        }
        for point in &supply.resting_voltages {
            let label = format!("at {}: ", point.charge);
            facts.extend(known(ItemKind::Supply, "resting_voltages.", &label, &point.facts()));
        }
        add(&supply.id, None, facts);
    }
    for panel in &survey.panels {
        let mut facts = all(ItemKind::Panel, panel, &panel.facts(), &["buses", "main", "ways"]);
        facts.extend(device(ItemKind::Panel, "main.", &panel.main));
        add(&panel.id, None, facts);
        for bus in panel.buses.iter() {
            let what = Some(ItemKind::Bus.words());
            add(&bus.id, what, all(ItemKind::Bus, bus, &bus.facts(), &[]));
        }
        for way in &panel.ways {
            let mut facts = all(ItemKind::Way, way, &way.facts(), &["device"]);
            facts.extend(device(ItemKind::Way, "device.", &way.device));
            add(&way.id, None, facts);
        }
    }
    macro_rules! plain {
        ($($items:ident: $kind:ident, $what:expr;)+) => {$(
            for item in &survey.$items {
                add(&item.id, $what, all(ItemKind::$kind, item, &item.facts(), &[]));
            }
        )+};
    }
    plain! { runs: Run, None; loads: Load, None; transfers: Transfer, None; interlocks: Interlock, None;
    inlets: Inlet, None; electrodes: Electrode, None; readings: Record, Some("reading");
    photos: Record, Some("photo"); notes: Record, Some("note"); }
    list
}

fn site(survey: &Survey) -> Item {
    let facts = all(ItemKind::Site, &survey.site, &survey.site.facts(), &[]);
    Item {
        id: deadfront_rules::house::site_id(),
        what: ItemKind::Site.words(),
        name: survey.site.name.clone(),
        facts,
    }
}

/// Plain fields and facts of an item; `apart` are told otherwise.
fn all(
    kind: ItemKind,
    item: &impl Serialize,
    facts: &[(&'static str, Fact<String>)],
    apart: &[&str],
) -> Vec<(String, String)> {
    let json = serde_json::to_value(item).unwrap_or_default();
    let is_told =
        |name: &str| name == "id" || apart.contains(&name) || facts.iter().any(|(fact, _)| *fact == name);
    let plain = json.as_object().into_iter().flatten().filter(|(name, _)| !is_told(name));
    let mut told: Vec<(String, String)> =
        plain.map(|(name, value)| (field_words(name), in_words(value))).collect();
    told.extend(known(kind, "", "", facts));
    told
}

fn device(kind: ItemKind, prefix: &str, device: &Device) -> Vec<(String, String)> {
    let label = if prefix == "main." { "main: " } else { "device: " };
    known(kind, prefix, label, &device.facts())
}

fn known(
    kind: ItemKind,
    prefix: &str,
    label: &str,
    facts: &[(&'static str, Fact<String>)],
) -> Vec<(String, String)> {
    let words = |fact: &str| {
        question(kind, &format!("{prefix}{fact}"))
            .map_or_else(|| fact.replace('_', " "), |question| word(question.label).to_owned())
    };
    let value = |fact: &Fact<String>| match fact {
        Fact::Known(value) => Some(value.clone()),
        Fact::CannotBeSeen => Some(CANNOT_BE_SEEN.to_owned()),
        Fact::NotSeen => None,
    };
    facts
        .iter()
        .filter_map(|(fact, state)| Some((format!("{label}{}", words(fact)), value(state)?)))
        .collect()
}

fn field_words(field: &str) -> String {
    match field {
        "from" => "begins at".to_owned(),
        "also_from" => "begins also at".to_owned(),
        "to" => "ends at".to_owned(),
        "on" => "hangs on".to_owned(),
        "at" => "taken at".to_owned(),
        "of" => "shows".to_owned(),
        "label" => "directory says".to_owned(),
        "bus" => "bus section".to_owned(),
        "fed_by" => "fed by".to_owned(),
        "neutral_of" => "uses the neutral of".to_owned(),
        other => other.replace('_', " "),
    }
}

/// A plain field's value as one line.
fn in_words(value: &Value) -> String {
    match value {
        Value::Null => String::new(),
        Value::Bool(yes) => if *yes { "yes" } else { "no" }.to_owned(),
        Value::Number(number) => number.to_string(),
        Value::String(text) => text.clone(),
        Value::Array(list) => list.iter().map(in_words).collect::<Vec<_>>().join(", "),
        Value::Object(members) => {
            let each =
                members.iter().map(|(name, value)| format!("{} {}", field_words(name), in_words(value)));
            each.collect::<Vec<_>>().join(" ")
        }
    }
}
