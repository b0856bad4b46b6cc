//! Two sources that one device in the wrong position joins.

use super::pairs::{Pair, Standing, pairs};
use crate::checks::check;
use crate::finding::{Finding, Verdict};
use crate::house::House;
use crate::say;

check! {
    /// # What it checks
    /// For each way in which the house is meant to be used, and each two sources that must never meet:
    /// whether one device in the wrong position is enough to join them.
    ///
    /// # Why
    /// People slip: in the dark, in a hurry, or because somebody else does not know. Then one handle
    /// energises the street or burns the inverter. Transfer equipment is built so that no handle can.
    ///
    /// # Example
    /// An invented house with two fused mains: the fuses are pulled, and a generator feeds a row through a
    /// breaker. One fuse put back joins the generator with the street.
    ///
    /// # Limits
    /// Interlocks count as holding only if they are mechanical and intact. A label, a promise and
    /// a pulled fuse hold nothing.
    ///
    /// # References
    /// NFPA 70-2023 702.5(A). IEC 60364-5-55 551.6.1.
    sources_one_slip_apart {
        folder: Isolation,
        severity: Danger,
        binding: Hazard,
        citations: ["NFPA 70-2023" "702.5(A)", "IEC 60364-5-55" "551.6.1"],
        caution: "One wrong handle makes the street live from this house. Opening a main or pulling fuses by hand is no substitute for transfer equipment. Do not connect the standby source.",
        next_step: "Have a licensed electrician fit listed transfer equipment that cannot join both sources.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    findings.extend(pairs(house).iter().map(|pair| look_at(house, pair)));
}

fn look_at(house: &House<'_>, pair: &Pair<'_>) -> Finding {
    let standing = pair.standing();
    let (a, b) = (&pair.a.name, &pair.b.name);
    match standing {
        Standing::Never | Standing::MayMeet => pair.meets(&CHECK, house, &standing),
        Standing::Moves(0) => {
            let why =
                say!("They meet already while everything stands right: see sources_meet_in_normal_use.");
            pair.finding(
                &CHECK,
                house,
                Verdict::NotApplicable { why },
                say!("No slip is needed for {} and {} to meet.", a, b),
            )
        }
        Standing::Moves(1) => {
            let message = say!("One slip joins {} and {}: {} {}.", a, b, pair.slip(house), pair.mode());
            pair.finding(&CHECK, house, Verdict::FallsShort, message)
        }
        Standing::Moves(moves) => match pair.modes_unsaid() {
            Some(missing) => pair.cannot_tell(&CHECK, house, missing),
            None => {
                let message =
                    say!("At least {} devices have to stand wrong for {} and {} to meet.", moves, a, b);
                pair.finding(&CHECK, house, Verdict::Meets, message)
            }
        },
        // One slip at most for certain; whether it takes any is not known.
        Standing::CannotTell(_) if pair.is_within(1) => {
            let message =
                say!("One slip at most joins {} and {}: {} {}.", a, b, pair.slip(house), pair.mode());
            pair.finding(&CHECK, house, Verdict::FallsShort, message)
        }
        Standing::CannotTell(missing) => pair.cannot_tell(&CHECK, house, missing),
    }
}

#[cfg(test)]
mod tests {
    use super::CHECK;
    use crate::fixture::{text, verdict};
    use crate::isolation::sketch;

    /// A generator that feeds a breaker panel backwards; `more` is what keeps the main open.
    fn house(main: &str, more: &str) -> serde_json::Value {
        sketch::house(&format!(
            "utility U
            generator G
            panel P {main} bonded service
            way P.1 breaker
            way P.2 breaker
            inlet I
            run U P
            run G I cord
            run I P.2
            run P.1 -
            {more}"
        ))
    }

    #[test]
    fn sources_one_slip_apart() {
        // NFPA 70-2023 702.5(A); IEC 60364-5-55 551.6.1.
        assert_eq!(verdict(&CHECK, &house("breaker", ""), "G"), "falls_short DANGER");
        assert_eq!(verdict(&CHECK, &house("pull_out", ""), "G"), "falls_short DANGER");
        assert_eq!(verdict(&CHECK, &house("breaker", "interlock K plate P P.2"), "G"), "meets");
        assert_eq!(verdict(&CHECK, &house("breaker", "interlock K key P P.2"), "G"), "meets");
        for void in ["plate broken", "label", "promise"] {
            let house = house("breaker", &format!("interlock K {void} P P.2"));
            assert_eq!(verdict(&CHECK, &house, "G"), "falls_short DANGER", "{void}");
        }
    }

    #[test]
    fn an_unknown_interlock_is_no_good_news() {
        let told =
            |facts: &str| verdict(&CHECK, &house("breaker", &format!("interlock K {facts} P P.2")), "G");
        assert_eq!(told("plate intact?"), "cannot_tell intact");
        assert_eq!(told("?"), "cannot_tell kind");
        assert_eq!(told("? broken"), "falls_short DANGER");
    }

    #[test]
    fn a_main_of_unknown_kind_may_not_open_at_all() {
        assert_eq!(verdict(&CHECK, &house("?", ""), "G"), "falls_short DANGER");
        assert_eq!(verdict(&CHECK, &house("lugs", ""), "G"), "not_applicable");
    }

    #[test]
    fn two_slips_are_told_by_another_check_and_need_surveyed_modes() {
        let two = "mode generator G: P open, P.2 open, R2 closed\n mode grid U: P closed, P.2 open, R2 open";
        assert_eq!(verdict(&CHECK, &house("breaker", two), "G"), "meets");
        let one = "mode generator G: P open, P.2 closed, R2 closed";
        assert_eq!(verdict(&CHECK, &house("breaker", one), "G"), "falls_short DANGER");
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!(text(&CHECK, &house("breaker", ""), "G"));
    }
}
