//! The largest current entered for a panel: how far it bounds what its conductors may come to carry.

use crate::finding::{Facts, from_table, reckoned};
use crate::say;
use crate::si::Current;
use crate::survey::{DemandFrom, Panel, SupplyKind, Survey};
use crate::tables::us::{DemandId, demand};

/// What an entered current says of the demand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EnteredDemand {
    /// It is at least this: what was read or calculated.
    pub least: Current,
    /// It is at most this; `None` while that cannot be said.
    pub most: Option<Current>,
    /// By how much `most` stands above `least`, where a recording takes a margin.
    pub margin: Option<f64>,
}

/// Whether this origin is one from which 220.87 reckons. A recording of a month does not count where solar
/// or a battery hides what the house draws.
#[must_use]
pub fn is_recorded(survey: &Survey, from: DemandFrom) -> bool {
    let hides = |kind| matches!(kind, SupplyKind::Solar | SupplyKind::Inverter);
    match from {
        DemandFrom::YearOfMetering => true,
        DemandFrom::MonthOfRecording => !survey.supplies.iter().any(|supply| hides(supply.kind)),
        DemandFrom::SpotReading | DemandFrom::Calculation => false,
    }
}

/// The entered demand of a panel. A calculation stands as it is, a recording with the 125 % of 220.87; a
/// spot reading, or one whose origin is not known, bounds nothing from above.
#[must_use]
pub fn entered_demand(survey: &Survey, panel: &Panel, facts: &mut Facts) -> Option<EnteredDemand> {
    let least = facts.need(&panel.demand, &panel.id, "demand")?.quantity();
    facts.seen("I_D", "demand of the panel", least, &panel.id, "demand");
    let from = facts.need(&panel.demand_from, &panel.id, "demand_from");
    if let Some(from) = from {
        facts.seen("", "where that is from", from.words(), &panel.id, "demand_from");
    }
    let (most, margin) = match from {
        Some(DemandFrom::Calculation) => (Some(least), None),
        Some(from) if is_recorded(survey, from) => {
            let (most, margin) = with_margin(least, facts);
            (Some(most), Some(margin))
        }
        Some(_) | None => (None, None),
    };
    Some(EnteredDemand { least, most, margin })
}

/// The largest current with the margin of 220.87, and the margin.
fn with_margin(largest: Current, facts: &mut Facts) -> (Current, f64) {
    let factor = demand(DemandId::MeasuredLoad).value;
    facts.step(from_table("k", demand(DemandId::MeasuredLoad).quantity, factor.value, factor.place));
    let most = largest * factor.value;
    facts.step(reckoned("I_D", "largest measured demand", say!("{} × {}", largest, factor.value), most));
    (most, factor.value)
}
