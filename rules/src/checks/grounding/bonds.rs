//! The bonds of neutral and ground of one island, counted; shared by the checks that want exactly one.

use crate::finding::{Facts, Said, reckoned};
use crate::house::House;
use crate::isolation::words::{Join, listed};
use crate::network::{Bond, Island};
use crate::say;
use crate::survey::{Output, Supply};

/// Most joints that are named one by one.
const MOST_TOLD: usize = 8;

/// How many bonds an island has: at least, and at most.
pub(super) struct Count {
    pub(super) least: usize,
    pub(super) most: usize,
    /// The places of the certain ones, in words.
    pub(super) places: Said,
    pub(super) bonds: Vec<Bond>,
}

/// The supply that feeds an island.
pub(super) fn supply_of<'a>(house: &House<'a>, island: &Island) -> &'a Supply {
    &house.survey.supplies[island.mode.supply]
}

/// Whether the supply gives a neutral: without one nothing is to be bonded.
pub(super) fn gives_neutral(supply: &Supply, facts: &mut Facts) -> Option<bool> {
    let output = facts.need(&supply.output, &supply.id, "output")?;
    Some(!matches!(output, Output::Two240 | Output::Dc))
}

/// Counts the bonds and writes a step for each certain one.
pub(super) fn count(house: &House<'_>, island: &Island, facts: &mut Facts) -> Count {
    let bonds = island.bonds(house);
    let certain: Vec<&Bond> = bonds.iter().filter(|bond| bond.is_certain()).collect();
    let told = certain.iter().take(MOST_TOLD);
    let mut places: Vec<Said> = Vec::new();
    for bond in told {
        let name = house.subject(&bond.item).name;
        facts.seen(
            "",
            say!("neutral and ground joined at {}", name.clone()),
            true,
            &bond.item,
            "neutral_bond",
        );
        places.push(say!("{}", name));
    }
    if certain.len() > MOST_TOLD {
        places.push(say!("and {} more", certain.len() - MOST_TOLD));
    }
    let places = listed(places, Join::Semicolon);
    let (least, most) = (certain.len(), bonds.len());
    let label =
        if least == most { "joints of neutral and ground" } else { "joints of neutral and ground, at least" };
    facts.step(reckoned("n", label, sum(least), least));
    Count { least, most, places, bonds }
}

/// `1 + 1 + 1`.
fn sum(least: usize) -> Said {
    match least {
        0 => say!("none"),
        1..=MOST_TOLD => say!("{}", vec!["1"; least].join(" + ")),
        _ => say!("one for each place"),
    }
}

/// Lists what the uncertain bonds hang on.
pub(super) fn ask(count: &Count, facts: &mut Facts) {
    for missing in count.bonds.iter().flat_map(|bond| &bond.missing) {
        let _: Option<()> = facts.miss(&missing.item, missing.fact, missing.cannot_be_seen);
    }
}
