//! From texts as the rules keep them to texts as the window shows them.

use deadfront_rules::finding::Said;
use deadfront_rules::survey::{Fact, Worded};
use deadfront_rules::words;
use slint::SharedString;

/// A text of the rules or of the window, for a person.
pub(crate) fn tell(said: &Said) -> SharedString {
    said.to_string().into()
}

/// A fixed word of the rules, for a person.
pub(crate) fn word(text: &'static str) -> SharedString {
    words::word(text).into()
}

/// The same with a capital letter, for labels.
pub(crate) fn label(text: &str) -> SharedString {
    capital(&words::phrase(text.to_owned()))
}

/// What a person wrote, with a capital letter.
pub(crate) fn capital(text: &str) -> SharedString {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect()).into()
}

/// A fact in the middle of a line.
pub(crate) fn inline<T: Worded>(fact: &Fact<T>) -> String {
    match fact.worded() {
        Fact::Known(value) => value,
        Fact::NotSeen | Fact::CannotBeSeen => "?".to_owned(),
    }
}
