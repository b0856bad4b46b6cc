//! Says where a text stops being JSON, in a plain sentence with what to do.

use deadfront_rules::finding::Said;
use deadfront_rules::say;

use super::error::plain;

/// What a broken JSON text lacks at the byte `offset`, from the reader's message.
pub(super) fn broken_text(message: &str, text: &str, offset: usize) -> String {
    let (before, rest) = text.split_at(text.floor_char_boundary(offset));
    if let Some(slip) = slip(message, before, rest) {
        return slip.to_string();
    }
    let what = match message {
        _ if message.starts_with("EOF") => {
            say!(
                "the text ends in the middle of the survey; the file was cut off, so take the last whole copy of it"
            )
        }
        "expected value" => {
            say!("a value must stand here: a text in quotation marks, a number, true, false, null, [ or {")
        }
        "expected ident" => say!("only true, false and null may stand without quotation marks"),
        "invalid number" => {
            say!("this is no number; write it in digits like 45 or 0.5, or as a text in quotation marks")
        }
        "number out of range" => say!("this number is too large for any house"),
        "expected `:`" => say!("a colon must stand here, between the name of a field and its value"),
        "expected `,` or `]`" => say!("a comma or the end of the list ] must stand here"),
        "expected `,` or `}`" => say!("a comma or the end of the item } must stand here"),
        "trailing comma" => say!("a comma stands before the end of a list or an item; remove it"),
        "trailing characters" => say!("the survey has ended before this; remove what follows"),
        "key must be a string" | "expected `\"`" => {
            say!("the name of a field must stand here in quotation marks")
        }
        "control character (\\u0000-\\u001F) found while parsing a string" => {
            say!(
                "a text must end on the line where it began; close its quotation mark, or write \\n for a new line"
            )
        }
        "invalid escape" => {
            say!("after a backslash only \" \\ / b f n r t and uXXXX may follow; write \\\\ for a backslash")
        }
        "lone leading surrogate in hex escape"
        | "unexpected end of hex escape"
        | "invalid unicode code point" => {
            say!("this \\u escape stands for no character; write the character itself")
        }
        "recursion limit exceeded" => {
            say!("lists and objects stand too deep in each other here; a survey has no such thing")
        }
        other => return plain(other),
    };
    what.to_string()
}

/// Names a slip that is usual elsewhere, where the text around the place shows one.
fn slip(message: &str, before: &str, rest: &str) -> Option<Said> {
    // Within a text the reader stops one character before it.
    if rest.chars().take(2).any(|c| c == '\0') {
        return Some(say!(
            "from here the file holds zero bytes instead of text; take the last whole copy of it"
        ));
    }
    // Within a text nothing below applies.
    if !matches!(message, "key must be a string" | "invalid number") && !message.starts_with("expected ") {
        return None;
    }
    let before = before.trim_end();
    let after_number = before.ends_with(|c: char| c.is_ascii_digit() || c == '.');
    let number_word =
        rest.starts_with("NaN") || rest.starts_with("Infinity") || rest.starts_with("-Infinity");
    if ["//", "/*", "#"].iter().any(|start| rest.starts_with(start)) {
        Some(say!("a survey file has no comments; put it into a note"))
    } else if rest.starts_with([']', '}']) && before.ends_with(',') {
        Some(say!("a comma stands before the end of a list or an item; remove it"))
    } else if number_word || (rest.starts_with('I') && before.ends_with('-')) {
        Some(say!(
            "NaN and Infinity are no numbers here; write the value, or leave the field out while it is unknown"
        ))
    } else if rest.starts_with(['\'', '‘', '’', '“', '”', '„']) {
        Some(say!("a text stands in straight double quotation marks, like \"this\""))
    } else if after_number && rest.starts_with(|c: char| c.is_alphabetic() || c == '°') {
        Some(say!("a quantity with its unit stands in quotation marks, like \"45 ft\""))
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(text: &str) -> String {
        let error = serde_json::from_str::<serde::de::IgnoredAny>(text).unwrap_err();
        let offset = super::super::place::offset_of(text, error.line(), error.column());
        broken_text(&super::super::words::bare(&error), text, offset)
    }

    #[test]
    fn usual_slips_are_named() {
        for (text, part) in [
            ("{\"a\": 45 ft}", "in quotation marks, like \"45 ft\""),
            ("{\"a\": 'b'}", "straight double quotation marks"),
            ("{\"a\": “b”}", "straight double quotation marks"),
            ("{\"a\": 1,}", "a comma stands before the end"),
            ("[1, ]", "a comma stands before the end"),
            ("{# note\n}", "no comments"),
            ("[1, // note\n2]", "no comments"),
            ("[NaN]", "NaN and Infinity"),
            ("[-Infinity]", "NaN and Infinity"),
            ("[1\0", "zero bytes"),
            ("[\"a\0", "zero bytes"),
            ("{\"a\": }", "a value must stand here"),
            ("[\"\\//\", \"\\x//\"]", "after a backslash"),
        ] {
            assert!(said(text).contains(part), "{text}: {}", said(text));
        }
    }

    #[test]
    fn every_message_of_the_reader_is_put_into_our_words() {
        for text in [
            "",
            "[",
            "{",
            "\"",
            "[1 2]",
            "{\"a\" 1}",
            "{\"a\": 1 \"b\": 2}",
            "{1: 2}",
            "tru",
            "trux",
            "01",
            "1 2",
            "-",
            "1.x",
            "\"\n\"",
            "\"\\x\"",
            "\"\\u12",
            "[1,]",
            "{\"a\":1,}",
        ] {
            let said = said(text);
            assert!(
                !said.contains("expected") && !said.contains("EOF") && !said.contains("parsing"),
                "{text}: {said}"
            );
        }
    }
}
