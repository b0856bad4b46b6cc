//! A shared neutral whose two hots are fed in phase by one 120 V supply.

use crate::checks::check;
use crate::codes::Ampacity;
use crate::finding::{Binding, Finding, Severity, Verdict, Worked, judge};
use crate::house::House;
use crate::isolation::tied_legs::{SharedNeutral, shared_neutrals};
use crate::say;
use crate::si::Current;
use crate::survey::{Run, Supply};

check! {
    /// # What it checks
    /// Every run whose neutral serves two hots (a shared-neutral circuit, or a three-wire feeder)
    /// that a supply with one 120 V output joined to both legs can feed: whether the neutral
    /// carries the sum of both legs.
    ///
    /// # Why
    /// On 120/240 V the two legs are opposite, and the neutral carries their difference. Fed by
    /// one 120 V source they are in phase, and it carries their sum: twice what either breaker lets
    /// through, on a wire that no device protects. Nothing opens before it burns.
    ///
    /// # Example
    /// A kitchen circuit of 12 AWG behind two 20 A handles: on a 120 V inverter its neutral may
    /// carry 40 A, twice what it stands. (Invented.)
    ///
    /// # Limits
    /// The devices' ratings are taken as the currents; a smaller load carries less, until somebody
    /// plugs in more. The supply's own device, where it has one, limits the sum.
    ///
    /// # References
    /// NFPA 70-2023 710.15(C), 210.4.
    shared_neutral_fed_single_phase {
        folder: Conductors,
        severity: Danger,
        binding: Hazard,
        citations: ["NFPA 70-2023" "710.15(C)", "NFPA 70-2023" "210.4"],
        caution: "Do not feed this panel from that supply while circuits share a neutral: the neutral can burn with no device opening.",
        next_step: "Have a licensed electrician separate the circuits that share a neutral, keep them off this supply, or fit a supply or transformer that gives 120/240 V.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    findings.extend(shared_neutrals(house).iter().map(|shared| look_at(house, shared)));
}

fn look_at(house: &House<'_>, shared: &SharedNeutral) -> Finding {
    let run = &house.survey.runs[shared.run];
    let supply = &house.survey.supplies[shared.supply];
    let carries = house.rules.neutral_ampacity(house, shared.run);
    let verdict = judge(&shared.current, &carries, |sum, carries| *sum > carries.allowed());
    let banned = verdict == Verdict::Meets && house.panel_beyond(shared.run).is_none();
    told(house, run, supply, verdict, banned, &shared.current, &carries)
}

fn told(
    house: &House<'_>,
    run: &Run,
    supply: &Supply,
    verdict: Verdict,
    banned: bool,
    sum: &Worked<Current>,
    carries: &Worked<Ampacity>,
) -> Finding {
    let subject = house.subject(&run.id);
    let mut derivation = sum.derivation.clone();
    derivation.include(&carries.derivation);
    let carried = carries.value.map(|carries| carries.allowed());
    let name = &supply.name;
    let finding = match (&verdict, sum.value, carried) {
        (Verdict::FallsShort, Some(sum), Some(carried)) => {
            let message = say!(
                "Fed from {}, both legs are in phase: the neutral may carry {}, {} more than it stands, and no device opens.",
                name,
                sum,
                sum - carried
            );
            Finding::of(&CHECK, subject, verdict, message)
        }
        (Verdict::Meets, Some(sum), _) if banned => {
            let message = say!(
                "Fed from {}, both legs are in phase; the neutral stands the {}, but no shared-neutral circuit may be fed so.",
                name,
                sum
            );
            Finding::of(&CHECK, subject, Verdict::FallsShort, message)
                .severity(Severity::Warning)
                .binding(Binding::NewWork)
        }
        (Verdict::Meets, Some(sum), Some(carried)) => {
            let message =
                say!("Fed from {}, the neutral carries up to {}, within its {}.", name, sum, carried);
            Finding::of(&CHECK, subject, verdict, message)
        }
        _ => {
            let message = say!(
                "Whether {} feeds both legs in phase, and what this neutral then carries, cannot be told.",
                name
            );
            Finding::of(&CHECK, subject, verdict, message)
        }
    };
    let finding = finding.because(derivation);
    match (sum.value, carried) {
        (Some(sum), Some(carried)) => finding.figure(sum, carried),
        _ => finding,
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{backed_up, text, verdict, with};

    /// The house with its inverter giving 120 V on both legs.
    fn house(changes: &[(&str, Value)]) -> Value {
        let single =
            [("/supplies/1/output", json!("120 V on both legs")), ("/supplies/1/voltage", json!("120 V"))];
        with(with(backed_up(), &single), changes)
    }

    fn told(changes: &[(&str, Value)]) -> String {
        verdict(&CHECK, &house(changes), "RK")
    }

    /// An inverter maker's manual, appendix on multiwire circuits (NO-01): two devices on one 120 V
    /// source load the neutral with their sum. 12 AWG NM-B carries 20 A (Table 310.16, 334.80).
    #[test]
    fn shared_neutral_fed_single_phase() {
        assert_eq!(told(&[]), "falls_short DANGER");
        let rating = |amperes: &str| told(&[("/panels/1/ways/0/device/rating", json!(amperes))]);
        assert_eq!(rating("10 A"), "falls_short WARNING");
        assert_eq!(rating("11 A"), "falls_short DANGER");
        assert_eq!(verdict(&CHECK, &backed_up(), "RK"), "silent");
    }

    #[test]
    fn the_supplys_own_device_holds_the_sum() {
        let device = |amperes: &str| {
            told(&[("/supplies/1/output_device", json!({ "kind": "breaker", "rating": amperes }))])
        };
        assert_eq!(device("20 A"), "falls_short WARNING");
        assert_eq!(device("25 A"), "falls_short DANGER");
    }

    /// 6 AWG at 75 °C carries 65 A: two legs of 60 A are too much, a 60 A device at the supply not.
    #[test]
    fn a_feeder_is_judged_by_its_neutral_alone() {
        assert_eq!(verdict(&CHECK, &house(&[]), "RT"), "falls_short DANGER");
        let device = ("/supplies/1/output_device", json!({ "kind": "breaker", "rating": "60 A" }));
        assert_eq!(verdict(&CHECK, &house(&[device]), "RT"), "meets");
        assert_eq!(verdict(&CHECK, &house(&[]), "RS"), "silent");
        assert_eq!(verdict(&CHECK, &house(&[]), "RW"), "silent");
    }

    #[test]
    fn each_missing_fact_leaves_it_open() {
        for (path, wanted) in [
            ("/supplies/1/output", "cannot_tell output"),
            ("/runs/5/circuit", "cannot_tell circuit"),
            ("/runs/5/neutral_size", "cannot_tell neutral_size"),
            ("/panels/1/ways/0/device/rating", "cannot_tell device.rating"),
        ] {
            assert_eq!(told(&[(path, json!(null))]), wanted, "{path}");
        }
    }

    #[test]
    fn its_texts() {
        insta::assert_snapshot!("danger", text(&CHECK, &house(&[]), "RK"));
        let ten = ("/panels/1/ways/0/device/rating", json!("10 A"));
        insta::assert_snapshot!("warning", text(&CHECK, &house(&[ten]), "RK"));
    }
}
