//! No joint of neutral and ground in what one supply feeds.

use super::bonds;
use crate::checks::check;
use crate::finding::{Facts, Finding, Said, Verdict, from_table};
use crate::house::House;
use crate::network::Island;
use crate::say;
use crate::survey::SupplyKind;
use crate::tables::us::{ClauseId, number};

check! {
    /// # What it checks
    /// For each supply that can feed the house (utility, battery inverter, generator): whether neutral and
    /// ground are joined at least once in everything that hangs on its neutral while it feeds.
    ///
    /// # Why
    /// That joint is the way back for fault current. Without it a hot wire that touches a metal frame
    /// opens no breaker: the frame stays live, and the next person to touch it and the sink is the way back.
    ///
    /// # Example
    /// An invented inverter without a joint inside feeds a panel through a transfer switch that opens the
    /// neutral: cut off from the service's joint, its island has none.
    ///
    /// # Limits
    /// Where the neutral stays solid, the joint at the service counts for the standby supply too. A fuse
    /// in a neutral can part it; `fused_neutral` speaks of that.
    ///
    /// # References
    /// NFPA 70-2023 250.20(B), 250.24(C), 250.30(A)(1).
    neutral_not_bonded {
        folder: Grounding,
        severity: Danger,
        binding: Hazard,
        citations: ["NFPA 70-2023" "250.20(B)", "NFPA 70-2023" "250.24(C)", "NFPA 70-2023" "250.30(A)(1)"],
        caution: "While this supply feeds, a fault leaves metal frames live and no breaker opens. Do not run the house on it before a licensed electrician has made the joint.",
        next_step: "Have a licensed electrician make the main bonding jumper at the service disconnect.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    findings.extend(house.neutral_islands().iter().map(|island| look_at(house, island)));
}

fn look_at(house: &House<'_>, island: &Island) -> Finding {
    let supply = bonds::supply_of(house, island);
    let subject = house.subject(&supply.id);
    let name = &supply.name;
    let mut facts = Facts::new();
    let neutral = bonds::gives_neutral(supply, &mut facts);
    if neutral == Some(false) {
        let why = say!("It gives no neutral.");
        return Finding::of(
            &CHECK,
            subject,
            Verdict::NotApplicable { why },
            say!("{} gives no neutral.", name),
        );
    }
    let count = bonds::count(house, island, &mut facts);
    let wanted = wanted(supply.kind);
    facts.step(from_table("n_min", "joints needed", wanted.value, wanted.place));
    let is_bonded = count.least as f64 >= wanted.value;
    if !is_bonded {
        bonds::ask(&count, &mut facts);
    }
    let short = if count.most == 0 { Some(true) } else { Some(false).filter(|_| is_bonded) };
    let (verdict, derivation) = facts.conclude(neutral.and(short));
    let message = match verdict {
        Verdict::FallsShort => say!("While {} feeds, neutral and ground are joined nowhere.", name),
        Verdict::Meets => {
            say!("While {} feeds, neutral and ground are joined at {}.", name, count.places.clone())
        }
        _ => {
            say!("While {} feeds, it is not known yet whether neutral and ground are joined anywhere.", name)
        }
    };
    let finding = Finding::of(&CHECK, subject, verdict, message).because(derivation);
    match supply.kind {
        SupplyKind::Utility => finding,
        _ => finding.next(for_standby(name)),
    }
}

fn for_standby(name: &str) -> Said {
    say!(
        "Have a licensed electrician make one joint, inside {} or at its first disconnect, or keep the neutral solid through the transfer switch.",
        name.to_owned()
    )
}

fn wanted(kind: SupplyKind) -> crate::tables::Cell<f64> {
    match kind {
        SupplyKind::Utility => number(ClauseId::MainBondingJumper),
        _ => number(ClauseId::DerivedSystemBond),
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{one_circuit, standby, text, verdict, with};

    #[test]
    fn neutral_not_bonded() {
        let told = |solid, inside| {
            let changes = [("/transfers/0/switches_neutral", solid), ("/supplies/1/neutral_bond", inside)];
            verdict(&CHECK, &with(standby(), &changes), "G")
        };
        // NFPA 70-2023 250.30(A)(1): a source whose neutral is switched has its own joint.
        assert_eq!(told(json!(true), json!(false)), "falls_short DANGER");
        assert_eq!(told(json!(true), json!(true)), "meets");
        assert_eq!(told(json!(false), json!(false)), "meets");
        assert_eq!(told(json!(true), json!(null)), "cannot_tell neutral_bond");
        assert_eq!(told(json!(null), json!(false)), "cannot_tell switches_neutral");
        assert_eq!(told(json!(null), json!(true)), "meets");
    }

    #[test]
    fn the_service_needs_its_main_bonding_jumper() {
        let told = |changes: &[(&str, Value)]| verdict(&CHECK, &with(one_circuit(), changes), "U");
        assert_eq!(told(&[]), "meets");
        assert_eq!(told(&[("/panels/0/neutral_bond", json!(false))]), "falls_short DANGER");
        assert_eq!(told(&[("/panels/0/neutral_bond", json!(null))]), "cannot_tell neutral_bond");
        assert_eq!(told(&[("/supplies/0/output", json!(null))]), "cannot_tell output");
        assert_eq!(told(&[("/runs/0/circuit", json!(null))]), "cannot_tell circuit");
    }

    #[test]
    fn its_text() {
        let switched = ("/transfers/0/switches_neutral", json!(true));
        let house = with(standby(), &[switched, ("/supplies/1/neutral_bond", json!(false))]);
        insta::assert_snapshot!(text(&CHECK, &house, "G"));
    }
}
