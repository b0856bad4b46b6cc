//! Knob-and-tube wiring in thermal insulation, behind too large a device, or extended.

use super::small_conductor;
use crate::checks::check;
use crate::finding::{Arg, Binding, Facts, Finding, Said, Severity, Verdict};
use crate::house::House;
use crate::say;
use crate::survey::{InsulationContact, Method, Run};

check! {
    /// # What it checks
    /// Three things about a run of knob-and-tube, each told for itself: whether thermal insulation lies
    /// around or against it, whether the device ahead of it is within the limit for its size, and
    /// whether it has been extended.
    ///
    /// # Why
    /// Its single conductors were rated for free air, which carries their heat away. Insulation blown
    /// in later keeps the heat; the rubber chars and the wood beside it dries. A larger fuse hides the
    /// overload that makes it worse, and an extension adds load and joints that nobody has seen.
    ///
    /// # Example
    /// An invented attic run of 14 AWG under blown insulation is a DANGER. The same run in free air
    /// behind a 15 A fuse, never extended, meets; behind a 20 A fuse it is a WARNING.
    ///
    /// # Limits
    /// Insulation that was added to one bay of a wall cannot be seen from the panel. Where nobody has
    /// looked, the answer stays open.
    ///
    /// # References
    /// NFPA 70-2023 394.12(5) (not where insulation envelops it), 394.10 (only extensions of existing
    /// runs), 240.4(D). Older editions let 14 AWG stand behind 20 A until about 1981 (one public page).
    knob_and_tube_buried {
        folder: OldHouse,
        severity: Danger,
        binding: Hazard,
        citations: ["NFPA 70-2023" "394.12(5)", "NFPA 70-2023" "394.10", "NFPA 70-2023" "240.4(D)"],
        caution: "Buried conductors can char the wood around them without opening a fuse. Do not pull the insulation away yourself: the rubber may be crumbling and the wires bare.",
        next_step: "Take the circuit out of use, and have a licensed electrician replace it or clear the insulation around it.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (number, run) in house.runs() {
        match run.method.get() {
            Some(Method::KnobAndTube) => {
                findings.push(buried(house, run));
                findings.extend(over_fused(house, number, run));
                findings.push(extended(house, run));
            }
            Some(_) => {}
            None => findings.push(method_unknown(house, run)),
        }
    }
}

fn method_unknown(house: &House<'_>, run: &Run) -> Finding {
    let mut facts = Facts::new();
    facts.need(&run.method, &run.id, "method");
    let (verdict, _) = facts.conclude(None);
    Finding::of(
        &CHECK,
        house.subject(&run.id),
        verdict,
        say!("It is not known yet whether this is knob-and-tube."),
    )
}

fn buried(house: &House<'_>, run: &Run) -> Finding {
    let mut facts = Facts::new();
    let contact = facts.need(&run.insulation_contact, &run.id, "insulation_contact");
    if let Some(contact) = contact {
        let label = "contact with thermal insulation";
        facts.seen("", label, Arg::Word(contact.words()), &run.id, "insulation_contact");
    }
    let (verdict, derivation) = facts.conclude(contact.map(|contact| contact != InsulationContact::None));
    let (message, severity) = match contact {
        Some(InsulationContact::Surrounded) => {
            (say!("Knob-and-tube lies buried in thermal insulation."), Severity::Danger)
        }
        Some(InsulationContact::Touching) => (
            say!("Thermal insulation lies against knob-and-tube, which counts on free air."),
            Severity::Warning,
        ),
        Some(InsulationContact::None) => {
            (say!("This knob-and-tube is in free air, as far as was seen."), Severity::Danger)
        }
        None => {
            (say!("Nobody has seen yet whether insulation lies around this knob-and-tube."), Severity::Danger)
        }
    };
    Finding::of(&CHECK, house.subject(&run.id), verdict, message).because(derivation).severity(severity)
}

fn over_fused(house: &House<'_>, number: usize, run: &Run) -> Option<Finding> {
    let compared = small_conductor::compare(house, number)?;
    let message = match (&compared.verdict, compared.rating, compared.limit) {
        (Verdict::FallsShort, Some(rating), Some(limit)) => {
            say!("The {} device ahead of this knob-and-tube is above the {} for its size.", rating, limit)
        }
        (Verdict::Meets, Some(rating), Some(limit)) => {
            say!("The {} device ahead of this knob-and-tube is within the {} for its size.", rating, limit)
        }
        (Verdict::NotApplicable { .. }, ..) => {
            say!(
                "The limit for small conductors does not reach this size; its ampacity is compared elsewhere."
            )
        }
        _ => say!("It is not known yet whether the device ahead of this knob-and-tube is small enough."),
    };
    let mut finding = Finding::of(&CHECK, house.subject(&run.id), compared.verdict, message);
    if let (Some(rating), Some(limit)) = (compared.rating, compared.limit) {
        finding = finding.figure(rating, limit);
    }
    let caution = say!(
        "The wire can overheat in the wall without the device opening. Do not raise the load on this circuit."
    );
    Some(
        finding
            .because(compared.derivation)
            .severity(Severity::Warning)
            .caution(caution)
            .next(smaller_device(compared.limit)),
    )
}

fn smaller_device(limit: Option<crate::si::Current>) -> Said {
    match limit {
        Some(limit) => say!(
            "Have a licensed electrician fit a device not above {}, held by a size-limiting adapter where it is a plug fuse. Older editions allowed more on 14 AWG; do not carry on with it.",
            limit
        ),
        None => say!("Have a licensed electrician compare the device with the wire."),
    }
}

fn extended(house: &House<'_>, run: &Run) -> Finding {
    let mut facts = Facts::new();
    let extended = facts.need(&run.extended, &run.id, "extended");
    if let Some(extended) = extended {
        facts.seen("", "extended later", extended, &run.id, "extended");
    }
    let (verdict, derivation) = facts.conclude(extended);
    let message = match verdict {
        Verdict::FallsShort => {
            say!("This knob-and-tube has been extended: it may carry more than it was laid for.")
        }
        Verdict::Meets => say!("This knob-and-tube has not been extended, as far as was seen."),
        _ => say!("Nobody has told yet whether this knob-and-tube has been extended."),
    };
    let caution =
        say!("Joints of an extension may be loose, uncovered or inside a wall. Do not add to this circuit.");
    Finding::of(&CHECK, house.subject(&run.id), verdict, message)
        .because(derivation)
        .severity(Severity::Warning)
        .binding(Binding::NewWork)
        .caution(caution)
        .next(say!("Have a licensed electrician trace the extension, see its joints, and give the added load a circuit of its own."))
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{one_circuit, texts, verdict, verdicts, with};

    fn knob_and_tube(contact: Value, rating: Value, extended: Value) -> Value {
        with(
            one_circuit(),
            &[
                ("/runs/1/method", json!("knob_and_tube")),
                ("/runs/1/insulation_contact", contact),
                ("/runs/1/extended", extended),
                ("/panels/0/ways/0/device/rating", rating),
            ],
        )
    }

    #[test]
    fn knob_and_tube_buried() {
        let told = |contact| verdict(&CHECK, &knob_and_tube(contact, json!("15 A"), json!(false)), "R");
        // NFPA 70-2023 394.12(5).
        assert_eq!(told(json!("surrounded")), "falls_short DANGER");
        assert_eq!(told(json!("touching")), "falls_short WARNING");
        assert_eq!(told(json!("none")), "meets");
        assert_eq!(told(json!(null)), "cannot_tell insulation_contact");
        assert_eq!(told(json!("cannot be seen")), "cannot_tell insulation_contact");
    }

    #[test]
    fn the_device_is_held_to_the_limit_of_the_size() {
        let told = |rating, changes: &[(&str, Value)]| {
            let house = with(knob_and_tube(json!("none"), rating, json!(false)), changes);
            verdicts(&CHECK, &house, "R")[1].clone()
        };
        // NFPA 70-2023 240.4(D)(3): 15 A on 14 AWG copper.
        assert_eq!(told(json!("15 A"), &[]), "meets");
        assert_eq!(told(json!("15.1 A"), &[]), "falls_short WARNING");
        assert_eq!(told(json!("20 A"), &[]), "falls_short WARNING");
        assert_eq!(told(json!(null), &[]), "cannot_tell device.rating");
        assert_eq!(told(json!("15 A"), &[("/runs/1/size", json!(null))]), "cannot_tell size");
        assert_eq!(told(json!("15 A"), &[("/runs/1/material", json!(null))]), "cannot_tell material");
        assert_eq!(
            told(json!("15 A"), &[("/panels/0/ways/0/device/kind", json!(null))]),
            "cannot_tell device.kind"
        );
        assert_eq!(told(json!("40 A"), &[("/runs/1/size", json!("8 AWG"))]), "not_applicable");
    }

    #[test]
    fn an_extension_is_flagged() {
        let told = |extended| {
            verdicts(&CHECK, &knob_and_tube(json!("none"), json!("15 A"), extended), "R")[2].clone()
        };
        assert_eq!(told(json!(true)), "falls_short WARNING");
        assert_eq!(told(json!(false)), "meets");
        assert_eq!(told(json!(null)), "cannot_tell extended");
    }

    #[test]
    fn other_methods_are_silent_and_an_unknown_one_is_a_question() {
        let told = |method| verdicts(&CHECK, &with(one_circuit(), &[("/runs/1/method", method)]), "R");
        assert!(told(json!("nm_b")).is_empty());
        assert_eq!(told(json!(null)), ["cannot_tell method"]);
    }

    #[test]
    fn its_text() {
        let house = knob_and_tube(json!("surrounded"), json!("20 A"), json!(true));
        insta::assert_snapshot!(texts(&CHECK, &house, "R"));
    }
}
