//! A place of work that no set of lockable devices cuts off from every source.

use crate::checks::check;
use crate::finding::{Derivation, Finding, Verdict, surveyed};
use crate::house::House;
use crate::isolation::work::{Cuts, Work, lockable};
use crate::isolation::{Model, words, work::Lockable};
use crate::say;

check! {
    /// # What it checks
    /// For every panel: whether a set of devices that can all be locked open cuts it off from every
    /// source, the battery and the solar of a bright day too.
    ///
    /// # Why
    /// A device that somebody else can close is not isolated until it is locked. Where nothing locks, the
    /// one who works there rests on everybody's memory.
    ///
    /// # Example
    /// An invented fuse panel fed through a pull-out: with the fuses pulled it is dark, but anybody can
    /// push them back in.
    ///
    /// # Limits
    /// Fuses without a handle never count as locked, pulled or not. Interlocks and transfer switches do not
    /// count. A plug that stays in the worker's hands does.
    ///
    /// # References
    /// 29 CFR 1910.333(b)(2)(iii), 1910.147(c)(4). NFPA 70-2023 110.25. IEC 60364-5-53 537.2.
    no_lockable_isolation {
        folder: Isolation,
        severity: Warning,
        binding: Hazard,
        citations: ["29 CFR" "1910.333(b)(2)(iii)", "29 CFR" "1910.147", "NFPA 70-2023" "110.25"],
        caution: "Open is not isolated: a fuse can be put back, a handle can be closed. Nobody works here until every source is cut off, locked and proven dead.",
        next_step: "Have a licensed electrician fit a disconnect that can be locked open, or have the utility cut the service for the work.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    if house.survey.panels.is_empty() {
        return;
    }
    let model = &house.isolation().model;
    let cuts = Cuts::of(house, model);
    findings.extend(house.panels().map(|(panel, _)| look_at(house, model, &cuts.panel(panel))));
}

fn look_at(house: &House<'_>, model: &Model, work: &Work) -> Finding {
    let subject = house.subject(&work.at);
    let name = subject.name.clone();
    let names = |set: &[u32]| words::names(house, model, set);
    let (verdict, message) = match (&work.lockable, &work.sets) {
        (Some(set), _) if set.is_empty() => (Verdict::Meets, say!("No source reaches {}.", name)),
        (Some(set), _) if !work.whole_box => {
            let message = say!(
                "{} can be locked open, and the bus of {} is cut off then. Its box is not dead: {} stays live. Prove dead whatever is touched.",
                names(set),
                name,
                words::listed(work.stays_live.iter().cloned(), words::Join::Semicolon)
            );
            (Verdict::Meets, message)
        }
        (Some(set), _) => {
            let message = say!(
                "{} can be locked open, and nothing else feeds {} then. Prove it dead all the same.",
                names(set),
                name
            );
            (Verdict::Meets, message)
        }
        (None, _) if !work.missing.is_empty() => {
            let missing = work.missing.clone();
            (
                Verdict::CannotTell { missing },
                say!("Whether every source of {} can be locked off is not known yet.", name),
            )
        }
        (None, None) => (
            Verdict::FallsShort,
            say!("No device cuts {} off from every source: part of it is always live.", name),
        ),
        (None, Some(sets)) => {
            let set = sets.first().map_or_else(|| say!(""), |set| names(set));
            (
                Verdict::FallsShort,
                say!("{} is cut off by {}, but no set that does so can be locked.", name, set),
            )
        }
    };
    Finding::of(&CHECK, subject, verdict, message).because(derivation(house, model, work))
}

/// Each device of the set with whether it can be locked.
fn derivation(house: &House<'_>, model: &Model, work: &Work) -> Derivation {
    let set = work.lockable.as_ref().or_else(|| work.sets.as_ref().and_then(|sets| sets.first()));
    let step = |switch: &u32| {
        let (_, item, fact) = model.device(house, *switch)?;
        let word = match lockable(house, model, *switch) {
            Lockable::Yes => "can be locked",
            Lockable::No => "cannot be locked",
            Lockable::Unknown(_) => return None,
        };
        Some(surveyed("", model.name(house, *switch), word, item, fact))
    };
    Derivation::new(set.into_iter().flatten().filter_map(step).collect())
}

#[cfg(test)]
mod tests {
    use super::CHECK;
    use crate::fixture::{text, verdict};
    use crate::isolation::sketch;

    fn house(main: &str, way: &str) -> serde_json::Value {
        sketch::house(&format!(
            "utility U
            panel P {main} service bonded
            way P.1 {way}
            panel Q lugs
            way Q.1 fuse
            run U P
            run P.1 Q
            run Q.1 -"
        ))
    }

    #[test]
    fn no_lockable_isolation() {
        // 29 CFR 1910.333(b)(2)(iii); NFPA 70-2023 110.25.
        assert_eq!(verdict(&CHECK, &house("breaker", "breaker"), "Q"), "meets");
        assert_eq!(verdict(&CHECK, &house("breaker", "breaker nolock"), "Q"), "meets");
        assert_eq!(verdict(&CHECK, &house("breaker nolock", "breaker nolock"), "Q"), "falls_short WARNING");
        assert_eq!(
            verdict(&CHECK, &house("breaker nolock", "breaker lock?"), "Q"),
            "cannot_tell device.lockable"
        );
        assert_eq!(verdict(&CHECK, &house("lugs", "pull_out lock"), "Q"), "falls_short WARNING");
        assert_eq!(verdict(&CHECK, &house("lugs", "?"), "Q"), "cannot_tell device.kind");
    }

    #[test]
    fn a_panel_on_the_utility_alone_cannot_be_isolated() {
        assert_eq!(verdict(&CHECK, &house("lugs", "breaker"), "P"), "falls_short WARNING");
        assert_eq!(verdict(&CHECK, &house("breaker", "breaker"), "P"), "meets");
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!(text(&CHECK, &house("lugs", "pull_out"), "Q"));
    }
}
