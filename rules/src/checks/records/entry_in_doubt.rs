//! Something was entered that cannot be read.

use crate::checks::check;
use crate::finding::{Finding, Missing, Verdict};
use crate::house::House;
use crate::say;
use crate::survey::layout::fact_name;
use crate::survey::place::Place;
use crate::survey::{Doubt, Id};

check! {
    /// # What it checks
    /// Whether anything that was entered could not be read, or was left open although the file cannot do
    /// without it (what kind of load or supply something is).
    ///
    /// # Why
    /// Somebody saw something there. Until it is entered so that it can be read, nothing may rest on it: the
    /// fact counts as not seen, and no verdict that reads what stands in its place counts as met.
    ///
    /// # Example
    /// "2o A" with the letter o: the rating stays open, and the text is kept to be corrected.
    ///
    /// # Limits
    /// What can be read and is wrong all the same (20 A for 30 A) is not found by this.
    ///
    /// # References
    /// None: this is how the program keeps from guessing.
    entry_in_doubt {
        folder: Records,
        severity: Caution,
        binding: Hazard,
        citations: [],
        caution: "Do not rely on anything that hangs on this entry.",
        next_step: "Look again and enter it so that it can be read, or say that it cannot be seen.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    findings.extend(house.survey.in_doubt.iter().filter_map(|doubt| look_at(house, doubt)));
}

fn look_at(house: &House<'_>, doubt: &Doubt) -> Option<Finding> {
    // A file whose doubtful entries stand at no field is refused when it is opened.
    let fact = fact_name(house.survey, &doubt.on, &doubt.fact)?;
    let missing = vec![Missing { item: doubt.on.clone(), fact, cannot_be_seen: false }];
    let words = fact.replace(['_', '.'], " ");
    let message = if doubt.text.is_empty() {
        say!("It has not been said yet what stands here ({}).", words)
    } else {
        say!("\"{}\" was entered here ({}) and cannot be read.", &doubt.text, words)
    };
    let subject = house.subject(&item_of(house, &doubt.on));
    Some(Finding::of(&CHECK, subject, Verdict::CannotTell { missing }, message))
}

/// The item that the finding is about: of a reading, what it was taken at.
fn item_of(house: &House<'_>, id: &Id) -> Id {
    match Place::find(house.survey, id) {
        Some(Place::Reading(at)) => house.survey.readings[at].at.clone(),
        _ => id.clone(),
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{one_circuit, texts, verdicts, with, with_battery};

    fn doubtful(house: Value, on: &str, fact: &str, text: &str) -> Value {
        with(house, &[("/in_doubt", json!([{ "on": on, "fact": fact, "text": text }]))])
    }

    #[test]
    fn entry_in_doubt() {
        assert!(verdicts(&CHECK, &one_circuit(), "P.1").is_empty());
        let house = with(one_circuit(), &[("/panels/0/ways/0/device/rating", json!(null))]);
        let house = doubtful(house, "P.1", "device.rating", "2o A");
        assert_eq!(verdicts(&CHECK, &house, "P.1"), ["cannot_tell device.rating"]);
        let house = doubtful(one_circuit(), "L", "kind", "");
        assert_eq!(verdicts(&CHECK, &house, "L"), ["cannot_tell kind"]);
        let house = with(with_battery(), &[("/supplies/1/surges/0/power", json!(null))]);
        let house = doubtful(house, "B", "surges.0.power", "a lot");
        assert_eq!(verdicts(&CHECK, &house, "B"), ["cannot_tell surges.power"]);
        let house = with(one_circuit(), &[("/site/built", json!(null))]);
        assert_eq!(
            verdicts(&CHECK, &doubtful(house, "site", "built", "long ago"), "site"),
            ["cannot_tell built"]
        );
    }

    #[test]
    fn what_was_read_stands_at_what_it_was_read_at() {
        let reading = json!([{ "id": "M", "at": "R", "when": "2026-04-30T14:05:00Z", "instrument": "" }]);
        let house = doubtful(with(one_circuit(), &[("/readings", reading)]), "M", "current", "3 amps or so");
        assert_eq!(verdicts(&CHECK, &house, "R"), ["cannot_tell current"]);
    }

    #[test]
    fn its_text() {
        let rating = with(one_circuit(), &[("/panels/0/ways/0/device/rating", json!(null))]);
        let rating = texts(&CHECK, &doubtful(rating, "P.1", "device.rating", "2o A"), "P.1");
        let kind = texts(&CHECK, &doubtful(one_circuit(), "L", "kind", ""), "L");
        insta::assert_snapshot!(format!("{rating}\n\n{kind}"));
    }
}
