//! The terms that occur in the report, each in one sentence.

use deadfront_rules::words::word;

use crate::paper::{Block, BlockKind, Row, Text};

/// A term, and what it means here.
const TERMS: [(&str, &str); 30] = [
    (
        "ampacity",
        "The current that a conductor carries all the time without growing hotter than its insulation stands.",
    ),
    ("available fault current", "The largest current that a short circuit at a place can draw."),
    ("bond", "A joint that keeps metal parts, or neutral and ground, at one voltage."),
    ("bus", "The bars in a panel from which its ways are fed."),
    ("closed", "Of a device: current can pass."),
    ("dead front", "The cover inside a panel's door that keeps hands from live parts."),
    ("demand", "What a house or part of it is reckoned to draw at once; less than the sum of its loads."),
    ("device", "A breaker, fuse or switch that opens a circuit."),
    ("drop", "The share of the voltage that is lost in the wires between supply and load."),
    ("electrode", "Metal in the earth to which the ground of the house is joined."),
    ("equipment ground", "The conductor that brings a fault's current back, so that the device ahead trips."),
    ("feeder", "A run between two panels, with a device ahead of it."),
    ("fingerprint", "A number made from the whole survey; any change gives another one."),
    ("hot", "A conductor with voltage against ground in normal use."),
    ("inlet", "A plug fixed to the house, for the cord of a generator."),
    (
        "interlock",
        "A part made to keep two devices from being closed at the same time; not to be relied on until it has been looked at.",
    ),
    ("interrupting rating", "The largest fault current that a device can break without bursting."),
    ("island", "Whatever one source feeds by itself, apart from the utility."),
    ("leg", "One of the two hots of the service; between the two there is double the voltage."),
    ("main", "The device through which a whole panel is fed."),
    ("mode", "One way in which the house is meant to be used, with the position of each device."),
    ("neutral", "The conductor that carries the current back, joined to ground at one place."),
    ("open", "Of a device: no current can pass. By itself it is no proof that anything is dead."),
    ("prove dead", "To find no voltage with a tester that was proved on a live source before and after."),
    ("run", "A cable or set of wires from one place to the next."),
    ("service", "What brings the utility into the house, up to the first device that opens it."),
    ("supply", "Anything that can feed the house: utility, generator, battery inverter, solar."),
    (
        "transfer switch",
        "A device made to join a load to one of several sources at a time; not to be relied on until it has been looked at.",
    ),
    (
        "way",
        "A breaker space (pole space) in a panel, by its number, with the device in it; a two-pole breaker takes two spaces.",
    ),
    ("wrong move", "One device that stands otherwise than the mode wants it."),
];

/// The terms that occur in these blocks.
pub(super) fn section(blocks: &[Block]) -> Vec<Block> {
    let mut words = String::from(" ");
    read(&mut words, blocks);
    let terms: Vec<(String, Text)> = TERMS
        .iter()
        .filter(|(term, _)| occurs(&words, &word(term).to_lowercase()))
        .map(|(term, meaning)| (word(term).to_owned(), Text::from(*meaning)))
        .collect();
    if terms.is_empty() {
        return Vec::new();
    }
    vec![Block::heading(1, "Glossary"), Block::key_values(2, terms)]
}

/// Whether a term stands in the words by itself, or with an `s` behind it.
fn occurs(words: &str, term: &str) -> bool {
    let one = format!(" {term} ");
    let several = format!(" {term}s ");
    words.contains(&one) || words.contains(&several)
}

/// Adds the words of a text in small letters, one space between them.
fn add(words: &mut String, text: &str) {
    let split = |letter: char| !letter.is_alphanumeric();
    for word in text.split(split).filter(|word| !word.is_empty()) {
        words.extend(word.chars().flat_map(char::to_lowercase));
        words.push(' ');
    }
}

fn read(words: &mut String, blocks: &[Block]) {
    for block in blocks {
        match &block.kind {
            BlockKind::Heading { text, .. } | BlockKind::Paragraph(text) => add(words, &text.plain()),
            BlockKind::List { items, .. } => items.iter().for_each(|item| add(words, &item.plain())),
            BlockKind::KeyValues { pairs, .. } => {
                for (label, value) in pairs {
                    add(words, label);
                    add(words, &value.plain());
                }
            }
            BlockKind::Table(table) => {
                table.columns.iter().for_each(|column| add(words, &column.head));
                let cells = |row: &Row| row.cells.iter().map(Text::plain).collect::<Vec<_>>();
                table.rows.iter().flat_map(cells).for_each(|cell| add(words, &cell));
            }
            BlockKind::Signal { title, blocks, .. } => {
                add(words, &title.plain());
                read(words, blocks);
            }
            BlockKind::Figure { words: told, .. } => add(words, &told.plain()),
            BlockKind::Note(blocks) | BlockKind::Together(blocks) => read(words, blocks),
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn terms(text: &'static str) -> Vec<String> {
        let blocks = section(&[Block::paragraph(text)]);
        let Some(BlockKind::KeyValues { pairs, .. }) = blocks.last().map(|block| &block.kind) else {
            return Vec::new();
        };
        pairs.iter().map(|(term, _)| term.clone()).collect()
    }

    #[test]
    fn only_terms_that_occur_are_told() {
        assert_eq!(terms("The Feeders, and an equipment\nground."), ["equipment ground", "feeder"]);
        // Part of a word is no term.
        assert!(terms("A remainder; always.").is_empty());
        assert!(section(&[]).is_empty());
    }

    #[test]
    fn terms_stand_once_and_in_order() {
        assert!(TERMS.windows(2).all(|pair| pair[0].0 < pair[1].0));
        assert!(TERMS.iter().all(|(_, meaning)| meaning.ends_with('.')));
    }
}
