//! What a switching card says beside its steps: how near its sources come, and what can still be live
//! when its last box is ticked.

use std::collections::HashMap;

use super::orders::Order;
use super::rehearse::{Positions, rehearse};
use super::rule::Rule;
use super::words::{self, Join, listed};
use super::{Isolation, Nearness};
use crate::finding::Said;
use crate::house::House;
use crate::say;
use crate::survey::{Id, Panel, Supply};

/// Pairs of sources that one wrong move joins in the mode before or after.
#[must_use]
pub fn near(house: &House<'_>, isolation: &Isolation, order: &Order) -> Vec<Said> {
    let name = |supply: usize| &house.survey.supplies[supply].name;
    let meetings = isolation.meetings.iter().filter(|meeting| meeting.rule != Rule::MayMeet);
    let here = meetings.filter(|meeting| [order.from, order.to].contains(&meeting.mode));
    let told = here.filter_map(|meeting| {
        let mode = &isolation.modes[meeting.mode].name;
        let (a, b) = (name(meeting.a), name(meeting.b));
        match meeting.worst.nearness {
            Nearness::Moves(1) => {
                let first = meeting.worst.witnesses.first().map(Vec::as_slice).unwrap_or_default();
                let slip = words::moves(house, &isolation.model, first);
                Some(say!(
                    "Do not use this card yet. In the mode \"{}\" one wrong move joins {} and {}: {}. What parts them has to be fitted first.",
                    mode, a, b, slip
                ))
            }
            Nearness::TooMany => Some(say!(
                "Do not use this card yet. In the mode \"{}\" it could not be searched through whether {} and {} stay apart.",
                mode, a, b
            )),
            _ => None,
        }
    });
    told.collect()
}

/// What can still be live in a mode: panels with anything live in their boxes, whether the source is
/// meant to feed or not.
#[must_use]
pub fn still_live(house: &House<'_>, mode: usize) -> Said {
    let rehearsal = rehearse(house, &Positions::of_mode(house, mode));
    let live: HashMap<&Id, &[Id]> = rehearsal.items.iter().map(|live| (&live.item, &*live.from)).collect();
    let of = |supply: &Supply| {
        let is_live = |item: &Id| live.get(item).is_some_and(|from| from.contains(&supply.id));
        let panels = house.survey.panels.iter().filter(|panel| inside(panel).any(is_live));
        let panels: Vec<&str> = panels.map(|panel| panel.id.as_str()).collect();
        (!panels.is_empty()).then(|| say!("from {}: {}", &supply.name, panels.join(", ")))
    };
    let sources: Vec<Said> = house.survey.supplies.iter().filter_map(of).collect();
    if sources.is_empty() {
        return say!(
            "When this is done, no source that was surveyed reaches a panel. That is no proof that anything is dead."
        );
    }
    say!(
        "When this is done, these panels can still be live, whole or in part: {}. That one is not named here is no proof that it is dead.",
        listed(sources, Join::Semicolon)
    )
}

/// A panel and what is in its box.
fn inside(panel: &Panel) -> impl Iterator<Item = &Id> {
    let parts = panel.buses.iter().map(|bus| &bus.id).chain(panel.ways.iter().map(|way| &way.id));
    std::iter::once(&panel.id).chain(parts)
}

#[cfg(test)]
mod tests {
    use crate::house::House;
    use crate::isolation::{overview, sketch};

    fn card(house: &str, from: &str, to: &str) -> (Vec<String>, String) {
        let survey = sketch::survey(house);
        let house = House::new(&survey);
        let overview = overview(&house);
        let order = overview.orders.iter().find(|order| order.from == from && order.to == to);
        let order = order.expect("an order");
        (order.near.iter().map(ToString::to_string).collect(), order.still_live.to_string())
    }

    const PLAIN: &str = "utility U
        generator G
        panel P breaker bonded service
        way P.1 breaker
        way P.2 breaker
        run U P
        run G P.2
        run P.1 -";

    /// NFPA 70-2023 702.5(A): without an interlock a card is not to be used.
    #[test]
    fn a_card_says_that_one_wrong_move_joins_its_sources() {
        let (near, _) = card(PLAIN, "on-U", "on-G");
        assert_eq!(near.len(), 2, "{near:?}");
        assert!(near[0].contains("one wrong move joins"), "{near:?}");
        let locked = format!("{PLAIN}\ninterlock K plate P P.2");
        let (near, _) = card(&locked, "on-U", "on-G");
        assert!(near.is_empty(), "{near:?}");
    }

    /// 29 CFR 1910.333(b): what is not cut off, locked and proven dead is live.
    #[test]
    fn a_card_names_what_can_still_be_live() {
        let (_, live) = card(PLAIN, "on-U", "on-G");
        assert!(live.contains("from U: P; from G: P"), "{live}");
        let (_, live) = card(PLAIN, "on-U", "repair");
        assert!(
            live.contains("from U: P; from G: P"),
            "the line side of the main, the terminal of way 2: {live}"
        );
    }
}
