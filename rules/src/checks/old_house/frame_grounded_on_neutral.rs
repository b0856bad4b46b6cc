//! A range or dryer whose metal frame is grounded on its neutral.

use crate::checks::check;
use crate::finding::{Arg, Binding, Facts, Finding, Severity, Subject, Verdict};
use crate::house::House;
use crate::say;
use crate::survey::{FrameGround, Load, LoadKind, Panel};

check! {
    /// # What it checks
    /// What the metal frame of a range, oven, cooktop or dryer is grounded on, and, where it is the
    /// neutral, whether the circuit begins at the service equipment.
    ///
    /// # Why
    /// On a 3-wire circuit the neutral carries current and the frame hangs on it. If that one wire comes
    /// off, the frame stands at 120 V. From a subpanel it is worse: the neutral there is kept apart from
    /// ground, so the frame differs from every grounded thing beside it even while nothing is broken.
    ///
    /// # Example
    /// An invented 3-wire dryer fed from the service panel of a house of 1962 is a CAUTION and may be
    /// allowed to stay; the same dryer fed from a subpanel is a WARNING.
    ///
    /// # Limits
    /// The other conditions under which an old 3-wire circuit may stay (size, insulated neutral, or bare
    /// neutral of service-entrance cable from the service) are left to the electrician.
    ///
    /// # References
    /// NFPA 70-2023 250.140 and 250.142(B); 3-wire range and dryer circuits were common until 1996.
    frame_grounded_on_neutral {
        folder: OldHouse,
        severity: Caution,
        binding: NewWork,
        citations: ["NFPA 70-2023" "250.140", "NFPA 70-2023" "250.142(B)"],
        caution: "If the neutral of this circuit opens, the frame becomes live. Do not touch it and a sink or another appliance together while a fault is suspected.",
        next_step: "Have a licensed electrician check the joints of this neutral; when the circuit is altered or moved, it becomes a 4-wire circuit.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    let concerned = house.survey.loads.iter().filter(|load| is_concerned(load.kind));
    findings.extend(concerned.map(|load| look_at(house, load)));
}

fn is_concerned(kind: LoadKind) -> bool {
    matches!(kind, LoadKind::Range | LoadKind::Oven | LoadKind::Cooktop | LoadKind::Dryer)
}

/// What the circuit of a frame on the neutral begins at.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Origin {
    Service,
    Subpanel,
    /// Taken as a subpanel: the worse of the two.
    Unknown,
}

fn look_at(house: &House<'_>, load: &Load) -> Finding {
    let mut facts = Facts::new();
    let frame = facts.need(&load.frame_ground, &load.id, "frame_ground");
    if let Some(frame) = frame {
        facts.seen("", "frame grounded on", Arg::Word(frame.words()), &load.id, "frame_ground");
    }
    let panel = house.run_number(&load.on).and_then(|run| house.panel_behind(run));
    if let (Some(FrameGround::Neutral), Some(panel)) = (frame, panel)
        && let Some(service) = panel.service_equipment.get()
    {
        let label = say!("{} is service equipment", &panel.name);
        facts.seen("", label, service, &panel.id, "service_equipment");
    }
    let (verdict, derivation) = facts.conclude(frame.map(|frame| frame != FrameGround::EquipmentGround));
    let subject = house.subject(&load.id);
    let finding = match (&verdict, frame) {
        (Verdict::FallsShort, Some(FrameGround::Neutral)) => on_neutral(origin(panel), subject),
        (Verdict::FallsShort, _) => on_nothing(subject),
        (Verdict::Meets, _) => {
            Finding::of(&CHECK, subject, Verdict::Meets, say!("The frame is grounded by its own wire."))
        }
        _ => {
            let message = say!("Nobody has told yet what the metal frame is grounded on.");
            Finding::of(&CHECK, subject, verdict, message)
        }
    };
    finding.because(derivation)
}

fn origin(panel: Option<&Panel>) -> Origin {
    match panel.map(|panel| panel.service_equipment.get()) {
        Some(Some(true)) => Origin::Service,
        Some(None) => Origin::Unknown,
        Some(Some(false)) | None => Origin::Subpanel,
    }
}

fn on_neutral(origin: Origin, subject: Subject) -> Finding {
    let of = |message| Finding::of(&CHECK, subject, Verdict::FallsShort, message);
    let worse = say!(
        "Have a licensed electrician run a 4-wire circuit: a frame on the neutral of a subpanel was not allowed in older editions either."
    );
    match origin {
        Origin::Service => of(say!("The frame is grounded on the neutral of a 3-wire circuit from the service.")),
        Origin::Subpanel => of(say!("The frame is grounded on a neutral that comes from a subpanel."))
            .severity(Severity::Warning)
            .binding(Binding::Hazard)
            .next(worse),
        Origin::Unknown => of(say!("The frame is grounded on its neutral, and it is not known whether that comes from the service or a subpanel."))
            .severity(Severity::Warning)
            .binding(Binding::Hazard)
            .next(say!("Find out whether the panel that feeds it is the service equipment; from a subpanel it needs a 4-wire circuit by a licensed electrician.")),
    }
}

fn on_nothing(subject: Subject) -> Finding {
    Finding::of(&CHECK, subject, Verdict::FallsShort, say!("The metal frame is grounded on nothing."))
        .severity(Severity::Warning)
        .binding(Binding::Hazard)
        .caution(say!("A fault inside makes the whole frame live. Leave the appliance unused until it is grounded."))
        .next(say!("Have a licensed electrician run a circuit with a grounding wire before the appliance is used again."))
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{one_circuit, text, verdict, with};

    fn dryer(frame: Value, service: Value) -> Value {
        with(
            one_circuit(),
            &[
                ("/loads/0/kind", json!("dryer")),
                ("/loads/0/frame_ground", frame),
                ("/panels/0/service_equipment", service),
            ],
        )
    }

    #[test]
    fn frame_grounded_on_neutral() {
        let told = |frame, service| verdict(&CHECK, &dryer(frame, service), "L");
        assert_eq!(told(json!("equipment_ground"), json!(true)), "meets");
        // NFPA 70-2023 250.140: existing circuits that begin at the service may stay.
        assert_eq!(told(json!("neutral"), json!(true)), "falls_short CAUTION");
        assert_eq!(told(json!("neutral"), json!(false)), "falls_short WARNING");
        assert_eq!(told(json!("neutral"), json!(null)), "falls_short WARNING");
        assert_eq!(told(json!("none"), json!(true)), "falls_short WARNING");
        assert_eq!(told(json!(null), json!(true)), "cannot_tell frame_ground");
        assert_eq!(verdict(&CHECK, &one_circuit(), "L"), "silent");
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!("from_the_service", text(&CHECK, &dryer(json!("neutral"), json!(true)), "L"));
        insta::assert_snapshot!("from_a_subpanel", text(&CHECK, &dryer(json!("neutral"), json!(false)), "L"));
    }
}
