//! A service that cannot be cut off by one hand, or by six.

use crate::checks::check;
use crate::finding::{Facts, Finding, Severity, Verdict, Worked, from_table, judge, reckoned};
use crate::house::House;
use crate::say;
use crate::survey::{DeviceKind, Panel, Way};
use crate::tables::us::{ClauseId, number};

check! {
    /// # What it checks
    /// How many handles it takes to cut off a service panel that has no single main.
    ///
    /// # Why
    /// In a fire every handle more is time lost, and one is forgotten. In a split-bus or pull-out panel
    /// an interlock on one of the mains leaves the others on the utility: it does not keep a battery
    /// inverter or a generator from feeding the street.
    ///
    /// # Example
    /// An invented split-bus panel with seven two-pole breakers on its upper bus: 7 is above 6, so it is
    /// flagged as a caution. With six it is told as a notice.
    ///
    /// # Limits
    /// Each way of the first bus section counts as one throw, two single handles that are tied as one
    /// together. Several service panels side by side are not added up. Up to six mains in one enclosure
    /// were lawful until the 2020 edition and may remain in an existing dwelling.
    ///
    /// # References
    /// NFPA 70-2023 230.71, 408.36 Exception 3 (the number of the exception from memory).
    too_many_mains {
        folder: Service,
        severity: Caution,
        binding: NewWork,
        citations: ["NFPA 70-2023" "230.71", "NFPA 70-2023" "408.36"],
        caution: "Turning off one of these mains does not make the panel dead. Open and lock every one of them, and prove the buses dead.",
        next_step: "Have a licensed electrician plan a panel with one main, or a transfer switch ahead of it, before another source is tied in.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    let panels = house.panels().map(|(_, panel)| panel);
    let concerned = panels.filter(|panel| panel.service_equipment.get() != Some(false));
    findings.extend(concerned.map(|panel| look_at(house, panel)));
}

fn look_at(house: &House<'_>, panel: &Panel) -> Finding {
    let throws = throws_of(panel);
    let most = most_throws();
    // Nought counts only when every way is known: then nothing cuts this service off.
    let complete = throws.missing.is_empty();
    let one = Facts::new().done(Some(1.0));
    let over_one = judge(&throws, &one, |throws, one| throws > one || (complete && throws < one));
    let over_limit = judge(&throws, &most, |throws, most| throws > most);
    let too_many = over_limit == Verdict::FallsShort;
    let message = match (&over_one, throws.value, most.value) {
        (Verdict::FallsShort, Some(throws), Some(most)) if too_many => {
            say!(
                "It takes {} throws to cut off this service; more than {} were never allowed, and since the 2020 \
                 edition each of two to six disconnects of a new one has an enclosure or compartment of its own.",
                throws,
                most
            )
        }
        (Verdict::FallsShort, Some(throws), _) if throws < 1.0 => {
            say!("Nothing in this service panel cuts it off from the utility.")
        }
        (Verdict::FallsShort, Some(throws), _) => say!(
            "This service has no single main: it takes {} throws to cut it off. Since the 2020 edition each of two to six \
             disconnects of a new one has an enclosure or compartment of its own.",
            throws
        ),
        (Verdict::Meets, _, _) => say!("One throw cuts off this service."),
        _ => say!("It cannot be told how many throws it takes to cut off this panel as a service."),
    };
    let none = throws.value.is_some_and(|throws| throws < 1.0);
    let severity = if too_many || none { Severity::Caution } else { Severity::Notice };
    let mut finding = Finding::of(&CHECK, house.subject(&panel.id), over_one, message).severity(severity);
    if let (Some(throws), Some(most)) = (throws.value, most.value) {
        finding = finding.figure(throws, most);
    }
    let mut derivation = throws.derivation;
    derivation.include(&most.derivation);
    finding.because(derivation)
}

/// Whether it surely takes more throws to cut off this panel than a service may have, and how many it may.
pub(crate) fn beyond_most_throws(panel: &Panel) -> Option<f64> {
    let (throws, most) = (throws_of(panel).value?, most_throws().value?);
    (throws > most).then_some(most)
}

/// Whether so many devices are more throws than a service may have; open while it is not known which of them
/// are mains, or which are tied.
pub(crate) fn are_too_many(panel: &Panel, devices: usize) -> Worked<bool> {
    let most = most_throws().value.unwrap_or(f64::INFINITY);
    if devices as f64 <= most {
        return Facts::new().done(Some(false));
    }
    let throws = throws_of(panel);
    if throws.value.is_some_and(|throws| throws > most) {
        return Facts::new().done(Some(true));
    }
    throws.map(|throws| throws > most)
}

fn most_throws() -> Worked<f64> {
    let mut facts = Facts::new();
    let most = number(ClauseId::ServiceDisconnects);
    facts.step(from_table("n_max", "throws allowed", most.value, most.place));
    facts.done(Some(most.value))
}

/// How many throws it takes; while facts are missing, the least that it can be.
fn throws_of(panel: &Panel) -> Worked<f64> {
    let mut facts = Facts::new();
    let service = facts.need(&panel.service_equipment, &panel.id, "service_equipment");
    if let Some(service) = service {
        facts.seen("", "service equipment", service, &panel.id, "service_equipment");
    }
    let main = facts.need(&panel.main.kind, &panel.id, "main.kind");
    if let Some(main) = main {
        facts.seen("", "single main", main.words(), &panel.id, "main.kind");
    }
    let throws = match main {
        Some(main) if opens(main) => Some(1.0),
        Some(_) => throws_of_ways(panel, &mut facts),
        None => None,
    };
    // Whether it is a service at all decides before any number of throws.
    facts.done(service.and(throws))
}

fn opens(kind: DeviceKind) -> bool {
    kind.protects() || kind == DeviceKind::Switch
}

fn throws_of_ways(panel: &Panel, facts: &mut Facts) -> Option<f64> {
    let first = panel.first_bus();
    let mains: Vec<&Way> = panel.ways.iter().filter(|way| panel.bus_of(way) == first).collect();
    if mains.is_empty() {
        // A service with neither main nor ways has not been entered to the end.
        return facts.miss(&panel.id, "ways", false);
    }
    let (mut whole, mut tied) = (0_u32, 0_u32);
    for way in mains {
        match throw_of(way, facts) {
            Throw::None => {}
            Throw::One => whole += 1,
            Throw::Half => tied += 1,
        }
    }
    let throws = whole + tied.div_ceil(2);
    let expression = say!("{} single + {} tied in pairs", whole as usize, tied as usize);
    facts.step(reckoned("n", "throws to cut off the first bus section", expression, throws as usize));
    Some(f64::from(throws))
}

enum Throw {
    None,
    One,
    /// One of two handles that are tied.
    Half,
}

/// A way that may be no main, or may be tied to another, counts as little as it can.
fn throw_of(way: &Way, facts: &mut Facts) -> Throw {
    let Some(kind) = facts.need(&way.device.kind, &way.id, "device.kind") else { return Throw::None };
    if !opens(kind) {
        return Throw::None;
    }
    if kind.is_fuse() {
        return Throw::One;
    }
    match facts.need(&way.device.poles, &way.id, "device.poles") {
        Some(1) => {
            let tied = facts.or_best(&way.handles_tied, &way.id, "handles_tied", true);
            if tied { Throw::Half } else { Throw::One }
        }
        Some(_) => Throw::One,
        None => Throw::Half,
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{mains, one_circuit, text, verdict, with};

    /// NFPA 70-2023 230.71: at most six.
    #[test]
    fn too_many_mains() {
        assert_eq!(verdict(&CHECK, &one_circuit(), "P"), "meets");
        assert_eq!(verdict(&CHECK, &mains(1), "P"), "meets");
        assert_eq!(verdict(&CHECK, &mains(2), "P"), "falls_short NOTICE");
        assert_eq!(verdict(&CHECK, &mains(6), "P"), "falls_short NOTICE");
        assert_eq!(verdict(&CHECK, &mains(7), "P"), "falls_short CAUTION");
        let subpanel = with(mains(7), &[("/panels/0/service_equipment", json!(false))]);
        assert_eq!(verdict(&CHECK, &subpanel, "P"), "silent");
    }

    #[test]
    fn a_service_that_nothing_cuts_off_does_not_pass() {
        let lugs = with(mains(1), &[("/panels/0/ways/0/device/kind", json!("lugs"))]);
        assert_eq!(verdict(&CHECK, &lugs, "P"), "falls_short CAUTION");
    }

    #[test]
    fn tied_handles_are_one_throw_and_lower_sections_do_not_count() {
        let mut house = mains(7);
        for way in [0, 1] {
            house["panels"][0]["ways"][way]["device"]["poles"] = json!(1);
            house["panels"][0]["ways"][way]["handles_tied"] = json!(true);
        }
        assert_eq!(verdict(&CHECK, &house, "P"), "falls_short NOTICE");
        let loose = with(house, &[("/panels/0/ways/0/handles_tied", json!(false))]);
        assert_eq!(verdict(&CHECK, &loose, "P"), "falls_short CAUTION");
        let section = json!({ "id": "P.low", "fed_by": "P.1", "rating": "60 A" });
        let split =
            with(mains(7), &[("/panels/0/buses/-", section), ("/panels/0/ways/6/bus", json!("P.low"))]);
        assert_eq!(verdict(&CHECK, &split, "P"), "falls_short NOTICE");
    }

    #[test]
    fn each_missing_fact_is_asked_for() {
        let told = |house: Value, path: &str| verdict(&CHECK, &with(house, &[(path, json!(null))]), "P");
        assert_eq!(told(mains(7), "/panels/0/service_equipment"), "cannot_tell service_equipment");
        assert_eq!(told(mains(1), "/panels/0/main/kind"), "cannot_tell main.kind");
        assert_eq!(told(mains(1), "/panels/0/ways/0/device/kind"), "cannot_tell device.kind");
        assert_eq!(told(mains(1), "/panels/0/ways/0/device/poles"), "cannot_tell device.poles");
        // Two are known to be mains whatever the third is.
        assert_eq!(told(mains(3), "/panels/0/ways/2/device/kind"), "falls_short NOTICE");
        let empty = with(mains(1), &[("/panels/0/ways", json!([])), ("/runs/1/from", json!("P"))]);
        assert_eq!(verdict(&CHECK, &empty, "P"), "cannot_tell ways");
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!(text(&CHECK, &mains(7), "P"));
    }

    #[test]
    fn its_text_for_a_split_bus() {
        insta::assert_snapshot!(text(&CHECK, &mains(4), "P"));
    }
}
