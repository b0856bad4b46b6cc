//! When a supply carries which loads: whichever way the devices stand, or in a mode in which some are open.

use super::carry::Island;
use super::together::in_mode;
use crate::finding::Said;
use crate::house::House;
use crate::say;

/// When a supply of one's own carries just these loads.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum When {
    /// Whichever way the devices stand: every load that it can ever feed. With the modes in which it feeds
    /// all of them; places in the list of [`House::isolation`].
    Ever(Vec<usize>),
    /// In these modes, in which it feeds only a part of them.
    Modes(Vec<usize>),
}

impl When {
    /// The modes in which it feeds these loads.
    #[must_use]
    pub fn modes(&self) -> &[usize] {
        match self {
            Self::Ever(modes) | Self::Modes(modes) => modes,
        }
    }

    /// The supply's name with the modes, where they matter: `on Battery inverter, in the mode Night`.
    #[must_use]
    pub fn title(&self, house: &House<'_>, supply: usize) -> Said {
        let name = &house.survey.supplies[supply].name;
        match self {
            Self::Ever(_) => say!("on {}", name),
            Self::Modes(_) => say!("on {}, in the mode {}", name, self.names(house)),
        }
    }

    /// What it feeds then, in a sentence.
    #[must_use]
    pub fn feeds(&self, house: &House<'_>, loads: &[usize]) -> Said {
        let names = loads.iter().map(|load| house.survey.loads[*load].name.as_str());
        match self {
            Self::Ever(modes) if modes.is_empty() => {
                say!("Every load that it can feed, whichever way the switches stand.")
            }
            Self::Ever(_) => {
                say!(
                    "Every load that it can feed, whichever way the switches stand; so in the mode {}.",
                    self.names(house)
                )
            }
            Self::Modes(_) => say!("Then it feeds only: {}.", names.collect::<Vec<_>>().join(", ")),
        }
    }

    /// The names of the modes.
    #[must_use]
    pub fn names(&self, house: &House<'_>) -> String {
        let modes = &house.isolation().modes;
        let names = self.modes().iter().filter_map(|at| modes.get(*at)).map(|mode| mode.name.as_str());
        names.collect::<Vec<_>>().join(", ")
    }
}

/// Each supply of one's own with every load that it can ever feed and, behind it, with the loads of each
/// mode in which it feeds fewer. Modes with the same loads stand together; one in which it feeds nothing,
/// or is not meant to feed, is left out.
#[must_use]
pub(super) fn by_mode(house: &House<'_>) -> Vec<(When, Island)> {
    house.islands().iter().flat_map(|island| of_island(house, island)).collect()
}

fn of_island(house: &House<'_>, whole: &Island) -> Vec<(When, Island)> {
    let modes = &house.isolation().modes;
    let feeding = modes.iter().enumerate().filter(|(_, mode)| mode.feeds.contains(&whole.supply));
    let (mut with_all, mut parts): (Vec<usize>, Vec<(Vec<usize>, Island)>) = Default::default();
    for (at, _) in feeding {
        let part = in_mode(house, whole, at);
        if part.loads.len() == whole.loads.len() {
            with_all.push(at);
        } else if let Some((same, _)) = parts.iter_mut().find(|(_, other)| other.loads == part.loads) {
            same.push(at);
        } else if !part.loads.is_empty() {
            parts.push((vec![at], part));
        }
    }
    let parts = parts.into_iter().map(|(modes, part)| (When::Modes(modes), part));
    std::iter::once((When::Ever(with_all), whole.clone())).chain(parts).collect()
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;
    use crate::fixture::{survey, with, with_battery};

    /// Each entry: whether it holds all loads, the modes by name, the loads by id.
    fn told(modes: serde_json::Value) -> Vec<(bool, String, String)> {
        let survey = survey(&with(with_battery(), &[("/modes", modes)]));
        let house = House::new(&survey);
        let ids = |island: &Island| {
            let ids = island.loads.iter().map(|carried| carried.id.as_str());
            ids.collect::<Vec<_>>().join(" ")
        };
        let of = |(when, island): (When, Island)| {
            (matches!(when, When::Ever(_)), when.names(&house), ids(&island))
        };
        by_mode(&house).into_iter().map(of).collect()
    }

    fn mode(id: &str, pump: &str) -> serde_json::Value {
        json!({
            "id": id, "name": id, "feeds": ["B"],
            "devices": [
                { "device": "T.b", "state": "closed" }, { "device": "Q.2", "state": pump },
                { "device": "Q.1", "state": "closed" }
            ]
        })
    }

    /// Two modes without the pump stand together; the one with it goes with all loads.
    #[test]
    fn a_mode_that_feeds_fewer_loads_stands_behind_all_of_them() {
        let modes = json!([mode("Day", "closed"), mode("Night", "open"), mode("Away", "open")]);
        assert_eq!(
            told(modes),
            [
                (true, "Day".to_owned(), "LK LW".to_owned()),
                (false, "Night, Away".to_owned(), "LK".to_owned())
            ]
        );
    }

    /// A mode in which the inverter is not meant to feed, or feeds nothing, is none of its own.
    #[test]
    fn a_mode_in_which_it_feeds_nothing_is_left_out() {
        let away = json!({
            "id": "Off", "name": "Off", "feeds": ["B"],
            "devices": [{ "device": "T.u", "state": "closed" }]
        });
        let utility = json!({ "id": "Grid", "name": "Grid", "feeds": ["U"], "devices": [] });
        assert_eq!(told(json!([away, utility])), [(true, String::new(), "LK LW".to_owned())]);
    }
}
