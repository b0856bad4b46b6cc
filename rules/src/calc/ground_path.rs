//! Where the equipment ground of a circuit leads: back to where it is joined to the neutral, or only to a
//! feeder that has none.

use crate::finding::Facts;
use crate::house::{House, Protection};
use crate::network::Link;
use crate::survey::{GroundPath, Run};

/// What a feeder ahead does for the grounds behind it.
enum Serves {
    /// It brings a ground; look further ahead.
    Ground,
    /// The neutral is joined to the grounds at its end: a fault comes back over it.
    Neutral,
    /// It brings neither.
    Nothing,
    /// Not known.
    Unknown,
}

/// The first run ahead of `run`, towards the supply, at which the grounds of everything behind it end:
/// it brings no ground, and no neutral is joined to them at its end. The inner `None`: there is none, they
/// lead back. The outer: that cannot be told, and `facts` holds what is missing.
pub fn grounds_end_at<'a>(house: &House<'a>, run: usize, facts: &mut Facts) -> Option<Option<&'a Run>> {
    let mut node = house.network.edge(house.network.run_edge(run)).a;
    let mut known = Some(None);
    while let Some(edge) = house.feeds.up_edge(node) {
        let edge = house.network.edge(edge);
        node = edge.other(node);
        let Link::Run(ahead) = edge.link else { continue };
        if ahead == run {
            // A run that brings a supply in lies towards the root itself.
            continue;
        }
        match serves(house, ahead, facts) {
            Serves::Ground => {}
            Serves::Neutral => break,
            // What is certain counts, whatever is unknown between.
            Serves::Nothing => return Some(Some(&house.survey.runs[ahead])),
            Serves::Unknown => known = None,
        }
    }
    known
}

/// Whether a fault behind a run without a ground of its own comes back over its neutral: service
/// conductors, and feeders to a panel where the neutral is joined to the enclosure.
#[must_use]
pub fn neutral_serves(house: &House<'_>, run: usize, facts: &mut Facts) -> Option<bool> {
    let Protection::Ahead(_) = house.protection(run) else { return Some(true) };
    match house.panel_beyond(run) {
        Some(panel) => facts.need(&panel.neutral_bond, &panel.id, "neutral_bond"),
        None => Some(false),
    }
}

fn serves(house: &House<'_>, run: usize, facts: &mut Facts) -> Serves {
    let item = &house.survey.runs[run];
    match item.equipment_ground.get() {
        Some(GroundPath::Wire | GroundPath::MetalRaceway | GroundPath::ArmorWithStrip) => Serves::Ground,
        Some(GroundPath::None | GroundPath::ArmorOnly) => match neutral_serves(house, run, facts) {
            Some(true) => Serves::Neutral,
            Some(false) => Serves::Nothing,
            None => Serves::Unknown,
        },
        // Where the neutral serves, nothing else is asked.
        None if neutral_serves(house, run, &mut Facts::new()) == Some(true) => Serves::Neutral,
        None => {
            facts.need(&item.equipment_ground, &item.id, "equipment_ground");
            Serves::Unknown
        }
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;
    use crate::fixture::{standby, survey, with};

    /// Where the grounds behind run 5, the feeder of the subpanel P2, end; run 2 lies ahead of it.
    fn told(changes: &[(&str, Value)]) -> String {
        let device = json!({ "kind": "breaker", "rating": "15 A", "poles": 1 });
        let way = json!({ "id": "P2.1", "spaces": [1], "device": device, "leg": "A" });
        let run = json!({ "id": "RX", "from": "P2.1" });
        let house = with(standby(), &[("/panels/1/ways/-", way), ("/runs/-", run)]);
        let survey = survey(&with(house, changes));
        let house = House::new(&survey);
        let run = survey.runs.len() - 1;
        let mut facts = Facts::new();
        let end = grounds_end_at(&house, run, &mut facts);
        let missing = facts.done(Some(())).missing;
        match end {
            Some(Some(run)) => run.id.to_string(),
            Some(None) => "whole".to_owned(),
            None => missing.iter().map(|missing| format!("{} {}", missing.item, missing.fact)).collect(),
        }
    }

    #[test]
    fn a_ground_ends_at_a_feeder_without_one() {
        assert_eq!(told(&[]), "whole");
        let feeder = |ground: Value| ("/runs/5/equipment_ground", ground);
        let end = told(&[feeder(json!("none"))]);
        assert_eq!(told(&[feeder(json!("armor_only"))]), end);
        assert!(end.starts_with('R'), "{end}");
        assert_eq!(told(&[feeder(json!("metal_raceway"))]), "whole");
        assert!(told(&[feeder(json!(null))]).ends_with(" equipment_ground"));
        // Ahead of it an earlier feeder without one is certain, whatever the nearer has.
        let ahead = ("/runs/2/equipment_ground", json!("none"));
        assert!(told(&[feeder(json!(null)), ahead]).starts_with('R'));
    }

    /// NFPA 70-2023 250.32(B), existing three-wire feeders: the neutral is joined at their end.
    #[test]
    fn a_neutral_joined_at_its_end_leads_back() {
        let none = ("/runs/5/equipment_ground", json!("none"));
        let bond = |bond: Value| told(&[none.clone(), ("/panels/1/neutral_bond", bond)]);
        assert_eq!(bond(json!(true)), "whole");
        assert!(bond(json!(false)).starts_with('R'));
        assert!(bond(json!(null)).ends_with(" neutral_bond"));
    }
}
