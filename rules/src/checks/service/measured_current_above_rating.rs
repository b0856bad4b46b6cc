//! A panel that has been seen to carry more than it may.

use crate::capacity::demand::{Assessed, limit_of};
use crate::checks::check;
use crate::finding::{Facts, Finding, Verdict, judge};
use crate::house::House;
use crate::say;
use crate::survey::DemandFrom;

check! {
    /// # What it checks
    /// The largest current entered for a panel, as it is and without any factor, against its main, the
    /// device ahead, its bus and its incoming conductors.
    ///
    /// # Why
    /// A calculation speaks of a usual house. A reading above the rating settles the matter, whatever the
    /// calculation says.
    ///
    /// # Example
    /// A clamp meter showed 108 A on the conductors of an invented 100 A panel on a winter evening: flagged.
    ///
    /// # Limits
    /// A panel for which no current has been entered is left to the calculation.
    ///
    /// # References
    /// NFPA 70-2023 230.42, 215.3; common practice.
    measured_current_above_rating {
        folder: Service,
        severity: Warning,
        binding: Hazard,
        citations: ["NFPA 70-2023" "230.42", "NFPA 70-2023" "215.3"],
        caution: "This panel carries more than it is made for. Switch off large loads now, and do not open it: hot joints may be inside.",
        next_step: "Have a licensed electrician look for heat at the main, the lugs and the bus, and reduce the loads or enlarge the panel and its feeder.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    let panels = house.demands().iter().filter(|demand| demand.place.bus.is_none());
    findings.extend(panels.filter_map(|demand| look_at(house, demand)));
}

fn look_at(house: &House<'_>, demand: &Assessed) -> Option<Finding> {
    let panel = &house.survey.panels[demand.place.panel];
    let current = panel.demand.known()?.quantity();
    let mut facts = Facts::new();
    facts.seen("I_B", "largest current", current, &panel.id, "demand");
    let from = panel.demand_from.get().map_or("origin not known", DemandFrom::words);
    let is_calculated = panel.demand_from.get() == Some(DemandFrom::Calculation);
    let value = facts.done(Some(current));
    let limit = limit_of(house, &demand.place);
    let verdict = judge(&value, &limit, |value, limit| value > limit);
    let message = match (&verdict, limit.value) {
        (Verdict::FallsShort, Some(limit)) if is_calculated => {
            say!("By the calculation entered for it, it is to carry {}; it may carry {}.", current, limit)
        }
        (Verdict::FallsShort, Some(limit)) => {
            say!("It has carried {} ({}); it may carry {}.", current, from, limit)
        }
        (Verdict::Meets, Some(limit)) => {
            say!("The largest current entered for it is {} of {} ({}).", current, limit, from)
        }
        _ => say!("It cannot be told whether the {} entered for this panel are too much for it.", current),
    };
    let mut finding = Finding::of(&CHECK, house.subject(&panel.id), verdict, message);
    if let Some(limit) = limit.value {
        finding = finding.figure(current, limit);
    }
    let mut derivation = value.derivation;
    derivation.include(&limit.derivation);
    Some(finding.because(derivation))
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;
    use crate::fixture::{one_circuit, text, verdict, with};

    #[test]
    fn measured_current_above_rating() {
        let entered = |amperes: &str, from: Option<&str>| {
            let changes = [("/panels/0/demand", json!(amperes)), ("/panels/0/demand_from", json!(from))];
            with(one_circuit(), &changes)
        };
        let house = |amperes: &str| entered(amperes, Some("spot_reading"));
        assert_eq!(verdict(&CHECK, &house("100 A"), "P"), "meets");
        assert_eq!(verdict(&CHECK, &house("100.1 A"), "P"), "falls_short WARNING");
        insta::assert_snapshot!(text(&CHECK, &house("108 A"), "P"));
        // A calculation has not been seen to flow.
        let told = |from: Option<&str>| {
            let text = text(&CHECK, &entered("108 A", from), "P");
            text.lines().find_map(|line| line.strip_prefix("message: ").map(str::to_owned))
        };
        let calculated = "By the calculation entered for it, it is to carry 108 A; it may carry 100 A.";
        assert_eq!(told(Some("calculation")).as_deref(), Some(calculated));
        assert_eq!(
            told(None).as_deref(),
            Some("It has carried 108 A (origin not known); it may carry 100 A.")
        );
    }

    #[test]
    fn silent_without_a_reading_and_open_without_a_rating() {
        let without = |path: &str| verdict(&CHECK, &with(one_circuit(), &[(path, json!(null))]), "P");
        assert_eq!(without("/panels/0/demand"), "silent");
        assert_eq!(without("/panels/0/main/rating"), "cannot_tell main.rating");
    }
}
