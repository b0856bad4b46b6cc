//! What is asked about each fact: the label, the question, where to look, and what to say when it
//! cannot be seen.
//!
//! No question sends anybody to a live part or behind a dead front: what lies there is looked at
//! with the panel's supply off and proven dead, or left to the electrician.

mod device;
mod load;
mod panel;
mod run;
mod site;
mod supply;
mod transfer;

use super::ItemKind;

/// What is asked about one fact.
#[derive(Debug, PartialEq, Eq)]
pub struct Question {
    /// The fact in a few words: `conductor size`.
    pub label: &'static str,
    /// The question.
    pub ask: &'static str,
    /// Where to look.
    pub look: &'static str,
    /// What to answer when it cannot be seen.
    pub unseen: &'static str,
}

/// A fact's name in the file and its question.
type Entry = (&'static str, Question);

/// Writes a list of questions as `"fact": "label", "question", "where to look", "if it cannot be seen";`.
macro_rules! ask {
    ($($fact:literal: $label:literal, $ask:literal, $look:literal, $unseen:literal;)+) => {
        &[$(($fact, $crate::survey::questions::Question {
            label: $label, ask: $ask, look: $look, unseen: $unseen,
        })),+]
    };
}
use ask;

/// The lists of one kind of item, each with the prefix of its facts.
fn lists(kind: ItemKind) -> &'static [(&'static str, &'static [Entry])] {
    match kind {
        ItemKind::Site => &[("", site::SITE)],
        ItemKind::Supply => &[
            ("", supply::SUPPLY),
            ("battery.", supply::BATTERY),
            ("output_device.", device::DEVICE),
            ("surges.", supply::SURGE),
            ("efficiencies.", supply::EFFICIENCY),
            ("resting_voltages.", supply::RESTING),
        ],
        ItemKind::Panel => &[("", panel::PANEL), ("main.", device::DEVICE)],
        ItemKind::Bus => &[("", panel::BUS)],
        ItemKind::Way => &[("", panel::WAY), ("device.", device::DEVICE)],
        ItemKind::Run => &[("", run::RUN)],
        ItemKind::Load => &[("", load::LOAD), ("ratings.", load::RATING)],
        ItemKind::Transfer => &[("", transfer::TRANSFER)],
        ItemKind::Position => &[],
        ItemKind::Interlock => &[("", transfer::INTERLOCK)],
        ItemKind::Inlet => &[("", transfer::INLET)],
        ItemKind::Mode => &[("", transfer::MODE)],
        ItemKind::Electrode => &[("", site::ELECTRODE)],
        ItemKind::Record => &[("", site::READING)],
    }
}

/// The question about a fact of an item of this kind, by the fact's name in the file as
/// [`Missing`](crate::finding::Missing) gives it: `size`, `device.rating`, `battery.voltage`.
#[must_use]
pub fn question(kind: ItemKind, fact: &str) -> Option<&'static Question> {
    lists(kind).iter().find_map(|(prefix, entries)| {
        let name = fact.strip_prefix(prefix)?;
        entries.iter().find(|(entry, _)| *entry == name).map(|(_, question)| question)
    })
}

/// The label of a fact, wherever it stands; what it is called may depend on its place.
pub(crate) fn label_of(fact: &str) -> Option<&'static str> {
    let entries = ItemKind::ALL.iter().flat_map(|kind| lists(*kind));
    entries
        .flat_map(|(prefix, entries)| entries.iter().map(move |entry| (prefix, entry)))
        .find(|(prefix, (name, _))| fact == *name || fact.strip_prefix(*prefix) == Some(*name))
        .map(|(_, (_, question))| question.label)
}

/// The questions about one kind of item; empty where nothing is asked.
pub fn of_kind(kind: ItemKind) -> impl Iterator<Item = &'static Question> {
    lists(kind).iter().flat_map(|(_, entries)| entries.iter().map(|(_, question)| question))
}

/// The labels of all facts.
pub(crate) fn labels() -> impl Iterator<Item = &'static str> {
    let lists = ItemKind::ALL.iter().flat_map(|kind| lists(*kind));
    lists.flat_map(|(_, entries)| entries.iter().map(|(_, question)| question.label))
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::survey::{
        Battery, Bus, Device, EfficiencyAt, Electrode, Inlet, Interlock, Load, Mode, Note, Panel, Photo,
        Position, Rating, Reading, RestingAt, Run, Signature, Site, Stand, Supply, Surge, Transfer, Way,
    };

    /// Every record of the survey: kind, prefix, facts.
    const RECORDS: &[(ItemKind, &str, &[&str])] = &[
        (ItemKind::Site, "", Site::FACTS),
        (ItemKind::Supply, "", Supply::FACTS),
        (ItemKind::Supply, "battery.", Battery::FACTS),
        (ItemKind::Supply, "output_device.", Device::FACTS),
        (ItemKind::Supply, "surges.", Surge::FACTS),
        (ItemKind::Supply, "efficiencies.", EfficiencyAt::FACTS),
        (ItemKind::Supply, "resting_voltages.", RestingAt::FACTS),
        (ItemKind::Panel, "", Panel::FACTS),
        (ItemKind::Panel, "main.", Device::FACTS),
        (ItemKind::Bus, "", Bus::FACTS),
        (ItemKind::Way, "", Way::FACTS),
        (ItemKind::Way, "device.", Device::FACTS),
        (ItemKind::Run, "", Run::FACTS),
        (ItemKind::Load, "", Load::FACTS),
        (ItemKind::Load, "ratings.", Rating::FACTS),
        (ItemKind::Transfer, "", Transfer::FACTS),
        (ItemKind::Position, "", Position::FACTS),
        (ItemKind::Interlock, "", Interlock::FACTS),
        (ItemKind::Inlet, "", Inlet::FACTS),
        (ItemKind::Mode, "", Mode::FACTS),
        (ItemKind::Mode, "devices.", Stand::FACTS),
        (ItemKind::Electrode, "", Electrode::FACTS),
        (ItemKind::Record, "", Reading::FACTS),
        (ItemKind::Record, "", Photo::FACTS),
        (ItemKind::Record, "", Note::FACTS),
        (ItemKind::Record, "", Signature::FACTS),
    ];

    /// Asked for although they are no facts: lists in which something is still to be written, and what must be said.
    const LISTS: &[(ItemKind, &str)] = &[
        (ItemKind::Run, "loads"),
        (ItemKind::Site, "electrodes"),
        (ItemKind::Site, "modes"),
        (ItemKind::Mode, "devices"),
        (ItemKind::Way, "run"),
        (ItemKind::Way, "runs"),
        (ItemKind::Panel, "buses"),
        (ItemKind::Panel, "ways"),
        (ItemKind::Panel, "runs"),
        (ItemKind::Supply, "sun_hours"),
        (ItemKind::Supply, "kind"),
        (ItemKind::Load, "kind"),
        (ItemKind::Supply, "battery_run"),
    ];

    fn wanted() -> BTreeSet<(ItemKind, String)> {
        let facts = RECORDS.iter().flat_map(|(kind, prefix, facts)| {
            facts.iter().map(move |fact| (*kind, format!("{prefix}{fact}")))
        });
        let lists = LISTS.iter().map(|(kind, fact)| (*kind, (*fact).to_owned()));
        facts.chain(lists).collect()
    }

    fn written() -> Vec<(ItemKind, String, &'static Question)> {
        let of = |kind| {
            lists(kind).iter().flat_map(move |(prefix, entries)| {
                entries.iter().map(move |(fact, question)| (kind, format!("{prefix}{fact}"), question))
            })
        };
        ItemKind::ALL.iter().copied().flat_map(of).collect()
    }

    #[test]
    fn every_fact_of_every_record_has_a_question() {
        let wanted = wanted();
        assert!(wanted.len() > 150, "{}", wanted.len());
        for (kind, fact) in wanted {
            assert!(question(kind, &fact).is_some(), "{} {fact}", kind.words());
        }
    }

    #[test]
    fn no_question_is_orphaned_or_asked_twice() {
        let wanted = wanted();
        let mut seen = BTreeSet::new();
        for (kind, fact, _) in written() {
            assert!(wanted.contains(&(kind, fact.clone())), "{} {fact}", kind.words());
            assert!(seen.insert((kind, fact.clone())), "{} {fact} twice", kind.words());
        }
        assert_eq!(seen.len(), wanted.len());
    }

    #[test]
    fn questions_are_written_alike() {
        for (kind, fact, question) in written() {
            let at = format!("{} {fact}", kind.words());
            assert!(!question.label.is_empty() && question.label.len() <= 40, "{at}");
            assert!(!question.label.ends_with('.'), "{at}");
            assert!(question.ask.ends_with('?'), "{at}");
            assert!(question.look.ends_with('.') && question.unseen.ends_with('.'), "{at}");
        }
    }

    /// Nobody is sent behind a cover, to an open end, a fuse or a handle: what lies there is for the
    /// electrician, and "cannot be seen" is an answer.
    #[test]
    fn nothing_sends_anybody_to_live_parts() {
        let leave = [
            "Count the wires",
            "Look at an end",
            "Look at ends",
            "with the cover off",
            "and the cover off",
            "with the panel's supply off",
            "Remove",
            "Unscrew",
            "Switch ",
            "goes dead",
            "leave it to",
        ];
        let mut stays_on = 0;
        for (kind, fact, question) in written() {
            for words in leave {
                assert!(!question.look.contains(words), "{} {fact}: {words}", kind.words());
            }
            let covered = question.look.contains("Covers stay on");
            stays_on += usize::from(covered);
            assert!(
                !covered || question.look.contains("only a licensed electrician"),
                "{} {fact}",
                kind.words()
            );
            assert!(!covered || question.look.contains("cannot be seen"), "{} {fact}", kind.words());
        }
        assert!(stays_on >= 8, "{stays_on}");
    }

    #[test]
    fn a_prefix_finds_the_device_and_the_battery() {
        assert_eq!(question(ItemKind::Run, "size").map(|q| q.label), Some("conductor size"));
        assert_eq!(question(ItemKind::Way, "device.rating"), question(ItemKind::Panel, "main.rating"));
        assert!(question(ItemKind::Supply, "battery.voltage").is_some());
        assert_eq!(question(ItemKind::Way, "rating"), None);
        assert_eq!(question(ItemKind::Run, "colour"), None);
    }
}
