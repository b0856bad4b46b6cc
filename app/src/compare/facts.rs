//! Facts that were added, removed or changed.

use std::collections::{BTreeMap, BTreeSet};

use deadfront_rules::survey::{Id, Survey};
use serde::Serialize;

use super::items::{Item, NOT_SEEN, items};

/// What became of an item or of one of its facts.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Change {
    /// The item is new.
    Added,
    /// The item is gone.
    Removed,
    /// A fact of it is another.
    Changed {
        /// The fact in words.
        fact: String,
        /// What was written, or `not seen`.
        before: String,
        /// What is written now, or `not seen`.
        after: String,
    },
}

/// A change of an item.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FactChange {
    /// The item's id.
    pub id: Id,
    /// What it is: `run`.
    pub what: &'static str,
    /// Its name, where it has one.
    pub name: String,
    /// What became of it.
    pub change: Change,
}

impl FactChange {
    /// `run R104 "range"`.
    #[must_use]
    pub fn item(&self) -> String {
        let name = if self.name.is_empty() { String::new() } else { format!(" \"{}\"", self.name) };
        format!("{} {}{name}", self.what, self.id)
    }
}

/// An item is known by its id; a bus section may share that of its panel.
type Key = (&'static str, Id);

pub(super) fn changes(old: &Survey, new: &Survey) -> Vec<FactChange> {
    let (old, new) = (items(old), items(new));
    let before = by_key(&old);
    let after = by_key(&new);
    let mut changes = Vec::new();
    for item in &new {
        match before.get(&key(item)) {
            None => changes.push(of(item, Change::Added)),
            Some(old) => changes.extend(changed(old, item)),
        }
    }
    let gone = old.iter().filter(|item| !after.contains_key(&key(item)));
    changes.extend(gone.map(|item| of(item, Change::Removed)));
    changes
}

fn key(item: &Item) -> Key {
    (item.what, item.id.clone())
}

fn by_key(items: &[Item]) -> BTreeMap<Key, &Item> {
    items.iter().map(|item| (key(item), item)).collect()
}

fn of(item: &Item, change: Change) -> FactChange {
    FactChange { id: item.id.clone(), what: item.what, name: item.name.clone(), change }
}

fn changed<'a>(old: &'a Item, new: &'a Item) -> impl Iterator<Item = FactChange> + 'a {
    let mut labels: Vec<&str> = Vec::new();
    let mut seen = BTreeSet::new();
    for (label, _) in new.facts.iter().chain(&old.facts) {
        if seen.insert(label.as_str()) {
            labels.push(label);
        }
    }
    labels.into_iter().filter_map(move |label| {
        let (before, after) = (value(old, label), value(new, label));
        let change =
            || Change::Changed { fact: label.to_owned(), before: before.to_owned(), after: after.to_owned() };
        (before != after).then(|| of(new, change()))
    })
}

fn value<'a>(item: &'a Item, label: &str) -> &'a str {
    item.facts.iter().find(|(name, _)| name == label).map_or(NOT_SEEN, |(_, value)| value)
}
