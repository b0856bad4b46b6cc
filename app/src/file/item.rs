//! Names the item and the field at the end of a trail, as a person would.

use deadfront_rules::say;
use deadfront_rules::words::word;

use super::error::shown;
use super::place::{Step, Trail, text_field};

/// The item and the field that a trail leads to: (`run R104 "range"`, `length`).
pub(super) fn item_and_field(trail: &Trail<'_>) -> (Option<String>, Option<String>) {
    let mut item: Option<String> = None;
    let mut field = String::new();
    for (at, step) in trail.steps.iter().enumerate() {
        let value = trail.values.get(at + 1).copied().unwrap_or_default();
        match step {
            Step::Field(name) => {
                let dot = if field.is_empty() { "" } else { "." };
                field = format!("{field}{dot}{}", shown(name));
            }
            Step::Index(number) => match kind_words(&field).filter(|_| value.starts_with('{')) {
                Some(kind) => {
                    item = Some(item_words(item, kind, *number, value));
                    field.clear();
                }
                None => field = say!("{} number {}", field, (number + 1).to_string()).to_string(),
            },
        }
    }
    (item, Some(field).filter(|field| !field.is_empty()))
}

fn item_words(outer: Option<String>, kind: &str, number: usize, value: &str) -> String {
    let Some(id) = text_field(value, "id").filter(|id| !id.trim().is_empty()) else {
        let outer = outer.map_or_else(String::new, |outer| format!("{outer}, "));
        return format!("{outer}{}", say!("{} number {}", kind.to_owned(), (number + 1).to_string()));
    };
    let name = text_field(value, "name").or_else(|| text_field(value, "label")).unwrap_or_default();
    let id = shown(&id);
    if name.is_empty() { format!("{kind} {id}") } else { format!("{kind} {id} \"{}\"", shown(&name)) }
}

/// What one element of a list of the survey file is called.
fn kind_words(list: &str) -> Option<&'static str> {
    Some(match list {
        "supplies" => word("supply"),
        "surges" => word("surge"),
        "efficiencies" => word("point of the efficiency"),
        "resting_voltages" => word("point of the resting voltage"),
        "panels" => word("panel"),
        "buses" => word("bus section"),
        "ways" => word("way"),
        "runs" => word("run"),
        "loads" => word("load"),
        "ratings" => word("plate line"),
        "transfers" => word("transfer switch"),
        "positions" => word("transfer position"),
        "interlocks" => word("interlock"),
        "inlets" => word("inlet"),
        "modes" => word("mode"),
        "electrodes" => word("electrode"),
        "readings" => word("reading"),
        "photos" => word("photo"),
        "notes" => word("note"),
        "signatures" => word("signature"),
        "answers" => word("answer"),
        "revisions" => word("revision"),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn items_are_called_by_id_and_name_and_nameless_ones_by_number() {
        let text = r#"{"panels": [{"id": "P1", "name": "main", "ways": [{"spaces": [1, 2], "device": {}}]}],
                       "supplies": [{"id": "S1", "name": "", "surges": [{}, {"power": 1}]}]}"#;
        let cases: [(&[&str], Option<&str>, Option<&str>); 5] = [
            (&["panels", "0", "main"], Some("panel P1 \"main\""), Some("main")),
            (
                &["panels", "0", "ways", "0", "device"],
                Some("panel P1 \"main\", way number 1"),
                Some("device"),
            ),
            (
                &["panels", "0", "ways", "0", "spaces", "1"],
                Some("panel P1 \"main\", way number 1"),
                Some("spaces number 2"),
            ),
            (&["supplies", "0", "surges", "1", "power"], Some("supply S1, surge number 2"), Some("power")),
            (&[], None, None),
        ];
        for (path, item, field) in cases {
            let steps = path
                .iter()
                .map(|name| name.parse().map_or_else(|_| Step::Field((*name).into()), Step::Index));
            let (found_item, found_field) = item_and_field(&Trail::follow(
                &text.replace("\"main\", \"ways\"", "\"main\", \"main\": {}, \"ways\""),
                steps,
            ));
            assert_eq!((found_item.as_deref(), found_field.as_deref()), (item, field));
        }
    }
}
