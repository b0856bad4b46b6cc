//! Solid aluminium in 15, 20 or 25 A circuits: its joints and the device ahead of it.

use super::small_conductor;
use crate::checks::check;
use crate::finding::{Arg, Facts, Finding, Said, Severity, Verdict, from_table};
use crate::house::House;
use crate::say;
use crate::survey::{AluminiumJoint, Material, Run, Stranding};
use crate::tables::us::{self, Metal, OldHouseId, old_house_fact};

check! {
    /// # What it checks
    /// On a run of small solid aluminium, each told for itself: how its conductors meet devices and
    /// copper, and whether the device ahead of it is within the limit for its size.
    ///
    /// # Why
    /// Aluminium of 1965 to 1973 creeps under a screw and grows an oxide that does not conduct. A
    /// joint that was tight becomes a heater inside a box. A survey for CPSC put the chance of a fire
    /// hazard at an outlet at 55 times that of copper.
    ///
    /// # Example
    /// An invented 12 AWG circuit with copper pigtails under twist-on connectors is a WARNING; behind a
    /// 20 A breaker a second one, since 12 AWG aluminium may have 15 A.
    ///
    /// # Limits
    /// Stranded aluminium and sizes above those of 240.4(D) are not this hazard; their lugs deserve a
    /// look. Copper-clad aluminium is not this hazard.
    ///
    /// # References
    /// CPSC Publication 516 (accepted repairs, years, survey figure); NFPA 70-2023 404.14(C) and
    /// 406.3(C) (CO/ALR, from memory), 240.4(D).
    aluminium_branch_wiring {
        folder: OldHouse,
        severity: Warning,
        binding: Hazard,
        citations: ["CPSC" "Publication 516", "NFPA 70-2023" "404.14(C)", "NFPA 70-2023" "406.3(C)", "NFPA 70-2023" "240.4(D)"],
        caution: "A warm cover plate, a flicker or a smell of hot plastic means stop using the outlet at once. Do not tighten or remake these joints yourself.",
        next_step: "Have a licensed electrician rewire the circuit in copper, or make each joint by a repair that CPSC Publication 516 accepts.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (number, run) in house.runs() {
        let mut facts = Facts::new();
        match is_concerned(run, &mut facts) {
            Some(true) => {
                findings.push(joints(house, run, facts));
                findings.extend(over_fused(house, number, run));
            }
            Some(false) => {}
            None => {
                let (verdict, derivation) = facts.conclude(None);
                let message = say!("It is not known yet whether this run is small solid aluminium.");
                findings
                    .push(Finding::of(&CHECK, house.subject(&run.id), verdict, message).because(derivation));
            }
        }
    }
}

/// Whether a run is small solid aluminium; any one fact against it settles that it is not.
fn is_concerned(run: &Run, facts: &mut Facts) -> Option<bool> {
    let material = run.material.get();
    let small = run.size.known().map(|size| is_small(size.quantity()));
    let solid = run.stranding.get().map(|stranding| stranding == Stranding::Solid);
    let aluminium = material.map(|material| material == Material::Aluminium);
    if [aluminium, small, solid].contains(&Some(false)) {
        return Some(false);
    }
    // The metal first: the rest is asked for only on aluminium.
    let material = facts.need(&run.material, &run.id, "material")?;
    facts.seen("", "metal", Arg::Word(material.words()), &run.id, "material");
    let size = facts.need(&run.size, &run.id, "size");
    let stranding = facts.need(&run.stranding, &run.id, "stranding");
    let (size, stranding) = (size?, stranding?);
    facts.seen("", "size", size.quantity(), &run.id, "size");
    facts.seen("", "stranding", Arg::Word(stranding.words()), &run.id, "stranding");
    Some(true)
}

/// Small: 240.4(D) sets a limit for it.
fn is_small(size: crate::survey::WireSize) -> bool {
    us::not_larger(size).is_some_and(|size| us::small_conductor_limit(size, Metal::Aluminium).is_some())
}

fn joints(house: &House<'_>, run: &Run, mut facts: Facts) -> Finding {
    let joint = facts.need(&run.aluminium_joint, &run.id, "aluminium_joint");
    if let Some(joint) = joint {
        facts.seen("", "how it meets devices", Arg::Word(joint.words()), &run.id, "aluminium_joint");
    }
    if let Some(ratio) = old_house_fact(OldHouseId::AluminiumHazardRatio).value {
        let label = "chance of a fire hazard at an outlet, times that of copper";
        facts.step(from_table("", label, ratio.value, ratio.place));
    }
    let (verdict, derivation) = facts.conclude(joint.map(|joint| joint != AluminiumJoint::ListedRepair));
    let (message, severity) = about(joint);
    Finding::of(&CHECK, house.subject(&run.id), verdict, message).because(derivation).severity(severity)
}

fn about(joint: Option<AluminiumJoint>) -> (Said, Severity) {
    match joint {
        Some(AluminiumJoint::ListedRepair) => {
            (say!("The joints of this aluminium are made by an accepted repair."), Severity::Warning)
        }
        Some(AluminiumJoint::CoAlr) => (
            say!(
                "This solid aluminium ends in CO/ALR devices: allowed, but not accepted by CPSC as a lasting repair."
            ),
            Severity::Caution,
        ),
        Some(AluminiumJoint::TwistOn) => {
            (say!("This solid aluminium meets copper under twist-on connectors."), Severity::Warning)
        }
        Some(AluminiumJoint::Unmarked) => {
            (say!("This solid aluminium ends in devices that are not marked for it."), Severity::Warning)
        }
        None => (say!("Nobody has seen yet how this solid aluminium meets its devices."), Severity::Warning),
    }
}

fn over_fused(house: &House<'_>, number: usize, run: &Run) -> Option<Finding> {
    let compared = small_conductor::compare(house, number)?;
    let message = match (&compared.verdict, compared.rating, compared.limit) {
        (Verdict::FallsShort, Some(rating), Some(limit)) => {
            say!("The {} device is above the {} that aluminium of this size may have.", rating, limit)
        }
        (Verdict::Meets, Some(rating), Some(limit)) => {
            say!("The {} device is within the {} that aluminium of this size may have.", rating, limit)
        }
        _ => say!("It is not known yet whether the device ahead of this aluminium is small enough."),
    };
    let mut finding = Finding::of(&CHECK, house.subject(&run.id), compared.verdict, message);
    if let (Some(rating), Some(limit)) = (compared.rating, compared.limit) {
        finding = finding.figure(rating, limit).next(say!(
            "Have a licensed electrician fit a device not above {}, or rewire the circuit in copper.",
            limit
        ));
    }
    Some(finding.because(compared.derivation))
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{one_circuit, texts, verdicts, with};

    fn aluminium(changes: &[(&str, Value)]) -> Value {
        let house = with(
            one_circuit(),
            &[
                ("/runs/1/material", json!("aluminium")),
                ("/runs/1/size", json!("12 AWG")),
                ("/runs/1/era", json!("1965-1973")),
                ("/runs/1/aluminium_joint", json!("listed_repair")),
            ],
        );
        with(house, changes)
    }

    fn told(changes: &[(&str, Value)]) -> Vec<String> {
        verdicts(&CHECK, &aluminium(changes), "R")
    }

    #[test]
    fn aluminium_branch_wiring() {
        let joint = |joint| told(&[("/runs/1/aluminium_joint", joint)])[0].clone();
        // CPSC Publication 516: accepted repairs only.
        assert_eq!(joint(json!("listed_repair")), "meets");
        assert_eq!(joint(json!("co_alr")), "falls_short CAUTION");
        assert_eq!(joint(json!("twist_on")), "falls_short WARNING");
        assert_eq!(joint(json!("unmarked_device")), "falls_short WARNING");
        assert_eq!(joint(json!(null)), "cannot_tell aluminium_joint");
    }

    #[test]
    fn the_device_is_held_to_the_limit_of_the_size() {
        let device = |size: &str, rating| {
            let changes = [("/runs/1/size", json!(size)), ("/panels/0/ways/0/device/rating", rating)];
            told(&changes)[1].clone()
        };
        // NFPA 70-2023 240.4(D)(4) and (6): 12 AWG aluminium 15 A, 10 AWG 25 A.
        assert_eq!(device("12 AWG", json!("15 A")), "meets");
        assert_eq!(device("12 AWG", json!("20 A")), "falls_short WARNING");
        assert_eq!(device("10 AWG", json!("25 A")), "meets");
        assert_eq!(device("10 AWG", json!("30 A")), "falls_short WARNING");
        assert_eq!(device("12 AWG", json!(null)), "cannot_tell device.rating");
    }

    #[test]
    fn copper_large_and_stranded_aluminium_are_silent() {
        assert!(verdicts(&CHECK, &one_circuit(), "R").is_empty());
        assert!(told(&[("/runs/1/size", json!("8 AWG"))]).is_empty());
        assert!(told(&[("/runs/1/stranding", json!("stranded"))]).is_empty());
        assert!(told(&[("/runs/1/material", json!("copper_clad_aluminium"))]).is_empty());
        assert_eq!(told(&[("/runs/1/material", json!(null))]), ["cannot_tell material"]);
        assert_eq!(told(&[("/runs/1/size", json!(null))]), ["cannot_tell size"]);
        assert_eq!(told(&[("/runs/1/stranding", json!(null))]), ["cannot_tell stranding"]);
    }

    #[test]
    fn its_text() {
        let over = ("/panels/0/ways/0/device/rating", json!("20 A"));
        let twisted = aluminium(&[("/runs/1/aluminium_joint", json!("twist_on")), over]);
        insta::assert_snapshot!("a_warning", texts(&CHECK, &twisted, "R"));
        let marked = aluminium(&[("/runs/1/aluminium_joint", json!("co_alr"))]);
        insta::assert_snapshot!("a_caution", texts(&CHECK, &marked, "R"));
    }
}
