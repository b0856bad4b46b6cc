//! An interlock that does not do what it is there for.

use std::collections::HashMap;

use crate::checks::check;
use crate::finding::{Facts, Finding, Missing, Said, Verdict};
use crate::house::House;
use crate::isolation::grid::{CLOSED, Move};
use crate::isolation::model::{Force, Plate};
use crate::isolation::search::Given;
use crate::isolation::{Isolation, Meeting, Nearness, Rule, words};
use crate::say;
use crate::survey::{Interlock, InterlockKind};

check! {
    /// # What it checks
    /// Every interlock: whether it is listed for its panel and complete, and whether the sources on its
    /// two sides can still meet past it, over a device that it does not name.
    ///
    /// # Why
    /// With the cover off, a plate bent or a handle taped, an interlock forbids nothing, and people
    /// still trust it. A plate on one main of several leaves the others to the utility.
    ///
    /// # Example
    /// An invented split-bus panel with six mains: the plate holds one of them open while the generator
    /// feeds; the lighting section is fed by another.
    ///
    /// # Limits
    /// A label or a promise is no interlock; the checks of the sources count it as nothing.
    ///
    /// # References
    /// NFPA 70-2023 702.5(A), 110.3(B). IEC 60364-5-55 551.6.1.
    interlock_defeated {
        folder: Isolation,
        severity: Danger,
        binding: Hazard,
        citations: ["NFPA 70-2023" "702.5(A)", "NFPA 70-2023" "110.3(B)", "IEC 60364-5-55" "551.6.1"],
        caution: "Do not rely on this interlock. Push buttons, selector switches and interlocks are not a means of isolation. Do not connect the standby source.",
        next_step: "Have a licensed electrician fit an interlock that is listed for this panel, complete, with the cover on.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    if house.survey.interlocks.is_empty() {
        return;
    }
    let isolation = house.isolation();
    let by_part = by_part(isolation);
    findings.extend(isolation.model.plates.iter().map(|plate| look_at(house, isolation, &by_part, plate)));
}

/// Meetings of sources that must stay apart and can meet, by the parts in which the two lie.
type ByPart<'a> = HashMap<Option<u32>, Vec<&'a Meeting>>;

fn by_part(isolation: &Isolation) -> ByPart<'_> {
    let mut sorted: ByPart<'_> = HashMap::new();
    let apart = |one: &&Meeting| one.rule != Rule::MayMeet && one.worst.nearness != Nearness::Never;
    for meeting in isolation.meetings.iter().filter(apart) {
        let part = |supply| isolation.fields.best().part_of(isolation.model.supply(supply)?);
        let (a, b) = (part(meeting.a), part(meeting.b));
        sorted.entry(a).or_default().push(meeting);
        if a != b {
            sorted.entry(b).or_default().push(meeting);
        }
    }
    sorted
}

fn look_at(house: &House<'_>, isolation: &Isolation, meetings: &ByPart<'_>, plate: &Plate) -> Finding {
    let item = &house.survey.interlocks[plate.interlock];
    let subject = house.subject(&item.id);
    let name = &item.name;
    if matches!(item.kind.get(), Some(InterlockKind::Label | InterlockKind::Promise)) {
        let why = say!("A label or a promise forbids nothing; it counts as no interlock.");
        return Finding::of(
            &CHECK,
            subject,
            Verdict::NotApplicable { why },
            say!("{} is no interlock.", name),
        );
    }
    let mut facts = Facts::new();
    facts.need(&item.kind, &item.id, "kind");
    let intact = facts.need(&item.intact, &item.id, "intact");
    facts.seen("", "listed for this panel and complete", intact == Some(true), &item.id, "intact");
    let past = past(house, isolation, meetings, plate);
    if let Past::Perhaps(missing) = &past {
        for one in missing {
            facts.miss::<()>(&one.item, one.fact, one.cannot_be_seen);
        }
    }
    let is_past = matches!(past, Past::Surely(_)) && plate.force == Force::Holds;
    let (verdict, derivation) = facts.conclude(intact.map(|intact| !intact || is_past));
    let message = message(item, intact, past, &verdict);
    let finding = Finding::of(&CHECK, subject, verdict, message).because(derivation);
    if intact == Some(true) {
        finding.next(say!("Have a licensed electrician fit transfer equipment that covers every main between the two sources; an interlock on one of them does not."))
    } else {
        finding
    }
}

fn message(item: &Interlock, intact: Option<bool>, past: Past, verdict: &Verdict) -> Said {
    let name = &item.name;
    match (verdict, past) {
        (Verdict::FallsShort, Past::Surely(slip)) if intact == Some(true) => {
            say!("{} holds, but the sources on its two sides can still meet past it: {}.", name, slip)
        }
        (Verdict::FallsShort, _) => {
            say!("{} is not complete or not listed for this panel: it forbids nothing.", name)
        }
        (Verdict::Meets, _) => say!("{} is complete, and nothing leads past it.", name),
        _ => {
            say!("Whether {} does what it is there for is not known yet. Count on it that it does not.", name)
        }
    }
}

/// Whether the sources that an interlock parts can meet past it.
enum Past {
    Never,
    Surely(Said),
    Perhaps(Vec<Missing>),
}

/// A pair that hangs on a way of the interlock, so that the interlock is there for it, and that can
/// meet all the same.
fn past(house: &House<'_>, isolation: &Isolation, meetings: &ByPart<'_>, plate: &Plate) -> Past {
    let Isolation { model, fields, .. } = isolation;
    let field = fields.best();
    let mut parts: Vec<Option<u32>> = plate.switches.iter().flat_map(|at| field.parts_of(*at)).collect();
    parts.sort_unstable();
    parts.dedup();
    let state: Vec<u8> = model.best.ranges().iter().map(|range| range.lowest).collect();
    let mut perhaps = Vec::new();
    for meeting in parts.iter().filter_map(|part| meetings.get(part)).flatten() {
        let (Some(a), Some(b)) = (model.supply(meeting.a), model.supply(meeting.b)) else { continue };
        let is_key = |switch: &u32| {
            let given = Given { barred: vec![Move { switch: *switch, to: CLOSED }], free: Vec::new() };
            field.joint_given(&model.best, &state, (a, b), 1, given).nearness == Nearness::Never
        };
        if !plate.switches.iter().any(is_key) {
            continue;
        }
        let surely = field.joint(&model.best, &state, (a, b), 1).nearness != Nearness::Never;
        if meeting.rule == Rule::Apart && surely {
            let first = meeting.worst.witnesses.first();
            return Past::Surely(first.map_or_else(|| say!(""), |moves| words::moves(house, model, moves)));
        }
        perhaps.extend(meeting.missing.iter().cloned());
    }
    if perhaps.is_empty() { Past::Never } else { Past::Perhaps(perhaps) }
}

#[cfg(test)]
mod tests {
    use super::CHECK;
    use crate::fixture::{text, verdict};
    use crate::isolation::sketch;

    /// A split-bus panel: the lighting main P.1, another main P.3, the generator on the lighting section.
    fn house(plate: &str) -> serde_json::Value {
        sketch::house(&format!(
            "utility U
            generator G
            panel P lugs bonded service
            way P.1 breaker
            way P.3 breaker
            section P.low P.1
            way P.2 breaker on=P.low
            way P.4 breaker on=P.low
            run U P
            run G P.2 cord
            run P.4 -
            run P.3 -
            {plate}"
        ))
    }

    #[test]
    fn interlock_defeated() {
        // NFPA 70-2023 702.5(A), 110.3(B).
        assert_eq!(verdict(&CHECK, &house("interlock K plate P.1 P.2"), "K"), "meets");
        assert_eq!(verdict(&CHECK, &house("interlock K plate broken P.1 P.2"), "K"), "falls_short DANGER");
        assert_eq!(verdict(&CHECK, &house("interlock K ? broken P.1 P.2"), "K"), "falls_short DANGER");
        assert_eq!(verdict(&CHECK, &house("interlock K plate intact? P.1 P.2"), "K"), "cannot_tell intact");
        assert_eq!(verdict(&CHECK, &house("interlock K ? P.1 P.2"), "K"), "cannot_tell kind");
        assert_eq!(verdict(&CHECK, &house("interlock K label P.1 P.2"), "K"), "not_applicable");
    }

    #[test]
    fn a_plate_on_one_main_of_several() {
        assert_eq!(verdict(&CHECK, &house("interlock K plate P.3 P.2"), "K"), "falls_short DANGER");
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!(text(&CHECK, &house("interlock K plate P.3 P.2"), "K"));
    }
}
