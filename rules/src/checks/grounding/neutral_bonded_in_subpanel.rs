//! Neutral and ground joined in a panel beyond the service.

use crate::checks::check;
use crate::finding::{
    Arg, Binding, Citation, Facts, Finding, Missing, Severity, Subject, Verdict, from_table,
};
use crate::house::House;
use crate::network::Place;
use crate::say;
use crate::survey::{GroundPath, Panel, PanelKind, Run, SupplyKind};
use crate::tables::us::{ClauseId, number};

check! {
    /// # What it checks
    /// Whether neutral and enclosure are joined in a panel that is not service equipment and hangs on the
    /// utility's neutral.
    ///
    /// # Why
    /// Beyond the service the neutral must stay apart from ground. Joined there, the neutral's current
    /// divides between the neutral and every grounding wire, pipe and armor that leads back.
    ///
    /// # Example
    /// An invented subpanel with its green screw in place is a WARNING. The same in a barn fed by an old
    /// 3-wire feeder is a CAUTION: it may be allowed to stay while no metal joins the two buildings.
    ///
    /// # Limits
    /// Whether a pipe or cable shield joins two buildings is not asked; the electrician must look. A panel
    /// that only a source with its own, switched neutral feeds is not concerned.
    ///
    /// # References
    /// NFPA 70-2023 250.24(B) (250.24(A)(5) before 2023), 250.142(B), 408.40; 250.32(B) Exception 1 for other buildings (from memory).
    neutral_bonded_in_subpanel {
        folder: Grounding,
        severity: Warning,
        binding: Hazard,
        citations: ["NFPA 70-2023" "250.24(B)", "NFPA 70-2023" "250.142(B)", "NFPA 70-2023" "250.32(B)"],
        caution: "The enclosure and the grounding wires of this panel may carry current. The joint must not be lifted while the panel is energised.",
        next_step: "Have a licensed electrician lift the joint in this panel and give the feeder a grounding wire of its own if it has none.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (at, panel) in house.panels() {
        let is_service = panel.service_equipment.get() == Some(true);
        let is_dc = panel.kind.get() == Some(PanelKind::DcCombiner);
        if !is_service && !is_dc {
            findings.push(look_at(house, at, panel));
        }
    }
}

fn look_at(house: &House<'_>, at: usize, panel: &Panel) -> Finding {
    let mut facts = Facts::new();
    facts.need(&panel.kind, &panel.id, "kind");
    let service = facts.need(&panel.service_equipment, &panel.id, "service_equipment");
    let bonded = facts.need(&panel.neutral_bond, &panel.id, "neutral_bond");
    if let Some(bonded) = bonded {
        facts.seen("", "neutral and enclosure joined here", bonded, &panel.id, "neutral_bond");
    }
    let subject = house.subject(&panel.id);
    if bonded == Some(true) && service.is_some() {
        match on_utility_neutral(house, at) {
            Some(missing) => {
                for missing in missing {
                    let _: Option<()> = facts.miss(&missing.item, missing.fact, missing.cannot_be_seen);
                }
            }
            None => return own_neutral(subject),
        }
    }
    let limit = number(ClauseId::NeutralBondsBeyondService);
    facts.step(from_table("", "joints allowed beyond the service", limit.value, limit.place));
    let short = match (service, bonded, facts.complete()) {
        (Some(_), Some(true), true) => Some(true),
        (Some(_), Some(false), _) => Some(false),
        _ => None,
    };
    let feeder = house.survey.runs.iter().find(|run| run.to.as_ref() == Some(&panel.id));
    let may_stay = is_old_feeder_to_other_building(panel, feeder, &mut facts);
    let (verdict, derivation) = facts.conclude(short);
    let message = match verdict {
        Verdict::FallsShort if may_stay => {
            say!("Neutral and ground are joined in another building that an old 3-wire feeder supplies.")
        }
        Verdict::FallsShort => say!("Neutral and ground are joined in a panel beyond the service."),
        Verdict::Meets => say!("Neutral and ground are kept apart in this panel."),
        _ => say!("It is not known yet whether neutral and ground are joined where they may not be."),
    };
    let finding = Finding::of(&CHECK, subject, verdict, message).because(derivation);
    let finding = Finding { citations: citations(panel), ..finding };
    if may_stay { other_building(finding) } else { finding }
}

const IN_THE_HOUSE: &[Citation] = &[
    Citation { standard: "NFPA 70-2023", clause: "250.24(B)" },
    Citation { standard: "NFPA 70-2023", clause: "250.142(B)" },
    Citation { standard: "NFPA 70-2023", clause: "408.40" },
];

const IN_ANOTHER_BUILDING: &[Citation] = &[
    Citation { standard: "NFPA 70-2023", clause: "250.32(B)" },
    Citation { standard: "NFPA 70-2023", clause: "250.142(B)" },
];

/// 250.32 is for a building of its own; within the service's building the joint is forbidden by the others.
fn citations(panel: &Panel) -> &'static [Citation] {
    match panel.detached_building.get() {
        Some(true) => IN_ANOTHER_BUILDING,
        Some(false) => IN_THE_HOUSE,
        None => CHECK.citations,
    }
}

fn own_neutral(subject: Subject) -> Finding {
    let why = say!(
        "No neutral joins this panel to the utility's; the joint is counted for the supply that feeds it."
    );
    let message = say!("This panel has a neutral of its own.");
    Finding::of(&CHECK, subject, Verdict::NotApplicable { why }, message)
}

/// What its hanging on the neutral of a utility depends on; `None` when it does not.
fn on_utility_neutral(house: &House<'_>, at: usize) -> Option<Vec<Missing>> {
    let utility = |supply: usize| house.survey.supplies[supply].kind == SupplyKind::Utility;
    let islands = house.neutral_islands().iter().filter(|island| utility(island.mode.supply));
    let members = islands.filter_map(|island| island.member(house, Place::Panel(at)));
    members.map(|member| member.missing).min_by_key(Vec::len)
}

/// 250.32(B) Exception: an existing feeder without a grounding wire to another building.
fn is_old_feeder_to_other_building(panel: &Panel, feeder: Option<&Run>, facts: &mut Facts) -> bool {
    let Some(feeder) = feeder else { return false };
    let ground = feeder.equipment_ground.get();
    if panel.detached_building.get() != Some(true) || ground != Some(GroundPath::None) {
        return false;
    }
    facts.seen("", "in another building than the service", true, &panel.id, "detached_building");
    let path = Arg::Word(GroundPath::None.words());
    facts.seen("", "equipment ground of its feeder", path, &feeder.id, "equipment_ground");
    true
}

fn other_building(finding: Finding) -> Finding {
    finding
        .severity(Severity::Caution)
        .binding(Binding::NewWork)
        .next(say!("Have a licensed electrician make sure that no pipe, cable shield or other metal joins the two buildings; a new feeder has four wires, and the joint goes then."))
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{standby, text, verdict, with};

    fn bonded(changes: &[(&str, Value)]) -> Value {
        with(with(standby(), &[("/panels/1/neutral_bond", json!(true))]), changes)
    }

    #[test]
    fn neutral_bonded_in_subpanel() {
        let told = |changes: &[(&str, Value)]| verdict(&CHECK, &bonded(changes), "P2");
        // NFPA 70-2023 250.142(B).
        assert_eq!(told(&[]), "falls_short WARNING");
        assert_eq!(told(&[("/panels/1/neutral_bond", json!(false))]), "meets");
        assert_eq!(told(&[("/panels/1/neutral_bond", json!(null))]), "cannot_tell neutral_bond");
        assert_eq!(told(&[("/panels/1/service_equipment", json!(null))]), "cannot_tell service_equipment");
        assert_eq!(told(&[("/panels/1/kind", json!("dc_distribution"))]), "silent");
        assert_eq!(told(&[("/panels/1/kind", json!(null))]), "cannot_tell kind");
        assert_eq!(verdict(&CHECK, &bonded(&[]), "P"), "silent");
    }

    #[test]
    fn an_old_feeder_to_another_building_is_a_caution() {
        let told = |building, ground| {
            let changes = [("/panels/1/detached_building", building), ("/runs/5/equipment_ground", ground)];
            verdict(&CHECK, &bonded(&changes), "P2")
        };
        // NFPA 70-2023 250.32(B) Exception 1.
        assert_eq!(told(json!(true), json!("none")), "falls_short CAUTION");
        assert_eq!(told(json!(true), json!("wire")), "falls_short WARNING");
        assert_eq!(told(json!(false), json!("none")), "falls_short WARNING");
        assert_eq!(told(json!(null), json!("none")), "falls_short WARNING");
    }

    /// NFPA 70-2023 250.32 is for another building, 250.24(B) and 408.40 for the one of the service.
    #[test]
    fn each_building_is_cited_by_its_own_clause() {
        let told = |building: Value| {
            let told = text(&CHECK, &bonded(&[("/panels/1/detached_building", building)]), "P2");
            told.lines().find(|line| line.starts_with("cites")).unwrap_or_default().to_owned()
        };
        let inside = told(json!(false));
        assert!(inside.contains("408.40") && !inside.contains("250.32"), "{inside}");
        let outside = told(json!(true));
        assert!(outside.contains("250.32(B)") && !outside.contains("250.24"), "{outside}");
        assert!(told(json!(null)).contains("250.32(B)"));
    }

    #[test]
    fn a_panel_off_the_utilitys_neutral_is_not_concerned() {
        let told = |circuit| verdict(&CHECK, &bonded(&[("/runs/2/circuit", circuit)]), "P2");
        assert_eq!(told(json!("two_hots")), "not_applicable");
        assert_eq!(told(json!(null)), "cannot_tell circuit");
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!("in_the_house", text(&CHECK, &bonded(&[]), "P2"));
        let barn =
            [("/panels/1/detached_building", json!(true)), ("/runs/5/equipment_ground", json!("none"))];
        insta::assert_snapshot!("in_another_building", text(&CHECK, &bonded(&barn), "P2"));
    }
}
