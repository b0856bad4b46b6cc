//! The conductor to an electrode against Table 250.66 and the smaller sizes of 250.66(A) and (B).

use super::electrode_missing_or_small::CHECK;
use crate::finding::{Arg, Facts, Finding, Verdict, Worked, from_table, judge, reckoned};
use crate::house::{House, Item};
use crate::say;
use crate::si::Area;
use crate::survey::{Electrode, ElectrodeKind, Run, SupplyKind, WireSize};
use crate::tables::Cell;
use crate::tables::us::{self, ClauseId, Metal, number};

pub(super) fn look_at(house: &House<'_>, electrode: &Electrode) -> Finding {
    let subject = house.subject(&electrode.id);
    let own = own_size(electrode);
    let needed = needed(house, electrode);
    let Some(needed) = needed else {
        let why = say!("No conductors ahead of its panel are in the survey.");
        let message = say!("There is nothing to size the conductor of this electrode by.");
        return Finding::of(&CHECK, subject, Verdict::NotApplicable { why }, message);
    };
    let verdict = judge(&own, &needed, |own, needed| own.is_smaller_than(*needed));
    let message = match (&verdict, own.value, needed.value) {
        (Verdict::FallsShort, Some(own), Some(needed)) => {
            say!("The electrode's conductor is {}; it needs {}.", own, needed)
        }
        (Verdict::Meets, Some(own), Some(needed)) => {
            say!("The electrode's conductor is {}; {} is needed.", own, needed)
        }
        _ => say!("It is not known yet whether the conductor of this electrode is large enough."),
    };
    let mut derivation = own.derivation;
    derivation.include(&needed.derivation);
    let next = say!(
        "Have a licensed electrician replace the conductor when the service is touched; older editions allowed smaller ones."
    );
    Finding::of(&CHECK, subject, verdict, message).because(derivation).next(next)
}

fn area(size: WireSize) -> Area {
    us::area(size).map_or_else(|| size.area(), |listed| listed.value)
}

fn own_size(electrode: &Electrode) -> Worked<WireSize> {
    let mut facts = Facts::new();
    let size = facts.need(&electrode.conductor_size, &electrode.id, "conductor_size");
    let size = size.map(|size| size.quantity());
    if let Some(size) = size {
        facts.seen("", "conductor to the electrode", size, &electrode.id, "conductor_size");
    }
    facts.done(size)
}

/// The smallest conductor allowed; missing facts stand at their most favourable. `None` where the
/// survey has no conductors to size it by.
fn needed(house: &House<'_>, electrode: &Electrode) -> Option<Worked<WireSize>> {
    let mut facts = Facts::new();
    let material = facts.need(&electrode.conductor_material, &electrode.id, "conductor_material");
    if let Some(material) = material {
        facts.seen(
            "",
            "metal of that conductor",
            Arg::Word(material.words()),
            &electrode.id,
            "conductor_material",
        );
    }
    let metal = material.map_or(Metal::Copper, Metal::from);
    let by_table = match runs_ahead(house, electrode, &mut facts) {
        Some(runs) if runs.is_empty() => return None,
        Some(runs) => largest(&runs, metal, &mut facts),
        None => smallest_row(metal),
    };
    let size = with_limit(electrode, metal, by_table, &mut facts);
    Some(facts.done(size))
}

/// The service conductors, or the feeder of another building; `None` while it is not known which.
fn runs_ahead<'a>(house: &House<'a>, electrode: &Electrode, facts: &mut Facts) -> Option<Vec<&'a Run>> {
    let Some(Item::Panel(at)) = house.index.get(&electrode.at) else { return Some(Vec::new()) };
    let panel = &house.survey.panels[at];
    let to_panel = || -> Vec<&'a Run> {
        let survey = house.survey;
        survey.runs.iter().filter(|run| run.to.as_ref() == Some(&panel.id)).collect()
    };
    let service = facts.need(&panel.service_equipment, &panel.id, "service_equipment")?;
    if !service && facts.need(&panel.detached_building, &panel.id, "detached_building")? {
        return Some(to_panel());
    }
    let service_runs = service_runs(house);
    let own: Vec<&Run> =
        service_runs.iter().copied().filter(|run| run.to.as_ref() == Some(&panel.id)).collect();
    Some(match (own.is_empty(), service_runs.is_empty()) {
        (false, _) => own,
        (true, false) => service_runs,
        (true, true) => to_panel(),
    })
}

/// Runs that end at a panel and lead back to a utility with no panel between.
fn service_runs<'a>(house: &House<'a>) -> Vec<&'a Run> {
    let is_service = |number: usize| {
        let first = house.runs_back_from(number).last();
        let supply = first.and_then(|first| house.supply_of(first));
        supply.is_some_and(|supply| supply.kind == SupplyKind::Utility)
    };
    let ends_at_panel =
        |run: &Run| run.to.as_ref().is_some_and(|to| matches!(house.index.get(to), Some(Item::Panel(_))));
    let runs = house.runs().filter(|(number, run)| ends_at_panel(run) && is_service(*number));
    runs.map(|(_, run)| run).collect()
}

/// The largest size that Table 250.66 gives for any of these runs.
fn largest(runs: &[&Run], metal: Metal, facts: &mut Facts) -> Option<Cell<WireSize>> {
    let mut found: Option<Cell<WireSize>> = None;
    for run in runs {
        let cell = by_hot(run, metal, facts);
        let larger = |cell: &Cell<WireSize>| found.is_none_or(|found| area(cell.value) > area(found.value));
        found = cell.filter(larger).or(found);
    }
    found
}

fn by_hot(run: &Run, metal: Metal, facts: &mut Facts) -> Option<Cell<WireSize>> {
    let size = facts.need(&run.size, &run.id, "size").map(|size| size.quantity());
    let material = facts.need(&run.material, &run.id, "material");
    let sets = facts.need(&run.parallel_sets, &run.id, "parallel_sets");
    let (Some(size), Some(material), Some(sets)) = (size, material, sets) else { return smallest_row(metal) };
    facts.seen("", "hot conductors ahead", size, &run.id, "size");
    facts.seen("", "metal of the hot conductors", Arg::Word(material.words()), &run.id, "material");
    let hot = area(size) * f64::from(sets.max(1));
    if sets > 1 {
        facts.seen("", "parallel sets", sets, &run.id, "parallel_sets");
        let expression = say!("{} × {}", sets, area(size));
        facts.step(reckoned("A", "area of one hot, all sets", expression, hot));
    }
    let cell = us::electrode_conductor_size(hot, Metal::from(material), metal)?;
    facts.step(from_table("", "smallest conductor by the table", cell.value, cell.place));
    Some(cell)
}

/// The first row of the table: the least that can be asked for.
fn smallest_row(metal: Metal) -> Option<Cell<WireSize>> {
    let smallest = area(*us::trade_sizes().first()?);
    us::electrode_conductor_size(smallest, Metal::Copper, metal)
}

/// 250.66(A) and (B): no more than this is needed to a rod, plate or concrete-encased electrode.
fn with_limit(
    electrode: &Electrode,
    metal: Metal,
    by_table: Option<Cell<WireSize>>,
    facts: &mut Facts,
) -> Option<WireSize> {
    let by_table = by_table?;
    let kind = facts.need(&electrode.kind, &electrode.id, "kind");
    if let Some(kind) = kind {
        facts.seen("", "electrode", Arg::Word(kind.words()), &electrode.id, "kind");
    }
    let Some(limit) = limit(kind, metal) else { return Some(by_table.value) };
    let size = WireSize::Awg(limit.value as i8);
    if area(size) >= area(by_table.value) {
        return Some(by_table.value);
    }
    facts.step(from_table("", "largest that this electrode needs", size, limit.place));
    Some(size)
}

/// An unknown kind takes the lowest limit there is.
fn limit(kind: Option<ElectrodeKind>, metal: Metal) -> Option<Cell<f64>> {
    match (kind, metal) {
        (None | Some(ElectrodeKind::Rod | ElectrodeKind::Plate), Metal::Copper) => {
            Some(number(ClauseId::RodConductorCopper))
        }
        (None | Some(ElectrodeKind::Rod | ElectrodeKind::Plate), Metal::Aluminium) => {
            Some(number(ClauseId::RodConductorAluminium))
        }
        (Some(ElectrodeKind::ConcreteEncased), Metal::Copper) => {
            Some(number(ClauseId::ConcreteElectrodeConductor))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::super::electrode_missing_or_small::CHECK;
    use crate::fixture::{one_circuit, standby, text, verdict, with};

    fn told(kind: &str, conductor: Value, changes: &[(&str, Value)]) -> String {
        let house = with(
            one_circuit(),
            &[("/electrodes/0/kind", json!(kind)), ("/electrodes/0/conductor_size", conductor)],
        );
        verdict(&CHECK, &with(house, changes), "E")
    }

    fn service(size: &str, sets: u8, metal: &str) -> [(&'static str, Value); 3] {
        [
            ("/runs/0/size", json!(size)),
            ("/runs/0/parallel_sets", json!(sets)),
            ("/runs/0/material", json!(metal)),
        ]
    }

    #[test]
    fn electrode_conductors_follow_table_250_66() {
        // NFPA 70-2023 Table 250.66: 2 AWG copper 8 AWG, 1 AWG copper 6 AWG, 3/0 aluminium 6 AWG.
        let pipe = |conductor: &str, size, sets, metal| {
            told("water_pipe", json!(conductor), &service(size, sets, metal))
        };
        assert_eq!(pipe("8 AWG", "2 AWG", 1, "copper"), "meets");
        assert_eq!(pipe("10 AWG", "2 AWG", 1, "copper"), "falls_short WARNING");
        assert_eq!(pipe("8 AWG", "1 AWG", 1, "copper"), "falls_short WARNING");
        assert_eq!(pipe("6 AWG", "3/0 AWG", 1, "aluminium"), "meets");
        assert_eq!(pipe("6 AWG", "4/0 AWG", 1, "aluminium"), "falls_short WARNING");
        // Two sets of 3/0: 335.6 kcmil, the row through 350 kcmil, 2 AWG.
        assert_eq!(pipe("2 AWG", "3/0 AWG", 2, "copper"), "meets");
        assert_eq!(pipe("4 AWG", "3/0 AWG", 2, "copper"), "falls_short WARNING");
        // 10 mm² is larger than 8 AWG (8.37 mm²), 6 mm² is not.
        assert_eq!(pipe("10 mm2", "2 AWG", 1, "copper"), "meets");
        assert_eq!(pipe("6 mm2", "2 AWG", 1, "copper"), "falls_short WARNING");
    }

    #[test]
    fn rods_and_concrete_have_their_own_limit() {
        let large = service("350 kcmil", 1, "copper");
        // NFPA 70-2023 250.66(A): 6 AWG copper to a rod; (B): 4 AWG copper to concrete.
        assert_eq!(told("rod", json!("6 AWG"), &large), "meets");
        assert_eq!(told("rod", json!("8 AWG"), &large), "falls_short WARNING");
        assert_eq!(told("plate", json!("6 AWG"), &large), "meets");
        assert_eq!(told("concrete_encased", json!("4 AWG"), &large), "meets");
        assert_eq!(told("concrete_encased", json!("6 AWG"), &large), "falls_short WARNING");
        assert_eq!(told("water_pipe", json!("4 AWG"), &large), "falls_short WARNING");
        assert_eq!(told("ring", json!("4 AWG"), &large), "falls_short WARNING");
    }

    #[test]
    fn an_aluminium_conductor_is_larger() {
        let metal = |conductor: &str| {
            told("water_pipe", json!(conductor), &[("/electrodes/0/conductor_material", json!("aluminium"))])
        };
        assert_eq!(metal("6 AWG"), "meets");
        assert_eq!(metal("8 AWG"), "falls_short WARNING");
    }

    #[test]
    fn what_is_missing_is_asked_and_the_best_case_stands_in() {
        let pipe = |conductor: &str, path, value| told("water_pipe", json!(conductor), &[(path, value)]);
        assert_eq!(pipe("6 AWG", "/runs/0/size", json!(null)), "cannot_tell size");
        assert_eq!(pipe("6 AWG", "/runs/0/parallel_sets", json!(null)), "cannot_tell parallel_sets");
        assert_eq!(pipe("6 AWG", "/runs/0/material", json!(null)), "cannot_tell material");
        assert_eq!(pipe("6 AWG", "/electrodes/0/kind", json!(null)), "cannot_tell kind");
        assert_eq!(
            pipe("6 AWG", "/electrodes/0/conductor_material", json!(null)),
            "cannot_tell conductor_material"
        );
        assert_eq!(
            pipe("6 AWG", "/panels/0/service_equipment", json!(null)),
            "cannot_tell service_equipment"
        );
        // 10 AWG is below the first row of the table, whatever the service.
        assert_eq!(pipe("10 AWG", "/runs/0/size", json!(null)), "falls_short WARNING");
        assert_eq!(told("water_pipe", json!(null), &[]), "cannot_tell conductor_size");
    }

    #[test]
    fn another_building_goes_by_its_feeder() {
        let barn = json!({
            "id": "B", "at": "P2", "kind": "water_pipe", "conductor_size": "8 AWG",
            "conductor_material": "copper", "bonded_to_others": true
        });
        let told = |detached| {
            let changes = [
                ("/electrodes/-", barn.clone()),
                ("/panels/1/detached_building", detached),
                ("/runs/0/size", json!("1 AWG")),
            ];
            verdict(&CHECK, &with(standby(), &changes), "B")
        };
        // Feeder of 10 AWG: 8 AWG is enough; the service of 1 AWG asks for 6 AWG.
        assert_eq!(told(json!(true)), "meets");
        assert_eq!(told(json!(false)), "falls_short WARNING");
        assert_eq!(told(json!(null)), "cannot_tell detached_building");
    }

    #[test]
    fn its_text() {
        let mut changes = service("3/0 AWG", 2, "copper").to_vec();
        changes.push(("/electrodes/0/kind", json!("rod")));
        changes.push(("/electrodes/0/conductor_size", json!("8 AWG")));
        insta::assert_snapshot!(text(&CHECK, &with(one_circuit(), &changes), "E"));
    }
}
