//! Burnt, rusted or wet spots on a panel or at one of its ways.

use crate::checks::check;
use crate::finding::{Arg, Facts, Finding, Verdict};
use crate::house::House;
use crate::say;
use crate::survey::{Fact, Id, Marks};

check! {
    /// # What it checks
    /// Whether heat or water has left its marks on a panel (enclosure, main, lugs) or at one of its ways.
    ///
    /// # Why
    /// A browned or melted spot is where a joint has run hot, and a joint that has once run hot runs
    /// hotter the next time: its spring has gone soft and its surface is oxide. Rust and white bloom
    /// mean that water has been inside; a breaker that has been wet may no longer open.
    ///
    /// # Example
    /// An invented pull-out panel with one browned fuse clip: the way is flagged, whatever its rating.
    ///
    /// # Limits
    /// Only what can be seen from outside the dead front is asked for. "None seen" is what the
    /// surveyor saw, not proof that there is none behind.
    ///
    /// # References
    /// NFPA 70-2023 110.12(B) (parts damaged by corrosion, overheating or otherwise).
    heat_or_water_marks {
        folder: OldHouse,
        severity: Warning,
        binding: Hazard,
        citations: ["NFPA 70-2023" "110.12(B)"],
        caution: "Leave the cover on. A damaged part may be live where it looks dead, and may fail when it is moved.",
        next_step: "Have a licensed electrician find the cause and replace the damaged part before any source is tied in.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (_, panel) in house.panels() {
        findings.push(look_at(house, &panel.id, &panel.marks));
    }
    for (_, _, _, way) in house.ways() {
        findings.push(look_at(house, &way.id, &way.marks));
    }
}

fn look_at(house: &House<'_>, id: &Id, fact: &Fact<Marks>) -> Finding {
    let mut facts = Facts::new();
    let marks = facts.need(fact, id, "marks");
    if let Some(marks) = marks {
        facts.seen("", "marks", Arg::Word(marks.words()), id, "marks");
    }
    let (verdict, derivation) = facts.conclude(marks.map(|marks| marks != Marks::None));
    let message = match (&verdict, marks) {
        (Verdict::FallsShort, Some(Marks::Heat)) => say!("Something here has run hot."),
        (Verdict::FallsShort, Some(Marks::Water)) => say!("Water has been in here."),
        (Verdict::FallsShort, _) => say!("Both heat and water have left their marks here."),
        (Verdict::Meets, _) => say!("No marks of heat or water were seen."),
        _ => say!("Nobody has looked here yet for marks of heat or water."),
    };
    Finding::of(&CHECK, house.subject(id), verdict, message).because(derivation)
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::CHECK;
    use crate::fixture::{one_circuit, text, verdict, with};

    #[test]
    fn heat_or_water_marks() {
        for (path, item) in [("/panels/0/marks", "P"), ("/panels/0/ways/0/marks", "P.1")] {
            let told = |value| verdict(&CHECK, &with(one_circuit(), &[(path, value)]), item);
            assert_eq!(told(json!("none")), "meets");
            assert_eq!(told(json!("heat")), "falls_short WARNING");
            assert_eq!(told(json!("water")), "falls_short WARNING");
            assert_eq!(told(json!("heat_and_water")), "falls_short WARNING");
            assert_eq!(told(json!(null)), "cannot_tell marks");
        }
    }

    #[test]
    fn its_text() {
        let house = with(one_circuit(), &[("/panels/0/ways/0/marks", json!("heat"))]);
        insta::assert_snapshot!(text(&CHECK, &house, "P.1"));
    }
}
