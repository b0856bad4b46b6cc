//! Words for facts, items and checks as the paper prints them.

use deadfront_rules::finding::{Finding, Severity, rounded};
use deadfront_rules::say;
use deadfront_rules::si::{Resistance, ohm};
use deadfront_rules::survey::questions::question;
use deadfront_rules::survey::{Device, Fact, ItemKind, Run, Worded};
use deadfront_rules::words::{phrase, word};

use crate::paper::{SignalWord, Span, Text};

/// What stands for a fact that is not known.
pub(super) const NOT_SEEN: &str = "not seen";
/// What stands for a fact that cannot be seen.
pub(super) const CANNOT_BE_SEEN: &str = "cannot be seen";

/// A fact in a cell: its value, or in soft ink why there is none.
pub(super) fn cell<T: Worded>(fact: &Fact<T>) -> Text {
    match fact.worded() {
        Fact::Known(value) => value.into(),
        Fact::NotSeen => Span::soft(NOT_SEEN).into(),
        Fact::CannotBeSeen => Span::soft(CANNOT_BE_SEEN).into(),
    }
}

/// A fact in the middle of a line.
pub(super) fn inline<T: Worded>(fact: &Fact<T>) -> String {
    match fact.worded() {
        Fact::Known(value) => value,
        Fact::NotSeen => "?".to_owned(),
        Fact::CannotBeSeen => "?".to_owned(),
    }
}

/// `20 A breaker, 1 pole`.
pub(super) fn device(device: &Device) -> String {
    let poles = match device.poles.get() {
        Some(1) => word(", 1 pole").to_owned(),
        Some(poles) => say!(", {} poles", poles.to_string()).to_string(),
        None => String::new(),
    };
    format!("{device}{poles}")
}

/// `12 AWG copper, NM-B cable`.
pub(super) fn conductor(run: &Run) -> String {
    let sets = match run.parallel_sets.get() {
        Some(sets) if sets > 1 => format!("{sets} × "),
        _ => String::new(),
    };
    format!("{sets}{} {}", inline(&run.size), inline(&run.material))
}

/// A check's name as a heading: `Device larger than conductor`.
pub(super) fn check_title(name: &str) -> String {
    sentence(&phrase(name.replace('_', " ")))
}

/// The same words with a capital letter, as they begin a line.
pub(super) fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// The signal word of the paper.
pub(super) fn signal(severity: Severity) -> SignalWord {
    match severity {
        Severity::Danger => SignalWord::Danger,
        Severity::Warning => SignalWord::Warning,
        Severity::Caution => SignalWord::Caution,
        Severity::Notice => SignalWord::Notice,
    }
}

/// `NFPA 70-2023 240.4, 240.4(D)`: a standard's name once for all its clauses.
pub(super) fn cited(finding: &Finding) -> String {
    let mut text = String::new();
    let mut standard = "";
    for citation in finding.citations {
        if citation.standard != standard {
            standard = citation.standard;
            text.push_str(if text.is_empty() { "" } else { "; " });
            text.push_str(standard);
            text.push(' ');
        } else {
            text.push_str(", ");
        }
        text.push_str(citation.clause);
    }
    if text.is_empty() { word("common practice, no published source").to_owned() } else { text }
}

/// A fact in words: the label of its question.
pub(super) fn fact_words(kind: ItemKind, fact: &str) -> String {
    question(kind, fact)
        .map_or_else(|| fact.replace(['_', '.'], " "), |question| word(question.label).to_owned())
}

/// Milliohms with so many decimals at most.
pub(super) fn milliohms(resistance: Resistance, decimals: u8) -> String {
    rounded(resistance.get::<ohm>() * 1000.0, decimals)
}
