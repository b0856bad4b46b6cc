//! Entries that are often right, offered so that a thumb rarely types. Picks, not a standard: nothing is
//! checked against them, and any other entry may be typed.

use std::collections::HashMap;
use std::sync::LazyLock;

use super::{ItemKind, Output};
use crate::si::{ampere, volt};
use crate::tables::us::{DeviceFamily, nominal_voltages, ratings};

const FILE: &str = include_str!("picks.csv");

type Picks = Vec<&'static str>;

static PICKS: LazyLock<HashMap<&'static str, Picks>> =
    LazyLock::new(|| rows().map(|(of, picks)| (of, read(picks))).collect());

/// The rows of the file: what the picks are for, and the picks as written.
fn rows() -> impl Iterator<Item = (&'static str, &'static str)> {
    let lines = FILE.lines().filter(|line| !line.starts_with('#'));
    lines.skip(1).filter_map(|line| line.split_once(','))
}

fn read(picks: &'static str) -> Picks {
    if picks == "none" {
        return Vec::new();
    }
    picks.split('|').map(str::trim).flat_map(read_pick).collect()
}

fn read_pick(pick: &'static str) -> Picks {
    if pick == "nominal voltages" {
        return voltages();
    }
    let range = pick.strip_prefix("ratings ").and_then(|range| range.split_once(" to "));
    match range.and_then(|(low, high)| Some((low.parse().ok()?, high.parse().ok()?))) {
        Some((low, high)) => ratings_between(low, high),
        None => vec![pick],
    }
}

/// Standard ratings of breakers from one to another [A], as a person enters them.
fn ratings_between(low: f64, high: f64) -> Picks {
    let standard = ratings(DeviceFamily::Breaker).map(|rating| rating.value.get::<ampere>());
    standard
        .filter(|rating| (low..=high).contains(rating))
        .map(|rating| kept(format!("{rating} A")))
        .collect()
}

fn voltages() -> Picks {
    let systems = Output::ALL.iter().filter_map(|output| nominal_voltages(*output));
    let cells = systems.flat_map(|system| [system.to_neutral, system.between_hots]).flatten();
    let mut volts: Vec<f64> = cells.map(|cell| cell.value.get::<volt>()).collect();
    volts.sort_by(f64::total_cmp);
    volts.dedup();
    volts.into_iter().map(|volts| kept(format!("{volts} V"))).collect()
}

/// Kept for good: the file is read once, and a form hands its picks out for as long as the program runs.
fn kept(text: String) -> &'static str {
    text.leak()
}

/// The picks of a kind of quantity, by its words: `a length`.
pub(crate) fn usual_of(what: &str) -> &'static [&'static str] {
    PICKS.get(what).map_or(&[], Vec::as_slice)
}

/// The picks of one field of an item, by the name that questions know it by; `None` where those of its
/// kind of quantity serve.
pub(crate) fn usual_at(kind: ItemKind, field: &str) -> Option<&'static [&'static str]> {
    let own = PICKS.get(format!("{} {field}", kind.words()).as_str());
    own.or_else(|| PICKS.get(of_any_device(field)?.as_str())).map(Vec::as_slice)
}

/// `main.clearing_time` as `device.clearing_time`.
fn of_any_device(field: &str) -> Option<String> {
    let (seat, fact) = field.split_once('.')?;
    matches!(seat, "device" | "main" | "output_device").then(|| format!("device.{fact}"))
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::survey::form::{FactEntry, Form};
    use crate::survey::{
        Battery, Bus, Device, EfficiencyAt, Electrode, Inlet, Load, Panel, Rating, Reading, RestingAt, Run,
        Site, Supply, Surge, Transfer, Way,
    };

    const RECORDS: &[(ItemKind, &str, &[FactEntry])] = &[
        (ItemKind::Site, "", Site::ENTRIES),
        (ItemKind::Supply, "", Supply::ENTRIES),
        (ItemKind::Supply, "battery.", Battery::ENTRIES),
        (ItemKind::Supply, "output_device.", Device::ENTRIES),
        (ItemKind::Supply, "surges.", Surge::ENTRIES),
        (ItemKind::Supply, "efficiencies.", EfficiencyAt::ENTRIES),
        (ItemKind::Supply, "resting_voltages.", RestingAt::ENTRIES),
        (ItemKind::Panel, "", Panel::ENTRIES),
        (ItemKind::Panel, "main.", Device::ENTRIES),
        (ItemKind::Bus, "", Bus::ENTRIES),
        (ItemKind::Way, "", Way::ENTRIES),
        (ItemKind::Way, "device.", Device::ENTRIES),
        (ItemKind::Run, "", Run::ENTRIES),
        (ItemKind::Load, "", Load::ENTRIES),
        (ItemKind::Load, "ratings.", Rating::ENTRIES),
        (ItemKind::Transfer, "", Transfer::ENTRIES),
        (ItemKind::Inlet, "", Inlet::ENTRIES),
        (ItemKind::Electrode, "", Electrode::ENTRIES),
        (ItemKind::Record, "", Reading::ENTRIES),
    ];

    fn fields() -> impl Iterator<Item = (ItemKind, String, &'static FactEntry)> {
        let of = |(kind, prefix, entries): &'static (ItemKind, &str, &[FactEntry])| {
            entries.iter().map(move |entry| (*kind, format!("{prefix}{}", entry.name), entry))
        };
        RECORDS.iter().flat_map(of)
    }

    fn picks(kind: ItemKind, field: &str, entry: &FactEntry) -> Option<&'static [&'static str]> {
        match (entry.form)() {
            Form::Quantity { usual, .. } | Form::Size { usual, .. } => {
                Some(usual_at(kind, field).unwrap_or(usual))
            }
            _ => None,
        }
    }

    #[test]
    fn every_quantity_has_picks_that_can_be_entered() {
        let mut checked = 0;
        for (kind, field, entry) in fields() {
            let Some(picks) = picks(kind, &field, entry) else { continue };
            // What was measured, and where on earth a house stands, is never guessed.
            let never_guessed = kind == ItemKind::Record || field == "latitude";
            assert_eq!(picks.is_empty(), never_guessed, "{} {field}", kind.words());
            for pick in picks {
                checked += 1;
                assert_eq!((entry.read)(pick), Ok((*pick).into()), "{} {field} {pick}", kind.words());
            }
            let once: BTreeSet<_> = picks.iter().collect();
            assert_eq!(once.len(), picks.len(), "{} {field}", kind.words());
        }
        assert!(checked > 300, "{checked}");
    }

    #[test]
    fn every_row_of_the_file_is_offered_somewhere() {
        let lists = [
            ("supply", "surges.duration"),
            ("supply", "efficiencies.power"),
            ("supply", "resting_voltages.charge"),
        ];
        let mut names: BTreeSet<String> =
            lists.iter().map(|(of, field)| format!("{of} {field}").trim().to_owned()).collect();
        for (kind, field, _) in fields() {
            names.insert(format!("{} {field}", kind.words()));
            names.extend(of_any_device(&field));
        }
        for (of, _) in rows() {
            assert!(of.starts_with("a ") || of.starts_with("an ") || names.contains(of), "{of}");
        }
    }

    /// NFPA 70-2023 240.6(A), from 15 A to 60 A.
    #[test]
    fn currents_are_narrowed_by_what_is_entered() {
        let at = |kind, field| usual_at(kind, field).expect("picks of its own");
        assert_eq!(
            at(ItemKind::Load, "mocp"),
            ["15 A", "20 A", "25 A", "30 A", "35 A", "40 A", "45 A", "50 A", "60 A"]
        );
        assert_eq!(at(ItemKind::Panel, "main.rating").first(), Some(&"60 A"));
        assert_eq!(at(ItemKind::Panel, "main.clearing_time"), at(ItemKind::Way, "device.clearing_time"));
        assert_eq!(usual_at(ItemKind::Way, "device.interrupting_rating"), None);
        assert_eq!(usual_of("an interrupting rating")[0], "unmarked");
        // ANSI C84.1, nominal system voltages.
        assert_eq!(usual_of("a voltage"), ["120 V", "208 V", "230 V", "240 V"]);
        assert!(
            usual_of("a wire size").starts_with(&["14 AWG"])
                && usual_of("a wire size").contains(&"250 kcmil")
        );
    }
}
