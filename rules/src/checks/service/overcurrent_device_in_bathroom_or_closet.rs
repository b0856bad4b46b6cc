//! A panel with fuses or breakers where clothes or bath water are.

use crate::checks::check;
use crate::finding::{Facts, Finding, Verdict};
use crate::house::{Guard, House};
use crate::say;
use crate::survey::{DeviceKind, Panel, Room};

check! {
    /// # What it checks
    /// Whether a panel with fuses or breakers stands in a bathroom or in a clothes closet.
    ///
    /// # Why
    /// In a closet, clothes hang against the panel and burn when a terminal glows. In a bathroom,
    /// steam corrodes the contacts, and whoever resets a breaker stands wet on a wet floor.
    ///
    /// # Example
    /// An invented panel of a 1969 addition in a bedroom closet: flagged, whatever it holds.
    ///
    /// # Limits
    /// A disconnect switch without overcurrent protection is not meant. The clauses bind new work: the
    /// one on bathrooms came in the 1990s, the one on closets is older (both years from memory).
    ///
    /// # References
    /// NFPA 70-2023 240.24(D), 240.24(E).
    overcurrent_device_in_bathroom_or_closet {
        folder: Service,
        severity: Caution,
        binding: NewWork,
        citations: ["NFPA 70-2023" "240.24(D)", "NFPA 70-2023" "240.24(E)"],
        caution: "Keep everything that burns away from this panel, and do not touch it with wet hands or on a wet floor.",
        next_step: "Have a licensed electrician move the overcurrent devices to an allowed place when work is done on them, and ask the authority having jurisdiction whether they may stay until then.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    findings.extend(house.panels().map(|(_, panel)| look_at(house, panel)));
}

fn look_at(house: &House<'_>, panel: &Panel) -> Finding {
    let mut facts = Facts::new();
    let room = facts.need(&panel.room, &panel.id, "room");
    if let Some(room) = room {
        facts.seen("", "it stands in", room.words(), &panel.id, "room");
    }
    let barred = room.map(|room| matches!(room, Room::Bathroom | Room::ClothesCloset));
    // What the panel holds matters only in a barred place.
    let holds = if barred == Some(true) { holds_overcurrent_device(panel, &mut facts) } else { None };
    let worked = facts.done(barred);
    let verdict = match (barred, holds) {
        (Some(false), _) => Verdict::Meets,
        (Some(true), Some(true)) => Verdict::FallsShort,
        (Some(true), Some(false)) => Verdict::NotApplicable { why: say!("It holds no overcurrent device.") },
        _ => Verdict::CannotTell { missing: worked.missing },
    };
    let message = message(&verdict, room);
    Finding::of(&CHECK, house.subject(&panel.id), verdict, message).because(worked.derivation)
}

fn message(verdict: &Verdict, room: Option<Room>) -> crate::finding::Said {
    match (verdict, room) {
        (Verdict::FallsShort, Some(room)) => {
            say!("This panel holds overcurrent devices and stands in a {}.", room.words())
        }
        (Verdict::Meets, _) => say!("This panel stands neither in a bathroom nor in a clothes closet."),
        (Verdict::NotApplicable { .. }, _) => say!("This panel holds no fuse and no breaker."),
        (_, Some(room)) => {
            say!(
                "This panel stands in a {}; whether it holds fuses or breakers, nobody has seen yet.",
                room.words()
            )
        }
        (_, None) => say!("Nobody has noted yet where this panel stands."),
    }
}

/// Whether any fuse or breaker is in it. One that is known is enough; where none is known, every
/// device of unknown kind is listed.
fn holds_overcurrent_device(panel: &Panel, facts: &mut Facts) -> Option<bool> {
    let ways = panel.ways.iter().map(House::guard_of_way);
    let guards: Vec<Guard<'_>> = [House::guard_of_main(panel)].into_iter().chain(ways).collect();
    if guards.iter().any(|guard| guard.device.kind.get().is_some_and(DeviceKind::protects)) {
        return Some(true);
    }
    let mut all_known = true;
    for guard in &guards {
        all_known &= facts.need(&guard.device.kind, guard.at, guard.kind_fact()).is_some();
    }
    all_known.then_some(false)
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{one_circuit, text, verdict, with};

    fn stands_in(room: Value) -> Value {
        with(one_circuit(), &[("/panels/0/room", room)])
    }

    /// NFPA 70-2023 240.24(D) and (E).
    #[test]
    fn overcurrent_device_in_bathroom_or_closet() {
        for (room, told) in [
            ("basement", "meets"),
            ("bathroom", "falls_short CAUTION"),
            ("clothes_closet", "falls_short CAUTION"),
            ("bedroom", "meets"),
            ("kitchen", "meets"),
        ] {
            assert_eq!(verdict(&CHECK, &stands_in(json!(room)), "P"), told, "{room}");
        }
        assert_eq!(verdict(&CHECK, &stands_in(json!(null)), "P"), "cannot_tell room");
    }

    #[test]
    fn a_switch_without_overcurrent_protection_may_stand_there() {
        let (main, way) = ("/panels/0/main/kind", "/panels/0/ways/0/device/kind");
        let house = with(stands_in(json!("bathroom")), &[(main, json!("switch")), (way, json!("spare"))]);
        assert_eq!(verdict(&CHECK, &house, "P"), "not_applicable");
        let house = with(house, &[(main, json!(null))]);
        assert_eq!(verdict(&CHECK, &house, "P"), "cannot_tell main.kind");
        let house = with(house, &[(way, json!("plug_fuse"))]);
        assert_eq!(verdict(&CHECK, &house, "P"), "falls_short CAUTION");
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!(text(&CHECK, &stands_in(json!("clothes_closet")), "P"));
    }
}
