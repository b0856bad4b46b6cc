//! A panel of a type that the surveyor knows as recalled or doubtful.

use crate::checks::check;
use crate::finding::{Facts, Finding, Verdict};
use crate::house::House;
use crate::say;

check! {
    /// # What it checks
    /// Whether the surveyor knows the panel's type as recalled, or as one whose breakers are doubted.
    ///
    /// # Why
    /// Some types of breaker made in the second half of the last century are reported not to open on
    /// an overload, or to let go of their bus. A battery inverter gives less fault current than the
    /// utility, so a breaker that opens late opens later still.
    ///
    /// # Example
    /// An invented panel whose type the surveyor finds in a recall notice: flagged, and no figure can
    /// clear it.
    ///
    /// # Limits
    /// This program lists no makes and knows none. It repeats what the surveyor says.
    ///
    /// # References
    /// Common practice, no source.
    panel_of_doubtful_make {
        folder: OldHouse,
        severity: Caution,
        binding: Hazard,
        citations: ["Common practice" "no published source"],
        caution: "Do not count on a breaker of a doubtful type to open. Switching it to try it out proves nothing.",
        next_step: "Have a licensed electrician look up the type in public recall notices and plan its replacement before a source is tied in.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (_, panel) in house.panels() {
        let mut facts = Facts::new();
        let doubtful = facts.need(&panel.doubtful_make, &panel.id, "doubtful_make");
        if let Some(doubtful) = doubtful {
            facts.seen("", "known as recalled or doubtful", doubtful, &panel.id, "doubtful_make");
        }
        let (verdict, derivation) = facts.conclude(doubtful);
        let message = match verdict {
            Verdict::FallsShort => say!("The surveyor knows this type of panel as recalled or doubtful."),
            Verdict::Meets => say!("The surveyor knows nothing against this type of panel."),
            _ => say!("Nobody has said yet whether this type of panel is recalled or doubtful."),
        };
        findings.push(Finding::of(&CHECK, house.subject(&panel.id), verdict, message).because(derivation));
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::CHECK;
    use crate::fixture::{one_circuit, text, verdict, with};

    #[test]
    fn panel_of_doubtful_make() {
        let told = |value| verdict(&CHECK, &with(one_circuit(), &[("/panels/0/doubtful_make", value)]), "P");
        assert_eq!(told(json!(false)), "meets");
        assert_eq!(told(json!(true)), "falls_short CAUTION");
        assert_eq!(told(json!(null)), "cannot_tell doubtful_make");
        assert_eq!(told(json!("cannot be seen")), "cannot_tell doubtful_make");
    }

    #[test]
    fn its_text() {
        let house = with(one_circuit(), &[("/panels/0/doubtful_make", json!(true))]);
        insta::assert_snapshot!(text(&CHECK, &house, "P"));
    }
}
