//! No disconnect outdoors with which help can cut the house off from the utility.

use crate::checks::check;
use crate::finding::{Facts, Finding, Verdict, judge};
use crate::house::{House, site_id};
use crate::say;
use crate::survey::SupplyKind;

check! {
    /// # What it checks
    /// Whether a disconnect that can be reached at once stands outdoors.
    ///
    /// # Why
    /// Who comes to a fire or a flood must be able to make the house dead without walking into it.
    /// Where batteries and solar stay live after the utility is cut off, the place outdoors is also
    /// where a plaque tells that there is more to switch off.
    ///
    /// # Example
    /// An invented house of 1931 with its first disconnect in the basement: flagged as advice, to be
    /// put right when the service is renewed for the battery inverter.
    ///
    /// # Limits
    /// The clause binds one- and two-family dwellings whose service is new or replaced, since the
    /// 2020 edition. An older service may remain as it is.
    ///
    /// # References
    /// NFPA 70-2023 230.85.
    no_outdoor_disconnect {
        folder: Service,
        severity: Notice,
        binding: NewWork,
        citations: ["NFPA 70-2023" "230.85"],
        caution: "Until there is one, only the utility or the first disconnect indoors cuts this house off. Keep the way to it free.",
        next_step: "Ask the licensed electrician to plan an outdoor disconnect when the service is renewed, and the authority having jurisdiction whether the work planned makes it necessary now.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    // Without a utility there is no service to cut off.
    if house.survey.supplies.iter().any(|supply| supply.kind == SupplyKind::Utility) {
        findings.push(look_at(house));
    }
}

fn look_at(house: &House<'_>) -> Finding {
    let site = site_id();
    let mut facts = Facts::new();
    let outdoors = facts.need(&house.survey.site.outdoor_disconnect, &site, "outdoor_disconnect");
    if let Some(outdoors) = outdoors {
        facts.seen("", "disconnect outdoors", outdoors, &site, "outdoor_disconnect");
    }
    let outdoors = facts.done(outdoors);
    let verdict = judge(&outdoors, &Facts::new().done(Some(true)), |found, wanted| found != wanted);
    let message = match verdict {
        Verdict::FallsShort => {
            say!("No disconnect stands outdoors; a new or replaced service of this house needs one.")
        }
        Verdict::Meets => say!("A disconnect that can be reached at once stands outdoors."),
        _ => say!("Nobody has seen yet whether a disconnect stands outdoors."),
    };
    Finding::of(&CHECK, house.site_subject(), verdict, message).because(outdoors.derivation)
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::CHECK;
    use crate::fixture::{one_circuit, text, verdict, with};

    /// NFPA 70-2023 230.85.
    #[test]
    fn no_outdoor_disconnect() {
        let told =
            |value| verdict(&CHECK, &with(one_circuit(), &[("/site/outdoor_disconnect", value)]), "site");
        assert_eq!(told(json!(true)), "meets");
        assert_eq!(told(json!(false)), "falls_short NOTICE");
        assert_eq!(told(json!(null)), "cannot_tell outdoor_disconnect");
        assert_eq!(told(json!("cannot be seen")), "cannot_tell outdoor_disconnect");
    }

    #[test]
    fn a_house_without_utility_has_no_service() {
        let house = with(one_circuit(), &[("/supplies/0/kind", json!("generator"))]);
        assert_eq!(verdict(&CHECK, &house, "site"), "silent");
    }

    #[test]
    fn its_text() {
        let house = with(one_circuit(), &[("/site/outdoor_disconnect", json!(false))]);
        insta::assert_snapshot!(text(&CHECK, &house, "site"));
    }
}
