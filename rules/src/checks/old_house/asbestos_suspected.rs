//! Asbestos in a panel's backing board or in the covering of wires.

use crate::checks::check;
use crate::finding::{Arg, Facts, Finding, Verdict};
use crate::house::House;
use crate::say;
use crate::survey::{Insulation, Method, Panel, Run};

check! {
    /// # What it checks
    /// Whether a panel's backing board or wiring may hold asbestos, and whether the letters on single
    /// conductors name a covering with asbestos.
    ///
    /// # Why
    /// Panels were mounted on asbestos-cement board, and wire for hot places was covered with asbestos.
    /// Drilling, sanding, stripping or pulling it sets fibres free; left alone it harms nobody.
    ///
    /// # Example
    /// An invented switchboard wired with Type TA: its run is flagged. The same run in THHN is not.
    ///
    /// # Limits
    /// Only a laboratory can tell. Where the letters cannot be read, the answer stays open. Cables
    /// carry their own mark and are not asked.
    ///
    /// # References
    /// Common practice; the letters A, AA, AI, AIA, AVB and TA: superseded editions of NFPA 70 Table
    /// 310.4(1), from memory.
    asbestos_suspected {
        folder: OldHouse,
        severity: Caution,
        binding: Hazard,
        citations: ["Common practice" "no published source"],
        caution: "Do not drill, cut, strip, sand or brush it. Fibres that are breathed in do their harm years later.",
        next_step: "Have it sampled by somebody licensed for asbestos work before anything is moved, and tell the electrician.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    findings.extend(house.panels().map(|(_, panel)| look_at_panel(house, panel)));
    findings.extend(house.runs().filter_map(|(_, run)| look_at_run(house, run)));
}

fn look_at_panel(house: &House<'_>, panel: &Panel) -> Finding {
    let mut facts = Facts::new();
    let suspected = facts.need(&panel.asbestos_suspected, &panel.id, "asbestos_suspected");
    if let Some(suspected) = suspected {
        facts.seen("", "asbestos suspected", suspected, &panel.id, "asbestos_suspected");
    }
    let (verdict, derivation) = facts.conclude(suspected);
    let message = match verdict {
        Verdict::FallsShort => say!("The backing board or wiring of this panel may hold asbestos."),
        Verdict::Meets => say!("Nothing about this panel looks like asbestos."),
        _ => say!("Nobody has looked yet whether this panel may hold asbestos."),
    };
    Finding::of(&CHECK, house.subject(&panel.id), verdict, message).because(derivation)
}

/// Letters count wherever they were read; they are asked for only where single conductors are run.
fn look_at_run(house: &House<'_>, run: &Run) -> Option<Finding> {
    let mut facts = Facts::new();
    let holds_asbestos = match run.insulation.get() {
        Some(letters) => {
            facts.seen("", "insulation letters", Arg::Word(letters.words()), &run.id, "insulation");
            Some(matches!(letters, Insulation::A | Insulation::Avb | Insulation::Ta))
        }
        None => {
            match run.method.get() {
                Some(Method::Raceway | Method::FreeAir) => {
                    facts.need(&run.insulation, &run.id, "insulation");
                }
                Some(_) => return None,
                // The method first: on a cable the letters are not asked for.
                None => {
                    facts.need(&run.method, &run.id, "method");
                }
            }
            None
        }
    };
    let (verdict, derivation) = facts.conclude(holds_asbestos);
    let message = match verdict {
        Verdict::FallsShort => say!("The letters on these conductors name a covering with asbestos."),
        Verdict::Meets => say!("The letters on these conductors name no asbestos."),
        _ => say!("The covering of these conductors has not been told yet; old coverings may hold asbestos."),
    };
    Some(Finding::of(&CHECK, house.subject(&run.id), verdict, message).because(derivation))
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::CHECK;
    use crate::fixture::{one_circuit, text, verdict, with};

    #[test]
    fn asbestos_suspected() {
        let told =
            |value| verdict(&CHECK, &with(one_circuit(), &[("/panels/0/asbestos_suspected", value)]), "P");
        assert_eq!(told(json!(false)), "meets");
        assert_eq!(told(json!(true)), "falls_short CAUTION");
        assert_eq!(told(json!(null)), "cannot_tell asbestos_suspected");
    }

    #[test]
    fn letters_with_asbestos_are_flagged_on_a_run() {
        let told = |method, letters| {
            let changes = [("/runs/1/method", method), ("/runs/1/insulation", letters)];
            verdict(&CHECK, &with(one_circuit(), &changes), "R")
        };
        for letters in ["A", "AVB", "TA"] {
            assert_eq!(told(json!("raceway"), json!(letters)), "falls_short CAUTION");
        }
        // V is varnished cambric without asbestos: the near neighbour of AVB.
        assert_eq!(told(json!("raceway"), json!("V")), "meets");
        assert_eq!(told(json!("free_air"), json!(null)), "cannot_tell insulation");
        assert_eq!(told(json!(null), json!(null)), "cannot_tell method");
        assert_eq!(told(json!("nm_b"), json!(null)), "silent");
        assert_eq!(told(json!(null), json!("TA")), "falls_short CAUTION");
    }

    #[test]
    fn its_text() {
        let house = with(one_circuit(), &[("/panels/0/asbestos_suspected", json!(true))]);
        insta::assert_snapshot!("a_panel", text(&CHECK, &house, "P"));
        let wire = [("/runs/1/method", json!("raceway")), ("/runs/1/insulation", json!("TA"))];
        insta::assert_snapshot!("a_run", text(&CHECK, &with(one_circuit(), &wire), "R"));
    }
}
