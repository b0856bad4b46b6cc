//! One leg of a supply asked for more than its share.

use crate::capacity::carry::{Island, ability, spelled, totals};
use crate::checks::check;
use crate::finding::{Derivation, Facts, Finding, Severity, Verdict, judge, reckoned};
use crate::house::House;
use crate::say;
use crate::survey::Output;

check! {
    /// # What it checks
    /// The current of the heavier leg of a battery inverter or generator with two legs, all its loads
    /// running, against what it gives on one leg.
    ///
    /// # Why
    /// A supply of 8 kW gives about 4 kW to each leg. Loads of 120 V that happen to sit on the same leg
    /// overload it while the other one idles, and the supply switches everything off.
    ///
    /// # Example
    /// An invented inverter of 33 A a leg with a pump of 8 A on both legs and a kitchen of 10 A on leg A:
    /// 18 A of 33 A, met.
    ///
    /// # Limits
    /// Currents of a leg are added without their angles. Loads that are told as not running at the same
    /// time are still added.
    ///
    /// # References
    /// NFPA 70-2023 710.15; common practice.
    leg_unbalanced {
        folder: Supply,
        severity: Caution,
        binding: Hazard,
        citations: ["NFPA 70-2023" "710.15"],
        caution: "The supply may trip although its whole power is not used.",
        next_step: "Have a licensed electrician move circuits of 120 V from the heavier leg to the lighter one; keep the two hots of a shared neutral on different legs.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    let two_legs = |island: &&Island| {
        let output = island.output;
        !island.loads.is_empty() && output.is_none_or(|output| matches!(output, Output::Split | Output::Wye))
    };
    findings.extend(house.islands().iter().filter(two_legs).map(|island| look_at(house, island)));
}

fn look_at(house: &House<'_>, island: &Island) -> Finding {
    let supply = &house.survey.supplies[island.supply];
    let together = totals(island, island.loads.iter());
    let mut facts = Facts::new();
    facts.need(&supply.output, &supply.id, "output");
    facts.include(&together.missing, &Derivation::default());
    facts.include(&together.missing_legs, &Derivation::default());
    spelled::currents(house, island).into_iter().for_each(|step| facts.step(step));
    facts.step(reckoned("I_A", "current of leg A", say!("sum of its loads"), together.a));
    facts.step(reckoned("I_B", "current of leg B", say!("sum of its loads"), together.b));
    facts.step(reckoned("I_N", "current of the neutral", say!("their difference"), together.neutral));
    let a_is_heavier = together.a >= together.b;
    let (heavier, lighter) = if a_is_heavier { (together.a, together.b) } else { (together.b, together.a) };
    let value = facts.done(Some(heavier));
    let limit = ability(house, island.supply).leg;
    let verdict = judge(&value, &limit, |value, limit| *value > *limit * (1.0 + 1e-9));
    // Where even equal legs would be too much the legs are not the matter.
    let both = limit.value.is_some_and(|limit| (heavier + lighter) / 2.0 > limit);
    let message = match (&verdict, limit.value) {
        (Verdict::FallsShort, Some(limit)) if both => say!(
            "Both legs together are asked for too much, {} and {} with all loads on; this supply gives {} a leg, and \
             moving circuits from leg to leg does not help.",
            heavier,
            lighter,
            limit
        ),
        (Verdict::FallsShort, Some(limit)) => say!(
            "Leg {} is asked for {} with all loads on, the other one for {}; this supply gives {} a leg.",
            if a_is_heavier { "A" } else { "B" },
            heavier,
            lighter,
            limit
        ),
        (Verdict::Meets, Some(limit)) => {
            say!("The heavier leg is asked for {} of {}, the other one for {}.", heavier, limit, lighter)
        }
        _ => say!("It cannot be told what each leg of this supply is asked for, or what it gives."),
    };
    let mut finding = Finding::of(&CHECK, house.subject(&supply.id), verdict, message);
    if both {
        let rest = say!("The supply is overloaded as a whole and trips with all loads on.");
        finding = finding.severity(Severity::Notice).caution(rest).next(say!(
            "Run fewer loads at once on this supply (the section on capacity lists what goes together), or have a \
             larger one planned."
        ));
    }
    if let Some(limit) = limit.value {
        finding = finding.figure(heavier, limit);
    }
    let mut derivation = value.derivation;
    derivation.include(&limit.derivation);
    finding.because(derivation)
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;
    use crate::fixture::{text, verdict, with, with_battery};

    fn told(changes: &[(&str, Value)]) -> String {
        verdict(&CHECK, &with(with_battery(), changes), "B")
    }

    /// By hand: 8 A between the legs and 10 A on leg A.
    #[test]
    fn leg_unbalanced() {
        const LEG: &str = "/supplies/1/continuous_current";
        assert_eq!(told(&[(LEG, json!("18 A"))]), "meets");
        assert_eq!(told(&[(LEG, json!("17.9 A"))]), "falls_short CAUTION");
        // 13 A on the mean of both legs.
        assert_eq!(told(&[(LEG, json!("12.9 A"))]), "falls_short NOTICE");
        insta::assert_snapshot!(text(&CHECK, &with(with_battery(), &[(LEG, json!("15 A"))]), "B"));
    }

    #[test]
    fn each_missing_fact_is_named_and_one_hot_has_no_legs() {
        for (path, fact) in [
            ("/supplies/1/continuous_current", "continuous_current"),
            ("/supplies/1/output", "output"),
            ("/loads/1/leg", "leg"),
            ("/loads/1/power", "power"),
        ] {
            assert_eq!(told(&[(path, json!(null))]), format!("cannot_tell {fact}"), "{path}");
        }
        assert_eq!(told(&[("/supplies/1/output", json!("120 V on both legs"))]), "silent");
    }
}
