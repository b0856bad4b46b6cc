//! A transfer switch rated below the device ahead of it.

use crate::checks::check;
use crate::finding::{Facts, Finding, Verdict, Worked, judge};
use crate::house::{Guard, House, Protection};
use crate::say;
use crate::si::Current;
use crate::survey::{Position, Transfer};

check! {
    /// # What it checks
    /// Every transfer switch: whether its ampere rating is at least that of the device ahead of each of
    /// its inputs.
    ///
    /// # Why
    /// The device ahead lets its full rating through for as long as it lasts. A switch with less in its
    /// contacts overheats, and contacts that weld together no longer part the two sources.
    ///
    /// # Example
    /// An invented 30 A transfer switch behind a 60 A breaker.
    ///
    /// # Limits
    /// Where the load is smaller than the device, a maker may allow more: the check keeps to the
    /// ratings. A relay inside an inverter counts with the rating that its maker gives for pass-through.
    ///
    /// # References
    /// NFPA 70-2023 702.5(A), 110.3(B). IEC 60364-5-55 551.7.
    transfer_rating_too_low {
        folder: Isolation,
        severity: Warning,
        binding: Hazard,
        citations: ["NFPA 70-2023" "702.5(A)", "NFPA 70-2023" "110.3(B)"],
        caution: "Contacts that weld no longer keep the two sources apart. Keep the load below the rating of the switch until this is put right.",
        next_step: "Have a licensed electrician fit a smaller device ahead of the switch, or a switch of at least the device's rating.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for transfer in &house.survey.transfers {
        for position in &transfer.positions {
            findings.extend(look_at(house, transfer, position));
        }
    }
}

fn look_at(house: &House<'_>, transfer: &Transfer, position: &Position) -> Option<Finding> {
    let (number, _) = house.runs().find(|(_, run)| run.to.as_ref() == Some(&position.id))?;
    let Protection::Ahead(guard) = house.protection(number) else { return None };
    let device = rating_of(&guard, house);
    let mut facts = Facts::new();
    let rating = facts.need(&transfer.rating, &transfer.id, "rating").map(|rating| rating.quantity());
    if let Some(rating) = rating {
        facts.seen("I_T", "rating of the transfer switch", rating, &transfer.id, "rating");
    }
    let limit = facts.done(rating);
    let verdict = judge(&device, &limit, |device, rating| device > rating);
    let message = match (device.value, limit.value) {
        (Some(device), Some(rating)) if verdict == Verdict::FallsShort => {
            say!(
                "Its {} A contacts stand behind a {} A device at the input {}.",
                amperes(rating),
                amperes(device),
                &position.name
            )
        }
        (Some(_), Some(_)) if verdict == Verdict::Meets => {
            say!("Its contacts carry what the device at the input {} lets through.", &position.name)
        }
        _ => say!(
            "Whether its contacts carry what the device at the input {} lets through is not known yet.",
            &position.name
        ),
    };
    let mut derivation = device.derivation.clone();
    derivation.include(&limit.derivation);
    let finding = Finding::of(&CHECK, house.subject(&transfer.id), verdict, message).because(derivation);
    Some(match (device.value, limit.value) {
        (Some(device), Some(rating)) => finding.figure(device, rating),
        _ => finding,
    })
}

fn amperes(current: Current) -> f64 {
    current.get::<crate::si::ampere>()
}

fn rating_of(guard: &Guard<'_>, house: &House<'_>) -> Worked<Current> {
    let mut facts = Facts::new();
    let rating =
        facts.need(&guard.device.rating, guard.at, guard.rating_fact()).map(|rating| rating.quantity());
    if let Some(rating) = rating {
        facts.seen(
            "I_n",
            say!("device ahead: {}", house.subject(guard.at).name),
            rating,
            guard.at,
            guard.rating_fact(),
        );
    }
    facts.done(rating)
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::CHECK;
    use crate::fixture::{standby, text, verdict, with};

    #[test]
    fn transfer_rating_too_low() {
        let told = |rating| verdict(&CHECK, &with(standby(), &[("/transfers/0/rating", rating)]), "T");
        // NFPA 70-2023 702.5(A): the fixture's devices are 30 A.
        assert_eq!(told(json!("30 A")), "meets");
        assert_eq!(told(json!("29 A")), "falls_short WARNING");
        assert_eq!(told(json!(null)), "cannot_tell rating");
        let unknown = with(standby(), &[("/panels/0/ways/1/device/rating", json!(null))]);
        assert_eq!(verdict(&CHECK, &unknown, "T"), "cannot_tell device.rating");
    }

    #[test]
    fn its_text() {
        let house = with(standby(), &[("/transfers/0/rating", json!("20 A"))]);
        insta::assert_snapshot!(text(&CHECK, &house, "T"));
    }
}
