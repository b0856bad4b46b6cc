//! A rating that no standard device has, or a device larger than the bus behind it.

use crate::checks::check;
use crate::finding::{Facts, Finding, Severity, Verdict, Worked, from_table, judge, reckoned};
use crate::house::{Guard, House};
use crate::network::NodeId;
use crate::say;
use crate::si::Current;
use crate::survey::{Bus, DeviceKind, Id, Panel};
use crate::tables::Cell;
use crate::tables::us::{ClauseId, DeviceFamily, number, standard_rating, standard_rating_at_most};

check! {
    /// # What it checks
    /// Whether the rating of each fuse and breaker is a standard one, and whether the device that
    /// protects a bus is not above the rating of the bus.
    ///
    /// # Why
    /// A rating that is not on the list is mostly a misread number: every other check would then rest
    /// on it. A bus behind a larger device can be loaded beyond what it carries, and nothing opens.
    ///
    /// # Example
    /// An invented panel with a bus of 50 A behind a 60 A pull-out: 60 A is above 50 A, so it is flagged.
    ///
    /// # Limits
    /// Other ratings exist and are permitted; then the finding asks only to read the mark again. A
    /// service panel with no single main is the matter of the check too_many_mains.
    ///
    /// # References
    /// NFPA 70-2023 Table 240.6(A); 408.36.
    rating_not_standard {
        folder: Devices,
        severity: Caution,
        binding: Hazard,
        citations: ["NFPA 70-2023" "240.6(A)", "NFPA 70-2023" "408.36"],
        caution: "Keep heavy loads off this panel until its bus is protected by a device not above its rating.",
        next_step: "Have a licensed electrician put in a device not above the rating of the bus, after a look at what the panel has to carry.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (panel_at, panel) in house.panels() {
        let guards =
            [House::guard_of_main(panel)].into_iter().chain(panel.ways.iter().map(House::guard_of_way));
        findings.extend(guards.filter_map(|guard| by_list(house, guard)));
        if panel.buses.is_empty() {
            findings.extend(by_bus(house, panel, None, house.network.bus(panel_at, 0)));
        }
        for (bus_at, bus) in panel.buses.iter().enumerate() {
            findings.extend(by_bus(house, panel, Some(bus), house.network.bus(panel_at, bus_at)));
        }
    }
    let supplies = house.survey.supplies.iter().filter(|supply| !supply.output_device.is_blank());
    findings.extend(supplies.filter_map(|supply| by_list(house, House::guard_of_output(supply))));
}

/// 240.6(A).
fn by_list(house: &House<'_>, guard: Guard<'_>) -> Option<Finding> {
    if guard.device.kind.get().is_some_and(|kind| !kind.protects()) {
        return None;
    }
    let mut facts = Facts::new();
    let kind = facts.need(&guard.device.kind, guard.at, guard.kind_fact());
    let rating = rating_of(guard, &mut facts);
    let standard = rating.map(|rating| find_standard(rating, kind, &mut facts));
    let listed = facts.done(standard);
    let verdict = judge(&listed, &Facts::new().done(Some(true)), |found, wanted| found != wanted);
    let message = match (&verdict, rating) {
        (Verdict::FallsShort, Some(rating)) => say!("{} is no standard rating of such a device.", rating),
        (Verdict::Meets, Some(rating)) => say!("{} is a standard rating.", rating),
        _ => say!("The rating of this device is not known."),
    };
    let finding = Finding::of(&CHECK, house.subject(guard.at), verdict, message).because(listed.derivation);
    let finding = finding
        .severity(Severity::Notice)
        .caution(say!("Rely on no figure of this circuit until the mark on the device has been read again."));
    Some(finding.next(say!(
        "Read the mark again with the cover on, from the handle or the fuse. If it is right, ask a licensed electrician whether the device is listed."
    )))
}

/// A device of unknown kind may be a fuse, which has a few ratings more.
fn find_standard(rating: Current, kind: Option<DeviceKind>, facts: &mut Facts) -> bool {
    let family = match kind {
        Some(kind) if kind.is_breaker() => DeviceFamily::Breaker,
        _ => DeviceFamily::Fuse,
    };
    if let Some(cell) = standard_rating(rating, family) {
        facts.step(from_table("", "standard rating", cell.value, cell.place));
        return true;
    }
    if let Some(below) = standard_rating_at_most(rating, family) {
        facts.step(from_table("", "next standard rating down", below.value, below.place));
    }
    false
}

fn rating_of(guard: Guard<'_>, facts: &mut Facts) -> Option<Current> {
    let rating = facts.need(&guard.device.rating, guard.at, guard.rating_fact())?.quantity();
    facts.seen("I_n", "rating of the device", rating, guard.at, guard.rating_fact());
    Some(rating)
}

/// 408.36, for each bus section.
fn by_bus(house: &House<'_>, panel: &Panel, bus: Option<&Bus>, node: NodeId) -> Option<Finding> {
    // None where the bus hangs on the service directly.
    let guard = house.guard_ahead(node)?;
    let id = bus.map_or(&panel.id, |bus| &bus.id);
    let device = device_rating(guard);
    let limit = bus_limit(bus, id);
    let verdict = judge(&device, &limit, |device, limit| device > limit);
    let message = match (&verdict, device.value, limit.value) {
        (Verdict::FallsShort, Some(device), Some(limit)) => {
            say!("A device of {} protects this bus of {}.", device, limit)
        }
        (Verdict::Meets, Some(device), _) => {
            say!("A device of {} protects this bus, not above its rating.", device)
        }
        _ => say!("It cannot be told whether the device ahead of this bus is not above its rating."),
    };
    let mut finding = Finding::of(&CHECK, house.subject(id), verdict, message);
    (finding.value, finding.limit) = (device.value.map(Into::into), limit.value.map(Into::into));
    let mut derivation = device.derivation;
    derivation.include(&limit.derivation);
    Some(finding.because(derivation))
}

fn device_rating(guard: Guard<'_>) -> Worked<Current> {
    let mut facts = Facts::new();
    // A device of unknown kind may be no protection, and the one ahead of it then counts.
    let kind = facts.need(&guard.device.kind, guard.at, guard.kind_fact());
    let rating = rating_of(guard, &mut facts);
    facts.done(kind.and(rating))
}

fn bus_limit(bus: Option<&Bus>, id: &Id) -> Worked<Current> {
    let mut facts = Facts::new();
    let rating = match bus {
        Some(bus) => facts.need(&bus.rating, id, "rating").map(|rating| rating.quantity()),
        // A panel with no section entered has one bus that nobody has looked at.
        None => facts.miss(id, "buses", false),
    };
    let limit = rating.map(|rating| {
        facts.seen("I_bus", "rating of the bus", rating, id, "rating");
        let share: Cell<f64> = number(ClauseId::PanelProtection);
        facts.step(from_table("k", "device ahead, times the rating of the bus", share.value, share.place));
        let limit = rating * share.value;
        facts.step(reckoned("I_max", "largest device", say!("{} × {}", share.value, rating), limit));
        limit
    });
    facts.done(limit)
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{backed_up, findings, one_circuit, text, verdict, with};

    const RATING: &str = "/panels/0/ways/0/device/rating";
    const KIND: &str = "/panels/0/ways/0/device/kind";

    fn told(item: &str, changes: &[(&str, Value)]) -> String {
        verdict(&CHECK, &with(one_circuit(), changes), item)
    }

    /// NFPA 70-2023 Table 240.6(A): 15, 20, 25, 30 ... 6000 A; 1, 3, 6 and 601 A for fuses only.
    #[test]
    fn rating_not_standard() {
        for (rating, breaker, fuse) in [
            ("15 A", "meets", "meets"),
            ("17.5 A", "falls_short NOTICE", "falls_short NOTICE"),
            ("6 A", "falls_short NOTICE", "meets"),
            ("601 A", "falls_short NOTICE", "meets"),
            ("10 A", "meets", "meets"),
            ("6001 A", "falls_short NOTICE", "falls_short NOTICE"),
        ] {
            let with_kind = |kind: &str| told("P.1", &[(RATING, json!(rating)), (KIND, json!(kind))]);
            assert_eq!(with_kind("breaker"), breaker, "{rating}");
            assert_eq!(with_kind("cartridge_fuse"), fuse, "{rating}");
        }
        assert_eq!(told("P.1", &[(KIND, json!("lugs"))]), "silent");
        assert_eq!(told("P.1", &[(RATING, json!(null))]), "cannot_tell device.rating");
        assert_eq!(told("P.1", &[(KIND, json!(null))]), "cannot_tell device.kind");
    }

    /// NFPA 70-2023 408.36.
    #[test]
    fn a_bus_has_no_larger_device_ahead() {
        let bus = |rating: Value| told("P.bus", &[("/panels/0/buses/0/rating", rating)]);
        assert_eq!(bus(json!("100 A")), "meets");
        assert_eq!(bus(json!("99 A")), "falls_short CAUTION");
        assert_eq!(bus(json!(null)), "cannot_tell rating");
        let main = |fact: &str| told("P.bus", &[(fact, json!(null))]);
        assert_eq!(main("/panels/0/main/rating"), "cannot_tell main.rating");
        assert_eq!(main("/panels/0/main/kind"), "cannot_tell main.kind");
        // Nothing ahead: the service panel of one dwelling without a single main.
        assert_eq!(told("P.bus", &[("/panels/0/main/kind", json!("lugs"))]), "silent");
        let no_section = with(one_circuit(), &[("/panels/0/buses", json!([]))]);
        let of_bus = findings(&CHECK, &no_section).pop().unwrap();
        assert_eq!((of_bus.subject.id.as_str(), of_bus.verdict.name()), ("P", "cannot_tell"));
    }

    /// A box between an inverter and its transfer switch is fed by the inverter: the way out of it, towards the
    /// switch, protects its bus against nothing.
    #[test]
    fn a_bus_on_an_inverters_own_side_is_protected_by_the_inverters_device() {
        let house = backed_up();
        let mut panel = house["panels"][1].clone();
        (panel["id"], panel["name"]) = (json!("C"), json!("Inverter output"));
        panel["buses"] = json!([{ "id": "C.bus", "rating": "60 A" }]);
        let mut way = panel["ways"][0].clone();
        (way["id"], way["device"]["rating"]) = (json!("C.1"), json!("60 A"));
        panel["ways"] = json!([way]);
        let mut run = house["runs"][3].clone();
        (run["id"], run["from"]) = (json!("RC"), json!("C.1"));
        let told = |device: Value| {
            let changes = [
                ("/panels/-", panel.clone()),
                ("/runs/3/to", json!("C")),
                ("/runs/-", run.clone()),
                ("/supplies/1/output_device", device),
            ];
            verdict(&CHECK, &with(house.clone(), &changes), "C.bus")
        };
        let breaker = |rating: &str| json!({ "kind": "breaker", "rating": rating, "poles": 2 });
        assert_eq!(told(breaker("60 A")), "meets");
        assert_eq!(told(breaker("70 A")), "falls_short CAUTION");
        assert!(told(json!(null)).starts_with("cannot_tell output_device"), "{}", told(json!(null)));
    }

    #[test]
    fn a_second_section_is_protected_by_the_way_that_feeds_it() {
        let section = json!({ "id": "P.low", "name": "lighting section", "fed_by": "P.1", "rating": "10 A" });
        assert_eq!(told("P.low", &[("/panels/0/buses/-", section)]), "falls_short CAUTION");
    }

    #[test]
    fn its_text() {
        let house = with(one_circuit(), &[("/panels/0/buses/0/rating", json!("70 A"))]);
        insta::assert_snapshot!(text(&CHECK, &house, "P.bus"));
    }

    #[test]
    fn its_text_for_a_rating_off_the_list() {
        let house = with(one_circuit(), &[(RATING, json!("18 A"))]);
        insta::assert_snapshot!(text(&CHECK, &house, "P.1"));
    }
}
