//! More than one source, and no sign that says so.

use crate::checks::check;
use crate::finding::{Facts, Finding, Verdict};
use crate::house::{House, site_id};
use crate::say;
use crate::survey::{Supply, SupplyKind};

check! {
    /// # What it checks
    /// Where a house has more than one source of power: whether a directory or plaque names every
    /// source and its disconnect, and whether a sign at the service names each source besides the utility.
    ///
    /// # Why
    /// The fire service pulls the meter and takes the house for dead. A sign is the only thing that tells
    /// them that a battery or the sun still feeds it.
    ///
    /// # Example
    /// An invented house with a battery inverter in the cellar and nothing at the meter that says so.
    ///
    /// # Limits
    /// What the sign says in detail is left to the clauses and to the authority having jurisdiction.
    ///
    /// # References
    /// NFPA 70-2023 702.7(A), 705.10, 706.21, 710.10. IEC 60364-5-51 514.4.
    no_source_label {
        folder: Isolation,
        severity: Caution,
        binding: NewWork,
        citations: [
            "NFPA 70-2023" "702.7(A)", "NFPA 70-2023" "705.10", "NFPA 70-2023" "706.21", "NFPA 70-2023" "710.10",
        ],
        caution: "Nothing tells whoever opens the service that another source feeds the house. A dead grid does not mean a dead panel.",
        next_step: "Have a sign placed at the service that names every source and where it is opened, in the words that the authority having jurisdiction wants.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    let others = house.survey.supplies.iter().filter(|supply| is_counted(supply));
    let others: Vec<&Supply> = others.collect();
    let utilities = house.survey.supplies.iter().filter(|supply| supply.kind == SupplyKind::Utility).count();
    if others.is_empty() || others.len() + utilities < 2 {
        return;
    }
    findings.push(directory(house));
    findings.extend(others.into_iter().map(|supply| sign(house, supply)));
}

/// A battery bank behind an inverter is named with its inverter.
fn is_counted(supply: &Supply) -> bool {
    !matches!(supply.kind, SupplyKind::Utility | SupplyKind::Battery)
}

fn directory(house: &House<'_>) -> Finding {
    let mut facts = Facts::new();
    let site = &house.survey.site;
    let there = facts.need(&site.source_directory, &site_id(), "source_directory");
    facts.seen("", "directory of every source", there == Some(true), &site_id(), "source_directory");
    let (verdict, derivation) = facts.conclude(there.map(|there| !there));
    let message = match verdict {
        Verdict::FallsShort => {
            say!("The house has more than one source, and no directory or plaque names them.")
        }
        Verdict::Meets => say!("A directory or plaque names every source and its disconnect."),
        _ => say!("Nobody has seen yet whether a directory or plaque names every source."),
    };
    Finding::of(&CHECK, house.site_subject(), verdict, message).because(derivation)
}

fn sign(house: &House<'_>, supply: &Supply) -> Finding {
    let mut facts = Facts::new();
    let there = facts.need(&supply.source_label, &supply.id, "source_label");
    facts.seen("", "sign at the service", there == Some(true), &supply.id, "source_label");
    let (verdict, derivation) = facts.conclude(there.map(|there| !there));
    let name = &supply.name;
    let message = match verdict {
        Verdict::FallsShort => say!("No sign at the service names {}.", name),
        Verdict::Meets => say!("A sign at the service names {}.", name),
        _ => say!("Nobody has seen yet whether a sign at the service names {}.", name),
    };
    Finding::of(&CHECK, house.subject(&supply.id), verdict, message).because(derivation)
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::CHECK;
    use crate::fixture::{one_circuit, standby, text, verdict, with};

    #[test]
    fn no_source_label() {
        // NFPA 70-2023 702.7(A), 705.10.
        let told = |fact: &str, item: &str, value| verdict(&CHECK, &with(standby(), &[(fact, value)]), item);
        for (fact, item, name) in [
            ("/supplies/1/source_label", "G", "source_label"),
            ("/site/source_directory", "site", "source_directory"),
        ] {
            assert_eq!(told(fact, item, json!(true)), "meets");
            assert_eq!(told(fact, item, json!(false)), "falls_short CAUTION");
            assert_eq!(told(fact, item, json!(null)), format!("cannot_tell {name}"));
        }
        assert_eq!(verdict(&CHECK, &one_circuit(), "site"), "silent");
    }

    #[test]
    fn its_text() {
        let house = with(standby(), &[("/supplies/1/source_label", json!(false))]);
        insta::assert_snapshot!(text(&CHECK, &house, "G"));
    }
}
