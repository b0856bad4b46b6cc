//! More than one joint of neutral and ground in what one supply feeds.

use super::bonds;
use crate::checks::check;
use crate::finding::{Facts, Finding, Said, Verdict, from_table};
use crate::house::House;
use crate::network::{Island, Place};
use crate::say;
use crate::survey::SupplyKind;
use crate::tables::us::{ClauseId, number};

check! {
    /// # What it checks
    /// For each supply that can feed the house (utility, battery inverter, generator): in how many places
    /// neutral and ground are joined in everything that hangs on its neutral while it feeds. There may be
    /// one.
    ///
    /// # Why
    /// A second joint makes grounding wires, pipes and cable armor carry neutral current all the time.
    /// They warm their joints, ground-fault interrupters trip or go blind, and the frames of machines
    /// differ in voltage.
    ///
    /// # Example
    /// An invented generator with neutral and frame joined inside feeds a panel through a transfer switch
    /// that leaves the neutral solid: its joint and that of the service make two.
    ///
    /// # Limits
    /// A neutral counts as joined wherever a run with a neutral leads; breakers do not open it. A transfer
    /// switch that opens the neutral parts it. A cord is plugged in only while its supply feeds. In
    /// another building with an old 3-wire feeder the joint there is not counted twice.
    ///
    /// # References
    /// NFPA 70-2023 250.24(B), 250.30(A)(1) and its notes, 250.142(B), 250.32(B).
    neutral_bonded_more_than_once {
        folder: Grounding,
        severity: Warning,
        binding: Hazard,
        citations: ["NFPA 70-2023" "250.24(B)", "NFPA 70-2023" "250.30(A)(1)", "NFPA 70-2023" "250.142(B)"],
        caution: "Grounding wires and pipes may carry current. Opening one of them can leave a voltage across the gap.",
        next_step: "Have a licensed electrician lift every joint of neutral and ground but the one at the service.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    findings.extend(house.neutral_islands().iter().map(|island| look_at(house, island)));
}

fn look_at(house: &House<'_>, island: &Island) -> Finding {
    let supply = bonds::supply_of(house, island);
    let subject = house.subject(&supply.id);
    let mut facts = Facts::new();
    let neutral = bonds::gives_neutral(supply, &mut facts);
    if neutral == Some(false) {
        let why = say!("It gives no neutral.");
        return Finding::of(
            &CHECK,
            subject,
            Verdict::NotApplicable { why },
            say!("{} gives no neutral.", &supply.name),
        );
    }
    let count = bonds::count(house, island, &mut facts);
    let limit = allowed(supply.kind);
    facts.step(from_table("n_max", "joints allowed", limit.value, limit.place));
    bonds::ask(&count, &mut facts);
    let (verdict, derivation) = facts.conclude(neutral.map(|_| count.least as f64 > limit.value));
    let name = &supply.name;
    let message = match verdict {
        Verdict::FallsShort if count.most > count.least => say!(
            "While {} feeds, neutral and ground are joined in at least {} places: {}.",
            name,
            count.least,
            count.places.clone()
        ),
        Verdict::FallsShort => say!(
            "While {} feeds, neutral and ground are joined in {} places: {}.",
            name,
            count.least,
            count.places.clone()
        ),
        Verdict::Meets => say!("While {} feeds, neutral and ground are not joined more than once.", name),
        _ => say!(
            "While {} feeds, it is not known yet in how many places neutral and ground are joined.",
            name
        ),
    };
    let mut finding = Finding::of(&CHECK, subject, verdict, message).because(derivation);
    if neutral.is_some() {
        finding = finding.figure(count.least, limit.value);
    }
    match what_to_lift(house, island, &count) {
        Some(next) => finding.next(next),
        None => finding,
    }
}

/// One at the service, or one of the source whose neutral is its own.
fn allowed(kind: SupplyKind) -> crate::tables::Cell<f64> {
    match kind {
        SupplyKind::Utility => number(ClauseId::MainBondingJumper),
        _ => number(ClauseId::DerivedSystemBond),
    }
}

/// Where a supply of one's own holds one of several joints, there are two ways out.
fn what_to_lift(house: &House<'_>, island: &Island, count: &bonds::Count) -> Option<Said> {
    let own = count.bonds.iter().filter(|bond| bond.is_certain()).find_map(|bond| match bond.place {
        Place::Supply(at) => Some(at),
        Place::Panel(_) => None,
    })?;
    let name = &house.survey.supplies[own].name;
    Some(if own == island.mode.supply {
        say!(
            "Have a licensed electrician either lift the joint inside {}, as its maker allows, or fit a transfer switch that opens the neutral too.",
            name
        )
    } else {
        say!(
            "The joint inside {} stays while this supply feeds. Have a licensed electrician lift it, as its maker allows, or fit a transfer switch that opens the neutral too.",
            name
        )
    })
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{findings, one_circuit, standby, text, verdict, with};

    #[test]
    fn neutral_bonded_more_than_once() {
        let told = |solid, inside| {
            let changes = [("/transfers/0/switches_neutral", solid), ("/supplies/1/neutral_bond", inside)];
            verdict(&CHECK, &with(standby(), &changes), "G")
        };
        // NFPA 70-2023 250.30(A)(1): one joint, at the source if its neutral is switched.
        assert_eq!(told(json!(false), json!(true)), "falls_short WARNING");
        assert_eq!(told(json!(false), json!(false)), "meets");
        assert_eq!(told(json!(true), json!(true)), "meets");
        assert_eq!(told(json!(true), json!(false)), "meets");
        assert_eq!(told(json!(null), json!(true)), "cannot_tell switches_neutral");
        assert_eq!(told(json!(false), json!(null)), "cannot_tell neutral_bond");
    }

    #[test]
    fn a_bond_in_a_subpanel_is_a_second_one_on_the_utility() {
        let told = |changes: &[(&str, Value)]| verdict(&CHECK, &with(standby(), changes), "U");
        let solid = ("/transfers/0/switches_neutral", json!(false));
        assert_eq!(told(&[("/panels/1/neutral_bond", json!(false))]), "meets");
        assert_eq!(told(&[("/panels/1/neutral_bond", json!(true))]), "falls_short WARNING");
        assert_eq!(told(&[("/panels/1/neutral_bond", json!(null))]), "cannot_tell neutral_bond");
        // The generator's cord is not plugged in while the utility feeds.
        assert_eq!(told(&[solid.clone(), ("/supplies/1/neutral_bond", json!(true))]), "meets");
        let unseen = findings(
            &CHECK,
            &with(
                standby(),
                &[("/panels/1/neutral_bond", json!(true)), ("/supplies/1/neutral_bond", json!(null)), solid],
            ),
        );
        let told_of_generator = unseen.iter().find(|finding| finding.subject.id.as_str() == "G");
        assert_eq!(
            told_of_generator.map(|finding| finding.message.to_string()).as_deref(),
            Some(
                "While Generator feeds, neutral and ground are joined in at least 2 places: Main panel; Standby panel."
            )
        );
        let bonded = ("/panels/1/neutral_bond", json!(true));
        assert_eq!(told(&[bonded.clone(), ("/runs/2/circuit", json!(null))]), "cannot_tell circuit");
        assert_eq!(told(&[bonded, ("/runs/2/circuit", json!("two_hots"))]), "meets");
    }

    #[test]
    fn a_wired_inverter_keeps_its_joint_unless_a_relay_opens_it() {
        let told = |relay| {
            let house = with(
                standby(),
                &[
                    ("/supplies/1/kind", json!("battery_inverter")),
                    ("/supplies/1/neutral_bond", json!(true)),
                    ("/supplies/1/bond_relay", relay),
                    ("/transfers/0/switches_neutral", json!(false)),
                    ("/runs/3/to", json!("T.standby")),
                    ("/runs/3/method", json!("raceway")),
                ],
            );
            verdict(&CHECK, &house, "U")
        };
        assert_eq!(told(json!(true)), "meets");
        assert_eq!(told(json!(false)), "falls_short WARNING");
        assert_eq!(told(json!(null)), "cannot_tell bond_relay");
    }

    #[test]
    fn an_old_three_wire_feeder_to_another_building_counts_once() {
        let told = |changes: &[(&str, Value)]| {
            let barn = with(
                standby(),
                &[
                    ("/panels/1/neutral_bond", json!(true)),
                    ("/panels/1/detached_building", json!(true)),
                    ("/runs/5/from", json!("P.2")),
                    ("/runs/5/equipment_ground", json!("none")),
                ],
            );
            verdict(&CHECK, &with(barn, changes), "U")
        };
        assert_eq!(told(&[]), "meets");
        assert_eq!(told(&[("/runs/5/equipment_ground", json!("wire"))]), "falls_short WARNING");
        assert_eq!(told(&[("/runs/5/equipment_ground", json!(null))]), "cannot_tell equipment_ground");
        assert_eq!(told(&[("/panels/1/detached_building", json!(false))]), "falls_short WARNING");
        assert_eq!(told(&[("/panels/1/detached_building", json!(null))]), "cannot_tell detached_building");
    }

    #[test]
    fn a_supply_without_neutral_is_not_concerned() {
        let told = |output| verdict(&CHECK, &with(one_circuit(), &[("/supplies/0/output", output)]), "U");
        assert_eq!(told(json!("240 V")), "not_applicable");
        assert_eq!(told(json!(null)), "cannot_tell output");
        assert_eq!(told(json!("120/240 V")), "meets");
    }

    #[test]
    fn its_text() {
        let solid = ("/transfers/0/switches_neutral", json!(false));
        let house = with(standby(), &[solid, ("/supplies/1/neutral_bond", json!(true))]);
        insta::assert_snapshot!(text(&CHECK, &house, "G"));
    }
}
