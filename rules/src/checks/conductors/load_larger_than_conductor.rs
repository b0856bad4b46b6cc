//! A load that asks more of its conductor than it may carry.

use crate::calc::load_current::{RunCurrent, design_current_of_run};
use crate::checks::check;
use crate::finding::{Finding, Verdict, judge};
use crate::house::House;
use crate::say;
use crate::survey::Run;

check! {
    /// # What it checks
    /// Whether the fixed loads on a run ask for more current than its conductors may carry, with the
    /// additions for motors, compressors, heat and loads of three hours or more.
    ///
    /// # Why
    /// Such a wire runs hot every day, whether or not its device ever opens. Splices and terminals
    /// go first.
    ///
    /// # Example
    /// A 4.5 kW storage water heater on 240 V draws 18.8 A; with the 125 % of 422.13 it asks for
    /// 23.4 A, more than the 20 A of 12 AWG NM-B. (Invented; figures of the code.)
    ///
    /// # Limits
    /// The addition for continuous loads is compared with the corrected ampacity, the careful side of
    /// 210.19(A)(1). General lighting and outlets have no fixed load: there the device is the limit.
    /// Feeders are judged by their demand, not by the sum of what hangs on them.
    ///
    /// # References
    /// NFPA 70-2023 210.19(A)(1), 422.13, 424.4(B), 430.22, 430.24, 440.32, 440.4(B), Table 220.55.
    load_larger_than_conductor {
        folder: Conductors,
        severity: Warning,
        binding: Hazard,
        citations: ["NFPA 70-2023" "210.19(A)(1)", "NFPA 70-2023" "430.22", "NFPA 70-2023" "440.32"],
        caution: "The conductor runs hotter than it is made for whenever this load runs. Do not add to it.",
        next_step: "Have a licensed electrician replace the conductor by one for this load, or take load off it.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (number, run) in house.runs() {
        if house.loads_on(number).next().is_some() {
            findings.push(look_at(house, number, run));
        }
    }
}

fn look_at(house: &House<'_>, number: usize, run: &Run) -> Finding {
    let asked = design_current_of_run(house, number);
    let ampacity = house.ampacity(number).clone().map(|ampacity| ampacity.allowed());
    let verdict = judge(&asked, &ampacity, |asked, allowed| asked.current > *allowed);
    let verdict = without_fixed_load(verdict, asked.value);
    let mut derivation = asked.derivation.clone();
    derivation.include(&ampacity.derivation);
    let message = match (&verdict, asked.value, ampacity.value) {
        (Verdict::FallsShort, Some(asked), Some(allowed)) => {
            say!(
                "The loads on this run ask for {}, more than the {} that it may carry.",
                asked.current,
                allowed
            )
        }
        (Verdict::Meets, Some(asked), Some(allowed)) => {
            say!("The loads on this run ask for {}, within the {} that it may carry.", asked.current, allowed)
        }
        (Verdict::NotApplicable { .. }, ..) => {
            say!("Lighting or outlets without a fixed load hang on this run.")
        }
        _ => say!("It cannot be told whether this run is large enough for its loads."),
    };
    let finding = Finding::of(&CHECK, house.subject(&run.id), verdict, message).because(derivation);
    match (asked.value, ampacity.value) {
        (Some(asked), Some(allowed)) if !asked.open => finding.figure(asked.current, allowed),
        _ => finding,
    }
}

/// What has no fixed load cannot be said to have enough conductor: the device is the limit there.
pub(super) fn without_fixed_load(verdict: Verdict, asked: Option<RunCurrent>) -> Verdict {
    match verdict {
        Verdict::Meets if asked.is_some_and(|asked| asked.open) => Verdict::NotApplicable {
            why: say!("lighting or outlets have no fixed load; the device ahead limits what they draw"),
        },
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{one_circuit, text, verdict, with};

    /// A storage water heater of this power on 240 V behind 12 AWG copper NM-B.
    fn heater(power: Value) -> Value {
        let changes = [
            ("/runs/1/circuit", json!("two_hots")),
            ("/runs/1/size", json!("12 AWG")),
            ("/panels/0/ways/0/device/rating", json!("20 A")),
            ("/loads/0/kind", json!("water_heater")),
            ("/loads/0/voltage", json!("240 V")),
            ("/loads/0/power", power),
        ];
        with(one_circuit(), &changes)
    }

    /// NFPA 70-2023 422.13: 125 %. 3.84 kW on 240 V is 16 A, 20 A with the addition: the 60 °C column
    /// of 12 AWG copper in Table 310.16. 3.9 kW asks for 20.3 A.
    #[test]
    fn load_larger_than_conductor() {
        assert_eq!(verdict(&CHECK, &heater(json!("3.84 kW")), "R"), "meets");
        assert_eq!(verdict(&CHECK, &heater(json!("3.9 kW")), "R"), "falls_short WARNING");
        assert_eq!(verdict(&CHECK, &heater(json!("4.5 kW")), "R"), "falls_short WARNING");
    }

    #[test]
    fn a_plate_that_was_not_read_is_asked_for() {
        let told = verdict(&CHECK, &heater(json!(null)), "R");
        assert!(told.starts_with("cannot_tell"), "{told}");
        let cold = with(heater(json!("3 kW")), &[("/runs/1/ambient", json!(null))]);
        assert_eq!(verdict(&CHECK, &cold, "R"), "cannot_tell ambient");
    }

    #[test]
    fn outlets_have_no_fixed_load() {
        let changes = [("/loads/0/kind", json!("receptacles")), ("/loads/0/power", json!(null))];
        assert_eq!(verdict(&CHECK, &with(one_circuit(), &changes), "R"), "not_applicable");
        assert_eq!(verdict(&CHECK, &one_circuit(), "RS"), "silent");
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!(text(&CHECK, &heater(json!("4.5 kW")), "R"));
    }
}
