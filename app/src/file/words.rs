//! Says which value does not fit, in a plain sentence with what to do.

use deadfront_rules::say;

use super::error::{plain, shown};
use super::place::Trail;
use super::schema::choices_at;

/// Least likeness, 0 to 1, at which a known word is offered for an unknown one.
const ALIKE: f64 = 0.7;

/// The reader's message without its own line and column.
pub(super) fn bare(error: &serde_json::Error) -> String {
    let text = error.to_string();
    match text.rsplit_once(" at line ") {
        Some((message, _)) if error.line() > 0 => message.to_owned(),
        _ => text,
    }
}

/// What is wrong with the value at the end of `trail`, from the reader's message.
pub(super) fn wrong_value(message: &str, trail: &Trail<'_>) -> String {
    if let Some(rest) = message.strip_prefix("unknown field `") {
        return unknown_field(rest);
    }
    if let Some(rest) = message.strip_prefix("unknown variant `") {
        let (word, _) = split_unknown(rest);
        return unknown_choice(&format!("\"{}\"", shown(word)), word, &choices_at(&trail.steps));
    }
    if let Some(field) = message.strip_prefix("missing field `") {
        return say!("the field \"{}\" is missing; add it", field.trim_end_matches('`').to_owned())
            .to_string();
    }
    if let Some(field) = message.strip_prefix("duplicate field `") {
        return say!(
            "the field \"{}\" stands here twice; remove one",
            field.trim_end_matches('`').to_owned()
        )
        .to_string();
    }
    let wanted = message.rsplit_once(", expected ").map(|(_, wanted)| wanted);
    match (message, wanted) {
        ("expected value", _) => unfitting(trail, None),
        (_, Some(wanted)) if message.starts_with("invalid ") => unfitting(trail, Some(wanted)),
        (message, _) if CLOCK.contains(&message) => say!(
            "{} cannot be read as a day or time; write a day like \"2026-11-25\" and a time like \"2026-11-25T14:30:00-05:00\"",
            standing(trail.here())
        )
        .to_string(),
        _ => plain(message),
    }
}

/// What the reader of days and times says.
const CLOCK: [&str; 6] = [
    "input contains invalid characters",
    "premature end of input",
    "input is out of range",
    "trailing input",
    "input is not enough for unique date and time",
    "no possible date and time matching input",
];

/// Splits ``x`, expected one of `a`, `b` `` into `x` and the known words.
fn split_unknown(rest: &str) -> (&str, Vec<&str>) {
    match rest.rsplit_once("`, expected ") {
        Some((word, known)) => (word, known.split('`').skip(1).step_by(2).collect()),
        None => (rest.rsplit_once('`').map_or(rest, |(word, _)| word), Vec::new()),
    }
}

fn unknown_field(rest: &str) -> String {
    let (word, known) = split_unknown(rest);
    let known_list = known.join(", ");
    match nearest(word, &known) {
        Some(near) => {
            say!("there is no such field; write \"{}\" if that is meant, else remove it", near.to_owned())
        }
        None => say!("there is no such field; remove it, or use one of {}", known_list),
    }
    .to_string()
}

fn unknown_choice(standing: &str, word: &str, choices: &[&str]) -> String {
    let quoted: Vec<String> = choices.iter().map(|choice| format!("\"{choice}\"")).collect();
    let near = nearest(word, choices)
        .map_or_else(String::new, |near| format!(" ({})", say!("\"{}\" comes nearest", near.to_owned())));
    let standing = standing.to_owned();
    match quoted.as_slice() {
        [only] => say!("{} is no choice here; write {}", standing, only).to_string(),
        _ => {
            let said = say!("{} is no choice here; write one of {}", standing, quoted.join(", "));
            format!("{said}{near}")
        }
    }
}

fn nearest<'k>(word: &str, known: &[&'k str]) -> Option<&'k str> {
    // Nothing in the file format is this long, and the comparison takes length times length.
    if word.len() > 64 {
        return None;
    }
    let likeness =
        |known: &str| strsim::normalized_damerau_levenshtein(&word.to_lowercase(), &known.to_lowercase());
    let near = known.iter().map(|known| (likeness(known), *known)).max_by(|a, b| a.0.total_cmp(&b.0));
    near.filter(|(alike, _)| *alike >= ALIKE).map(|(_, known)| known)
}

/// Says what stands at the end of the trail and what must stand there.
fn unfitting(trail: &Trail<'_>, wanted: Option<&str>) -> String {
    let found = standing(trail.here());
    let choices = choices_at(&trail.steps);
    if !choices.is_empty()
        && wanted.is_none_or(|wanted| wanted.starts_with("enum ") || wanted == "variant identifier")
    {
        return unknown_choice(&found, "", &choices);
    }
    say!("found {}, but {} must stand here", found, wanted_words(wanted.unwrap_or("a value"))).to_string()
}

/// The value at the start of `text` in words.
pub(super) fn standing(text: &str) -> String {
    match text.as_bytes().first() {
        Some(b'{') => say!("an object").to_string(),
        Some(b'[') => say!("a list").to_string(),
        Some(b'"') => say!("the text {}", shown(text)).to_string(),
        Some(b'0'..=b'9' | b'-') => say!("the number {}", shown(text)).to_string(),
        Some(_) => shown(text),
        None => say!("nothing").to_string(),
    }
}

fn wanted_words(wanted: &str) -> String {
    let said = match wanted {
        "a string" | "str" | "string" => say!("a text in quotation marks"),
        "a boolean" => say!("true or false (left out while it is unknown)"),
        "u8" => say!("a whole number from 0 to 255"),
        "u16" => say!("a whole number from 0 to 65535"),
        "u32" => say!("a whole number"),
        "a value" => say!("a value"),
        "a sequence" => say!("a list in square brackets"),
        "a formatted date string" => say!("a day like \"2026-11-25\""),
        "an RFC 3339 formatted date and time string" => say!("a time like \"2026-11-25T14:30:00-05:00\""),
        _ if wanted.starts_with("struct ") => say!("an object in braces"),
        _ => return wanted.to_owned(),
    };
    said.to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_of_the_pen_gets_the_nearest_known_word() {
        assert_eq!(nearest("lenght", &["length", "leg", "name"]), Some("length"));
        assert_eq!(nearest("Copper", &["copper", "aluminium"]), Some("copper"));
        assert_eq!(nearest("colour", &["length", "leg", "name"]), None);
        assert_eq!(nearest(&"length".repeat(100), &["length"]), None);
    }

    #[test]
    fn the_unknown_word_may_hold_what_the_reader_writes() {
        let (word, known) = split_unknown("a`, expected `x`, expected one of `id`, `name`");
        assert_eq!((word, known), ("a`, expected `x", vec!["id", "name"]));
        assert_eq!(split_unknown("a`, there are no fields").0, "a");
    }
}
