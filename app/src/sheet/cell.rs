//! Values in cells.

use std::borrow::Cow;

use serde_json::Value;

/// Letters with which a spreadsheet takes a cell for a formula.
const FORMULA: [char; 6] = ['=', '+', '-', '@', '\t', '\r'];

/// A JSON value as the text of a cell.
pub(super) fn text(value: Option<&Value>) -> String {
    match value {
        None | Some(Value::Null) => String::new(),
        Some(Value::Bool(yes)) => if *yes { "yes" } else { "no" }.to_owned(),
        Some(Value::Number(number)) => number.to_string(),
        Some(Value::String(text)) => harmless(text).into_owned(),
        Some(Value::Array(list)) => list.iter().map(|value| text(Some(value))).collect::<Vec<_>>().join(" "),
        Some(Value::Object(members)) => {
            let each = members.iter().map(|(name, value)| format!("{name} {}", text(Some(value))));
            each.collect::<Vec<_>>().join(" ")
        }
    }
}

/// A text that no spreadsheet runs as a formula: an apostrophe goes in front, as people write it. A
/// text that begins with an apostrophe gets one more, so that it comes back as it was.
pub(super) fn harmless(text: &str) -> Cow<'_, str> {
    if text.starts_with(FORMULA) || text.starts_with('\'') {
        Cow::Owned(format!("'{text}"))
    } else {
        Cow::Borrowed(text)
    }
}

/// A cell's text without that apostrophe.
pub(super) fn plain(cell: &str) -> &str {
    let cell = cell.trim();
    match cell.strip_prefix('\'') {
        Some(rest) if rest.starts_with(FORMULA) || rest.starts_with('\'') => rest,
        _ => cell,
    }
}

/// What a cell may mean, likeliest first: yes and no, a whole number, a choice, a text.
pub(super) fn meanings(cell: &str) -> Vec<Value> {
    let mut meanings = Vec::new();
    match cell.to_lowercase().as_str() {
        "yes" | "true" => meanings.push(Value::Bool(true)),
        "no" | "false" => meanings.push(Value::Bool(false)),
        _ => {}
    }
    meanings.extend(cell.parse::<u64>().ok().map(Value::from));
    meanings.push(Value::from(cell));
    meanings.push(Value::from(cell.to_lowercase().replace(' ', "_")));
    meanings.push(Value::from(cell.to_uppercase()));
    meanings
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_cell_is_a_formula_and_each_comes_back() {
        for text in ["=1+1", "+1", "-5 C", "@x", "'quoted", "'", "''=", "12 AWG", "a=b"] {
            let cell = harmless(text);
            assert!(!cell.starts_with(FORMULA), "{cell}");
            assert_eq!(plain(&cell), text);
        }
    }
}
