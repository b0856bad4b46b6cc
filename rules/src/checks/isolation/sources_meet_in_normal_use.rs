//! Two sources that are joined while everything stands as it is meant to.

use super::pairs::{Pair, Standing, pairs};
use crate::checks::check;
use crate::finding::{Finding, Verdict};
use crate::house::House;
use crate::say;

check! {
    /// # What it checks
    /// For each way in which the house is meant to be used: whether two sources that must never meet
    /// are joined through closed devices, with nothing standing wrong at all.
    ///
    /// # Why
    /// Two sources that are not made for each other meet out of step: conductors and machines burn. And
    /// when the street is dead, the house feeds it backwards through the transformer, at thousands of
    /// volts, towards the people who repair it.
    ///
    /// # Example
    /// An invented inverter without a listing to stop when the utility is gone, wired to a panel
    /// that the utility feeds too, with no transfer switch between them.
    ///
    /// # Limits
    /// A supply counts as running whenever it is tied in. Solar, and a battery inverter while the utility
    /// feeds, may run together with the utility when they are listed to stop by themselves without it.
    /// Where no modes are surveyed, the obvious ones are derived from the network.
    ///
    /// # References
    /// NFPA 70-2023 702.5(A), 705.40, 445.20. IEC 60364-5-55 551.6.1.
    sources_meet_in_normal_use {
        folder: Isolation,
        severity: Danger,
        binding: Hazard,
        citations: [
            "NFPA 70-2023" "702.5(A)", "NFPA 70-2023" "705.40", "NFPA 70-2023" "445.20",
            "IEC 60364-5-55" "551.6.1",
        ],
        caution: "The street can be live from this house while everybody takes it for dead. Do not connect or start the standby source. A dead grid does not mean a dead panel.",
        next_step: "Have a licensed electrician fit listed transfer equipment that cannot join both sources.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    findings.extend(pairs(house).iter().map(|pair| look_at(house, pair)));
}

fn look_at(house: &House<'_>, pair: &Pair<'_>) -> Finding {
    let standing = pair.standing();
    match standing {
        Standing::Never | Standing::MayMeet => pair.meets(&CHECK, house, &standing),
        Standing::Moves(0) => {
            let message = say!(
                "{} and {} are joined {}: no device has to stand wrong.",
                &pair.a.name,
                &pair.b.name,
                pair.mode()
            );
            pair.finding(&CHECK, house, Verdict::FallsShort, message)
        }
        Standing::Moves(_) => match pair.modes_unsaid() {
            Some(missing) => pair.cannot_tell(&CHECK, house, missing),
            None => {
                let message = say!(
                    "{} and {} are apart in every mode while every device stands right.",
                    &pair.a.name,
                    &pair.b.name
                );
                pair.finding(&CHECK, house, Verdict::Meets, message)
            }
        },
        Standing::CannotTell(missing) => pair.cannot_tell(&CHECK, house, missing),
    }
}

#[cfg(test)]
mod tests {
    use super::CHECK;
    use crate::fixture::{text, verdict};
    use crate::isolation::sketch;

    /// An inverter and the utility on one panel, each behind its own breaker.
    fn house(listed: &str, more: &str) -> serde_json::Value {
        sketch::house(&format!(
            "utility U
            inverter V {listed}
            panel P breaker bonded service
            way P.1 breaker
            panel C lugs
            way C.1 breaker
            run U P
            run P.1 C
            run V C
            run C.1 -
            {more}"
        ))
    }

    #[test]
    fn sources_meet_in_normal_use() {
        // NFPA 70-2023 702.5(A), 705.40: parallel only if listed to stop without the utility.
        assert_eq!(verdict(&CHECK, &house("unlisted", ""), "V"), "falls_short DANGER");
        assert_eq!(verdict(&CHECK, &house("listed", ""), "V"), "cannot_tell modes");
        let battery = "mode battery V: P closed, P.1 open";
        assert_eq!(verdict(&CHECK, &house("unlisted", battery), "V"), "meets");
        assert_eq!(
            verdict(&CHECK, &house("unlisted", "mode battery V: P closed, P.1 closed"), "V"),
            "falls_short DANGER"
        );
        assert_eq!(
            verdict(&CHECK, &house("unlisted", "mode battery V: P closed"), "V"),
            "cannot_tell devices"
        );
        let both = "mode grid U: P closed, P.1 closed\n mode battery V: P closed, P.1 open";
        assert_eq!(verdict(&CHECK, &house("listed", both), "V"), "meets");
        assert_eq!(verdict(&CHECK, &house("listed?", both), "V"), "cannot_tell anti_islanding");
    }

    /// IEC 60364-5-55 551.6.1: a transfer switch keeps them apart whatever else is switched.
    #[test]
    fn a_transfer_switch_keeps_them_apart() {
        let house = sketch::house(
            "utility U
            inverter V
            panel P breaker
            way P.1 breaker
            panel C lugs
            transfer T u v
            run U P
            run P.1 T.u
            run V T.v
            run T C",
        );
        assert_eq!(verdict(&CHECK, &house, "V"), "meets");
    }

    #[test]
    fn listed_solar_may_run_with_the_utility() {
        let house = |listed: &str| {
            sketch::house(&format!(
                "utility U\n solar S {listed}\n panel P breaker\n way P.1 breaker\n way P.2 breaker\n run U P\n run S P.1\n run P.2 -"
            ))
        };
        assert_eq!(verdict(&CHECK, &house("listed"), "S"), "meets");
        assert_eq!(verdict(&CHECK, &house("unlisted"), "S"), "falls_short DANGER");
        assert_eq!(verdict(&CHECK, &house("listed?"), "S"), "cannot_tell anti_islanding");
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!(text(&CHECK, &house("unlisted", ""), "V"));
    }

    /// The next step names what the engine tried. An interlock of main and way P.1 would part the two, but
    /// then the utility could never feed panel C again: it is no answer, and the check names none.
    #[test]
    fn the_next_step_names_the_addition_that_was_tried() {
        let told = text(&CHECK, &house("unlisted", ""), "V");
        assert!(told.contains("fit a transfer switch where V joins what it is to feed."), "{told}");
        assert!(!told.contains("interlock for this panel"), "{told}");
    }
}
