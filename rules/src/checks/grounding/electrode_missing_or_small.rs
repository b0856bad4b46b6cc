//! No grounding electrode, too few of them, or too small a conductor to one.

use super::electrode_conductor;
use crate::checks::check;
use crate::finding::{Arg, Binding, Facts, Finding, Said, Severity, Verdict, from_table, judge};
use crate::house::{House, Item, site_id};
use crate::say;
use crate::si::{Length, Resistance, foot, ohm};
use crate::survey::{Electrode, ElectrodeKind, Id, Panel, PanelKind};
use crate::tables::us::{ClauseId, number};

check! {
    /// # What it checks
    /// Whether the house, and each other building with a panel, has a grounding electrode; whether a
    /// water pipe or a single rod has the company it needs; whether the electrodes are joined to each
    /// other; whether a rod is long enough; and whether each electrode's conductor is large enough for
    /// the hot conductors ahead of its panel. Each is told for itself.
    ///
    /// # Why
    /// The electrode holds the house near the voltage of the earth when lightning or a fallen line
    /// raises it. Cut off from the utility, the house has only its own electrodes. A water pipe ends as an electrode
    /// on the day somebody repairs it in plastic.
    ///
    /// # Example
    /// An invented service of 4 AWG copper needs 8 AWG copper to its electrode; one of two sets of 3/0
    /// counts as 335 kcmil and needs 2 AWG, but to a rod alone never more than 6 AWG.
    ///
    /// # Limits
    /// In another building the company of a single rod is not asked. Spacing of rods, clamps and the places where aluminium may not be used are not asked. To a ground
    /// ring no more than the ring's own size is needed; here the table is applied. The smaller size for a rod
    /// or concrete holds where the conductor serves that electrode alone.
    ///
    /// # References
    /// NFPA 70-2023 250.50, 250.52(A)(5), 250.53(A)(2), 250.53(D)(2), 250.66 with Table 250.66, 250.32(A).
    electrode_missing_or_small {
        folder: Grounding,
        severity: Warning,
        binding: NewWork,
        citations: ["NFPA 70-2023" "250.50", "NFPA 70-2023" "250.53", "NFPA 70-2023" "250.66"],
        caution: "Do not loosen a clamp on an electrode to look at it: its conductor can carry current while the house is energised.",
        next_step: "Have a licensed electrician complete the electrodes before the house is run cut off from the utility.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    findings.push(system(house));
    findings.extend(house.panels().filter_map(|(number, panel)| other_building(house, number, panel)));
    let electrodes = &house.survey.electrodes;
    for electrode in electrodes {
        findings.push(electrode_conductor::look_at(house, electrode));
        if electrodes.len() > 1 {
            findings.push(joined(house, electrode));
        }
        if electrode.kind.get() == Some(ElectrodeKind::Rod) {
            findings.push(rod_length(house, electrode));
        }
    }
}

/// The electrodes of the building with the service, by kind.
#[derive(Default)]
struct System<'a> {
    /// A concrete-encased electrode or a ring: needs no company.
    enough_alone: Option<&'a Electrode>,
    rods: Vec<&'a Electrode>,
    pipe: Option<&'a Electrode>,
    /// Of these the kind or the building is unknown.
    unknown: Vec<&'a Electrode>,
}

fn system(house: &House<'_>) -> Finding {
    let mut facts = Facts::new();
    let (short, message, severity) = if house.survey.electrodes.is_empty() {
        none_listed(house, &mut facts)
    } else {
        listed(house, &mut facts)
    };
    let (verdict, derivation) = facts.conclude(short);
    Finding::of(&CHECK, house.site_subject(), verdict, message).because(derivation).severity(severity)
}

type Told = (Option<bool>, Said, Severity);

fn none_listed(house: &House<'_>, facts: &mut Facts) -> Told {
    let site = site_id();
    let message = match facts.need(&house.survey.site.electrode_found, &site, "electrode_found") {
        Some(false) => {
            facts.seen("", "a grounding electrode was found", false, &site, "electrode_found");
            return (Some(true), say!("No grounding electrode was found."), Severity::Warning);
        }
        Some(true) => {
            let _: Option<()> = facts.miss(&site, "electrodes", false);
            say!("A grounding electrode was found, but none is described yet.")
        }
        None => say!("Nobody has looked yet for a grounding electrode."),
    };
    (None, message, Severity::Warning)
}

fn listed(house: &House<'_>, facts: &mut Facts) -> Told {
    let system = sort(house);
    if let Some(electrode) = system.enough_alone {
        see_kind(electrode, facts);
        return (Some(false), say!("The house has an electrode that needs no company."), Severity::Warning);
    }
    for rod in &system.rods {
        see_kind(rod, facts);
    }
    if system.rods.len() > 1 {
        return (Some(false), say!("The house has {} rods or plates.", system.rods.len()), Severity::Warning);
    }
    let told = match (system.rods.first(), system.pipe) {
        (Some(rod), _) => lone_rod(rod, facts),
        (None, Some(pipe)) => {
            see_kind(pipe, facts);
            (
                Some(true),
                say!("A water pipe is the only electrode; it needs a second one of another kind."),
                Severity::Warning,
            )
        }
        (None, None) => (
            Some(true),
            say!("No electrode of the building with the service is described."),
            Severity::Warning,
        ),
    };
    if system.unknown.is_empty() || told.0 == Some(false) {
        return told;
    }
    for electrode in system.unknown {
        facts.need(&electrode.kind, &electrode.id, "kind");
        is_in_service_building(house, electrode, facts);
    }
    (None, say!("It is not known yet whether the electrodes are enough."), told.2)
}

fn sort<'a>(house: &House<'a>) -> System<'a> {
    let mut system = System::default();
    for electrode in &house.survey.electrodes {
        match (is_in_service_building(house, electrode, &mut Facts::new()), electrode.kind.get()) {
            (Some(false), _) => {}
            (None, _) | (_, None) => system.unknown.push(electrode),
            (Some(true), Some(ElectrodeKind::ConcreteEncased | ElectrodeKind::Ring)) => {
                system.enough_alone = Some(electrode);
            }
            (Some(true), Some(ElectrodeKind::Rod | ElectrodeKind::Plate)) => system.rods.push(electrode),
            (Some(true), Some(ElectrodeKind::WaterPipe)) => system.pipe = Some(electrode),
        }
    }
    system
}

fn see_kind(electrode: &Electrode, facts: &mut Facts) {
    if let Some(kind) = electrode.kind.get() {
        facts.seen("", "electrode", Arg::Word(kind.words()), &electrode.id, "kind");
    }
}

fn is_in_service_building(house: &House<'_>, electrode: &Electrode, facts: &mut Facts) -> Option<bool> {
    let Some(Item::Panel(panel)) = house.index.get(&electrode.at) else { return Some(false) };
    let panel = &house.survey.panels[panel];
    if panel.service_equipment.get() == Some(true) {
        return Some(true);
    }
    facts.need(&panel.detached_building, &panel.id, "detached_building").map(|detached| !detached)
}

/// 250.53(A)(2).
fn lone_rod(rod: &Electrode, facts: &mut Facts) -> Told {
    let limit = number(ClauseId::SingleRodResistance).map(Resistance::new::<ohm>);
    let measured = facts.need(&rod.resistance, &rod.id, "resistance").map(|measured| measured.quantity());
    if let Some(measured) = measured {
        facts.seen("R", "measured resistance to earth", measured, &rod.id, "resistance");
    }
    facts.step(from_table("R_max", "a single rod may stay alone up to", limit.value, limit.place));
    let message = match measured {
        Some(measured) if measured > limit.value => {
            say!("A single rod or plate with {} is above {} and needs a second one.", measured, limit.value)
        }
        Some(measured) => say!("A single rod or plate is enough at {}.", measured),
        None => say!("A single rod or plate is enough only if it is shown to have {} or less.", limit.value),
    };
    (measured.map(|measured| measured > limit.value), message, Severity::Caution)
}

/// 250.32(A): each building that a feeder supplies has an electrode of its own.
fn other_building(house: &House<'_>, number: usize, panel: &Panel) -> Option<Finding> {
    let is_concerned = panel.service_equipment.get() != Some(true)
        && panel.kind.get() != Some(PanelKind::DcCombiner)
        && panel.detached_building.get() != Some(false)
        && !has_electrode(house, number)
        && !is_fed_within_its_building(house, panel);
    if !is_concerned {
        return None;
    }
    let mut facts = Facts::new();
    facts.need(&panel.service_equipment, &panel.id, "service_equipment");
    let detached = facts.need(&panel.detached_building, &panel.id, "detached_building");
    if let Some(detached) = detached {
        facts.seen("", "in another building than the service", detached, &panel.id, "detached_building");
    }
    let short = if facts.complete() { Some(true) } else { None };
    let (verdict, derivation) = facts.conclude(short);
    let message = match verdict {
        Verdict::FallsShort => {
            say!("This panel stands in another building, and no electrode there is described.")
        }
        _ => say!(
            "It is not known yet whether this panel stands in a building that needs an electrode of its own."
        ),
    };
    let finding = Finding::of(&CHECK, house.subject(&panel.id), verdict, message);
    Some(finding.because(derivation).next(say!(
        "Look for an electrode at that building; if there is none, have a licensed electrician add one."
    )))
}

fn has_electrode(house: &House<'_>, panel: usize) -> bool {
    let here = |electrode: &Electrode| house.index.get(&electrode.at) == Some(Item::Panel(panel));
    house.survey.electrodes.iter().any(here)
}

/// Whether another panel of the same other building feeds it.
fn is_fed_within_its_building(house: &House<'_>, panel: &Panel) -> bool {
    let feeds = |id: &Id| {
        house
            .runs()
            .filter(|(_, run)| run.to.as_ref() == Some(id))
            .find_map(|(number, _)| house.panel_behind(number))
    };
    feeds(&panel.id)
        .is_some_and(|upstream| upstream.detached_building.get() == Some(true) && upstream.id != panel.id)
}

/// 250.50: all electrodes of a building are joined.
fn joined(house: &House<'_>, electrode: &Electrode) -> Finding {
    let mut facts = Facts::new();
    let joined = facts.need(&electrode.bonded_to_others, &electrode.id, "bonded_to_others");
    if let Some(joined) = joined {
        facts.seen("", "joined to the other electrodes", joined, &electrode.id, "bonded_to_others");
    }
    let (verdict, derivation) = facts.conclude(joined.map(|joined| !joined));
    let message = match verdict {
        Verdict::FallsShort => say!("This electrode is not joined to the others."),
        Verdict::Meets => say!("This electrode is joined to the others."),
        _ => say!("It is not known yet whether this electrode is joined to the others."),
    };
    Finding::of(&CHECK, house.subject(&electrode.id), verdict, message)
        .because(derivation)
        .binding(Binding::Hazard)
        .next(say!("Have a licensed electrician join all electrodes of the building to each other."))
}

/// 250.52(A)(5).
fn rod_length(house: &House<'_>, rod: &Electrode) -> Finding {
    let mut facts = Facts::new();
    let length = facts.need(&rod.length, &rod.id, "length").map(|length| length.quantity());
    if let Some(length) = length {
        facts.seen("", "length of the rod", length, &rod.id, "length");
    }
    let least = number(ClauseId::RodLength).map(Length::new::<foot>);
    facts.step(from_table("", "shortest rod", least.value, least.place));
    let length = facts.done(length);
    let verdict = judge(&length, &Facts::new().done(Some(least.value)), |length, least| length < least);
    let message = match (&verdict, length.value) {
        (Verdict::FallsShort, Some(length)) => {
            say!("The rod is {} long; it has to reach {} into the earth.", length, least.value)
        }
        (Verdict::Meets, Some(length)) => say!("The rod is {} long.", length),
        _ => say!("Nobody knows yet how long this rod is."),
    };
    Finding::of(&CHECK, house.subject(&rod.id), verdict, message)
        .because(length.derivation)
        .severity(Severity::Caution)
        .next(say!("Where its length cannot be told, a second rod or a measurement of its resistance settles the matter."))
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{one_circuit, standby, text, verdict, verdicts, with};

    fn rod(id: &str, resistance: Value) -> Value {
        json!({
            "id": id, "at": "P", "kind": "rod", "conductor_size": "6 AWG", "conductor_material": "copper",
            "length": "8 ft", "resistance": resistance, "bonded_to_others": true
        })
    }

    fn pipe() -> Value {
        json!({
            "id": "W", "at": "P", "kind": "water_pipe", "conductor_size": "8 AWG",
            "conductor_material": "copper", "bonded_to_others": true
        })
    }

    fn house(electrodes: Value) -> Value {
        with(one_circuit(), &[("/electrodes", electrodes)])
    }

    #[test]
    fn electrode_missing_or_small() {
        let none =
            |found| verdict(&CHECK, &with(house(json!([])), &[("/site/electrode_found", found)]), "site");
        assert_eq!(none(json!(false)), "falls_short WARNING");
        assert_eq!(none(json!(true)), "cannot_tell electrodes");
        assert_eq!(none(json!(null)), "cannot_tell electrode_found");
        assert_eq!(verdicts(&CHECK, &one_circuit(), "site"), ["meets"]);
        assert_eq!(verdicts(&CHECK, &one_circuit(), "E"), ["meets"]);
    }

    /// NFPA 70-2023 Table 250.66: 8 AWG for a service of 4 AWG, 3/0 AWG above 1100 kcmil; Chapter 9
    /// Table 8 prints 8.367 mm² and 85.01 mm² for them, a little less than their circular mils (from
    /// memory).
    #[test]
    fn a_conductor_in_square_millimetres_is_as_large_as_its_gauge() {
        let told = |service: &str, sets: u8, size: &str| {
            let changes = [
                ("/runs/0/size", json!(service)),
                ("/runs/0/parallel_sets", json!(sets)),
                ("/electrodes/0/kind", json!("water_pipe")),
                ("/electrodes/0/conductor_size", json!(size)),
            ];
            verdicts(&CHECK, &with(one_circuit(), &changes), "E").swap_remove(0)
        };
        assert_eq!(told("500 kcmil", 3, "85.01 mm2"), "meets");
        assert_eq!(told("500 kcmil", 3, "80 mm2"), "falls_short WARNING");
        assert_eq!(told("4 AWG", 1, "8.36 mm2"), "meets");
        assert_eq!(told("4 AWG", 1, "8 mm2"), "falls_short WARNING");
    }

    #[test]
    fn a_water_pipe_needs_company() {
        let told = |electrodes| verdict(&CHECK, &house(electrodes), "site");
        // NFPA 70-2023 250.53(D)(2).
        assert_eq!(told(json!([pipe()])), "falls_short WARNING");
        assert_eq!(told(json!([pipe(), rod("A", json!("20 ohm"))])), "meets");
        assert_eq!(told(json!([pipe(), { "id": "X", "at": "P" }])), "cannot_tell kind");
    }

    #[test]
    fn a_single_rod_stays_alone_up_to_25_ohm() {
        let told = |resistance| verdict(&CHECK, &house(json!([rod("A", resistance)])), "site");
        // NFPA 70-2023 250.53(A)(2) Exception.
        assert_eq!(told(json!("25 ohm")), "meets");
        assert_eq!(told(json!("25.1 ohm")), "falls_short CAUTION");
        assert_eq!(told(json!(null)), "cannot_tell resistance");
        let two = json!([rod("A", json!(null)), rod("B", json!(null))]);
        assert_eq!(verdict(&CHECK, &house(two), "site"), "meets");
    }

    #[test]
    fn electrodes_are_joined_and_rods_are_long_enough() {
        let told = |path: &str, value| {
            let both = house(json!([pipe(), rod("A", json!("20 ohm"))]));
            verdicts(&CHECK, &with(both, &[(path, value)]), "A")
        };
        assert_eq!(told("/electrodes/1/length", json!("8 ft")), ["meets", "meets", "meets"]);
        // NFPA 70-2023 250.52(A)(5).
        assert_eq!(told("/electrodes/1/length", json!("7.9 ft")), ["meets", "meets", "falls_short CAUTION"]);
        assert_eq!(told("/electrodes/1/length", json!(null)), ["meets", "meets", "cannot_tell length"]);
        assert_eq!(told("/electrodes/1/bonded_to_others", json!(false))[1], "falls_short WARNING");
        assert_eq!(told("/electrodes/1/bonded_to_others", json!(null))[1], "cannot_tell bonded_to_others");
    }

    #[test]
    fn another_building_needs_an_electrode_of_its_own() {
        let told = |changes: &[(&str, Value)]| verdict(&CHECK, &with(standby(), changes), "P2");
        let detached = |value| ("/panels/1/detached_building", value);
        assert_eq!(told(&[]), "silent");
        assert_eq!(told(&[detached(json!(true))]), "falls_short WARNING");
        assert_eq!(told(&[detached(json!(null))]), "cannot_tell detached_building");
        let at_the_barn = json!({ "id": "B", "at": "P2", "kind": "rod", "bonded_to_others": true });
        assert_eq!(told(&[detached(json!(true)), ("/electrodes/-", at_the_barn.clone())]), "silent");
        // The barn's rod is no company for the house's water pipe, and an unknown building is a question.
        let alone = |value| {
            let electrodes = json!([pipe(), at_the_barn]);
            verdict(&CHECK, &with(standby(), &[("/electrodes", electrodes), detached(value)]), "site")
        };
        assert_eq!(alone(json!(true)), "falls_short WARNING");
        assert_eq!(alone(json!(null)), "cannot_tell detached_building");
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!("water_pipe_alone", text(&CHECK, &house(json!([pipe()])), "site"));
        insta::assert_snapshot!(
            "single_rod",
            text(&CHECK, &house(json!([rod("A", json!("40 ohm"))])), "site")
        );
    }
}
