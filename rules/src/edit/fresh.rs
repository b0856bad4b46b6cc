//! Ids and names for new items: readable, and never one that was given before.

use std::collections::BTreeSet;

use crate::survey::place::Place;
use crate::survey::{Id, Survey};

/// A new id: the prefix and the number after the largest there is.
pub(super) fn id(survey: &Survey, prefix: &str) -> Id {
    let all = Place::all(survey);
    let numbers = all.iter().filter_map(|(id, _)| number_after(id.as_str(), prefix));
    let number = numbers.max().unwrap_or(0).saturating_add(1);
    // Where the prefix is the long id of something else, a short one will do; it leaves room for any number.
    Id::new(&format!("{prefix}{number}")).unwrap_or_else(|| self::id(survey, SHORT))
}

/// A prefix that leaves room for every number.
const SHORT: &str = "N";

fn number_after(id: &str, prefix: &str) -> Option<u64> {
    let digits = id.strip_prefix(prefix)?;
    // 18 digits always fit.
    (digits.len() <= 18 && digits.bytes().all(|c| c.is_ascii_digit())).then(|| digits.parse().ok())?
}

/// A new name such as `Panel 2`, other than all of these.
pub(super) fn name<'a>(word: &str, names: impl Iterator<Item = &'a str>) -> String {
    let names: Vec<&str> = names.collect();
    numbered(word, names.len() + 1, &names)
}

/// The word with the first number from this on that gives a name other than all of these.
pub(super) fn numbered(word: &str, from: usize, names: &[&str]) -> String {
    let taken: BTreeSet<&str> = names.iter().copied().collect();
    let free = (from..=from + names.len()).map(|number| format!("{word} {number}"));
    free.into_iter().find(|name| !taken.contains(name.as_str())).unwrap_or_else(|| word.to_owned())
}

/// The lowest free spaces of a panel for a device of this shape (the spaces of another one); from 1
/// on, and never a space that a way fills.
pub(super) fn spaces(taken: &[u16], shape: &[u16]) -> Vec<u16> {
    let Some(first) = shape.iter().copied().min() else { return Vec::new() };
    let moved =
        |to: u16| -> Option<Vec<u16>> { shape.iter().map(|space| to.checked_add(space - first)).collect() };
    let free =
        (1..=u16::MAX).map_while(moved).find(|spaces| !spaces.iter().any(|space| taken.contains(space)));
    free.unwrap_or_default()
}
