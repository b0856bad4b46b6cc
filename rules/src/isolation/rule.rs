//! Which sources must never meet.
//!
//! - The utility and a generator; two generators; a generator and an inverter; two services: never.
//! - The utility and a battery inverter: only one that is listed to stop by itself when the utility is
//!   gone, and only while the utility feeds. While the inverter feeds the house, never.
//! - The utility and solar: only solar that is so listed. It counts as a source only while something else
//!   forms the voltage that it follows, so that it does not backfeed a dead utility by itself.
//! - Solar and a battery inverter may meet: that is how solar is coupled on the AC side. Solar and a
//!   generator may not: a generator cannot take power back (common practice, no source).
//!
//! NFPA 70-2023 702.5, 705.40, 445; IEC 60364-5-55 551.6.1 and 551.7.

use crate::finding::{Missing, Severity};
use crate::survey::{Fact, Supply, SupplyKind, Survey};

/// What holds between two sources in a mode.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Rule {
    /// They must never meet.
    Apart,
    /// They may run together.
    MayMeet,
    /// It hangs on a fact.
    Unknown(Missing),
}

/// Whether a supply takes part in the question at all: a source of AC power.
#[must_use]
pub fn is_ac(kind: SupplyKind) -> bool {
    kind != SupplyKind::Battery
}

/// What holds between two supplies while `feeds` feed.
#[must_use]
pub fn rule(survey: &Survey, a: usize, b: usize, feeds: &[usize]) -> Rule {
    use SupplyKind::{Inverter, Solar, Utility};
    let (a, b) = if survey.supplies[a].kind <= survey.supplies[b].kind { (a, b) } else { (b, a) };
    let (first, second) = (&survey.supplies[a], &survey.supplies[b]);
    match (first.kind, second.kind) {
        (Utility, Inverter) if feeds.contains(&a) && !feeds.contains(&b) => listed(second),
        (Utility, Solar) => listed(second),
        (Inverter | Solar, Solar) => Rule::MayMeet,
        _ => Rule::Apart,
    }
}

fn listed(supply: &Supply) -> Rule {
    let cannot_be_seen = match supply.anti_islanding {
        Fact::Known(true) => return Rule::MayMeet,
        Fact::Known(false) => return Rule::Apart,
        Fact::NotSeen => false,
        Fact::CannotBeSeen => true,
    };
    Rule::Unknown(Missing { item: supply.id.clone(), fact: "anti_islanding", cannot_be_seen })
}
/// How bad it is if two sources meet. A generator cannot take power back from solar: nobody outside the house
/// is touched.
#[must_use]
pub fn hazard(a: SupplyKind, b: SupplyKind) -> Severity {
    use SupplyKind::{Generator, Solar};
    match (a, b) {
        (Generator, Solar) | (Solar, Generator) => Severity::Warning,
        _ => Severity::Danger,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Common practice, no source: only solar that meets a generator endangers nobody outside the house.
    #[test]
    fn only_a_generator_and_solar_are_the_lesser_hazard() {
        use SupplyKind::{Generator, Inverter, Solar, Utility};
        for pair in [(Generator, Solar), (Solar, Generator)] {
            assert_eq!(hazard(pair.0, pair.1), Severity::Warning);
        }
        for pair in [(Utility, Generator), (Utility, Solar), (Inverter, Generator), (Generator, Generator)] {
            assert_eq!(hazard(pair.0, pair.1), Severity::Danger, "{pair:?}");
        }
    }
}
