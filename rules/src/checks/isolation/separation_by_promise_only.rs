//! Two sources that nothing but habit keeps apart.

use super::pairs::{Pair, Standing, pairs};
use crate::checks::check;
use crate::finding::{Finding, Verdict};
use crate::house::House;
use crate::say;

check! {
    /// # What it checks
    /// Each two sources that must never meet, where at least two devices have to stand wrong for that:
    /// whether anything but habit, a label or a promise keeps them apart.
    ///
    /// # Why
    /// Two slips are rarer than one, but nothing forbids them, and nobody sees the first one. Equipment
    /// that excludes the meeting does not rest on memory.
    ///
    /// # Example
    /// An invented house where both the main and the way of the inlet are opened by agreement: no handle
    /// keeps the other from being closed.
    ///
    /// # Limits
    /// Where one device is enough, or none has to stand wrong, the other two checks of this folder
    /// speak.
    ///
    /// # References
    /// NFPA 70-2023 702.5(A). IEC 60364-5-55 551.6.1.
    separation_by_promise_only {
        folder: Isolation,
        severity: Warning,
        binding: Hazard,
        citations: ["NFPA 70-2023" "702.5(A)", "IEC 60364-5-55" "551.6.1"],
        caution: "Nothing in the panel keeps these sources apart. Opening a main or pulling fuses by hand is no substitute for transfer equipment.",
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
        Standing::Moves(moves @ (0 | 1)) => {
            let why = say!(
                "They are nearer than that ({} wrong moves); another check of this folder speaks of it.",
                moves
            );
            pair.finding(
                &CHECK,
                house,
                Verdict::NotApplicable { why },
                say!("{} and {} are one slip apart or less.", a, b),
            )
        }
        Standing::Moves(moves) => {
            let message = say!(
                "{} devices have to stand wrong for {} and {} to meet, but nothing forbids it: {} {}.",
                moves,
                a,
                b,
                pair.slip(house),
                pair.mode()
            );
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

    fn house(more: &str) -> serde_json::Value {
        sketch::house(&format!(
            "utility U
            generator G
            panel P breaker bonded service
            way P.1 breaker
            way P.2 breaker
            run U P
            run G P.2 cord
            run P.1 -
            {more}"
        ))
    }

    const TWO: &str =
        "mode generator G: P open, P.2 open, R2 closed\n mode grid U: P closed, P.2 open, R2 open";

    #[test]
    fn separation_by_promise_only() {
        // NFPA 70-2023 702.5(A): opening by agreement is no transfer equipment.
        assert_eq!(verdict(&CHECK, &house(TWO), "G"), "falls_short WARNING");
        assert_eq!(
            verdict(&CHECK, &house(&format!("{TWO}\n interlock K promise P P.2")), "G"),
            "falls_short WARNING"
        );
        assert_eq!(verdict(&CHECK, &house(&format!("{TWO}\n interlock K plate P P.2")), "G"), "meets");
        assert_eq!(
            verdict(&CHECK, &house(&format!("{TWO}\n interlock K plate intact? P P.2")), "G"),
            "cannot_tell intact"
        );
        assert_eq!(verdict(&CHECK, &house(""), "G"), "not_applicable");
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!(text(&CHECK, &house(TWO), "G"));
    }
}
